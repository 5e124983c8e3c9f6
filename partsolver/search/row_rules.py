"""Rules asked of many rows at once."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain

import numpy as np

from partsolver.base.quantities import FAR
from partsolver.problem.candidates import Candidate, Parts
from partsolver.search.bounds import Array, Numbers, told_once
from partsolver.search.pool import MAIN
from partsolver.search.rule_memory import Asked, Quick
from partsolver.search.views import View

# Rows up to which rules are asked one row after the other: the arrays only pay for more (measured at 2,000
# parts).
FEW = 40


class RowRules:
    """Rules about board, processor, memory and what nothing competes with, asked of many rows at once: of
    those that look the same to all of them only the first.

    ``listed``: the boards, processors and memory choices that rows number; ``rest``: a candidate of every
    other slot.
    """

    def __init__(
        self,
        quick: Quick,
        rules: Sequence[Asked],
        listed: Sequence[Sequence[Candidate]],
        rest: tuple[Candidate, ...],
    ) -> None:
        self._quick, self._listed, self._rest = quick, listed, rest
        # Rules that see the same of these slots stand together, under what they see.
        self._groups: dict[tuple[tuple[int, View], ...], list[Asked]] = defaultdict(list)
        for asked in rules:
            self._groups[tuple((place, view) for place, view in asked.views if place < len(MAIN))].append(
                asked
            )
        seen: dict[int, list[View]] = defaultdict(list)
        for place, view in {own: None for group in self._groups for own in group}:
            seen[place].append(view)
        self._numbers = {
            (p, view): numbers
            for p, views in seen.items()
            for view, numbers in zip(views, _numbers_of(quick, views, listed[p]), strict=True)
        }
        # How the candidates of each slot look to all the rules.
        self._kinds = [
            (
                place,
                Numbers().numbered(
                    zip(*(self._numbers[place, v].tolist() for v in seen[place]), strict=True)
                ),
            )
            for place in sorted(seen)
        ]
        self._known: dict[int, int] = {}

    def __len__(self) -> int:
        return len(self._groups)

    def needs(self, *rows: Array) -> Array:
        """The least cost of what the rules need beside each row, FAR where one refuses it; ``rows``:
        numbers of the boards, the processors and the memory choices (where the rules do not look: any)."""

        def tell(first: Array) -> Iterable[int]:
            asked = [numbers[first] for numbers in rows]
            if len(first) > FEW:
                return self._needs_by_group(asked)
            one_by_one = zip(*(numbers.tolist() for numbers in asked), strict=True)
            return [self._needs_of(numbers, self._groups.values()) for numbers in one_by_one]

        return told_once(self._known, keys_of(self._kinds, rows, len(rows[0])), tell)

    def _needs_by_group(self, rows: Sequence[Array]) -> list[int]:
        """The same of many rows: rules that see the same are asked once of those that look the same to
        them, and of rows that no rule before refused."""
        found = np.zeros(len(rows[0]), dtype=np.int64)
        left = np.arange(len(found))
        for looks, group in self._groups.items():
            asked = [numbers[left] for numbers in rows]
            seen = [(place, self._numbers[place, view]) for place, view in looks]
            keys = keys_of(seen, asked, len(left))
            _, first, place = np.unique(keys, return_index=True, return_inverse=True)
            each = zip(*(numbers[first].tolist() for numbers in asked), strict=True)
            own = np.array([self._needs_of(numbers, (group,)) for numbers in each], dtype=np.int64)[place]
            found[left] += own
            left = left[own < FAR]
        return np.minimum(found, FAR).tolist()  # type: ignore[no-any-return]

    def _needs_of(self, numbers: Sequence[int], groups: Iterable[Sequence[Asked]]) -> int:
        """What the rules of some groups need beside one row, FAR where one refuses it."""
        main = [listed[number] for listed, number in zip(self._listed, numbers, strict=True)]
        parts = Parts((*main, *self._rest))
        total = 0
        for asked in chain.from_iterable(groups):
            said = self._quick.told(asked, parts)
            total += said if isinstance(said, int) else self._quick.priced(said)
            if total >= FAR:
                return FAR
        return total


def _numbers_of(quick: Quick, views: Sequence[View], listed: Sequence[Candidate]) -> Iterator[Array]:
    """How candidates look to each of some views. Memory, of which there are few kinds, by one of each kind."""
    if not listed or listed[0].slot != "memory":
        yield from (view.numbers(listed) for view in views)
        return
    kinds = np.array([quick.kind(candidate) for candidate in listed], dtype=np.int64)
    _, first, place = np.unique(kinds, return_index=True, return_inverse=True)
    one_of_each = [listed[number] for number in first.tolist()]
    yield from (view.numbers(one_of_each)[place] for view in views)


def keys_of(
    seen: Sequence[tuple[int, Array]], rows: Sequence[Array] | Mapping[int, Array], count: int
) -> Array:
    """A number for each of ``count`` rows: equal for those that look the same at some places, and for no
    others. ``seen``: place, and how its candidates look (any numbers: views count on from problem to
    problem); ``rows``: by place, numbers of candidates."""
    found = np.zeros(count, dtype=np.int64)
    for place, numbers in seen:
        found = found * (int(numbers.max(initial=0)) + 1) + numbers[rows[place]]
    return found
