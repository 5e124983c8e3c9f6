"""One goal of a fleet: columns are found by price until the bound closes, then CP-SAT chooses among them.

1. The relaxation over the columns known gives prices; each class is asked for plans worth more than its own
   price. When none has any, the relaxation over *all* plans is solved: its value bounds every choice.
2. CP-SAT chooses in whole numbers among the columns known. A choice that is better by one holds only columns
   whose worth is within the difference to the bound: these are asked for, and CP-SAT chooses again. When they
   were all there, what it proves holds for all plans; else the bound of the relaxation is what is left.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from math import floor

from partsolver.base.errors import NotDecided
from partsolver.base.records import record
from partsolver.fleet.goals import Measured
from partsolver.fleet.prices import SCALE
from partsolver.fleet.records import Column, Goods
from partsolver.fleet.work import Ask, Question
from partsolver.model.solve import Limits
from partsolver.solve.fleet.form import Fixed, Form, Key, Supply, joint_form
from partsolver.solve.fleet.relax import Relaxed, prices_of, relaxed, worth_of
from partsolver.solve.fleet.whole import chosen

# Rounds of prices, plans asked of a class in each, and plans of a class that may close the last gap.
MOST_ROUNDS, WANTED, MOST_CLOSING = 60, 4, 4000
# Rounding of prices to whole millionths: what a column must be worth more than its class (SCALE), and what the
# bound may lie off (units of the goal, per PC and altogether).
NOTHING_MORE, ROUNDING = 20, 1e-4

Progress = Callable[[str], None]


@record
class Reached:
    """A goal reached: its value and proven bound (both as maximised), and the choice by the form's keys."""

    value: int
    bound: int
    values: Mapping[Key, int]


class Generator:
    """The columns known of each class, growing goal by goal."""

    def __init__(
        self,
        supply: Supply,
        columns: Sequence[Sequence[Column]],
        bundled: Sequence[Goods],
        ask: Ask,
        limits: Limits,
        progress: Progress,
    ) -> None:
        self.supply, self.bundled, self.ask = supply, tuple(bundled), ask
        self.limits, self.progress = limits, progress
        self.columns = [dict.fromkeys(sorted(listed, key=lambda c: c.order)) for listed in columns]
        self.values: Mapping[Key, int] = {}

    def form(self, fixed: Sequence[Fixed], goal: Measured | None) -> Form:
        """The joint choice among the columns known, in their total order."""
        listed = [sorted(found, key=lambda c: c.order) for found in self.columns]
        return joint_form(self.supply, listed, self.bundled, fixed, goal)

    def reach(self, fixed: Sequence[Fixed], goal: Measured | None) -> Reached:
        """The best value of a goal among what the fixed ones leave."""
        best, found, form = self._relax(fixed, goal)
        bound = floor(best + ROUNDING)
        choice = chosen(form, self.limits, self.values)
        while choice.values and choice.value < bound:
            more, whole = self._closing(fixed, goal, form, found, best - choice.value - 1)
            if not more:
                if whole:
                    bound = min(bound, choice.bound)
                break
            self.progress(f"{sum(map(len, self.columns))} plans to choose from")
            form = self.form(fixed, goal)
            choice = chosen(form, self.limits, choice.values)
            if not whole:
                break
        if not choice.values:
            raise NotDecided("how the stock is best shared among the PCs")
        self.values = choice.values
        return Reached(choice.value, max(bound, choice.value), choice.values)

    def _relax(self, fixed: Sequence[Fixed], goal: Measured | None) -> tuple[float, Relaxed, Form]:
        """The least bound of all rounds, the last relaxation, and its form."""
        best = float("inf")
        for number in range(MOST_ROUNDS):
            form = self.form(fixed, goal)
            found = relaxed(form)
            self.progress(f"round {number + 1} of prices, {sum(map(len, self.columns))} plans")
            prices, worth = prices_of(form, found, self.supply), worth_of(goal, fixed, found)
            answers = self.ask(
                [
                    Question(i, worth, prices, found.of_class(i) + NOTHING_MORE, WANTED)
                    for i in range(len(self.columns))
                ]
            )
            above = found.value
            new = 0
            for i, (plans, _) in enumerate(answers):
                for _, column in plans:
                    new += column not in self.columns[i]
                    self.columns[i][column] = None
                if plans:
                    above += self.supply.sizes[i] * max(0, plans[0][0] - found.of_class(i)) / SCALE
            best = min(best, above)
            if not new or above - found.value < ROUNDING:
                break
        return best, found, form

    def _closing(
        self,
        fixed: Sequence[Fixed],
        goal: Measured | None,
        form: Form,
        found: Relaxed,
        within: float,
    ) -> tuple[int, bool]:
        """How many columns were added whose worth is within the gap, and whether these are all."""
        prices, worth = prices_of(form, found, self.supply), worth_of(goal, fixed, found)
        allowance = int(max(0.0, within) * SCALE) + 2 * NOTHING_MORE
        answers = self.ask(
            [
                Question(i, worth, prices, found.of_class(i) - allowance, MOST_CLOSING)
                for i in range(len(self.columns))
            ]
        )
        new, whole = 0, True
        for i, (plans, complete) in enumerate(answers):
            whole = whole and complete
            for _, column in plans:
                new += column not in self.columns[i]
                self.columns[i][column] = None
        return new, whole
