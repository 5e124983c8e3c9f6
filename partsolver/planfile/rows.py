"""What a plan file keeps of the catalogue it was made against: the rows its plans use.

With them a plan can be judged, printed and kept alive after a part, an offer or a seller has left the
catalogue, and what has changed since can be said row by row.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cache
from typing import Any

from pydantic import TypeAdapter, ValidationError

from partsolver.base.documents import MOST_NUMBER
from partsolver.base.errors import InputRefused, refuse
from partsolver.base.field_faults import field_fault, place
from partsolver.base.records import record
from partsolver.catalog.dictionary import columns
from partsolver.catalog.load import Catalog
from partsolver.catalog.records import PART_TABLES, TABLES, Bundle, Offer, Seller
from partsolver.plan.draft import Line
from partsolver.plan.outcome import Plan
from partsolver.planfile.stored import PLAN_FILE_HINT
from partsolver.problem.problem import Problem


@record
class Remembered:
    """parts: id -> (table, record); offers, bundles and sellers of the order lines. Empty for a file without
    them."""

    parts: Mapping[str, tuple[str, Any]]
    offers: tuple[Offer, ...] = ()
    bundles: tuple[Bundle, ...] = ()
    sellers: tuple[Seller, ...] = ()


@cache
def _adapter(table: str) -> TypeAdapter[Any]:
    return TypeAdapter(TABLES[table])


def remember(problem: Problem, plans: Iterable[Plan]) -> dict[str, list[dict[str, Any]]]:
    """The rows that some plans use, by table, for the plan file (unknown cells are left out)."""
    lines = [line for plan in plans for line in plan.draft.lines]
    bundles = {line.bundle.id: line.bundle for line in lines if line.bundle is not None}
    offers = {repr(line.offer): line.offer for line in lines if line.offer is not None}
    sellers = {s for line in lines if (s := _seller(line)) is not None}
    catalog: Catalog = problem.source
    rows: dict[str, list[Any]] = {table: [] for table in PART_TABLES}
    for part in sorted({line.item for line in lines} - set(bundles)):
        rows[catalog.table_of[part]].append(catalog.part(part))
    rows["sellers"] = [problem.sellers[seller] for seller in sorted(sellers)]
    rows["offers"] = [offers[key] for key in sorted(offers)]
    rows["bundles"] = [bundles[key] for key in sorted(bundles)]
    return {
        table: [_adapter(table).dump_python(row, mode="json", exclude_none=True) for row in found]
        for table, found in rows.items()
        if found
    }


def _seller(line: Line) -> str | None:
    source = line.offer or line.bundle
    return None if source is None else source.seller


def recall(where: str, stored: Any) -> Remembered:
    """The rows of a plan file; none where the file has none. Raises InputRefused naming the row that cannot
    be read."""
    if stored is None:
        return Remembered({})
    if not isinstance(stored, dict) or not all(isinstance(rows, list) for rows in stored.values()):
        raise refuse(where, "the rows of the catalogue cannot be read", None, "lists of rows by table")
    found: dict[str, list[Any]] = {
        table: [
            _row(f"{where}.{table} entry {number}", table, row)
            for number, row in enumerate(stored.get(table, ()), 1)
        ]
        for table in TABLES
    }
    sellers = {seller.id for seller in found["sellers"]}
    for table in ("offers", "bundles"):
        for number, row in enumerate(found[table], 1):
            if row.seller not in sellers:
                here = f"{where}.{table} entry {number} seller"
                expected = "a seller of source.rows.sellers"
                raise refuse(here, "no such seller in the file", row.seller, expected, PLAN_FILE_HINT)
    parts = {row.id: (table, row) for table in PART_TABLES for row in found[table]}
    return Remembered(parts, tuple(found["offers"]), tuple(found["bundles"]), tuple(found["sellers"]))


def _row(where: str, table: str, row: Any) -> Any:
    try:
        record = _adapter(table).validate_python(row)
    except ValidationError as error:
        item = error.errors()[0]
        fault = field_fault(item).placed(f"{where} {place(item)}".rstrip(), PLAN_FILE_HINT)
        raise InputRefused(fault) from None
    for column in columns()[table].values():
        kind, _, rest = column.type.partition(":")
        value = getattr(record, column.name)
        if kind == "choice" and value not in (None, *rest.split("|")):
            raise refuse(f"{where} {column.name}", "no such choice", value, column.expected, PLAN_FILE_HINT)
        least, most = (0, MOST_NUMBER) if kind == "money" else column.bounds
        numbers = (value,) if kind in ("money", "int") else value if kind == "ints" else ()
        odd = next((n for n in numbers or () if n is not None and not least <= n <= most), None)
        if odd is not None:
            expected = f"a whole number from {least} to {most} {column.unit}".rstrip()
            raise refuse(f"{where} {column.name}", "out of bounds", odd, expected, PLAN_FILE_HINT)
    return record


def put_back(
    catalog: Catalog,
    parts: Mapping[str, tuple[str, Any]],
    offers: Iterable[Offer] = (),
    bundles: Iterable[Bundle] = (),
    sellers: Iterable[Seller] = (),
) -> Catalog:
    """The catalogue with rows that it has not any more (those it has stay as they are now); itself where it
    has all."""
    offers, bundles, sellers = tuple(offers), tuple(bundles), tuple(sellers)
    here = {row.id for table in ("sellers", "bundles") for row in catalog.tables[table]}
    wanted = [*(bundle.id for bundle in bundles), *(seller.id for seller in sellers)]
    if not offers and all(part in catalog.table_of for part in parts) and all(row in here for row in wanted):
        return catalog
    tables = dict(catalog.tables)
    table_of = dict(catalog.table_of)
    for part, (table, row) in sorted(parts.items()):
        if part not in table_of:
            tables[table] = (*tables[table], row)
            table_of[part] = table
    for table, rows in (("sellers", sellers), ("bundles", bundles)):
        known = {row.id for row in tables[table]}
        tables[table] = (*tables[table], *(row for row in rows if row.id not in known))
    tables["offers"] = (*tables["offers"], *offers)
    ordered = {
        table: rows if table == "offers" else tuple(sorted(rows, key=lambda row: row.id))
        for table, rows in tables.items()
    }
    return replace(catalog, tables=ordered, table_of=table_of)


__all__ = ["Remembered", "put_back", "recall", "remember"]
