"""One article by its title: kind, facts with mark *title*, state of the goods, leftover."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import fields
from functools import partial
from operator import attrgetter
from typing import Any

from partsolver.base.parallel import Beside
from partsolver.base.records import record
from partsolver.catalog.store.records import Fact
from partsolver.catalog.titles.grammar import read_title
from partsolver.catalog.titles.kinds import TABLE_OF, kind_of, state_of
from partsolver.catalog.titles.words import kind_gates, plain_title

# A title is read so far; measured ones end at 200 characters.
MOST_TITLE = 400


@record
class Article:
    """What a title says. ``table`` None: no part, for ``reason`` with ``detail``; ``kind_word``: the part
    table a bare kind word names (for headings and categories)."""

    title: str
    table: str | None
    reason: str
    detail: str
    cells: tuple[tuple[str, str], ...] = ()
    contradictory: tuple[str, ...] = ()
    leftover: tuple[str, ...] = ()
    state: str | None = None
    kind_word: str | None = None

    def facts(self, place: str) -> Iterator[Fact]:
        """The facts, as read from the title at a place."""
        for column, value in self.cells:
            yield Fact(column, value, "title", place)


def article_of(text: str, hint: str | None = None) -> Article:
    """An article by its title. ``hint``: the part table of a heading or category it stands under."""
    title = plain_title(text[:MOST_TITLE])
    state, word = state_of(title)
    kind = kind_of(title, hint)
    if kind.table is None:
        tables = {TABLE_OF[name] for name, _ in kind_gates().found(title) if name in TABLE_OF}
        return Article(
            title,
            None,
            kind.reason,
            kind.word,
            state=state,
            kind_word=tables.pop() if len(tables) == 1 else None,
        )
    reading = read_title(title, kind.table)
    return Article(
        title,
        kind.table,
        "",
        word if state == "defective" else kind.word,
        reading.cells,
        reading.contradictory,
        reading.leftover,
        state,
        kind.table,
    )


# From so many titles on they are read on two processes, where there are: a second one takes longer to start
# than to read fewer.
_MANY = 2_000
# Share of them that is read here: a little more than half, since the other process has its values to send.
_OWN_PERCENT = 55


def articles_of(named: Sequence[tuple[str, str | None]]) -> list[Article]:
    """The articles of many titles, each with its hint, in order."""
    if len(named) < _MANY:
        return [article_of(text, hint) for text, hint in named]
    # The others are read in the second process, which sends plain values: records would take as long to send as
    # to make.
    own = len(named) * _OWN_PERCENT // 100
    with Beside(partial(_values_of, named[own:])) as others:
        here = [article_of(text, hint) for text, hint in named[:own]]
        return [*here, *(Article(*values) for values in others.result())]


_fields = attrgetter(*(field.name for field in fields(Article)))


def _values_of(named: Sequence[tuple[str, str | None]]) -> list[tuple[Any, ...]]:
    """The fields of the articles of titles."""
    return [_fields(article_of(text, hint)) for text, hint in named]
