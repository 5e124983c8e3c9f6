"""The typed tables of ``standards/data/*.csv`` as values, for tests that must not take a number from the product.

`standards/test_typed_tables.py` says what the files are and compares them with the product cell by cell; here they
are only read. A cell is an int, a bool, None (``-``), a tuple of words (several of them, or none) or one word.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

DATA = Path(__file__).parent / "standards" / "data"


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    """The lines of one file."""
    with (DATA / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


def _cell(text: str) -> Any:
    if text in ("True", "False"):
        return text == "True"
    if text == "-":
        return None
    return int(text) if re.fullmatch(r"-?\d+", text) else text


def _value(text: str) -> Any:
    words = text.split(" ")
    return _cell(text) if len(words) == 1 and text else tuple(map(_cell, words if text else ()))


def number(name: str, row: str) -> int:
    """One number that stands by itself (``number("video", "SINGLE_LINK_KHZ")``)."""
    (found,) = (line["value"] for line in rows(name) if line["name"] == row)
    return int(found)


@cache
def table(name: str, title: str) -> Mapping[str, Any]:
    """A table by its keys as text. Where its rows have fields, each is a namespace of them."""
    found: dict[str, Any] = {}
    for line in rows(name):
        match = re.fullmatch(rf"{re.escape(title)}\[(.*?)\](?:\.(\w+))?", line["name"])
        if match is None:
            continue
        key, field = match.groups()
        if field is None:
            found[key] = _value(line["value"])
        else:
            setattr(found.setdefault(key, SimpleNamespace()), field, _value(line["value"]))
    assert found, f"{title} is not in {name}.csv"
    return found


@cache
def groups(name: str, title: str) -> Mapping[str, frozenset[str]]:
    """A table whose cells are sets of words (one word is a set of one)."""
    cells = table(name, title).items()
    return {key: frozenset(cell if isinstance(cell, tuple) else (cell,)) for key, cell in cells}


@cache
def settings() -> Mapping[str, int]:
    """Every setting's typed value."""
    return {line["name"]: int(line["value"]) for line in rows("settings")}


@cache
def _systems() -> Mapping[str, Any]:
    return table("operating_systems", "OPERATING_SYSTEMS")


def system(family: str, changed: Mapping[str, int]) -> Any:
    """What a system demands, with the figures that a person replaced."""
    found = SimpleNamespace(**vars(_systems()[family]))
    chosen = {**settings(), **changed}
    for title, field in (
        ("_MEMORY_SETTING", "min_memory_mib"),
        ("_CPU_YEAR_SETTING", "needs_supported_cpu_year"),
        ("_PLATFORM_YEAR_SETTING", "last_platform_year"),
    ):
        setting = table("operating_systems", title).get(family)
        if setting is not None:
            setattr(found, field, chosen[setting])
    return found
