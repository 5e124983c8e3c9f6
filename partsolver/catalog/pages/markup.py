"""Items that a page marks up: JSON-LD (W3C, JSON-LD 1.1, section "Embedding JSON-LD in HTML Documents"),
microdata (HTML Living Standard, section 5) and RDFa Lite 1.1, all as plain dictionaries with ``@type`` and
properties."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterator
from typing import Any

from partsolver.catalog.pages.html import Page, text_of

Item = dict[str, Any]
MOST_DEPTH = 40
MOST_ITEMS = 20_000
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")
_BEFORE = re.compile(r"^\s*(?:<!--|//[^\n]*\n|/\*.*?\*/|<!\[CDATA\[|/\*)", re.DOTALL)
# A // comment stands in a line of its own: inside one it is part of an address.
_BEHIND = re.compile(r"(?:-->|\]\]>|/\*(?:(?!\*/).)*\*/|\n[ \t]*//[^\n]*|\*/|;)\s*$", re.DOTALL)


class Broken(Exception):
    """A script that is not JSON even after repair: what is wrong, with line and column."""


def type_names(item: Item) -> set[str]:
    """The last segments of an item's types."""
    found = item.get("@type", item.get("type"))
    listed = found if isinstance(found, list) else [found]
    return {re.split(r"[/#:]", str(name))[-1] for name in listed if isinstance(name, str)}


def json_ld(page: Page) -> tuple[list[Item], list[str]]:
    """All items of all scripts, and what is wrong with scripts that cannot be read."""
    items: list[Item] = []
    broken = []
    for node in page.root.iter("script"):
        kind = (node.get("type") or "").split(";")[0].strip().lower()
        if kind != "application/ld+json":
            continue
        try:
            values = parse_json_ld(node.text or "")
        except Broken as error:
            broken.append(str(error))
            continue
        for value in values:
            items += _collect(value)
    return items, broken


def parse_json_ld(text: str) -> list[Any]:
    """The JSON values of a script: repaired of comments around it, control characters, trailing commas and
    semicolons; several objects one after the other. Raises Broken."""
    text = _CONTROL.sub(" ", text.lstrip("\ufeff"))
    for _ in range(6):
        stripped = _BEHIND.sub("", _BEFORE.sub("", text)).strip()
        if stripped == text:
            break
        text = stripped
    try:
        return _values(text)
    except (ValueError, RecursionError) as first:
        repaired = re.sub(r",(\s*[}\]])", r"\1", text)
        try:
            return _values(repaired)
        except RecursionError:
            raise Broken("nested too deeply") from None
        except ValueError:
            raise Broken(str(first)) from None


def _values(text: str) -> list[Any]:
    decoder = json.JSONDecoder(strict=False)
    values, at = [], 0
    while at < len(text):
        value, end = decoder.raw_decode(text, at)
        values.append(value)
        at = end + len(text[end:]) - len(text[end:].lstrip(" \t\r\n;,"))
    return values


def _collect(value: Any, depth: int = 0) -> list[Item]:
    """Top-level items: out of arrays and ``@graph``."""
    if depth > MOST_DEPTH:
        return []
    if isinstance(value, list):
        return [item for inner in value[:MOST_ITEMS] for item in _collect(inner, depth + 1)]
    if not isinstance(value, dict):
        return []
    graph = value.get("@graph")
    own = [value] if type_names(value) else []
    return own + (_collect(graph, depth + 1) if graph is not None else [])


def linked(items: list[Item]) -> list[Item]:
    """Items with references (``{"@id": ...}`` alone) replaced by what they refer to, one level deep each."""
    by_id: dict[str, Item] = {}
    _note_ids(items, by_id, 0)
    return [_filled(item, by_id, 0) for item in items]


def _note_ids(value: Any, by_id: dict[str, Item], depth: int) -> None:
    if depth > MOST_DEPTH:
        return
    if isinstance(value, dict):
        name = value.get("@id")
        if isinstance(name, str) and len(value) > 1:
            by_id.setdefault(name, value)
        for inner in value.values():
            _note_ids(inner, by_id, depth + 1)
    elif isinstance(value, list):
        for inner in value[:MOST_ITEMS]:
            _note_ids(inner, by_id, depth + 1)


def _filled(value: Any, by_id: dict[str, Item], depth: int) -> Any:
    if depth > MOST_DEPTH:
        return None
    if isinstance(value, dict):
        if set(value) == {"@id"} and value["@id"] in by_id and depth < 6:
            found = {key: inner for key, inner in by_id[value["@id"]].items() if key != "@id"}
            return _filled(found, by_id, depth + 1)
        return {key: _filled(inner, by_id, depth + 1) for key, inner in value.items()}
    if isinstance(value, list):
        return [_filled(inner, by_id, depth + 1) for inner in value[:MOST_ITEMS]]
    return html.unescape(value) if isinstance(value, str) else value


def microdata(page: Page) -> list[Item]:
    """Top-level microdata items."""
    ids = {node.get("id"): node for node in page.root.iter() if _attribute(node, "id")}
    return [
        _scope(node, ids, 0)
        for node in page.root.iter()
        if _attribute(node, "itemscope") is not None and _attribute(node, "itemprop") is None
    ]


def _attribute(node: Any, name: str) -> str | None:
    return node.get(name) if isinstance(node.tag, str) else None


def _scope(node: Any, ids: dict[str, Any], depth: int) -> Item:
    item: Item = {"@type": (_attribute(node, "itemtype") or "").split()}
    if depth > MOST_DEPTH:
        return item
    roots = [node, *(ids[name] for name in (_attribute(node, "itemref") or "").split() if name in ids)]
    for number, root in enumerate(roots):
        for prop in _properties(root, "itemprop", "itemscope", own=number > 0):
            inner = _attribute(prop, "itemscope") is not None
            value = _scope(prop, ids, depth + 1) if inner else _value(prop)
            for name in (_attribute(prop, "itemprop") or "").split():
                item.setdefault(name.rsplit("/", 1)[-1], []).append(value)
    return item


def _properties(root: Any, attribute: str, scope: str, own: bool) -> Iterator[Any]:
    """Elements with a property of this item: not below another item's scope."""
    stack = [root] if own else list(root)[::-1]
    while stack:
        node = stack.pop()
        if _attribute(node, attribute) is not None:
            yield node
        if _attribute(node, scope) is None and isinstance(node.tag, str):
            stack += list(node)[::-1]


def _value(node: Any) -> str:
    for name in (
        "content",
        *({"time": ("datetime",), "data": ("value",), "meter": ("value",)}.get(node.tag, ())),
    ):
        if node.get(name) is not None:
            return str(node.get(name)).strip()
    if node.tag in ("a", "area", "link", "img", "audio", "video", "embed", "iframe", "object", "source"):
        for name in ("href", "src", "data"):
            if node.get(name) is not None:
                return str(node.get(name)).strip()
    return text_of(node)


def rdfa(page: Page) -> list[Item]:
    """Top-level RDFa Lite items of the schema.org vocabulary."""
    found = []
    for node in page.root.iter():
        if _attribute(node, "typeof") is not None and _attribute(node, "property") is None:
            found.append(_rdfa_scope(node, 0))
    return found


def _rdfa_scope(node: Any, depth: int) -> Item:
    item: Item = {"@type": (_attribute(node, "typeof") or "").split()}
    if depth > MOST_DEPTH:
        return item
    for prop in _properties(node, "property", "typeof", own=False):
        inner = _attribute(prop, "typeof") is not None
        value: Any = _rdfa_scope(prop, depth + 1) if inner else _attribute(prop, "resource") or _value(prop)
        for name in (_attribute(prop, "property") or "").split():
            item.setdefault(re.split(r"[/:#]", name)[-1], []).append(value)
    return item
