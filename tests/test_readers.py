"""Every setting, every column of the catalogue and every public function of ``standards/`` is read by
something: a value that nobody reads promises what the program does not do."""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path
from typing import NamedTuple

from partsolver.catalog.dictionary import columns
from partsolver.standards.settings import defaults

SOURCE = Path(__file__).resolve().parents[1] / "partsolver"
# An f-string reads a family of names; with fewer fixed letters than this, units apart, it could be any.
FIXED_LETTERS = 4
UNITS = ("_percent", "_ma", "_mw", "_mm", "_mib", "_khz", "_mv", "_year")
# Columns that say what a part is called or where its row comes from: printed, or read by the store's own
# tables.
NAMES_OF_ROWS = {"id", "name", "maker", "source"}
# Folders that only carry a column from file to record, or ask for it: no reader.
CARRIERS = ("catalog", "schemas", "survey/interview", "report/words", "report/shapes", "standards")


class Read(NamedTuple):
    """What a module names: attributes and names, strings, patterns of its f-strings."""

    names: frozenset[str]
    strings: frozenset[str]
    patterns: tuple[str, ...]
    units: frozenset[str]  # of f-strings that put a unit behind a name (``f"{name}_percent"``)


def _read(tree: ast.AST) -> Read:
    names, strings, patterns, units = set(), set(), [], set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute):
            names.add(node.attr)
        elif isinstance(node, ast.Name):
            names.add(node.id)
        elif isinstance(node, ast.alias):
            names.add(node.name)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            strings.add(node.value)
        elif isinstance(node, ast.JoinedStr):
            fixed = [str(part.value) if isinstance(part, ast.Constant) else None for part in node.values]
            unit = next((unit for unit in UNITS if (fixed[-1] or "").endswith(unit)), "")
            letters = len(re.sub(r"[^a-z]", "", "".join(text or "" for text in fixed).removesuffix(unit)))
            if not letters and fixed[-1] == unit and len(fixed) == 2:
                units.add(unit)
            elif letters >= FIXED_LETTERS and re.fullmatch(r"\w+", "".join(text or "" for text in fixed)):
                patterns.append("".join(r"\w+" if text is None else re.escape(text) for text in fixed))
    return Read(frozenset(names), frozenset(strings), tuple(patterns), frozenset(units))


@cache
def trees() -> dict[str, ast.Module]:
    return {
        path.relative_to(SOURCE).as_posix(): ast.parse(path.read_text(encoding="utf-8"))
        for path in sorted(SOURCE.rglob("*.py"))
    }


@cache
def reads() -> dict[str, Read]:
    return {name: _read(tree) for name, tree in trees().items()}


def _together(readers: list[Read]) -> Read:
    """What any of several modules names."""
    return Read(
        frozenset().union(*(read.names for read in readers)),
        frozenset().union(*(read.strings for read in readers)),
        tuple(sorted({pattern for read in readers for pattern in read.patterns})),
        frozenset().union(*(read.units for read in readers)),
    )


@cache
def _any_of(patterns: tuple[str, ...]) -> re.Pattern[str]:
    return re.compile("|".join(patterns or ["(?!)"]))


def _named(name: str, read: Read) -> bool:
    if any(name.endswith(unit) and _named(name.removesuffix(unit), read) for unit in read.units):
        return True
    return name in read.strings or _any_of(read.patterns).fullmatch(name) is not None


def test_every_setting_has_a_reader() -> None:
    elsewhere = _together(
        [
            read
            for module, read in reads().items()
            if not module.startswith(("standards/setting_rows", "standards/settings.py"))
        ]
    )
    assert not [name for name in defaults() if not _named(name, elsewhere)]


def test_every_column_has_a_reader() -> None:
    readers = _together([read for module, read in reads().items() if not module.startswith(CARRIERS)])
    unread = [
        f"{table}.{name}"
        for table, listed in columns().items()
        for name in listed
        if name not in NAMES_OF_ROWS and name not in readers.names and not _named(name, readers)
    ]
    assert not unread


def test_every_public_function_of_the_standards_has_a_reader() -> None:
    """Also not one that only another unread one calls."""
    inside = {
        (module, node.name): _read(node).names
        for module, tree in trees().items()
        if module.startswith("standards/")
        for node in tree.body
        if isinstance(node, ast.FunctionDef)
    }
    outside: dict[str, frozenset[str]] = {}
    for module, tree in trees().items():
        others = [node for node in tree.body if not isinstance(node, ast.FunctionDef)]
        standards = module.startswith("standards/")
        outside[module] = _read(ast.Module(others, [])).names if standards else reads()[module].names
    used = {key for key in inside if any(key[1] in names for names in outside.values())}
    while True:
        more = {key for key in inside if key not in used and any(key[1] in inside[by] for by in used)}
        if not more:
            break
        used |= more
    assert not sorted(
        f"{module}: {name}"
        for module, name in inside
        if (module, name) not in used and not name.startswith("_")
    )
