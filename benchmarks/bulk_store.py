"""A generated catalogue as a store, filled at once: ``python -m benchmarks.bulk_store TABLES OUT``.

`catalog add` keeps every fact with its origin, which takes 23 KB of memory a part: a million parts would not fit.
Here the derived tables and the current offers are filled as they come, and packed by the store's own code
(store/changing.py): what loading reads is the same, what told it (sightings, facts, history) is left out.
"""

from __future__ import annotations

import csv
import gc
import json
import sqlite3
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from partsolver.catalog.dictionary import columns
from partsolver.catalog.records import PART_TABLES
from partsolver.catalog.store.changing import changing
from partsolver.catalog.store.schema import execute_many, wide_table


def fill(tables: Path, folder: Path) -> None:
    """Make a store of the tables that benchmarks.generate wrote (one currency, prices of two digits)."""
    head = tomllib.loads((tables / "catalog.toml").read_text(encoding="utf-8"))
    with changing(folder) as connection:
        meta = {name: str(head[name]) for name in ("name", "currency", "as_of", "origin")}
        meta["reference"] = json.dumps(head["reference"])
        connection.executemany("INSERT OR REPLACE INTO meta VALUES(?, ?)", sorted(meta.items()))
        for table in PART_TABLES:
            _fill_parts(connection, tables / f"{table}.csv", table)
        _fill_others(connection, tables)


def _rows(path: Path) -> Iterator[dict[str, str]]:
    if path.is_file():
        with path.open(encoding="utf-8", newline="") as source:
            yield from csv.DictReader(source)


def _fill_parts(connection: sqlite3.Connection, path: Path, table: str) -> None:
    names = list(columns()[table])
    listed = ", ".join(f'"{name}"' for name in names)
    marks = ", ".join("?" * len(names))
    execute_many(
        connection,
        f"INSERT INTO {wide_table(table)}({listed}, marks) VALUES({marks}, '')",
        ([row.get(name) or None for name in names] for row in _rows(path)),
    )


def _said(row: dict[str, str], *without: str) -> str:
    return json.dumps(
        {name: cell for name, cell in row.items() if cell and name not in without}, sort_keys=True
    )


def _fill_others(connection: sqlite3.Connection, tables: Path) -> None:
    for row in _rows(tables / "sellers.csv"):
        values: tuple[Any, ...] = (row["id"], row["name"], _said(row, "id", "name"))
        connection.execute("INSERT INTO sellers(id, name, cells) VALUES(?, ?, ?)", values)
    for row in _rows(tables / "bundles.csv"):
        connection.execute("INSERT INTO bundles VALUES(?, ?, '', '')", (row["id"], _said(row)))
    day = connection.execute("SELECT value FROM meta WHERE key = 'as_of'").fetchone()[0]
    offers = (
        (
            row["part"],
            row["seller"],
            number,
            day,
            int(row["price"].replace(".", "")),
            _said(row, "part", "seller", "price"),
        )
        for number, row in enumerate(_rows(tables / "offers.csv"))
    )
    execute_many(connection, "INSERT INTO current_offers VALUES(?, ?, '', ?, ?, ?, NULL, ?)", offers)


if __name__ == "__main__":
    gc.disable()  # as the command line does
    fill(Path(sys.argv[1]), Path(sys.argv[2]))
