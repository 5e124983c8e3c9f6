"""Cells of the catalogue in words: a column with its value and unit, and where a value comes from."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from partsolver.catalog.dictionary import columns

# Where an inferred fact comes from.
INFERRED_WORDS = {"title": "read from its title", "platform": "by platform"}


def value_text(value: Any) -> str:
    """A value as it may be typed into a cell."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return " ".join(_item_text(item) for item in value) or "none"
    return " ".join("".join(c if c.isprintable() else " " for c in str(value)).split())


def _item_text(item: Any) -> str:
    """One item of a list; a family with its first firmware as ``family:firmware``."""
    return ":".join(str(part) for part in item) if isinstance(item, tuple) else value_text(item)


def column_words(table: str, column: str) -> tuple[str, str]:
    """A column's name without its unit, and the unit: ("rate", "MT/s")."""
    unit = columns()[table][column].unit
    words = column.split("_")
    if unit and words[-1] == re.sub(r"[^a-z0-9]", "", unit.casefold()):
        words = words[:-1]
    return " ".join(words), unit


def cell_words(table: str, column: str, value: Any) -> str:
    """``rate 2666 MT/s``."""
    name, unit = column_words(table, column)
    return f"{name} {value_text(value)}" + (f" {unit}" if unit else "")


def look_words(facts: Iterable[tuple[str, str, Any, str]]) -> str:
    """Inferred facts (table, column, value, mark) of one part: ``socket am4, cores 6 (read from its title);
    memory channels 2 (by platform)``."""
    by_mark: dict[str, list[str]] = {}
    for table, column, value, mark in facts:
        by_mark.setdefault(mark, []).append(cell_words(table, column, value))
    return "; ".join(
        f"{', '.join(by_mark[mark])} ({words})" for mark, words in INFERRED_WORDS.items() if mark in by_mark
    )
