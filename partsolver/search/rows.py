"""Whole upgrades as rows of numbers: every board, processor and memory choice that go together by socket and
generation.

A row is no plan yet: its time and cost are lower bounds (the least over coolers, supplies, cases and drives;
delivery counts 0). Rows tell the pruning which parts can still meet in a wanted plan, and give the search its
order.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterator, Sequence
from copy import copy
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from partsolver.assembly.pictures import own_graphics_score
from partsolver.performance.law import bandwidth_facts
from partsolver.performance.time import shared_bandwidth_kbs
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.search.bounds import Array, Figures, Numbers, Terms
from partsolver.search.pool import FAR, MAIN, Pool
from partsolver.search.views import View

# More rows than this are not looked at one by one: the bounds of single parts have to do.
MOST_ROWS = 1_000_000
# Rows that are made into plain numbers at once.
CHUNK = 64


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

    def in_order(self, order: Array) -> Iterator[tuple[tuple[int, int, int], int, int]]:
        """Key, time and cost of the rows in an order, made as they are asked for: seldom many are."""
        for start in range(0, len(order), CHUNK):
            rows = self.selected(order[start : start + CHUNK])
            yield from zip(rows.keys, rows.time_ppm.tolist(), rows.cost.tolist(), strict=True)

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
        self._board_time, self._cpu_time, self._memory_time = terms.storage, terms.compute, terms.memory
        levels, self._level = np.unique(terms.bandwidth_kbs, return_inverse=True)
        # Graphics of every processor score at each of these bandwidths, made as they are asked for.
        self._levels: list[int] = levels.tolist()
        self._graphics: dict[int | None, Array] = {}
        self._terms = terms
        problem = pool.problem
        # Score of each board's own graphics, where graphics count.
        counts = problem.use.share("graphics") > 0
        self._own_score = [
            own_graphics_score(problem, c.part, c.kept, 0) if counts else 0  # type: ignore[arg-type]
            for c in self.boards
        ]
        self._board_kind, self._cpu_kind, self._memory_kind = (
            Numbers().numbered(_FACTS[slot](c.part) for c in pool.left[slot]) for slot in MAIN
        )
        self._board_kind = Numbers().numbered(zip(self._board_kind.tolist(), self._own_score, strict=True))
        # Term of memory and graphics by kind of processor, and of board and memory together;
        # FAR where board and memory do not go together.
        self._known_close: dict[int, dict[int, int]] = defaultdict(dict)
        self._goes: Callable[[int, int], bool] | None = None
        # Whether board and memory go together, by their kinds: asked once for all processors.
        self._known_goes: dict[int, bool] = {}
        cost = pool.cost
        self._board_cost = np.array([cost[c] for c in self.boards], dtype=np.int64)
        self._cpu_cost = np.array([cost[c] for c in self.cpus], dtype=np.int64)
        self._memory_cost = np.array([cost[c] for c in self.memory], dtype=np.int64)
        self._rest_cost = pool.rest_cost()
        # Least price and least cost of every board, processor and memory choice.
        self.prices = [[pool.price[c] for c in pool.left[slot]] for slot in MAIN]
        self.costs = [self._board_cost.tolist(), self._cpu_cost.tolist(), self._memory_cost.tolist()]
        self._by_socket: dict[str, list[int]] = defaultdict(list)
        self._kept_board = next((i for i, c in enumerate(self.boards) if c.kept), None)
        self._pool = pool
        self._boards_for: dict[Any, dict[Any, Array]] = {}
        self._least: dict[Any, int] = {}
        # A use without graphics takes the same time with every card.
        no_card = all(c.kept for c in pool.left["graphics"]) and all(
            c.kind != "graphics" for c in problem.survey.cards
        )
        self._times_are_exact = all(len(pool.left[slot]) == 1 for slot in ("case", "drive")) and (
            no_card or not counts
        )
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
        # Numbers of boards and memory choices of which no row is made.
        self._gone: dict[str, frozenset[int]] = {"board": frozenset(), "memory": frozenset()}
        # Least time of any row with a processor: the order in which processors are looked at.
        least_rest = int(self._memory_time.min()) + int(self._board_time.min())
        # Graphics are the faster the faster the memory.
        self.cpu_bound = self._cpu_time + terms.graphics_of(self.cpus, self._levels[-1]) + least_rest

    def time(self, key: tuple[int, int, int]) -> int | None:
        """The time of a row, where case, drive and graphics card leave nothing open."""
        if not self._times_are_exact:
            return None
        board, cpu, memory = key
        shared = self._shared(board, cpu, memory)
        return min(
            FAR,
            shared
            + int(self._terms.capacity[memory])
            + int(self._cpu_time[cpu])
            + int(self._board_time[board]),
        )

    def without(self, part: str) -> Columns:
        """The same columns, numbered alike, of which no row holds a part."""
        gone = {
            slot: frozenset(i for i, c in enumerate(self._pool.left[slot]) if c.id == part) for slot in MAIN
        }
        fewer = copy(self)
        fewer._gone = {slot: self._gone[slot] | gone[slot] for slot in ("board", "memory")}
        fewer.cpu_bound = self.cpu_bound.copy()
        fewer.cpu_bound[list(gone["cpu"])] = 2 * FAR  # beyond "no limit", which is FAR
        fewer._boards_for, fewer._memory_for, fewer._least = {}, {}, {}
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
            (self.least_cost(int(number)) for number in np.nonzero(self.cpu_bound <= most_time)[0]),
            default=FAR,
        )

    def least_cost(self, number: int) -> int:
        """The least that a row of a processor costs, whether the rules admit it or not; FAR when there is
        none."""
        return int(self._cpu_cost[number]) + self._least_with(self.cpus[number])

    def raise_boards(self, by: Sequence[int]) -> None:
        """Raise the least cost of each board, by what the other slots cost beside it above their least."""
        self._raised = np.minimum(np.array(by, dtype=np.int64), FAR)
        self._least.clear()

    def ask_memory(
        self, board_views: Sequence[View], memory_views: Sequence[View], goes: Callable[[int, int], bool]
    ) -> None:
        """Leave out rows whose board and memory do not go together: ``goes`` tells it of their numbers, and
        says the same of all that look the same in these views."""
        for kinds, listed, seen in (
            (self._board_kind, self.boards, board_views),
            (self._memory_kind, self.memory, memory_views),
        ):
            kinds[:] = Numbers().numbered(
                (kind, *(view.number(c) for view in seen))
                for kind, c in zip(kinds.tolist(), listed, strict=True)
            )
        self._goes = goes
        self._known_close.clear()
        self._known_goes.clear()

    def plain_cost(self, rows: Rows) -> Array:
        """What rows cost beside the cheapest of the other slots, whether those will do or not."""
        return (
            self._board_cost[rows.board]
            + self._cpu_cost[rows.cpu]
            + self._memory_cost[rows.memory]
            + self._rest_cost
        )

    def _boards_of(self, cpu: Candidate) -> dict[Any, Array]:
        """Indexes of the boards that take a processor, by what decides their memory."""
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
            known = {group: np.array(listed, dtype=np.int64) for group, listed in groups.items()}
            self._boards_for[socket, cpu.kept] = known
        return known

    def _least_with(self, cpu: Candidate) -> int:
        """The least cost of a board that takes a processor, with memory for it and the other slots; FAR when
        there is none."""
        key = (self._pool.socket(cpu), cpu.kept)
        if key not in self._least:
            found = [
                int((self._board_cost + self._raised)[boards].min() + self._memory_cost[memory].min())
                for group, boards in self._boards_of(cpu).items()
                if len(memory := self._memory_of(group))
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
                else numbers >= 0
            )
            if kept_board:
                fits = fits | self._memory_kept
            fits[list(self._gone["memory"])] = False
            self._memory_for[group] = np.nonzero(fits)[0]
        return self._memory_for[group]

    def rows_of_cpu(
        self,
        number: int,
        most_time: int,
        most_cost: int,
        admitted: Callable[[Array, int], Array] | None = None,
    ) -> Rows:
        """Rows of one processor within the bounds; ``admitted``: those of some boards that go together with
        the processor."""
        pieces = []
        own_time = int(self._cpu_time[number])
        own_cost = int(self._cpu_cost[number]) + self._rest_cost
        if self.least_cost(number) > most_cost:
            return _joined([])
        for group, boards in self._boards_of(self.cpus[number]).items():
            memory = self._memory_of(group)
            if not len(memory):
                continue
            raised = self._board_cost + self._raised
            if admitted is not None:
                least = own_cost + int(self._memory_cost[memory].min())
                boards = admitted(boards[raised[boards] + least <= most_cost], number)
            if not len(boards):
                continue
            board_time, board_cost = self._board_time[boards], raised[boards]
            times = own_time + self._memory_time[memory] + self._graphics_of(number)[self._level[memory]]
            costs = own_cost + self._memory_cost[memory]
            good = (times + board_time.min() <= most_time) & (costs + board_cost.min() <= most_cost)
            memory, times, costs = memory[good], times[good], costs[good]
            if not len(memory):
                continue
            time = board_time[:, None] + times[None, :]
            cost = board_cost[:, None] + costs[None, :]
            b, m = np.nonzero((time <= most_time) & (cost <= most_cost))
            if len(b):
                pieces.append(self._close(number, boards[b], memory[m], cost[b, m], most_time, most_cost))
        return _joined(pieces)

    def _close(
        self, number: int, boards: Array, memory: Array, cost: Array, most_time: int, most_cost: int
    ) -> Rows:
        """Rows of a processor whose memory runs as fast as board and processor together let it, within the
        bounds."""
        kinds = self._board_kind[boards] * len(self.memory) + self._memory_kind[memory]
        each, first, place = np.unique(kinds, return_index=True, return_inverse=True)
        known = self._known_close[int(self._cpu_kind[number])]
        own = np.array(
            [
                known[kind] if kind in known else self._shared(int(boards[i]), number, int(memory[i]))
                for kind, i in zip(each.tolist(), first.tolist(), strict=True)
            ],
            dtype=np.int64,
        )
        if (own >= FAR).any():
            together = (own < FAR)[place]
            boards, memory, cost, place = boards[together], memory[together], cost[together], place[together]
        other = own[place] + self._terms.capacity[memory] + int(self._cpu_time[number])
        time = other + self._board_time[boards]
        if len(self._drives) > 1:
            # A cheap drive may be too slow: then the least is what one that is fast enough costs.
            enough = np.full(len(boards), FAR, dtype=np.int64)
            for extra, storage in reversed(self._drives):
                enough[storage[boards] + other <= most_time] = extra
            cost = np.maximum(cost, cost - self._raised[boards] + enough)
        rows = Rows(boards, np.full(len(boards), number, dtype=np.int64), memory, time, cost)
        good = (time <= most_time) & (cost <= most_cost)
        return rows if good.all() else rows.selected(good)

    def _shared(self, board: int, cpu: int, memory: int) -> int:
        """The least term of memory and graphics of a board, a processor and a memory choice; FAR when they do
        not go together."""
        kind = int(self._board_kind[board]) * len(self.memory) + int(self._memory_kind[memory])
        known = self._known_close[int(self._cpu_kind[cpu])]
        found = known.get(kind)
        if found is None:
            found = FAR
            if self._go_together(kind, board, memory):
                parts: tuple[Any, Any, Any] = (
                    self.boards[board].part,
                    self.cpus[cpu].part,
                    self.memory[memory].part,
                )
                value = shared_bandwidth_kbs(self._pool.problem, *parts)
                score = parts[1].graphics_score
                own = self._own_score[board] if score == 0 else score
                found = self._terms.memory_term(value) + self._terms.graphics(own, value)
            known[kind] = found
        return found

    def _go_together(self, kind: int, board: int, memory: int) -> bool:
        """Whether the rules let a board and a memory choice go together; ``kind``: what they are in `_shared`."""
        if self._goes is None:
            return True
        if kind not in self._known_goes:
            self._known_goes[kind] = self._goes(board, memory)
        return self._known_goes[kind]

    def rows_within(
        self,
        most_time: int,
        most_cost: int,
        admitted: Callable[[Array, int], Array] | None = None,
    ) -> Rows | None:
        """All rows within the bounds (``admitted``: as in `rows_of_cpu`); None when they are more than MOST_ROWS."""
        pieces: list[Rows] = []
        count = 0
        for number in np.nonzero(self.cpu_bound <= most_time)[0]:
            rows = self.rows_of_cpu(int(number), most_time, most_cost, admitted)
            count += len(rows)
            if count > MOST_ROWS:
                return None
            pieces.append(rows)
        return _joined(pieces)


# What decides how fast memory is beside a board and a processor, and with it the graphics.
_FACTS: dict[SlotName, Callable[[Any], Hashable]] = {
    "board": lambda b: bandwidth_facts("board", b),
    "cpu": lambda c: (bandwidth_facts("cpu", c), c.graphics_score),
    "memory": lambda m: bandwidth_facts("memory", m),
}


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
    if len(pieces) == 1:
        return pieces[0]
    if not pieces:
        none = np.zeros(0, dtype=np.int64)
        return Rows(none, none, none, none, none)
    return Rows(
        *(
            np.concatenate([getattr(p, name) for p in pieces])
            for name in ("board", "cpu", "memory", "time_ppm", "cost")
        )
    )
