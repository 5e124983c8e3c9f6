"""Catalogues that break the column dictionary: each message names file, line, column, value, what was
expected."""

from __future__ import annotations

import json
import random
import tomllib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from strategies import set_cell, shuffled, table_text, write_catalog
from support import BOARD, COOLER, CPU, KIT, SELLER, TODAY

from partsolver.base.errors import Fault, InputRefused
from partsolver.catalog.dictionary import Column, columns, data_folder, plain_texts, reader
from partsolver.catalog.load import load_catalog
from partsolver.catalog.records import Bundle, Extra, Offer
from partsolver.cli import run

TABLES = {
    "boards": (BOARD,),
    "cpus": (CPU, replace(CPU, id="cpu-b", name="Processor B")),
    "memory": (KIT,),
    "coolers": (COOLER,),
    "extras": (Extra("splitter", "Splitter", kind="sata-power-splitter", count=2),),
    "sellers": (SELLER,),
    "offers": (Offer("board-a", "shop", 4990), Offer("cpu-a", "shop", 8900, 3), Offer("kit-a", "shop", 1905)),
    "bundles": (Bundle("set", "Set", "parts", (("board-a", 1), ("kit-a", 2)), "shop", 7000),),
}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write_catalog(tmp_path / "shop list", TABLES)


def faults(folder: Path) -> tuple[Fault, ...]:
    with pytest.raises(InputRefused) as refused:
        load_catalog(folder)
    return refused.value.faults


def edit(path: Path, old: str, new: str, encoding: str = "utf-8") -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding=encoding)


def test_good_catalogue_loads(folder: Path) -> None:
    catalog = load_catalog(folder)
    assert catalog.tables["boards"] == (BOARD,)
    assert [o.price for o in catalog.tables["offers"]] == [4990, 8900, 1905]
    assert (
        catalog.part("cpu-b") == replace(CPU, id="cpu-b", name="Processor B")
        and catalog.part("nothing") is None
    )
    assert list(catalog.frame("cpus")["id"]) == ["cpu-a", "cpu-b"]


# table, line, column, cell -> what is expected, nearest spelling
CELLS = [
    ("boards", 2, "width_mm", "wide", "a whole number without sign in mm", None),
    ("boards", 2, "width_mm", "244 kg", "in mm", None),
    ("boards", 2, "depth_mm", "-220", "whole number without sign", None),
    ("boards", 2, "depth_mm", "22.5", "whole number", None),
    ("boards", 2, "memory_max_mib", "65 5366", "in MiB", None),
    ("boards", 2, "form_factor", "micraatx", "one of atx, microatx", "'microatx'"),
    ("boards", 2, "memory_generation", "dr4", "one of sdr, ddr, ddr2, ddr3, ddr4, ddr5", "'ddr4'"),
    ("boards", 2, "secure_boot", "maybe", "yes or no", None),
    ("boards", 2, "cpu_plugs", "4+5", "plug sizes 4, 6, 8 or 16 joined with +, or none", None),
    ("boards", 2, "holes", "ABX", "hole letters", None),
    ("boards", 2, "slots", "x16", "slots such as x16:16 x1:1 pci, or none", None),
    ("boards", 2, "m2_slots", "m:80:nvme:3x4", "sockets such as m:80:nvme", None),
    ("boards", 2, "cpu_families", "fam-1", "family:firmware pairs", None),
    ("boards", 2, "socket", "sock 1", "one word without blanks", None),
    ("boards", 2, "id", "Board A", "an id of lower-case letters", None),
    ("boards", 2, "id", "kept-board", "an id that does not begin with kept- or boxed-", None),
    ("cpus", 3, "cores", "fore", "a whole number", None),
    ("cpus", 3, "cores", "", "a whole number", None),
    ("cpus", 3, "memory_rates", "ddr6:9000", "generation:rate pairs such as ddr4:2666", None),
    ("extras", 2, "count", "0", "a whole number from 1", None),  # what adds no plug is divided by otherwise
    ("offers", 3, "price", "-5.00", "an amount that is not negative", None),
    ("offers", 3, "price", "CHF 89", "an amount in EUR", None),
    ("offers", 3, "price", "89.9999", "an amount with at most 2 decimal places", None),
    ("offers", 3, "stock", "some", "a whole number", None),
    ("offers", 3, "price", "1.234", "1234 or 1.234", None),
    ("offers", 3, "available_on", "1/12/2026", "2026-12-01 or 2026-01-12", None),
    ("offers", 3, "valid_until", "2026-02-30", "a date as YYYY-MM-DD", None),
    ("offers", 3, "condition", "usd", "one of new, used, refurbished", "'used'"),
    ("offers", 3, "part", "cpu-aa", "an id of the part tables", "'cpu-a'"),
    ("offers", 3, "seller", "shoop", "an id of sellers.csv", "'shop'"),
    ("offers", 3, "currency", "USD", "EUR", "state a rate"),
    ("bundles", 2, "items", "board-a kit-b*2", "an id of the part tables", "'kit-a'"),
    ("bundles", 2, "items", "board-a*0", "part*count pairs", None),
    ("bundles", 2, "currency", "CHF", "EUR", "state a rate"),
    ("cpus", 3, "id", "cpu-a", "a new id", "cpus.csv line 2"),
    ("coolers", 2, "id", "cpu-a", "a new id", "cpus.csv line 2"),
]


@pytest.mark.parametrize(("table", "line", "column", "value", "expected", "hint"), CELLS)
def test_bad_cell(
    folder: Path, table: str, line: int, column: str, value: str, expected: str, hint: str | None
) -> None:
    set_cell(folder, table, line, column, value)
    fault = next(f for f in faults(folder) if f.where == f"{folder}/{table}.csv:{line} {column}")
    assert fault.value is not None and (
        fault.value == "an empty cell" if value == "" else fault.value in value
    )
    assert fault.expected is not None and expected in fault.expected
    assert hint is None or (fault.hint is not None and hint in fault.hint)


def rewrite(name: str, change: Callable[[bytes], bytes]) -> Callable[[Path], None]:
    return lambda folder: (folder / name).write_bytes(change((folder / name).read_bytes()))


# what is done to the folder -> place, problem, expected or hint
FILES: dict[str, tuple[Callable[[Path], object], str, str, str]] = {
    "file missing": (lambda f: (f / "cpus.csv").unlink(), "cpus.csv", "no such file", "catalog new"),
    "head missing": (
        lambda f: (f / "catalog.toml").unlink(),
        "catalog.toml",
        "no such file",
        "Check the spelling",
    ),
    "file empty": (
        rewrite("cpus.csv", lambda b: b""),
        "cpus.csv",
        "the file is empty",
        "a header line: id,name",
    ),
    "only blanks": (
        rewrite("cpus.csv", lambda b: b"\n \n"),
        "cpus.csv",
        "the file is empty",
        "a header line",
    ),
    "latin-1": (
        rewrite("cpus.csv", lambda b: b.replace(b"Processor B", "Größe".encode("latin-1"))),
        "cpus.csv:3",
        "not UTF-8",
        "encoding UTF-8",
    ),
    "utf-16": (
        rewrite("cpus.csv", lambda b: b.decode().encode("utf-16")),
        "cpus.csv:1",
        "not UTF-8",
        "encoding UTF-8",
    ),
    "semicolons": (
        rewrite("offers.csv", lambda b: b.replace(b",", b";")),
        "offers.csv:1",
        "separated by semicolons",
        "with commas",
    ),
    "tabs": (
        rewrite("offers.csv", lambda b: b.replace(b",", b"\t")),
        "offers.csv:1",
        "separated by tabs",
        "with commas",
    ),
    "unknown column": (
        rewrite("boards.csv", lambda b: b.replace(b"width_mm", b"width_mmm", 1)),
        "boards.csv:1",
        "unknown column",
        "'width_mm'",
    ),
    "other unit": (
        rewrite("boards.csv", lambda b: b.replace(b"depth_mm", b"depth_in", 1)),
        "boards.csv:1",
        "unknown column",
        "'depth_mm'",
    ),
    "required column missing": (
        rewrite("cpus.csv", lambda b: b.replace(b"tdp_w", b"source2", 1)),
        "cpus.csv:1",
        "a required column is missing",
        "in W",
    ),
    "column twice": (
        rewrite("cpus.csv", lambda b: b.replace(b"maker", b"name", 1)),
        "cpus.csv:1",
        "the column stands twice",
        "",
    ),
    "too few cells": (
        rewrite("sellers.csv", lambda b: b + b"more,More shop\n"),
        "sellers.csv:3",
        "wrong number of cells",
        "A comma inside a cell needs quotes",
    ),
    "too many cells": (
        rewrite("sellers.csv", lambda b: b.replace(b"Shop", b"Shop, the")),
        "sellers.csv:2",
        "wrong number of cells",
        "8 as in the header",
    ),
    "a folder": (
        lambda f: ((f / "cpus.csv").unlink(), (f / "cpus.csv").mkdir()),
        "cpus.csv",
        "no such file",
        "",
    ),
    "seller twice": (
        rewrite("sellers.csv", lambda b: b + b.splitlines()[1] + b"\n"),
        "sellers.csv:3 id",
        "stands twice",
        "line 2",
    ),
}


@pytest.mark.parametrize("name", FILES)
def test_bad_file(folder: Path, name: str) -> None:
    spoil, where, problem, told = FILES[name]
    spoil(folder)
    found = [f for f in faults(folder) if f.where.startswith(f"{folder}/{where}") and problem in f.problem]
    assert found, [str(f) for f in faults(folder)]
    assert any(told in f"{f.expected} {f.hint}" for f in found)


HEADS = [
    ('currency = "EUR"', "", "currency", "three capital letters"),
    ('currency = "EUR"', 'currency = "eur"', "currency", "three capital letters"),
    ('currency = "EUR"', 'currency = "ÄÖÜ"', "currency", "three capital letters"),
    (f"as_of = {TODAY}", f'as_of = "{TODAY}"', "as_of", "a date as YYYY-MM-DD without quotes"),
    (f"as_of = {TODAY}", f"as_of = {TODAY}T12:00:00", "as_of", "a date as YYYY-MM-DD without quotes"),
    ("[reference]", "rates = 3\n[reference]", "rates", "a table [rates]"),
    ("[reference]", '[rates]\nUSD = "much"\n[reference]', "rates.USD", "a positive decimal"),
    ("[reference]", "[rates]\nUSD = inf\n[reference]", "rates.USD", "a positive decimal"),
    ("[reference]", "[rates]\nUSD = 0.0\n[reference]", "rates.USD", "a positive decimal"),
    ("[reference]", "[refrence]", "refrence", "'reference'"),
    ("serial_score = 1000", "serial_score = 0", "reference.serial_score", "a whole number above 0"),
    ("serial_score = 1000", "serial_scores = 1000", "reference.serial_scores", "'serial_score'"),
    ('currency = "EUR"', "currency = EUR", "", "not valid TOML"),
]


@pytest.mark.parametrize(("old", "new", "key", "told"), HEADS)
def test_bad_head(folder: Path, old: str, new: str, key: str, told: str) -> None:
    edit(folder / "catalog.toml", old, new)
    assert any(f.where == f"{folder}/catalog.toml {key}".strip() and told in str(f) for f in faults(folder))


def test_all_faults_of_all_files_at_once(folder: Path) -> None:
    """One run says everything, also what depends on other rows: a bad number does not hide an unknown
    part."""
    set_cell(folder, "boards", 2, "width_mm", "wide")
    set_cell(folder, "boards", 2, "form_factor", "round")
    set_cell(folder, "offers", 2, "price", "cheap")
    set_cell(folder, "offers", 3, "part", "cpu-x9")
    set_cell(folder, "offers", 4, "currency", "USD")
    set_cell(folder, "cpus", 3, "id", "cpu-a")
    places = {f.where.removeprefix(f"{folder}/") for f in faults(folder)}
    assert places == {
        "boards.csv:2 width_mm",
        "boards.csv:2 form_factor",
        "offers.csv:2 price",
        "offers.csv:3 part",
        "offers.csv:4 currency",
        "cpus.csv:3 id",
    }


def test_an_unreadable_table_gives_no_false_second_fault(folder: Path) -> None:
    """The parts of a table that cannot be read may well exist: offers for them are not called wrong."""
    (folder / "cpus.csv").write_text("", encoding="utf-8")
    assert [f.where for f in faults(folder)] == [f"{folder}/cpus.csv"]


@pytest.mark.parametrize("column", [c.name for c in columns()["cpus"].values() if c.required])
def test_required_cells_must_be_stated(folder: Path, column: str) -> None:
    set_cell(folder, "cpus", 2, column, "unknown" if column not in ("id", "name") else "")
    fault = next(f for f in faults(folder) if f.where.endswith(f"cpus.csv:2 {column}"))
    assert fault.problem == "must be stated"


def test_blank_is_unknown_and_none_is_written(folder: Path) -> None:
    """A blank cell and `unknown` say that nobody knows, `none` and 0 that there is none. What is assumed of a
    seller is kept, so that a plan can say it."""
    set_cell(folder, "boards", 2, "sata_6g_ports", "")
    set_cell(folder, "boards", 2, "usb2_headers", "unknown")
    set_cell(folder, "boards", 2, "slots", "none")
    board = load_catalog(folder).tables["boards"][0]
    assert (board.sata_6g_ports, board.usb2_headers, board.slots) == (None, None, ())
    header = (folder / "sellers.csv").read_text(encoding="utf-8")
    (folder / "sellers.csv").write_text("id,name\nshop,Shop\n", encoding="utf-8")
    assert header.startswith("id,name,delivery")
    catalog = load_catalog(folder)
    assert catalog.tables["sellers"] == (SELLER,)
    assert {name for table, _, name in catalog.assumed if table == "sellers"} == {
        "delivery", "minimum_order", "delivery_days", "returns_days", "kind",
    }  # fmt: skip


def test_order_bom_line_ends_and_blank_lines_do_not_matter(folder: Path, tmp_path: Path) -> None:
    other = write_catalog(tmp_path / "other", TABLES)
    for path in sorted(other.glob("*.csv")):
        path.write_text(
            shuffled(path.read_text(encoding="utf-8"), random.Random(3)), encoding="utf-8", newline=""
        )
    first, second = load_catalog(folder), load_catalog(other)
    assert first.tables == second.tables
    assert first.info.digest == second.info.digest


@pytest.mark.parametrize(
    "change",
    [
        lambda f: set_cell(f, "offers", 2, "price", "49.91"),
        lambda f: set_cell(f, "boards", 2, "mass_g", "601"),
        lambda f: edit(f / "catalog.toml", "2026-11-20", "2026-11-21"),
        lambda f: (f / "bundles.csv").unlink(),
    ],
)
def test_digest_tells_contents_apart(folder: Path, change: Callable[[Path], None]) -> None:
    before = load_catalog(folder).info.digest
    change(folder)
    assert load_catalog(folder).info.digest != before


# own currency, other, rate, price -> minor units. Exponents by ISO 4217:2015 list one: EUR and USD 2, JPY 0,
# KWD 3.
RATES = [
    ("EUR", "USD", '"0.92"', "50.00", 4600),
    ("EUR", "USD", "0.925", "0.30", 28),  # 27.75 cents, rounded half up
    ("EUR", "JPY", '"0.0061"', "1500", 915),
    ("EUR", "KWD", '"3.0"', "1.234", 370),  # 3.702 EUR
    ("JPY", "EUR", '"160"', "12.50", 2000),
    ("KWD", "EUR", '"0.33"', "10.00", 3300),
]


@pytest.mark.parametrize(("own", "other", "rate", "price", "minor"), RATES)
def test_rates_convert_between_minor_units(
    tmp_path: Path, own: str, other: str, rate: str, price: str, minor: int
) -> None:
    folder = write_catalog(tmp_path, {**TABLES, "bundles": (), "offers": (), "sellers": (SELLER,)}, own)
    set_cell(folder, "sellers", 2, "delivery", "0")
    edit(folder / "catalog.toml", "[reference]", f"[rates]\n{other} = {rate}\n[reference]")
    (folder / "offers.csv").write_text(
        f"part,seller,price,currency\ncpu-a,shop,{price},{other}\n", encoding="utf-8"
    )
    assert [o.price for o in load_catalog(folder).tables["offers"]] == [minor]


def test_price_is_read_in_its_own_minor_units(tmp_path: Path) -> None:
    """Half a yen does not exist, although the catalogue counts in cents."""
    folder = write_catalog(tmp_path, {**TABLES, "bundles": ()})
    edit(folder / "catalog.toml", "[reference]", '[rates]\nJPY = "0.0061"\n[reference]')
    (folder / "offers.csv").write_text(
        "part,seller,price,currency\ncpu-a,shop,10.50,JPY\ncpu-b,shop,10.50,\n", encoding="utf-8"
    )
    assert [f.where for f in faults(folder)] == [f"{folder}/offers.csv:2 price"]


# -- through the command line ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("format", ["text", "json"])
def test_command_line_refuses(
    folder: Path, format: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    set_cell(folder, "boards", 2, "form_factor", "micraatx")
    out = tmp_path / "plan.json"
    for arguments in (
        ["catalog", "check", str(folder)],
        ["recommend", "--catalog", str(folder), "--out", str(out)],
    ):
        assert run([*arguments, "--format", format]) == 2
        printed = capsys.readouterr()
        if format == "json":
            (fault,) = json.loads(printed.out)["faults"]
            assert fault["value"] == "micraatx" and "microatx" in fault["expected"]
        else:
            assert printed.out == ""
        assert (
            f"{folder}/boards.csv:2 form_factor: cannot be read (found 'micraatx'); expected one of atx"
            in printed.err
        )
        assert "Did you mean 'microatx'?" in printed.err and "Traceback" not in printed.err
    assert not out.exists() and sorted(p.name for p in tmp_path.iterdir()) == ["shop list"]


def test_new_catalogue_is_empty_and_right(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "mine"
    assert run(["catalog", "new", str(folder), "--currency", "CHF"]) == 0
    assert {Path(line).name for line in capsys.readouterr().out.splitlines()} == {
        p.name for p in folder.iterdir()
    }
    for table, described in columns().items():
        assert (folder / f"{table}.csv").read_text(encoding="utf-8") == ",".join(described) + "\n"
    guide = (folder / "COLUMNS.md").read_text(encoding="utf-8")
    assert all(
        f"| {column.name} |" in guide and column.meaning in guide
        for table in columns().values()
        for column in table.values()
    )
    assert tomllib.loads((folder / "catalog.toml").read_text(encoding="utf-8"))["currency"] == "CHF"
    assert run(["catalog", "check", str(folder)]) == 0
    shown = capsys.readouterr().out
    assert "CHF" in shown
    assert all(f"{table:<9}" in shown for table in columns())
    # The demo PC with nothing on sale: the proved answer is to keep it.
    assert run(["recommend", "--catalog", str(folder), "--format", "json"]) == 0
    assert '"total": "0.00"' in capsys.readouterr().out


@pytest.mark.parametrize("occupied", ["catalog.toml", "sellers.csv", "COLUMNS.md"])
def test_new_catalogue_overwrites_nothing(
    tmp_path: Path, occupied: str, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / occupied).write_text("mine", encoding="utf-8")
    assert run(["catalog", "new", str(tmp_path)]) == 2
    assert [(p.name, p.read_text(encoding="utf-8")) for p in tmp_path.iterdir()] == [(occupied, "mine")]
    assert str(tmp_path) in capsys.readouterr().err


@pytest.mark.parametrize(
    ("folder", "options", "told"),
    [("file/below", (), "cannot be made"), ("ok", ("--currency", "euro"), "ISO 4217")],
)
def test_new_catalogue_refuses(
    tmp_path: Path, folder: str, options: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    assert run(["catalog", "new", str(tmp_path / folder), *options]) == 2
    assert told in capsys.readouterr().err
    assert [p.name for p in tmp_path.iterdir()] == ["file"]


def test_demo_catalogue_has_the_promised_size() -> None:
    """Issue 2, point 9."""
    sizes = {table: len(rows) for table, rows in load_catalog(data_folder() / "demo").tables.items()}
    least = {
        "boards": 40,
        "cpus": 60,
        "memory": 60,
        "coolers": 15,
        "extras": 25,
        "psus": 12,
        "cases": 8,
        "drives": 12,
        "sellers": 5,
        "offers": 200,
    }
    assert {table: sizes[table] for table, n in least.items() if sizes[table] < n} == {}


@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        ("letters", "B A C", ("A", "B", "C")),
        ("letters", "none", ()),
        ("plugs", "4+8", ("8", "4")),
        ("plugs", "none", ()),
        ("ints", "16000+14000", (16000, 14000)),
        ("levels", "b:1.10 a:F9", (("a", "F9"), ("b", "1.10"))),
        ("rates", "ddr4:2666 ddr3:1600", (("ddr3", 1600), ("ddr4", 2666))),
        ("counts", "kit-a*2 board-a", (("board-a", 1), ("kit-a", 2))),
        ("yesno", "yes", True),
        ("words", "uefi legacy", ("uefi", "legacy")),
    ],
)
def test_cells_are_read(kind: str, text: str, value: object) -> None:
    column = next(c for table in columns().values() for c in table.values() if c.type == kind)
    assert reader(column)(text) == value


_TOLD = ("a", "b-1", "unknown", "Unknown", "", " a", "a ", "kept-a", "boxed-a", "a\nb", "A", "Gehäuse 1", "a\x85",
         "a\u200bb", "\u00a0a", "x" * 70)  # fmt: skip


@pytest.mark.parametrize("name", ["id", "name"])
@pytest.mark.parametrize("first", _TOLD)
@pytest.mark.parametrize("second", _TOLD)
def test_texts_told_all_at_once_are_those_that_their_reader_gives_back(
    name: str, first: str, second: str
) -> None:
    column = columns()["boards"][name]
    plain = all(_given_back(column, cell) for cell in (first, second))
    assert plain or not plain_texts(column, (first, second))
    if {first, second} <= {"a", "b-1"}:
        assert plain and plain_texts(column, (first, second))


def _given_back(column: Column, cell: str) -> bool:
    try:
        return cell.strip().casefold() not in ("", "unknown") and reader(column)(cell.strip()) == cell
    except ValueError:
        return False


def test_writer_of_tests_is_the_inverse() -> None:
    assert table_text("sellers", [SELLER]).splitlines()[1].startswith("shop,Shop,0.00,,0.00,3,14,shop")
