"""Prices as sellers write them. One column has one decimal sign: the whole column decides."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache

from partsolver.base.quantities import SIGNS, amount_value, currencies_named, minor_digits, round_half_up
from partsolver.base.records import record

_CODE = re.compile(r"(?<![A-Za-z])([A-Z]{3})(?![A-Za-z])")
# Codes of currencies (of Albania and Tonga) that are words of a heading in capital letters.
_ALSO_WORDS = ("ALL", "TOP")
_NO_PRICE = re.compile(
    r"n/?a|auf anfrage|call|poa|on request|nach tagespreis|sur demande|a consultar|na zapytanie|-+|–|—|tbd|tba",
    re.IGNORECASE,
)
# "From 20" and "about 20" are no price.
_FROM = re.compile(
    r"^\s*(?:[~≈]|(?:ca|circa|approx|about|etwa|environ|around)\b\.?|ab|from|vanaf|desde|od|à partir de|a partire da|da|från|fra|від|от)\s*\W*\d",
    re.IGNORECASE,
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
    """What a cell says of a price, before its decimal sign is known. Numbers of a spreadsheet come as they
    are."""
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
    """The currency said beside an amount; a sign of several ("$") is the store's own where it is one of
    them, else it stays as it stands: no rate is known for it."""
    word = currency_word(text)
    return None if word is None else own_or_only(word, own_currency)


def own_or_only(word: str, own_currency: str) -> str:
    """The code a currency word means in a store; the word itself where that cannot be told."""
    codes = currencies_named(word)
    return own_currency if own_currency in codes else codes[0] if codes[1:] == () or word == "£" else word


def currency_word(text: str) -> str | None:
    """The first code (ISO 4217, capital letters) or sign of a currency in a text, as it stands in a table
    of them."""
    for code in _CODE.findall(text):
        if code in _codes() and code not in _ALSO_WORDS:
            return str(code)
    folded = text.casefold()
    return next((sign for sign, pattern in _sign_patterns() if pattern.search(folded)), None)


@cache
def _codes() -> frozenset[str]:
    """All codes that are or were in use (CLDR, through babel)."""
    from babel.numbers import list_currencies

    return frozenset(list_currencies())


@cache
def _sign_patterns() -> tuple[tuple[str, re.Pattern[str]], ...]:
    """Signs of letters stand alone ("Ft", "kr"), not inside a word."""
    return tuple(
        (
            sign,
            re.compile(
                rf"(?<![^\W\d]){re.escape(sign)}(?![^\W\d])" if sign[0].isalpha() else re.escape(sign)
            ),
        )
        for sign in SIGNS
    )


def _votes(written: Iterable[str]) -> dict[str, int]:
    """How many amounts tell that "." or "," is the decimal sign.

    The last of "." and "," with one or two digits behind it is the decimal sign, as is one that stands behind
    the other; three digits behind the only mark tell nothing (survey-formats 5.2, common practice).
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
    return votes


def decimal_sign(written: Iterable[str]) -> str | None:
    """The decimal sign of a column of written amounts: "." or ",", or None where no amount tells."""
    votes = _votes(written)
    if votes["."] == votes[","]:
        return None
    return "." if votes["."] > votes[","] else ","


def signs_differ(written: Iterable[str]) -> bool:
    """Whether some amounts of a column tell of one decimal sign and some of the other: then 1.234 has two readings
    in it, whatever most of the others say."""
    return all(_votes(written).values())


def in_minor_units(written: str, sign: str | None, currency: str, cents: bool = False) -> int | None:
    """Minor units of an amount of a column; None where it has two readings (1.234) or none. More decimals
    than the currency has are a net price per piece: half up."""
    digits = minor_digits(currency)
    whole, mark, decimals = written.partition(sign or "\0")
    if not cents and whole.isdecimal() and whole.isascii() and len(decimals) <= digits:
        if decimals.isdecimal() and decimals.isascii():  # the plain case, without fractions
            return int(f"{whole}{decimals.ljust(digits, '0')}")
        if not mark:
            return int(f"{whole}{'0' * digits}")
    try:
        value = amount_value(written, digits, sign)
    except ValueError:
        return None
    return round_half_up(value / (100 if cents else 1) * 10**digits)


def thousands_as_decimals(cells: Iterable[object]) -> bool:
    """Whether a column of spreadsheet numbers lost its thousands mark: several numbers with exactly three
    decimals stand among whole ones (2,029 stored as 2.029; seen in one public list, titles-and-pages
    10.3)."""
    numbers = [cell for cell in cells if isinstance(cell, float) and not isinstance(cell, bool)]
    broken = [cell for cell in numbers if not cell.is_integer()]
    return len(broken) >= 2 and all(re.fullmatch(r"\d+\.\d{3}", repr(cell)) for cell in broken)
