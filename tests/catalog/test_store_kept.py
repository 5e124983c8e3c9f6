"""The packed form of a store: always what its rows and facts say, and gone when another program changed them."""

from __future__ import annotations

import datetime
import sqlite3
import threading
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from partsolver.catalog.adding import add
from partsolver.catalog.coded import coded, packed, unpacked
from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.load import Catalog, load_catalog
from partsolver.catalog.sources import Wishes
from partsolver.catalog.store import changing as store_changing
from partsolver.catalog.store import load as store_load
from partsolver.catalog.store import store_path
from partsolver.catalog.store.changing import _begun, _identity, changing
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


# -- a store that was begun and left ----------------------------------------------------------------------------------


@pytest.mark.parametrize("left", [KeyboardInterrupt, ValueError])
def test_a_store_that_was_begun_and_left_is_not_there(left: type[BaseException], tmp_path: Path) -> None:
    """Ctrl-C while `catalog add` wrote left a file without a table, and the folders made for it."""
    folder = tmp_path / "far" / "parts"
    with pytest.raises(left), changing(folder) as connection:
        connection.execute("CREATE TABLE something (word)")
        raise left
    assert list(tmp_path.iterdir()) == []
    folder.mkdir(parents=True)
    (folder / "notes.txt").write_text("mine")
    with pytest.raises(left), changing(folder):
        raise left
    assert [path.name for path in folder.iterdir()] == ["notes.txt"]


def test_a_store_that_was_there_stays_as_it_was(tmp_path: Path) -> None:
    with closing(_begun(store_path(tmp_path))) as connection:
        connection.execute("CREATE TABLE mine (word)")
        connection.execute("COMMIT")
    with pytest.raises(KeyboardInterrupt), changing(tmp_path) as connection:
        connection.execute("DROP TABLE mine")
        raise KeyboardInterrupt
    with closing(sqlite3.connect(store_path(tmp_path))) as connection:
        assert connection.execute("SELECT count(*) FROM mine").fetchone() == (0,)


def test_who_waits_for_a_store_that_is_left_writes_into_a_file_that_is_there(tmp_path: Path) -> None:
    """Another process waits for the new file and then writes; nothing of that is lost when the first one leaves."""
    begun, done = threading.Event(), threading.Event()

    def wait_and_write() -> None:
        begun.wait()
        with closing(_begun(store_path(tmp_path))) as connection:
            connection.execute("CREATE TABLE kept_by_the_second (word)")
            connection.execute("COMMIT")
        done.set()

    second = threading.Thread(target=wait_and_write)
    second.start()
    with pytest.raises(KeyboardInterrupt), changing(tmp_path):
        begun.set()
        time.sleep(0.2)
        raise KeyboardInterrupt
    second.join()
    assert done.is_set()
    with closing(sqlite3.connect(store_path(tmp_path))) as connection:
        assert connection.execute("SELECT count(*) FROM kept_by_the_second").fetchone() == (0,)


def test_a_file_that_was_taken_away_meanwhile_is_opened_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The moment between opening and locking, in which the first process takes its file away."""
    path = store_path(tmp_path)
    looked: list[tuple[int, int] | None] = []

    def identity(asked: Path) -> tuple[int, int] | None:
        if len(looked) == 1:
            path.unlink()
        looked.append(_identity(asked))
        return looked[-1]

    monkeypatch.setattr(store_changing, "_identity", identity)
    with closing(_begun(path)) as connection:
        connection.execute("CREATE TABLE written (word)")
        connection.execute("COMMIT")
    assert len(looked) == 4
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("SELECT count(*) FROM written").fetchone() == (0,)
