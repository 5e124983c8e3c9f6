"""The ways to fill the other slots of a row, what each costs at least, and the plan of each: asked once, then remembered."""

from __future__ import annotations

from copy import copy
from dataclasses import replace
from typing import Any, Self

import numpy as np

from partsolver.performance.time import time_ppm
from partsolver.plan.complete import complete
from partsolver.plan.draft import Draft
from partsolver.problem.candidates import SLOTS, Candidate, Parts
from partsolver.problem.problem import Problem
from partsolver.search.allowances import (
    MOST_ASKED,
    MOST_WAYS,
    Key,
    Way,
)
from partsolver.search.bounds import Array
from partsolver.search.pool import FAR, REST, Pool
from partsolver.search.rests import Rests
from partsolver.search.rows import Columns, Rows
from partsolver.search.rule_memory import CostBound, Quick

# In one search: drafts bought and judged in full, ways that neither the rules nor money and time refuse, ways
# in all.
MOST_DRAFTS, MOST_LOOKS, MOST_TRIED = 240, 4_000, 40_000


class Ways:
    """Rows of a pool with what is known of each, within a limit on the work."""

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
        self._rounds = [
            fixed | {"board", "cpu"},
            fixed | {"board", "cpu", "memory"},
            frozenset(SLOTS) - {"cooler"},
        ]
        self.rests = Rests(pool, quick, self.columns)
        self._floors: dict[tuple[int, int, int], int] = {}
        self._pairs: dict[tuple[int, int], int] = {}
        # What the candidates that nothing competes with need bought: part of their cost, and of what is asked
        # of a row.
        self._own_needs = sum(pool.cost[c] - pool.price[c] for s in REST if s in fixed for c in pool.left[s])
        self._ask_memory(fixed)
        if len(self.rests.every) > 1:
            self.columns.raise_boards(
                [self.rests.bound(board, 0) - pool.rest_cost() for board in range(len(self.columns.boards))]
            )

    def _ask_memory(self, fixed: frozenset[str]) -> None:
        """Let the rows know which boards and memory the rules refuse together."""
        asked = [
            a
            for a in self.quick.rules
            if {"board", "memory"} <= set(a.rule.SLOTS) <= fixed | {"board", "memory"}
        ]
        if not asked:
            return
        sees = {
            slot: [view for a in asked for place, view in a.views if SLOTS[place] == slot]
            for slot in ("board", "memory")
        }

        def goes(board: int, memory: int) -> bool:
            parts = self._parts((board, 0, memory), self.rests.every[0])
            kinds = self.quick.kinds(parts)
            return all(self.quick.cost(a, parts, kinds) < FAR for a in asked)

        self.columns.ask_memory(sees["board"], sees["memory"], goes)

    def without(self, part: str, problem: Problem) -> Self:
        """A new search without a board, processor or memory kit (``problem``: the same without it); what is
        known of all others stays known."""
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
        """The least cost of what a board and a processor need bought beside what is fixed; FAR when the rules
        refuse them."""
        known = self._pairs.get((board, cpu))
        if known is None:
            parts = Parts(
                (
                    self.columns.boards[board],
                    self.columns.cpus[cpu],
                    self.columns.memory[0],
                    *self.rests.every[0],
                )
            )
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

    def rows_within(self, most_time: int, most_cost: int) -> Rows | None:
        """All rows within the bounds whose board and processor the rules let go together; None when they are
        too many."""
        return self.columns.rows_within(most_time, most_cost, self._open_boards)

    def _floor(self, key: Key) -> int:
        """What the goods of a row and all that the rules need beside them cost, above what fills the other
        slots; FAR when the rules refuse it."""
        found = self._floors.get(key)
        if found is None:
            needs = self._pair(key[0], key[1])
            if needs < FAR:
                needs += self.quick.least(
                    self._parts(key, self.rests.every[0]), self._rounds[1], self._rounds[0]
                )
                price, cost = (
                    known[0][key[0]] + known[1][key[1]] + known[2][key[2]]
                    for known in (self.columns.prices, self.columns.costs)
                )
                needs = max(cost, price + needs - self._own_needs)
            found = self._floors[key] = min(FAR, needs)
        return found

    def _bound(self, key: Key, cost: int, number: int) -> int:
        """No plan of a row (``cost``: its own bound) with this way to fill the other slots, or one after it,
        costs less; FAR when there is none."""
        return min(FAR, max(cost, self._floor(key) + self.rests.bound(key[0], number)))

    def _way(self, key: Key, number: int) -> Way | None:
        """A way to fill the other slots of a row; None when the rules, the money or the time refuse it, or
        there is none."""
        known = self._known_ways.setdefault(key, [])
        while len(known) <= number:
            rest = self.rests.rest(key[0], len(known))
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
        rest = self.rests.rest(key[0], number)
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
        return (
            None
            if least >= FAR or least > self.most_cost == most
            else (min(least, most + 1), time, rest, most)
        )

    def _drafted(self, key: Key, rest: tuple[Candidate, ...]) -> Draft | None:
        """The plan of a row and a way to fill its other slots."""
        if (key, rest) not in self._drafts:
            self.drafted += 1
            draft = complete(
                self.pool.problem,
                self._parts(key, rest),
                self.quick.every,
                self.quick.allowed,
                self.most_cost + 1,
            )
            self._drafts[key, rest] = draft if draft is not None and self.quick.admits(draft) else None
        return self._drafts[key, rest]

    def _fastest_way(self, key: Key, time: int, cost: int, most_time: int) -> tuple[Draft | None, bool]:
        """The fastest plan of a row (``time``, ``cost``: its bounds) that is no slower than ``most_time``, and
        whether all ways to fill its other slots were looked at or bounded out."""
        best: Draft | None = None
        for number in range(MOST_WAYS):
            bound = self._bound(key, cost, number)
            if bound > self.most_cost or bound >= FAR:
                return best, True
            way = self._way_by(key, number, most_time)
            draft = None if way is None else self._drafted(key, way[2])
            if draft is not None:
                best, most_time = draft, draft.time_ppm - 1
                if most_time < time:
                    return best, True
        return best, False

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
