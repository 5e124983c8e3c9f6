"""The order of two firmware versions, where the makers' numbering is understood.

Makers number firmware in schemes of their own; the order below is how often it agrees with the release dates.
[DMI]: all pairs of different versions of one board name in 63,098 public firmware dumps of desktops
(counted 2026-11, high): S1 99.8 % below 5000, S2 and S3 98.5 %, S4 99.2 %, S5 98.6 %, S6 99.6 %, S7 and S8
100 %, S9 99.6 %, S10 99.8 %, S12 99.1 %, S13 92 %, S14 99.5 %. Two versions of different schemes, prefixes or
variants, special builds and numbers of the firmware's core have no order: nobody knows, so nobody guesses.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache
from typing import Any, Final

# A scheme gives (what must be equal, sort key), or None where it does not recognise the version.
Reading = tuple[Any, Any]
Scheme = Callable[[str], Reading | None]


def _base36(digits: str) -> int:
    return int(digits, 36)


def _four_digits(version: str) -> Reading | None:
    """S1: a plain number of four digits. From 5000 on, and 00dd: special builds, without order."""
    if not re.fullmatch(r"\d{4}", version) or not 100 <= int(version) < 5000:
        return None
    return "four digits", int(version)


def _letter_f(version: str) -> Reading | None:
    """S2 and S3: F9 < F12a < F12b < F12 (letters are betas); FA < FBa < FB. The two have no common order."""
    match = re.fullmatch(r"F(\d+|[A-Z])([a-z]?)", version)
    if match is None:
        return None
    number, letter = match[1], match[2]
    main = int(number) if number.isdigit() else ord(number)
    return ("f", number.isdigit()), (main, ord(letter) if letter else ord("z") + 1)


def _base36_release(first: str, second: str, third: str) -> Reading | None:
    if _base36(second) >= _base36("L"):  # special builds: no order (94 % at best)
        return None
    final = third == "0"  # behind its betas
    return ("base 36", first), (_base36(second), final, _base36(third))


def _point_base36(version: str) -> Reading | None:
    """S4: 1.90 < 1.A1 < 1.A0 < 1.B0; a third digit above 0 is a beta of the release."""
    match = re.fullmatch(r"([0-9A-Z])\.([0-9A-Z])([0-9A-Z])", version)
    return None if match is None else _base36_release(*match.groups())


def _file_name(version: str) -> Reading | None:
    """S4 as the update's file is named: 7C02v18 is 1.80 on the board 7C02; v1C1 is a beta of 1.C0."""
    match = re.fullmatch(r"([0-9A-Za-z]{4})[vV]([0-9A-Z])([0-9A-Z])([0-9A-Z]?)", version)
    if match is None:
        return None
    found = _base36_release(match[2], match[3], match[4] or "0")
    return None if found is None else (("file", match[1].upper(), found[0]), found[1])


def _variant(version: str) -> Reading | None:
    """S5: V17.2 < V17.10; the number before the point is the board's variant."""
    match = re.fullmatch(r"V(\d+)\.(\d+)", version)
    return None if match is None else (("variant", match[1]), int(match[2]))


def _point_two(version: str) -> Reading | None:
    """S6: P3.40 < L3.41; the letter in front does not order. L alone is a special build of a release's
    number."""
    match = re.fullmatch(r"[PL]?(\d+)\.(\d\d)([A-Z]?)", version)
    return None if match is None else ("point", (int(match[1]), int(match[2]), match[3]))


def _letter_a(version: str) -> Reading | None:
    """S7: A04 < A29."""
    match = re.fullmatch(r"A(\d\d)", version)
    return None if match is None else ("a", int(match[1]))


def _numbers(version: str) -> Reading | None:
    """S8, and plain numbers with points: 1.9.0 < 1.11.0; 1.9 < 1.10. Numbers of the firmware maker's core
    are none (S0)."""
    if not re.fullmatch(r"\d+(\.\d+)+", version) or _is_core(version):
        return None
    parts = [int(part) for part in version.split(".")]
    return ("numbers", len(parts)), tuple(parts)


def _family_numbers(version: str) -> Reading | None:
    """S9: K22 v02.9 < K22 v02.15, K22 Ver. 02.05.01; only with the same word in front."""
    match = re.fullmatch(r"(?:(\w+) )?(?:v|[Vv]er\. )(\d+(?:\.\d+)+)", version)
    if match is None:
        return None
    parts = [int(part) for part in match[2].split(".")]
    return ("family", match[1], len(parts)), tuple(parts)


def _kt(version: str) -> Reading | None:
    """S10: M1AKT31A < M1AKT4AA; two digits to base 36 behind an equal prefix."""
    match = re.fullmatch(r"([0-9A-Z]+KT|\dSKT)([0-9A-Z]{2})(?:A(?:US)?)?", version)
    return None if match is None else (("kt", match[1]), _base36(match[2]))


def _dated(version: str) -> Reading | None:
    """S11: NAME.86A.0042.2009.0312.1520: the number behind 86A."""
    match = re.fullmatch(r"(\w+)\.86A\.(\d{4})\..*", version)
    return None if match is None else (("86a", match[1]), int(match[2]))


def _release(version: str) -> Reading | None:
    """S12: V5.0.0.9 R1.9.0 for D3222 < ... R1.19.0 ...; R1.9.0 < R1.19.0 as support pages name the files."""
    match = re.fullmatch(r"(?:V\S+ )?R(\d+)\.(\d+)\.(\d+)(?: for (\S+))?", version)
    return None if match is None else (("r", match[4]), (int(match[1]), int(match[2]), int(match[3])))


def _letter_digit(version: str) -> Reading | None:
    """S13: P01-A3 < P01-B1."""
    match = re.fullmatch(r"([PR]\d\d)-([A-Z])(\d)", version)
    return None if match is None else (("pr", match[1]), (match[2], int(match[3])))


def _oem_two(version: str) -> Reading | None:
    """S14: F.10 < F.50; the same word in front."""
    match = re.fullmatch(r"(F|80|A0)\.(\d\d)", version)
    return None if match is None else (("oem", match[1]), int(match[2]))


@lru_cache(maxsize=4096)
def _is_core(version: str) -> bool:
    """S0: the number of the firmware maker's core, the same on thousands of boards; no version at all."""
    return re.fullmatch(r"0800\d\d|[456]\.6\.\d+(\.\d+)?|5\.\d\d|6\.00 PG|4\.51 PG", version) is not None


SCHEMES: Final[tuple[Scheme, ...]] = (
    _four_digits,
    _letter_f,
    _point_base36,
    _file_name,
    _variant,
    _point_two,
    _letter_a,
    _numbers,
    _family_numbers,
    _kt,
    _dated,
    _release,
    _letter_digit,
    _oem_two,
)


@lru_cache(maxsize=4096)
def _readings(version: str) -> tuple[Reading | None, ...]:
    """What each scheme reads; the few versions of a catalogue are compared with one another again and again."""
    return tuple(scheme(version) for scheme in SCHEMES)


def firmware_order(first: str, second: str) -> int | None:
    """-1, 0 or 1: the first version is older than, the same as or newer than the second; None: not known.

    All schemes that recognise both must agree. Two versions of digits alone are read as numbers (S6, 573
    boards): the makers of S4 (365 boards) name files in their lists, and their own reports mostly end in 0,
    where both readings agree.
    """
    first, second = first.strip(), second.strip()
    if first == second:
        return 0
    if _is_core(first) or _is_core(second):
        return None
    orders = set()
    digits = not any(character.isalpha() for character in first + second)
    for scheme, one, other in zip(SCHEMES, _readings(first), _readings(second), strict=True):
        if digits and scheme is _point_base36:
            continue
        if one is not None and other is not None and one[0] == other[0] and one[1] != other[1]:
            orders.add(1 if one[1] > other[1] else -1)
    return orders.pop() if len(orders) == 1 else None


def names_a_file(version: str) -> bool:
    """Whether this is the name of an update's file (as support pages list it), not what a board reports."""
    return _file_name(version.strip()) is not None
