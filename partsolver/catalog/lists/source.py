"""A price list as a source: its sheets, their settled columns, and what is not sure, as a question."""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from partsolver.base.errors import Fault, InputRefused
from partsolver.base.records import record
from partsolver.catalog.lists.around import tax_words
from partsolver.catalog.lists.columns import (
    Columns,
    as_said,
    each_has_a_rate,
    has_both_taxes,
    header_words,
    proposed,
)
from partsolver.catalog.lists.limits import NotRead
from partsolver.catalog.lists.repeated import once_each
from partsolver.catalog.lists.rows import About, read_rows
from partsolver.catalog.lists.sheets import Cell, Sheet, sheets_of, table_of_text, text_of
from partsolver.catalog.lists.shelf import SHELF, shelf_columns
from partsolver.catalog.lists.validity import day_above
from partsolver.catalog.store.records import LeftOut, Sighting, Source, Tax
from partsolver.catalog.store.write import seller_id

_DATE_IN_NAME = re.compile(
    r"(?:19|20)\d\d[-_. ]?\d\d?(?:[-_. ]?\d\d?)?|(?:kw|cw|week|w)[-_ ]?\d+|[\d_.-]+$", re.IGNORECASE
)
# A line of pasted text without separators: a name, then an amount at its end.
_LINE = re.compile(
    r"^(?P<name>.*\S)\s+(?P<price>(?:[€£$]\s?|[A-Z]{3}\s)?\d[\d .,'’]*\d?(?:,-)?\s?(?:[€£$]|zł|Kč|Ft|[A-Z]{3})?)$"
)


@record
class Settings:
    """What is known of a seller's lists: given with the command, or kept from before (``kept_...``); ``today``: no list is
    of a later day; ``usual_...``: what counts where neither they nor the list say it."""

    seller: str | None = None
    stated_on: datetime.date | None = None
    tax: Tax | None = None
    tax_percent_x100: int | None = None
    roles: Mapping[str, int] | None = None
    currency: str = "EUR"
    kept_columns: str | None = None
    shelf: bool = False
    usual_tax: Tax | None = None
    usual_tax_percent_x100: int | None = None
    kept_tax: Tax | None = None
    kept_tax_percent_x100: int | None = None
    today: datetime.date | None = None


@record
class ListSource:
    """A list read, and what of it is kept for the seller."""

    source: Source
    columns: Columns
    tax: Tax
    tax_percent_x100: int | None


class Unsettled(InputRefused):
    """A list whose meaning is not sure: the questions, each with how to answer it."""

    def __init__(self, faults: Sequence[Fault], questions: tuple[str, ...], columns: Columns) -> None:
        super().__init__(faults)
        self.questions, self.columns = questions, columns


def seller_of_file(stem: str) -> str:
    """The seller a list's file name speaks of, without its date."""
    return seller_id(_DATE_IN_NAME.sub("", stem) or stem)


def series_of_file(stem: str) -> str:
    """What the lists of one seller have in common from week to week."""
    return re.sub(r"\d+", "#", _DATE_IN_NAME.sub("", stem).casefold())


def list_sheets(data: bytes, spreadsheet: bool) -> tuple[Sheet, ...]:
    """The sheets of a file. Raises NotRead."""
    if spreadsheet:
        return sheets_of(data)
    text = text_of(data, [*header_words(), *tax_words(), *_LETTERS])
    sheet = table_of_text(text)
    columns = proposed(sheet)
    # Without a header a comma may well be the decimal sign: "Name  89,90 EUR" is a line, no two cells.
    if columns is None or (columns.header_row < 0 and not re.search(r"[;\t|]", text)):
        lines = _plain_lines(text)
        sheet = sheet if proposed(lines) is None else lines
    return (sheet,)


# Letters that only one of the code pages writes, for texts whose header has none.
_LETTERS = (
    "płyta",
    "pamięć",
    "gehäuse",
    "kühler",
    "mémoire",
    "procesor",
    "память",
    "материнская",
    "główna",
    "núcleos",
)


def _plain_lines(text: str) -> Sheet:
    rows: list[tuple[Cell, ...]] = []
    for line in text.splitlines():
        match = _LINE.match(" ".join(line.split()))
        rows.append((match["name"], match["price"]) if match else (line.strip() or None,))
    return Sheet("", tuple(rows))


def read_list(
    sheets: Sequence[Sheet], origin: str, stem: str, digest: str, modified: datetime.date, settings: Settings
) -> ListSource:
    """A price list. Raises Unsettled where its meaning is not sure, NotRead where it is no list."""
    seller = settings.seller or seller_of_file(stem)
    read: list[tuple[Sheet, Columns]] = []
    left: list[LeftOut] = []
    for sheet in sheets:
        columns = proposed(sheet, settings.kept_columns, settings.roles)
        if settings.shelf:
            columns = shelf_columns(sheet, columns)
        if columns is not None:
            read.append((sheet, _with_answers(sheet, columns, settings)))
        elif len(sheets) > 1 and any(map(any, sheet.rows)):
            left.append(LeftOut(origin, sheet.name, sheet.name, "no-table"))
    if not read:
        wanted = "a name" if settings.shelf else "a name and a price"
        raise NotRead("unreadable", f"no table with {wanted} in it")
    first = next((columns for _, columns in read if not columns.asked), read[0][1])
    if first.asked:
        raise _unsettled(origin, first)
    day = settings.stated_on or day_above(sheets, first.header_row, settings.today) or modified
    about = About(seller, origin, day, settings.currency, settings.shelf)
    sightings: list[Sighting] = []
    rows = 0
    for sheet, columns in read:
        reason = None if columns.headers == first.headers else _why_not(columns, first, settings)
        if reason is not None:
            left.append(LeftOut(origin, sheet.name, sheet.name, reason))
            continue
        found = read_rows(sheet, columns if not columns.asked else first, about)
        sightings += found.sightings
        left += found.left_out
        rows += found.rows
    sightings, said = once_each(sightings, settings.shelf)
    left += said
    series = SHELF if settings.shelf else series_of_file(stem)
    source = Source(origin, digest, day, seller, tuple(sightings), tuple(left), rows, series)
    assert first.tax is not None
    return ListSource(source, first, first.tax, first.tax_percent_x100)


def _with_answers(sheet: Sheet, columns: Columns, settings: Settings) -> Columns:
    """Columns with what the person said now or before."""
    roles = as_said(columns.roles, settings.roles or {})
    kept_tax, kept_percent = _still_held(columns, settings)
    tax = settings.tax or kept_tax or columns.tax or settings.usual_tax
    if has_both_taxes(roles):
        tax = columns.tax  # of the column that is counted, whatever is said of lists with one price
    rates = (
        settings.tax_percent_x100,
        kept_percent,
        columns.tax_percent_x100,
        settings.usual_tax_percent_x100,
    )
    percent = next((rate for rate in rates if rate is not None), None)
    asked = [q for q in columns.asked if q not in roles]
    asked = [q for q in asked if not (q == "tax" and tax) and not (q == "rate" and percent is not None)]
    rated = percent is not None or each_has_a_rate(sheet, columns.header_row, roles)
    if tax == "net" and not rated and "rate" not in asked:
        asked.append("rate")
    return replace(columns, roles=roles, tax=tax, tax_percent_x100=percent, asked=tuple(asked))


def _why_not(columns: Columns, first: Columns, settings: Settings) -> str | None:
    """Why a further table of a list is not read: it is none of names and prices (but of contacts, say), or nothing
    says whether its prices hold the tax: what the first one says of its own is no word about these, nor is what was
    kept of it."""
    if {"name", "price", "header"} & set(columns.asked):
        return "no-table"
    silent = settings.tax is None and first.said[0] is not None and columns.said[0] is None
    return "no-tax" if columns.asked or (silent and settings.usual_tax is None) else None


def _still_held(columns: Columns, settings: Settings) -> tuple[Tax | None, int | None]:
    """Tax and rate kept for the seller, each as far as it still holds: not where the list now says another than it
    said then."""
    before = json.loads(settings.kept_columns or "{}").get("said", columns.said)
    tax, percent = (
        None if now is not None and now != then else kept
        for now, then, kept in zip(
            columns.said, before, (settings.kept_tax, settings.kept_tax_percent_x100), strict=True
        )
    )
    return tax, percent  # type: ignore[return-value]


_QUESTIONS = {
    "name": ("no column is known to hold the names", "the number of the column", "--column name=2"),
    "price": (
        "no column is known to hold the prices",
        "the number of the column",
        "--column price=5; parts of your own: --shelf",
    ),
    "tax": ("nothing says whether the prices hold the tax", "net, gross or final", "--tax net"),
    "rate": ("the prices are net, and no rate of tax is known", "a percentage", "--rate 19"),
    "header": ("no header line was found", "a line of column names", "Add one to the list"),
}


def _unsettled(origin: str, columns: Columns) -> Unsettled:
    shown = ", ".join(f"{number} {text}" for number, text in enumerate(columns.headers, 1) if text)
    several = columns.roles.get("several")
    why = "" if several is None else f" (a price in {columns.headers[several]!r} is not of one piece)"
    faults = [
        Fault(
            origin,
            _QUESTIONS[question][0] + (why if question == "price" else ""),
            shown or None,
            _QUESTIONS[question][1],
            f"Say it with {_QUESTIONS[question][2]}",
        )
        for question in columns.asked
    ]
    return Unsettled(faults, columns.asked, columns)


def rows_of_json(value: object) -> Sheet | None:
    """A JSON list of alike objects as a table: keys are the header."""
    if not isinstance(value, list) or not value or not all(isinstance(row, dict) for row in value):
        return None
    keys: dict[str, None] = {}
    for row in value:
        keys.update(dict.fromkeys(str(key) for key in row))
    header = list(keys)[:200]
    rows: list[tuple[Cell, ...]] = [tuple(header)]
    for row in value:
        cells = (row.get(key) for key in header)
        rows.append(
            tuple(c if isinstance(c, str | int | float | None) else json.dumps(c)[:500] for c in cells)
        )
    return Sheet("", tuple(rows))
