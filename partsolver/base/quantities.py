"""Integer quantities and money. Everything is converted once, here, at the edge.

Money is an integer number of minor units (ISO 4217:2015, the currency's exponent); times are integers in
millionths of the reference time (``ppm``); rounding is half up and exact (``Fraction``), never by float.
"""

from __future__ import annotations

import re
from fractions import Fraction

from partsolver.base.errors import refuse
from partsolver.base.values import number

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

_CODE = r"(?P<{}>[A-Za-z]{{3}}|[€£])"
_AMOUNT = re.compile(
    rf"(?:{_CODE.format('before')}\s*)?(?P<sign>-?)(?P<number>[0-9][0-9.,' \u00a0\u2009\u202f’]*?)(?P<whole>[.,]-)?"
    rf"(?:\s*{_CODE.format('after')})?"
)
_SYMBOLS = {"€": "EUR", "£": "GBP"}
PPM = 1_000_000


def minor_digits(currency: str) -> int:
    """Decimal places of a currency (ISO 4217 exponent); 2 unless listed otherwise."""
    return EXPONENTS_OTHER_THAN_2.get(currency, 2)


def parse_amount(text: str, digits: int = 2, currency: str | None = None) -> int:
    """``"129.90"`` or ``"129,90 EUR"`` -> 12990 minor units. ``currency``: the one the amount is in, where a
    code may stand beside it. Raises ValueError with the reason for anything else."""
    text = text.strip()
    match = _AMOUNT.fullmatch(text)
    if match is None:
        raise ValueError("an amount such as 129.90")
    code = match["before"] or match["after"]
    if code is not None and _SYMBOLS.get(code, code.upper()) != currency:
        raise ValueError(f"an amount in {currency or 'the currency of the catalogue, without its sign'}")
    written = match["number"].strip()
    # With three decimal places an amount is written like that; elsewhere it has two readings.
    exact = digits == 3 and re.fullmatch(r"[0-9]{1,12}\.[0-9]{3}", written)
    value = (Fraction(written) if exact else number(written)) * 10**digits
    if value.denominator != 1:
        raise ValueError(f"an amount with at most {digits} decimal places")
    if value >= 10 ** (12 + digits):
        raise ValueError("an amount of at most twelve digits before the decimal point")
    return -int(value) if match["sign"] else int(value)


# Signs of currencies as people write them beside an amount (Unicode names; ISO 4217 codes that use them).
SIGNS = {
    "€": ("EUR",),
    "£": ("GBP", "EGP", "GIP"),
    "$": ("USD", "AUD", "CAD", "NZD", "SGD", "HKD", "MXN", "CLP"),
    "¥": ("JPY", "CNY"),
    "₹": ("INR",),
    "₺": ("TRY",),
    "₽": ("RUB",),
    "zł": ("PLN",),
    "kč": ("CZK",),
    "ft": ("HUF",),
    "fr.": ("CHF",),
    "kr": ("SEK", "NOK", "DKK", "ISK"),
}
_BLANKS = " \u00a0\u202f\u2009'\u2019_"


def given_amount(where: str, text: str, digits: int, currency: str | None = None) -> int:
    """An amount that a person gave at a place, in minor units, however it is written: 129.90, 129,90, 1.299,90,
    1 299.90, EUR 129.90, 129,- . Raises InputRefused for what is none, for what can be read in two ways, and for
    an amount in another currency than ``currency``."""
    try:
        return parse_amount(_plain_amount(text, digits, currency), digits)
    except ValueError as error:
        raise refuse(where, "not an amount", text, str(error)) from None


def _plain_amount(text: str, digits: int, currency: str | None) -> str:
    """The amount with a decimal point and nothing else. Raises ValueError for what can be read in two ways."""
    number = _without_currency(text.strip(), currency)
    for blank in _BLANKS:
        number = number.replace(blank, "")
    number = re.sub(r"[.,][-\u2013\u2014]{1,2}$", "", number)  # 129,- and 129,--
    marks = re.findall(r"[.,]", number)
    if len(set(marks)) == 2:
        # Both: the last one is the decimal mark, the other one parts thousands.
        decimal = marks[-1]
        thousands = "," if decimal == "." else "."
        if marks.count(decimal) > 1 or not re.fullmatch(
            rf"-?\d{{1,3}}(?:{re.escape(thousands)}\d{{3}})+{re.escape(decimal)}\d+", number
        ):
            raise ValueError("an amount such as 1299.90")
        return number.replace(thousands, "").replace(decimal, ".")
    if len(marks) > 1:
        if not re.fullmatch(rf"-?\d{{1,3}}(?:{re.escape(marks[0])}\d{{3}})+", number):
            raise ValueError("an amount such as 1299.90")
        return number.replace(marks[0], "")
    if marks and re.fullmatch(r"-?[1-9]\d{0,2}[.,]\d{3}", number) and digits < 3:
        whole, _, rest = number.partition(marks[0])
        raise ValueError(
            f"an amount that can be read in one way: {whole}{rest}.00 or {whole}.{rest[:digits]}"
        )
    return number.replace(",", ".")


def _without_currency(text: str, currency: str | None) -> str:
    """The text without a code or sign of a currency at either end. Raises ValueError for another currency."""
    match = re.fullmatch(
        r"(?P<before>[^\d\s.,-]*)\s*(?P<number>-?\d(?:.*\d)?(?:[.,][-\u2013\u2014]{1,2})?)\s*(?P<after>\D*)",
        text,
    )
    if match is None:
        return text
    for sign in (match["before"].strip(), match["after"].strip()):
        if not sign:
            continue
        codes = SIGNS.get(sign.lower(), (sign.upper(),) if re.fullmatch(r"[A-Za-z]{3}", sign) else None)
        if codes is None:
            return text
        if currency is not None and currency not in codes:
            raise ValueError(f"an amount in {currency}, the catalogue's currency")
    return match["number"]


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
