"""A plain search for a few good plans. They only steer the pruning (an upper bound) and are never shown.

Rows (search/rows.py) are looked at in the order of their lower bounds; what a rule says of some parts is
remembered, so most rows cost a few dictionary look-ups. The search ends when no row left can be better, or at
a limit on its work: then the bound is weaker and the model has more to prove, but nothing is lost.
"""

from __future__ import annotations

from fractions import Fraction
from heapq import heappop, heappush
from typing import Any

import numpy as np

from partsolver.plan.draft import Draft
from partsolver.plan.identity import identity
from partsolver.plan.steps import step_end, step_of, steps_of
from partsolver.search.allowances import (
    AMPLE_PERCENT,
    FIRST_COST_WIDTH,
    MOST_FIRST,
    Value,
    worst_of_wanted,
)
from partsolver.search.pool import FAR
from partsolver.search.rows import Rows
from partsolver.search.ways import Ways


class Search(Ways):
    """One search over the rows of a pool."""

    def anything(self) -> Draft | None:
        """Some plan, if one is found: the cheapest ways to the processors are tried, the fastest processor
        first; those that leave little money for what else a plan needs last."""
        columns = self.columns
        # False before True, and the fastest first among each.
        order = sorted(
            self._by_time(),
            key=lambda number: columns.least_cost(number) > AMPLE_PERCENT * self.most_cost // 100,
        )
        for number in order:
            most = min(self.most_cost, columns.least_cost(number) + FIRST_COST_WIDTH)
            rows = columns.of_cpu(number, self.most_time, most, self._open_boards)
            for key, _, cost in rows.first(np.argsort(rows.cost, kind="stable")[:MOST_FIRST]):
                draft = self._draft(key, cost, self.most_time)
                if draft is not None or self.spent:
                    return draft
        return None

    def fastest(self) -> Draft | None:
        """The fastest plan found; the true one unless the search is spent."""
        columns = self.columns
        best = self.anything()
        self.rest()
        for number in self._by_time():
            most = self.most_time if best is None else best.time_ppm - 1
            if columns.cpu_bound[number] > most or self.spent:
                break
            rows = columns.of_cpu(number, most, self.most_cost, self._open_boards)
            for key, time, cost in rows.first(np.lexsort((rows.cost, rows.time_ppm))):
                if self.spent or (best is not None and time >= best.time_ppm):
                    break
                draft = self._draft(key, cost, most if best is None else best.time_ppm - 1)
                best = draft or best
        return best

    def _by_time(self) -> list[int]:
        bounds = self.columns.cpu_bound
        return [int(i) for i in np.argsort(bounds, kind="stable") if bounds[i] <= self.most_time]

    def best(self, least_ppm: int, resolution: Fraction, wanted: int) -> list[Draft]:
        """Different plans, those of few steps above the least time and of low cost first; ``wanted`` at
        most."""

        def value(time: int, cost: int) -> tuple[int, int]:
            return step_of(max(time, least_ppm), least_ppm, resolution), cost

        found: dict[Any, Draft] = {}
        width, money = 0, self.columns.cheapest(min(self.most_time, step_end(least_ppm, resolution, 0)))
        more = FIRST_COST_WIDTH
        while not self.spent:
            end = step_end(least_ppm, resolution, width)
            most, last = min(self.most_time, end), width if end < self.most_time else FAR
            # In the first step only the cost counts: a little more money each time. Later all of it.
            most_cost = min(self.most_cost, money + more) if width == 0 else self.most_cost
            rows = self.columns.within(most, most_cost)
            if rows is None:
                break
            self.bounds.most_cost = most_cost
            self._look(
                rows,
                (steps_of(rows.time_ppm, least_ppm, resolution), rows.cost),
                last,
                value,
                wanted,
                found,
                False,
            )
            if len(found) >= wanted or (most >= self.most_time and most_cost >= self.most_cost):
                break
            if most_cost < self.most_cost:
                more *= 3
            else:
                width = 2 * width + 1
        return sorted(found.values(), key=lambda d: value(d.time_ppm, d.cost))[:wanted]

    def cheap(self, wanted: int, start: int = 0) -> list[Draft]:
        """Different plans, the cheapest first; ``wanted`` at most. ``start``: no plan costs less."""

        def value(time: int, cost: int) -> tuple[int, int]:
            return cost, time

        found: dict[Any, Draft] = {}
        width = FIRST_COST_WIDTH
        while not self.spent:
            most = min(self.most_cost, start + width)
            rows = self.columns.within(self.most_time, most)
            if rows is None:
                break
            self.bounds.most_cost = most
            self._look(rows, (rows.cost, rows.time_ppm), most, value, wanted, found, True)
            if len(found) >= wanted or most >= self.most_cost:
                break
            width *= 3
        return sorted(found.values(), key=lambda d: value(d.time_ppm, d.cost))[:wanted]

    def _look(
        self,
        rows: Rows,
        bounds: tuple[Any, Any],
        end: int,
        value: Value,
        wanted: int,
        found: dict[Any, Draft],
        by_cost: bool,
    ) -> None:
        """Add the plans of rows to those found, the best bound first, until no row left can be among the
        first ``wanted``.

        ``value``: the two goals of a time and a cost (``by_cost``: cost is the first); ``bounds``: those of
        the rows, which are all up to ``end`` of the first goal. A row waits once more with the close bound of
        each way to fill its other slots, so that only ways that come first by that are bought and judged.
        """
        order = np.lexsort((bounds[1], bounds[0]))
        listed, times, costs = order.tolist(), rows.time_ppm.tolist(), rows.cost.tolist()
        firsts, seconds = bounds[0][order].tolist(), bounds[1][order].tolist()
        # (bound, row, way, whether the bound is that of the way itself and not of this and all later ones)
        waiting: list[tuple[tuple[int, int], int, int, bool]] = []
        place = 0
        worst = worst_of_wanted(found, wanted, value)
        while not self.spent:
            while place < len(listed) and self._pair(*rows.keys[listed[place]][:2]) >= FAR:
                place += 1
            unseen = (firsts[place], seconds[place]) if place < len(listed) else None
            if waiting and (unseen is None or waiting[0][0] <= unseen):
                bound, row, number, close = heappop(waiting)
            elif unseen is not None:
                bound, row, number, close = unseen, listed[place], 0, False
                place += 1
            else:
                return
            if bound[0] > end:
                return
            if worst is not None:
                if worst < bound:
                    return
                if by_cost or worst[0] == 0:
                    # No wanted plan costs more (in the first step of time only the cost counts).
                    self.bounds.most_cost = min(self.bounds.most_cost, worst[0] if by_cost else worst[1])
            if not close:
                floor = self._bound(rows.keys[row], costs[row], number)
                if floor > self.most_cost or floor >= FAR:
                    continue
                nearer = value(times[row], floor)
                if nearer > bound:
                    heappush(waiting, (nearer, row, number, False))
                    continue
                way = self._way(rows.keys[row], number)
                if way is not None and way[1] <= self.most_time:
                    heappush(waiting, (value(way[1], way[0]), row, number, True))
                heappush(waiting, (bound, row, number + 1, False))
                continue
            way = self._way(rows.keys[row], number)
            if way is not None and value(way[1], way[0]) > bound:
                heappush(waiting, (value(way[1], way[0]), row, number, True))
                continue
            if way is None:
                continue
            key = identity(self._parts(rows.keys[row], way[2]))
            known = found.get(key)
            if known is not None and value(known.time_ppm, known.cost) <= bound:
                continue  # the same choice is known for no more: this one needs not be bought and judged
            draft = self._drafted(rows.keys[row], way[2])
            if draft is None or draft.time_ppm > self.most_time:
                continue
            if known is None or value(draft.time_ppm, draft.cost) < value(known.time_ppm, known.cost):
                found[key] = draft
                worst = worst_of_wanted(found, wanted, value)
