"""Dates as people write them."""

from __future__ import annotations

import datetime
import re

MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)


def read_date(text: str) -> datetime.date:
    """A day: 2026-12-04 (ISO 8601), 4.12.2026 (day first, as everywhere where points part), 4 December 2026,
    Dec 4, 2026, and 4/12/2026 where it can be read in one way only.

    Raises ValueError with what was expected.
    """
    plain = " ".join(text.strip().lower().replace(",", " ").split())
    found = (
        _numbers(plain, r"(?P<y>\d{4})-(?P<m>\d{1,2})-(?P<d>\d{1,2})")
        or _numbers(plain, r"(?P<d>\d{1,2})\. ?(?P<m>\d{1,2})\. ?(?P<y>\d{4})")
        or _slashes(plain)
        or _words(plain)
    )
    if found is None:
        raise ValueError("a date such as 2026-12-04 or 4 December 2026")
    try:
        return datetime.date(*found)
    except ValueError:
        raise ValueError("a day that exists") from None


def _numbers(text: str, pattern: str) -> tuple[int, int, int] | None:
    match = re.fullmatch(pattern, text, re.ASCII)
    return None if match is None else (int(match["y"]), int(match["m"]), int(match["d"]))


def _slashes(text: str) -> tuple[int, int, int] | None:
    """Day or month first is told by a number above 12, or does not matter."""
    match = re.fullmatch(r"(\d{1,2})/(\d{1,2})/(\d{4})", text, re.ASCII)
    if match is None:
        return None
    first, second, year = (int(group) for group in match.groups())
    if first > 12 or first == second:
        return year, second, first
    if second > 12:
        return year, first, second
    raise ValueError(
        f"a date that can be read in one way: {year}-{second:02d}-{first:02d} or {year}-{first:02d}-{second:02d}"
    )


def _words(text: str) -> tuple[int, int, int] | None:
    """Day and English month name (three letters are enough) in either order, then the year."""
    match = re.fullmatch(
        r"(?:(\d{1,2})(?:st|nd|rd|th|\.)? ([a-z]{3,9})\.?|([a-z]{3,9})\.? (\d{1,2})(?:st|nd|rd|th)?) (\d{4})",
        text,
    )
    if match is None:
        return None
    day, name = (match[1], match[2]) if match[1] else (match[4], match[3])
    months = [i for i, month in enumerate(MONTHS, 1) if month.startswith(name)]
    return (int(match[5]), months[0], int(day)) if len(months) == 1 else None
