"""From what was said to parts: groups of sightings get ids, parts their cells, offers their current state.

Runs inside the transaction of every change; the result depends on what is stored, not on the order in which
it came.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator

from partsolver.catalog.dictionary import columns
from partsolver.catalog.records import PART_TABLES
from partsolver.catalog.store import identity
from partsolver.catalog.store.platforms import Platforms, worse_end
from partsolver.catalog.store.resolve import Cell, Stored, marks_text, resolved_cells
from partsolver.catalog.store.schema import CURRENCY, PAID_MINOR, execute_many, wide_table

# Cells that stand in the sighting itself, not among the facts.
_OWN = ("id", "name")


def derive(connection: sqlite3.Connection, changed: Iterable[str], everything: bool = False) -> None:
    """Bring parts, cells and current offers up to date. ``changed``: keys of sightings whose cells may have
    changed; ``everything``: all parts (platform rows changed)."""
    seen = identity.stored_sightings(connection)
    joined = connection.execute("SELECT one, other FROM joins ORDER BY one, other").fetchall()
    groups = identity.grouped(seen, joined)
    ids = identity.ids_of(groups)
    touched = {ids[key] for key in changed if key in ids}
    renamed = identity.moved(seen, ids)
    updates = [(ids[one.key], one.key) for one in seen if one.part != ids[one.key]]
    touched |= {part for part, _ in updates}
    execute_many(connection, "UPDATE sightings SET part = ? WHERE key = ?", updates)
    execute_many(connection, "INSERT OR REPLACE INTO aliases VALUES(?, ?)", sorted(renamed.items()))
    live = {ids[group[0].key]: group for group in groups}
    for table in PART_TABLES:
        here = [row[0] for row in connection.execute(f"SELECT id FROM {wide_table(table)}")]
        gone = [
            (part,) for part in here if part not in live or (part in touched and _table(live[part]) != table)
        ]
        execute_many(connection, f"DELETE FROM {wide_table(table)} WHERE id = ?", gone)
    _write_parts(connection, live, sorted(live) if everything else sorted(touched))
    _current_offers(connection)


def _table(group: list[identity.Seen]) -> str:
    """The part table of a group: that of the sightings a person gave an id, else the first one's."""
    return min(group, key=lambda one: (not one.own_id, one.key)).table


def _write_parts(
    connection: sqlite3.Connection, live: dict[str, list[identity.Seen]], parts: list[str]
) -> None:
    platforms = Platforms(connection)
    rows: dict[str, list[tuple[str | None, ...]]] = {table: [] for table in PART_TABLES}
    for part, facts in _facts_of(connection, live, parts):
        group = live[part]
        table = _table(group)
        first = min(
            group, key=lambda one: (not (one.own_id and one.seller == "you"), not one.own_id, one.key)
        )
        cells = part_cells(platforms, table, first.name, facts)
        values = {column: cell.value for column, cell in cells.items()} | {"id": part, "name": first.name}
        rows[table].append((*(values.get(column) for column in columns()[table]), marks_text(cells)))
    for table, found in rows.items():
        names = ", ".join(f'"{name}"' for name in columns()[table])
        marks = ", ".join("?" * (len(columns()[table]) + 1))
        execute_many(
            connection, f"INSERT OR REPLACE INTO {wide_table(table)}({names}, marks) VALUES({marks})", found
        )


# From so many parts on all facts are read in one go.
_MANY = 500


def _facts_of(
    connection: sqlite3.Connection, live: dict[str, list[identity.Seen]], parts: list[str]
) -> Iterator[tuple[str, list[Stored]]]:
    """Every part with the facts of its sightings."""
    query = "SELECT sighting, col, mark, value, origin, place, stated_on FROM facts"
    if len(parts) < _MANY:
        for part in parts:
            found = []
            for one in live[part]:
                rows = connection.execute(f"{query} WHERE sighting = ?", (one.key,))
                found += [Stored(*row) for row in rows]
            yield part, found
        return
    part_of = {one.key: part for part in parts for one in live[part]}
    facts: dict[str, list[Stored]] = {}
    for row in connection.execute(f"{query} ORDER BY sighting, col, mark, origin"):
        part_here = part_of.get(row[0])
        if part_here is not None:
            facts.setdefault(part_here, []).append(Stored(*row))
    for part in parts:
        yield part, facts.get(part, [])


def part_cells(platforms: Platforms, table: str, name: str, facts: Iterable[Stored]) -> dict[str, Cell]:
    """The resolved cells of a part, with what its platform fixes for what nobody states."""
    known = columns()[table]
    cells = {
        column: cell
        for column, cell in resolved_cells(facts).items()
        if column in known and column not in _OWN
    }
    if platforms:
        stated = {column: cell.value for column, cell in cells.items()}
        for column, row in platforms.filled(table, name, stated).items():
            value = worse_end(column, row.value)
            fact = Stored("", column, "platform", value, row.origin, row.place, "")
            cells[column] = Cell(value, "platform", fact)
    return cells


def _current_offers(connection: sqlite3.Connection) -> None:
    """Of every seller's article the newest offer; none where a newer list of the same series leaves it
    out."""
    connection.execute("DELETE FROM current_offers")
    connection.execute(
        f"""
        WITH newest_lists AS (SELECT seller, series, MAX(stated_on) AS day FROM imports
                              WHERE series IS NOT NULL GROUP BY seller, series),
             newest AS (SELECT sighting, MAX(stated_on) AS day FROM offers GROUP BY sighting),
             ranked AS (SELECT o.*, MAX(o.origin) OVER (PARTITION BY o.sighting) AS last
                        FROM offers o JOIN newest n ON n.sighting = o.sighting AND n.day = o.stated_on)
        INSERT INTO current_offers
        SELECT s.part, s.seller, o.sighting, o.nth, o.stated_on, {PAID_MINOR}, {CURRENCY}, o.cells
        FROM ranked o JOIN sightings s ON s.key = o.sighting LEFT JOIN sellers v ON v.id = s.seller
            LEFT JOIN newest_lists l ON l.seller = s.seller AND l.series = o.series
        WHERE o.origin = o.last AND (o.series IS NULL OR l.day IS NULL OR o.stated_on >= l.day)
        """
    )
