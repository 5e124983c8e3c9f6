"""The ways to fill the other slots of a row, what each costs at least, and the plan of each: asked once,
then remembered."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from copy import copy
from dataclasses import replace
from typing import Any, Self

import numpy as np

from partsolver.base.quantities import FAR
from partsolver.performance.time import drive_ppm, other_ppm
from partsolver.plan.complete import complete
from partsolver.plan.draft import Draft
from partsolver.problem.candidates import SLOTS, Candidate, Parts
from partsolver.problem.problem import Problem
from partsolver.search.allowances import (
    MOST_WAYS,
    Key,
    Way,
)
from partsolver.search.bounds import Array, told_once
from partsolver.search.card_choice import CardChoice, cards_are_alike
from partsolver.search.cost_bound import CostBound
from partsolver.search.pool import MAIN, REST, Pool
from partsolver.search.rests import Rests
from partsolver.search.row_rules import RowRules
from partsolver.search.rows import Columns, Row, Rows
from partsolver.search.rule_memory import Asked, Quick

# In one search: drafts bought and judged in full, ways that neither the rules nor money and time refuse, ways
# in all. What is left open then is decided by CP-SAT in a wide window. Measured at 2,000 parts with supply, drive
# and cooler to choose: a quarter of these limits takes 18 s, half of them as long, these 6.5 s, more no less.
MOST_DRAFTS, MOST_LOOKS, MOST_TRIED = 240, 16_000, 160_000
# Rows whose rules are asked at once, in the order in which they are looked at: first few, since few are often
# enough, then twice as many each time.
FIRST_ASKED, MOST_ASKED_AT_ONCE = 16, 1024
# Rows from which on the deliveries of all of them are bounded at once: of fewer each is looked at when its
# turn comes.
MANY = 64


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
        self._drafts: dict[Any, tuple[Draft | None, int]] = {}
        # Parts that a rule refuses, whatever they cost.
        self._refused: set[tuple[Candidate, ...]] = set()
        self._other_times: dict[Any, int] = {}
        self._drive_times: dict[Any, int] = {}
        fixed = frozenset(s for s in SLOTS if len(pool.left[s]) == 1)
        # What is read by the rules that are asked of rows, and by those that are asked of every way.
        self._row_slots = fixed | set(MAIN)
        self._way_slots = frozenset(SLOTS) - {"cooler"}
        alike = cards_are_alike(pool, quick)
        self.cards = CardChoice(pool, quick, self._way_slots) if alike else None
        self.rests = Rests(pool, quick, self.columns, alike)
        # What the candidates that nothing competes with need bought: part of their cost, and of what is asked
        # of a row.
        self._own_needs = sum(pool.cost[c] - pool.price[c] for s in REST if s in fixed for c in pool.left[s])
        self._rest_cost, self._first_rest = pool.rest_cost(), dict[int, int]()
        # What a bought graphics card costs at least above keeping what there is; 0 where that is no choice.
        kept, bought = (
            [pool.cost[c] for c in pool.left["graphics"] if c.kept == is_kept] for is_kept in (True, False)
        )
        self._card_extra = min(bought) - min(kept) if kept and bought else 0
        own = {c.slot: c for c in (*self.rests.every[0], *(c for c in pool.left["graphics"] if c.kept))}
        self._pair_rules, self._memory_rules, self._row_rules, self._card_rules = (
            RowRules(quick, rules, [pool.left[slot] for slot in MAIN], tuple(own[slot] for slot in REST))
            for rules in self._rules_of_rows(fixed)
        )
        if len(self._memory_rules):
            self.columns.together = self._go_together
        if len(self.rests.every) > 1:
            self.columns.raise_boards(
                [self.rests.bound(board, 0) - pool.rest_cost() for board in range(len(self.columns.boards))]
            )

    def _rules_of_rows(self, fixed: frozenset[str]) -> tuple[list[Asked], ...]:
        """The rules that are asked of rows: those that see board and processor alone, board and memory,
        and others; and those that also see which graphics card there is."""
        pairs, memory, others, cards = list[Asked](), list[Asked](), list[Asked](), list[Asked]()
        for asked in self.quick.rules:
            seen = set(asked.rule.SLOTS) - fixed
            if seen <= {"board", "cpu"}:
                pairs.append(asked)
            elif seen == {"board", "memory"}:
                memory.append(asked)
            elif seen <= set(MAIN):
                others.append(asked)
            elif {"graphics"} < seen <= {*MAIN, "graphics"}:
                cards.append(asked)
        return pairs, memory, others, cards

    def search_without(self, part: str, problem: Problem) -> Self:
        """A new search without a board, processor or memory kit (``problem``: the same without it); what is
        known of all others stays known."""
        fewer = copy(self)
        fewer.columns, fewer.gone = self.columns.columns_without(part), part
        fewer.pool = replace(self.pool, problem=problem)
        fewer.bounds = copy(self.bounds)
        fewer.rest()
        return fewer

    def bought(self) -> Iterator[Draft]:
        """The plans bought so far that do not hold what is gone."""
        for draft, _ in self._drafts.values():
            if draft is not None and (
                self.gone is None or all(c.id != self.gone for c in draft.parts.picked)
            ):
                yield draft

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

    def _above(self, boards: Array, cpus: Array) -> Array:
        """What boards and processors cost beside each other at least above their own cost and the cheapest cooler;
        FAR where the rules refuse them."""
        refused = self._pair_rules.needs(boards, cpus, np.zeros_like(boards)) >= FAR
        return np.where(refused, FAR, self.bounds.coolers_of_pairs(boards, cpus))

    def _go_together(self, boards: Array, memory: Array) -> Array:
        """A mask of the boards that the rules let go with a memory choice."""
        return self._memory_rules.needs(boards, np.zeros_like(boards), memory) < FAR

    def rows_within(self, most_time: int, most_cost: int) -> Rows | None:
        """All rows within the bounds whose board and processor the rules let go together; None when they are
        too many."""
        most = min(most_cost, self.most_cost)

        def above(boards: Array, cpus: Array) -> Array:
            return self._above(boards, cpus) + self.bounds.deliveries_of_pairs(boards, cpus, most)

        return self.columns.rows_within(most_time, most_cost, above)

    def asked(self, rows: Rows) -> list[Row]:
        """The rows that neither the rules nor, with what they need, the money that is to be spent now refuse: all
        asked at once."""
        needs = np.zeros(len(rows), dtype=np.int64)
        for rules in (self._pair_rules, self._memory_rules, self._row_rules):
            needs = needs + rules.needs(rows.board, rows.cpu, rows.memory)
            left = np.nonzero(needs < FAR)[0]
            rows, needs = rows.selected(left), needs[left]
        others = needs - self._own_needs
        goods = (
            self.columns.least_prices(rows)
            if len(rows) < MANY
            else self.bounds.goods_of_rows(rows, others + self._rest_cost)
        )
        floor = np.maximum(self.columns.least_of_goods(rows), goods + others)
        floor = floor + self.bounds.coolers_of_pairs(rows.board, rows.cpu)
        rest = told_once(
            self._first_rest,
            rows.board,
            lambda first: [self.rests.bound(b, 0) for b in rows.board[first].tolist()],
        )
        cost = np.maximum(rows.cost, floor + rest)
        if self._card_extra:
            # With the graphics that there are a plan needs what the rules about cards say of them (the first
            # way keeps them); else a card is bought. The cheaper of both is beside the least of the other
            # slots.
            kept = self._card_rules.needs(rows.board, rows.cpu, rows.memory)
            cost = np.maximum(cost, floor + self._rest_cost + np.minimum(kept, self._card_extra))
        left = np.nonzero((cost <= self.bounds.most_cost) & (cost < FAR))[0]
        columns = (column[left].tolist() for column in (rows.time_ppm, cost, needs, floor))
        return list(map(Row, rows.selected(left).keys, *columns))

    def _asked_in_order(self, rows: Rows) -> Iterator[Row]:
        """The same, a few at a time."""
        start, many = 0, FIRST_ASKED
        while start < len(rows):
            yield from self.asked(rows.selected(slice(start, start + many)))
            start, many = start + many, min(2 * many, MOST_ASKED_AT_ONCE)

    def _bound(self, row: Row, number: int) -> int:
        """No plan of a row with this way to fill the other slots, or one after it, costs less; FAR when
        there is none."""
        return min(FAR, max(row.cost, row.floor + self.rests.bound(row.key[0], number)))

    def _way(self, row: Row, number: int) -> Way | None:
        """A way to fill the other slots of a row; None when the rules, the money or the time refuse it, or
        there is none."""
        known = self._known_ways.setdefault(row.key, [])
        while len(known) <= number:
            rest = self.rests.rest(row.key[0], len(known))
            known.append(None if rest is None else self._find_way(row, rest[1]))
            self.tried += 1
            self.looked += known[-1] is not None
        way = known[number]
        if way is not None and (self.bounds.most_cost < way[3] or way[0] > way[3] < self.bounds.most_cost):
            # Its cost was bounded for other money than is to be spent now.
            way = known[number] = self._find_way(row, way[2])
        return way

    def _way_by(self, row: Row, number: int, most_time: int) -> Way | None:
        """The same for ways that take no longer (the time is told sooner than the cost)."""
        rest = self.rests.rest(row.key[0], number)
        if rest is None or self._time(row, rest[1]) > most_time:
            return None
        return self._way(row, number)

    def _time(self, row: Row, rest: tuple[Candidate, ...]) -> int:
        if self.columns.times_are_exact:
            return row.time_ppm
        # What no drive changes, and what it does: neither reads the cooler or the supply, and the case only
        # where a card may draw.
        _, _, case, drive, graphics = rest
        problem = self.pool.problem
        key = (row.key, case, graphics) if self.columns.cards_count else row.key
        others = self._other_times.get(key)
        if others is None:
            others = self._other_times[key] = other_ppm(problem, self._parts(row.key, rest))
        board, _, memory = row.key
        own = self._drive_times.get((board, memory, drive))
        if own is None:
            parts = self._parts(row.key, rest)
            own = self._drive_times[board, memory, drive] = drive_ppm(
                problem, parts.board, parts.memory, parts.drive
            )
        return others + own

    def _find_way(self, row: Row, rest: tuple[Candidate, ...]) -> Way | None:
        time = self._time(row, rest)
        if time > self.most_time:
            return None
        parts, most = self._parts(row.key, rest), self.bounds.most_cost
        asked, base = (row.needed, self._row_slots), 0
        if self.cards is None:
            least = self.bounds.least_cost(parts, row.needed, self._way_slots, self._row_slots)
        else:
            base = self.cards.base(self.bounds, parts, *asked)
            least = self.cards.least_cost(self.bounds, parts, *asked, base)
        return (
            None
            if least >= FAR or least > self.most_cost == most
            else (min(least, most + 1), time, rest, most, base)
        )

    def _drafted(self, key: Key, way: Way, most: int = FAR) -> Draft | None:
        """The plan of a row and a way to fill its other slots; None where there is none, or none for as
        little as ``most``."""
        rest = way[2]
        below = min(self.most_cost, most) + 1
        # What was found for less than how much.
        draft, sought = self._drafts.get((key, rest), (None, 0))
        if draft is None and sought < below:
            parts = self._parts(key, rest)
            if self.cards is None:
                draft = self._bought(parts, below)
            else:
                draft = self.cards.cheapest(parts, way[4], way[3], below, self._bought)
            self._drafts[key, rest] = draft, below
        return None if draft is None or draft.cost >= below else draft

    def _bought(self, parts: Parts, below: int) -> Draft | None:
        """The plan of some parts for less than so much, bought and judged."""
        if parts.picked in self._refused:
            return None
        draft = complete(self.pool.problem, parts, self.quick.every, self.quick.allowed, below)
        if draft is None:
            return None
        self.drafted += 1
        if self.quick.admits(draft):
            return draft
        self._refused.add(parts.picked)
        return None

    def _fastest_way(self, row: Row, most_time: int) -> tuple[Draft | None, bool]:
        """The fastest plan of a row that is no slower than ``most_time``, and whether all ways to fill its
        other slots were looked at or bounded out."""
        best: Draft | None = None
        for number in range(MOST_WAYS):
            bound = self._bound(row, number)
            if bound > self.most_cost or bound >= FAR:
                return best, True
            way = self._way_by(row, number, most_time)
            draft = None if way is None else self._drafted(row.key, way)
            if draft is not None:
                best, most_time = draft, draft.time_ppm - 1
                if most_time < row.time_ppm:
                    return best, True
        return best, False

    def _draft(self, row: Row, most_time: int) -> Draft | None:
        """A plan of a row that is no slower, as far as was looked."""
        for number in range(MOST_WAYS):
            if self._bound(row, number) > self.most_cost:
                break
            way = self._way_by(row, number, most_time)
            if way is not None:
                draft = self._drafted(row.key, way)
                if draft is not None:
                    return draft
        return None

    def open_rows(self, rows: Rows, most_time: int, most_cost: int) -> Rows:
        """The rows that may have a plan within a time and a cost, as far as was looked."""
        self.bounds.most_cost = min(self.most_cost, most_cost)
        return self.open_among(self._asked_in_order(rows), most_time, most_cost)

    def open_among(self, asked: Iterable[Row], most_time: int, most_cost: int) -> Rows:
        """The same of rows that were asked already."""
        left = [
            (*row.key, row.time_ppm, row.cost)
            for row in asked
            if row.cost <= most_cost and self._is_open(row, most_time, most_cost)
        ]
        return Rows(*np.array(left, dtype=np.int64).reshape(-1, 5).T)

    def _is_open(self, row: Row, most_time: int, most_cost: int) -> bool:
        for number in range(MOST_WAYS):
            if self._bound(row, number) > most_cost:
                return False
            way = self._way_by(row, number, most_time)
            if way is not None and way[0] <= most_cost:
                draft, sought = self._drafts.get((row.key, way[2]), (None, 0))
                if (sought <= most_cost) if draft is None else (draft.cost <= most_cost):
                    return True
        return True
