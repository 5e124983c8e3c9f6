"""Every reader of what people give, as one function of bytes: what fuzzing calls (``tests/test_fuzz.py`` a
little of it, ``tests/long/fuzz.py`` by coverage for as long as there is time).

An input is either read or refused with a message (`InputRefused`, exit code 2). Everything else is a finding:
another exception (it would be an internal fault, exit code 4), more than 5 s, more than 500 MB on top, a file
opened for writing, renamed or removed outside the folder of the run.
"""

from __future__ import annotations

import atexit
import datetime
import io
import json
import os
import random
import shutil
import sqlite3
import sys
import tempfile
import zipfile
from collections.abc import Callable, Mapping
from contextlib import closing, suppress
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

from partsolver.base.errors import InputRefused, NotDecided
from partsolver.base.textfile import decoded
from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.lists.limits import NotRead

FILES = Path(__file__).parent / "catalog" / "files"
DAY = datetime.date(2026, 11, 16)
SECONDS = 5
MOST_MB = 500
# Small enough that many inputs are tried; limits of size have their own tests (tests/catalog/test_bad_files.py).
MOST_BYTES = 100_000


class Target(NamedTuple):
    """A reader: what it does with bytes, and whole inputs to start from."""

    read: Callable[[bytes], object]
    seeds: Callable[[], list[bytes]]


# ---------------------------------------------------------------------------------------------- where files lie


@cache
def folder() -> Path:
    """A folder of this process, in memory where the machine has such a place."""
    shared = Path("/dev/shm")
    found = Path(tempfile.mkdtemp(prefix="fuzz-", dir=shared if shared.is_dir() else None))
    atexit.register(shutil.rmtree, found, ignore_errors=True)
    return found


def _file(name: str, data: bytes) -> Path:
    path = folder() / name
    path.write_bytes(data)
    return path


WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT
NO_BUSINESS = (
    "os.rename",
    "os.remove",
    "os.rmdir",
    "os.mkdir",
    "subprocess.Popen",
    "socket.connect",
    "os.system",
)
written: list[str] = []


def _watch(event: str, found: tuple[Any, ...]) -> None:
    if event == "open":
        if not (isinstance(found[2], int) and found[2] & WRITES):
            return
    elif event not in NO_BUSINESS:
        return
    place = str(found[0])
    # (found[1] of os.remove is an open folder that a bare name lies in: shutil.rmtree of this file does that)
    inside = place.startswith((str(folder()), *_own)) or (event == "os.remove" and found[1] >= 0)
    if not inside:
        written.append(f"{event} {place}")


_own: list[str] = []


def watch_writes(*own: str) -> None:
    """From now on note what is written outside the folder, and outside the runner's own ones (Python's audit
    events; cannot be ended)."""
    _own.extend((str(folder()), "/dev/null", *own))
    sys.addaudithook(_watch)


# ---------------------------------------------------------------------------------------------- readers


def _survey(data: bytes) -> object:
    from partsolver.survey.load import read_survey

    return read_survey(decoded(Path("pc.toml"), data), "pc.toml")


def _edited(data: bytes) -> object:
    """A survey that a person wrote, filled by answers and by what a tool printed."""
    from partsolver.survey.edit import with_answers, with_wishes
    from partsolver.survey.merge import merge
    from partsolver.survey.readers import read_source
    from partsolver.survey.update import update

    text = decoded(Path("pc.toml"), data)
    dumps = [merge(read_source(dump, "dump")) for dump in _dump_seeds()[:2]]
    from partsolver.survey.load import read_survey

    read_survey(text, "pc.toml")  # what cannot be read is not edited
    read_survey(update(text, dumps[len(data) % 2], "pc.toml").text, "pc.toml")
    read_survey(with_answers(text, {"psu.rated_w": "350 W", "pc.brand": "no"}, "pc.toml"), "pc.toml")
    return read_survey(with_wishes(text, {"budget": "90.00", "goal": None}, "pc.toml"), "pc.toml")


def _survey_seeds() -> list[bytes]:
    demo = (data_folder() / "demo-survey.toml").read_bytes()
    short = (
        b'[case]\nname = "case"\n[psu]\nrail_12v_ma = [14000, 15000]\n[[drive]]\nname = "d"\nkind = "hdd35"\n'
    )
    return [demo, short, short + b'[brief]\nbudget = "120.00"\nuse = "office"\nneed_by = 2026-12-01\n']


def _tables(table: str) -> Callable[[bytes], object]:
    """One table of a small catalogue, the others as they are."""

    def read(data: bytes) -> object:
        from partsolver.catalog.load import load_catalog

        place, name = folder() / "catalogue", f"{table}.csv" if table != "catalog" else "catalog.toml"
        if not place.exists():
            _small_catalogue(place)
        (place / name).write_bytes(data)
        try:
            return load_catalog(place)
        finally:
            shutil.copy(folder() / "whole" / name, place / name)

    return read


def _small_folder() -> Path:
    return folder() / "whole"


def _small_catalogue(place: Path, rows: int = 4) -> None:
    """The demo with a few rows of each part table, and whatever of the others speaks of them."""
    for to in (place, folder() / "whole"):
        shutil.copytree(data_folder() / "demo", to, dirs_exist_ok=True)
        ids = set()
        for path in sorted(to.glob("*.csv")):
            lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
            if path.stem in ("offers", "bundles", "sellers"):
                continue
            path.write_text("".join(lines[: rows + 1]), encoding="utf-8")
            ids |= {line.partition(",")[0] for line in lines[1 : rows + 1]}
        for name in ("offers", "bundles"):
            lines = (to / f"{name}.csv").read_text(encoding="utf-8").splitlines(keepends=True)
            kept = [line for line in lines[1:] if name == "offers" and line.partition(",")[0] in ids]
            (to / f"{name}.csv").write_text("".join([lines[0], *kept]), encoding="utf-8")


def _table_seeds(table: str) -> Callable[[], list[bytes]]:
    def seeds() -> list[bytes]:
        if not (folder() / "whole").exists():
            _small_catalogue(folder() / "catalogue")
        name = f"{table}.csv" if table != "catalog" else "catalog.toml"
        whole = data_folder() / "demo" / name
        return [(folder() / "whole" / name).read_bytes(), whole.read_bytes()[:MOST_BYTES]]

    return seeds


def _store(data: bytes) -> object:
    from partsolver.catalog.load import load_catalog
    from partsolver.catalog.store import store_path

    place = folder() / "store"
    shutil.rmtree(place, ignore_errors=True)
    place.mkdir()
    store_path(place).write_bytes(data)
    return load_catalog(place)


@cache
def _store_seed() -> bytes:
    from partsolver.catalog.adding import add
    from partsolver.catalog.sources import Wishes
    from partsolver.catalog.store import store_path

    place = folder() / "seed-store"
    add([FILES / "pages"], place, Wishes("EUR", DAY))
    return store_path(place).read_bytes()


def _store_cell(data: bytes) -> object:
    """A store of which one cell holds what nobody would have written there: three bytes choose it, the rest
    is its text (or its bytes, or a number where it reads as one)."""
    from partsolver.catalog.load import load_catalog
    from partsolver.catalog.store import store_path

    place = folder() / "store-cell"
    shutil.rmtree(place, ignore_errors=True)
    place.mkdir()
    store_path(place).write_bytes(_store_seed())
    at, held = (*data[:4], 0, 0, 0, 0), data[4:]
    value = (held.decode("utf-8", "replace"), held, _as_number(held), None)[at[3] % 4]
    with closing(sqlite3.connect(store_path(place))) as connection, suppress(sqlite3.Error):
        query = "SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name"
        tables = [row[0] for row in connection.execute(query)]
        table = tables[at[0] % len(tables)]
        names = [row[1] for row in connection.execute(f"PRAGMA table_info({table})")]
        key = names[0]
        keys = [row[0] for row in connection.execute(f"SELECT {key} FROM {table}")]
        if keys:
            name = names[at[1] % len(names)]
            chosen = keys[at[2] % len(keys)]
            connection.execute(f"UPDATE OR IGNORE {table} SET {name} = ? WHERE {key} = ?", (value, chosen))
            connection.commit()
    return load_catalog(place)


def _as_number(held: bytes) -> int | float | None:
    with suppress(ValueError, OverflowError):
        number = float(held)
        return int(number) if number.is_integer() and abs(number) < 2**62 else number
    return None


def _cell_seeds() -> list[bytes]:
    texts = (b"4", b"-1", b"9999-12-31", b"typed", b'{"name": "x"}', b"am4", b"89.90")
    return [bytes([n, n % 7, n % 5, n % 4]) + text for n in range(40) for text in texts]


def _listed(data: bytes) -> object:
    from partsolver.catalog.sources import Wishes, read_data

    return read_data(data, "north", "north", DAY, Wishes("EUR", DAY, tax="final"), {})


def _sheet_xml(data: bytes) -> object:
    """A workbook with this as its first sheet (bytes turned inside a packed file only break its check
    sum)."""
    parts = dict(_workbook())
    name = next(name for name in parts if "worksheets/" in name)
    parts[name] = data
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as package:
        for part, held in parts.items():
            package.writestr(part, held)
    return _listed(buffer.getvalue())


@cache
def _workbook() -> tuple[tuple[str, bytes], ...]:
    with zipfile.ZipFile(FILES / "pricelist.xlsx") as package:
        return tuple((name, package.read(name)) for name in package.namelist())


def _sheet_xml_seeds() -> list[bytes]:
    whole = next(held for name, held in _workbook() if "worksheets/" in name)
    rows = whole.split(b"</row>")
    short = b"</row>".join(rows[:8]) + b"</row></sheetData></worksheet>"
    return [short]


def _page_seeds() -> list[bytes]:
    return [
        path.read_bytes()
        for path in sorted([*(FILES / "pages").iterdir(), *(FILES / "makers").glob("*.html")])
    ]


def _sheet_seeds() -> list[bytes]:
    pasted = (
        b"Name;Price;Stock\nTollmere B550M-99 Micro ATX AM4 DDR4 Motherboard;89,90;3\n"
        b"Velox V3 4 cores 3.6 GHz AM4;54,00;yes\n16 GB DDR4-3200 kit (2 x 8 GB);31,00;12\n"
    )
    rows = [{"name": "16 GB DDR4-3200 (2x8GB)", "price": "31.00", "currency": "EUR", "stock": 3}]
    return [
        pasted,
        pasted.replace(b";", b"\t"),
        json.dumps(rows).encode(),
        (FILES / "platforms.csv").read_bytes(),
    ]


def _packed_seeds() -> list[bytes]:
    return [(FILES / "pricelist.xlsx").read_bytes()]


def _pdf_seeds() -> list[bytes]:
    return [path.read_bytes() for path in sorted((FILES / "makers").glob("*.pdf"))]


def _dump(data: bytes) -> object:
    from partsolver.survey.merge import merge
    from partsolver.survey.readers import read_source
    from partsolver.survey.write import render

    return render(merge(read_source(data, "dump")))


def _dump_seeds() -> list[bytes]:
    from survey.survey_data import all_dumps

    return [data[:MOST_BYTES] for data in all_dumps().values()]


@cache
def _demo() -> Any:
    from partsolver.catalog.load import load_catalog

    return load_catalog(data_folder() / "demo")


def _plan_file(data: bytes) -> object:
    from partsolver.planfile.plan_file import read_plan_file

    return read_plan_file(_file("plan.json", data), catalog=_demo())


@cache
def _plan_seed() -> bytes:
    from partsolver.cli import run

    out = folder() / "seed.plan.json"
    survey = str(data_folder() / "demo-survey.toml")
    with open(os.devnull, "w") as null, suppress(SystemExit):
        shown, sys.stdout = sys.stdout, null
        try:
            run(["recommend", survey, "--demo", "--alternatives", "1", "--out", str(out)])
        finally:
            sys.stdout = shown
    return out.read_bytes()


def _measured(data: bytes) -> object:
    from partsolver.measure.records import read_measurement

    return read_measurement(_file("run.json", data))


def _measured_seeds() -> list[bytes]:
    from measure.samples import sample

    return [json.dumps(sample(disk).document()).encode() for disk in (None, {"rotational": True})]


def _pairs(data: bytes) -> object:
    from measure.samples import sample

    from partsolver.measure.fit import read_pairs
    from partsolver.report.measure import measurement_json

    for name, run in (("before.json", sample()), ("after.json", sample(serial=2000.0))):
        if not (folder() / name).exists():
            _file(name, measurement_json(run).encode())
    return read_pairs(_file("pairs.csv", data))


def _pairs_seeds() -> list[bytes]:
    return [b"before,after,before_s,after_s\nbefore.json,after.json,83.5,41.2\n"]


def _answers(data: bytes) -> object:
    from partsolver.survey.interview.answers import load_answers

    return load_answers(_file("pc.answers.toml", data))


def _answers_seeds() -> list[bytes]:
    from survey.survey_data import PC

    lines = "\n".join(f'"{key}" = {json.dumps(value)}' for key, value in PC.items())
    return [lines.encode(), b'[psu]\nmain_plug = "24"\nrated_w = "350 W"\n']


def _typed(data: bytes) -> object:
    """The first byte chooses the question, the rest is what is typed."""
    from partsolver.survey.interview.kinds import answer_text, read_answer
    from partsolver.survey.interview.questions import QUESTIONS

    question = QUESTIONS[data[0] % len(QUESTIONS) if data else 0]
    try:
        value = read_answer(question, data[1:].decode("utf-8", "replace"))
    except ValueError as error:
        return str(error)
    return answer_text(question, value)


def _typed_seeds() -> list[bytes]:
    from survey.survey_data import PC

    return [bytes([n]) + text.encode() for n, text in enumerate(list(PC.values())[:120])]


def _cells(data: bytes) -> object:
    from partsolver.cli.ask import _answers as read

    return read(_file("cells.toml", data))


def _shelf(data: bytes) -> object:
    from partsolver.fleet import reading

    name = "shelf.csv" if data[:5] != b"part," or b"count" in data[:40] else "price-breaks.csv"
    path = _file(name, data)
    return reading._shelf(path, _demo()) if name == "shelf.csv" else reading._breaks(path, _demo())


def _shelf_seeds() -> list[bytes]:
    offer = _demo().tables["offers"][0]
    return [
        f"part,count,condition\n{offer.part},3,used\n".encode(),
        f"part,seller,from,price\n{offer.part},{offer.seller},5,3.50\n".encode(),
    ]


TABLES = (
    "catalog", "boards", "cpus", "memory", "coolers", "psus", "cases", "drives", "graphics", "extras", "sellers",
    "offers", "bundles",
)  # fmt: skip
TARGETS: Mapping[str, Target] = {
    "survey": Target(_survey, _survey_seeds),
    "survey-edit": Target(_edited, _survey_seeds),
    **{f"table-{name}": Target(_tables(name), _table_seeds(name)) for name in TABLES},
    "store": Target(_store, lambda: [_store_seed()]),
    "store-cell": Target(_store_cell, _cell_seeds),
    "page": Target(_listed, _page_seeds),
    "sheet": Target(_listed, _sheet_seeds),
    "packed-sheet": Target(_listed, _packed_seeds),
    "sheet-xml": Target(_sheet_xml, _sheet_xml_seeds),
    "pdf": Target(_listed, _pdf_seeds),
    "dump": Target(_dump, _dump_seeds),
    "plan-file": Target(_plan_file, lambda: [_plan_seed()]),
    "measurement": Target(_measured, _measured_seeds),
    "pairs": Target(_pairs, _pairs_seeds),
    "answers-file": Target(_answers, _answers_seeds),
    "typed-answer": Target(_typed, _typed_seeds),
    "fact-answers": Target(_cells, lambda: [b'[board-1]\nmemory_slots = 4\nflash_without_cpu = "?"\n']),
    "shelf": Target(_shelf, _shelf_seeds),
}


def refused(read: Callable[[bytes], object], data: bytes) -> bool:
    """Read one input; whether it was refused. Raises whatever else is raised, and what was written
    elsewhere."""
    written.clear()
    try:
        read(data)
    except (InputRefused, NotDecided, NotRead) as error:
        assert str(error), "a refusal says why"
        return True
    finally:
        if written:
            raise AssertionError(f"written outside the folder: {written}")
    return False


# ---------------------------------------------------------------------------------------------- odd inputs

ODD = (
    b"", b"0", b"-1", b"1", b"999999999999999999999", b"1e999", b"-1e-999", b"nan", b"inf", b"0x10", b"1_000",
    b"1.000,00", b"9999-12-31", b"0001-01-01", b"2024-02-30", b"unknown", b"none", b"?", b"true", b"yes", b"''", b'""',
    b"[]", b"{}", b"null", b"\x00", b"\xff", b"\xef\xbb\xbf", b"\xe2\x80\xae", b"\xc2\x85", b"\xed\xa0\x80", b"\r",
    b"\n", b"\r\n", b",", b";", b"\t", b'"', b"'", b"=", b":", b"[[", b"]]", b"{", b"}", b"<", b">", b"&", b"%", b"$",
    b"../../x", b"/dev/zero", b"a" * 300, b"9" * 400, b"[" * 200, b"{" * 200, "٣".encode(), "½".encode(), "²".encode(),
    "１２".encode(), b"kept-board", b"A" * 64, b"1/0", b"0 mm", b"-5 W", b"3 GB", b"1e5", b"+1", b" 1 ",
)  # fmt: skip


def changed(data: bytes, chance: random.Random, seeds: list[bytes]) -> bytes:
    """The bytes with one to four pieces replaced: words and numbers by odd ones or by those of another input,
    lines left out, doubled or moved, bytes turned."""
    for _ in range(chance.randint(1, 4)):
        data = _CHANGES[chance.randrange(len(_CHANGES))](data or b"\n", chance, seeds)
    return data[:MOST_BYTES]


def _span(data: bytes, chance: random.Random) -> tuple[int, int]:
    """Begin and end of the word around a random place."""
    at = chance.randrange(len(data))
    begin = end = at
    while begin > 0 and chr(data[begin - 1]).isalnum() and at - begin < 40:
        begin -= 1
    while end < len(data) and (chr(data[end]).isalnum() or data[end] in b"-._") and end - at < 40:
        end += 1
    return begin, max(end, at + 1)


def _odd_word(data: bytes, chance: random.Random, seeds: list[bytes]) -> bytes:
    begin, end = _span(data, chance)
    return data[:begin] + chance.choice(ODD) + data[end:]


def _other_word(data: bytes, chance: random.Random, seeds: list[bytes]) -> bytes:
    other = chance.choice(seeds)
    if not other:
        return data
    begin, end = _span(data, chance)
    first, last = _span(other, chance)
    return data[:begin] + other[first:last] + data[end:]


def _lines(data: bytes, chance: random.Random, seeds: list[bytes]) -> bytes:
    lines = data.split(b"\n")
    at, to = chance.randrange(len(lines)), chance.randrange(len(lines))
    what = chance.randrange(4)
    if what == 0:
        del lines[at]
    elif what == 1:
        lines.insert(to, lines[at])
    elif what == 2:
        lines[at], lines[to] = lines[to], lines[at]
    else:
        lines.insert(to, chance.choice(chance.choice(seeds).split(b"\n")))
    return b"\n".join(lines)


def _bytes(data: bytes, chance: random.Random, seeds: list[bytes]) -> bytes:
    at = chance.randrange(len(data))
    what = chance.randrange(4)
    if what == 0:
        return data[:at] + bytes([chance.randrange(256)]) + data[at + 1 :]
    if what == 1:
        return data[:at] + data[at + chance.randint(1, 30) :]
    if what == 2:
        return data[:at]
    return data[:at] + chance.randbytes(chance.randint(1, 8)) + data[at:]


_CHANGES = (_odd_word, _odd_word, _odd_word, _other_word, _other_word, _lines, _bytes)
