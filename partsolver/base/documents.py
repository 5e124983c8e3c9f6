"""TOML, JSON and CSV as people and programs write them, read with limits: no depth or number that later code
would stumble over."""

from __future__ import annotations

import csv
import io
import json
import re
import tomllib
from collections import Counter
from collections.abc import Callable, Iterator
from decimal import Decimal
from functools import partial
from typing import Any

from partsolver.base.errors import InputRefused, refuse

# Deeper than any document of ours (a plan file has 9 levels).
MOST_DEPTH = 40
# Whole numbers of our documents are sizes, amounts in minor units and years: all far below.
MOST_NUMBER = 10**15


# Control functions of a terminal (ECMA-48: C0, delete, C1), ends of lines and tabs left out; and how JSON writes them.
_CONTROLS = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")
_ESCAPED = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]|\\u00[0189]|\\u007[fF]|\\[bf]")


def parse_toml(text: str, where: str, hint: str | None = None) -> dict[str, Any]:
    """A TOML document, fractions as Decimal. ``where`` names it in messages. Raises InputRefused."""
    data: dict[str, Any] = _parsed("TOML", tomllib.loads, tomllib.TOMLDecodeError, text, where, hint)
    return data


def parse_json(text: str, where: str, hint: str | None = None) -> Any:
    """A JSON document, fractions as Decimal; its texts hold no control characters but ends of lines and tabs,
    and no name stands twice in an object (RFC 8259, 4: what a reader then takes is not foreseeable).
    ``where`` names it in messages. Raises InputRefused."""

    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(pairs)
        if len(found) < len(pairs):
            twice = next(name for name, count in Counter(name for name, _ in pairs).items() if count > 1)
            raise refuse(where, "a name stands twice in the same place", twice[:60], "each name once", hint)
        return found

    loads = partial(json.loads, object_pairs_hook=once)
    data = _parsed("JSON", loads, json.JSONDecodeError, text, where, hint)
    if _ESCAPED.search(text):
        _refuse_controls(data, where)
    return data


def check_schema(document: Any, where: str, schema: str, problem: str, hint: str) -> None:
    """Refuse a document that is none of this kind (``problem``), or of another version of it. Raises
    InputRefused."""
    found = document.get("schema") if isinstance(document, dict) else None
    if found == schema:
        return
    name = found[:60] if isinstance(found, str) else None
    if name is not None and name.partition("/")[0] == schema.partition("/")[0]:
        again = "Use the version of partsolver that wrote it, or make it again with this one"
        raise refuse(f"{where} schema", "was written by another version of partsolver", name, schema, again)
    raise refuse(where, problem, name, f'a document with "schema": "{schema}"', hint)


def csv_rows(text: str, where: str) -> Iterator[tuple[int, list[str]]]:
    """Line numbers and cells of a table of commas (RFC 4180). Raises InputRefused where it is none."""
    source = csv.reader(io.StringIO(text, newline=""))
    try:
        for row in source:
            yield source.line_num, row
    except csv.Error as error:
        problem = f"cannot be read as CSV: {error}"
        raise refuse(f"{where}:{source.line_num}", problem, None, "cells separated by commas") from None


def _parsed(
    language: str, loads: Callable[..., Any], wrong: type[ValueError], text: str, where: str, hint: str | None
) -> Any:
    try:
        data = loads(text, parse_float=Decimal)
    except wrong as error:
        raise refuse(where, f"not valid {language}: {error}", hint=hint) from None
    except RecursionError:
        raise _too_deep(where) from None
    except (ValueError, ArithmeticError):  # an integer of thousands of digits, an exponent of as many
        raise refuse(where, "a number is too long", None, f"from -{MOST_NUMBER} to {MOST_NUMBER}") from None
    _check_limits(data, where)
    return data


def _check_limits(data: Any, where: str) -> None:
    waiting: list[tuple[str, int, Any]] = [("", 0, data)]
    while waiting:
        path, depth, value = waiting.pop()
        if depth > MOST_DEPTH:
            raise _too_deep(where)
        if isinstance(value, int) and not -MOST_NUMBER <= value <= MOST_NUMBER:
            raise refuse(
                f"{where} {path}".strip(),
                "the number is too large",
                f"{Decimal(value):.3e}",  # a float ends at 1e308
                f"from -{MOST_NUMBER} to {MOST_NUMBER}",
            )
        waiting += [
            (f"{path}.{key}" if path else str(key), depth + 1, inner) for key, inner in _inside(value)
        ]


def _refuse_controls(data: Any, where: str) -> None:
    waiting: list[tuple[str, Any]] = [("", data)]
    while waiting:
        path, value = waiting.pop()
        texts = list(value) if isinstance(value, dict) else [value]
        found = next((text for text in texts if isinstance(text, str) and _CONTROLS.search(text)), None)
        if found is not None:
            raise refuse(f"{where} {path}".strip(), "holds control characters", found[:60], "plain text")
        waiting += [(f"{path}.{key}" if path else str(key), inner) for key, inner in _inside(value)]


def _inside(value: Any) -> Iterator[tuple[Any, Any]]:
    if isinstance(value, dict):
        yield from value.items()
    elif isinstance(value, list):
        yield from enumerate(value)


def _too_deep(where: str) -> InputRefused:
    return refuse(where, "is nested too deeply", None, f"at most {MOST_DEPTH} levels")


# What a spreadsheet runs as a formula begins so; an apostrophe before it makes it text (OWASP, CSV injection).
_FORMULA = ("=", "+", "-", "@")


def told_as_text(cell: str) -> str:
    """A text as a cell that no spreadsheet runs."""
    return f"'{cell}" if cell.startswith(_FORMULA) else cell


def text_of_cell(cell: str) -> str:
    """What ``told_as_text`` was given."""
    return cell[1:] if cell[:1] == "'" and cell[1:].startswith(_FORMULA) else cell
