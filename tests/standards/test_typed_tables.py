"""Every number of the tables, stated a second time.

``data/*.csv`` hold the tables as they were typed from the documents named in each row, without looking at the
product: one file per module of ``standards/`` (``uses.csv`` for the uses), one row per cell. Columns:

- ``name``: the table, the key in brackets, the field after a point (``SLOT_POWER[16].graphics_mw``);
- ``value``: what the product must hold, cell by cell;
- ``low``, ``high``: what the document allows where it states a span (else the value again, or empty for
  words);
- ``unit``, ``document``, ``place`` (section, table, page), ``confidence`` (high, medium, low).

``settings.csv`` has ``accepted_low`` and ``accepted_high`` besides: the range that a user may set, which
rests on no document and is stated twice so that nobody moves it unseen. "boards", "loads", "memory", "speed",
"start reference" are the project's collections of facts; the document behind each is named in the same row
where there is one.
"""

import csv
import dataclasses
import importlib
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import ModuleType

import pytest

from partsolver import standards
from partsolver.standards.settings import SETTINGS

DATA = Path(__file__).parent / "data"
CONFIDENCES = {"high", "medium", "low"}

# Words for a reader, not facts: what a system or a use is called, and how sure the product says it is.
WORDS = {"meaning", "title", "basis", "confidence"}


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def key_text(key: object) -> str:
    """A key as the files write it: the parts of a tuple with commas between them."""
    return ",".join("" if part is None else str(part) for part in key) if isinstance(key, tuple) else str(key)


def cells(name: str, value: object) -> Iterator[tuple[str, str]]:
    """Every cell of a table as (name, text), down to plain numbers and words; a set of words is one cell."""
    if isinstance(value, Mapping):
        for key, inner in value.items():
            yield from cells(f"{name}[{key_text(key)}]", inner)
    elif dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            if field.name in WORDS:
                continue
            yield from cells(f"{name}.{field.name}", getattr(value, field.name))
    elif isinstance(value, frozenset | set):
        yield name, " ".join(sorted(key_text(item) for item in value))
    elif isinstance(value, tuple | list):
        if all(isinstance(item, str | int) or item is None for item in value):
            yield name, " ".join("-" if item is None else str(item) for item in value)
        else:
            for number, item in enumerate(value):
                yield from cells(f"{name}[{number}]", item)
    else:
        yield name, "-" if value is None else str(value)


def tables(module: ModuleType) -> dict[str, object]:
    """The tables and numbers that a module defines itself: its names in capitals."""
    source = Path(str(module.__file__)).read_text(encoding="utf-8")
    return {
        name: value
        for name, value in vars(module).items()
        if re.fullmatch(r"_?[A-Z][A-Z0-9_]*", name) and re.search(rf"^{name}\b", source, re.MULTILINE)
    }


def typed_tables(name: str) -> set[str]:
    """The tables of which a file holds cells."""
    return {re.split(r"[\[.]", row["name"])[0] for row in rows(name)}


def module_of(name: str) -> ModuleType:
    return importlib.import_module(
        "partsolver.wishes.uses" if name == "uses" else f"partsolver.standards.{name}"
    )


FILES = sorted(path.stem for path in DATA.glob("*.csv") if path.stem != "settings")

# What is not typed, and why. A whole module, or one name of it.
NOT_TYPED = {
    "cpu_signatures": "a table of data (cpu_signatures.csv) compared with recorded firmware dumps in its own test",
    "firmware_versions": "patterns of words, each with its own examples in test_firmware_versions.py",
    "setting_rows_boards": "rows of SETTINGS, typed in settings.csv",
    "setting_rows_drives": "rows of SETTINGS, typed in settings.csv",
    "setting_rows_masses": "rows of SETTINGS, typed in settings.csv",
    "setting_rows_measure": "rows of SETTINGS, typed in settings.csv",
    "setting_rows_other": "rows of SETTINGS, typed in settings.csv",
    "setting_rows_power": "rows of SETTINGS, typed in settings.csv",
    "setting_rows_speed": "rows of SETTINGS, typed in settings.csv",
    "settings": "rows of SETTINGS, typed in settings.csv",
    "smbios": "words of a published code list, checked against real dumps in tests/survey",
    "smbios_tables": "a published code list of words, no limit",
    "boards._ROUNDING_UM": "our own tolerance for rounding micrometres to millimetres",
    "isa._SPELLINGS": "other spellings of words",
}


@pytest.mark.parametrize("name", FILES)
def test_every_cell_is_what_was_typed(name: str):
    module, claimed = module_of(name), typed_tables(name)
    product = {
        cell: text
        for table, value in tables(module).items()
        if table in claimed
        for cell, text in cells(table, value)
    }
    typed = {row["name"]: row["value"] for row in rows(name)}
    assert len(typed) == len(rows(name)), "a name stands twice"
    assert product == typed


@pytest.mark.parametrize("name", [*FILES, "settings"])
def test_every_typed_row_has_its_source_and_its_value_inside_the_span(name: str):
    for row in rows(name):
        assert row["document"] and row["place"], row
        assert row["confidence"] in CONFIDENCES, row
        if row["low"] or row["high"]:
            assert int(row["low"]) <= int(row["value"]) <= int(row["high"]), row
        if row["document"] in {"judgement", "from memory"}:
            assert row["confidence"] != "high", row


def test_no_record_of_a_standard_can_be_changed_or_grown():
    """A table is read by all: whoever could write into a row would change it for everybody."""
    found = {
        value
        for path in Path(str(standards.__file__)).parent.glob("*.py")
        for value in vars(importlib.import_module(f"partsolver.standards.{path.stem}")).values()
        if isinstance(value, type) and dataclasses.is_dataclass(value)
    }
    assert len(found) > 10
    for record in found:
        assert record.__dataclass_params__.frozen and "__slots__" in vars(record), record


def test_every_table_of_the_standards_is_typed_or_excused():
    untyped = []
    for path in sorted(Path(str(standards.__file__)).parent.glob("*.py")):
        name = path.stem
        if name == "__init__" or name in NOT_TYPED:
            continue
        claimed = typed_tables(name) if name in FILES else set()
        untyped += [
            f"{name}.{table}"
            for table in tables(importlib.import_module(f"partsolver.standards.{name}"))
            if table not in claimed and f"{name}.{table}" not in NOT_TYPED
        ]
    assert not untyped, "type these into tests/standards/data/*.csv from their document"


def test_no_excuse_is_left_over():
    for excuse in NOT_TYPED:
        module_name, _, table = excuse.partition(".")
        module = importlib.import_module(f"partsolver.standards.{module_name}")
        assert not table or table in tables(module), excuse
        assert not table or table not in typed_tables(module_name), excuse


def test_every_setting_is_what_was_typed():
    typed = {row["name"]: row for row in rows("settings")}
    assert len(typed) == len(rows("settings")), "a name stands twice"
    assert set(typed) == set(SETTINGS), "every setting stands in settings.csv"
    for name, setting in SETTINGS.items():
        row = typed[name]
        told = (str(setting.value), setting.unit, str(setting.low), str(setting.high))
        assert told == (row["value"], row["unit"], row["accepted_low"], row["accepted_high"]), name
        # Whoever knows better may set any value that the document allows.
        assert setting.low <= int(row["low"]) and int(row["high"]) <= setting.high, name


def test_what_no_document_states_is_marked_so():
    for row in rows("settings"):
        assert row["typed"] in {"value", "span", "judgement"}, row
        if row["typed"] == "judgement":
            assert row["document"] in {"judgement", "from memory"}, row
            assert row["confidence"] == "low", row
            assert SETTINGS[row["name"]].basis in {"judgement", "common practice", "from memory"}, row
