"""The best plans that a search has found so far, and what a search returns."""

from __future__ import annotations

from typing import Any

from partsolver.base.records import record
from partsolver.plan.draft import Draft
from partsolver.search.allowances import Value

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

    def __init__(self, wanted: int, value: Value) -> None:
        self.wanted, self.value = wanted, value
        self._found: dict[Any, Draft] = {}
        # Goals of the last of the first ``wanted`` plans; None while there are fewer.
        self.worst: Goals | None = None

    def goals(self, draft: Draft) -> Goals:
        return self.value(draft.time_ppm, draft.cost)

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
