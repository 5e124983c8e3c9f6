"""A plain best-first search for the first plans. It proposes: what a person sees is decided by CP-SAT as
well, and the two are compared (solve/agreement.py).

Rows (search/rows.py) are looked at in the order of their lower bounds; what a rule says of some parts is
remembered, so most rows cost a few dictionary look-ups. A search ends when no row left can be better, or at a
limit on its work, and says which (`Found.exhausted`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from heapq import heappop, heappush
from typing import NamedTuple

import numpy as np

from partsolver.base.quantities import FAR
from partsolver.base.records import record
from partsolver.plan.draft import Draft
from partsolver.plan.identity import identity
from partsolver.plan.steps import step_end, step_of, steps_of
from partsolver.search.allowances import (
    AMPLE_PERCENT,
    FIRST_COST_WIDTH,
    MOST_FASTER,
    MOST_FIRST,
    MOST_TIMES_LEAST,
    Key,
    Money,
    Value,
)
from partsolver.search.bounds import Array
from partsolver.search.rows import Row, Rows
from partsolver.search.shortlist import Found, Frontier, Goals, Shortlist
from partsolver.search.ways import FIRST_ASKED, MOST_ASKED_AT_ONCE, Ways


class Waiting(NamedTuple):
    """A bound that waits for its turn: of one way to fill the other slots of a row (``close``), or of this
    way and all that come after it."""

    bound: Goals
    row: Row
    way: int
    close: bool


class _Queue:
    """Rows by rising bound, and what waits once more with a closer bound: the least bound of all comes
    first. What the rules need beside rows is asked of a few at once (`Ways.asked`), when the turn comes to
    the first of them."""

    def __init__(self, rows: Rows, first: Array, second: Array, ask: Callable[[Rows], list[Row]]) -> None:
        order = np.lexsort((second, first))
        self._rows, self._ask = rows.selected(order), ask
        self._first, self._second = first[order], second[order]
        self._place, self._many = 0, FIRST_ASKED
        self._waiting: list[Waiting] = []

    def wait(self, bound: Goals, row: Row, way: int, close: bool) -> None:
        heappush(self._waiting, Waiting(bound, row, way, close))

    def pop(self, value: Value) -> Waiting | None:
        """What has the least bound; None when nothing waits any more. ``value``: the goals of a time and a
        cost."""
        while self._place < len(self._first) and (
            not self._waiting
            or self._waiting[0].bound > (self._first[self._place], self._second[self._place])
        ):
            some = slice(self._place, self._place + self._many)
            for row in self._ask(self._rows.selected(some)):
                self.wait(value(row.time_ppm, row.cost), row, 0, False)
            self._place, self._many = some.stop, min(2 * self._many, MOST_ASKED_AT_ONCE)
        return heappop(self._waiting) if self._waiting else None


class Search(Ways):
    """One search over the rows of a pool."""

    @property
    def parted(self) -> Sequence[Search]:
        """The searches that share the work (search/by_card.py)."""
        return (self,)

    def in_turn(self, searches: Sequence[Search]) -> Iterator[Search]:
        """Some of them one after the other, each with the limits that are left."""
        drafted = looked = tried = 0
        for search in searches:
            search.rest()
            search.most_time = min(search.most_time, self.most_time)
            search.drafted, search.looked, search.tried = drafted, looked, tried
            yield search
            drafted, looked, tried = search.drafted, search.looked, search.tried

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
            rows = self._rows_of(number, self.most_time, most)
            for row in self.asked(rows.selected(np.argsort(rows.cost, kind="stable")[:MOST_FIRST])):
                draft = self._draft(row, self.most_time)
                if draft is not None or self.spent:
                    return draft
        return None

    def fastest(self, known: Draft | None = None) -> Found:
        """The plan that takes the least time; ``known``: a plan that is one (else those bought before a part
        went, `search_without`, tell one).

        Processors by the least time of any row with them, of each its rows by time, of each its ways to fill
        the other slots: what is no faster than the best so far is left out by its bound.
        """
        told = [draft for search in self.parted for draft in search.bought()] if known is None else [known]
        if told:
            return self._faster_than(min(told, key=lambda draft: draft.time_ppm))
        best = self.anything()
        self.rest()
        return self._faster(best)

    def _faster(self, best: Draft | None) -> Found:
        """The plan that takes the least time, or a known one where there is no faster."""
        columns = self.columns
        whole = True
        for number in self._by_time():
            most = self.most_time if best is None else best.time_ppm - 1
            if columns.cpu_bound[number] > most or self.spent:
                break
            rows = self._rows_of(number, most, self.most_cost)
            for row in self._asked_in_order(rows.selected(np.lexsort((rows.cost, rows.time_ppm)))):
                most = most if best is None else best.time_ppm - 1
                if self.spent or row.time_ppm > most:
                    break
                draft, all_ways = self._fastest_way(row, most)
                best, whole = draft or best, whole and all_ways
        return Found(() if best is None else (best,), whole and not self.spent)

    def _faster_than(self, best: Draft) -> Found:
        """The same where a plan is known that is hardly beaten: of the few rows that may be faster."""
        rows = self.rows_within(min(self.most_time, best.time_ppm - 1), self.most_cost)
        if rows is None or len(rows) > MOST_FASTER:
            return self._faster(best)
        whole = True
        for row in self._asked_in_order(rows.selected(np.lexsort((rows.cost, rows.time_ppm)))):
            if self.spent or row.time_ppm >= best.time_ppm:
                break
            draft, all_ways = self._fastest_way(row, best.time_ppm - 1)
            best, whole = draft or best, whole and all_ways
        return Found((best,), whole and not self.spent)

    def _rows_of(self, number: int, most_time: int, most_cost: int) -> Rows:
        """The rows of a processor within the bounds, however many they are."""
        rows = self.columns.rows_of([number], most_time, most_cost, self._above)
        assert rows is not None  # there is no limit
        return rows

    def _by_time(self) -> list[int]:
        bounds = self.columns.cpu_bound
        return [int(i) for i in np.argsort(bounds, kind="stable") if bounds[i] <= self.most_time]

    def best(self, least_ppm: int, resolution: Fraction, wanted: int) -> Found:
        """Plans of different choices, those of few steps above the least time and of low cost first;
        ``wanted`` at most."""

        def value(time: int, cost: int) -> Goals:
            return step_of(max(time, least_ppm), least_ppm, resolution), cost

        found = Shortlist(wanted, value)
        whole = self._add_best(found, least_ppm, resolution)
        return Found(found.wanted_drafts(), whole)

    def _add_best(self, found: Shortlist, least_ppm: int, resolution: Fraction) -> bool:
        """Add the first plans of these rows by step and cost to those found; whether none that is wanted is
        left out."""
        width, cheapest = 0, self.columns.cheapest(min(self.most_time, step_end(least_ppm, resolution, 0)))
        money = Money(cheapest, self.most_cost, lambda own: 3 * own)
        while True:
            end = step_end(least_ppm, resolution, width)
            if end > MOST_TIMES_LEAST * least_ppm:
                end = FAR  # the few rows beyond are looked at at once
            most, last = min(self.most_time, end), width if end < self.most_time else FAR
            # In the first step only the cost counts: a little more money each time. Later all of it.
            most_cost = money.limit(found.money) if width == 0 else self.most_cost
            rows = self.rows_within(most, most_cost)
            if rows is None:
                if width == 0 and money.narrow(most_cost):
                    continue
                return False
            self.bounds.most_cost = most_cost
            steps = steps_of(rows.time_ppm, least_ppm, resolution)
            if not self._look(_Queue(rows, steps, rows.cost, self.asked), last, found):
                return False
            everything = most >= self.most_time and most_cost >= self.most_cost
            # Left to look at: what costs more, in any step; or, where all money was looked at, later steps.
            # (A plan beside another graphics card may be known that costs more than was looked at here.)
            if everything or not found.any_beyond(
                (0, most_cost) if most_cost < self.most_cost else (last, FAR)
            ):
                return True
            if most_cost == self.most_cost:
                width = 2 * width + 1
            elif not money.widen():
                return False

    def cheap(self, wanted: int) -> Found:
        """Plans of different choices, the cheapest first and of those the fastest; ``wanted`` at most."""

        def value(time: int, cost: int) -> Goals:
            return cost, time

        found = Shortlist(wanted, value, by_cost=True)
        whole = self._add_cheap(found)
        return Found(found.wanted_drafts(), whole)

    def _add_cheap(self, found: Shortlist) -> bool:
        """The same by cost and time."""
        # Below the least cost of any row there is nothing: the windows begin there.
        start = self.columns.cheapest(self.most_time)
        if found.worst is not None and found.worst[0] < start:
            return True
        money = Money(start, self.most_cost, lambda own: own + max(FIRST_COST_WIDTH, own // 2))
        while True:
            most = money.limit(found.money)
            rows = self.rows_within(self.most_time, most)
            if rows is None:
                if money.narrow(most):
                    continue
                return False
            self.bounds.most_cost = most
            if not self._look(_Queue(rows, rows.cost, rows.time_ppm, self.asked), most, found):
                return False
            if most >= self.most_cost or not found.any_beyond((most, FAR)):
                return True
            if not money.widen():
                return False

    def _look(self, queue: _Queue, end: int, found: Shortlist) -> bool:
        """Add the plans of rows to those found, the best bound first; whether it came to its end.

        ``queue``: the rows with the bounds of their two goals, all up to ``end`` of the first.

        1. The least bound that waits is taken. When it lies beyond ``end``, or beyond the last of the wanted
           plans, no row and no way left can be among them: the end (it goes on waiting for another look).
        2. A bound of a way and all later ones of its row is brought nearer (`_nearer`).
        3. A bound of a way alone that still holds is settled: the way is bought and judged (`_settle`).

        Invariant: every plan of these rows that is not found, and whose choice is not found for less, lies at
        or above some bound that waits. Each step takes one bound away and puts back bounds that are no lower
        and under which all plans of the one taken lie; so the least bound never falls, and what ends the
        search ends it for all.
        """

        while not self.spent:
            taken = queue.pop(found.value)
            if taken is None:
                return True
            if taken.bound[0] > end or (found.worst is not None and found.worst < taken.bound):
                queue.wait(*taken)
                return True
            if found.beats(taken.bound):
                continue
            self.bounds.most_cost = min(self.bounds.most_cost, found.money)
            if taken.close:
                self._settle(taken, queue, found)
            else:
                self._nearer(taken, queue, found)
        return False

    def _nearer(self, taken: Waiting, queue: _Queue, found: Shortlist) -> None:
        """Put a closer bound in the place of that of a way and all later ones of its row.

        The way waits on its own with its close bound, the later ones with what they cost at least. What costs
        more than is to be spent now does not wait: no plan of it would be taken (`_settle`).
        """
        row, number, most = taken.row, taken.way, min(self.bounds.most_cost, FAR - 1)
        way = self._way(row, number)
        if way is not None and way[1] <= self.most_time and way[0] <= most:
            queue.wait(found.value(way[1], way[0]), row, number, True)
        floor = self._bound(row, number + 1)
        if floor <= most:
            queue.wait(found.value(row.time_ppm, floor), row, number + 1, False)

    def _settle(self, taken: Waiting, queue: _Queue, found: Shortlist) -> None:
        """Buy and judge the way whose close bound comes first, and take its plan where it is the best of its
        choice. (With less money left its bound may have risen: then it waits again.)"""
        row = taken.row
        way = self._way(row, taken.way)
        if way is None:
            return
        if found.value(way[1], way[0]) > taken.bound:
            queue.wait(found.value(way[1], way[0]), row, taken.way, True)
            return
        choice = identity(self._parts(row.key, way[2]))
        if found.knows(choice, taken.bound):
            return  # the same choice is known for no more: this one needs not be bought and judged
        most = found.most_cost(choice, way[1], self.bounds.most_cost)
        draft = self._drafted(row.key, way, most)
        if draft is not None and draft.time_ppm <= self.most_time:
            found.add(choice, draft)


@record
class Point:
    """The next point of a trade-off as a search has it: its limits of time and cost, the plan (none: there is
    none within them), and of each of the searches that share the work the rows that may have a plan within
    the limits."""

    most_time: int
    most_cost: int
    found: Found
    rows: tuple[Rows, ...]


class Walk:
    """One search along the plans that no other beats on both cost and time, by rising cost: what waits stays,
    so that each point begins where the one before ended, and what is slower than a plan for less is never
    looked at."""

    def __init__(self, search: Search) -> None:
        self.search, self._found = search, Frontier(search.most_time)
        self._legs = [_Leg(part, self._found) for part in search.parted]

    def next_point(self, most_time: int) -> Point:
        """The cheapest plan within a time, and of those the fastest; the times fall from point to point."""
        search, found = self.search, self._found
        search.most_time = most_time
        found.look_within(most_time)
        whole = [leg.go() for leg, _ in zip(self._legs, search.in_turn(search.parted), strict=True)]
        first = found.first
        most_cost = search.most_cost if first is None else first.cost
        rows = tuple(leg.open_rows(most_cost) for leg in self._legs) if all(whole) else ()
        return Point(most_time, most_cost, Found(() if first is None else (first,), all(whole)), rows)


class _Leg:
    """The walk of one search: looked at up to so much money, and what waits there."""

    def __init__(self, search: Search, found: Frontier) -> None:
        self._search, self._found = search, found
        self._most, self._width = search.columns.cheapest(search.most_time) - 1, FIRST_COST_WIDTH
        self._queue: _Queue | None = None
        # Rows that neither the rules nor the money refuse.
        self._asked: dict[Key, Row] = {}

    def go(self) -> bool:
        """Look on until the first plan within the time is known; whether it came to its end."""
        search, found = self._search, self._found
        while True:
            if self._queue is not None:
                search.bounds.most_cost = self._most
                if not search._look(self._queue, self._most, found):
                    return False
                if not found.any_beyond((self._most, FAR)):
                    self._width = FIRST_COST_WIDTH
                    return True
                if self._most >= search.most_cost:
                    return True
            if not self._widen():
                return False

    def _widen(self) -> bool:
        """Look at more money; False where there are too many rows to look at."""
        search, found = self._search, self._found
        most = min(search.most_cost, self._most + self._width)
        rows = search.rows_within(found.most_time, most)
        if rows is None:
            return False
        rows = rows.selected(found.open_rows(rows))
        self._most, self._width = most, self._width + self._width // 2
        self._queue = _Queue(rows, rows.cost, rows.time_ppm, self._ask)
        return True

    def _ask(self, rows: Rows) -> list[Row]:
        asked = self._search.asked(rows.selected(self._found.open_rows(rows)))
        self._asked.update((row.key, row) for row in asked)
        return asked

    def open_rows(self, most_cost: int) -> Rows:
        """The rows that may have a plan within the time and a cost, as far as was looked."""
        search, most_time = self._search, self._found.most_time
        self._asked = {key: row for key, row in self._asked.items() if row.time_ppm <= most_time}
        most_cost = min(most_cost, FAR - 1)
        search.bounds.most_cost = self._most
        return search.open_among(self._asked.values(), most_time, most_cost)
