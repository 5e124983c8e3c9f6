"""A person's own parts as a list: names and counts, what a piece is worth to its owner, used unless said
otherwise."""

from __future__ import annotations

from dataclasses import replace

from partsolver.catalog.lists.columns import Columns, Question
from partsolver.catalog.lists.sheets import Sheet

SHELF, SHELF_NAME = "shelf", "your shelf"
# Nothing is sent, nothing is paid for sending, nothing goes back.
SHELF_CELLS = {
    "delivery": "0",
    "minimum_order": "0",
    "delivery_days": "0",
    "returns_days": "0",
    "kind": "private",
}
# What a list of one's own needs no word about.
_NOT_ASKED: tuple[Question, ...] = ("price", "tax", "rate")


def shelf_columns(sheet: Sheet, columns: Columns | None) -> Columns | None:
    """The columns of a list of one's own: a worth counts as the price, and nothing is asked about prices.
    Without a header the one column of long texts is the name, one of whole numbers the count. None where
    there is no name."""
    found = columns or _without_header(sheet)
    if found is None:
        return None
    roles = dict(found.roles)
    if "value" in roles:
        roles.setdefault("price", roles.pop("value"))
    asked = tuple(question for question in found.asked if question not in _NOT_ASKED)
    return replace(found, roles=roles, tax="final", tax_percent_x100=None, evidence="", asked=asked)


def _without_header(sheet: Sheet) -> Columns | None:
    rows = [row for row in sheet.rows if any(cell is not None for cell in row)]
    width = max(map(len, rows), default=0)
    names, counts = [], []
    for column in range(width):
        cells = [row[column] for row in rows if len(row) > column and row[column] is not None]
        if cells and all(_count(cell) for cell in cells):
            counts.append(column)
        elif sum(isinstance(cell, str) and " " in cell for cell in cells) * 10 >= len(rows) * 8:
            names.append(column)
    if len(names) != 1 or len(counts) > 1:
        return None
    roles = {"name": names[0]} | ({"stock": counts[0]} if counts else {})
    return Columns(-1, roles, ())


def _count(cell: object) -> bool:
    return (isinstance(cell, int) and not isinstance(cell, bool)) or (
        isinstance(cell, str) and cell.isascii() and cell.isdigit()
    )
