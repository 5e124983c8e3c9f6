"""`catalog add`: files and folders into a store, recognised by content; one transaction for all of them."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Sequence
from dataclasses import asdict
from datetime import date
from pathlib import Path

from partsolver.base.errors import refuse
from partsolver.base.records import record
from partsolver.base.textfile import read_text
from partsolver.catalog.records import Reference
from partsolver.catalog.store import holds_store
from partsolver.catalog.store.derive import derive
from partsolver.catalog.store.platforms import FILE_NAME as PLATFORMS
from partsolver.catalog.store.platforms import PlatformRow, read_platforms, store_platforms
from partsolver.catalog.store.questions import mark_counts
from partsolver.catalog.store.schema import changing
from partsolver.catalog.store.tables import FolderTables, is_table_folder, read_folder, set_head, store_folder

# The scale of scores of a store that nobody gave one: that of an empty catalogue (catalog/template.py).
REFERENCE = Reference(1000, 4000, 34133, 500, 1000)


@record
class Read:
    """What one file or folder gave: articles by part table, offers, and how many rows it has."""

    origin: str
    form: str
    rows: int
    tables: tuple[tuple[str, int], ...]
    offers: int


@record
class Added:
    """What `catalog add` did: per file, and how the facts of the whole store stand now."""

    folder: str
    read: tuple[Read, ...]
    marks: tuple[tuple[str, int], ...]


def add(paths: Sequence[Path], into: Path, currency: str, today: date) -> Added:
    """Add files and folders to the store of a folder (made where there is none; CSV tables that are in it come
    along). Raises InputRefused before anything is written."""
    folders = [path for path in paths if path.is_dir()]
    rows: list[PlatformRow] = []
    for path in paths:
        if path in folders:
            continue
        if path.name != PLATFORMS:
            read_text(path)
            raise refuse(str(path), "not a catalogue folder", None, f"a folder of CSV tables, or {PLATFORMS}")
        rows += read_platforms(path)
    if is_table_folder(into) and into not in folders:
        folders.insert(0, into)
    tables = []
    for folder in folders:
        if holds_store(folder):
            raise refuse(
                str(folder),
                "this folder holds a store itself",
                hint="Write it as tables with `partsolver catalog export DIR`, and add those",
            )
        tables.append(read_folder(folder))
    with changing(into) as connection:
        _make_head(connection, into, currency, today)
        touched: set[str] = set()
        for found in tables:
            touched |= store_folder(connection, found)
        store_platforms(connection, rows)
        derive(connection, touched, everything=bool(rows))
        marks = tuple(mark_counts(connection).items())
    return Added(str(into), tuple(_read(found) for found in tables), marks)


def _read(found: FolderTables) -> Read:
    counts: dict[str, int] = {}
    offers = 0
    for sighting in found.source.sightings:
        offers += len(sighting.offers)
        if not sighting.offers:
            counts[sighting.table] = counts.get(sighting.table, 0) + 1
    return Read(found.source.origin, "tables", found.source.rows, tuple(counts.items()), offers)


def _make_head(connection: sqlite3.Connection, into: Path, currency: str, today: date) -> None:
    """The head of a store that has none yet."""
    if connection.execute("SELECT 1 FROM meta WHERE key = 'currency'").fetchone() is None:
        head = {
            "name": into.name or "my parts",
            "currency": currency,
            "as_of": today.isoformat(),
            "origin": "added files",
            "reference": json.dumps(asdict(REFERENCE)),
            "rates": "{}",
        }
        set_head(connection, head)
