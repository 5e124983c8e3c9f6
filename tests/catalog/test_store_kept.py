"""The packed form of a store: always what its rows and facts say, and gone when another program changed them."""

from __future__ import annotations

import datetime
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from partsolver.catalog.adding import add
from partsolver.catalog.coded import coded, packed, unpacked
from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.load import Catalog, load_catalog
from partsolver.catalog.sources import Wishes
from partsolver.catalog.store import load as store_load
from partsolver.catalog.store import store_path
from partsolver.catalog.store.changing import changing
from partsolver.catalog.store.derive import derive
from partsolver.catalog.store.questions import set_cells

FILES = Path(__file__).parent / "files"
TODAY = datetime.date(2026, 11, 29)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A store of pages (titles, marks, platforms) and of the demo's tables."""
    add([data_folder() / "demo", FILES / "pages"], tmp_path / "parts", Wishes("EUR", TODAY))
    return tmp_path / "parts"


def kept_names(folder: Path) -> set[str]:
    with closing(sqlite3.connect(store_path(folder))) as connection:
        return {row[0] for row in connection.execute("SELECT tab FROM kept")}


def by_rows(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Catalog:
    """The catalogue read row by row."""
    with monkeypatch.context() as patched:
        patched.setattr(store_load, "read_kept", lambda *_: None)
        return load_catalog(folder)


def foreign(folder: Path, *statements: str) -> None:
    """Another program's change."""
    with closing(sqlite3.connect(store_path(folder))) as connection, connection:
        for statement in statements:
            assert connection.execute(statement).rowcount != 0, statement


def test_the_packed_form_says_what_the_rows_say(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert kept_names(folder) >= {"boards", "offers", "sellers", "catalog"}
    packed_form, rows = load_catalog(folder), by_rows(folder, monkeypatch)
    assert packed_form == rows and packed_form.marks and packed_form.price_notes
    part = packed_form.tables["boards"][0].id
    with changing(folder) as connection:
        set_cells(connection, part, [("depth_mm", "211")], TODAY)
    changed = load_catalog(folder)
    assert changed == by_rows(folder, monkeypatch) and changed.part(part).depth_mm == 211  # type: ignore[union-attr]
    assert changed.info.digest != packed_form.info.digest
    with closing(sqlite3.connect(store_path(folder))) as connection, connection:
        derive(connection, (), everything=True)  # from the facts alone
    assert load_catalog(folder) == changed


@pytest.mark.parametrize(
    ("statement", "seen"),
    [
        ("UPDATE wide_boards SET depth_mm = '199'", lambda c: c.tables["boards"][0].depth_mm == 199),
        ("UPDATE current_offers SET price_minor = 77", lambda c: c.tables["offers"][0].price == 77),
        ("DELETE FROM current_offers", lambda c: not c.tables["offers"]),
        ("UPDATE sellers SET name = 'Mudbank'", lambda c: c.tables["sellers"][0].name == "Mudbank"),
        ("UPDATE meta SET value = 'other' WHERE key = 'name'", lambda c: c.info.name == "other"),
        (
            "UPDATE facts SET value = '177' WHERE col = 'depth_mm'",
            lambda c: {b.depth_mm for b in c.tables["boards"]} <= {177, None},
        ),
        (
            "DELETE FROM facts WHERE col = 'depth_mm'",
            lambda c: all(b.depth_mm is None for b in c.tables["boards"]),
        ),
        ("DROP TRIGGER kept_wide_cpus_INSERT", lambda c: c.tables["cpus"]),
    ],
)
def test_another_programs_change_is_noticed(
    folder: Path, monkeypatch: pytest.MonkeyPatch, statement: str, seen: Callable[[Catalog], bool]
) -> None:
    foreign(folder, statement)
    before = store_path(folder).read_bytes()
    catalog = load_catalog(folder)
    assert seen(catalog) and catalog == by_rows(folder, monkeypatch)
    assert store_path(folder).read_bytes() == before
    with changing(folder):
        pass
    assert "facts changed" not in kept_names(folder) and "catalog" in kept_names(folder)
    assert load_catalog(folder) == catalog == by_rows(folder, monkeypatch)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE kept SET form = x'00' WHERE tab = 'boards'",
        "UPDATE kept SET form = 7 WHERE tab = 'boards'",
        "UPDATE kept SET form = zeroblob(length(form)) WHERE tab = 'offers'",
        "DELETE FROM kept WHERE tab = 'cpus'",
        "UPDATE kept SET made_by = '0 older'",
        "DROP TABLE kept",
    ],
)
def test_without_a_whole_packed_form_the_rows_are_read(
    folder: Path, monkeypatch: pytest.MonkeyPatch, statement: str
) -> None:
    before = load_catalog(folder)
    foreign(folder, statement)
    assert load_catalog(folder) == before == by_rows(folder, monkeypatch)


def test_a_catalogue_with_a_fault_is_not_packed(folder: Path) -> None:
    with changing(folder) as connection:
        connection.execute("UPDATE wide_boards SET depth_mm = 'deep'")
    assert kept_names(folder) == set()


@pytest.mark.parametrize("count", [1, 2, 255, 256, 257, 70_000])
def test_codes_give_back_the_cells(count: int) -> None:
    columns = {
        "alike": ["x"] * count,
        "distinct": [f"t {n}" for n in range(count)],
        "some": [f"ü{n % 300}" for n in range(count)],
        "many": [str(n // 2) for n in range(count)],
    }
    found, rows = unpacked(packed({name: coded(cells) for name, cells in columns.items()}, count))
    assert rows == count and {name: own.cells(count) for name, own in found.items()} == columns
