"""The texts of ``partsolver/report/`` as the source has them, and what says them.

``tables()``: every text that stands in a table, by its address (``words.desk.REFUSALS[host][1]``).
``sayings()``: every function that makes a text, by the same kind of address (``words.steps_work.STEPS[out.m2].text``,
``words.speed.gain_words``). ``pieces()``: every text of the source cut where values are filled in.
"""

from __future__ import annotations

import ast
import html
import importlib
import re
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from types import FunctionType, ModuleType
from typing import Any

REPORT = Path(__file__).resolve().parents[2] / "partsolver" / "report"
# A text for people holds two words and a blank; what holds markup, a file name or a pattern is none.
WORD = re.compile(r"[^\W\d_]{2,}")
MARKUP = re.compile(r"[<>]|=\"|\" |^\W*(?:svg|viewBox|stroke|fill|font)|[{}\\^$|]")
FILLED_IN = re.compile(r"\{[^{}]*\}")
MOST_DEPTH = 4


def is_text(text: str) -> bool:
    """Two words at least, and no markup; ``{name}`` stands for what is filled in."""
    bare = FILLED_IN.sub(" ", text)
    return len(WORD.findall(bare)) > 1 and " " in text.strip() and not MARKUP.search(bare)


def plain(text: str) -> str:
    """A text in one line with single blanks."""
    return " ".join(text.split())


@cache
def modules() -> dict[str, tuple[ModuleType, ast.Module]]:
    """(module, its source) by its name below ``report``, ``words.desk``; JSON shapes are no sentences."""
    found = {}
    for path in sorted(REPORT.rglob("*.py")):
        inside = path.relative_to(REPORT)
        if path.name != "__init__.py" and inside.parts[0] != "shapes":
            name = ".".join(inside.with_suffix("").parts)
            tree = ast.parse(path.read_text(encoding="utf-8"))
            found[name] = importlib.import_module(f"partsolver.report.{name}"), tree
    return found


def _own(name: str) -> Iterator[tuple[str, Any]]:
    """What a module itself assigns or defines, imports left out."""
    module, tree = modules()[name]
    for node in tree.body:
        targets = (
            node.targets
            if isinstance(node, ast.Assign)
            else [node.target]
            if isinstance(node, ast.AnnAssign)
            else []
        )
        for target in targets:
            for inner in target.elts if isinstance(target, ast.Tuple) else [target]:
                if isinstance(inner, ast.Name):
                    yield f"{name}.{inner.id}", getattr(module, inner.id, None)
        if isinstance(node, ast.FunctionDef):
            yield f"{name}.{node.name}", getattr(module, node.name)


def _inside(address: str, value: Any, depth: int = 0) -> Iterator[tuple[str, Any]]:
    """Texts and functions of a value, tables opened."""
    if isinstance(value, str | FunctionType):
        yield address, value
    elif depth < MOST_DEPTH and isinstance(value, dict):
        for key, inner in value.items():
            yield from _inside(f"{address}[{key}]", inner, depth + 1)
    elif depth < MOST_DEPTH and isinstance(value, tuple | list):
        for number, inner in enumerate(value):
            yield from _inside(f"{address}[{number}]", inner, depth + 1)
    elif depth < MOST_DEPTH and type(value).__module__.startswith("partsolver.report"):
        for field in getattr(type(value), "__annotations__", {}):
            yield from _inside(f"{address}.{field}", getattr(value, field), depth + 1)


@cache
def everything() -> dict[str, Any]:
    """Texts of tables and functions, by address; what other modules gather of ``words`` stands there only."""
    found: dict[str, Any] = {}
    functions: set[int] = set()
    for name in sorted(modules(), key=lambda name: (not name.startswith("words."), name)):
        for own, table in _own(name):
            for address, value in _inside(own, table):
                if isinstance(value, str) or name.startswith("words.") or id(value) not in functions:
                    found[address] = value
                    functions.add(id(value))
    return found


def tables() -> dict[str, str]:
    """Texts of tables by address, as one line each."""
    return {
        address: plain(text)
        for address, text in everything().items()
        if isinstance(text, str) and is_text(text)
    }


def sayings() -> dict[str, Callable[..., Any]]:
    """Functions by address."""
    return {address: value for address, value in everything().items() if callable(value)}


def _unread(tree: ast.Module) -> set[int]:
    """Docstrings; patterns; what an error says that only a programmer can cause; words for a drawing library."""
    holders = (ast.Module, ast.FunctionDef, ast.ClassDef)
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, holders) and node.body and isinstance(node.body[0], ast.Expr):
            found.add(id(node.body[0].value))
        if isinstance(node, ast.Call) and ast.unparse(node.func) in ("re.compile", "InternalFault"):
            found |= {id(inner) for inner in ast.walk(node)}
        if isinstance(node, ast.keyword) and node.arg in ("loc", "textcoords"):
            found.add(id(node.value))
        if isinstance(node, ast.Assign) and "rcParams" in ast.unparse(node.targets[0]):
            found |= {id(inner) for inner in ast.walk(node)}
    return found


@cache
def pieces() -> tuple[tuple[str, str], ...]:
    """(``words.desk:122``, piece) of every text in the source, cut at what is filled in."""
    found = []
    for name, (_, tree) in modules().items():
        unread = _unread(tree)
        for node in ast.walk(tree):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in unread:
                for piece in FILLED_IN.split(node.value):
                    if is_text(piece):
                        found.append((f"{name}:{node.lineno}", plain(piece)))
    return tuple(found)


_TEMPLATE = re.compile(r"\{#.*?#\}|<style.*?</style>|<script.*?</script>|\{[{%].*?[%}]\}|<[^<>]*>", re.DOTALL)


def pages() -> Iterator[tuple[str, str]]:
    """(template below ``report/templates``, text) of every text between tags and what is filled in."""
    folder = REPORT / "templates"
    for path in sorted(folder.rglob("*.html")):
        for piece in _TEMPLATE.split(path.read_text(encoding="utf-8")):
            if is_text(html.unescape(piece)):
                yield path.relative_to(folder).as_posix(), plain(html.unescape(piece))


def spoken(text: str) -> str:
    """A text as two are compared: one line, small letters (a sentence may begin with a piece)."""
    return plain(text).lower()


@cache
def stated() -> str:
    """What the tests state: their golden files, the texts in their source that are no docstrings, and the guide
    with the README, whose examples are run."""
    tests = REPORT.parents[1] / "tests"
    texts = []
    for path in sorted(tests.rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        unread = _unread(tree)
        texts += [
            node.value
            for node in ast.walk(tree)
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in unread
        ]
    files = [
        *tests.glob("*/golden_*.tsv"),
        *tests.glob("report/documents/*.txt"),
        *tests.glob("cases/*/expected.txt"),
        *(REPORT.parent / "guide").glob("*.md"),
        tests.parent / "README.md",
    ]
    texts += [path.read_text(encoding="utf-8") for path in sorted(files)]
    return "\n".join(spoken(text) for text in texts)


def unstated(prefix: str = "") -> list[tuple[str, str]]:
    """The pieces of the modules with this prefix that no test states."""
    known = stated()
    return [
        (where, piece) for where, piece in pieces() if where.startswith(prefix) and spoken(piece) not in known
    ]
