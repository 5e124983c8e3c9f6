"""Read one table of a catalogue: cells into values, rows into records, every fault with file, line, column
and value.

Cells are read with a memory of the distinct texts of their column (a shop's list repeats itself), a block of
rows at a time, so that a hundred thousand rows neither take long nor much memory, without any table library.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import compress, islice
from pathlib import Path
from typing import Any

from partsolver.base.errors import Fault, InputRefused, nearest
from partsolver.base.quantities import minor_digits
from partsolver.base.textfile import read_text
from partsolver.catalog.dictionary import UNKNOWN, Column, columns, plain_texts, reader
from partsolver.catalog.records import TABLES

# Rows that are read at once.
BLOCK = 1000
# What other tables are checked against: these columns are kept beside the records.
KEPT = ("id", "part", "seller", "items", "currency")

# Cells without which a row means nothing.
IDENTIFYING = ("id", "name", "part", "seller", "price", "items", "kind")

# Columns that say something else in every row: their texts are not kept.
DISTINCT = ("id", "name")

# What an offer may say of its part: blank means as the part, "unknown" that it is not known.
_OVERRIDING = ("shield", "firmware", "boxed_cooler", "paste_included")
OVERRIDES = {"offers": _OVERRIDING, "bundles": _OVERRIDING}

# What is wrong with a text, the text, what was expected, a hint.
Wrong = tuple[str, str, str, str]


@dataclass
class Table:
    """A table as read: records (none when a cell is faulty), and what could be read of the columns in KEPT
    all the same.

    columns: values by column name, None where a cell could not be read; lines: the line numbers of the rows;
    stated: of every row ``name=value`` of what is known, by column name, joined with commas;
    readable: whether the ids of the table are known (the file is there and its header is right);
    assumed: (id, column) of the cells that are blank and for which the dictionary assumes a value.
    """

    rows: tuple[Any, ...] = ()
    columns: Mapping[str, list[Any]] = field(default_factory=dict)
    lines: Sequence[int] = ()
    stated: Sequence[str] = ()
    readable: bool = False
    assumed: Sequence[tuple[str, str]] = ()

    def known(self, name: str) -> set[Any]:
        """The distinct readable values of a column."""
        return set(self.columns.get(name, ())) - {None}

    def cells(self, name: str) -> Iterator[tuple[Any, int]]:
        """Readable values of a column with their lines."""
        found = zip(self.columns.get(name, ()), self.lines, strict=False)
        return ((value, line) for value, line in found if value is not None)


class ColumnCells(dict[str, Any]):
    """The values of a column's distinct texts, each read when it comes first; ``wrong``: the texts that
    cannot be read."""

    def __init__(
        self, column: Column, digits: int, currency: str | None = None, blank_facts: bool = False
    ) -> None:
        super().__init__()
        self._column, self._read = column, reader(column, digits, currency)
        self._must_state = column.required and not (blank_facts and column.name not in IDENTIFYING)
        self._empty = assumed(column, digits)
        self.wrong: dict[str, Wrong] = {}

    def __missing__(self, cell: str) -> Any:
        column, text = self._column, cell.strip()
        value: Any = None
        if text.casefold() in ("", UNKNOWN):
            if self._must_state:
                self.wrong[cell] = (
                    "must be stated",
                    cell or "an empty cell",
                    column.expected,
                    column.meaning,
                )
            elif text and column.name in OVERRIDES.get(column.table, ()):
                value = UNKNOWN  # not as the part's row says
            else:
                value = self._empty
        elif text != cell:
            value = self[text]
            if text in self.wrong:
                self.wrong[cell] = self.wrong[text]
        else:
            try:
                value = self._read(text)
            except ValueError as error:
                self.wrong[cell] = _unreadable(column, text, str(error))
        if self._column.name not in DISTINCT:
            self[cell] = value
        return value

    def of(self, cells: Sequence[str]) -> list[Any]:
        """The values of some cells."""
        if self._column.name in DISTINCT and plain_texts(self._column, cells):
            return list(cells)
        return list(map(self.__getitem__, cells))


class _Said(dict[Any, str]):
    """``name=value,`` of the values of a column that are known, however they were written."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self._name = name

    def __missing__(self, value: Any) -> str:
        said = self[value] = "" if value is None else f"{self._name}={value!r},"
        return said

    def of(self, values: Sequence[Any]) -> Iterable[str]:
        """What is said of some values."""
        if self._name in DISTINCT:
            name = self._name
            return ["" if value is None else f"{name}={value!r}," for value in values]
        return map(self.__getitem__, values)


def assumed(column: Column, digits: int) -> Any:
    """What is assumed for an empty cell: mostly nothing (None: it is not known)."""
    return reader(column, digits)(column.assumed) if column.assumed else None


# A table of a million offers has about a tenth of this.
MOST_TABLE_BYTES = 2**30


def read_table(
    path: Path, table: str, digits: int, currency: str, faults: list[Fault], blank_facts: bool = False
) -> Table:
    """One table. Faults are added, those of the rows' lengths first, then column by column.
    ``blank_facts``: also facts that must be stated may be blank; then they are not known."""
    try:
        text = read_text(path, MOST_TABLE_BYTES)
    except InputRefused as error:
        faults += error.faults
        return Table()
    described = columns()[table]
    source = csv.reader(io.StringIO(text, newline=""))
    try:
        header = next(([cell.strip() for cell in row] for row in source if _says_something(row)), None)
        if header is None:
            faults.append(
                Fault(str(path), "the file is empty", None, "a header line: " + ",".join(described))
            )
            return Table()
        if not _check_header(path, header, described, faults):
            return Table()
        reading = _Reading(path, table, header, digits, currency, blank_facts)
        while block := [(row, source.line_num) for row in islice(source, BLOCK)]:
            reading.add(block)
    except csv.Error as error:
        faults.append(
            Fault(
                f"{path}:{source.line_num}",
                f"cannot be read as CSV: {error}",
                None,
                "cells separated by commas",
            )
        )
        return Table()
    return _finished(reading, faults)


def table_of_rows(
    where: str,
    table: str,
    header: list[str],
    rows: list[list[str]],
    digits: int,
    currency: str,
    faults: list[Fault],
    records: bool = True,
) -> Table:
    """One table out of rows of cells that are at hand (a store's): as read_table, only that a fact of a
    part may be unknown where a table written by hand must state it. Row numbers count from 1. ``records``:
    whether they are wanted beside what the rows state."""
    reading = _Reading(Path(where), table, header, digits, currency, blank_facts=True)
    reading.wants_records = records
    for start in range(0, len(rows), BLOCK):
        reading.add([(row, start + n) for n, row in enumerate(rows[start : start + BLOCK], 1)])
    return _finished(reading, faults)


def _finished(reading: _Reading, faults: list[Fault]) -> Table:
    faulty = list(reading.faults())
    faults += faulty
    return Table(
        () if faulty else tuple(reading.records),
        reading.kept,
        reading.lines,
        reading.stated,
        not reading.uneven,
        reading.assumed,
    )


def _says_something(row: Sequence[str]) -> bool:
    return len(row) > 1 or bool(row and row[0].strip())


class _Reading:
    """What was read of a table so far."""

    def __init__(
        self,
        path: Path,
        table: str,
        header: Sequence[str],
        digits: int,
        currency: str,
        blank_facts: bool = False,
    ) -> None:
        self._path, self._header, self._described = path, header, columns()[table]
        self._record, self._digits, self._currency = TABLES[table], digits, currency
        self._cells = {
            name: ColumnCells(self._described[name], digits, currency, blank_facts) for name in header
        }
        # Prices by their currency, where the rows state one.
        self._prices: dict[str, ColumnCells] = {}
        self.assumed: list[tuple[str, str]] = []
        self._said = {name: _Said(name) for name in sorted(header)}
        self._defaults = {
            name: assumed(column, digits)
            for name, column in self._described.items()
            if name not in self._cells
        }
        # Texts that cannot be read: (line, what is wrong) by column.
        self._wrong: dict[str, list[tuple[int, Wrong]]] = {name: [] for name in header}
        self.uneven: list[Fault] = []
        self.records: list[Any] = []
        self.kept: dict[str, list[Any]] = {name: [] for name in KEPT if name in self._described}
        self.lines: list[int] = []
        self.stated: list[str] = []
        self.wants_records = True

    def add(self, block: Sequence[tuple[list[str], int]]) -> None:
        """Read some rows with their line numbers."""
        width = len(self._header)
        rows = [row for row, _ in block]
        lines = [line for _, line in block]
        if width < 2 or set(map(len, rows)) != {width}:
            said = [(row, line) for row, line in block if _says_something(row)]
            rows = [row for row, _ in said if len(row) == width]
            lines = [line for row, line in said if len(row) == width]
            self.uneven += [self._uneven(len(row), line) for row, line in said if len(row) != width]
        if not rows:
            return
        cells_of = dict(zip(self._header, zip(*rows, strict=True), strict=True))
        values: dict[str, list[Any]] = {name: [value] * len(rows) for name, value in self._defaults.items()}
        for name, cells in cells_of.items():
            if name == "price" and "currency" in cells_of:
                readers = self._money(cells_of["currency"])
                values[name] = [own[cell] for own, cell in zip(readers, cells, strict=True)]
                self._wrong[name] += [
                    (line, own.wrong[cell])
                    for own, cell, line in zip(readers, cells, lines, strict=True)
                    if cell in own.wrong
                ]
                continue
            own = self._cells[name]
            values[name] = own.of(cells)
            if own.wrong:
                self._wrong[name] += [
                    (line, own.wrong[cell])
                    for cell, line in zip(cells, lines, strict=True)
                    if cell in own.wrong
                ]
        self.lines += lines
        for name, kept in self.kept.items():
            kept += values[name]
        stated = [said.of(values[name]) for name, said in self._said.items()]
        self.stated += ["".join(row)[:-1] for row in zip(*stated, strict=True)]
        self._note_assumed(cells_of, values)
        if self.wants_records and not any(self._wrong.values()):
            self.records += map(self._record, *(values[name] for name in self._described))

    def _note_assumed(self, cells_of: Mapping[str, Sequence[str]], values: Mapping[str, list[Any]]) -> None:
        """Keep what is assumed: (id, column) of the blank cells of columns that have an assumed value."""
        for name, column in self._described.items():
            if not column.assumed:
                continue
            blank = (
                [cell.strip().casefold() in ("", UNKNOWN) for cell in cells_of[name]]
                if name in cells_of
                else None
            )
            ids = values["id"] if blank is None else compress(values["id"], blank)
            self.assumed += [(part, name) for part in ids]

    def _money(self, codes: Sequence[str]) -> list[ColumnCells]:
        """The readers of prices in each row's own currency (ISO 4217 exponents differ: 1500 yen are not
        15.00)."""
        found = []
        for cell in codes:
            written = cell.strip().upper()
            code = self._currency if written in ("", UNKNOWN.upper()) else written
            if code not in self._prices:
                places = self._digits if code == self._currency else minor_digits(code)
                self._prices[code] = ColumnCells(self._described["price"], places, code)
            found.append(self._prices[code])
        return found

    def _uneven(self, count: int, line: int) -> Fault:
        hint = "A comma inside a cell needs quotes"
        return Fault(
            f"{self._path}:{line}",
            "wrong number of cells",
            str(count),
            f"{len(self._header)} as in the header",
            hint,
        )

    def faults(self) -> Iterator[Fault]:
        """What is wrong with the rows."""
        yield from self.uneven
        for name, found in self._wrong.items():
            for line, wrong in found:
                yield Fault(f"{self._path}:{line} {name}", *wrong)


def _unreadable(column: Column, text: str, error: str) -> Wrong:
    kind, _, rest = column.type.partition(":")
    hint = nearest(text.casefold(), rest.split("|")) if kind in ("choice", "list") else None
    said = kind in ("money", "id", "text") or "reading" in error or " from " in error
    own = error if error and said else column.expected
    return ("cannot be read", text, own, hint or column.meaning)


def _check_header(
    path: Path, header: list[str], described: Mapping[str, Column], faults: list[Fault]
) -> bool:
    before = len(faults)
    if len(header) == 1:
        for separator, name in ((";", "semicolons"), ("\t", "tabs"), ("|", "bars")):
            if separator in header[0]:
                faults.append(
                    Fault(
                        f"{path}:1",
                        f"the cells are separated by {name}",
                        header[0][:60],
                        "commas",
                        "Export the table as CSV with commas",
                    )
                )
                return False
    for name in header:
        if name not in described:
            faults.append(
                Fault(
                    f"{path}:1",
                    "unknown column",
                    name,
                    "a column of the dictionary",
                    nearest(name, described) or "See `partsolver catalog new`",
                )
            )
    for name in sorted({name for name in header if header.count(name) > 1}):
        faults.append(Fault(f"{path}:1", "the column stands twice", name))
    for name, column in described.items():
        if column.required and name not in header:
            faults.append(
                Fault(f"{path}:1", "a required column is missing", name, column.expected, column.meaning)
            )
    return len(faults) == before


__all__ = ["Table", "assumed", "read_table", "table_of_rows"]
