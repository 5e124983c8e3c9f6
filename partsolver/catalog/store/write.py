"""Storing what a source said: one transaction per import, the same whatever was imported before."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator, Mapping, Sequence
from operator import itemgetter

from partsolver.base.records import record
from partsolver.catalog.store.identity import gtin14, slug
from partsolver.catalog.store.reader import note_reader
from partsolver.catalog.store.records import YOU, LeftOut, Sighting, Source
from partsolver.catalog.store.schema import execute_many


@record
class Difference:
    """What an import changed for one seller: offers that are new, dearer, cheaper, and gone; older_than: the
    day of the last list, where that is newer and its prices stay."""

    new: int = 0
    dearer: int = 0
    cheaper: int = 0
    gone: int = 0
    older_than: str | None = None


def store_source(connection: sqlite3.Connection, source: Source) -> set[str]:
    """Keep what a source said. Returns the keys of the sightings it touches. What the same file said
    before about the same articles, or on the same day about any, is replaced; what an older file says
    never replaces a newer one's word."""
    touched: set[str] = set()
    if source.whole:
        touched |= take_back(connection, source.origin)
    else:
        touched |= _take_back_day(connection, source.origin, source.stated_on.isoformat())
    store_left_out(connection, source)
    connection.execute(
        "DELETE FROM imports WHERE origin = ? AND stated_on = ?",
        (source.origin, source.stated_on.isoformat()),
    )
    connection.execute(
        "INSERT OR REPLACE INTO imports VALUES(?, ?, ?, ?, ?, ?)",
        (
            source.digest,
            source.origin,
            source.stated_on.isoformat(),
            source.seller,
            source.series,
            source.rows,
        ),
    )
    touched |= _store_sightings(connection, source.sightings, source.series)
    for day in sorted({one.stated_on.isoformat() for one in source.sightings}):
        note_reader(connection, source.origin, day)
    drop_empty(connection)
    return touched


def store_left_out(connection: sqlite3.Connection, source: Source) -> None:
    """Keep what of a file gave no part, in place of what was kept of it before."""
    connection.execute("DELETE FROM left_out WHERE origin = ?", (source.origin,))
    execute_many(
        connection, "INSERT OR REPLACE INTO left_out VALUES(?, ?, ?, ?, ?)", map(_left_out, source.left_out)
    )


def take_back(connection: sqlite3.Connection, origin: str) -> set[str]:
    """Take back all that a file said. Returns the keys of the sightings concerned."""
    query = "SELECT sighting FROM facts WHERE origin = ? UNION SELECT sighting FROM offers WHERE origin = ?"
    touched = {row[0] for row in connection.execute(query, (origin, origin))}
    for table in ("facts", "offers", "left_out", "imports", "platforms", "bundles", "read_by"):
        connection.execute(f"DELETE FROM {table} WHERE origin = ?", (origin,))
    drop_empty(connection)
    return touched


def _take_back_day(connection: sqlite3.Connection, origin: str, day: str) -> set[str]:
    """Take back what a file said on a day: it is read again, perhaps corrected. Returns the keys of the
    sightings concerned; those about which nothing is said any more still stand."""
    query = (
        "SELECT sighting FROM facts WHERE origin = ? AND stated_on = ?"
        " UNION SELECT sighting FROM offers WHERE origin = ? AND stated_on = ?"
    )
    touched = {row[0] for row in connection.execute(query, (origin, day, origin, day))}
    for table in ("facts", "offers"):
        connection.execute(f"DELETE FROM {table} WHERE origin = ? AND stated_on = ?", (origin, day))
    return touched


def drop_empty(connection: sqlite3.Connection) -> None:
    """Sightings about which nothing is said any more go."""
    connection.execute(
        "DELETE FROM sightings WHERE NOT EXISTS (SELECT 1 FROM facts WHERE sighting = key)"
        " AND NOT EXISTS (SELECT 1 FROM offers WHERE sighting = key)"
    )


def _left_out(row: LeftOut) -> tuple[str, ...]:
    return (row.origin, row.place, row.text, row.reason, row.detail)


_SIGHTING = (
    "INSERT INTO sightings VALUES(?,?,?,?,?,?,?,?,?,?,?,?,?,NULL) ON CONFLICT(key) DO UPDATE SET"
    " tab=excluded.tab, name=excluded.name, maker=COALESCE(excluded.maker, maker),"
    " mpn=COALESCE(excluded.mpn, mpn), gtin=COALESCE(excluded.gtin, gtin),"
    " sku=COALESCE(excluded.sku, sku), leftover=excluded.leftover, origin=excluded.origin,"
    " place=excluded.place, stated_on=excluded.stated_on"
    " WHERE (sightings.stated_on, sightings.origin) <= (excluded.stated_on, excluded.origin)"
)


def _store_sightings(
    connection: sqlite3.Connection, sightings: Iterable[Sighting], series: str | None
) -> set[str]:
    """Keep the sightings of one source, table by table; what the same file said of them before goes first.
    Returns their keys."""
    keyed = [(one.key, one.stated_on.isoformat(), one) for one in sightings]
    keyed.sort(key=itemgetter(0))  # as the tables are kept; what the source says twice stays in its order
    execute_many(connection, _SIGHTING, [_sighting_row(key, day, one) for key, day, one in keyed])
    first = {(key, one.origin, day) for key, day, one in keyed}
    # kept by an older version of this program, which left the maker out of the key
    first |= {(one.name_key, one.origin, day) for key, day, one in keyed if key.startswith(one.name_key)}
    if connection.execute("SELECT 1 FROM facts LIMIT 1").fetchone() is not None:
        execute_many(
            connection, "DELETE FROM facts WHERE sighting = ? AND origin = ? AND stated_on <= ?", first
        )
    if connection.execute("SELECT 1 FROM offers LIMIT 1").fetchone() is not None:
        execute_many(
            connection, "DELETE FROM offers WHERE sighting = ? AND origin = ? AND stated_on = ?", first
        )
    execute_many(
        connection,
        "INSERT OR IGNORE INTO facts VALUES(?, ?, ?, ?, ?, ?, ?)",
        [
            (key, fact.column, fact.mark, fact.value, one.origin, fact.place, day)
            for key, day, one in keyed
            for fact in one.facts
        ],
    )
    execute_many(
        connection, "INSERT OR REPLACE INTO offers VALUES(?,?,?,?,?,?,?,?,?,?,?)", _offer_rows(keyed, series)
    )
    return {key for key, _, _ in keyed}


def _sighting_row(key: str, day: str, one: Sighting) -> tuple[str | None, ...]:
    return (
        key,
        one.seller,
        one.table,
        one.name,
        one.maker,
        one.mpn,
        gtin14(one.gtin) if one.gtin else None,
        one.sku,
        one.own_id,
        "\n".join(one.leftover),
        one.origin,
        one.place,
        day,
    )


def _offer_rows(
    keyed: Iterable[tuple[str, str, Sighting]], series: str | None
) -> Iterator[tuple[object, ...]]:
    """The offers of an article are counted in the order in which the source states them."""
    counted: dict[str, int] = {}
    cells: dict[tuple[tuple[str, str], ...], str] = {}  # what many offers say alike is written once
    for key, _, one in keyed:
        for offer in one.offers:
            nth = counted[key] = counted.get(key, 0) + 1
            if offer.cells not in cells:
                cells[offer.cells] = json.dumps(dict(offer.cells), sort_keys=True, ensure_ascii=False)
            yield (
                key,
                offer.stated_on.isoformat(),
                one.origin,
                nth,
                offer.price_minor,
                offer.currency,
                offer.tax,
                offer.tax_percent_x100,
                cells[offer.cells],
                series,
                one.place,
            )


def store_seller(connection: sqlite3.Connection, seller: str, name: str, **known: object) -> None:
    """Keep a seller; what is given (tax, tax_percent_x100, currency, mapping, cells) replaces what was
    kept."""
    connection.execute(
        "INSERT OR IGNORE INTO sellers VALUES(?, ?, NULL, NULL, NULL, NULL, '{}')", (seller, name)
    )
    for column in ("tax", "tax_percent_x100", "currency", "mapping"):
        if known.get(column) is not None:
            connection.execute(f"UPDATE sellers SET {column} = ? WHERE id = ?", (known[column], seller))
    cells = known.get("cells")
    if isinstance(cells, Mapping):
        held = json.loads(
            connection.execute("SELECT cells FROM sellers WHERE id = ?", (seller,)).fetchone()[0]
        )
        connection.execute(
            "UPDATE sellers SET cells = ?, name = ? WHERE id = ?",
            (json.dumps(held | dict(cells), sort_keys=True, ensure_ascii=False), name, seller),
        )


def seller_id(name: str) -> str:
    """The id of a seller by its name."""
    return slug(name)[:40].strip("-") or "seller"


def price_differences(before: Mapping[str, int], after: Mapping[str, int]) -> Difference:
    """What changed between two states of a seller's offers (part -> price)."""
    both: Sequence[str] = [part for part in after if part in before]
    return Difference(
        new=len([part for part in after if part not in before]),
        dearer=len([part for part in both if after[part] > before[part]]),
        cheaper=len([part for part in both if after[part] < before[part]]),
        gone=len([part for part in before if part not in after]),
    )


def newest_day(connection: sqlite3.Connection, seller: str) -> str | None:
    """The day of a seller's newest offer, None without one."""
    query = "SELECT MAX(stated_on) FROM offers WHERE sighting IN (SELECT key FROM sightings WHERE seller = ?)"
    found: str | None = connection.execute(query, (seller,)).fetchone()[0]
    return found


def seller_prices(connection: sqlite3.Connection, seller: str) -> dict[str, int]:
    """The least current price of every part of a seller."""
    query = "SELECT part, MIN(price_minor) FROM current_offers WHERE seller = ? GROUP BY part"
    return dict(connection.execute(query, (seller,)))


def at_several_prices(connection: sqlite3.Connection, seller: str) -> tuple[str, ...]:
    """The parts that a seller now offers in one state at more than one price."""
    query = (
        "SELECT DISTINCT part FROM (SELECT part FROM current_offers WHERE seller = ?"
        " GROUP BY part, currency, json_extract(cells, '$.condition') HAVING MIN(price_minor) < MAX(price_minor))"
        " ORDER BY part"
    )
    return tuple(row[0] for row in connection.execute(query, (seller,)))


__all__ = [
    "YOU",
    "Difference",
    "at_several_prices",
    "newest_day",
    "price_differences",
    "seller_id",
    "seller_prices",
    "store_left_out",
    "store_seller",
    "store_source",
]
