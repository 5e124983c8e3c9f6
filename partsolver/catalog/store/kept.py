"""The tables of a store once more, as columns of codes (catalog/coded.py): what loading reads.

Sightings, facts and offers are the truth, and the ``wide_`` tables with the current offers follow from them
(derive.py). Reading those row by row takes SQLite longer than a CSV file takes; so every change of ours keeps
them packed as well, in the same transaction, with the digest of the catalogue. Triggers in the file take the
packed form away as soon as any program changes what it was made of (sqlite.org/lang_createtrigger.html): then
the rows are read again; and where facts were changed, whoever loads derives the parts from them first.
"""

from __future__ import annotations

import datetime
import hashlib
import sqlite3
from collections.abc import Mapping
from functools import cache

from partsolver.base.records import record
from partsolver.catalog.coded import coded, packed, table_of_columns, unpacked
from partsolver.catalog.dictionary import columns
from partsolver.catalog.records import PART_TABLES
from partsolver.catalog.store.prices import Key, PriceNote
from partsolver.catalog.store.schema import wide_table
from partsolver.catalog.table import Table

FORM = "1"
# Beside the columns of the dictionary: the marks of a part, the note of an offer.
_MARKS, _NOTE = " marks", " note"
# Names of the rows that are no table.
_CATALOG, _CHANGED = "catalog", "facts changed"
# What the packed form is made of, and from what that follows.
_READ = (*map(wide_table, PART_TABLES), "current_offers", "sellers", "bundles", "meta", "imports")
_TRUTH = ("facts", "sightings", "offers", "platforms", "joins")


@record
class KeptTables:
    """Tables out of the packed form, with marks by part, notes by offer, and the catalogue's digest."""

    tables: Mapping[str, Table]
    marks: dict[str, str]
    notes: dict[Key, PriceNote]
    digest: str


@cache
def _columns_digest() -> str:
    return hashlib.sha256(repr(columns()).encode()).hexdigest()[:16]


def _made_by(connection: sqlite3.Connection) -> str:
    """What a packed form depends on beside the rows: its own layout, the columns, and the store's tables with
    the triggers on them (sqlite.org/schematab.html)."""
    schema = connection.execute("SELECT name, sql FROM sqlite_master ORDER BY name").fetchall()
    return f"{FORM} {_columns_digest()} {hashlib.sha256(repr(schema).encode()).hexdigest()[:16]}"


def watch(connection: sqlite3.Connection) -> None:
    """Let any program's change of what the packed form is made of take it away."""
    for table in (*_READ, *_TRUTH):
        said = f"; INSERT OR REPLACE INTO kept VALUES('{_CHANGED}', '', '', x'')" if table in _TRUTH else ""
        for event in ("INSERT", "UPDATE", "DELETE"):
            connection.execute(
                f"CREATE TRIGGER kept_{table}_{event} AFTER {event} ON {table}"
                f" BEGIN DELETE FROM kept WHERE tab != '{_CHANGED}'{said}; END"
            )


def stop_watching(connection: sqlite3.Connection) -> None:
    """Take the packed form and its triggers away, for a change that makes it anew."""
    connection.execute(
        "CREATE TABLE IF NOT EXISTS kept(tab TEXT PRIMARY KEY, made_by TEXT NOT NULL, digest TEXT NOT NULL,"
        " form BLOB NOT NULL)"
    )
    for table in (*_READ, *_TRUTH):
        for event in ("INSERT", "UPDATE", "DELETE"):
            connection.execute(f"DROP TRIGGER IF EXISTS kept_{table}_{event}")


def facts_changed(connection: sqlite3.Connection) -> bool:
    """Whether another program changed facts or sightings, so that parts no longer follow from them."""
    return _has_kept(connection) and _row(connection, _CHANGED) is not None


def _has_kept(connection: sqlite3.Connection) -> bool:
    query = "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = 'kept'"
    return connection.execute(query).fetchone() is not None


def _row(connection: sqlite3.Connection, name: str) -> tuple[str, str, bytes] | None:
    found: tuple[str, str, bytes] | None = connection.execute(
        "SELECT made_by, digest, form FROM kept WHERE tab = ?", (name,)
    ).fetchone()
    return found


def write_kept(
    connection: sqlite3.Connection,
    rows: Mapping[str, tuple[list[str], list[list[str]]]],
    marks: Mapping[str, str],
    notes: Mapping[Key, PriceNote],
    digest: str,
) -> None:
    """Keep header and rows of every table, the marks, the notes and the catalogue's digest."""
    # Notes are few beside offers: what each says is written once.
    text_of = {note: _note_text(note) for note in set(notes.values())}
    said = {key: text_of[note] for key, note in notes.items()}
    forms = {}
    for table, (header, cells) in rows.items():
        found = dict(zip(header, zip(*cells, strict=True), strict=True)) if cells else {}
        if table in PART_TABLES and cells:
            found[_MARKS] = tuple(marks.get(row[0], "") for row in cells)
        if table == "offers" and cells:
            keys = zip(found["part"], found["seller"], strict=True)
            found[_NOTE] = tuple(said.get(key, "") for key in keys)
        forms[table] = packed({name: coded(column) for name, column in found.items()}, len(cells))
    made_by = _made_by(connection)
    connection.execute("DELETE FROM kept")
    connection.executemany(
        "INSERT INTO kept VALUES(?, ?, ?, ?)",
        [(table, made_by, _sum(form), form) for table, form in forms.items()]
        + [(_CATALOG, made_by, digest, b"")],
    )


def _sum(form: bytes) -> str:
    return hashlib.sha256(form).hexdigest()


def read_kept(connection: sqlite3.Connection, digits: int, currency: str) -> KeptTables | None:
    """The tables out of the packed form; None where there is none, or not this program's, or a damaged one."""
    if not _has_kept(connection):
        return None
    head = _row(connection, _CATALOG)
    made_by = _made_by(connection)
    if head is None or head[0] != made_by:
        return None
    tables: dict[str, Table] = {}
    marks: dict[str, str] = {}
    notes: dict[Key, PriceNote] = {}
    for table in columns():
        row = _row(connection, table)
        # What another program put there may be of any kind (sqlite.org/datatype3.html, section 3).
        if row is None or row[0] != made_by or not isinstance(row[2], bytes) or row[1] != _sum(row[2]):
            return None
        found, count = unpacked(row[2])
        made = table_of_columns(table, found, count, digits, currency)
        if made is None:
            return None
        tables[table] = made
        if _MARKS in found:
            said = zip(made.columns["id"], found[_MARKS].cells(count), strict=True)
            marks.update((part, text) for part, text in said if text)
        if _NOTE in found:
            told = found[_NOTE].cells(count, [_note(text) for text in found[_NOTE].texts])
            keys = zip(made.columns["part"], made.columns["seller"], strict=True)
            notes.update((key, note) for key, note in zip(keys, told, strict=True) if note is not None)
    return KeptTables(tables, marks, notes, head[1])


def _note_text(note: PriceNote) -> str:
    return f"{note.stated_on} {note.above_lowest_percent} {note.times} {note.sold_out}"


def _note(text: str) -> PriceNote | None:
    if not text:
        return None
    day, *numbers = text.split()
    return PriceNote(datetime.date.fromisoformat(day), *map(int, numbers))
