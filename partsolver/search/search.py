"""A plain best-first search for the first plans. It proposes: what a person sees is decided by CP-SAT as
well, and the two are compared (solve/agreement.py).

Rows (search/rows.py) are looked at in the order of their lower bounds; what a rule says of some parts is
remembered, so most rows cost a few dictionary look-ups. A search ends when no row left can be better, or at a
limit on its work, and says which (`Found.exhausted`).
"""

from __future__ import annotations

from fractions import Fraction
from heapq import heappop, heappush

import numpy as np

from partsolver.base.records import record
from partsolver.plan.draft import Draft
from partsolver.plan.identity import identity
from partsolver.plan.steps import step_end, step_of, steps_of
from partsolver.search.allowances import (
    AMPLE_PERCENT,
    FIRST_COST_WIDTH,
    MOST_FIRST,
)
from partsolver.search.bounds import Array
from partsolver.search.pool import FAR
from partsolver.search.rows import Rows
from partsolver.search.shortlist import Found, Goals, Shortlist
from partsolver.search.ways import Ways

# Times the least time from which on the steps are not widened any more but all rows are looked at.
MOST_TIMES_LEAST = 8


@record
class Waiting:
    """A bound that waits for its turn: of one way to fill the other slots of a row (``close``), or of this
    way and all that come after it."""

    bound: Goals
    row: int
    way: int
    close: bool


class _Queue:
    """Rows by rising bound, and what waits once more with a closer bound: the least bound of all comes
    first."""

    def __init__(self, rows: Rows, first: Array, second: Array) -> None:
        order = np.lexsort((second, first))
        self._rows: list[int] = order.tolist()
        self._bounds = list(zip(first[order].tolist(), second[order].tolist(), strict=True))
        self._place = 0
        self._waiting: list[tuple[Goals, int, int, bool]] = []

    def wait(self, bound: Goals, row: int, way: int, close: bool) -> None:
        heappush(self._waiting, (bound, row, way, close))

    def pop(self) -> Waiting | None:
        """What has the least bound; None when nothing waits any more."""
        unseen = self._bounds[self._place] if self._place < len(self._rows) else None
        if self._waiting and (unseen is None or self._waiting[0][0] <= unseen):
            return Waiting(*heappop(self._waiting))
        if unseen is None:
            return None
        self._place += 1
        return Waiting(unseen, self._rows[self._place - 1], 0, False)


class Search(Ways):
    """One search over the rows of a pool."""

    def anything(self) -> Draft | None:
        """Some plan, if one is found: the cheapest ways to the processors are tried, the fastest processor
        first; those that leave little money for what else a plan needs last. That none is found proves
        nothing."""
        columns = self.columns
        # False before True, and the fastest first among each.
        order = sorted(
            self._by_time(),
            key=lambda number: columns.least_cost(number) > AMPLE_PERCENT * self.most_cost // 100,
        )
        for number in order:
            most = min(self.most_cost, columns.least_cost(number) + FIRST_COST_WIDTH)
            rows = columns.rows_of_cpu(number, self.most_time, most, self._open_boards)
            for key, _, cost in rows.in_order(np.argsort(rows.cost, kind="stable")[:MOST_FIRST]):
                draft = self._draft(key, cost, self.most_time)
                if draft is not None or self.spent:
                    return draft
        return None

    def fastest(self) -> Found:
        """The plan that takes the least time.

        Processors by the least time of any row with them, of each its rows by time, of each its ways to fill
        the other slots: what is no faster than the best so far is left out by its bound.
        """
        columns = self.columns
        best = self.anything()
        self.rest()
        whole = True
        for number in self._by_time():
            most = self.most_time if best is None else best.time_ppm - 1
            if columns.cpu_bound[number] > most or self.spent:
                break
            rows = columns.rows_of_cpu(number, most, self.most_cost, self._open_boards)
            for key, time, cost in rows.in_order(np.lexsort((rows.cost, rows.time_ppm))):
                most = most if best is None else best.time_ppm - 1
                if self.spent or time > most:
                    break
                draft, all_ways = self._fastest_way(key, time, cost, most)
                best, whole = draft or best, whole and all_ways
        return Found(() if best is None else (best,), whole and not self.spent)

    def _by_time(self) -> list[int]:
        bounds = self.columns.cpu_bound
        return [int(i) for i in np.argsort(bounds, kind="stable") if bounds[i] <= self.most_time]

    def best(self, least_ppm: int, resolution: Fraction, wanted: int) -> Found:
        """Plans of different choices, those of few steps above the least time and of low cost first;
        ``wanted`` at most."""

        def value(time: int, cost: int) -> Goals:
            return step_of(max(time, least_ppm), least_ppm, resolution), cost

        found = Shortlist(wanted, value)
        width, money = 0, self.columns.cheapest(min(self.most_time, step_end(least_ppm, resolution, 0)))
        more = FIRST_COST_WIDTH
        while True:
            end = step_end(least_ppm, resolution, width)
            if end > MOST_TIMES_LEAST * least_ppm:
                end = FAR  # the few rows beyond are looked at at once
            most, last = min(self.most_time, end), width if end < self.most_time else FAR
            # In the first step only the cost counts: a little more money each time. Later all of it.
            most_cost = min(self.most_cost, money + more) if width == 0 else self.most_cost
            rows = self.rows_within(most, most_cost)
            if rows is None:
                return Found(found.wanted_drafts(), False)
            self.bounds.most_cost = most_cost
            steps = steps_of(rows.time_ppm, least_ppm, resolution)
            if not self._look(_Queue(rows, steps, rows.cost), rows, last, found, False):
                return Found(found.wanted_drafts(), False)
            everything = most >= self.most_time and most_cost >= self.most_cost
            if everything or not found.any_beyond((last, most_cost if width == 0 else FAR)):
                return Found(found.wanted_drafts(), True)
            if most_cost < self.most_cost:
                more *= 3
            else:
                width = 2 * width + 1

    def cheap(self, wanted: int, start: int = 0) -> Found:
        """Plans of different choices, the cheapest first and of those the fastest; ``wanted`` at most.
        ``start``: no plan costs less."""

        def value(time: int, cost: int) -> Goals:
            return cost, time

        found = Shortlist(wanted, value)
        width = FIRST_COST_WIDTH
        # Below the least cost of any row there is nothing: the windows begin there.
        start = max(start, self.columns.cheapest(self.most_time))
        while True:
            most = min(self.most_cost, start + width)
            rows = self.rows_within(self.most_time, most)
            if rows is None:
                return Found(found.wanted_drafts(), False)
            self.bounds.most_cost = most
            if not self._look(_Queue(rows, rows.cost, rows.time_ppm), rows, most, found, True):
                return Found(found.wanted_drafts(), False)
            if most >= self.most_cost or not found.any_beyond((most, FAR)):
                return Found(found.wanted_drafts(), True)
            width *= 3

    def _look(self, queue: _Queue, rows: Rows, end: int, found: Shortlist, by_cost: bool) -> bool:
        """Add the plans of rows to those found, the best bound first; whether it came to its end.

        ``queue``: the rows with the bounds of their two goals, all up to ``end`` of the first; ``by_cost``:
        the first goal is the cost.

        1. The least bound that waits is taken. When it lies beyond ``end``, or beyond the last of the wanted
           plans, no row and no way left can be among them: the end.
        2. A bound of a way and all later ones of its row is brought nearer (`_nearer`).
        3. A bound of a way alone that still holds is settled: the way is bought and judged (`_settle`).

        Invariant: every plan of these rows that is not found, and whose choice is not found for less, lies at
        or above some bound that waits. Each step takes one bound away and puts back bounds that are no lower
        and under which all plans of the one taken lie; so the least bound never falls, and what ends the
        search ends it for all.
        """
        while not self.spent:
            taken = queue.pop()
            if taken is None or taken.bound[0] > end:
                return True
            if found.worst is not None:
                if found.worst < taken.bound:
                    return True
                if by_cost or found.worst[0] == 0:
                    # No wanted plan costs more (in the first step of time only the cost counts).
                    most = found.worst[0] if by_cost else found.worst[1]
                    self.bounds.most_cost = min(self.bounds.most_cost, most)
            if taken.close:
                self._settle(taken, rows, queue, found)
            else:
                self._nearer(taken, rows, queue, found)
        return False

    def _nearer(self, taken: Waiting, rows: Rows, queue: _Queue, found: Shortlist) -> None:
        """Put a closer bound in the place of that of a way and all later ones of its row.

        Where what the rules need beside the row makes it dearer, the same waits with that; else the way waits
        on its own with its close bound, and the later ones with the bound that was taken.
        """
        key, time = rows.keys[taken.row], int(rows.time_ppm[taken.row])
        floor = self._bound(key, int(rows.cost[taken.row]), taken.way)
        if floor > self.most_cost or floor >= FAR:
            return  # neither this way nor a later one: they cost no less
        nearer = found.value(time, floor)
        if nearer > taken.bound:
            queue.wait(nearer, taken.row, taken.way, False)
            return
        way = self._way(key, taken.way)
        if way is not None and way[1] <= self.most_time:
            queue.wait(found.value(way[1], way[0]), taken.row, taken.way, True)
        queue.wait(taken.bound, taken.row, taken.way + 1, False)

    def _settle(self, taken: Waiting, rows: Rows, queue: _Queue, found: Shortlist) -> None:
        """Buy and judge the way whose close bound comes first, and take its plan where it is the best of its
        choice. (With less money left its bound may have risen: then it waits again.)"""
        key = rows.keys[taken.row]
        way = self._way(key, taken.way)
        if way is None:
            return
        if found.value(way[1], way[0]) > taken.bound:
            queue.wait(found.value(way[1], way[0]), taken.row, taken.way, True)
            return
        choice = identity(self._parts(key, way[2]))
        if found.knows(choice, taken.bound):
            return  # the same choice is known for no more: this one needs not be bought and judged
        draft = self._drafted(key, way[2])
        if draft is not None and draft.time_ppm <= self.most_time:
            found.add(choice, draft)
