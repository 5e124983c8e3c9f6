"""What of a title is the maker's own: its model."""

from __future__ import annotations

import re

from partsolver.catalog.titles.article import MOST_TITLE
from partsolver.catalog.titles.grammar import read_title
from partsolver.catalog.titles.words import kind_patterns, plain_title


def _words(name: str) -> list[str]:
    """The words of a title without those that name a kind of part."""
    title = plain_title(name)[:MOST_TITLE].casefold()
    for pattern in kind_patterns().values():
        title = pattern.sub(" ", title)
    return title.split()


def own_words(name: str, table: str) -> set[str]:
    """The words of a title that no pattern of the trade takes whole, as they are compared."""
    leftover = read_title(plain_title(name)[:MOST_TITLE], table).leftover
    left = {piece for text in leftover for piece in _pieces(text)}
    return {_compared(word) for word in _words(name) if left & set(_pieces(word))}


def model_words(name: str, table: str) -> tuple[str, ...]:
    """What of a name is the maker's own, as it is compared. All words where none of these has a digit, since a
    series is no model."""
    own = own_words(name, table)
    if not any(c.isdigit() for word in own for c in word):
        own = {_compared(word) for word in _words(name)} - {""}
    return tuple(sorted(own))


def _compared(word: str) -> str:
    return re.sub(r"[^\w+]", "", word)


def _pieces(text: str) -> list[str]:
    return [piece for piece in re.split(r"[^\w+]+", text.casefold()) if piece]
