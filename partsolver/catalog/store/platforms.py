"""Platform rows: what a socket, chipset, form or processor line really fixes, as a person's own table
``platforms.csv`` (the project ships none): columns table, by, word, column, value, source.

A value may be a range ``low..high``: it counts at its worse end. What differs from board to board is never
inherited (measured on the demo, leave-one-out by chipset: of plugs, outputs, ports and firmware 27 cells came
out too optimistic).
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterable, Mapping
from pathlib import Path

from partsolver.base.documents import csv_rows
from partsolver.base.errors import Fault, InputRefused, nearest
from partsolver.base.records import record
from partsolver.base.textfile import read_text
from partsolver.catalog.dictionary import columns, reader

FILE_NAME = "platforms.csv"
HEADER = ("table", "by", "word", "column", "value", "source")
# What a platform fixes; everything else is the maker's choice for each product.
INHERITED: Mapping[str, frozenset[str]] = {
    "boards": frozenset(
        (
            "socket",
            "memory_generation",
            "memory_channels",
            "memory_max_mib",
            "memory_max_module_mib",
            "memory_max_rate_mts",
            "memory_ecc",
            "memory_registered",
            "cpu_families",
            "width_mm",
            "depth_mm",
            "year",
        )
    ),
    "cpus": frozenset(
        (
            "socket",
            "family",
            "architecture_class",
            "memory_rates",
            "memory_channels",
            "memory_max_mib",
            "x86_level",
            "features",
            "year",
        )
    ),
    "memory": frozenset(("voltage_mv",)),
}
# Facts of which the larger one is the worse one; of all others the smaller.
_LARGER_IS_WORSE = frozenset(("width_mm", "depth_mm", "voltage_mv"))
_RANGE = re.compile(r"([0-9]{1,9})\.\.([0-9]{1,9})")


@record
class PlatformRow:
    """One thing a platform fixes: for parts of ``table`` whose ``by`` cell is ``word``, ``column`` is
    ``value``. ``by`` may be ``name``: then the word stands in the part's name."""

    table: str
    by: str
    word: str
    column: str
    value: str
    origin: str
    place: str


def worse_end(column: str, value: str) -> str:
    """The end of a range that promises less; a single value as it is."""
    match = _RANGE.fullmatch(value)
    if match is None:
        return value
    low, high = sorted((int(match[1]), int(match[2])))
    return str(high if column in _LARGER_IS_WORSE else low)


def read_platforms(path: Path) -> list[PlatformRow]:
    """The rows of a platform table. Raises InputRefused with every fault."""
    faults: list[Fault] = []
    rows = []
    source = csv_rows(read_text(path), str(path))
    header = [cell.strip() for cell in next(source, (1, []))[1]]
    if tuple(header[:5]) != HEADER[:5]:
        raise InputRefused(Fault(f"{path}:1", "not a platform table", ",".join(header), ",".join(HEADER)))
    for line, cells in source:
        if not any(cell.strip() for cell in cells):
            continue
        table, by, word, column, value = [cell.strip() for cell in (*cells, "", "", "", "", "")[:5]]
        where = f"{path}:{line}"
        fault = _fault(where, table, by, word, column, value)
        if fault is not None:
            faults.append(fault)
        else:
            rows.append(PlatformRow(table, by, word.casefold(), column, value, path.name, str(line)))
    if faults:
        raise InputRefused(faults)
    return rows


def _fault(where: str, table: str, by: str, word: str, column: str, value: str) -> Fault | None:
    if table not in INHERITED:
        return Fault(f"{where} table", "no such table here", table, ", ".join(INHERITED))
    if by not in columns()[table] or not word:
        return Fault(f"{where} by", "not a column with a word", f"{by} {word}", "such as socket or chipset")
    if column not in INHERITED[table]:
        return Fault(
            f"{where} column",
            "a platform does not fix this",
            column,
            ", ".join(sorted(INHERITED[table])),
            nearest(column, INHERITED[table]) or "Take it from the part's own page",
        )
    try:
        reader(columns()[table][column])(worse_end(column, value))
    except ValueError:
        return Fault(f"{where} value", "cannot be read", value, columns()[table][column].expected)
    return None


def store_platforms(connection: sqlite3.Connection, rows: Iterable[PlatformRow]) -> None:
    """Keep platform rows; a newer row for the same cell replaces the older."""
    connection.executemany(
        "INSERT OR REPLACE INTO platforms VALUES(?, ?, ?, ?, ?, ?, ?)",
        [(r.table, r.by, r.word, r.column, r.value, r.origin, r.place) for r in rows],
    )


class Platforms:
    """The stored platform rows, asked for the cells of one part."""

    def __init__(self, connection: sqlite3.Connection) -> None:
        self._by_word: dict[tuple[str, str, str], list[PlatformRow]] = {}
        self._names: dict[str, list[PlatformRow]] = {}
        for row in connection.execute("SELECT * FROM platforms"):
            found = PlatformRow(*row)
            if found.by == "name":
                self._names.setdefault(found.table, []).append(found)
            else:
                self._by_word.setdefault((found.table, found.by, found.word), []).append(found)

    def __bool__(self) -> bool:
        return bool(self._by_word or self._names)

    def filled(self, table: str, name: str, known: Mapping[str, str | None]) -> dict[str, PlatformRow]:
        """Column -> platform row for what nobody states (``known`` holds what is stated, contradictory
        cells as None); where two rows differ there is none. What a row gives may call further rows (name
        -> family -> year)."""
        cells = dict(known)
        given: dict[str, PlatformRow] = {}
        for _ in range(4):
            fresh = self._round(table, name, cells)
            if not fresh:
                break
            given |= fresh
            cells |= {column: worse_end(column, row.value) for column, row in fresh.items()}
        return given

    def _round(self, table: str, name: str, cells: Mapping[str, str | None]) -> dict[str, PlatformRow]:
        rows = [row for row in self._names.get(table, ()) if _stands_in(row.word, name)]
        for by, value in cells.items():
            if value:
                rows += self._by_word.get((table, by, value.casefold()), ())
        found: dict[str, list[PlatformRow]] = {}
        for row in rows:
            if row.column not in cells:
                found.setdefault(row.column, []).append(row)
        return {
            column: alike[0]
            for column, alike in found.items()
            if len({worse_end(column, row.value) for row in alike}) == 1
        }


def _stands_in(words: str, name: str) -> bool:
    """Whether words follow one another in a name, as whole words; a last ``*`` stands for any ending."""
    pattern = re.escape(words).replace(r"\ ", r"\s+")
    pattern = pattern[:-2] + r"\S*" if pattern.endswith(r"\*") else pattern
    return re.search(rf"(?<![^\s(,/-]){pattern}(?![^\s),/])", name.casefold()) is not None
