"""A plain search for a few good plans. They only steer the pruning (an upper bound) and are never shown.

Rows (model/rows.py) are looked at in the order of their lower bounds; what a rule says of some parts is remembered, so
most rows cost a few dictionary look-ups. The search ends when no row left can be better, or at a limit on its work:
then the bound is weaker and the model has more to prove, but nothing is lost.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from itertools import islice, product
from typing import Any

import numpy as np

from partsolver.model.identity import identity
from partsolver.model.objective import step_of
from partsolver.model.pool import FAR, REST, Pool
from partsolver.model.quick import CostBound, Quick
from partsolver.model.rows import Columns, Rows
from partsolver.performance.time import time_ppm
from partsolver.planner import complete
from partsolver.problem import SLOTS, Candidate, Draft, Parts

# Drafts bought and judged in full, and rows looked at, in one search.
MOST_DRAFTS, MOST_LOOKS = 60, 4_000
# Rows that are asked whether the rules and the money refuse them, before only their bounds count.
MOST_ASKED = 4_000
# Ways to fill the slots of supply, case and drive that are tried.
MOST_RESTS = 12
# Minor units above the least cost up to which rows are looked at first.
FIRST_COST_WIDTH = 1000
# Rows of a processor that are tried in the first pass.
MOST_FIRST = 20


class Search:
    """One search over the rows of a pool."""

    def __init__(self, pool: Pool, quick: Quick, most_time: int, most_cost: int) -> None:
        self.pool, self.quick = pool, quick
        self.most_time, self.most_cost = most_time, most_cost
        self.columns = Columns(pool)
        self.bounds = CostBound(pool, quick, most_cost)
        self.drafted = self.looked = 0
        self._known_ways: dict[tuple[int, int, int], list[tuple[int, int, tuple[Candidate, ...]]]] = {}
        self._drafts: dict[Any, Draft | None] = {}
        several = frozenset(s for s in SLOTS if len(pool.left[s]) > 1)
        fixed = frozenset(SLOTS) - several
        # Rules in rounds, so that the first refusal of a pair spares all rows with it.
        self._rounds = [fixed | {"board", "cpu"}, fixed | {"board", "cpu", "memory"}, frozenset(SLOTS) - {"cooler"}]
        choices = [sorted(pool.left[s], key=lambda c: (pool.cost[s, c.key], not c.kept, c.key)) for s in REST]
        listed = list(islice(product(choices[0][:1], *(c[:MOST_RESTS] for c in choices[1:])), 4000))
        self._rests: list[tuple[Candidate, ...]] = sorted(listed, key=self._rest_cost)[:MOST_RESTS]

    def _rest_cost(self, rest: tuple[Candidate, ...]) -> int:
        return sum(self.pool.cost[c.slot, c.key] for c in rest)

    def rest(self) -> None:
        """Begin a new search with the full limit; what was found stays known."""
        self.drafted = self.looked = 0

    @property
    def spent(self) -> bool:
        """Whether the limit on the work is reached."""
        return self.drafted >= MOST_DRAFTS or self.looked >= MOST_LOOKS

    def _parts(self, rows: Rows, row: Any, rest: tuple[Candidate, ...]) -> Parts:
        columns = self.columns
        return Parts((columns.boards[rows.board[row]], columns.cpus[rows.cpu[row]], columns.memory[rows.memory[row]], *rest))

    def _ways(self, rows: Rows, row: Any) -> list[tuple[int, int, tuple[Candidate, ...]]]:
        """(least cost, time, rest) of each way to fill the other slots that the rules and the money allow."""
        key = (int(rows.board[row]), int(rows.cpu[row]), int(rows.memory[row]))
        ways = self._known_ways.get(key)
        if ways is None:
            ways = []
            for rest in self._rests:
                parts = self._parts(rows, row, rest)
                least = self.bounds.least_cost(parts, self._rounds)
                if least <= self.most_cost:
                    ways.append((least, time_ppm(self.pool.problem, parts), rest))
            self._known_ways[key] = ways
            self.looked += bool(ways)
        return ways

    def _draft(self, rows: Rows, row: Any, below: int, most_time: int) -> Draft | None:
        """The plan of a row if there is one that costs less than ``below`` and is no slower, as far as was looked."""
        for least, time, rest in self._ways(rows, row):
            if least >= below or time > most_time:
                continue
            key = (int(rows.board[row]), int(rows.cpu[row]), int(rows.memory[row]), rest)
            if key not in self._drafts:
                self.drafted += 1
                parts = self._parts(rows, row, rest)
                draft = complete(self.pool.problem, parts, self.quick.every, self.quick.allowed, self.most_cost + 1)
                self._drafts[key] = draft if draft is not None and self.quick.admits(draft) else None
            known = self._drafts[key]
            if known is not None and known.cost < below:
                return known
        return None

    def open_rows(self, rows: Rows, most_time: int, most_cost: int) -> Any:
        """A mask of the rows that may have a plan within a time and a cost, as far as was looked."""
        mask = np.ones(len(rows), dtype=bool)
        if len(self._rests) > 1:
            return mask
        asked = 0
        keys = zip(rows.board.tolist(), rows.cpu.tolist(), rows.memory.tolist(), strict=True)
        for row, key in enumerate(keys):
            if key not in self._known_ways:
                if asked >= MOST_ASKED:
                    continue
                asked += 1
            mask[row] = any(self._is_open(key, *way, most_time, most_cost) for way in self._ways(rows, row))
        return mask

    def _is_open(self, key: Any, least: int, time: int, rest: Any, most_time: int, most_cost: int) -> bool:
        if least > most_cost or time > most_time:
            return False
        known = self._drafts.get((*key, rest), self)
        return known is self or (known is not None and known.cost <= most_cost)  # type: ignore[union-attr]

    def fastest(self) -> Draft | None:
        """The fastest plan found; the true one unless the search is spent."""
        best: Draft | None = None
        columns = self.columns
        order = [int(i) for i in np.argsort(columns.cpu_bound, kind="stable") if columns.cpu_bound[i] <= self.most_time]
        # First the cheapest way to each processor, which fails at once where the money is short ...
        for number in order:
            rows = columns.of_cpu(number, self.most_time, self.most_cost, self._boards)
            for row in np.argsort(rows.cost, kind="stable")[:MOST_FIRST]:
                best = self._draft(rows, row, FAR, self.most_time)
                if best is not None or self.spent:
                    break
            if best is not None or self.spent:
                break
        # ... then everything that could be faster.
        self.rest()
        for number in order:
            most = self.most_time if best is None else best.time_ppm - 1
            if columns.cpu_bound[number] > most or self.spent:
                break
            rows = columns.of_cpu(number, most, self.most_cost, self._boards)
            for row in np.lexsort((rows.cost, rows.time_ppm)):
                if self.spent or (best is not None and rows.time_ppm[row] >= best.time_ppm):
                    break
                draft = self._draft(rows, row, FAR, most if best is None else best.time_ppm - 1)
                best = draft or best
        return best

    def _boards(self, board: int, cpu: int) -> bool:
        """Whether the rules about board and processor admit a pair (asked only where one candidate fills the others)."""
        if len(self._rests) > 1:
            return True
        pair = Parts((self.columns.boards[board], self.columns.cpus[cpu], self.columns.memory[0], *self._rests[0]))
        return self.quick.least(pair, self._rounds[0]) < FAR

    def best(self, least_ppm: int, resolution: Fraction, wanted: int) -> list[Draft]:
        """Different plans, those of few steps above the least time and of low cost first; ``wanted`` at most."""

        def value(draft: Draft) -> tuple[int, int]:
            return step_of(max(draft.time_ppm, least_ppm), least_ppm, resolution), draft.cost

        found: dict[Any, Draft] = {}
        width = 0
        while not self.spent:
            most = min(self.most_time, _step_end(least_ppm, resolution, width))
            rows = self.columns.within(most, self.most_cost)
            if rows is None:
                break
            self._look(rows, (steps_of(rows.time_ppm, least_ppm, resolution), rows.cost), 1, value, wanted, found)
            if len(found) >= wanted or most >= self.most_time:
                break
            width = 2 * width + 1
        return sorted(found.values(), key=value)[:wanted]

    def cheap(self, wanted: int, start: int = 0) -> list[Draft]:
        """Different plans, the cheapest first; ``wanted`` at most. ``start``: no plan costs less."""

        def value(draft: Draft) -> tuple[int, int]:
            return draft.cost, draft.time_ppm

        found: dict[Any, Draft] = {}
        width = FIRST_COST_WIDTH
        while not self.spent:
            most = min(self.most_cost, start + width)
            rows = self.columns.within(self.most_time, most)
            if rows is None:
                break
            self._look(rows, (rows.cost, rows.time_ppm), 0, value, wanted, found)
            if len(found) >= wanted or most >= self.most_cost:
                break
            width *= 3
        return sorted(found.values(), key=value)[:wanted]

    def _look(
        self, rows: Rows, bounds: tuple[Any, Any], cost_at: int, value: Callable[[Draft], tuple[int, int]], wanted: int, found: dict[Any, Draft]
    ) -> None:
        """Add the plans of rows to those found, in the order of the rows' bounds (of the two goals that ``value`` gives a
        plan; ``cost_at``: which of them is the cost), until no row left can be among the first ``wanted``."""
        for row in np.lexsort((bounds[1], bounds[0])):
            below = FAR
            if len(found) >= wanted:
                worst = sorted(map(value, found.values()))[wanted - 1]
                if worst < (bounds[0][row], bounds[1][row]):
                    return
                # Only a cheaper plan helps where cost decides: as the first goal, or as the second among equals.
                if cost_at == 0 or bounds[0][row] == worst[0]:
                    below = worst[cost_at]
            if self.spent:
                return
            draft = self._draft(rows, row, below, self.most_time)
            if draft is not None:
                key = identity(draft.parts)
                if key not in found or value(draft) < value(found[key]):
                    found[key] = draft


def _step_end(least_ppm: int, resolution: Fraction, step: int) -> int:
    """The longest time of a step."""
    if resolution == 0:
        return least_ppm + step
    return least_ppm + int(Fraction(step + 1) * resolution * least_ppm / 100)


def steps_of(times: Any, least_ppm: int, resolution: Fraction) -> Any:
    """Step of every time (those below the least one count 0)."""
    values, place = np.unique(times, return_inverse=True)
    steps = [step_of(max(int(value), least_ppm), least_ppm, resolution) for value in values]
    return np.array(steps, dtype=np.int64)[place]
