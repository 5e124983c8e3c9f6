"""Prices as sellers write them. One column has one decimal sign: the whole column decides."""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction

from partsolver.base.quantities import minor_digits, round_half_up
from partsolver.base.records import record

# Signs that stand for one currency only; "$" and "kr" stand for many.
SIGNS = {
    "€": "EUR",
    "£": "GBP",
    "zł": "PLN",
    "kč": "CZK",
    "ft": "HUF",
    "lei": "RON",
    "₽": "RUB",
    "руб": "RUB",
    "₴": "UAH",
    "₺": "TRY",
    "₹": "INR",
    "¥": "JPY",
    "￥": "JPY",
}
# Signs of several currencies: they mean the one the catalogue counts in, where that is one of them.
SHARED_SIGNS = {"$": ("USD", "CAD", "AUD", "NZD", "MXN"), "kr": ("SEK", "NOK", "DKK", "ISK")}
_CODE = re.compile(r"(?<![A-Za-z])([A-Z]{3})(?![A-Za-z])")
_NO_PRICE = re.compile(
    r"n/?a|auf anfrage|call|poa|on request|nach tagespreis|sur demande|a consultar|na zapytanie|-+|–|—|tbd|tba",
    re.IGNORECASE,
)
_FROM = re.compile(
    r"^\s*(?:ab|from|vanaf|desde|od|à partir de|a partire da|da|från|fra|від|от)\s+\W*\d", re.IGNORECASE
)
_RANGE = re.compile(r"\d\s*(?:-|–|to|bis|à|a)\s*[^\d]{0,3}\d")
_NUMBER = re.compile(r"\d[\d.,'’ \u00a0\u202f\u2009]*")
_MOST_DIGITS = 9


@record
class Amount:
    """An amount as written: the digits with their marks, the currency said beside it, and why it is no price
    (a word of report/words/store.py)."""

    digits: str
    currency: str | None = None
    reason: str = ""


def written_amount(cell: object, own_currency: str) -> Amount:
    """What a cell says of a price, before its decimal sign is known. Numbers of a spreadsheet come as they are."""
    if isinstance(cell, bool) or cell is None:
        return Amount("", reason="no-price")
    if isinstance(cell, int | float):
        return Amount(repr(cell) if cell > 0 else "", reason="" if cell > 0 else "no-price")
    text = str(cell).strip()
    if not text or _NO_PRICE.fullmatch(text):
        return Amount("", reason="no-price")
    if _FROM.match(text):
        return Amount("", reason="from-price")
    numbers = [found.strip(" .,'’\u00a0\u202f\u2009") for found in _NUMBER.findall(text)]
    if not numbers:
        return Amount("", reason="no-price")
    if len(numbers) > 1:
        return Amount("", reason="from-price" if _RANGE.search(text) else "bad-price")
    if re.search(r"-\s*\d", text) or sum(c.isdigit() for c in numbers[0]) > _MOST_DIGITS:
        return Amount("", reason="bad-price")
    if not numbers[0].strip("0., "):
        return Amount("", reason="no-price")
    return Amount(numbers[0], _currency(text, own_currency))


def _currency(text: str, own_currency: str) -> str | None:
    code = _CODE.search(text)
    if code is not None and code[1] not in ("VAT", "TTC", "IVA", "TVA", "BTW", "DPH"):
        return code[1]
    folded = text.casefold()
    for sign, currency in SIGNS.items():
        if sign in folded:
            return currency
    for sign, currencies in SHARED_SIGNS.items():
        if sign in folded and own_currency in currencies:
            return own_currency
    return None


def decimal_sign(written: Iterable[str]) -> str | None:
    """The decimal sign of a column of written amounts: "." or ",", or None where no amount tells.

    The last of "." and "," with one or two digits behind it is the decimal sign, as is one that stands behind the
    other; three digits behind the only mark tell nothing (survey-formats 5.2, common practice).
    """
    votes = {".": 0, ",": 0}
    for text in written:
        marks = [c for c in text if c in ".,"]
        if not marks:
            continue
        last = max(text.rfind("."), text.rfind(","))
        behind = len(text) - last - 1
        if len(set(marks)) == 2 or behind in (1, 2):
            votes[text[last]] += 1
        elif len(marks) > 1:  # 1.234.567: a thousands mark
            votes["," if text[last] == "." else "."] += 1
    if votes["."] == votes[","]:
        return None
    return "." if votes["."] > votes[","] else ","


def in_minor_units(written: str, sign: str | None, currency: str, cents: bool = False) -> int | None:
    """Minor units of an amount of a column; None where it has two readings (1.234) or too many decimals."""
    digits = minor_digits(currency)
    plain = re.sub(r"['’ \u00a0\u202f\u2009]", "", written)
    marks = [c for c in plain if c in ".,"]
    if marks and sign is None:
        behind = len(plain) - max(plain.rfind("."), plain.rfind(",")) - 1
        if behind == 3 and digits != 3:
            return None
        sign = plain[-behind - 1]
    if sign is not None:
        other = "," if sign == "." else "."
        plain = plain.replace(other, "").replace(sign, ".")
    if not re.fullmatch(r"\d+(?:\.\d+)?", plain):
        return None
    value = Fraction(plain) / (100 if cents else 1) * 10**digits
    # More decimals than the currency has: a net price per piece; half up.
    return round_half_up(value)


def thousands_as_decimals(cells: Iterable[object]) -> bool:
    """Whether a column of spreadsheet numbers lost its thousands mark: several numbers with exactly three decimals
    stand among whole ones (2,029 stored as 2.029; seen in one public list, titles-and-pages 10.3)."""
    numbers = [cell for cell in cells if isinstance(cell, float) and not isinstance(cell, bool)]
    broken = [cell for cell in numbers if not cell.is_integer()]
    return len(broken) >= 2 and all(re.fullmatch(r"\d+\.\d{3}", repr(cell)) for cell in broken)
