"""Boards with processors of one class of PCs as numbers, and what the plans with each are worth at most.

Which memory a pair takes hangs on few facts of both: pairs that agree in them share one *front*, the memory
looks (choices that are alike to the rules and to the time) in the order of their time. At some prices only
those of a front count that are cheaper than all faster ones; with them the bound of a pair is what its best
plan is worth, but for what rules say of board, processor and memory together.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

import numpy as np

from partsolver.base.quantities import FAR
from partsolver.base.records import record
from partsolver.fleet.row_needs import REFUSED, RowNeeds
from partsolver.problem.candidates import BOXED_COOLER, SLOTS, Candidate
from partsolver.search.bounds import Array, Numbers
from partsolver.search.pool import Pool
from partsolver.search.rows import Columns
from partsolver.search.rule_memory import Asked, Quick

BOARD, CPU, MEMORY, COOLER = (SLOTS.index(slot) for slot in ("board", "cpu", "memory", "cooler"))
# What a fleet's plan never replaces: a graphics card is not bought for it either.
KEPT_SLOTS = ("psu", "case", "drive", "graphics")
# Pairs of which the rules are asked at once, in the order in which they are looked at.
ASKED_AT_ONCE = 32

# The worth (SCALE) of expected times; the prices (SCALE) of what some rules need, by its number.
WorthOf = Callable[[Array], Array]
PricesOf = Callable[[RowNeeds], Array]


@record
class Looked:
    """What may be done with one pair, by memory look: looks: their numbers; time_ppm: expected time; needs:
    number of what the rules about board, processor and memory need bought."""

    looks: Array
    time_ppm: Array
    needs: Array


class Pairs:
    """All boards with all processors that go into them, as far as the rules about both admit, with a cooler
    at least."""

    def __init__(self, pool: Pool, quick: Quick, exact_time: Callable[[Sequence[Candidate]], int]) -> None:
        self.columns = columns = Columns(pool)
        self.coolers = pool.left["cooler"]
        self._exact_time = exact_time
        listed = {BOARD: columns.boards, CPU: columns.cpus, MEMORY: columns.memory, COOLER: self.coolers}
        beside = tuple(pool.left[slot][0] for slot in SLOTS)
        self.beside = beside
        pairs, memory, coolers, others = _rules_apart(quick.rules)
        self.of_pair, self.of_memory, self.of_cooler, self.of_row = (
            RowNeeds(quick, rules, listed, beside) for rules in (pairs, memory, coolers, others)
        )
        self.board, self.cpu = _fitting(pool, columns)
        self.needs = self.of_pair.numbers({BOARD: self.board, CPU: self.cpu})
        self._leave(self.needs != REFUSED)
        self._group_coolers()
        self._group_memory(pool)
        # The order among equals: that of the candidates' keys, slot by slot.
        self.rank = [_ranks(listed[place]) for place in (BOARD, CPU, MEMORY, COOLER)]
        self._order = np.lexsort((self.rank[1][self.cpu], self.rank[0][self.board]))
        self._looked: dict[int, Looked] = {}
        self._of_numbers = {key: place for place, key in enumerate(self._keys())}

    def __len__(self) -> int:
        return len(self.board)

    def _keys(self) -> Iterable[tuple[int, int]]:
        return zip(self.board.tolist(), self.cpu.tolist(), strict=True)

    def _leave(self, good: Array) -> None:
        """Leave only some of the pairs."""
        self.board, self.cpu, self.needs = self.board[good], self.cpu[good], self.needs[good]

    def number(self, board: int, cpu: int) -> int:
        """The number of a pair. Raises KeyError where there is none."""
        return self._of_numbers[board, cpu]

    # -- coolers -----------------------------------------------------------------------------------------------------

    def _group_coolers(self) -> None:
        """Pairs that look the same to the rules about coolers are one group: ``cooler_group`` of each pair;
        of group g the coolers that serve, and what each needs, stand from ``cooler_start[g]`` on."""
        cpus: Sequence[Any] = self.columns.cpus
        boxed: Array = np.array([not c.kept and bool(c.part.boxed_cooler) for c in cpus])
        looks = [n[self.board] for n in self.of_cooler.looks_at(BOARD)]
        looks += [n[self.cpu] for n in self.of_cooler.looks_at(CPU)]
        group, first = _numbered([*looks, boxed[self.cpu].astype(np.int64)])
        own, cooler = (
            a.ravel() for a in np.meshgrid(np.arange(len(first)), np.arange(len(self.coolers)), indexing="ij")
        )
        needs = self.of_cooler.numbers(
            {BOARD: self.board[first][own], CPU: self.cpu[first][own], COOLER: cooler}
        )
        in_box = np.array([c.key == BOXED_COOLER for c in self.coolers], dtype=bool)
        good = (needs != REFUSED) & (boxed[self.cpu[first]][own] | ~in_box[cooler])
        own, self.serving, self.cooler_needs = own[good], cooler[good], needs[good]
        counts = np.bincount(own, minlength=len(first))
        served = counts[group] > 0
        self._leave(served)
        # Groups that no cooler serves are left out of the numbers.
        self.cooler_group = (np.cumsum(counts > 0) - 1)[group[served]]
        self.cooler_start = np.cumsum([0, *counts[counts > 0]])

    def least_coolers(self, cost: Array, prices: PricesOf) -> Array:
        """What the cheapest cooler of each group costs, with what it needs."""
        each = np.minimum(cost[self.serving] + prices(self.of_cooler)[self.cooler_needs], FAR)
        return np.minimum.reduceat(each, self.cooler_start[:-1])

    def coolers_of(self, pair: int) -> slice:
        """Where the coolers of a pair stand in ``serving``."""
        group = self.cooler_group[pair]
        return slice(int(self.cooler_start[group]), int(self.cooler_start[group + 1]))

    # -- memory ------------------------------------------------------------------------------------------------------

    def _group_memory(self, pool: Pool) -> None:
        columns = self.columns
        generations = Numbers({None: 0})
        own = generations.numbered(pool.generation(m) for m in columns.memory)
        of_board = generations.numbered(pool.generation(b) for b in columns.boards)
        kept = [np.array([c.kept for c in listed], dtype=bool) for listed in (columns.boards, columns.memory)]
        # Choices that are alike to the rules and to the time are one look.
        looks = [*self.of_memory.looks_at(MEMORY), *self.of_row.looks_at(MEMORY)]
        self.look, first = _numbered(
            [own, kept[1].astype(np.int64), columns.kinds[2], columns.capacity_time, *looks]
        )
        self.first = first
        self.by_look = np.argsort(self.look, kind="stable")
        self.look_start = np.searchsorted(self.look[self.by_look], np.arange(len(first) + 1))
        # Boards that are alike to memory, and of them with processors the fronts.
        group, one = _numbered(
            [of_board, kept[0].astype(np.int64), columns.kinds[0], *self.of_memory.looks_at(BOARD)]
        )
        board, memory = (a.ravel() for a in np.meshgrid(one, first, indexing="ij"))
        fits = (of_board[board] == 0) | (own[memory] == 0) | (own[memory] == of_board[board])
        fits |= kept[0][board] & kept[1][memory]
        needs = np.full(len(board), REFUSED, dtype=np.int64)
        needs[fits] = self.of_memory.numbers({BOARD: board[fits], MEMORY: memory[fits]})
        table = needs.reshape(len(one), len(first))
        self.front, ahead = _numbered([group[self.board], columns.kinds[1][self.cpu]])
        self._make_fronts(table[group[self.board[ahead]]], self.board[ahead], self.cpu[ahead])

    def _make_fronts(self, needs: Array, board: Array, cpu: Array) -> None:
        """``looks_of``: the memory looks of each front, the fastest first; beside them their times and what
        they need. Places that are left over hold one look more than there is."""
        count = len(self.first)
        front, look = np.nonzero(needs != REFUSED)
        times = np.full(needs.shape, FAR, dtype=np.int64)
        times[front, look] = self.columns.memory_times(board[front], cpu[front], self.first[look])
        order = np.argsort(times, axis=1, kind="stable")
        width = max(1, int((needs != REFUSED).sum(axis=1).max(initial=0)))
        order = order[:, :width]
        self.front_times = np.take_along_axis(times, order, axis=1)
        self.front_needs = np.take_along_axis(needs, order, axis=1)
        self.looks_of = np.where(self.front_needs == REFUSED, count, order)
        self.front_needs[self.front_needs == REFUSED] = 0

    # -- bounds ------------------------------------------------------------------------------------------------------

    def bounds(
        self, worth: WorthOf, costs: Sequence[Array], rest: int, most_time: int, prices: PricesOf
    ) -> Array:
        """What the plans of each pair are worth at most, at some costs of boards, processors, memory and
        coolers, and ``rest`` of the other slots; -FAR where there is none."""
        board, cpu, memory, cooler = costs
        own = board[self.board] + cpu[self.cpu] + rest + prices(self.of_pair)[self.needs]
        own = np.minimum(own + self.least_coolers(cooler, prices)[self.cooler_group], FAR)
        base_time = self.columns.board_time[self.board] + self.columns.cpu_time[self.cpu]
        front, place, counts = self._fronts(memory, prices)
        start = np.cumsum([0, *counts])
        pair = np.repeat(np.arange(len(self)), counts[self.front])
        # Of each pair the places of its front, one after the other.
        begun = np.cumsum(counts[self.front]) - counts[self.front]
        entry = start[self.front[pair]] + np.arange(len(pair)) - begun[pair]
        time = base_time[pair] + self.front_times[front, place][entry]
        cost = own[pair] + self._front_costs[front, place][entry]
        value = np.where((time <= most_time) & (cost < FAR), worth(time) - cost, -FAR)
        found = np.full(len(self), -FAR, dtype=np.int64)
        some = counts[self.front] > 0
        if some.any():
            found[some] = np.maximum.reduceat(value, begun[some])
        return found

    def _fronts(self, cost: Array, prices: PricesOf) -> tuple[Array, Array, Array]:
        """Of each front the places of the looks that are cheaper than all faster ones, and how many they
        are."""
        least = np.append(np.minimum.reduceat(cost[self.by_look], self.look_start[:-1]), FAR)
        self._front_costs = np.minimum(least[self.looks_of] + prices(self.of_memory)[self.front_needs], FAR)
        ahead = np.minimum.accumulate(self._front_costs, axis=1)
        good = self._front_costs < FAR
        good[:, 1:] &= self._front_costs[:, 1:] < ahead[:, :-1]
        front, place = np.nonzero(good)
        return front, place, np.bincount(front, minlength=len(self.looks_of))

    def in_order(self, bounds: Array, floor: int) -> list[int]:
        """The pairs with a bound above a floor, the best first, equals in the order of their keys."""
        ordered = self._order[bounds[self._order] > floor]
        found: list[int] = ordered[np.argsort(-bounds[ordered], kind="stable")].tolist()
        return found

    # -- what is known of a pair -------------------------------------------------------------------------------------

    def look_at(self, listed: Sequence[int], place: int) -> Looked:
        """What may be done with the pair at a place of a list; the rules are asked of those that follow,
        too."""
        pair = listed[place]
        if pair not in self._looked:
            new = [p for p in listed[place : place + ASKED_AT_ONCE] if p not in self._looked]
            self._ask(np.array(new, dtype=np.int64))
        return self._looked[pair]

    def _ask(self, pairs: Array) -> None:
        fronts = self.front[pairs]
        of, place = np.nonzero(self.looks_of[fronts] < len(self.first))
        look = self.looks_of[fronts[of], place]
        board, cpu, memory = self.board[pairs[of]], self.cpu[pairs[of]], self.first[look]
        needs = self.of_row.numbers({BOARD: board, CPU: cpu, MEMORY: memory})
        time = (
            self.columns.board_time[board] + self.columns.cpu_time[cpu] + self.front_times[fronts[of], place]
        )
        good = needs != REFUSED
        if not self.columns.times_are_exact:
            for row in np.nonzero(good)[0].tolist():
                main = (
                    self.columns.boards[board[row]],
                    self.columns.cpus[cpu[row]],
                    self.columns.memory[memory[row]],
                )
                time[row] = self._exact_time((*main, *self.beside[COOLER:]))
        for number, pair in enumerate(pairs.tolist()):
            mine = good & (of == number)
            self._looked[pair] = Looked(look[mine], time[mine], needs[mine])

    def memory_needs(self, pair: int, looks: Array) -> Array:
        """The number of what the rules about board and memory need beside some looks of a pair."""
        front = self.front[pair]
        needs = np.zeros(len(self.first) + 1, dtype=np.int64)
        needs[self.looks_of[front]] = self.front_needs[front]
        return needs[looks]


def _rules_apart(rules: Iterable[Asked]) -> tuple[list[Asked], ...]:
    """The rules about board and processor, board and memory, coolers, and all others."""
    pairs, memory, coolers, others = list[Asked](), list[Asked](), list[Asked](), list[Asked]()
    for asked in rules:
        seen = set(asked.rule.SLOTS) - set(KEPT_SLOTS)
        if "cooler" in seen:
            assert "memory" not in seen, f"{asked.rule.ID} reads cooler and memory"
            coolers.append(asked)
        elif seen <= {"board", "cpu"}:
            pairs.append(asked)
        elif seen <= {"board", "memory"}:
            memory.append(asked)
        else:
            others.append(asked)
    return pairs, memory, coolers, others


def _fitting(pool: Pool, columns: Columns) -> tuple[Array, Array]:
    """Boards and processors that go together by socket, or stay together."""
    sockets = Numbers({None: 0})
    board, cpu = (
        sockets.numbered(pool.socket(c) for c in listed) for listed in (columns.boards, columns.cpus)
    )
    kept = [np.array([c.kept for c in listed], dtype=bool) for listed in (columns.boards, columns.cpus)]
    fits = (board[:, None] == cpu[None, :]) & (board[:, None] > 0)
    return np.nonzero(fits | (kept[0][:, None] & kept[1][None, :]))  # type: ignore[return-value]


def _numbered(columns: Sequence[Any]) -> tuple[Array, Array]:
    """Rows of numbers numbered: equal for equal rows; and where each first stands."""
    key = np.zeros(len(columns[0]), dtype=np.int64)
    for column in columns:
        own = np.unique(column, return_inverse=True)[1]
        # Numbered anew each time, so that no product is too large.
        key = np.unique(key * (int(own.max(initial=0)) + 1) + own, return_inverse=True)[1]
    _, first = np.unique(key, return_index=True)
    return key, first


def _ranks(listed: Sequence[Candidate]) -> Array:
    """The place of each candidate in the order of the keys."""
    ranks = np.empty(len(listed), dtype=np.int64)
    ranks[sorted(range(len(listed)), key=lambda place: listed[place].key)] = np.arange(len(listed))
    return ranks
