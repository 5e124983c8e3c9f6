"""Numbers with units as the tools print them."""

from __future__ import annotations

import re

_KIB = {
    "kb": 1,
    "kib": 1,
    "mb": 1024,
    "mib": 1024,
    "gb": 1024**2,
    "gib": 1024**2,
    "tb": 1024**3,
    "tib": 1024**3,
    "bytes": 0,
}
_BINARY = {"": 0, "b": 0, "k": 1, "m": 2, "g": 3, "t": 4, "p": 5}


def memory_mib(text: str) -> int | None:
    """ "2048 MB", "2 GB", "4096 kB" (units of 1024) in MiB; None for other texts, parts of a MiB and
    nothing."""
    match = re.match(r"\s*([0-9]{1,12}) ?(kB|KB|MB|GB|TB|[KMGT]iB)\b", text)
    if match is None:
        return None
    kib = int(match[1]) * _KIB[match[2].lower()]
    return kib // 1024 if kib and kib % 1024 == 0 else None


def plain_mhz(text: str) -> int | None:
    """ "667 MHz (1.5 ns)", "1600 MT/s" -> 667, 1600."""
    match = re.match(r"\s*([0-9]{1,6}) ?(?:MHz|MT/s)", text)
    return int(match[1]) or None if match else None


def watts(text: str) -> int | None:
    """ "300 W" -> 300."""
    match = re.fullmatch(r"\s*([0-9]{1,6}) W\s*", text)
    return int(match[1]) if match else None


def size_bytes(text: str) -> tuple[int, bool] | None:
    """A block device's size: digits are bytes (exact); "223.6G" counts in 1024 (rounded): (bytes, exact)."""
    match = re.fullmatch(r"\s*([0-9]{1,20})(?:[.,]([0-9]{1,3}))? ?([BKMGTP]?)(?:iB)?\s*", text, re.IGNORECASE)
    if match is None:
        return None
    power = _BINARY[match[3].lower()]
    if power == 0:
        return (int(match[1]), True) if match[2] is None else None
    value = float(f"{match[1]}.{match[2] or 0}")
    return round(value * 1024**power), False


def brand_mhz(brand: str) -> int | None:
    """Base clock that a processor's brand text ends with ("... @ 3.00GHz", "... 2533 MHz"), in MHz."""
    match = re.search(r"(?:^|[ @])([0-9]{1,2}[.,][0-9]{1,3}) ?GHz\s*$", brand)
    if match:
        return round(float(match[1].replace(",", ".")) * 1000) or None
    match = re.search(r"(?:^|[ @])([0-9]{3,4}) ?MHz\s*$", brand)
    return int(match[1]) if match else None


def firmware_version(text: str) -> str | None:
    """A firmware version as a survey writes it: one word. A version of several words is not cut: None."""
    word = text.strip()
    return word if re.fullmatch(r"[a-z0-9][a-z0-9.+_-]*", word, re.IGNORECASE) else None


# Clocks of processors are multiples of 25 MHz (bus clock 100 MHz in quarters) or of a third of 100 (common
# practice): other figures are measured ones.
def nominal_mhz(mhz: int | None) -> int | None:
    """A clock that a maker would name, else None."""
    return mhz if mhz and (mhz % 25 == 0 or mhz % 100 in (33, 34, 66, 67)) else None


_WORDS = {"dual": 2, "duo": 2, "triple": 3, "quad": 4, "six": 6, "eight": 8, "twelve": 12, "sixteen": 16}


def brand_cores(brand: str) -> int | None:
    """Cores that a processor's brand text says ("Dual Core Processor", "Eight-Core", "12-Core", "X4", "Duo",
    "4C+8G"); None where it says nothing, or two things."""
    text = brand.lower()
    found = {_WORDS[word] for word in re.findall(rf"\b({'|'.join(_WORDS)})[- ](?:core|cpu)\b", text)}
    found |= {_WORDS[word] for word in re.findall(r"\b(duo|quad)\b", text)}
    found |= {int(n) for n in re.findall(r"\b(\d{1,3})-core\b", text)}
    found |= {int(n) for n in re.findall(r"\bx([2-8])\b", text)}
    found |= {int(n) for n in re.findall(r"\b(\d{1,2})c\+\d{1,2}g\b", text)}
    return found.pop() if len(found) == 1 else None
