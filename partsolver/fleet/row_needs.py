"""Rules asked of many combinations of parts at once: what each combination needs bought, or that it is
refused."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from partsolver.plan.draft import Need
from partsolver.problem.candidates import Candidate, Parts
from partsolver.search.bounds import Array, told_once
from partsolver.search.row_rules import keys_of
from partsolver.search.rule_memory import Asked, Quick
from partsolver.search.views import View

# The number of what is refused; lists of needs are numbered from 0 on.
REFUSED = -1


class RowNeeds:
    """Some rules, asked of rows of candidates. Rules that see the same of a row are asked together, once of
    all rows that look the same to them.

    ``listed``: by place of the slot, the candidates that rows number; ``beside``: a candidate for every slot,
    which stands where no row says another. ``needs``: lists of needs by their number; number 0 is none.
    """

    def __init__(
        self,
        quick: Quick,
        rules: Sequence[Asked],
        listed: Mapping[int, Sequence[Candidate]],
        beside: Sequence[Candidate],
    ) -> None:
        self._quick, self._listed, self._beside = quick, listed, tuple(beside)
        groups: dict[tuple[tuple[int, View], ...], list[Asked]] = defaultdict(list)
        for asked in rules:
            groups[tuple((place, view) for place, view in asked.views if place in listed)].append(asked)
        numbers = {key: key[1].numbers(listed[key[0]]) for looks in groups for key in looks}
        self._looks = {key: np.unique(own, return_inverse=True)[1] for key, own in numbers.items()}
        # What rules see of each row, the rules, and what they said by the number of what they see.
        self._groups: list[tuple[list[tuple[int, Array]], list[Asked], dict[int, int]]] = [
            ([(place, self._looks[place, view]) for place, view in looks], group, {})
            for looks, group in groups.items()
        ]
        self.needs: list[tuple[Need, ...]] = [()]
        self._number_of: dict[tuple[Need, ...], int] = {(): 0}
        self._both: dict[int, int] = {}

    def looks_at(self, place: int) -> list[Array]:
        """How the candidates of a slot look to the rules: numbers by what they see, one list for each view."""
        return [numbers for (own, _), numbers in self._looks.items() if own == place]

    def numbers(self, rows: Mapping[int, Array]) -> Array:
        """The number of what each row needs, or REFUSED. ``rows``: by place, numbers of candidates."""
        count = len(next(iter(rows.values())))
        found = np.full(count, REFUSED, dtype=np.int64)
        left, needed = np.arange(count), np.zeros(count, dtype=np.int64)
        for looks, group, known in self._groups:
            if not len(left):
                break
            asked = {place: numbers[left] for place, numbers in rows.items()}
            keys = keys_of(looks, asked, len(left))
            own = told_once(known, keys, lambda first, a=asked, g=group: self._told(a, first, g))  # type: ignore[misc]
            good = own != REFUSED
            left, needed = left[good], self._together(needed[good], own[good])
        found[left] = needed
        return found

    def _told(self, rows: Mapping[int, Array], first: Array, group: Sequence[Asked]) -> Iterable[int]:
        """What rules that see the same say of some rows."""
        picked = list(self._beside)
        for place in first.tolist():
            for slot, numbers in rows.items():
                picked[slot] = self._listed[slot][int(numbers[place])]
            yield self._ask(Parts(tuple(picked)), group)

    def _ask(self, parts: Parts, group: Sequence[Asked]) -> int:
        needs: list[Need] = []
        for asked in group:
            said = self._quick.told(asked, parts)
            if not isinstance(said, int):
                needs += said
            elif said:
                return REFUSED
        return self._numbered(needs)

    def _numbered(self, needs: Iterable[Need]) -> int:
        ordered = tuple(sorted(needs, key=lambda need: (need.rule, need.key)))
        number = self._number_of.setdefault(ordered, len(self.needs))
        if number == len(self.needs):
            self.needs.append(ordered)
        return number

    def _together(self, one: Array, other: Array) -> Array:
        """The numbers of what two lists of needs are together."""
        if not other.any():
            return one
        return told_once(
            self._both,
            (one << 32) + other,
            lambda first: [
                self._numbered((*self.needs[a], *self.needs[b]))
                for a, b in zip(one[first].tolist(), other[first].tolist(), strict=True)
            ],
        )
