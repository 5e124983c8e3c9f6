"""Read a catalogue folder. A row that breaks the column dictionary is refused with file, line, column and value.

Cells are read column by column with a memory of the distinct texts (a shop's list repeats itself), so a hundred
thousand rows take well under a second without any table library. All faults of all files are reported in one go.
"""

from __future__ import annotations

import csv
import datetime
import hashlib
import io
import re
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from fractions import Fraction
from itertools import groupby, repeat
from operator import attrgetter
from pathlib import Path
from typing import TYPE_CHECKING, Any

from partsolver.catalog.dictionary import UNKNOWN, Column, columns, reader
from partsolver.catalog.records import TABLES, Bundle, CatalogInfo, Offer, Part, Reference, Seller
from partsolver.errors import Fault, InputRefused, nearest, refuse
from partsolver.quantities import minor_digits, round_half_up
from partsolver.textfile import read_text

if TYPE_CHECKING:
    import pandas

# A catalogue must have these; the other tables may be missing.
REQUIRED_TABLES = ("boards", "cpus", "memory", "sellers", "offers")
PART_TABLES = ("boards", "cpus", "memory", "coolers", "extras", "psus", "cases", "drives")


@dataclass(frozen=True)
class Catalog:
    """A checked catalogue.

    tables: records by table name, sorted by id (offers by part, seller, price); table_of: part id -> table name;
    info: name, currency, date, digest and reference machine.
    """

    info: CatalogInfo
    tables: Mapping[str, tuple[Any, ...]]
    table_of: Mapping[str, str]
    folder: str

    def frame(self, table: str) -> pandas.DataFrame:
        """One table as a pandas DataFrame (columns of the dictionary), for analysis."""
        import pandas

        return pandas.DataFrame.from_records(
            [{name: getattr(row, name) for name in columns()[table]} for row in self.tables[table]],
            columns=list(columns()[table]),
        )

    def part(self, part_id: str) -> Part | None:
        """The part with an id, or None."""
        table = self.table_of.get(part_id)
        return None if table is None else next(row for row in self.tables[table] if row.id == part_id)


def bundled_parts(catalog: Catalog) -> frozenset[str]:
    """Ids of the parts that bundles of parts hold."""
    return frozenset(item for bundle in catalog.tables["bundles"] if bundle.kind == "parts" for item, _ in bundle.items)


def load_catalog(folder: Path) -> Catalog:
    """Load and check a catalogue folder. Raises InputRefused with every fault found."""
    if not folder.is_dir():
        raise refuse(str(folder), "no such catalogue folder", hint="Give the folder that holds catalog.toml, boards.csv and so on")
    faults: list[Fault] = []
    head = _head(folder / "catalog.toml")
    digits = minor_digits(head["currency"])
    read: dict[str, _Read] = {}
    digest = hashlib.sha256(repr(sorted((k, str(v)) for k, v in head.items())).encode())
    for table in TABLES:
        path = folder / f"{table}.csv"
        if not path.is_file():
            if table in REQUIRED_TABLES:
                faults.append(Fault(str(path), "no such file", None, f"a table of {table}", "`partsolver catalog new` writes an empty one"))
            read[table] = _Read(readable=table not in REQUIRED_TABLES)
            continue
        read[table] = _read_table(path, table, digits, faults, digest)
    table_of = _check_ids(folder, read, faults)
    _check_references(folder, read, table_of, faults)
    rates = _rates(folder / "catalog.toml", head, faults)
    _check_currencies(folder, read, head["currency"], rates, faults)
    if faults:
        raise InputRefused(faults)
    tables = {table: found.rows for table, found in read.items()}
    for table in ("offers", "bundles"):
        tables[table] = tuple(_converted(row, head["currency"], rates) for row in tables[table])
    ordered = {table: _in_order(table, rows) for table, rows in tables.items()}
    info = CatalogInfo(
        head["name"], head["currency"], digits, head["as_of"], head["origin"], digest.hexdigest()[:16], head["reference"]
    )
    return Catalog(info, ordered, table_of, str(folder))


@dataclass
class _Read:
    """A table as read: records (none when a cell is faulty), and what could be read of each column all the same.

    columns: values by column name, None where a cell could not be read; lines: their line numbers;
    readable: whether the ids of the table are known (the file is there and its header is right).
    """

    rows: tuple[Any, ...] = ()
    columns: Mapping[str, list[Any]] = field(default_factory=dict)
    lines: Sequence[int] = ()
    readable: bool = False

    def cells(self, name: str) -> Iterator[tuple[Any, int]]:
        """Readable values of a column with their lines."""
        found = zip(self.columns.get(name, ()), self.lines, strict=False)
        return ((value, line) for value, line in found if value is not None)


def _by_id(row: Any) -> Any:
    return row.id


def _in_order(table: str, rows: tuple[Any, ...]) -> tuple[Any, ...]:
    """Rows in an order that does not depend on that of the file."""
    if table != "offers":
        return tuple(sorted(rows, key=_by_id))
    ordered: list[Any] = []
    for _, same in groupby(sorted(rows, key=_offer_order), key=_offer_order):
        alike = list(same)
        ordered += alike if len(alike) == 1 else sorted(alike, key=repr)
    return tuple(ordered)


_offer_order = attrgetter("part", "seller", "price")


def _head(path: Path) -> dict[str, Any]:
    text = read_text(path)
    try:
        data = tomllib.loads(text, parse_float=Decimal)
    except tomllib.TOMLDecodeError as error:
        raise refuse(str(path), f"not valid TOML: {error}") from None
    faults: list[Fault] = []
    known = ("name", "currency", "as_of", "origin", "reference", "rates")
    for key in data:
        if key not in known:
            faults.append(Fault(f"{path} {key}", "no such key", None, ", ".join(known), nearest(key, known)))
    for key, kind, expected in (
        ("name", str, "text"),
        ("currency", str, "a currency code of three capital letters (ISO 4217)"),
        ("as_of", datetime.date, "a date as YYYY-MM-DD without quotes"),
        ("origin", str, "text saying where the data come from"),
        ("reference", dict, "a table [reference]"),
    ):
        # A date with a time of day is a date to Python, and cannot be compared with one.
        if not isinstance(data.get(key), kind) or isinstance(data.get(key), datetime.datetime):
            faults.append(Fault(f"{path} {key}", "is missing or of the wrong kind", _shown(data.get(key)), expected))
    currency = data.get("currency")
    if isinstance(currency, str) and not re.fullmatch(r"[A-Z]{3}", currency):
        faults.append(Fault(f"{path} currency", "not a currency code", currency, "three capital letters (ISO 4217)"))
    if not isinstance(data.get("rates", {}), dict):
        faults.append(Fault(f"{path} rates", "is not a table", _shown(data["rates"]), 'a table [rates] with lines such as USD = "0.92"'))
    reference = data.get("reference")
    if isinstance(reference, dict):
        names = Reference.__dataclass_fields__
        for key in reference:
            if key not in names:
                faults.append(Fault(f"{path} reference.{key}", "no such key", None, ", ".join(names), nearest(key, names)))
        for key in names:
            value = reference.get(key)
            if not isinstance(value, int) or isinstance(value, bool) or value < 1:
                faults.append(Fault(f"{path} reference.{key}", "is missing or not positive", _shown(value), "a whole number above 0"))
    if faults:
        raise InputRefused(faults)
    data["reference"] = Reference(**data["reference"])
    return data


def _shown(value: object) -> str | None:
    return None if value is None else str(value)


def _read_table(path: Path, table: str, digits: int, faults: list[Fault], digest: Any) -> _Read:
    """Records, columns and line numbers. Faults are added; the digest takes the rows in sorted order."""
    try:
        text = read_text(path)
    except InputRefused as error:
        faults += error.faults
        return _Read()
    described = columns()[table]
    source = csv.reader(io.StringIO(text, newline=""))
    header: list[str] | None = None
    raw: list[list[str]] = []
    lines: list[int] = []
    try:
        for row in source:
            if not row or (len(row) == 1 and not row[0].strip()):
                continue
            if header is None:
                header = [cell.strip() for cell in row]
            else:
                raw.append(row)
                lines.append(source.line_num)
    except csv.Error as error:
        faults.append(Fault(f"{path}:{source.line_num}", f"cannot be read as CSV: {error}", None, "cells separated by commas"))
        return _Read()
    if header is None:
        faults.append(Fault(str(path), "the file is empty", None, "a header line: " + ",".join(described)))
        return _Read()
    if not _check_header(path, header, described, faults):
        return _Read()
    whole = [(row, line) for row, line in zip(raw, lines, strict=True) if len(row) == len(header)]
    for row, line in zip(raw, lines, strict=True):
        if len(row) != len(header):
            faults.append(
                Fault(f"{path}:{line}", "wrong number of cells", str(len(row)), f"{len(header)} as in the header", "A comma inside a cell needs quotes")
            )
    lines = [line for _, line in whole]
    cells_of: dict[str, Sequence[str]] = dict(zip(header, zip(*(row for row, _ in whole), strict=True) if whole else repeat(()), strict=False))
    for text_row in sorted(_stated(cells_of)):
        digest.update(f"{table}:{text_row}\n".encode())
    before = len(faults)
    values: dict[str, list[Any]] = {}
    for name, cells in cells_of.items():
        if name == "price" and "currency" in header:
            codes = [code.strip() for code in cells_of["currency"]]
            values[name] = _read_prices(path, described[name], cells, lines, codes, digits, faults)
        else:
            values[name] = _read_column(path, described[name], cells, lines, digits, faults)
    for name, column in described.items():
        if name not in values:
            default = _default(column, digits)
            values[name] = [default] * len(whole)
    if len(faults) > before:
        return _Read((), values, lines, len(whole) == len(raw))
    record = TABLES[table]
    names = list(described)
    rows = tuple(record(*cells) for cells in zip(*(values[name] for name in names), strict=True)) if whole else ()
    return _Read(rows, values, lines, len(whole) == len(raw))


def _stated(cells_of: Mapping[str, Sequence[str]]) -> Iterator[str]:
    """Per row ``name=text`` of the cells that say something, by column name, joined with commas."""
    columns = []
    for name in sorted(cells_of):
        said = {cell: f"{name}={cell.strip()}" if cell.strip() else "" for cell in set(cells_of[name])}
        columns.append([said[cell] for cell in cells_of[name]])
    return (",".join(filter(None, row)) for row in zip(*columns, strict=True))


def _read_prices(
    path: Path, column: Column, cells: Sequence[str], lines: Sequence[int], codes: list[str], digits: int, faults: list[Fault]
) -> list[Any]:
    """Prices in minor units of each row's own currency (ISO 4217 exponents differ: 1500 yen are not 15.00)."""
    places = [minor_digits(code) if code not in ("", UNKNOWN) else digits for code in codes]
    result: list[Any] = [None] * len(cells)
    for place in sorted(set(places)):
        here = [i for i, p in enumerate(places) if p == place]
        own = _read_column(path, column, [cells[i] for i in here], [lines[i] for i in here], place, faults)
        for i, value in zip(here, own, strict=True):
            result[i] = value
    return result


def _default(column: Column, digits: int) -> Any:
    return reader(column, digits)(column.default) if column.default else None


def _read_column(path: Path, column: Column, cells: Sequence[str], lines: Sequence[int], digits: int, faults: list[Fault]) -> list[Any]:
    """The values of a column, None where a cell could not be read. Every distinct text is read once."""
    read = reader(column, digits)
    seen: dict[str, Any] = {"": _default(column, digits), UNKNOWN: None}
    wrong: dict[str, Callable[[str], Fault]] = {}
    for cell in set(cells):
        text = cell.strip()
        if text in ("", UNKNOWN) and column.required:
            said = cell or "an empty cell"
            wrong[cell] = lambda where, said=said: Fault(where, "must be stated", said, column.expected, column.meaning)  # type: ignore[misc]
        elif cell not in seen:
            try:
                seen[cell] = seen[text] if text in seen else read(text)
            except ValueError as error:
                wrong[cell] = _unreadable(column, text, str(error))
    if not wrong:
        return [seen[cell] for cell in cells]
    faults += [wrong[cell](f"{path}:{line} {column.name}") for cell, line in zip(cells, lines, strict=True) if cell in wrong]
    return [None if cell in wrong else seen[cell] for cell in cells]


def _unreadable(column: Column, text: str, error: str) -> Callable[[str], Fault]:
    kind, _, rest = column.type.partition(":")
    hint = nearest(text, rest.split("|")) if kind == "choice" else None
    own = error if kind in ("money", "id", "text") and error else column.expected
    return lambda where: Fault(where, "cannot be read", text, own, hint or column.meaning)


def _check_header(path: Path, header: list[str], described: Mapping[str, Column], faults: list[Fault]) -> bool:
    before = len(faults)
    if len(header) == 1:
        for separator, name in ((";", "semicolons"), ("\t", "tabs"), ("|", "bars")):
            if separator in header[0]:
                faults.append(Fault(f"{path}:1", f"the cells are separated by {name}", header[0][:60], "commas", "Export the table as CSV with commas"))
                return False
    for name in header:
        if name not in described:
            faults.append(Fault(f"{path}:1", "unknown column", name, "a column of the dictionary", nearest(name, described) or "See `partsolver catalog new`"))
    for name in sorted({name for name in header if header.count(name) > 1}):
        faults.append(Fault(f"{path}:1", "the column stands twice", name))
    for name, column in described.items():
        if column.required and name not in header:
            faults.append(Fault(f"{path}:1", "a required column is missing", name, column.expected, column.meaning))
    return len(faults) == before


def _check_ids(folder: Path, read: Mapping[str, _Read], faults: list[Fault]) -> dict[str, str]:
    """Part id -> table; an id that stands twice is a fault."""
    table_of: dict[str, str] = {}
    for tables in ((*PART_TABLES, "bundles"), ("sellers",)):
        first: dict[str, tuple[str, int]] = {}
        for table in tables:
            for part, line in read[table].cells("id"):
                if part in first:
                    where, at = first[part]
                    hint = f"It stands first in {where}.csv line {at}"
                    faults.append(Fault(f"{folder / table}.csv:{line} id", "this id stands twice", part, "a new id", hint))
                    continue
                first[part] = (table, line)
                if table in PART_TABLES:
                    table_of[part] = table
    return table_of


def _check_references(folder: Path, read: Mapping[str, _Read], table_of: Mapping[str, str], faults: list[Fault]) -> None:
    """Offers and bundles name parts and sellers that exist (where the tables of those could be read)."""
    sellers = {seller for seller, _ in read["sellers"].cells("id")}
    for table, column in (("offers", "part"), ("bundles", "items")):
        where = f"{folder / table}.csv"
        if read["sellers"].readable:
            for seller, line in read[table].cells("seller"):
                if seller not in sellers:
                    faults.append(Fault(f"{where}:{line} seller", "no such seller", seller, "an id of sellers.csv", nearest(seller, sellers)))
        if all(read[t].readable for t in PART_TABLES):
            for value, line in read[table].cells(column):
                for part in [value] if table == "offers" else [item for item, _ in value]:
                    if part not in table_of:
                        faults.append(Fault(f"{where}:{line} {column}", "no such part", part, "an id of the part tables", nearest(part, table_of)))


def _rates(path: Path, head: Mapping[str, Any], faults: list[Fault]) -> dict[str, Fraction]:
    """Exchange rates the catalogue states: one unit of the other currency in the catalogue's own."""
    rates: dict[str, Fraction] = {}
    for code, text in (head.get("rates") or {}).items():
        if re.fullmatch(r"[0-9]{1,9}(\.[0-9]{1,12})?", str(text)) and Fraction(str(text)) > 0:
            rates[code] = Fraction(str(text))
        else:
            faults.append(Fault(f"{path} rates.{code}", "not a rate", str(text), 'a positive decimal such as "0.92"'))
    return rates


def _check_currencies(
    folder: Path, read: Mapping[str, _Read], currency: str, rates: Mapping[str, Fraction], faults: list[Fault]
) -> None:
    """One currency per catalogue; another one only with a stated rate."""
    for table in ("offers", "bundles"):
        for code, line in read[table].cells("currency"):
            if code != currency and code not in rates:
                problem = f"a second currency; the catalogue counts in {currency}"
                hint = f'Convert the price, or state a rate in catalog.toml: [rates] {code} = "..."'
                faults.append(Fault(f"{folder / table}.csv:{line} currency", problem, code, currency, hint))


def _converted(row: Offer | Bundle, currency: str, rates: Mapping[str, Fraction]) -> Offer | Bundle:
    """The price in the catalogue's currency, rounded half up to its minor unit."""
    if row.currency is None or row.currency == currency:
        return row
    shift = Fraction(10) ** (minor_digits(currency) - minor_digits(row.currency))
    return replace(row, price=round_half_up(row.price * rates[row.currency] * shift))


__all__ = ["Catalog", "Seller", "load_catalog"]
