"""Integer quantities and money. Everything is converted once, here, at the edge.

Money is an integer number of minor units (ISO 4217:2015, the currency's exponent); times are integers in
millionths of the reference time (``ppm``); rounding is half up and exact (``Fraction``), never by float.
"""

from __future__ import annotations

import re
from fractions import Fraction

from partsolver.base.errors import refuse
from partsolver.base.values import Ambiguous, number

# More than anything costs, minor units.
FAR = 10**15

# ISO 4217:2015 list one, column "Mnr unt", for the currencies whose exponent is not 2 (active codes, from
# memory; the exponent can be stated in catalog.toml as `minor_digits` where a code is missing here).
EXPONENTS_OTHER_THAN_2 = {
    "BHD": 3,
    "CLP": 0,
    "DJF": 0,
    "GNF": 0,
    "IQD": 3,
    "ISK": 0,
    "JOD": 3,
    "JPY": 0,
    "KMF": 0,
    "KRW": 0,
    "KWD": 3,
    "LYD": 3,
    "OMR": 3,
    "PYG": 0,
    "RWF": 0,
    "TND": 3,
    "UGX": 0,
    "UYI": 0,
    "VND": 0,
    "VUV": 0,
    "XAF": 0,
    "XOF": 0,
    "XPF": 0,
}

# Signs of currencies as people write them beside an amount (Unicode names; ISO 4217 codes that use them).
SIGNS = {
    "€": ("EUR",),
    "£": ("GBP", "EGP", "GIP"),
    "$": ("USD", "AUD", "CAD", "NZD", "SGD", "HKD", "MXN", "CLP"),
    "¥": ("JPY", "CNY"),
    "￥": ("JPY", "CNY"),
    "₹": ("INR",),
    "₺": ("TRY",),
    "₽": ("RUB",),
    "руб": ("RUB",),
    "грн": ("UAH",),
    "лв": ("BGN",),
    "₴": ("UAH",),
    "zł": ("PLN",),
    "kč": ("CZK",),
    "ft": ("HUF",),
    "lei": ("RON",),
    "fr.": ("CHF",),
    "kr": ("SEK", "NOK", "DKK", "ISK"),
}
_AMOUNT = re.compile(
    r"(?P<before>[^\d\s.,'’-]{1,3}\.?)?\s*(?P<sign>-?)(?P<number>[0-9](?:[0-9.,'’ \u00a0\u2009\u202f]*[0-9])?)"
    r"(?P<whole>[.,]\s?[-\u2013\u2014]{1,2})?\s*(?P<after>[^\d\s.,'’-]{1,3}\.?)?"
)
# As price lists of machines have it, and our own tables: most of a catalogue's amounts.
_PLAIN = re.compile(r"([0-9]{1,12})(?:\.([0-9]+))?")
PPM = 1_000_000


def minor_digits(currency: str) -> int:
    """Decimal places of a currency (ISO 4217 exponent); 2 unless listed otherwise."""
    return EXPONENTS_OTHER_THAN_2.get(currency, 2)


def currencies_named(written: str) -> tuple[str, ...]:
    """The ISO 4217 codes that a sign or code beside an amount may mean; () for another word."""
    code = re.fullmatch(r"[A-Za-z]{3}", written)
    return SIGNS.get(written.casefold(), (written.upper(),) if code else ())


def parse_amount(text: str, digits: int = 2, currency: str | None = None) -> int:
    """Minor units of an amount as people write it: 129.90, 129,90 EUR, 1.299,90, 1 299.90, 129,- .
    ``currency``: the one the amount is in; None: any may stand beside it. Raises ValueError with the
    reason for what is none, for what can be read in two ways, and for another currency."""
    plain = _PLAIN.fullmatch(text)
    if plain is not None and len(plain[2] or "") in (0, digits):
        return int(plain[1] + (plain[2] or "0" * digits))
    match = _AMOUNT.fullmatch(text.strip())
    named = [] if match is None else [word for word in (match["before"], match["after"]) if word]
    if match is None or len(named) > 1 or not all(currencies_named(word) for word in named):
        raise ValueError("an amount such as 129.90")
    if currency is not None and any(currency not in currencies_named(word) for word in named):
        raise ValueError(f"an amount in {currency}, the catalogue's currency")
    value = amount_value(match["number"], digits) * 10**digits
    if value.denominator != 1:
        raise ValueError(f"an amount with at most {digits} decimal places")
    if value >= 10 ** (12 + digits):
        raise ValueError("an amount of at most twelve digits before the decimal point")
    return -int(value) if match["sign"] else int(value)


def amount_value(written: str, digits: int, decimal: str | None = None) -> Fraction:
    """The value of the digits and marks of an amount. ``decimal``: its decimal mark where that is known.
    Raises ValueError, Ambiguous for 1.234 unless the currency is written with three decimal places."""
    if decimal is None and digits >= 3 and re.fullmatch(r"[0-9]{1,12}\.[0-9]{3}", written):
        return Fraction(written)
    try:
        return number(written, decimal)
    except Ambiguous:
        whole, _, last = written.replace(",", ".").partition(".")
        plain = f"{whole}{last}"
        told = f"{plain}.00 or {whole}.{last[:digits]}" if digits else plain
        raise Ambiguous(
            f"an amount that can be read in one way: {plain} or {whole}.{last}; write {told}"
        ) from None


def given_amount(where: str, text: str, digits: int, currency: str | None = None) -> int:
    """``parse_amount`` of what a person gave at a place. Raises InputRefused."""
    try:
        return parse_amount(text, digits, currency)
    except ValueError as error:
        raise refuse(where, "not an amount", text, str(error)) from None


def format_amount(minor: int, digits: int = 2) -> str:
    """12990 minor units -> ``"129.90"`` (a decimal string, the JSON form)."""
    sign, minor = ("-", -minor) if minor < 0 else ("", minor)
    if digits == 0:
        return f"{sign}{minor}"
    return f"{sign}{minor // 10**digits}.{minor % 10**digits:0{digits}d}"


def round_half_up(value: Fraction) -> int:
    """Nearest integer, halves upwards; exact."""
    return int((2 * value.numerator + value.denominator) // (2 * value.denominator))


def ceil_div(a: int, b: int) -> int:
    """Ceiling of a / b for b > 0."""
    return -(-a // b)
