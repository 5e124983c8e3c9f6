"""Looking into a store: one part with every fact and its origin, words found, what was left out, counts of
marks; and the person's own word on a cell."""

from __future__ import annotations

import datetime
import json
import sqlite3
from collections.abc import Iterable, Sequence
from pathlib import Path

from partsolver.base.errors import nearest, refuse
from partsolver.base.records import record
from partsolver.catalog.dictionary import UNKNOWN, columns, reader
from partsolver.catalog.records import PART_TABLES
from partsolver.catalog.store.derive import derive, part_cells
from partsolver.catalog.store.platforms import Platforms
from partsolver.catalog.store.records import MARKS, Fact, LeftOut
from partsolver.catalog.store.resolve import Cell, Stored
from partsolver.catalog.store.schema import reading, wide_table
from partsolver.catalog.store.write import drop_empty

# Cells that are no facts about fit or speed.
NO_FACTS = ("id", "name", "maker", "source", "mass_g")
# How facts are counted: by mark, then what is no fact.
COUNTED_MARKS = (*MARKS, "contradictory", "unknown")
# Origin of what was typed with `catalog set` or `catalog ask`.
TYPED_ORIGIN = "typed by you"


@record
class OfferLine:
    """One offer of a part: current or past."""

    seller: str
    stated_on: str
    price_minor: int
    currency: str | None
    cells: tuple[tuple[str, str], ...]
    current: bool
    origin: str
    place: str


@record
class Shown:
    """All that a store holds about one part. ``leftover``: words of its titles that no pattern took."""

    part: str
    table: str
    name: str
    cells: tuple[tuple[str, Cell], ...]
    unknown: tuple[str, ...]
    offers: tuple[OfferLine, ...]
    seen: tuple[tuple[str, str, str, str], ...]
    leftover: tuple[str, ...]


def current_id(connection: sqlite3.Connection, part: str) -> str:
    """The id a part has now. Raises InputRefused for one that the store does not have."""
    asked = part
    for _ in range(20):
        if connection.execute("SELECT 1 FROM sightings WHERE part = ?", (part,)).fetchone():
            return part
        newer = connection.execute("SELECT part FROM aliases WHERE old = ?", (part,)).fetchone()
        if newer is None:
            break
        part = newer[0]
    known = [row[0] for row in connection.execute("SELECT DISTINCT part FROM sightings")]
    raise refuse(
        "ID",
        "no such part in the store",
        asked,
        None,
        nearest(asked, known) or "See `partsolver catalog find`",
    )


def latest_price(folder: Path) -> tuple[str, str]:
    """The day (ISO 8601) and seller of the latest prices that count in the store of a folder; empty where there are
    none."""
    with reading(folder) as connection:
        query = "SELECT stated_on, seller FROM current_offers ORDER BY stated_on DESC, seller LIMIT 1"
        return connection.execute(query).fetchone() or ("", "")


def facts_of(connection: sqlite3.Connection, part: str) -> list[Stored]:
    """Every stored fact about a part."""
    query = (
        "SELECT f.sighting, f.col, f.mark, f.value, f.origin, f.place, f.stated_on FROM facts f"
        " JOIN sightings s ON s.key = f.sighting WHERE s.part = ? ORDER BY f.sighting, f.col, f.mark, f.origin"
    )
    return [Stored(*row) for row in connection.execute(query, (part,))]


def table_of(connection: sqlite3.Connection, part: str) -> tuple[str, str]:
    """Part table and name of a part."""
    for table in PART_TABLES:
        row = connection.execute(f"SELECT name FROM {wide_table(table)} WHERE id = ?", (part,)).fetchone()
        if row is not None:
            return table, row[0]
    raise refuse("ID", "no such part in the store", part)


def shown(connection: sqlite3.Connection, part: str) -> Shown:
    """Everything about one part."""
    part = current_id(connection, part)
    table, name = table_of(connection, part)
    cells = part_cells(Platforms(connection), table, name, facts_of(connection, part))
    current = {
        tuple(row)
        for row in connection.execute(
            "SELECT sighting, stated_on, nth FROM current_offers WHERE part = ?", (part,)
        )
    }
    offers = [
        OfferLine(
            seller,
            day,
            price,
            currency,
            tuple(sorted(json.loads(said).items())),
            (key, day, nth) in current,
            origin,
            place,
        )
        for key, seller, day, nth, price, currency, said, origin, place in connection.execute(
            "SELECT o.sighting, s.seller, o.stated_on, o.nth, o.price_minor, COALESCE(o.currency, v.currency),"
            " o.cells, o.origin, o.place FROM offers o JOIN sightings s ON s.key = o.sighting"
            " LEFT JOIN sellers v ON v.id = s.seller WHERE s.part = ?"
            " ORDER BY o.stated_on DESC, s.seller, o.sighting, o.nth, o.origin",
            (part,),
        )
    ]
    seen = connection.execute(
        "SELECT seller, name, origin, place, leftover FROM sightings WHERE part = ? ORDER BY key", (part,)
    ).fetchall()
    unknown = [
        column
        for column in columns()[table]
        if column not in ("id", "name", "source") and column not in cells
    ]
    leftover = sorted({word for row in seen for word in row[4].split("\n") if word})
    return Shown(
        part,
        table,
        name,
        tuple(sorted(cells.items())),
        tuple(unknown),
        tuple(offers),
        tuple((row[0], row[1], row[2], row[3]) for row in seen),
        tuple(leftover),
    )


def found_parts(connection: sqlite3.Connection, words: Sequence[str]) -> list[tuple[str, str, str, str]]:
    """(id, table, name, what said the word) of the parts that every word stands in: id, name, maker,
    numbers, the names sellers give it."""
    query = (
        "SELECT part, tab, GROUP_CONCAT(name || ' ' || COALESCE(maker, '') || ' ' || COALESCE(mpn, '') || ' ' ||"
        " COALESCE(gtin, '') || ' ' || COALESCE(sku, ''), ' ') , MIN(name) FROM sightings GROUP BY part ORDER BY part"
    )
    wanted = [word.casefold() for word in words]
    return [
        (part, table, name, text)
        for part, table, text, name in connection.execute(query)
        if all(word in f"{part} {text}".casefold() for word in wanted)
    ]


def left_out(connection: sqlite3.Connection) -> list[LeftOut]:
    """Rows and files that gave no part, by file and place."""
    query = "SELECT origin, place, text, reason, detail FROM left_out ORDER BY origin, CAST(place AS INTEGER), place"
    return [LeftOut(*row) for row in connection.execute(query)]


def mark_counts(connection: sqlite3.Connection) -> dict[str, int]:
    """How many cells of parts stand on each mark, and how many are unknown or contradictory."""
    found = dict.fromkeys(COUNTED_MARKS, 0)
    for table in PART_TABLES:
        facts = [name for name in columns()[table] if name not in NO_FACTS]
        known = " + ".join(f'("{name}" IS NOT NULL)' for name in facts)
        for filled, marks in connection.execute(f"SELECT {known}, marks FROM {wide_table(table)}"):
            pairs = [token.partition(":") for token in marks.split()]
            said = [mark for column, _, mark in pairs if column in facts]
            for mark in said:
                found["contradictory" if mark == "?" else mark] += 1
            contradictory = said.count("?")
            found["typed"] += filled - (len(said) - contradictory)
            found["unknown"] += len(facts) - filled - contradictory
    return found


def checked_value(table: str, column: str, text: str) -> str:
    """A cell text that the column reads. Raises InputRefused with what was expected."""
    described = columns()[table].get(column)
    if described is None or column == "id":
        raise refuse(
            "COLUMN=VALUE", f"no such column of {table}", column, None, nearest(column, columns()[table])
        )
    if text == UNKNOWN:
        return text
    try:
        reader(described)(text)
    except ValueError as error:
        expected = str(error) or described.expected
        raise refuse(column, "cannot be read", text, expected, described.meaning) from None
    return text


def set_cells(
    connection: sqlite3.Connection, part: str, cells: Iterable[tuple[str, str]], today: datetime.date
) -> str:
    """Keep a person's word on cells of a part. Returns the part's id. Raises InputRefused."""
    part = current_id(connection, part)
    table, _ = table_of(connection, part)
    query = "SELECT key FROM sightings WHERE part = ? ORDER BY key LIMIT 1"
    key = connection.execute(query, (part,)).fetchone()[0]
    facts = tuple(Fact(c, checked_value(table, c, text), "typed", today.isoformat()) for c, text in cells)
    held = connection.execute(
        "SELECT col, value, place FROM facts WHERE origin = ? AND sighting = ?", (TYPED_ORIGIN, key)
    ).fetchall()
    kept = tuple(Fact(c, v, "typed", p) for c, v, p in held if c not in {f.column for f in facts})
    connection.execute("DELETE FROM facts WHERE origin = ? AND sighting = ?", (TYPED_ORIGIN, key))
    connection.executemany(
        "INSERT INTO facts VALUES(?, ?, 'typed', ?, ?, ?, ?)",
        [(key, f.column, f.value, TYPED_ORIGIN, f.place, today.isoformat()) for f in (*kept, *facts)],
    )
    derive(connection, [key])
    return part


def join_parts(connection: sqlite3.Connection, part: str, other: str) -> str:
    """Keep a person's word that two parts are one. Returns the id they have now. Raises InputRefused."""
    first, second = current_id(connection, part), current_id(connection, other)
    tables = table_of(connection, first)[0], table_of(connection, second)[0]
    if tables[0] != tables[1]:
        raise refuse("same-as", "parts of two kinds", other, tables[0])
    query = "SELECT MIN(key) FROM sightings WHERE part = ?"
    keys = [connection.execute(query, (name,)).fetchone()[0] for name in (first, second)]
    connection.execute("INSERT OR IGNORE INTO joins VALUES(?, ?)", sorted(keys))
    derive(connection, keys)
    return current_id(connection, first)


def forget_seller(connection: sqlite3.Connection, seller: str) -> int:
    """Take out a seller with everything it said. Returns the number of its articles. Raises InputRefused
    for a seller that is not there."""
    if connection.execute("SELECT 1 FROM sellers WHERE id = ?", (seller,)).fetchone() is None:
        known = [row[0] for row in connection.execute("SELECT id FROM sellers")]
        raise refuse(
            "SELLER", "no such seller in the store", seller, ", ".join(known), nearest(seller, known)
        )
    keys = [row[0] for row in connection.execute("SELECT key FROM sightings WHERE seller = ?", (seller,))]
    for table in ("facts", "offers"):
        connection.executemany(
            f"DELETE FROM {table} WHERE sighting = ? AND origin != ?", [(key, TYPED_ORIGIN) for key in keys]
        )
    connection.execute("DELETE FROM bundles WHERE json_extract(cells, '$.seller') = ?", (seller,))
    origins = connection.execute("SELECT DISTINCT origin FROM imports WHERE seller = ?", (seller,)).fetchall()
    connection.executemany("DELETE FROM left_out WHERE origin = ?", origins)
    connection.execute("DELETE FROM imports WHERE seller = ?", (seller,))
    connection.execute("DELETE FROM sellers WHERE id = ?", (seller,))
    drop_empty(connection)
    derive(connection, keys)
    return len(keys)
