"""Whole upgrades as rows of numbers: every board, processor and memory choice that go together by socket and
generation.

A row is no plan yet: its time and cost are lower bounds (the least over coolers, supplies, cases and drives;
delivery counts 0). Rows tell the pruning which parts can still meet in a wanted plan, and give the search its
order.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from copy import copy
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np

from partsolver.assembly.pictures import own_graphics_score
from partsolver.base.quantities import FAR
from partsolver.performance.law import bandwidth_facts
from partsolver.performance.time import shared_bandwidth_kbs
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.search.bounds import Array, Figures, Numbers, Terms, any_card, graphics_count, told_once
from partsolver.search.pool import MAIN, Pool
from partsolver.search.row_rules import keys_of

# More rows than this are not looked at one by one: the bounds of single parts have to do.
MOST_ROWS = 1_000_000
# Nor are the rules asked of more boards with a processor than this: there would be as many rows.
MOST_PAIRS = 2_000_000
# Rows that are made before their memory's rate is looked at, and boards times memory choices of a processor that
# are compared: so many numbers are held at once at most.
MOST_AT_ONCE, MOST_COMPARED = 200_000, 4_000_000

# Of boards and memory choices of equal length: whether the rules let them go together. Of boards and processors: what
# they cost beside each other at least above what rows count (FAR: the rules refuse them).
Together = Callable[[Array, Array], Array]


class Row(NamedTuple):
    """A row as plain numbers: those of its board, processor and memory, the bounds of its plans, the least
    cost of what the rules need beside it (``needed``), and of its goods with that and what its cooler costs above
    the cheapest (``floor``, without the other slots)."""

    key: tuple[int, int, int]
    time_ppm: int
    cost: int
    needed: int
    floor: int


@dataclass(frozen=True)
class Rows:
    """Columns of equal length: indexes into the pool's boards, processors and memory; bounds in ppm and minor
    units."""

    board: Array
    cpu: Array
    memory: Array
    time_ppm: Array
    cost: Array

    def __len__(self) -> int:
        return len(self.time_ppm)

    @cached_property
    def keys(self) -> list[tuple[int, int, int]]:
        """Board, processor and memory of every row."""
        return list(zip(self.board.tolist(), self.cpu.tolist(), self.memory.tolist(), strict=True))

    def selected(self, chosen: Array) -> Rows:
        """Some of the rows, by mask or index."""
        return Rows(
            self.board[chosen],
            self.cpu[chosen],
            self.memory[chosen],
            self.time_ppm[chosen],
            self.cost[chosen],
        )


class Columns:
    """The pool's candidates as arrays, for making rows."""

    def __init__(self, pool: Pool) -> None:
        terms = Figures(pool).terms()
        self.boards, self.cpus, self.memory = (pool.left[slot] for slot in MAIN)
        self.board_time, self.cpu_time, self._memory_time = terms.storage, terms.compute, terms.memory
        self.capacity_time = terms.capacity
        levels, self._level = np.unique(terms.bandwidth_kbs, return_inverse=True)
        # Graphics of every processor score at each of these bandwidths, made as they are asked for.
        self._levels: list[int] = levels.tolist()
        self._graphics: dict[int | None, Array] = {}
        self._terms = terms
        # By what decides how fast memory is beside them: numbers of boards, processors and memory choices
        # (of memory its capacity does not count here).
        self.kinds = [Numbers().numbered(_FACTS[slot](c.part) for c in pool.left[slot]) for slot in MAIN]
        if not graphics_count(pool):
            self.kinds[1] = Numbers().numbered(bandwidth_facts("cpu", c.part) for c in self.cpus)
        # The score of each board's own graphics is told apart where graphics count.
        self._own_score = _own_scores(pool)
        self.kinds[0] = Numbers().numbered(zip(self.kinds[0].tolist(), self._own_score, strict=True))
        self._known_close: dict[int, int] = {}
        self.together: Together | None = None
        cost = pool.cost
        self._board_cost = np.array([cost[c] for c in self.boards], dtype=np.int64)
        self._cpu_cost = np.array([cost[c] for c in self.cpus], dtype=np.int64)
        self._memory_cost = np.array([cost[c] for c in self.memory], dtype=np.int64)
        self._rest_cost = pool.rest_cost()
        self._prices = [np.array([pool.price[c] for c in pool.left[slot]], dtype=np.int64) for slot in MAIN]
        self._by_socket: dict[str, list[int]] = defaultdict(list)
        self._kept_board = next((i for i, c in enumerate(self.boards) if c.kept), None)
        self._pool = pool
        self._boards_for: dict[Any, dict[Any, Array]] = {}
        self._least: dict[Any, int] = {}
        # Whether the time of a plan may hang on its graphics card, and with it on the case that holds it.
        self.cards_count = graphics_count(pool) and any_card(pool)
        # Whether drive, case and graphics card leave nothing of the time of a row open.
        self.times_are_exact = len(pool.left["drive"]) == 1 and not self.cards_count
        self._raised = np.zeros(len(self.boards), dtype=np.int64)
        self._drives = _useful_drives(pool, terms)
        for i, board in enumerate(self.boards):
            socket = pool.socket(board)
            if socket is not None:
                self._by_socket[socket].append(i)
        self._generation = Numbers()
        self._generations = self._generation.numbered(pool.generation(m) for m in self.memory)
        self._memory_kept = np.array([m.kept for m in self.memory], dtype=bool)
        self._memory_for: dict[Any, Array] = {}
        self._least_memory: dict[Any, int] = {}
        # Numbers of boards and memory choices of which no row is made.
        self._gone: dict[str, frozenset[int]] = {"board": frozenset(), "memory": frozenset()}
        # Least time of any row with a processor: the order in which processors are looked at.
        least_rest = int(self._memory_time.min()) + int(self.board_time.min())
        # Graphics are the faster the faster the memory.
        self.cpu_bound = self.cpu_time + terms.graphics_of(self.cpus, self._levels[-1]) + least_rest

    def columns_without(self, part: str) -> Columns:
        """The same columns, numbered alike, of which no row holds a part."""
        gone = {
            slot: frozenset(i for i, c in enumerate(self._pool.left[slot]) if c.id == part) for slot in MAIN
        }
        fewer = copy(self)
        fewer._gone = {slot: self._gone[slot] | gone[slot] for slot in ("board", "memory")}
        fewer.cpu_bound = self.cpu_bound.copy()
        fewer.cpu_bound[list(gone["cpu"])] = 2 * FAR  # beyond "no limit", which is FAR
        fewer._boards_for, fewer._memory_for, fewer._least_memory, fewer._least = {}, {}, {}, {}
        return fewer

    def _graphics_of(self, number: int) -> Array:
        """The graphics term of a processor at each bandwidth."""
        score = self._terms.best_score(self.cpus[number].part.graphics_score)  # type: ignore[union-attr]
        if score not in self._graphics:
            self._graphics[score] = np.array(
                [self._terms.graphics(score, value) for value in self._levels], dtype=np.int64
            )
        return self._graphics[score]

    def cheapest(self, most_time: int) -> int:
        """The least that any row may cost, whether the rules admit it or not; FAR when there is none."""
        return min(
            (self.least_cost(int(number)) for number in np.flatnonzero(self.cpu_bound <= most_time)),
            default=FAR,
        )

    def least_cost(self, number: int) -> int:
        """The least that a row of a processor costs, whether the rules admit it or not; FAR or more when there
        is none."""
        return int(self._cpu_cost[number]) + self._least_with(self.cpus[number])

    def raise_boards(self, by: Sequence[int]) -> None:
        """Raise the least cost of each board, by what the other slots cost beside it above their least."""
        self._raised = np.minimum(np.array(by, dtype=np.int64), FAR)
        self._least.clear()

    def plain_cost(self, rows: Rows) -> Array:
        """What rows cost beside the cheapest of the other slots, whether those will do or not."""
        return self.least_of_goods(rows) + self._rest_cost

    def least_of_goods(self, rows: Rows) -> Array:
        """What boards, processors and memory of rows cost at least, with what each alone needs bought."""
        return self._board_cost[rows.board] + self._cpu_cost[rows.cpu] + self._memory_cost[rows.memory]

    def least_prices(self, rows: Rows) -> Array:
        """The least prices of boards, processors and memory of rows."""
        board, cpu, memory = self._prices
        return board[rows.board] + cpu[rows.cpu] + memory[rows.memory]

    def _boards_of(self, cpu: Candidate) -> dict[Any, Array]:
        """Indexes of the boards that take a processor, by what decides their memory, of which there is some."""
        socket = self._pool.socket(cpu)
        known = self._boards_for.get((socket, cpu.kept))
        if known is None:
            found = [] if socket is None else list(self._by_socket.get(socket, ()))
            if cpu.kept and self._kept_board is not None and self._kept_board not in found:
                found.append(self._kept_board)
            groups: dict[Any, list[int]] = defaultdict(list)
            for i in found:
                if i in self._gone["board"]:
                    continue
                board = self.boards[i]
                groups[self._pool.generation(board), board.kept].append(i)
            fed = {group: listed for group, listed in groups.items() if len(self._memory_of(group))}
            known = {group: np.array(listed, dtype=np.int64) for group, listed in fed.items()}
            self._boards_for[socket, cpu.kept] = known
        return known

    def _least_with(self, cpu: Candidate) -> int:
        """The least cost of a board that takes a processor, with memory for it and the other slots; FAR when
        there is none."""
        key = (self._pool.socket(cpu), cpu.kept)
        if key not in self._least:
            found = [
                int((self._board_cost + self._raised)[boards].min()) + self._least_memory[group]
                for group, boards in self._boards_of(cpu).items()
            ]
            self._least[key] = min(found, default=FAR)
        return min(FAR, self._least[key] + self._rest_cost)

    def _memory_of(self, group: Any) -> Array:
        """Indexes of the memory that boards of a group take."""
        if group not in self._memory_for:
            generation, kept_board = group
            numbers = self._generations
            fits = (
                np.isin(numbers, [self._generation[None], self._generation[generation]])
                if generation is not None
                else np.ones(len(numbers), dtype=bool)
            )
            if kept_board:
                fits = fits | self._memory_kept
            fits[list(self._gone["memory"])] = False
            found = self._memory_for[group] = np.flatnonzero(fits)
            self._least_memory[group] = int(self._memory_cost[found].min(initial=FAR))
        return self._memory_for[group]

    def rows_within(self, most_time: int, most_cost: int, above: Together | None = None) -> Rows | None:
        """All rows within the bounds (``above``: as in `rows_of`); None when they are more than MOST_ROWS."""
        numbers = np.flatnonzero(self.cpu_bound <= most_time).tolist()
        return self.rows_of(numbers, most_time, most_cost, above, MOST_ROWS)

    def rows_of(
        self,
        numbers: Iterable[int],
        most_time: int,
        most_cost: int,
        above: Together | None = None,
        most_rows: int = FAR,
    ) -> Rows | None:
        """Rows of some processors within the bounds; None when they are more than ``most_rows``.
        ``above``: what boards and processors cost beside each other above the rest."""
        found: list[Rows] = []
        waiting: list[tuple[Array, ...]] = []
        count = held = 0
        pairs = self._pairs(numbers, most_cost, above, MOST_PAIRS if most_rows < FAR else FAR)
        if pairs is None:
            return None
        for number, group, boards, costs in pairs:
            memory = self._memory_of(group)
            pieces = min(len(boards), 1 + len(boards) * len(memory) // MOST_COMPARED)
            for some in np.array_split(np.arange(len(boards)), pieces):
                made = self._rows_beside(number, boards[some], costs[some], memory, most_time, most_cost)
                waiting.append(made)
                held += len(made[0])
                if held > MOST_AT_ONCE:
                    found.append(self._close(waiting, most_time, most_cost))
                    count, held, waiting = count + len(found[-1]), 0, []
                    if count > most_rows:
                        return None
        if held:
            found.append(self._close(waiting, most_time, most_cost))
            count += len(found[-1])
        return None if count > most_rows else _joined(found)

    def _pairs(
        self, numbers: Iterable[int], most_cost: int, above: Together | None, most: int
    ) -> list[tuple[int, Any, Array, Array]] | None:
        """Processors with the boards of a group that the money lets go with them, and the cost of each board there:
        all are asked at once. None when they are more than ``most``."""
        found, count = list[tuple[int, Any, Array, int]](), 0
        costs = self._board_cost + self._raised
        for number in numbers:
            if self.least_cost(number) > most_cost:
                continue
            own = int(self._cpu_cost[number]) + self._rest_cost
            for group, boards in self._boards_of(self.cpus[number]).items():
                left = most_cost - own - self._least_memory[group]
                boards = boards[costs[boards] <= left]
                if len(boards):
                    found.append((number, group, boards, left))
                    count += len(boards)
            if count > most:
                return None  # at once: of a million parts the list of them took gigabytes
        if above is None or not found:
            return [(number, group, boards, costs[boards]) for number, group, boards, _ in found]
        lengths = [len(boards) for _, _, boards, _ in found]
        cpus = np.repeat(np.array([number for number, *_ in found], dtype=np.int64), lengths)
        every = np.concatenate([boards for _, _, boards, _ in found])
        beside = np.split(costs[every] + above(every, cpus), np.cumsum(lengths)[:-1])
        return [
            (number, group, boards[mask], own[mask])
            for (number, group, boards, left), own in zip(found, beside, strict=True)
            if (mask := own <= min(left, FAR - 1)).any()
        ]

    def _rows_beside(
        self, number: int, boards: Array, board_cost: Array, memory: Array, most_time: int, most_cost: int
    ) -> tuple[Array, ...]:
        """Boards, processors, memory and costs of the rows of a processor within the bounds, its memory at
        the best rate there is. ``board_cost``: of the boards beside it."""
        board_time = self.board_time[boards]
        times = (
            int(self.cpu_time[number])
            + self._memory_time[memory]
            + self._graphics_of(number)[self._level[memory]]
        )
        costs = int(self._cpu_cost[number]) + self._rest_cost + self._memory_cost[memory]
        good = (times + board_time.min() <= most_time) & (costs + board_cost.min() <= most_cost)
        memory, times, costs = memory[good], times[good], costs[good]
        cost = board_cost[:, None] + costs[None, :]
        b, m = np.nonzero((board_time[:, None] + times[None, :] <= most_time) & (cost <= most_cost))
        return boards[b], np.full(len(b), number, dtype=np.int64), memory[m], cost[b, m]

    def _close(self, made: Sequence[tuple[Array, ...]], most_time: int, most_cost: int) -> Rows:
        """Rows whose memory runs as fast as board and processor together let it, within the bounds, without
        those whose board and memory do not go together."""
        boards, cpus, memory, cost = (np.concatenate(column) for column in zip(*made, strict=True))
        if self.together is not None:
            good = self.together(boards, memory)
            boards, cpus, memory, cost = boards[good], cpus[good], memory[good], cost[good]
        other = self.memory_times(boards, cpus, memory) + self.cpu_time[cpus]
        time = other + self.board_time[boards]
        if len(self._drives) > 1:
            # A cheap drive may be too slow: then the least is what one that is fast enough costs.
            enough = np.full(len(boards), FAR, dtype=np.int64)
            for extra, storage in reversed(self._drives):
                enough[storage[boards] + other <= most_time] = extra
            cost = np.maximum(cost, cost - self._raised[boards] + enough)
        good = (time <= most_time) & (cost <= most_cost)
        return Rows(boards, cpus, memory, time, cost).selected(good)

    def memory_times(self, boards: Array, cpus: Array, memory: Array) -> Array:
        """The least terms of memory, its capacity and graphics of each board with a processor and a memory
        choice."""
        keys = keys_of([*enumerate(self.kinds)], (boards, cpus, memory), len(boards))

        def terms(rows: Array) -> Iterator[int]:
            for b, c, m in zip(
                boards[rows].tolist(), cpus[rows].tolist(), memory[rows].tolist(), strict=True
            ):
                board, cpu, kit = (self.boards[b].part, self.cpus[c].part, self.memory[m].part)
                value = shared_bandwidth_kbs(self._pool.problem, board, cpu, kit)
                score = self._own_score[b] if cpu.graphics_score == 0 else cpu.graphics_score
                yield self._terms.memory_term(value) + self._terms.graphics(score, value)

        return told_once(self._known_close, keys, terms) + self.capacity_time[memory]


# What decides how fast memory is beside a board and a processor, and with it the graphics.
_FACTS: dict[SlotName, Callable[[Any], Hashable]] = {
    "board": lambda b: bandwidth_facts("board", b),
    "cpu": lambda c: (bandwidth_facts("cpu", c), c.graphics_score),
    "memory": lambda m: bandwidth_facts("memory", m),
}


def _own_scores(pool: Pool) -> list[int | None]:
    """The score of each board's own graphics; of none where the use does not ask for any."""
    if not graphics_count(pool):
        return [None] * len(pool.left["board"])
    problem = pool.problem
    return [own_graphics_score(problem, c.part, c.kept, 0) for c in pool.left["board"]]  # type: ignore[arg-type]


def _useful_drives(pool: Pool, terms: Terms) -> list[tuple[int, Array]]:
    """(cost above the least, least storage term beside each board) of the drives that are faster than all
    cheaper ones on some board, cheap ones first."""
    drives = [
        (pool.cost[c], c.key, storage) for c, storage in zip(pool.left["drive"], terms.drives, strict=True)
    ]
    drives.sort(key=lambda drive: drive[:2])
    found: list[tuple[int, Array]] = []
    best: Array = None
    for cost, _, storage in drives:
        if best is None or bool((storage < best).any()):
            found.append((cost - drives[0][0], storage))
            best = storage if best is None else np.minimum(best, storage)
    return found


def _joined(pieces: list[Rows]) -> Rows:
    none = np.zeros(0, dtype=np.int64)
    names = ("board", "cpu", "memory", "time_ppm", "cost")
    return Rows(*(np.concatenate([none, *(getattr(p, name) for p in pieces)]) for name in names))
