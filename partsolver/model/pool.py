"""Candidates still in play while pruning, and the least time and cost of any plan with each of them.

Lower bounds: time is a sum of terms (performance/time.py); the least of a candidate's own terms plus the least of all
others. Cost: its cheapest allowed price and what it needs bought whatever the rest, plus the cheapest board, processor
and memory that go with it, plus the cheapest of the other slots.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from typing import Any

from partsolver.assembly.cards import graphics_card
from partsolver.assembly.memory import milli_channels
from partsolver.performance import time as terms
from partsolver.performance.present import present_parts
from partsolver.problem import SLOTS, Candidate, Problem, SlotName

FAR = 10**15
MAIN: tuple[SlotName, ...] = ("board", "cpu", "memory")
REST: tuple[SlotName, ...] = ("cooler", "psu", "case", "drive")
# No memory is faster: for those whose rate is not known.
ANY_RATE_MTS = 20_000
Bounds = dict[tuple[SlotName, str], int]


def kept_memo(problem: Problem) -> dict[Any, Any]:
    """What the problem remembers that stays true with fewer candidates, what the PC has now included."""
    present_parts(problem)
    return {key: value for key, value in problem.memo.items() if not (isinstance(key, tuple) and key[0] in ("bundle groups", "coolers"))}


@dataclass
class Pool:
    """Candidates still in play.

    price: cheapest allowed price of each (0 when it may come in a bundle); cost: that and what it alone needs bought;
    by_socket, by_generation: whether the rules in force want board and processor, or board and memory, to agree.
    """

    problem: Problem
    left: dict[SlotName, list[Candidate]]
    price: dict[tuple[SlotName, str], int]
    cost: dict[tuple[SlotName, str], int]
    # Time terms by facts, shared by all pools of a problem.
    known: dict[Any, int] = field(default_factory=dict)
    by_socket: bool = True
    by_generation: bool = True

    def socket(self, candidate: Candidate) -> str | None:
        """What a board and its processor must share; None (not known) goes with nothing."""
        return candidate.part.socket if self.by_socket else ""  # type: ignore[union-attr]

    def generation(self, candidate: Candidate) -> str | None:
        """What a board and its memory must share; None (not known) goes with anything."""
        if not self.by_generation:
            return None
        return candidate.part.memory_generation if candidate.slot == "board" else candidate.part.generation  # type: ignore[union-attr]

    def restricted(self) -> Problem:
        return replace(self.problem, candidates={slot: tuple(self.left[slot]) for slot in SLOTS}, memo=kept_memo(self.problem))

    def copy(self) -> Pool:
        """The same candidates, to be cut further on their own."""
        return replace(self, left={slot: list(found) for slot, found in self.left.items()})

    @property
    def alive(self) -> bool:
        """Whether every slot has a candidate."""
        return all(self.left[slot] for slot in SLOTS)

    @property
    def size(self) -> int:
        return sum(len(self.left[slot]) for slot in SLOTS)

    def keep(self, slots: Iterable[SlotName], wanted: Callable[[Candidate], bool]) -> None:
        """Drop the candidates of some slots that are not wanted."""
        for slot in slots:
            self.left[slot] = [c for c in self.left[slot] if wanted(c)]

    def rest_cost(self) -> int:
        """The least that cooler, supply, case and drive cost."""
        return sum(min(self.cost[slot, c.key] for c in self.left[slot]) for slot in REST)


@dataclass(frozen=True)
class Terms:
    """Least time terms of each candidate, ppm, by key. memory holds the memory's and the capacity's term, without
    graphics; graphics(score, kB/s): the least graphics term of a processor beside memory of that bandwidth;
    storage_with(board, drive): the storage term of a board with a drive."""

    compute: dict[str, int]
    memory: dict[str, int]
    storage: dict[str, int]
    bandwidth_kbs: dict[str, int]
    graphics: Callable[[int | None, int], int]
    storage_with: Callable[[Any, Candidate], int]


def terms_of(pool: Pool) -> Terms:
    """The least terms of every candidate of the pool."""
    problem, known = pool.problem, pool.known
    use, reference, settings = problem.use, problem.catalog.reference, problem.settings
    boards, cpus, memory, drives = (pool.left[s] for s in ("board", "cpu", "memory", "drive"))  # type: ignore[index]
    with_card = any(card.kind == "graphics" for card in problem.survey.cards)
    cards = {graphics_card(problem, b.part, k.part) for b in boards for k in pool.left["case"]} if with_card else {None}  # type: ignore[arg-type]
    card_ppm = [terms.card_graphics_ppm(card, use, reference) for card in cards if card is not None]
    integrated = None in cards
    channels = max(max(b.part.memory_channels or 1 for b in boards), 1)  # type: ignore[union-attr]
    slots = max(max(b.part.memory_slots or 1 for b in boards), channels)  # type: ignore[union-attr]
    fastest = max(max(b.part.memory_max_rate_mts or ANY_RATE_MTS, b.part.memory_two_per_channel_rate_mts or 0) for b in boards)  # type: ignore[union-attr]

    def once(key: Any, value: Callable[[], int]) -> int:
        found = known.get(key)
        if found is None:
            found = known[key] = value()
        return found

    def kbs(part: Any) -> int:
        def best() -> int:
            most = max(slots, part.modules)
            milli = max(milli_channels(part.module_mib, part.modules, n, most) for n in range(1, channels + 1))
            return terms.bandwidth_kbs(min(part.rate_mts or ANY_RATE_MTS, fastest), milli)

        return once(("kbs", part.module_mib, part.modules, part.rate_mts, channels, slots, fastest), best)

    bandwidth = {m.key: kbs(m.part) for m in memory}
    kinds = [(d.key, d.part) for d in drives]
    limit = problem.memory_limit_mib

    def memory_term(part: Any, value: int) -> int:
        own = once(("memory", value), lambda: terms.memory_ppm(value, use, reference))
        return own + min(
            once(("capacity", part.module_mib, key), lambda: terms.capacity_ppm(part, drive, use, limit, settings))  # type: ignore[arg-type]
            for key, drive in kinds
        )

    def storage_with(part: Any, drive: Candidate) -> int:
        facts = (part.sata_6g_ports, part.sata_3g_ports, part.sata_1g5_ports, part.m2_slots)
        return once(("storage", facts, drive.key), lambda: terms.storage_ppm(part, drive.part, use, reference, settings))  # type: ignore[arg-type]

    def storage_term(part: Any) -> int:
        return min(storage_with(part, drive) for drive in drives)

    def compute_term(part: Any) -> int:
        def value() -> int:
            return terms.serial_ppm(part, use, reference) + terms.parallel_ppm(part, use, reference)

        return once(("compute", part.serial_score, part.parallel_score), value)

    def graphics(score: int | None, value: int) -> int:
        ways = list(card_ppm)
        if integrated:
            ways.append(once(("graphics", score, value), lambda: terms.integrated_graphics_ppm(score, value, use, reference, settings)))
        return min(ways)

    return Terms(
        {c.key: compute_term(c.part) for c in cpus},
        {m.key: memory_term(m.part, bandwidth[m.key]) for m in memory},
        {b.key: storage_term(b.part) for b in boards},
        bandwidth,
        graphics,
        storage_with,
    )


def time_bounds(pool: Pool) -> Bounds:
    """Least possible time of any plan with a candidate, millionths of the reference time."""
    found = terms_of(pool)
    best_kbs = max(found.bandwidth_kbs.values())
    own_cpu = {c.key: found.compute[c.key] + found.graphics(c.part.graphics_score, best_kbs) for c in pool.left["cpu"]}  # type: ignore[union-attr]
    least_cpu, least_memory, least_board = min(own_cpu.values()), min(found.memory.values()), min(found.storage.values())
    bounds: Bounds = {}
    for key, value in own_cpu.items():
        bounds["cpu", key] = value + least_memory + least_board
    for key, value in found.memory.items():
        bounds["memory", key] = value + least_cpu + least_board
    for key, value in found.storage.items():
        bounds["board", key] = value + least_cpu + least_memory
    return bounds


def cost_bounds(pool: Pool) -> Bounds:
    """Least possible cost of any plan with a candidate, minor units (delivery counts 0)."""
    cost = pool.cost
    memory_of: dict[str | None, int] = defaultdict(lambda: FAR)
    for m in pool.left["memory"]:
        generation = pool.generation(m)
        memory_of[generation] = min(memory_of[generation], cost["memory", m.key])
    anything = min(memory_of.values())
    kept_memory = any(m.kept for m in pool.left["memory"])

    def memory_for(board: Candidate) -> int:
        generation = pool.generation(board)
        if generation is None or (board.kept and kept_memory):
            return anything
        return min(memory_of[generation], memory_of[None])

    cpu_of: dict[str | None, int] = defaultdict(lambda: FAR)
    for c in pool.left["cpu"]:
        cpu_of[pool.socket(c)] = min(cpu_of[pool.socket(c)], cost["cpu", c.key])
    kept_cpu = any(c.kept for c in pool.left["cpu"])
    bounds: Bounds = {}
    rest = pool.rest_cost()
    board_of: dict[str | None, int] = defaultdict(lambda: FAR)
    with_memory: dict[str | None, int] = defaultdict(lambda: FAR)
    for b in pool.left["board"]:
        socket = pool.socket(b)
        alone = cost["board", b.key] + (0 if b.kept and kept_cpu else cpu_of[socket])
        bounds["board", b.key] = alone + memory_for(b) + rest
        board_of[socket] = min(board_of[socket], cost["board", b.key] + memory_for(b))
        generation = pool.generation(b)
        with_memory[generation] = min(with_memory[generation], alone)
    kept_board = next((b for b in pool.left["board"] if b.kept), None)
    for c in pool.left["cpu"]:
        socket = pool.socket(c)
        other = board_of[socket] if socket is not None else FAR
        if c.kept and kept_board is not None:
            other = min(other, memory_for(kept_board))
        bounds["cpu", c.key] = cost["cpu", c.key] + other + rest
    least = min(with_memory.values())
    for m in pool.left["memory"]:
        generation = pool.generation(m)
        other = least if generation is None or m.kept else min(with_memory[generation], with_memory[None])
        bounds["memory", m.key] = cost["memory", m.key] + other + rest
    main = min(bounds.values(), default=FAR) - rest
    for slot in REST:
        own = min(cost[slot, c.key] for c in pool.left[slot])
        for c in pool.left[slot]:
            bounds[slot, c.key] = main + rest - own + cost[slot, c.key]
    return bounds
