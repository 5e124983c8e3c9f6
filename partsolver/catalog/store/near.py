"""Parts that may be one: a maker's sheet and the article that sellers call by its maker and model."""

from __future__ import annotations

import re
import sqlite3

from partsolver.base.records import record
from partsolver.catalog.store.identity import plain_maker


@record
class Proposal:
    """Two parts that may be one; ``sure``: maker and model stand in the names of this one part and no
    other."""

    part: str
    other: str
    name: str
    sure: bool


def _words(text: str) -> list[str]:
    return [word for word in re.split(r"[^a-z0-9.+-]+", text.casefold()) if word]


def proposals(connection: sqlite3.Connection) -> list[Proposal]:
    """For every sheet that no seller's article carries: the articles whose names hold its maker and model."""
    if connection.execute("SELECT 1 FROM sightings WHERE seller GLOB 'maker-*' LIMIT 1").fetchone() is None:
        return []
    rows = connection.execute("SELECT part, tab, name, maker, seller FROM sightings ORDER BY key").fetchall()
    sold: dict[str, list[tuple[str, str, str | None]]] = {}
    sheets: dict[str, tuple[str, str, str | None]] = {}
    for part, table, name, maker, seller in rows:
        if seller.startswith("maker-"):
            sheets[part] = (table, name, maker)
        else:
            sold.setdefault(part, []).append((table, name, maker))
    found = []
    for part, (table, name, maker) in sorted(sheets.items()):
        if part in sold:
            continue
        near = [
            other
            for other, names in sorted(sold.items())
            if any(of == table and _names(title, of_maker, name, maker) for of, title, of_maker in names)
        ]
        found += [Proposal(part, other, name, len(near) == 1) for other in near]
    return found


def _names(title: str, title_maker: str | None, name: str, maker: str | None) -> bool:
    """Whether a seller's title holds every word of a sheet's name, its maker in the maker's column or the
    title."""
    wanted = _words(name)
    if not any(any(c.isdigit() for c in word) for word in wanted):
        return False
    there = set(_words(title)) | set(_words(title_maker or ""))
    if maker and title_maker and plain_maker(maker) != plain_maker(title_maker):
        return False
    return all(word in there for word in wanted)
