"""Where each value of a survey file comes from, as the comment behind it says."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from typing import Any

from partsolver.survey.write import ORIGIN, mark

_HEAD = re.compile(r"\s*(\[{1,2})\s*([a-z]+)\s*\]{1,2}")
_VALUE = re.compile(r"\s*([a-z0-9_]+)\s*=[^#]*(?:#\s*(.*?))?\s*$")
_MARK = re.compile(r"\s*\([0-9a-f]{4}\)")
BY_HAND = "written by hand"


def origins(text: str) -> dict[str, str]:
    """Origin of every value of a survey by path (``memory[0].rate_mts``): what an import or the interview
    noted behind it; a value that was changed since, or has no such note, was written by hand. ``text`` is a
    valid survey."""
    data = tomllib.loads(text)
    found: dict[str, str] = {}
    table, row = "", None
    rows: dict[str, int] = {}
    for line in text.splitlines():
        if head := _HEAD.match(line):
            table, row = head[2], None
            if head[1] == "[[":
                row = rows[table] = rows.get(table, -1) + 1
        elif (match := _VALUE.match(line)) and table:
            value = _value(data, table, row, match[1])
            owner = table if row is None else f"{table}[{row}]"
            found[f"{owner}.{match[1]}"] = _origin(match[2] or "", value)
    return found


def _value(data: Mapping[str, Any], table: str, row: int | None, key: str) -> Any:
    owner = data.get(table)
    if row is not None:
        owner = owner[row] if isinstance(owner, list) and row < len(owner) else None
    return owner.get(key) if isinstance(owner, Mapping) else None


def _origin(comment: str, value: Any) -> str:
    noted = ORIGIN.search(f"# {comment}")
    if noted is not None:
        return _MARK.sub("", comment) if noted[1] == mark(value) else BY_HAND
    return comment if comment == "answered in the interview" else BY_HAND


def origin_of(fact: str, drives: list[str], known: Mapping[str, str]) -> str | None:
    """Origin of a fact as the checks name it: ``board.year``, ``memory 1.rate_mts``, ``drive NAME.kind``;
    None for what was counted over several values. ``drives``: names in file order."""
    owner, _, key = fact.rpartition(".")
    table, blank, name = owner.partition(" ")
    if blank and table == "memory":
        owner = f"memory[{int(name) - 1}]"
    elif blank:
        owner = f"{table}[{drives.index(name)}]" if name in drives else ""
    return known.get(f"{owner}.{key}")
