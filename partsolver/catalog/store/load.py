"""A store as tables of records: the same cells, readers and checks as a folder of CSV tables."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator, Mapping
from contextlib import closing, nullcontext
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from partsolver.base.errors import Fault
from partsolver.base.quantities import format_amount, minor_digits
from partsolver.base.records import record
from partsolver.catalog.dictionary import columns
from partsolver.catalog.records import PART_TABLES, Reference
from partsolver.catalog.store import store_path
from partsolver.catalog.store.kept import facts_changed, read_kept, stop_watching
from partsolver.catalog.store.prices import Key, PriceNote, price_notes
from partsolver.catalog.store.schema import fit_columns, reading, wide_table
from partsolver.catalog.table import Table, table_of_rows


@record
class StoreTables:
    """What loading takes from a store. marks: of every part's cells that nobody typed (resolve.read_marks);
    notes: what is known of prices beside them; digest: of the catalogue, where it is kept."""

    tables: Mapping[str, Table]
    marks: dict[str, str]
    notes: dict[Key, PriceNote]
    digest: str | None


def store_head(folder: Path) -> dict[str, Any]:
    """What catalog.toml says of a folder of tables: name, currency, as_of, origin, reference, rates."""
    with reading(folder) as connection:
        return head_of(connection)


def head_of(connection: sqlite3.Connection) -> dict[str, Any]:
    """The same of an open store."""
    meta = dict(connection.execute("SELECT key, value FROM meta"))
    newest = connection.execute("SELECT MAX(stated_on) FROM imports").fetchone()[0]
    found: dict[str, Any] = {
        "name": meta["name"],
        "currency": meta["currency"],
        "as_of": date.fromisoformat(newest or meta["as_of"]),
        "origin": meta["origin"],
        "reference": Reference(**json.loads(meta["reference"])),
    }
    rates = {code: Decimal(rate) for code, rate in json.loads(meta.get("rates", "{}")).items()}
    return found | ({"rates": rates} if rates else {})


def store_tables(folder: Path, digits: int, currency: str, faults: list[Fault]) -> StoreTables:
    """The tables of a store: out of its packed form (kept.py), else row by row."""
    with reading(folder) as opened:
        opened.execute("BEGIN")  # one state for all tables
        with closing(_derived_copy(opened)) if facts_changed(opened) else nullcontext(opened) as connection:
            kept = read_kept(connection, digits, currency)
            if kept is not None:
                return StoreTables(kept.tables, kept.marks, kept.notes, kept.digest)
            marks: dict[str, str] = {}
            days: dict[Key, str] = {}
            rows = all_rows(connection, digits, marks, days)
            tables = tables_of_rows(str(store_path(folder)), rows, digits, currency, faults)
            return StoreTables(tables, marks, price_notes(connection, days), None)


def _derived_copy(connection: sqlite3.Connection) -> sqlite3.Connection:
    """A copy in memory of a store whose facts another program changed, with its parts derived anew; the file
    stays as it is until the next change of ours."""
    from partsolver.catalog.store.derive import derive  # of no use to whoever only loads

    copy = sqlite3.connect(":memory:", isolation_level=None)
    connection.backup(copy)
    stop_watching(copy)
    fit_columns(copy)
    derive(copy, (), everything=True)
    copy.execute("DELETE FROM kept")
    return copy


Rows = tuple[list[str], list[list[str]]]


def tables_of_rows(
    where: str,
    rows: Mapping[str, Rows],
    digits: int,
    currency: str,
    faults: list[Fault],
    records: bool = True,
) -> dict[str, Table]:
    """Header and rows of every table as tables, with their records where these are wanted."""
    return {
        table: table_of_rows(f"{where} {table}", table, *found, digits, currency, faults, records)
        for table, found in rows.items()
    }


def all_rows(
    connection: sqlite3.Connection, digits: int, marks: dict[str, str], days: dict[Key, str]
) -> dict[str, Rows]:
    """Header and rows of every table as a CSV folder would hold them; ``marks`` is filled by part, ``days``
    with the day on which a seller's price of a part was stated, the oldest of several."""
    found: dict[str, Rows] = {}
    for table in columns():
        if table in PART_TABLES:
            found[table] = _part_rows(connection, table, marks)
        elif table == "offers":
            found[table] = _offer_rows(connection, digits, days)
        elif table == "sellers":
            found[table] = _listed(table, _sellers(connection))
        else:
            query = "SELECT cells FROM bundles ORDER BY id"
            found[table] = _listed(table, (json.loads(row[0]) for row in connection.execute(query)))
    return found


def _part_rows(connection: sqlite3.Connection, table: str, marks: dict[str, str]) -> Rows:
    """The parts of a table under the columns that any of them states."""
    described = columns()[table]
    counts = ", ".join(f'COUNT("{name}")' for name in described)
    stated = connection.execute(f"SELECT {counts} FROM {wide_table(table)}").fetchone()
    header = [
        name
        for (name, column), count in zip(described.items(), stated, strict=True)
        if count or column.required
    ]
    names = ", ".join(f"COALESCE(\"{name}\", '')" for name in header)
    rows = []
    for row in connection.execute(f"SELECT {names}, marks FROM {wide_table(table)} ORDER BY id"):
        cells = list(row)
        said = cells.pop()
        if said:
            marks[cells[0]] = said
        rows.append(cells)
    return header, rows


def _listed(table: str, rows: Iterable[dict[str, str]]) -> Rows:
    """Rows as lists of cells under the columns that any of them states."""
    kept = list(rows)
    stated = {name for row in kept for name in row}
    header = [name for name, column in columns()[table].items() if column.required or name in stated]
    return header, [[row.get(name, "") for name in header] for row in kept]


def _sellers(connection: sqlite3.Connection) -> Iterator[dict[str, str]]:
    query = "SELECT id, name, cells FROM sellers WHERE id != 'you' ORDER BY id"
    for seller, name, cells in connection.execute(query):
        yield {"id": seller, "name": name, **json.loads(cells)}


def _offer_rows(connection: sqlite3.Connection, digits: int, days: dict[Key, str]) -> Rows:
    """Current offers; prices are gross in their own currency. There are many, and few sorts of further
    cells: each sort is read once."""
    described = columns()["offers"]
    told = {
        cells: json.loads(cells)
        for (cells,) in connection.execute("SELECT DISTINCT cells FROM current_offers")
    }
    stated = {name for name, column in described.items() if column.required}
    stated.update(name for said in told.values() for name in said)
    if connection.execute("SELECT 1 FROM current_offers WHERE currency IS NOT NULL LIMIT 1").fetchone():
        stated.add("currency")
    filled = ("part", "seller", "price", *(["currency"] if "currency" in stated else []))
    others = [name for name in described if name in stated and name not in filled]
    behind = {cells: tuple(said.get(name, "") for name in others) for cells, said in told.items()}
    shelf = {cells for cells, said in told.items() if said.get("source") == "shelf"}
    with_currency = "currency" in stated
    rows = []
    query = (
        "SELECT part, seller, price_minor, currency, cells, stated_on FROM current_offers"
        " ORDER BY part, seller, sighting, nth"
    )
    for part, seller, price, currency, cells, day in connection.execute(query):
        amount = format_amount(price, minor_digits(currency) if currency else digits)
        own = (part, seller, amount, currency or "") if with_currency else (part, seller, amount)
        rows.append([*own, *behind[cells]])
        if cells not in shelf:
            key = part, seller
            if days.setdefault(key, day) > day:
                days[key] = day
    return [*filled, *others], rows
