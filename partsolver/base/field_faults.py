"""What a record's validation found wrong, in words for the person who wrote the value.

Records are checked by a library whose own sentences speak of types and patterns; here each kind of error it
knows (its `type`, documented by pydantic, "Validation errors") becomes what is wrong and what was expected.
A kind that is not listed is still said plainly, never in the library's words.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Callable, Mapping
from typing import Any

from partsolver.base.errors import Fault, nearest
from partsolver.base.records import record

# A list or table in place of a word may be long; its beginning shows which one it is.
MOST_SHOWN = 80
_NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_Words = tuple[str, str | None]


@record
class FieldFault:
    """One value of a record that cannot be used: what is wrong, the value as text, what was expected."""

    problem: str
    value: str | None
    expected: str | None
    hint: str | None = None

    def placed(self, where: str, hint: str | None = None) -> Fault:
        """The fault with its place; ``hint`` says what the field means or what to do."""
        return Fault(
            where, self.problem, self.value, self.expected, " ".join(filter(None, (self.hint, hint))) or None
        )


def field_fault(item: Mapping[str, Any]) -> FieldFault:
    """One entry of a validation error's list (keys ``type``, ``ctx``, ``input``, ``msg``)."""
    kind, limits = str(item["type"]), item.get("ctx") or {}
    value = None if kind in _WITHOUT_VALUE else _shown(item.get("input"))
    if kind in _CHOICES:
        words = _listed(str(limits.get("expected", "")))
        return FieldFault("not one of the words known here", value, words, _near(item.get("input"), words))
    if kind in ("value_error", "assertion_error"):
        return FieldFault(_own_words(item), value, None)
    if kind in _LIMITS:
        problem, expected = _limit(kind, limits)
        return FieldFault(problem, value, expected)
    if kind == "string_pattern_mismatch":
        problem, expected = _pattern(str(limits.get("pattern", "")))
        return FieldFault(problem, value, expected)
    given = item.get("input")
    if kind in ("int_type", "float_type") and isinstance(given, str) and _NUMBER.fullmatch(given):
        return FieldFault("a number in quotes", value, "the number without quotes")
    problem, expected = next(
        (words for start, words in _BY_START if kind.startswith(start)), ("cannot be used", None)
    )
    return FieldFault(problem, value, expected)


def place(item: Mapping[str, Any]) -> str:
    """Where in the record the value stands: `shares.serial`, `replace entry 2` (counted from 1)."""
    text = "".join(f" entry {step + 1}" if isinstance(step, int) else f".{step}" for step in item["loc"])
    return text.lstrip(".").strip()


_WITHOUT_VALUE = ("missing", "missing_argument", "json_invalid")
_CHOICES = ("literal_error", "enum")
# By the beginning of the library's word for the kind; the first that fits.
_BY_START: tuple[tuple[str, _Words], ...] = (
    ("missing", ("is missing", None)),
    ("extra_forbidden", ("no such key", None)),
    ("int", ("not a whole number", "a whole number such as 8")),
    ("float", ("not a number", "a number such as 1.5")),
    ("decimal", ("not a number", "a number such as 1.5")),
    ("finite", ("not a number", "a number such as 1.5")),
    ("bool", ("neither yes nor no", "true or false")),
    ("date", ("not a date", "a date such as 2026-12-04")),
    ("string", ("not a text", "a text in quotes")),
    ("tuple", ("not a list", "a list such as [ ... ]")),
    ("list", ("not a list", "a list such as [ ... ]")),
    ("set", ("not a list", "a list such as [ ... ]")),
    ("frozen_set", ("not a list", "a list such as [ ... ]")),
    ("iterable", ("not a list", "a list such as [ ... ]")),
    ("dict", ("not a table", "a table of names and values")),
    ("mapping", ("not a table", "a table of names and values")),
    ("model", ("not a table", "a table of names and values")),
    ("dataclass", ("not a table", "a table of names and values")),
    ("invalid_key", ("a name that is no text", "names as text")),
    ("json", ("not valid JSON", None)),
    ("path", ("not a path", "the path of a file or folder")),
)


def _limit(kind: str, limits: Mapping[str, Any]) -> _Words:
    key, problem, words = _LIMITS[kind]
    bound = limits.get(key)
    if isinstance(bound, datetime.date) or _DAY.fullmatch(str(bound)):
        early = key in ("ge", "gt")
        return ("too early", f"{bound} or later") if early else ("too late", f"{bound} or earlier")
    return problem, words(bound)


_LIMITS: dict[str, tuple[str, str, Callable[[Any], str]]] = {
    "greater_than_equal": ("ge", "too small", lambda n: f"{n} or more"),
    "greater_than": ("gt", "too small", lambda n: f"more than {n}"),
    "less_than_equal": ("le", "too large", lambda n: f"{n} or less"),
    "less_than": ("lt", "too large", lambda n: f"less than {n}"),
    "multiple_of": ("multiple_of", "no multiple", lambda n: f"a multiple of {n}"),
    "too_short": ("min_length", "too few", lambda n: f"{n} or more"),
    "too_long": ("max_length", "too many", lambda n: f"{n} or less"),
    "string_too_short": ("min_length", "too short", lambda n: f"{n} characters or more"),
    "string_too_long": ("max_length", "too long", lambda n: f"{n} characters or less"),
}


def _pattern(pattern: str) -> _Words:
    if "{4}-" in pattern:
        return "not a date", "a date such as 2026-12-04"
    return "not a number", "a number such as 1.5, without a sign"


def _own_words(item: Mapping[str, Any]) -> str:
    """The sentence of our own check, without what the library puts before it."""
    own = (item.get("ctx") or {}).get("error")
    return str(own) if own else str(item["msg"]).partition(", ")[2] or "cannot be used"


def _listed(expected: str) -> str:
    """The library's list of allowed values without its quotation marks."""
    return expected.replace("'", "")


def _near(value: Any, words: str) -> str | None:
    return nearest(value, words.replace(" or ", ", ").split(", ")) if isinstance(value, str) else None


def _shown(value: Any) -> str | None:
    if isinstance(value, bool):
        return "true" if value else "false"
    text = str(value)
    return None if value is None else text if len(text) <= MOST_SHOWN else text[:MOST_SHOWN] + " ..."


__all__ = ["FieldFault", "field_fault", "place"]
