"""Read a catalogue folder: its tables (catalog/table.py), and what must hold between them.

A row that breaks the column dictionary is refused with file, line, column and value. All faults of all files
are reported in one go.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator, Mapping
from dataclasses import field, replace
from fractions import Fraction
from itertools import groupby
from operator import attrgetter, eq
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Any

from partsolver.base.controls import shows_whole
from partsolver.base.documents import parse_toml
from partsolver.base.errors import Fault, InputRefused, nearest
from partsolver.base.quantities import minor_digits, round_half_up
from partsolver.base.records import record
from partsolver.base.textfile import read_text
from partsolver.base.values import FIRST_DAY, LAST_DAY
from partsolver.catalog import check_folder
from partsolver.catalog.dictionary import columns
from partsolver.catalog.digest import assumed_cells, content_digest
from partsolver.catalog.records import (
    PART_TABLES,
    TABLES,
    Bundle,
    CatalogInfo,
    Offer,
    Part,
    Reference,
    Seller,
)
from partsolver.catalog.store import holds_store
from partsolver.catalog.store.load import store_head, store_tables
from partsolver.catalog.store.prices import PriceNote
from partsolver.catalog.table import Table, read_table

if TYPE_CHECKING:
    import pandas

# A catalogue must have these; the other tables may be missing.
REQUIRED_TABLES = ("boards", "cpus", "memory", "sellers", "offers")


@record
class Catalog:
    """A checked catalogue.

    tables: records by table name, sorted by id (offers by part, seller, price); table_of: part id -> table
    name; assumed: what is assumed; info: name, currency, date, digest and reference machine; marks: of a
    store's parts, where their cells come from (store/resolve.py, read_marks); parts whose cells are all typed
    have none; price_notes: of a store's offers by (part, seller).
    """

    info: CatalogInfo
    tables: Mapping[str, tuple[Any, ...]]
    table_of: Mapping[str, str]
    folder: str
    # (table, id, column) of what nobody stated and the dictionary assumes.
    assumed: frozenset[tuple[str, str, str]] = frozenset()
    marks: Mapping[str, str] = field(default_factory=dict)
    price_notes: Mapping[tuple[str, str], PriceNote] = field(default_factory=dict)
    # Parts by id, of every table that was asked for.
    _by_id: dict[str, dict[str, Part]] = field(init=False, default_factory=dict, compare=False, repr=False)

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
        if table is None:
            return None
        if table not in self._by_id:
            self._by_id[table] = {row.id: row for row in self.tables[table]}
        return self._by_id[table][part_id]


def bundled_parts(catalog: Catalog) -> frozenset[str]:
    """Ids of the parts that bundles of parts hold."""
    return frozenset(
        item for bundle in catalog.tables["bundles"] if bundle.kind == "parts" for item, _ in bundle.items
    )


def load_catalog(folder: str | PathLike[str]) -> Catalog:
    """Load and check a catalogue folder. Raises InputRefused with every fault found."""
    folder = Path(folder)
    check_folder(folder)
    faults: list[Fault] = []
    marks: dict[str, str] = {}
    notes: Mapping[tuple[str, str], PriceNote] = {}
    digest: str | None = None
    read: Mapping[str, Table]
    if holds_store(folder):
        head = store_head(folder)
        digits = minor_digits(head["currency"])
        found = store_tables(folder, digits, head["currency"], faults)
        read, marks, notes, digest = found.tables, found.marks, found.notes, found.digest
    else:
        head = _head(folder / "catalog.toml")
        digits = minor_digits(head["currency"])
        blank_facts = head.pop("blank_facts", False)
        read = _read_tables(folder, digits, head["currency"], faults, blank_facts)
    digest = digest or content_digest(head, read)
    for table_read in read.values():
        table_read.stated = ()  # large, and not needed any more
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
        head["name"],
        head["currency"],
        digits,
        head["as_of"],
        head["origin"],
        digest,
        head["reference"],
    )
    return Catalog(info, ordered, table_of, str(folder), assumed_cells(read), marks, notes)


def _read_tables(
    folder: Path, digits: int, currency: str, faults: list[Fault], blank_facts: bool
) -> dict[str, Table]:
    """The CSV tables of a folder."""
    read: dict[str, Table] = {}
    for table in TABLES:
        path = folder / f"{table}.csv"
        if not path.is_file():
            if table in REQUIRED_TABLES:
                faults.append(
                    Fault(
                        str(path),
                        "no such file",
                        None,
                        f"a table of {table}",
                        "`partsolver catalog new` writes an empty one",
                    )
                )
            read[table] = Table(readable=table not in REQUIRED_TABLES)
            continue
        read[table] = read_table(path, table, digits, currency, faults, blank_facts)
    return read


def _in_order(table: str, rows: tuple[Any, ...]) -> tuple[Any, ...]:
    """Rows in an order that does not depend on that of the file."""
    if table != "offers":
        return tuple(sorted(rows, key=attrgetter("id")))
    known = sorted(rows, key=_offer_order)
    keys = list(map(_offer_order, known))
    if not any(map(eq, keys, keys[1:])):
        return tuple(known)
    ordered: list[Any] = []
    for _, same in groupby(known, key=_offer_order):
        alike = list(same)
        ordered += alike if len(alike) == 1 else sorted(alike, key=repr)
    return tuple(ordered)


_offer_order = attrgetter("part", "seller", "price")


def _head_currency_faults(path: Path, data: dict[str, Any]) -> Iterator[Fault]:
    """Faults of the currency and of the table of rates."""
    day = data.get("as_of")
    if (
        isinstance(day, datetime.date)
        and not isinstance(day, datetime.datetime)
        and not FIRST_DAY <= day <= LAST_DAY
    ):
        yield Fault(
            f"{path} as_of", "no order can have this day", str(day), f"a day from {FIRST_DAY} to {LAST_DAY}"
        )
    currency = data.get("currency")
    if isinstance(currency, str) and not re.fullmatch(r"[A-Z]{3}", currency):
        yield (Fault(f"{path} currency", "not a currency code", currency, "three capital letters (ISO 4217)"))
    if not isinstance(data.get("rates", {}), dict):
        yield (
            Fault(
                f"{path} rates",
                "is not a table",
                _shown(data["rates"]),
                'a table [rates] with lines such as USD = "0.92"',
            )
        )


def _head_text_faults(path: Path, data: dict[str, Any]) -> Iterator[Fault]:
    """Name and origin stand on the terminal as they are."""
    for key in ("name", "origin"):
        value = data.get(key)
        if isinstance(value, str) and not shows_whole(value):
            yield Fault(f"{path} {key}", "holds characters that do not show", value, "one line of text")


def _head_reference_faults(path: Path, reference: Any) -> Iterator[Fault]:
    """Faults of the table of reference scores; that it is missing is said elsewhere."""
    if not isinstance(reference, dict):
        return
    names = Reference.__dataclass_fields__
    for key in reference:
        if key not in names:
            yield (
                Fault(f"{path} reference.{key}", "no such key", None, ", ".join(names), nearest(key, names))
            )
    for key in names:
        value = reference.get(key)
        if not isinstance(value, int) or isinstance(value, bool) or value < 1:
            yield (
                Fault(
                    f"{path} reference.{key}",
                    "is missing or not positive",
                    _shown(value),
                    "a whole number above 0",
                )
            )


def _head(path: Path) -> dict[str, Any]:
    data = parse_toml(read_text(path), str(path))
    faults: list[Fault] = []
    known = ("name", "currency", "as_of", "origin", "blank_facts", "reference", "rates")
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
            faults.append(
                Fault(f"{path} {key}", "is missing or of the wrong kind", _shown(data.get(key)), expected)
            )
    if not isinstance(data.get("blank_facts", False), bool):
        faults.append(Fault(f"{path} blank_facts", "is neither true nor false", _shown(data["blank_facts"])))
    faults += _head_text_faults(path, data)
    faults += _head_currency_faults(path, data)
    faults += _head_reference_faults(path, data.get("reference"))
    if faults:
        raise InputRefused(faults)
    data["reference"] = Reference(**data["reference"])
    return data


def _shown(value: object) -> str | None:
    return None if value is None else str(value)


def _check_ids(folder: Path, read: Mapping[str, Table], faults: list[Fault]) -> dict[str, str]:
    """Part id -> table; an id that stands twice is a fault."""
    table_of: dict[str, str] = {}
    for tables in ((*PART_TABLES, "bundles"), ("sellers",)):
        known = [read[table].known("id") for table in tables]
        if len(set().union(*known)) == sum(len(read[table].lines) for table in tables):
            for table, ids in zip(tables, known, strict=True):
                table_of |= dict.fromkeys(ids if table in PART_TABLES else (), table)
            continue
        first: dict[str, tuple[str, int]] = {}
        for table in tables:
            for part, line in read[table].cells("id"):
                if part in first:
                    where, at = first[part]
                    hint = f"It stands first in {where}.csv line {at}"
                    faults.append(
                        Fault(
                            f"{folder / table}.csv:{line} id", "this id stands twice", part, "a new id", hint
                        )
                    )
                    continue
                first[part] = (table, line)
                if table in PART_TABLES:
                    table_of[part] = table
    return table_of


def _check_references(
    folder: Path, read: Mapping[str, Table], table_of: Mapping[str, str], faults: list[Fault]
) -> None:
    """Offers and bundles name parts and sellers that exist (where the tables of those could be read)."""
    sellers = read["sellers"].known("id")
    for table, column in (("offers", "part"), ("bundles", "items")):
        where = f"{folder / table}.csv"
        if read["sellers"].readable and not sellers >= read[table].known("seller"):
            for seller, line in read[table].cells("seller"):
                if seller not in sellers:
                    faults.append(
                        Fault(
                            f"{where}:{line} seller",
                            "no such seller",
                            seller,
                            "an id of sellers.csv",
                            nearest(seller, sellers),
                        )
                    )
        if all(read[t].readable for t in PART_TABLES) and not (
            table == "offers" and table_of.keys() >= read[table].known("part")
        ):
            for value, line in read[table].cells(column):
                for part in [value] if table == "offers" else [item for item, _ in value]:
                    if part not in table_of:
                        faults.append(
                            Fault(
                                f"{where}:{line} {column}",
                                "no such part",
                                part,
                                "an id of the part tables",
                                nearest(part, table_of),
                            )
                        )


def _rates(path: Path, head: Mapping[str, Any], faults: list[Fault]) -> dict[str, Fraction]:
    """Exchange rates the catalogue states: one unit of the other currency in the catalogue's own."""
    rates: dict[str, Fraction] = {}
    for code, text in (head.get("rates") or {}).items():
        if re.fullmatch(r"[0-9]{1,9}(\.[0-9]{1,12})?", str(text)) and Fraction(str(text)) > 0:
            rates[code] = Fraction(str(text))
        else:
            faults.append(
                Fault(f"{path} rates.{code}", "not a rate", str(text), 'a positive decimal such as "0.92"')
            )
    return rates


def _check_currencies(
    folder: Path, read: Mapping[str, Table], currency: str, rates: Mapping[str, Fraction], faults: list[Fault]
) -> None:
    """One currency per catalogue; another one only with a stated rate."""
    for table in ("offers", "bundles"):
        if read[table].known("currency") <= {currency, *rates}:
            continue
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
