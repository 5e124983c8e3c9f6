"""A plain search for a few good plans. They only steer the pruning (an upper bound) and are never shown.

Rows (search/rows.py) are looked at in the order of their lower bounds; what a rule says of some parts is remembered, so
most rows cost a few dictionary look-ups. The search ends when no row left can be better, or at a limit on its work:
then the bound is weaker and the model has more to prove, but nothing is lost.
"""

from __future__ import annotations

from collections.abc import Callable
from copy import copy
from dataclasses import replace
from fractions import Fraction
from heapq import heappop, heappush
from typing import Any

import numpy as np

from partsolver.performance.time import time_ppm
from partsolver.plan.complete import complete
from partsolver.plan.draft import Draft
from partsolver.plan.identity import identity
from partsolver.plan.steps import step_end, step_of, steps_of
from partsolver.problem.candidates import SLOTS, Candidate, Parts
from partsolver.problem.problem import Problem
from partsolver.search.bounds import Array
from partsolver.search.pool import FAR, REST, Pool
from partsolver.search.rests import Rests
from partsolver.search.rows import Columns, Rows
from partsolver.search.rule_memory import CostBound, Quick

# In one search: drafts bought and judged in full, ways that neither the rules nor money and time refuse, ways in all.
MOST_DRAFTS, MOST_LOOKS, MOST_TRIED = 60, 4_000, 40_000
# Rows that are asked whether the rules and the money refuse them, before only their bounds count.
MOST_ASKED = 20_000
# Ways to fill the slots of supply, case and drive that are asked of a row to refuse it.
MOST_WAYS = 12
# Minor units above the least cost up to which rows are looked at first.
FIRST_COST_WIDTH = 1000
# Part of the money up to which a processor with the cheapest board and memory is tried first.
AMPLE_PERCENT = 85
# Rows of a processor that are tried in the first pass.
MOST_FIRST = 20

# Least cost, time and parts of a way to fill the slots of cooler (any), supply, case and drive; the most money for which
# the cost is a bound (above it only tells that it is more).
Way = tuple[int, int, tuple[Candidate, ...], int]
Value = Callable[[int, int], tuple[int, int]]
# Numbers of a row's board, processor and memory.
Key = tuple[int, int, int]


class Search:
    """One search over the rows of a pool."""

    def __init__(self, pool: Pool, quick: Quick, most_time: int, most_cost: int) -> None:
        self.pool, self.quick = pool, quick
        self.most_time, self.most_cost = most_time, most_cost
        self.columns = Columns(pool)
        self.gone: str | None = None
        self.bounds = CostBound(pool, quick, most_cost)
        self.drafted = self.looked = self.tried = 0
        self._known_ways: dict[tuple[int, int, int], list[Way | None]] = {}
        self._drafts: dict[Any, Draft | None] = {}
        several = frozenset(s for s in SLOTS if len(pool.left[s]) > 1)
        fixed = self._fixed = frozenset(SLOTS) - several
        # Rules in rounds, so that the first refusal of a pair spares all rows with it.
        self._rounds = [fixed | {"board", "cpu"}, fixed | {"board", "cpu", "memory"}, frozenset(SLOTS) - {"cooler"}]
        self.rests = Rests(pool, quick, self.columns)
        self._floors: dict[tuple[int, int, int], int] = {}
        self._pairs: dict[tuple[int, int], int] = {}
        # What the candidates that nothing competes with need bought: part of their cost, and of what is asked of a row.
        self._own_needs = sum(pool.cost[c] - pool.price[c] for s in REST if s in fixed for c in pool.left[s])
        self._ask_memory(fixed)
        if len(self.rests.every) > 1:
            self.columns.raise_boards([self.rests.bound(board, 0) - pool.rest_cost() for board in range(len(self.columns.boards))])

    def _ask_memory(self, fixed: frozenset[str]) -> None:
        """Let the rows know which boards and memory the rules refuse together."""
        asked = [a for a in self.quick.rules if {"board", "memory"} <= set(a.rule.SLOTS) <= fixed | {"board", "memory"}]
        if not asked:
            return
        sees = {slot: [view for a in asked for place, view in a.views if SLOTS[place] == slot] for slot in ("board", "memory")}

        def goes(board: int, memory: int) -> bool:
            parts = self._parts((board, 0, memory), self.rests.every[0])
            kinds = self.quick.kinds(parts)
            return all(self.quick.cost(a, parts, kinds) < FAR for a in asked)

        self.columns.ask_memory(sees["board"], sees["memory"], goes)

    def without(self, part: str, problem: Problem) -> Search:
        """A new search without a board, processor or memory kit (``problem``: the same without it); what is known of all
        others stays known."""
        fewer = copy(self)
        fewer.columns, fewer.gone = self.columns.without(part), part
        fewer.pool = replace(self.pool, problem=problem)
        fewer.bounds = copy(self.bounds)
        fewer.rest()
        return fewer

    def rest(self) -> None:
        """Begin a new search with the full limit; what was found stays known."""
        self.bounds.most_cost = self.most_cost
        self.drafted = self.looked = self.tried = 0

    @property
    def spent(self) -> bool:
        """Whether the limit on the work is reached."""
        return self.drafted >= MOST_DRAFTS or self.looked >= MOST_LOOKS or self.tried >= MOST_TRIED

    def _parts(self, key: Key, rest: tuple[Candidate, ...]) -> Parts:
        columns = self.columns
        return Parts((columns.boards[key[0]], columns.cpus[key[1]], columns.memory[key[2]], *rest))

    def _pair(self, board: int, cpu: int) -> int:
        """The least cost of what a board and a processor need bought beside what is fixed; FAR when the rules refuse them."""
        known = self._pairs.get((board, cpu))
        if known is None:
            parts = Parts((self.columns.boards[board], self.columns.cpus[cpu], self.columns.memory[0], *self.rests.every[0]))
            known = self._pairs[board, cpu] = self.quick.least(parts, self._rounds[0])
        return known

    def _open_boards(self, boards: Array, cpu: int) -> Array:
        """Those of some boards that the rules let go with a processor, all asked at once."""
        columns, listed = self.columns, boards.tolist()
        new = {columns.boards[board]: board for board in listed if (board, cpu) not in self._pairs}
        if new:
            others = (columns.boards[0], columns.cpus[cpu], columns.memory[0], *self.rests.every[0])
            needs = self.quick.admitted(list(new), others, self._rounds[0], again=True)
            self._pairs.update(((board, cpu), needs.get(candidate, FAR)) for candidate, board in new.items())
        return np.array([board for board in listed if self._pairs[board, cpu] < FAR], dtype=np.int64)

    def _floor(self, key: Key) -> int:
        """What the goods of a row and all that the rules need beside them cost, above what fills the other slots; FAR
        when the rules refuse it."""
        found = self._floors.get(key)
        if found is None:
            needs = self._pair(key[0], key[1])
            if needs < FAR:
                needs += self.quick.least(self._parts(key, self.rests.every[0]), self._rounds[1], self._rounds[0])
                price, cost = (known[0][key[0]] + known[1][key[1]] + known[2][key[2]] for known in (self.columns.prices, self.columns.costs))
                needs = max(cost, price + needs - self._own_needs)
            found = self._floors[key] = min(FAR, needs)
        return found

    def _bound(self, key: Key, cost: int, number: int) -> int:
        """No plan of a row (``cost``: its own bound) with this way to fill the other slots, or one after it, costs less;
        FAR when there is none."""
        return min(FAR, max(cost, self._floor(key) + self.rests.bound(key[0], number)))

    def _way(self, key: Key, number: int) -> Way | None:
        """A way to fill the other slots of a row; None when the rules, the money or the time refuse it, or there is none."""
        known = self._known_ways.setdefault(key, [])
        while len(known) <= number:
            rest = self.rests.of(key[0], len(known))
            known.append(None if rest is None else self._find_way(key, rest[1]))
            self.tried += 1
            self.looked += known[-1] is not None
        way = known[number]
        if way is not None and (self.bounds.most_cost < way[3] or way[0] > way[3] < self.bounds.most_cost):
            # Its cost was bounded for other money than is to be spent now.
            way = known[number] = self._find_way(key, way[2])
        return way

    def _way_by(self, key: Key, number: int, most_time: int) -> Way | None:
        """The same for ways that take no longer (the time is told sooner than the cost)."""
        rest = self.rests.of(key[0], number)
        if rest is None or self._time(key, rest[1]) > most_time:
            return None
        return self._way(key, number)

    def _time(self, key: Key, rest: tuple[Candidate, ...]) -> int:
        time = self.columns.time(key)
        return time_ppm(self.pool.problem, self._parts(key, rest)) if time is None else time

    def _find_way(self, key: Key, rest: tuple[Candidate, ...]) -> Way | None:
        time = self._time(key, rest)
        if time > self.most_time:
            return None
        parts = self._parts(key, rest)
        least, most = self.bounds.least_cost(parts, self._rounds), self.bounds.most_cost
        return None if least >= FAR or least > self.most_cost == most else (min(least, most + 1), time, rest, most)

    def _drafted(self, key: Key, rest: tuple[Candidate, ...]) -> Draft | None:
        """The plan of a row and a way to fill its other slots."""
        if (key, rest) not in self._drafts:
            self.drafted += 1
            draft = complete(self.pool.problem, self._parts(key, rest), self.quick.every, self.quick.allowed, self.most_cost + 1)
            self._drafts[key, rest] = draft if draft is not None and self.quick.admits(draft) else None
        return self._drafts[key, rest]

    def _draft(self, key: Key, cost: int, most_time: int) -> Draft | None:
        """A plan of a row that is no slower, as far as was looked."""
        for number in range(MOST_WAYS):
            if self._bound(key, cost, number) > self.most_cost:
                break
            way = self._way_by(key, number, most_time)
            if way is not None:
                draft = self._drafted(key, way[2])
                if draft is not None:
                    return draft
        return None

    def open_rows(self, rows: Rows, most_time: int, most_cost: int) -> Any:
        """A mask of the rows that may have a plan within a time and a cost, as far as was looked."""
        mask = np.ones(len(rows), dtype=bool)
        self.bounds.most_cost = min(self.most_cost, most_cost)
        asked = 0
        for row, (key, cost) in enumerate(zip(rows.keys, rows.cost.tolist(), strict=True)):
            if key not in self._floors:
                if asked >= MOST_ASKED:
                    continue
                asked += 1
            mask[row] = self._is_open(key, cost, most_time, most_cost)
        return mask

    def _is_open(self, key: Key, cost: int, most_time: int, most_cost: int) -> bool:
        for number in range(MOST_WAYS):
            if self._bound(key, cost, number) > most_cost:
                return False
            way = self._way_by(key, number, most_time)
            if way is not None and way[0] <= most_cost:
                known = self._drafts.get((key, way[2]), self)
                if known is self or (known is not None and known.cost <= most_cost):  # type: ignore[union-attr]
                    return True
        return True

    def anything(self) -> Draft | None:
        """Some plan, if one is found: the cheapest ways to the processors are tried, the fastest processor first; those that
        leave little money for what else a plan needs last."""
        columns = self.columns
        # False before True, and the fastest first among each.
        order = sorted(self._by_time(), key=lambda number: columns.least_cost(number) > AMPLE_PERCENT * self.most_cost // 100)
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
        """Different plans, those of few steps above the least time and of low cost first; ``wanted`` at most."""

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
            self._look(rows, (steps_of(rows.time_ppm, least_ppm, resolution), rows.cost), last, value, wanted, found, False)
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
        self, rows: Rows, bounds: tuple[Any, Any], end: int, value: Value, wanted: int, found: dict[Any, Draft], by_cost: bool
    ) -> None:
        """Add the plans of rows to those found, the best bound first, until no row left can be among the first ``wanted``.

        ``value``: the two goals of a time and a cost (``by_cost``: cost is the first); ``bounds``: those of the rows, which are
        all up to ``end`` of the first goal. A row waits once more with the close bound of each way to fill its other slots,
        so that only ways that come first by that are bought and judged.
        """
        order = np.lexsort((bounds[1], bounds[0]))
        listed, times, costs = order.tolist(), rows.time_ppm.tolist(), rows.cost.tolist()
        firsts, seconds = bounds[0][order].tolist(), bounds[1][order].tolist()
        # (bound, row, way, whether the bound is that of the way itself and not of this and all later ones)
        waiting: list[tuple[tuple[int, int], int, int, bool]] = []
        place = 0
        worst = _worst(found, wanted, value)
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
                worst = _worst(found, wanted, value)


def _worst(found: dict[Any, Draft], wanted: int, value: Value) -> tuple[int, int] | None:
    """The goals of the last of the first ``wanted`` plans; None while there are fewer."""
    return None if len(found) < wanted else sorted(value(d.time_ppm, d.cost) for d in found.values())[wanted - 1]
