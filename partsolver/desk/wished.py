"""A wish that is tried beside those of the survey: "at most 100", "at least 3 times as fast", "by 5
December"."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from partsolver.base.errors import refuse
from partsolver.base.values import date_of
from partsolver.report.words import desk as words


def wished_changes(wish: str) -> dict[str, Any]:
    """What a wish, written ``name=value``, changes in the brief. Raises InputRefused."""
    name, _, value = wish.partition("=")
    value = value.strip()
    if name not in _READERS:
        raise refuse(words.WISH_NAME, words.NO_SUCH_WISH, name, ", ".join(_READERS))
    if not value:
        raise refuse(words.WISH_NAME, words.NO_WISH_VALUE, hint=words.WISH_HINTS[name])
    try:
        return {name: _READERS[name](value)}
    except ValueError:
        raise refuse(words.WISH_NAME, words.UNREADABLE, value, words.WISH_HINTS[name]) from None


def plain_number(text: str) -> str:
    """A number with a decimal comma as the brief writes it; what holds a point as well stays as it is, and
    is read by the law of amounts (base/quantities.py)."""
    return text if "." in text else text.replace(",", ".")


def _amount(value: str) -> str:
    plain = plain_number(value)
    if not _is_number(plain, 9):
        raise ValueError
    return plain


def _times(value: str) -> str:
    plain = value.replace(",", ".")
    if not _is_number(plain, 6) or float(plain) <= 0:
        raise ValueError
    return plain


def _count(value: str) -> int:
    if not (value.isascii() and value.isdigit() and len(value) < 6):
        raise ValueError
    return int(value)


def _is_number(text: str, most_digits: int) -> bool:
    whole, point, part = text.partition(".")
    digits = whole + part
    return (
        digits.isascii()
        and digits.isdigit()
        and bool(whole)
        and bool(part or not point)
        and (len(whole) <= most_digits and len(part) <= most_digits)
    )


_READERS: dict[str, Callable[[str], Any]] = {
    "budget": _amount,
    "min_speedup": _times,
    "need_by": date_of,
    "min_memory_gb": _count,
}
