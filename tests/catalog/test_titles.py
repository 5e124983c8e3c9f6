"""Titles: invented ones in five languages and several house styles with their right reading."""

from __future__ import annotations

from pathlib import Path

import pytest
from titles.styles import Labelled, styled_titles

from partsolver.catalog.titles.grammar import read_title
from partsolver.catalog.titles.kinds import TABLE_OF, kind_of, state_of
from partsolver.catalog.titles.words import plain_title

HERE = Path(__file__).parent / "titles"
# What a title that is no single part of these tables is called in the files.
NO_PART = {"graphics": "other", "other": "other", "bundle": "bundle", "unclear": "unclear"}
REASONS = {"bundle": {"bundle"}, "unclear": {"unclear"}}


def labelled(name: str) -> list[Labelled]:
    lines = [x for x in (HERE / name).read_text(encoding="utf-8").splitlines() if x and not x.startswith("#")]
    found = []
    for head, title in zip(lines[::2], lines[1::2], strict=True):
        language, kind, facts = (part.strip() for part in head.split("|"))
        cells = dict(fact.split("=", 1) for fact in facts.split(";") if fact)
        found.append((language, kind, cells, title))
    return found


def read(title: str) -> tuple[str, dict[str, str]]:
    """Kind as the files name it, and the facts."""
    plain = plain_title(title)
    kind = kind_of(plain)
    if kind.table is None:
        return (kind.reason if kind.reason in REASONS else "other"), {}
    cells = dict(read_title(plain, kind.table).cells)
    state, _ = state_of(plain)
    if state in ("used", "refurbished"):
        cells["condition"] = state
    return kind.table, cells


def same(column: str, one: str, other: str) -> bool:
    return set(one.split()) == set(other.split()) if column == "sockets" else one == other


def score(titles: list[Labelled]) -> tuple[list[str], int, int]:
    """(wrong facts and kinds, printed facts, facts found)."""
    wrong, printed, found = [], 0, 0
    for _, kind, facts, title in titles:
        told, cells = read(title)
        right_kind = NO_PART.get(kind, kind)
        if told in TABLE_OF.values() and told != right_kind:
            wrong.append(f"{title!r}: {told} instead of {kind}")
        printed += len(facts)
        for column, value in cells.items():
            if told == right_kind and (column not in facts or not same(column, value, facts[column])):
                wrong.append(f"{title!r}: {column}={value} instead of {facts.get(column)}")
        found += sum(told == right_kind and c in cells and same(c, cells[c], v) for c, v in facts.items())
    return wrong, printed, found


KNOWN = [*labelled("known.txt"), *styled_titles()]


@pytest.mark.parametrize("title", KNOWN, ids=lambda t: t[3][:60])
def test_known_titles_are_read_whole(title: Labelled) -> None:
    wrong, printed, found = score([title])
    assert not wrong and found == printed, read(title[3])
    assert read(title[3])[0] == NO_PART.get(title[1], title[1])
