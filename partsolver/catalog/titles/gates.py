"""Which of many patterns can match a text at all, told without trying them: beside each pattern stand the
words, or pieces of text, of which every match holds one (the column ``needs`` of the tables). What is let
through is decided by the pattern alone."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import lru_cache
from typing import Generic, Protocol, TypeVar

T = TypeVar("T")
# A list has few sorts of titles: what was told of a sort is kept.
_MOST_KEPT = 4096
_NONE: frozenset[str] = frozenset()


@lru_cache(maxsize=256)
def folded(text: str) -> str:
    """A text as pieces are looked for in it."""
    return text.casefold()


@lru_cache(maxsize=256)
def words_in(text: str) -> frozenset[str]:
    """The words of a text."""
    return frozenset(re.findall(r"\w+", text.casefold()))


class Searched(Protocol):
    """What looks for its matches in a text: a compiled pattern, or phrases."""

    def search(self, string: str, /) -> re.Match[str] | None: ...

    def finditer(self, string: str, /) -> Iterator[re.Match[str]]: ...

    def sub(self, repl: str | Callable[[re.Match[str]], str], string: str, /) -> str: ...


_WORD = re.compile(r"\w+")


class Phrases:
    """Phrases by their first word: where that word stands, the phrases that begin with it are tried. As fast
    for a thousand words as for ten."""

    def __init__(self, by_first: Mapping[str, re.Pattern[str]]) -> None:
        self._by_first = by_first

    def finditer(self, string: str, /) -> Iterator[re.Match[str]]:
        """Matches from left to right; none begins inside another."""
        end = 0
        for word in _WORD.finditer(string):
            pattern = self._by_first.get(word[0].casefold())
            match = pattern.match(string, word.start()) if pattern and word.start() >= end else None
            if match is not None:
                end = match.end()
                yield match

    def search(self, string: str, /) -> re.Match[str] | None:
        """The first match."""
        return next(self.finditer(string), None)

    def sub(self, repl: str | Callable[[re.Match[str]], str], string: str, /) -> str:
        """The text with every match replaced."""
        at, parts = 0, []
        for match in self.finditer(string):
            parts += [string[at : match.start()], repl if isinstance(repl, str) else repl(match)]
            at = match.end()
        return "".join([*parts, string[at:]])


class GatedPattern:
    """A pattern with what it needs: one of some words, or of some pieces of text; nothing where
    both are empty."""

    def __init__(self, pattern: Searched, words: Iterable[str] = (), pieces: Iterable[str] = ()) -> None:
        self.pattern = pattern
        self.words = frozenset(words)
        self.pieces = frozenset(piece.casefold() for piece in pieces)

    def search(self, text: str) -> re.Match[str] | None:
        """As the pattern's own."""
        if self.words and self.words.isdisjoint(words_in(text)):
            return None
        return self.pattern.search(text)

    def sub(self, new: str, text: str) -> str:
        """As the pattern's own."""
        if self.words and self.words.isdisjoint(words_in(text)):
            return text
        return self.pattern.sub(new, text)


class Gates(Generic[T]):
    """Many gated patterns, each with what it stands for: their gates are looked at together."""

    def __init__(self, listed: Iterable[tuple[T, GatedPattern]]) -> None:
        self.listed = tuple(listed)
        self._words = frozenset().union(*(gate.words for _, gate in self.listed))
        self._pieces = tuple(sorted(frozenset().union(*(gate.pieces for _, gate in self.listed))))
        self._chosen = lru_cache(maxsize=_MOST_KEPT)(self._open_with)

    def opened(self, text: str) -> tuple[tuple[T, Searched], ...]:
        """Those whose patterns may match a text, in order."""
        if not self._pieces:
            return self._chosen(self._words & words_in(text), _NONE)
        plain = folded(text)
        there = frozenset([piece for piece in self._pieces if piece in plain])
        return self._chosen(self._words & words_in(text) if self._words else _NONE, there)

    def _open_with(self, words: frozenset[str], pieces: frozenset[str]) -> tuple[tuple[T, Searched], ...]:
        """Those that are open where these words and pieces stand."""
        return tuple(
            (item, gate.pattern)
            for item, gate in self.listed
            if not (gate.words and gate.words.isdisjoint(words))
            and not (gate.pieces and gate.pieces.isdisjoint(pieces))
        )

    def found(self, text: str) -> Iterator[tuple[T, re.Match[str]]]:
        """Those whose patterns match a text, each with its first match."""
        for item, pattern in self.opened(text):
            match = pattern.search(text)
            if match is not None:
                yield item, match
