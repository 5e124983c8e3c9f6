"""Whether a pattern can match a text at all, told without trying it: most of the patterns of the trade
need a word or a piece of one that most titles do not hold. What is let through is decided by the pattern
alone."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache
from typing import Any, Generic, TypeVar

T = TypeVar("T")
# A piece of fewer letters stands in almost every title.
_LEAST_PIECE = 2


@lru_cache(maxsize=256)
def folded(text: str) -> str:
    """A text as pieces are looked for in it."""
    return text.casefold()


@lru_cache(maxsize=256)
def words_in(text: str) -> frozenset[str]:
    """The words of a text."""
    return frozenset(re.findall(r"\w+", text.casefold()))


class GatedPattern:
    """A compiled pattern that is tried only where its gate opens: it needs one of some words or pieces of
    text."""

    def __init__(
        self, pattern: re.Pattern[str], words: Iterable[str] = (), pieces: Iterable[str] = ()
    ) -> None:
        self.pattern = pattern
        self.words, self.pieces = frozenset(words), frozenset(pieces)

    def may_match(self, text: str) -> bool:
        """False only where the pattern cannot match."""
        if self.words:
            return not self.words.isdisjoint(words_in(text))
        return not self.pieces or any(map(folded(text).__contains__, self.pieces))

    def search(self, text: str) -> re.Match[str] | None:
        """As the pattern's own."""
        return self.pattern.search(text) if self.may_match(text) else None

    def finditer(self, text: str) -> Iterator[re.Match[str]]:
        """As the pattern's own."""
        return self.pattern.finditer(text) if self.may_match(text) else iter(())

    def sub(self, new: str | Callable[[re.Match[str]], str], text: str) -> str:
        """As the pattern's own."""
        return self.pattern.sub(new, text) if self.may_match(text) else text


class Gates(Generic[T]):
    """Many gated patterns, each with what it stands for: their gates are looked at together."""

    def __init__(self, listed: Iterable[tuple[T, GatedPattern]]) -> None:
        self._listed = tuple(listed)
        self._pieces = frozenset().union(*(gate.pieces for _, gate in self._listed))

    def opened(self, text: str) -> Iterator[tuple[T, re.Pattern[str]]]:
        """Those whose patterns may match a text, in order."""
        words = words_in(text)
        plain = folded(text)
        there = {piece for piece in self._pieces if piece in plain}
        for item, gate in self._listed:
            if gate.words:
                shut = gate.words.isdisjoint(words)
            else:
                shut = bool(gate.pieces) and gate.pieces.isdisjoint(there)
            if not shut:
                yield item, gate.pattern


def gated(pattern: re.Pattern[str]) -> GatedPattern:
    """A pattern behind the pieces of text of which every match holds one; without a gate where none can be
    told."""
    return GatedPattern(pattern, pieces=needed_pieces(pattern.pattern) or ())


def needed_pieces(pattern: str) -> tuple[str, ...] | None:
    """Pieces of text of which every match of a pattern holds at least one; None where that cannot be told."""
    from re import _parser  # type: ignore[attr-defined]  # the library's own reading of the pattern

    found = _of_sequence(list(_parser.parse(pattern, re.IGNORECASE)))
    if found is None or any(len(piece) < _LEAST_PIECE for piece in found):
        return None
    return tuple(dict.fromkeys(piece.casefold() for piece in found))


def _of_sequence(items: list[Any]) -> list[str] | None:
    """The best of what the items of a sequence need: each of them must be there."""
    known: list[list[str]] = []
    run = ""
    for name, value in [*((str(op), value) for op, value in items), ("END", None)]:
        if name == "LITERAL":
            run += chr(value)
            continue
        if run:
            known.append([run])
            run = ""
        inner = _of_item(name, value)
        if inner is not None:
            known.append(inner)
    return max(known, key=lambda pieces: (min(map(len, pieces)), -len(pieces)), default=None)


def _of_item(name: str, value: Any) -> list[str] | None:
    if name == "SUBPATTERN":
        return _of_sequence(list(value[-1]))
    if name in ("MAX_REPEAT", "MIN_REPEAT") and value[0] >= 1:
        return _of_sequence(list(value[2]))
    if name == "BRANCH":
        branches = [_of_sequence(list(branch)) for branch in value[1]]
        if any(branch is None for branch in branches):
            return None
        return [piece for branch in branches for piece in branch or ()]
    return None
