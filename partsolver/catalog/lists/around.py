"""What a list says around its table: tax, rate, currency and state of the goods, in lines above its header or
its last ones."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping, Sequence
from functools import cache
from importlib import resources

from partsolver.catalog.lists.amounts import currency_word
from partsolver.catalog.lists.sheets import Cell, Sheet
from partsolver.catalog.store.records import Tax
from partsolver.catalog.titles.kinds import state_of
from partsolver.catalog.titles.words import plain_title

# Standard rates of value added tax in Europe by per mille (titles-and-pages 8.2), for the ratio of two
# columns.
_STANDARD_RATES = (170, 180, 190, 200, 210, 220, 230, 240, 250, 255, 270)


def words_of(name: str, key: str) -> dict[str, str]:
    text = resources.files("partsolver.catalog.lists").joinpath(name).read_text(encoding="utf-8")
    found: dict[str, str] = {}
    for row in csv.DictReader(text.splitlines()):
        for word in row["words"].split("|"):
            found.setdefault(word, row[key])
    return found


@cache
def tax_words() -> Mapping[str, Tax]:
    """Words about tax -> net, gross or final; the longest first."""
    words: dict[str, Tax] = words_of("tax_words.csv", "tax")  # type: ignore[assignment]
    return dict(sorted(words.items(), key=lambda pair: (-len(pair[0]), pair[0])))


def header_text(cell: Cell) -> str:
    """A header cell as it is compared."""
    return " ".join(str(cell).casefold().replace("\n", " ").split()) if isinstance(cell, str) else ""


def says(text: str, word: str) -> bool:
    # Most words do not stand in most texts at all: that is told without a pattern.
    return word in text and re.search(rf"(?<!\w){re.escape(word)}(?!\w)", text) is not None


def body_of(sheet: Sheet, header_row: int, most: int = 300) -> Sequence[tuple[Cell, ...]]:
    return sheet.rows[header_row + 1 : header_row + 1 + most]


_IN_CURRENCY = re.compile(
    r"(?:\b(?:in|en|w|v|currency|währung|devise|moneda|valuta|waluta|měna)\b\s*:?\s*)([A-Z]{3}|[€£$]|zł|Kč|Ft|kr)(?!\w)",
    re.IGNORECASE,
)


def currency_said(sheet: Sheet, header_row: int, column: int) -> str | None:
    """The currency that the price column's header names, else a line above it ("all prices in PLN")."""
    above = sheet.rows[max(0, header_row - 1) : header_row + 1]
    for row in reversed(above):
        word = currency_word(str(row[column])) if column < len(row) and isinstance(row[column], str) else None
        if word is not None:
            return word
    for row in sheet.rows[: max(0, header_row)]:
        for cell in row:
            said = _IN_CURRENCY.search(cell) if isinstance(cell, str) else None
            word = currency_word(said[1] if said[1].islower() else said[1].upper()) if said else None
            if word is not None:
                return word
    return None


def ratio(sheet: Sheet, header_row: int, net: int, gross: int) -> int | None:
    """The rate (in hundredths of a percent) that two price columns differ by, where it is a standard one."""
    counts: dict[int, int] = {}
    for row in body_of(sheet, header_row):
        if len(row) <= max(net, gross):
            continue
        low, high = row[net], row[gross]
        if isinstance(low, int | float) and isinstance(high, int | float) and low > 0:
            near = min(_STANDARD_RATES, key=lambda rate: abs(high / low - 1 - rate / 1000))
            if abs(high / low - 1 - near / 1000) <= 0.005:
                counts[near * 10] = counts.get(near * 10, 0) + 1
    return max(counts, key=lambda rate: counts[rate]) if counts else None


def tax_above(sheet: Sheet, header_row: int, price_column: int) -> tuple[Tax | None, str]:
    """What the lines above all prices, or the last ones below them, say about tax, and the line."""
    priced = [
        number
        for number, row in enumerate(sheet.rows[header_row + 1 :], header_row + 1)
        if len(row) > price_column and has_digit(row[price_column])
    ]
    first, last = (priced[0], priced[-1]) if priced else (header_row + 1, header_row)
    for row in [*sheet.rows[:first], *sheet.rows[last + 1 :][-5:]]:
        for cell in row:
            tax = tax_said(cell)
            if tax is not None:
                return tax, header_text(cell)
    return None, ""


def has_digit(cell: Cell) -> bool:
    return cell is not None and any(letter.isdigit() for letter in str(cell))


def tax_said(cell: Cell) -> Tax | None:
    """What a line says about the tax in prices: net, gross or final."""
    text = re.sub(r"\d+(?:[.,]\d+)?\s?%\s*", "", header_text(cell))
    # "zzgl. Versand" is about shipping; "netto" of a weight is no price.
    if len(text) <= 3 or "kg" in text.split():
        return None
    return next((tax for word, tax in tax_words().items() if says(text, word)), None)


def heading_of(row: Sequence[Cell]) -> str | None:
    """The text of a row that holds one text and nothing else: a heading."""
    said = [cell for cell in row if cell is not None]
    if len(said) != 1 or not isinstance(said[0], str) or len(said[0]) >= 80:
        return None
    return said[0] if any(letter.isalpha() for letter in said[0]) else None


def tax_between(sheet: Sheet, header_row: int) -> set[Tax]:
    """What headings between the rows say about the tax in the prices below them."""
    said = (tax_said(heading_of(row)) for row in sheet.rows[header_row + 1 :])
    return {tax for tax in said if tax is not None}


def rate_said(text: str) -> int | None:
    rate = re.search(r"(\d{1,2}(?:[.,]\d)?)\s?%", text)
    return round(float(rate[1].replace(",", ".")) * 100) if rate else None


def rate_of(cell: Cell) -> int | None:
    """The rate of tax (in hundredths of a percent) that a cell of a column of rates says: 19, "19 %", 0.19."""
    number = re.search(r"\d+(?:[.,]\d+)?", str(cell)) if cell is not None else None
    if number is None:
        return None
    value = float(number[0].replace(",", "."))
    return round((value * 100 if value < 1 else value) * 100) if value <= 40 else None


def state_above(sheet: Sheet, header_row: int) -> str | None:
    """The one state of the goods that lines above the header say ("Used parts", "margin scheme")."""
    lines = [cell for row in sheet.rows[: max(0, header_row)] for cell in row if isinstance(cell, str)]
    said = {state_of(plain_title(line))[0] for line in lines} & {"used", "refurbished"}
    return said.pop() if len(said) == 1 else None
