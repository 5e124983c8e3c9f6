"""Until when a list's prices hold, as a column or a line above the header says it; and the day of the list itself."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator, Sequence
from functools import cache

from partsolver.catalog.lists.around import header_text, says, words_of
from partsolver.catalog.lists.sheets import Cell, Sheet
from partsolver.catalog.lists.stock import day_of

_A_DAY = re.compile(
    r"(?<!\d)(?:\d{4}-\d{2}-\d{2}|\d{1,2}\.\d{1,2}\.\d{4}|\d{1,2}\.\d{1,2}\.(?:\d{2})?|\d{1,2}/\d{1,2}/\d{2,4})(?!\d)"
)
# "Prices valid 1.12.2026 - 15.12.2026": a word of validity and two days.
_VALID = re.compile(
    r"(?<!\w)(?:valid|gültig|valable|válid|geldig|ważn|obowiązuj|plat[ín]|giltig|gyldig|действ|дійсн)"
)
# The day of a list is taken from a form that has one reading only.
_ONE_READING = re.compile(r"(?<!\d)(?:(\d{4})-(\d{2})-(\d{2})|(\d{1,2})\.(\d{1,2})\.(\d{4}))(?!\d)")


@cache
def _until_words() -> tuple[str, ...]:
    words = words_of("header_words.csv", "role")
    return tuple(
        sorted((word for word, role in words.items() if role == "until"), key=lambda word: (-len(word), word))
    )


def end_of(cell: Cell, listed_on: datetime.date) -> datetime.date | None:
    """The last day that a cell of such a column names; of two readings (03/04/2026) the earlier one: who trusts it is
    not late. None where it names none."""
    if isinstance(cell, datetime.datetime):
        return cell.date()
    if isinstance(cell, datetime.date):
        return cell
    return None if cell is None else day_of(str(cell), listed_on, earliest=True)


def end_above(sheet: Sheet, header_row: int, listed_on: datetime.date) -> datetime.date | None:
    """The day until which all prices hold, as a line above the header says: "valid until 15.12.2026", "prices valid
    1.12.2026 - 15.12.2026". Of several the earliest."""
    ends = [end for row in _above(sheet, header_row) for end in _ends_in(row, listed_on)]
    return min(ends, default=None)


def day_above(sheets: Sequence[Sheet], header_row: int, latest: datetime.date | None) -> datetime.date | None:
    """The day that a list says above its header or in its sheet's name. A day until which prices hold is none, nor is
    one after ``latest``: no list is written then, and each later one of the seller would count as older."""
    for sheet in sheets:
        for row in [(sheet.name,), *_above(sheet, header_row)]:
            for day in _days_in(row):
                if latest is None or day <= latest:
                    return day
    return None


def _above(sheet: Sheet, header_row: int) -> Sequence[Sequence[Cell]]:
    return sheet.rows[: max(0, header_row)]


def _until(text: str) -> int | None:
    """Where the words that announce an end stand in a text, or the last day of a span of validity; None: nowhere."""
    word = next((word for word in _until_words() if says(text, word)), None)
    if word is not None:
        return text.index(word)
    days = list(_A_DAY.finditer(text)) if _VALID.search(text) else []
    return days[-1].start() if len(days) > 1 else None


def _ends_in(row: Sequence[Cell], listed_on: datetime.date) -> Iterator[datetime.date]:
    told = False  # the words may stand in one cell and the day in the next
    for cell in row:
        text = header_text(cell)
        begin = _until(text)
        if begin is not None:
            days = _A_DAY.findall(text[begin:])
            end = end_of(days[-1], listed_on) if days else None
            told = not days
        else:
            end, told = (end_of(cell, listed_on), False) if told and cell is not None else (None, told)
        if end is not None:
            yield end


def _days_in(row: Sequence[Cell]) -> Iterator[datetime.date]:
    told = False
    for cell in row:
        if isinstance(cell, datetime.date):
            if not told:
                yield cell.date() if isinstance(cell, datetime.datetime) else cell
            continue
        text = header_text(cell)
        begin = _until(text)
        told = begin is not None
        for found in _ONE_READING.finditer(text[:begin]):
            numbers = [int(number) for number in found.groups() if number]
            year, month, day = numbers if found[1] else numbers[::-1]
            try:
                yield datetime.date(year, month, day)
            except ValueError:
                continue
