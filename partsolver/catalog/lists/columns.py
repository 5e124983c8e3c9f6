"""What the columns of a seller's list mean: proposed from header words and contents, settled once per
seller."""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Mapping, Sequence
from functools import cache
from importlib import resources
from typing import Literal

from partsolver.base.records import record
from partsolver.catalog.lists.amounts import currency_word
from partsolver.catalog.lists.sheets import Cell, Sheet
from partsolver.catalog.store.identity import gtin14
from partsolver.catalog.store.records import Tax

ROLES = (
    "sku",
    "mpn",
    "gtin",
    "maker",
    "name",
    "net",
    "gross",
    "price",
    "cents",
    "stock",
    "delivery",
    "condition",
    "tax_rate",
    "currency",
    "category",
    "value",
)
PRICE_ROLES = ("gross", "net", "price", "cents")
# The header stands in the first so many rows; addresses and dates stand above it (3 of 5 measured lists).
HEADER_WITHIN = 40
# Standard rates of value added tax in Europe by per mille (titles-and-pages 8.2), for the ratio of two
# columns.
_STANDARD_RATES = (170, 180, 190, 200, 210, 220, 230, 240, 250, 255, 270)

Question = Literal["header", "name", "price", "tax", "rate"]


@record
class Columns:
    """The settled columns of a list: row of the header, role -> column number, tax of the prices and its
    rate, the words that say so, the currency that the price column's header or a line above names (a code
    or a sign); ``asked``: what is not sure, to be asked."""

    header_row: int
    roles: Mapping[str, int]
    headers: tuple[str, ...]
    tax: Tax | None = None
    tax_percent_x100: int | None = None
    evidence: str = ""
    currency: str | None = None
    asked: tuple[Question, ...] = ()

    def remembered(self) -> str:
        """What is kept of it for the seller's next list."""
        return json.dumps(
            {"headers": list(self.headers), "roles": dict(self.roles)}, ensure_ascii=False, sort_keys=True
        )


def _table(name: str, key: str) -> dict[str, str]:
    text = resources.files("partsolver.catalog.lists").joinpath(name).read_text(encoding="utf-8")
    found: dict[str, str] = {}
    for row in csv.DictReader(text.splitlines()):
        for word in row["words"].split("|"):
            found.setdefault(word, row[key])
    return found


@cache
def header_words() -> Mapping[str, str]:
    """Header word -> role."""
    return _table("header_words.csv", "role")


@cache
def tax_words() -> Mapping[str, str]:
    """Words about tax -> net, gross or final; the longest first."""
    words = _table("tax_words.csv", "tax")
    return dict(sorted(words.items(), key=lambda pair: (-len(pair[0]), pair[0])))


# The longest header that is compared with the words: a longer one is prose, or no table at all.
MOST_HEADER = 200


def header_text(cell: Cell) -> str:
    """A header cell as it is compared."""
    return " ".join(str(cell).casefold().replace("\n", " ").split()) if isinstance(cell, str) else ""


def role_of(text: str) -> str | None:
    """The role a header word names, with or without a unit or tax word behind it ("Preis EUR netto")."""
    words = header_words()
    text = text.strip(" :*.")
    if len(text) > MOST_HEADER:
        return None
    for candidate in (text, text + ".", re.sub(r"\s*[(\[][^()\[\]]*[)\]]\s*", " ", text).strip()):
        if candidate in words:
            return words[candidate]
    plain = re.sub(
        r"(?<!\w)(?:eur|usd|gbp|pln|czk|chf|huf|sek|dkk|nok|in|en|w)(?!\w)|[€$£()\[\]]|zł", " ", text
    )
    plain = " ".join(plain.split()).strip(" :*./")
    if plain in words:
        return words[plain]
    tax = next((kind for word, kind in tax_words().items() if _says(plain, word)), None)
    if tax in ("net", "gross"):
        return tax if any(words.get(token) == "price" for token in plain.split()) else None
    return None


def _says(text: str, word: str) -> bool:
    return re.search(rf"(?<!\w){re.escape(word)}(?!\w)", text) is not None


def proposed(sheet: Sheet, kept: str | None = None) -> Columns | None:
    """The columns of a sheet: those kept for the seller where the header is the same, else proposed. None
    for a sheet without a price list."""
    best: tuple[int, int, dict[str, int], tuple[str, ...]] | None = None
    for number, row in enumerate(sheet.rows[:HEADER_WITHIN]):
        headers = tuple(header_text(cell) for cell in row)
        for headers_here, last in ((headers, number), (_with_next(sheet, number, headers), number + 1)):
            roles = _roles(headers_here)
            worth = len(roles) + 2 * ("name" in roles) + 2 * any(role in roles for role in PRICE_ROLES)
            if len(roles) >= 2 and (best is None or worth > best[0]):
                best = (worth, last, roles, headers_here)
    if best is None:
        return _without_header(sheet)
    _, last, roles, headers_here = best
    same = json.loads(kept) if kept else {}
    if same.get("headers") == list(headers_here):
        roles = {role: int(column) for role, column in same["roles"].items()}
    roles = _by_contents(sheet, last, roles)
    return _settled(sheet, last, roles, headers_here)


def _with_next(sheet: Sheet, number: int, headers: tuple[str, ...]) -> tuple[str, ...]:
    """Two header rows as one: a group above, names below."""
    if number + 1 >= len(sheet.rows):
        return headers
    below = [header_text(cell) for cell in sheet.rows[number + 1]]
    if any(isinstance(cell, int | float) for cell in sheet.rows[number + 1]):
        return headers
    width = max(len(headers), len(below))
    above = [*headers, *[""] * (width - len(headers))]
    below += [""] * (width - len(below))
    merged = []
    for top, bottom in zip(above, below, strict=True):
        both = f"{top} {bottom}".strip()
        merged.append(bottom if role_of(bottom) and not role_of(both) else both)
    return tuple(merged)


def _roles(headers: Sequence[str]) -> dict[str, int]:
    """Role -> column; of two columns with one role the first."""
    found: dict[str, int] = {}
    for column, text in enumerate(headers):
        role = role_of(text) if text else None
        if role in ROLES and role not in found:
            found[role] = column
    return found


def _body(sheet: Sheet, header_row: int, most: int = 300) -> Sequence[tuple[Cell, ...]]:
    return sheet.rows[header_row + 1 : header_row + 1 + most]


def _by_contents(sheet: Sheet, header_row: int, roles: dict[str, int]) -> dict[str, int]:
    """A column of GTINs is one whatever its header says; one without any is none."""
    taken = set(roles.values())
    width = max((len(row) for row in _body(sheet, header_row)), default=0)
    found = dict(roles)
    for column in range(width):
        cells = [
            str(row[column])
            for row in _body(sheet, header_row)
            if len(row) > column and row[column] is not None
        ]
        valid = sum(gtin14(cell) is not None and len(cell) >= 8 for cell in cells)
        if "gtin" not in found and column not in taken and len(cells) >= 3 and valid * 10 >= len(cells) * 9:
            found["gtin"] = column
    return found


def _without_header(sheet: Sheet) -> Columns | None:
    """Pasted lines without a header: the one column of long texts is the name, the last of amounts the
    price."""
    rows = [row for row in sheet.rows if len(row) >= 2]
    if not rows or len(rows) * 2 < len(sheet.rows):
        return None
    width = max(map(len, rows))
    names, prices = [], []
    for column in range(width):
        cells = [row[column] for row in rows if len(row) > column and row[column] is not None]
        texts = [cell for cell in cells if isinstance(cell, str)]
        if texts and sum(len(text) > 12 and " " in text for text in texts) * 10 >= len(cells) * 8:
            names.append(column)
        amounts = [c for c in cells if isinstance(c, float) or (isinstance(c, str) and _AMOUNT.fullmatch(c))]
        if cells and len(amounts) * 10 >= len(cells) * 8:
            prices.append(column)
    if len(names) != 1 or len(prices) != 1:
        return None
    return _settled(sheet, -1, {"name": names[0], "price": prices[0]}, ())


_AMOUNT = re.compile(r"[^\d]{0,5}\d[\d .,'’\u00a0\u202f]*[.,]\d{2}\s*[^\d]{0,5}")


def _settled(sheet: Sheet, header_row: int, roles: dict[str, int], headers: tuple[str, ...]) -> Columns:
    asked: list[Question] = []
    if "name" not in roles:
        asked.append("name")
    prices = [role for role in PRICE_ROLES if role in roles]
    if not prices:
        asked.append("price")
    tax, evidence, percent = None, "", None
    if "gross" in roles and "net" in roles:
        tax, evidence = "gross", headers[roles["gross"]]
        percent = _ratio(sheet, header_row, roles["net"], roles["gross"])
    elif prices:
        role = prices[0]
        if role in ("net", "gross"):
            tax, evidence = role, headers[roles[role]] if headers else ""
        said, line = _tax_above(sheet, header_row)
        if tax is None:
            tax, evidence = said, line
        elif said is not None and said != tax:
            tax = None
        percent = _rate_said(line) if said else None
    if prices and tax is None:
        asked.append("tax")
    kinds: dict[str, Tax] = {"net": "net", "gross": "gross", "final": "final"}
    settled = kinds.get(tax or "")
    if settled == "net" and percent is None and "tax_rate" not in roles:
        asked.append("rate")
    currency = _currency_said(sheet, header_row, roles[prices[0]]) if prices else None
    return Columns(header_row, roles, headers, settled, percent, evidence, currency, tuple(asked))


_IN_CURRENCY = re.compile(
    r"(?:\b(?:in|en|w|v|currency|währung|devise|moneda|valuta|waluta|měna)\b\s*:?\s*)([A-Z]{3}|[€£$]|zł|Kč|Ft|kr)(?!\w)",
    re.IGNORECASE,
)


def _currency_said(sheet: Sheet, header_row: int, column: int) -> str | None:
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


def _ratio(sheet: Sheet, header_row: int, net: int, gross: int) -> int | None:
    """The rate (in hundredths of a percent) that two price columns differ by, where it is a standard one."""
    counts: dict[int, int] = {}
    for row in _body(sheet, header_row):
        if len(row) <= max(net, gross):
            continue
        low, high = row[net], row[gross]
        if isinstance(low, int | float) and isinstance(high, int | float) and low > 0:
            near = min(_STANDARD_RATES, key=lambda rate: abs(high / low - 1 - rate / 1000))
            if abs(high / low - 1 - near / 1000) <= 0.005:
                counts[near * 10] = counts.get(near * 10, 0) + 1
    return max(counts, key=lambda rate: counts[rate]) if counts else None


def _tax_above(sheet: Sheet, header_row: int) -> tuple[str | None, str]:
    """What the lines above the header, or the last lines, say about tax, and the line."""
    lines = [*sheet.rows[: header_row + 1], *sheet.rows[-5:]]
    for row in lines:
        for cell in row:
            text = re.sub(r"\d+(?:[.,]\d+)?\s?%\s*", "", header_text(cell))
            for word, tax in tax_words().items():
                # "zzgl. Versand" is about shipping; "netto" of a weight is no price.
                if len(text) > 3 and _says(text, word) and "kg" not in text.split():
                    return tax, header_text(cell)
    return None, ""


def _rate_said(text: str) -> int | None:
    rate = re.search(r"(\d{1,2}(?:[.,]\d)?)\s?%", text)
    return round(float(rate[1].replace(",", ".")) * 100) if rate else None
