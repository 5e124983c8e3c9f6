"""kill -9 and Ctrl-C at random moments of whatever writes: each kind of file that the program makes, in a child
process that is a copy of this one (so that a hundred of them take seconds).

Half of the moments are spread over the whole command, half lie in the milliseconds after its first opening for
writing. ``tests/test_killed.py`` tries a few, ``tests/long/kill_run.py`` hundreds.
"""

from __future__ import annotations

import json
import os
import random
import shutil
import signal
import sys
import time
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from fuzz_targets import FILES, WRITES, _measured_seeds

from partsolver.base.textfile import write_folder, write_text
from partsolver.catalog.dictionary import data_folder
from partsolver.cli import run

DATA = Path(__file__).parent / "survey" / "data"
Work = Callable[[Path], object]


def _run(*arguments: str) -> Work:
    """The command line, {} being the folder."""
    return lambda folder: run([argument.replace("{}", str(folder)) for argument in arguments])


def _notes(folder: Path) -> None:
    """What the desk keeps beside a survey while somebody works at the bench."""
    write_text(folder / "pc.bench.json", json.dumps({"notes": ["x" * 2000] * 20}) + "\n")


def _measurement(folder: Path) -> None:
    """What ``measure --out`` writes after its minutes of work."""
    write_text(folder / "run.json", _measured_seeds()[1].decode() * 10)


def _scores(folder: Path) -> None:
    from partsolver.measure.into import edit_row

    text = (folder / "tables" / "cpus.csv").read_text(encoding="utf-8")
    first = text.splitlines()[1].partition(",")[0]
    changed, _ = edit_row(text, first, {"serial_score": "1234"})
    write_text(folder / "tables" / "cpus.csv", changed, text)


def _sheets_of_a_fleet(folder: Path) -> None:
    """What ``fleet --out`` and the folder of an audit's counter-example are written by."""
    write_folder(folder / "sheets", {f"sheet-{n}.html": f"<p>{n}</p>" * 3000 for n in range(8)})


DUMPS = [str(DATA / name) for name in ("dmidecode-nx41.txt", "lscpu-comma.txt")]
ANSWERS = '"pc.brand" = "no"\n"psu.rated_w" = "350 W"\n"psu.year" = "2009"\n'
KINDS: Mapping[str, Work] = {
    "plan file": _run("recommend", "{}/pc.toml", "--catalog", "{}/tables", "--alternatives", "1", "--out", "{}/pc.plan.json"),
    "bench sheet": _run("sheet", "{}/old.plan.json", "--catalog", "{}/tables", "--format", "html", "--out", "{}/sheet.html"),
    "survey": _run("survey", "import", *DUMPS, "--out", "{}/pc.toml", "--keep-mine"),
    "new survey": _run("survey", "import", *DUMPS, "--out", "{}/new.toml"),
    "interview": _run("survey", "new", "--out", "{}/asked.toml", "--answers", "{}/answers.toml"),
    "catalogue folder": _run("catalog", "new", "{}/parts"),
    "store": _run("catalog", "add", str(FILES / "pages"), "--into", "{}/store"),
    "word on a fact": _run("catalog", "set", "br-k10m", "memory_slots=2", "--catalog", "{}/store"),
    "exported tables": _run("catalog", "export", "{}/exported", "--catalog", "{}/store"),
    "tables beside others": _run("catalog", "export", "{}/notes", "--catalog", "{}/store"),
    "measurement": _measurement,
    "measured scores": _scores,
    "notes of the bench": _notes,
    "folder of sheets": _sheets_of_a_fleet,
}  # fmt: skip


def begin(folder: Path) -> None:
    """A folder as a person has it: survey, tables, a store, an older plan, notes."""
    from fuzz_targets import _small_catalogue, _small_folder

    folder.mkdir(parents=True)
    shutil.copy(data_folder() / "demo-survey.toml", folder / "pc.toml")
    if not _small_folder().exists():
        _small_catalogue(_small_folder())
    shutil.copytree(_small_folder(), folder / "tables")
    (folder / "answers.toml").write_text(ANSWERS)
    (folder / "notes").mkdir()
    (folder / "notes" / "mine.txt").write_text("mine")
    quietly(_run("catalog", "add", str(data_folder() / "demo"), "--into", "{}/store"), folder)
    quietly(KINDS["plan file"], folder)
    (folder / "pc.plan.json").rename(folder / "old.plan.json")


def quietly(work: Work, folder: Path) -> int:
    """Do it without output; its exit code."""
    with open(os.devnull, "w") as null:
        kept, sys.stdout, sys.stderr = (sys.stdout, sys.stderr), null, null
        try:
            return int(work(folder) or 0)  # type: ignore[call-overload]
        finally:
            sys.stdout, sys.stderr = kept


def contents(folder: Path) -> dict[str, Any]:
    """What every file says: its bytes; a store by its rows (its pages may lie otherwise)."""
    found: dict[str, Any] = {}
    for path in sorted(folder.rglob("*")):
        name = str(path.relative_to(folder))
        if path.name == "catalog.sqlite":
            found[name] = _rows(path)
        elif path.is_file() and not path.name.startswith("catalog.sqlite-"):
            found[name] = path.read_bytes()
    return found


def _rows(path: Path) -> tuple[str, ...]:
    import sqlite3
    from contextlib import closing

    with closing(sqlite3.connect(path)) as connection:
        return tuple(sorted(connection.iterdump()))


def killed(work: Work, folder: Path, wait_s: float, after_writing: bool, number: int = signal.SIGKILL) -> int:
    """A child does the work and is sent a signal so many seconds after it began (or after it first opened a
    file of the folder for writing). Its exit code, negative for the signal that ended it."""
    told, tells = os.pipe()
    # The child hears of Ctrl-C only where it is caught: else it would go on as this process.
    signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    child = os.fork()
    if child == 0:
        os.close(told)
        _in_child(work, folder, tells)
    signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})
    os.close(tells)
    if after_writing:
        os.read(told, 1)  # "w", or nothing when it ended
    time.sleep(wait_s)
    with _gone():
        os.kill(child, number)
    _, status = os.waitpid(child, 0)
    os.close(told)
    return os.waitstatus_to_exitcode(status)


def _in_child(work: Work, folder: Path, tells: int) -> None:
    told = False

    def watch(event: str, found: tuple[Any, ...]) -> None:
        nonlocal told
        writes = event == "open" and isinstance(found[2], int) and found[2] & WRITES
        if not told and (writes or event in ("sqlite3.connect", "os.mkdir")) and str(folder) in str(found[0]):
            told = True
            os.write(tells, b"w")

    sys.addaudithook(watch)
    code = 70
    try:
        signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})
        code = quietly(work, folder)
    except KeyboardInterrupt:
        code = 130
    finally:
        os._exit(code)


def _gone() -> Any:
    from contextlib import suppress

    return suppress(ProcessLookupError)


@cache
def duration(kind: str, begun: Path, place: Path) -> float:
    """Seconds that a child takes for it."""
    shutil.copytree(begun, place / "timed")
    began = time.monotonic()
    killed(KINDS[kind], place / "timed", 0, False, 0)
    took = time.monotonic() - began
    shutil.rmtree(place / "timed")
    return took


def kill_at_random(kind: str, begun: Path, place: Path, times: int, chance: random.Random) -> dict[str, int]:
    """Kill a kind of work midway so many times; how often it was, and how often it had ended before. Raises
    AssertionError where a file is half written, or where what was left is in the way of the next run or stays,
    or where nine of ten had ended before."""
    work, folder = KINDS[kind], place / "pc"
    shutil.copytree(begun, folder)
    old = contents(folder)
    assert quietly(work, folder) == 0, kind
    new = contents(folder)
    assert new != old, kind
    took = duration(kind, begun, place)
    counts = {"killed": 0, "ended before": 0}
    for at in range(10 * times):
        if counts["killed"] == times:
            break
        shutil.rmtree(folder)
        shutil.copytree(begun, folder)
        after = at % 2 == 1
        code = killed(work, folder, chance.uniform(0, 0.01 if after else took), after)
        assert code in (0, -signal.SIGKILL), (kind, code)
        counts["killed" if code else "ended before"] += 1
        for name, data in contents(folder).items():
            whole = data in (old.get(name), new.get(name))
            assert whole or name.endswith(".part") or ".part/" in name, f"{kind}: {name} is half written"
        if contents(folder) in (old, new):
            continue  # nothing is left of it
        again = quietly(work, folder)
        assert again == 0 or contents(folder) == new, f"{kind}: cannot be run again ({again})"
        assert contents(folder) == new, f"{kind}: something was left behind"
    shutil.rmtree(folder)
    assert counts["killed"] == times, f"{kind}: {counts}"
    return counts
