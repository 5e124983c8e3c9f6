"""Values as people write them: "24.4 cm", "64 GB", "Micro-ATX", "89,90 EUR", "24.12.2026", "dual".

One place reads them for catalogue cells, survey fields, answers and options alike. A bare number is in the
column's own unit. What can be read in two ways ("1.234") is refused with both readings: nothing is guessed.
Every function raises ValueError with what was expected.

Units: SI prefixes (BIPM SI brochure, table 7); an inch is 25.4 mm (ISO 80000-3, annex B); memory in powers of
1024 as JEDEC 100B.01 uses K, M and G for it; drives in powers of 1000 (makers' labels, common practice).
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Sequence
from fractions import Fraction

# By unit of a column: what people write -> (numerator, denominator) to the column's unit. Keys are compared
# without regard to case, but for those in _EXACT.
UNITS: dict[str, dict[str, tuple[int, int]]] = {
    "": {},
    "mm": {"mm": (1, 1), "cm": (10, 1), "m": (1000, 1), "in": (127, 5), "inch": (127, 5), '"': (127, 5)},
    "MiB": {
        "mib": (1, 1),
        "mb": (1, 1),
        "gib": (1024, 1),
        "gb": (1024, 1),
        "tib": (1 << 20, 1),
        "tb": (1 << 20, 1),
    },
    "GB": {"gb": (1, 1), "mb": (1, 1000), "tb": (1000, 1)},
    "MHz": {"mhz": (1, 1), "ghz": (1000, 1), "khz": (1, 1000)},
    "kHz": {"khz": (1, 1), "mhz": (1000, 1), "ghz": (1_000_000, 1)},
    "MT/s": {"mt/s": (1, 1), "mts": (1, 1), "gt/s": (1000, 1)},
    "W": {"w": (1, 1), "watt": (1, 1), "watts": (1, 1), "kw": (1000, 1)},
    "mW": {"mW": (1, 1), "w": (1000, 1), "watt": (1000, 1), "watts": (1000, 1)},
    "mA": {"ma": (1, 1), "a": (1000, 1)},
    "mV": {"mV": (1, 1), "v": (1000, 1)},
    "g": {"g": (1, 1), "kg": (1000, 1)},
    "%": {"%": (1, 1), "percent": (1, 1)},
    "d": {"d": (1, 1), "day": (1, 1), "days": (1, 1), "week": (7, 1), "weeks": (7, 1)},
    "MB/s": {"MB/s": (1, 1), "GB/s": (1000, 1)},
    "0.1 Gb/s": {"Gb/s": (10, 1), "Gbit/s": (10, 1), "Gbps": (10, 1)},
    "points": {"points": (1, 1)},
    "px": {"px": (1, 1), "pixel": (1, 1), "pixels": (1, 1)},
    "Hz": {"hz": (1, 1)},
}
# Bits and bytes, milli and mega differ by the case of a letter only: these are taken as they stand.
_EXACT = frozenset({"mW", "mV", "MB/s", "GB/s", "Gb/s", "Gbit/s", "Gbps"})
# A capital letter with a small b means bits on a memory chip's sheet and bytes in a hurried advertisement.
_BITS_OR_BYTES = ("Mb", "Gb", "Tb")
_WORDS = {
    "none": 0, "zero": 0, "one": 1, "single": 1, "two": 2, "dual": 2, "double": 2, "three": 3, "triple": 3,
    "four": 4, "quad": 4, "quadruple": 4, "five": 5, "six": 6, "eight": 8,
}  # fmt: skip
_GROUPED = re.compile(r"[0-9]{1,3}(?:[ \u00a0\u2009\u202f'’][0-9]{3})+(?=[.,]|$)")
_VALUE = re.compile(r"(?P<number>[0-9][0-9.,]*)\s*(?P<unit>[^0-9.,\s].*)?")
_MOST_DIGITS = 12
_TRUE = ("yes", "y", "true")
_FALSE = ("no", "n", "false")
# Other words of the trade for a word of a list, both as `word_key` makes them.
ALIASES = {
    "matx": "microatx", "uatx": "microatx", "µatx": "microatx", "μatx": "microatx", "miniitx": "mini-itx",
    "mitx": "mini-itx", "sodimm": "so-dimm", "20+4": "24", "80plus": "standard", "hdaudio": "hd",
    "secondhand": "used", "preowned": "used", "refurb": "refurbished", "csm": "legacy", "displayport": "dp",
    "dsub": "vga", "vgadsub": "vga", "hd15": "vga", "dvid": "dvi-d", "dvii": "dvi-i", "dvia": "dvi-a",
    "nvme": "m2-nvme", "peg": "x16", "ide": "pata",
}  # fmt: skip
# A version that carries no more than another one: HDMI 1.0 to 1.2 have 165 MHz, 1.3 and 1.4 have 340 MHz;
# DisplayPort 1.3 has the rate of 1.4 and 2.1 that of 2.0 (standards/video.py names the documents).
_SAME_LINK = {
    "hdmi-1.0": "hdmi-1.2", "hdmi-1.1": "hdmi-1.2", "hdmi-1.3": "hdmi-1.4", "dp-1.3": "dp-1.4",
    "dp-2.1": "dp-2.0", "dp++-1.3": "dp++-1.4",
}  # fmt: skip
_VERSIONED = re.compile(r"\b(hdmi|displayport|dp\+\+|dp)[ _-]?v?([0-9]\.[0-9])[a-z]?\b", re.IGNORECASE)


class Ambiguous(ValueError):
    """A value with two readings; the message names both."""


def number(text: str, decimal: str | None = None) -> Fraction:
    """A number without sign, with a decimal point or comma: "244", "24,4", "1 234.5", "1.234,50".
    ``decimal``: the decimal mark where it is known from elsewhere, such as a column; else what can be read
    in two ways is refused."""
    text = _GROUPED.sub(lambda match: re.sub(r"[^0-9]", "", match.group()), text.strip())
    if (
        not re.fullmatch(r"[0-9]+(?:[.,][0-9]+)*", text)
        or sum(ch.isdigit() for ch in text) > _MOST_DIGITS + 6
    ):
        raise ValueError("a number such as 24.4")
    mark = decimal if decimal is not None and text.count(decimal) <= 1 else _decimal_mark(text, decimal)
    whole, last = text, "0"
    if mark and mark in text:
        whole, _, last = text.rpartition(mark)
    marks = set(re.findall(r"[.,]", whole))
    if marks and (mark in marks or not re.fullmatch(r"[0-9]{1,3}(?:[.,][0-9]{3})+", whole)):
        raise ValueError("a number such as 24.4")
    return Fraction(f"{re.sub(r'[.,]', '', whole)}.{last}")


def _decimal_mark(text: str, told: str | None = None) -> str | None:
    """Which of "." and "," parts the decimals; None where all marks part thousands. Raises Ambiguous."""
    marks: list[str] = re.findall(r"[.,]", text)
    if not marks or (len(marks) > 1 and len(set(marks)) == 1):  # 1.234.567
        return None
    whole, _, last = text.rpartition(marks[-1])
    if told is None and len(marks) == 1 and len(last) == 3 and 1 <= len(whole) <= 3 and whole.strip("0"):
        plain = whole + last
        raise Ambiguous(
            f"one reading: {text!r} is {plain} or {whole}.{last}; write {plain} or {whole}.{last}0"
        )
    return marks[-1]


def whole_number(text: str, unit: str = "") -> int:
    """A whole number of a unit; what stands in another unit of the same quantity is converted and rounded
    half up. Counts may be words ("dual", "none")."""
    text = text.strip()
    if not unit and text.casefold().removesuffix("channel").rstrip(" -") in _WORDS:
        return _WORDS[text.casefold().removesuffix("channel").rstrip(" -")]
    match = _VALUE.fullmatch(_GROUPED.sub(lambda m: re.sub(r"[^0-9]", "", m.group()), text))
    if match is None:
        raise ValueError
    value, written = number(match["number"]), (match["unit"] or "").strip()
    if not written:
        if value.denominator != 1 or value >= 10**_MOST_DIGITS:
            raise ValueError
        return int(value)
    numerator, denominator = _scale(written, unit, value)
    converted = value * numerator / denominator
    if converted >= 10**_MOST_DIGITS:
        raise ValueError
    return int((2 * converted + 1) // 2)


def _scale(written: str, unit: str, value: Fraction) -> tuple[int, int]:
    known = UNITS.get(unit, {})
    if written in known and written in _EXACT:
        return known[written]
    if unit in ("MiB", "GB") and written in _BITS_OR_BYTES:
        raise Ambiguous(f"one reading: {written} is bits or bytes; write {written[0]}B for bytes")
    if unit == "MT/s" and written.casefold() == "mhz":
        shown = int(value)
        raise Ambiguous(
            f"one reading: {shown} MHz is {shown} MT/s or, as a clock, {2 * shown} MT/s; write MT/s"
        )
    if written.casefold() in known and written.casefold() not in _EXACT:
        return known[written.casefold()]
    raise ValueError


def yes_or_no(text: str) -> bool:
    """yes, no, true or false in any case."""
    word = text.strip().casefold()
    if word not in (*_TRUE, *_FALSE):
        raise ValueError
    return word in _TRUE


def word_key(text: str) -> str:
    """What two spellings of a word have in common: no case, no blanks, dashes or dots between letters."""
    key = re.sub(r"[\s_/-]", "", text.casefold())
    return re.sub(r"(?<![0-9])\.|\.(?![0-9])", "", key)


def choice_word(text: str, choices: Sequence[str]) -> str:
    """The word of a closed list that a person means: "Micro-ATX" is microatx, "24-pin" is 24."""
    by_key = {word_key(choice): choice for choice in choices}
    key = word_key(text)
    short = re.sub(r"^(?:80plus|tpm|ddr(?=ddr)|form)|(?:pins?|pole|poles|contacts|sdram)$", "", key)
    for candidate in (key, short):
        if candidate in by_key:
            return by_key[candidate]
        other = ALIASES.get(candidate)
        if other is not None and other in choices:
            return other
    raise ValueError


def words_of_list(text: str, choices: Sequence[str]) -> tuple[str, ...]:
    """Words of a closed list, separated by blanks, commas or semicolons; ``none`` for none of them."""
    if text.strip().casefold() == "none":
        return ()
    joined = _VERSIONED.sub(_linked, re.sub(r"\bd-sub\b", "vga", text, flags=re.IGNORECASE))
    return tuple(choice_word(word, choices) for word in re.split(r"[\s,;]+", joined.strip()) if word)


def _linked(match: re.Match[str]) -> str:
    family = match[1].casefold().replace("displayport", "dp")
    link = f"{family}-{match[2]}"
    return _SAME_LINK.get(link, link)


# Days of goods and orders lie between these; a later one is a placeholder ("9999-12-31" for "never").
FIRST_DAY, LAST_DAY = datetime.date(1980, 1, 1), datetime.date(2099, 12, 31)


def date_of(text: str) -> datetime.date:
    """A day: 2026-12-24, 24.12.2026, or 24/12/2026 where only one reading is a day. Raises ValueError,
    also for one that no order can have."""
    day = _written_day(text)
    if not FIRST_DAY <= day <= LAST_DAY:
        raise ValueError(f"a day from {FIRST_DAY} to {LAST_DAY}")
    return day


def _written_day(text: str) -> datetime.date:
    text = text.strip()
    if match := re.fullmatch(r"([0-9]{4})[-/.]([0-9]{1,2})[-/.]([0-9]{1,2})", text):
        return datetime.date(int(match[1]), int(match[2]), int(match[3]))
    if match := re.fullmatch(r"([0-9]{1,2})\.\s?([0-9]{1,2})\.\s?([0-9]{4})", text):
        return datetime.date(int(match[3]), int(match[2]), int(match[1]))
    match = re.fullmatch(r"([0-9]{1,2})[/-]([0-9]{1,2})[/-]([0-9]{4})", text)
    if match is None:
        raise ValueError
    first, second, year = int(match[1]), int(match[2]), int(match[3])
    if first == second:
        return datetime.date(year, first, second)
    if first <= 12 and second <= 12:
        day_first, month_first = datetime.date(year, second, first), datetime.date(year, first, second)
        raise Ambiguous(f"one reading: {text} is {day_first} or {month_first}; write YYYY-MM-DD")
    return datetime.date(year, *((second, first) if second <= 12 else (first, second)))
