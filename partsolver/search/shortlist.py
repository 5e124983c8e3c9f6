"""The best plans that a search has found so far, and what a search returns."""

from __future__ import annotations

from bisect import bisect_right
from typing import Any

import numpy as np

from partsolver.base.quantities import FAR
from partsolver.base.records import record
from partsolver.plan.draft import Draft
from partsolver.search.allowances import Value
from partsolver.search.bounds import Array
from partsolver.search.rows import Rows

# Two goals of a plan, the first before the second: (step, cost) or (cost, time).
Goals = tuple[int, int]


@record
class Found:
    """What a search returns.

    drafts: plans of different choices that every plain rule admits, the best first. exhausted: every row that
    can hold a better one, or one more, was looked at or bounded out: then these *are* the first plans there
    are, and where there are fewer than were wanted no other exists. Otherwise the search is spent: the drafts
    are plans all the same, but nothing follows from what was not found.
    """

    drafts: tuple[Draft, ...]
    exhausted: bool

    @property
    def first(self) -> Draft | None:
        return self.drafts[0] if self.drafts else None


class Shortlist:
    """The best plan found of each choice (plan/identity.py), and the goals of the last that is wanted."""

    def __init__(self, wanted: int, value: Value, by_cost: bool = False) -> None:
        """``by_cost``: the first goal is the cost."""
        self.wanted, self.value, self._by_cost = wanted, value, by_cost
        self._found: dict[Any, Draft] = {}
        # Goals of the last of the first ``wanted`` plans; None while there are fewer.
        self.worst: Goals | None = None

    def goals(self, draft: Draft) -> Goals:
        return self.value(draft.time_ppm, draft.cost)

    def beats(self, bound: Goals) -> bool:
        """Whether a plan is known that no plan at or above a bound can better. (Of a ranking the order of the
        bounds tells: it ends with them.)"""
        return False

    @property
    def money(self) -> int:
        """No wanted plan costs more (in the first step of time only the cost counts)."""
        if self.worst is None or not (self._by_cost or self.worst[0] == 0):
            return FAR
        return self.worst[0] if self._by_cost else self.worst[1]

    def knows(self, choice: Any, bound: Goals) -> bool:
        """Whether a plan of this choice is known that is no worse than a bound."""
        known = self._found.get(choice)
        return known is not None and self.goals(known) <= bound

    def most_cost(self, choice: Any, time_ppm: int, most: int) -> int:
        """What a plan of a choice may cost at most to be wanted for no more than ``most``: no more than
        the one that is known of the choice, where its time decides nothing between the two."""
        known = self._found.get(choice)
        alike = known is not None and self.value(time_ppm, 0)[0] == self.value(known.time_ppm, 0)[0]
        return min(most, known.cost) if known is not None and alike else most

    def add(self, choice: Any, draft: Draft) -> None:
        """Take a plan where it is the best of its choice."""
        if self.knows(choice, self.goals(draft)):
            return
        self._found[choice] = draft
        if len(self._found) >= self.wanted:
            self.worst = sorted(map(self.goals, self._found.values()))[self.wanted - 1]

    def any_beyond(self, limit: Goals) -> bool:
        """Whether fewer plans than are wanted lie within a limit: then others may lie just beyond it."""
        return self.worst is None or self.worst > limit

    def wanted_drafts(self) -> tuple[Draft, ...]:
        """The first ``wanted`` plans."""
        return tuple(sorted(self._found.values(), key=self.goals)[: self.wanted])


class Frontier(Shortlist):
    """The plans found of which none beats another on both cost and time, by rising cost; of them only those
    within a time that falls from point to point. ``worst``: cost and time of the first of them."""

    def __init__(self, most_time: int) -> None:
        super().__init__(1, lambda time, cost: (cost, time))
        self._drafts: list[Draft] = []
        self.look_within(most_time)

    @property
    def first(self) -> Draft | None:
        """The cheapest plan within the time."""
        return self._drafts[0] if self._drafts else None

    def look_within(self, most_time: int) -> None:
        """From now on only plans that take no longer count."""
        self.most_time = most_time
        self._keep(self._drafts)

    def beats(self, bound: Goals) -> bool:
        place = bisect_right(self._costs, bound[0])
        return bound[1] > self.most_time or (place > 0 and self._times[place - 1] <= bound[1])

    @property
    def money(self) -> int:
        return FAR

    def knows(self, choice: Any, bound: Goals) -> bool:
        return self.beats(bound)

    def most_cost(self, choice: Any, time_ppm: int, most: int) -> int:
        return min([most, *(draft.cost for draft in self._drafts if draft.time_ppm <= time_ppm)])

    def add(self, choice: Any, draft: Draft) -> None:
        if not self.beats(self.goals(draft)):
            self._keep(
                [draft, *(d for d in self._drafts if d.cost < draft.cost or d.time_ppm < draft.time_ppm)]
            )

    def open_rows(self, rows: Rows) -> Array:
        """A mask of the rows with whose bounds a plan may be as good as those that are known."""
        # The least time for less money, and for as much.
        times = np.array([self.most_time + 1, *self._times], dtype=np.int64)
        less, as_much = (np.searchsorted(self._costs, rows.cost, side) for side in ("left", "right"))
        return (rows.time_ppm < times[less]) & (rows.time_ppm <= np.minimum(times[as_much], self.most_time))

    def _keep(self, drafts: list[Draft]) -> None:
        self._drafts = sorted((d for d in drafts if d.time_ppm <= self.most_time), key=self.goals)
        self._costs, self._times = [d.cost for d in self._drafts], [d.time_ppm for d in self._drafts]
        self.worst = None if self.first is None else self.goals(self.first)
