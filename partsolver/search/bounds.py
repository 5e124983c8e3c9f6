"""The least time and cost of any plan with each candidate of a pool, as arrays of numbers.

Time is a sum of the law's terms (performance/law.py): the least of a candidate's own terms plus the least of
all others. Cost: its cheapest allowed price and what it needs bought whatever the rest, plus the cheapest
board, processor and memory that go with it, plus the cheapest of the other slots. Delivery counts 0.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from itertools import chain, compress
from typing import Any

import numpy as np

from partsolver.assembly.memory import milli_channels
from partsolver.assembly.pictures import drawing_card, own_graphics_score
from partsolver.base.quantities import FAR
from partsolver.base.records import record
from partsolver.performance.law import (
    bandwidth_facts,
    bandwidth_kbs,
    compute_facts,
    law_of,
    streaming_facts,
)
from partsolver.problem.candidates import SLOTS, Candidate, SlotName
from partsolver.search.pool import MAIN, REST, Pool

Array = Any  # numpy.ndarray, of int64 or bool
# By slot: a number for every candidate, in the order of the pool.
Bounds = dict[SlotName, Array]
# No memory is faster: for those whose rate is not known.
ANY_RATE_MTS = 20_000


class Numbers(dict[Hashable, int]):
    """Values numbered in the order in which they come."""

    def __missing__(self, value: Hashable) -> int:
        number = self[value] = len(self)
        return number

    def numbered(self, values: Iterable[Hashable]) -> Array:
        return np.array([self[value] for value in values], dtype=np.int64)


def present(numbers: Array) -> Array:
    """The different ones of some small numbers, in order (numpy's own way to tell them loads its masked arrays)."""
    return np.flatnonzero(np.bincount(numbers))


def told_once(known: dict[int, int], keys: Array, tell: Callable[[Array], Iterable[int]]) -> Array:
    """The value of every key. What is not known yet is told of all at once, by where each of the keys
    stands first."""
    each, first, place = np.unique(keys, return_index=True, return_inverse=True)
    listed: list[int] = each.tolist()
    new = [number for number, key in enumerate(listed) if key not in known]
    if new:
        known.update(zip((listed[number] for number in new), tell(first[new]), strict=True))
    return np.array([known[key] for key in listed], dtype=np.int64)[place]


@record
class Terms:
    """Least time terms of each candidate in the order of the pool, ppm. memory holds the memory's and the
    capacity's term, without graphics; compute also what no part changes; storage: all that waits for the
    drive; bandwidth_kbs: of each memory choice, at best; memory_term(kB/s): the memory's term at a
    bandwidth; graphics(score, kB/s): the least graphics term of graphics of a score beside memory of that
    bandwidth; drives: the storage term of every board with each drive; board_score: the best score of
    chipset graphics (of processors without any)."""

    compute: Array
    memory: Array
    capacity: Array
    storage: Array
    bandwidth_kbs: Array
    memory_term: Callable[[int], int]
    graphics: Callable[[int | None, int], int]
    drives: list[Array]
    board_score: int

    def best_score(self, cpu_score: int | None) -> int | None:
        """The best score of the graphics without a card that a processor of a score can have."""
        return cpu_score if cpu_score != 0 else self.board_score

    def graphics_of(self, cpus: Iterable[Candidate], kbs: int) -> Array:
        """The least graphics term of each processor beside memory of a bandwidth."""
        scores = Numbers()
        score = scores.numbered(self.best_score(c.part.graphics_score) for c in cpus)  # type: ignore[union-attr]
        return np.array([self.graphics(value, kbs) for value in scores], dtype=np.int64)[score]  # type: ignore[arg-type]


class Figures:
    """The candidates of a pool as arrays; ``alive`` masks those still in play."""

    def __init__(self, pool: Pool) -> None:
        self.pool = pool
        self._listed = {slot: pool.left[slot] for slot in SLOTS}
        self.alive: dict[SlotName, Array] = {
            slot: np.ones(len(self._listed[slot]), dtype=bool) for slot in SLOTS
        }
        self._kept = {slot: np.array([c.kept for c in self._listed[slot]], dtype=bool) for slot in MAIN}
        # Number 0: not known.
        sockets, generations = Numbers({None: 0}), Numbers({None: 0})
        boards, cpus, memory = (self._listed[slot] for slot in MAIN)
        self._board_socket, self._cpu_socket = (
            sockets.numbered(pool.socket(c) for c in listed) for listed in (boards, cpus)
        )
        self._board_generation, self._memory_generation = (
            generations.numbered(pool.generation(c) for c in listed) for listed in (boards, memory)
        )
        self._sockets, self._generations = len(sockets), len(generations)
        self._cost: Bounds | None = None
        self._kinds: tuple[Any, ...] | None = None
        self._terms: dict[Any, Terms] = {}

    @property
    def size(self) -> int:
        return sum(int(mask.sum()) for mask in self.alive.values())

    @property
    def any_in_all(self) -> bool:
        """Whether every slot has a candidate."""
        return all(mask.any() for mask in self.alive.values())

    def cut(self, bounds: Bounds, most: int) -> None:
        """Drop what is bounded above ``most``."""
        for slot, bound in bounds.items():
            self.alive[slot] = self.alive[slot] & (bound <= most)

    def drop(self) -> None:
        """Drop from the pool what is not in play any more."""
        for slot in SLOTS:
            if not self.alive[slot].all():
                self.pool.left[slot] = list(compress(self._listed[slot], self.alive[slot].tolist()))

    def partners(self) -> None:
        """Drop boards, processors and memory without a partner by socket or generation. Once is enough: with a
        board that stays its processor and its memory stay."""
        alive, kept = self.alive, self._kept

        def in_play(slot: SlotName, numbers: Array, count: int) -> Array:
            """By number: whether something in play has it."""
            found = np.zeros(count, dtype=bool)
            found[numbers[alive[slot]]] = True
            return found

        def any_kept(slot: SlotName) -> bool:
            return bool((alive[slot] & kept[slot]).any())

        sockets = in_play("cpu", self._cpu_socket, self._sockets)
        generations = in_play("memory", self._memory_generation, self._generations)
        sockets[0] = False
        fed = sockets[self._board_socket] | (kept["board"] & any_kept("cpu"))
        filled = (
            kept["board"]
            | generations[0]
            | (self._board_generation == 0)
            | generations[self._board_generation]
        )
        alive["board"] = alive["board"] & fed & filled
        sockets = in_play("board", self._board_socket, self._sockets)
        generations = in_play("board", self._board_generation, self._generations)
        sockets[0] = False
        alive["cpu"] = alive["cpu"] & (sockets[self._cpu_socket] | (kept["cpu"] & any_kept("board")))
        free = (self._memory_generation == 0) | generations[0] | (kept["memory"] & any_kept("board"))
        alive["memory"] = alive["memory"] & (free | generations[self._memory_generation])

    def cost_bounds(self) -> Bounds:
        """Least possible cost of any plan with a candidate, minor units."""
        if self._cost is None:
            known = self.pool.cost
            self._cost = {
                slot: np.array([known[c] for c in self._listed[slot]], dtype=np.int64) for slot in SLOTS
            }
        cost, alive, kept = self._cost, self.alive, self._kept

        def least(slot: SlotName, numbers: Array, values: Array, count: int) -> Array:
            """By number: the least value of what is in play with it."""
            found = np.full(count, FAR, dtype=np.int64)
            np.minimum.at(found, numbers[alive[slot]], values[alive[slot]])
            return found

        rest = sum(int(cost[slot][alive[slot]].min()) for slot in REST)
        memory_of = least("memory", self._memory_generation, cost["memory"], self._generations)
        free = (self._board_generation == 0) | (
            kept["board"] & bool((alive["memory"] & kept["memory"]).any())
        )
        memory_for = np.where(
            free, memory_of.min(), np.minimum(memory_of[self._board_generation], memory_of[0])
        )
        cpu_of = least("cpu", self._cpu_socket, cost["cpu"], self._sockets)
        own = kept["board"] & bool((alive["cpu"] & kept["cpu"]).any())
        alone = cost["board"] + np.where(own, 0, cpu_of[self._board_socket])
        with_memory = least("board", self._board_generation, alone, self._generations)
        board_of = least("board", self._board_socket, cost["board"] + memory_for, self._sockets)
        board_of[0] = FAR
        for_cpu, kept_boards = board_of[self._cpu_socket], alive["board"] & kept["board"]
        if kept_boards.any():
            for_cpu = np.where(kept["cpu"], np.minimum(for_cpu, memory_for[kept_boards][0]), for_cpu)
        loose = (self._memory_generation == 0) | kept["memory"]
        for_memory = np.where(
            loose, with_memory.min(), np.minimum(with_memory[self._memory_generation], with_memory[0])
        )
        bounds: Bounds = {
            "board": alone + memory_for + rest,
            "cpu": cost["cpu"] + for_cpu + rest,
            "memory": cost["memory"] + for_memory + rest,
        }
        main = min(int(bounds[slot][alive[slot]].min()) for slot in MAIN)
        for slot in REST:
            bounds[slot] = cost[slot] + (main - int(cost[slot][alive[slot]].min()))
        return bounds

    def time_bounds(self) -> Bounds:
        """Least possible time of any plan with a candidate, millionths of the reference time."""
        found, alive = self.terms(), self.alive
        best_kbs = int(found.bandwidth_kbs[alive["memory"]].max())
        own = {
            "cpu": found.compute + found.graphics_of(self._listed["cpu"], best_kbs),
            "memory": found.memory,
            "board": found.storage,
        }
        least = {slot: int(own[slot][alive[slot]].min()) for slot in MAIN}
        return {slot: own[slot] + (sum(least.values()) - least[slot]) for slot in MAIN}

    def _time_kinds(self) -> tuple[Any, ...]:
        """Numbers of what the time terms read of boards, processors and memory, with a part of each."""
        if self._kinds is None:
            with_card = any_card(self.pool)
            found: list[Any] = []
            for slot in MAIN:
                numbers = Numbers()
                kinds = numbers.numbered(_FACTS[slot](c.part, with_card) for c in self._listed[slot])
                first = np.zeros(len(numbers), dtype=np.int64)
                first[kinds[::-1]] = np.arange(len(kinds))[::-1]
                found.append((kinds, [self._listed[slot][i].part for i in first.tolist()]))
            self._kinds = tuple(found)
        return self._kinds

    def terms(self) -> Terms:
        """The least terms of every candidate beside those in play."""
        boards = present(self._time_kinds()[0][0][self.alive["board"]])
        others = (self.alive[slot] for slot in ("case", "drive", "graphics"))
        read = tuple(mask.tobytes() for mask in (boards, *others))
        if read not in self._terms:
            self._terms[read] = self._find_terms()
        return self._terms[read]

    def _find_terms(self) -> Terms:
        (board_kind, board_parts), (cpu_kind, cpu_parts), (memory_kind, memory_parts) = self._time_kinds()
        problem, known = self.pool.problem, self.pool.known
        law = law_of(problem)
        drives, cases, graphics_cards = (
            list(compress(self._listed[slot], self.alive[slot].tolist()))
            for slot in ("drive", "case", "graphics")
        )
        boards = [board_parts[i] for i in present(board_kind[self.alive["board"]]).tolist()]
        cards: set[Any] = {None}
        if any_card(self.pool) and graphics_count(self.pool):
            cards = {
                drawing_card(problem, board, case.part, graphics.part)  # type: ignore[arg-type]
                for board in boards
                for case in cases
                for graphics in graphics_cards
            }
        card_ppm = [law.card_ppm(card) for card in cards if card is not None]
        integrated = None in cards
        channels = max(b.memory_channels or 1 for b in boards)
        slots = max([channels, *(b.memory_slots for b in boards if b.memory_slots is not None)])
        rates = ((b.memory_max_rate_mts or ANY_RATE_MTS, b.memory_two_per_channel_rate_mts) for b in boards)
        fastest = max(rate for rate in chain.from_iterable(rates) if rate is not None)

        def once(key: Any, value: Callable[[], int]) -> int:
            found = known.get(key)
            if found is None:
                found = known[key] = value()
            return found

        def kbs(part: Any) -> int:
            most = max(slots, part.modules)
            milli = once(
                ("channels", part.module_mib, part.modules, channels, most),
                lambda: max(
                    milli_channels(part.module_mib, part.modules, n, most) for n in range(1, channels + 1)
                ),
            )
            return bandwidth_kbs(min(part.rate_mts or ANY_RATE_MTS, fastest), milli)

        def memory_term(value: int) -> int:
            return once(("memory", value), lambda: law.memory_ppm(value))

        def capacity_term(part: Any) -> int:
            return min(
                once(
                    ("capacity", part.module_mib, part.seen_mib, d.key),
                    lambda d=d: law.capacity_ppm(part, d.part),  # type: ignore[misc]
                )
                for d in drives
            )

        def storage_term(part: Any, drive: Any) -> int:
            return once(
                ("storage", streaming_facts(part), drive.key), lambda: law.drive_ppm(part, drive.part)
            )

        def compute_term(part: Any) -> int:
            return once(("compute", compute_facts(part)), lambda: law.compute_ppm(part) + law.other_ppm)

        def graphics(score: int | None, value: int) -> int:
            ways = list(card_ppm)
            if integrated:
                ways.append(
                    once(
                        ("graphics", score, value),
                        lambda: law.integrated_ppm(score, value),
                    )
                )
            return min(ways)

        by_drive = [
            _each(lambda part, drive=drive: storage_term(part, drive), board_parts)[board_kind]  # type: ignore[misc]
            for drive in drives
        ]
        bandwidth, capacity = _each(kbs, memory_parts), _each(capacity_term, memory_parts)
        memory = capacity + np.array([memory_term(value) for value in bandwidth.tolist()], dtype=np.int64)
        return Terms(
            _each(compute_term, cpu_parts)[cpu_kind],
            memory[memory_kind],
            capacity[memory_kind],
            np.minimum.reduce(by_drive),
            bandwidth[memory_kind],
            memory_term,
            graphics,
            by_drive,
            self._board_score(),
        )

    def _board_score(self) -> int:
        """The best score of graphics in the chipset of any board."""
        if not graphics_count(self.pool):
            return 0
        problem = self.pool.problem
        return max(own_graphics_score(problem, c.part, c.kept, 0) or 0 for c in self._listed["board"])  # type: ignore[arg-type]


def graphics_count(pool: Pool) -> bool:
    """Whether the use has any work for graphics: else every source of the picture takes the same time."""
    return pool.problem.use.share("graphics") > 0


def any_card(pool: Pool) -> bool:
    """Whether a plan may hold a graphics card."""
    own = any(card.kind == "graphics" for card in pool.problem.survey.cards)
    return own or any(not c.kept for c in pool.left["graphics"])


def _each(value: Callable[[Any], int], parts: list[Any]) -> Array:
    return np.array([value(part) for part in parts], dtype=np.int64)


# What the least time terms read of a part of each slot.
_FACTS: dict[SlotName, Callable[[Any, bool], Hashable]] = {
    "board": lambda part, with_card: (
        streaming_facts(part),
        bandwidth_facts("board", part),
        (part.slots, part.firmware_modes) if with_card else None,
    ),
    "cpu": lambda part, with_card: compute_facts(part),
    "memory": lambda part, with_card: bandwidth_facts("memory", part),
}
