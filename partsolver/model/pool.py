"""Candidates still in play while pruning, and the least time and cost of any plan with each of them.

Lower bounds: time is a sum of terms (performance/time.py); the least of a candidate's own terms plus the least of all
others. Cost: its cheapest allowed price plus the cheapest board, processor and memory that go with it.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from typing import Any

from partsolver.assembly.cards import graphics_card
from partsolver.assembly.memory import milli_channels
from partsolver.performance import time as terms
from partsolver.problem import SLOTS, Candidate, Problem, SlotName

FAR = 10**15
Bounds = dict[tuple[SlotName, str], int]


@dataclass
class Pool:
    """Candidates still in play, with the cheapest allowed price of each."""

    problem: Problem
    left: dict[SlotName, list[Candidate]]
    price: dict[tuple[SlotName, str], int]

    def _memo(self) -> dict[Any, Any]:
        """What stays true with fewer candidates: all but which bundles can be used."""
        return {key: value for key, value in self.problem.memo.items() if not (isinstance(key, tuple) and key[0] == "bundle groups")}

    def restricted(self) -> Problem:
        return replace(self.problem, candidates={slot: tuple(self.left[slot]) for slot in SLOTS}, memo=self._memo())


def is_pair(board: Candidate, cpu: Candidate) -> bool:
    a, b = board.part.socket, cpu.part.socket  # type: ignore[union-attr]
    return (board.kept and cpu.kept) or (a is not None and a == b)


def time_bounds(pool: Pool) -> Bounds:
    """Least possible time of any plan with a candidate, millionths of the reference time."""
    problem = pool.problem
    use, reference, settings = problem.use, problem.catalog.reference, problem.settings
    boards, cpus, memory, drives = (pool.left[s] for s in ("board", "cpu", "memory", "drive"))  # type: ignore[index]
    cards = {graphics_card(problem, b.part, k.part) for b in boards for k in pool.left["case"]}  # type: ignore[arg-type]
    card_ppm = [terms.card_graphics_ppm(card, use, reference) for card in cards if card is not None]
    most_channels = max(max(b.part.memory_channels or 1 for b in boards), 1)  # type: ignore[union-attr]
    most_slots = max(max(b.part.memory_slots or 1 for b in boards), most_channels)  # type: ignore[union-attr]
    kbs = {}
    for choice in memory:
        part: Any = choice.part
        milli = max(milli_channels(part.module_mib, part.modules, n, max(most_slots, part.modules)) for n in range(1, most_channels + 1))
        kbs[choice.key] = terms.bandwidth_kbs(part.rate_mts or 20_000, milli)
    best_kbs = max(kbs.values())
    memory_ppm = {key: terms.memory_ppm(value, use, reference) for key, value in kbs.items()}
    storage = {
        b.key: min(terms.storage_ppm(b.part, d.part, use, reference, settings) for d in drives) for b in boards  # type: ignore[arg-type]
    }
    capacity = {
        m.key: min(terms.capacity_ppm(m.part, d.part, use, problem.memory_limit_mib, settings) for d in drives) for m in memory  # type: ignore[arg-type]
    }
    graphics = {}
    no_card = None in cards
    for c in cpus:
        cpu: Any = c.part
        ways = list(card_ppm)
        if no_card:
            ways.append(terms.integrated_graphics_ppm(cpu.graphics_score, best_kbs, use, reference, settings))
        graphics[c.key] = min(ways)
    compute = {c.key: terms.serial_ppm(c.part, use, reference) + terms.parallel_ppm(c.part, use, reference) for c in cpus}  # type: ignore[arg-type]
    own_cpu = {key: compute[key] + graphics[key] for key in compute}
    own_memory = {key: memory_ppm[key] + capacity[key] for key in memory_ppm}
    least_cpu, least_memory, least_board = min(own_cpu.values()), min(own_memory.values()), min(storage.values())
    bounds: Bounds = {}
    for key, value in own_cpu.items():
        bounds["cpu", key] = value + least_memory + least_board
    for key, value in own_memory.items():
        bounds["memory", key] = value + least_cpu + least_board
    for key, value in storage.items():
        bounds["board", key] = value + least_cpu + least_memory
    return bounds


def cost_bounds(pool: Pool) -> Bounds:
    """Least possible cost of any plan with a candidate, minor units (delivery and extras count 0)."""
    price = pool.price
    memory_of: dict[str | None, int] = defaultdict(lambda: FAR)
    for m in pool.left["memory"]:
        generation = m.part.generation  # type: ignore[union-attr]
        memory_of[generation] = min(memory_of[generation], price["memory", m.key])
    anything = min(memory_of.values())
    kept_memory = any(m.kept for m in pool.left["memory"])

    def memory_for(board: Candidate) -> int:
        generation = board.part.memory_generation  # type: ignore[union-attr]
        if generation is None or (board.kept and kept_memory):
            return anything
        return min(memory_of[generation], memory_of[None])

    cpu_of: dict[str | None, int] = defaultdict(lambda: FAR)
    for c in pool.left["cpu"]:
        cpu_of[c.part.socket] = min(cpu_of[c.part.socket], price["cpu", c.key])  # type: ignore[union-attr]
    kept_cpu = any(c.kept for c in pool.left["cpu"])
    bounds: Bounds = {}
    board_of: dict[str | None, int] = defaultdict(lambda: FAR)
    with_memory: dict[str | None, int] = defaultdict(lambda: FAR)
    for b in pool.left["board"]:
        socket = b.part.socket  # type: ignore[union-attr]
        alone = price["board", b.key] + (0 if b.kept and kept_cpu else cpu_of[socket])
        bounds["board", b.key] = alone + memory_for(b)
        board_of[socket] = min(board_of[socket], price["board", b.key] + memory_for(b))
        generation = b.part.memory_generation  # type: ignore[union-attr]
        with_memory[generation] = min(with_memory[generation], alone)
    kept_board = next((b for b in pool.left["board"] if b.kept), None)
    for c in pool.left["cpu"]:
        other = board_of[c.part.socket] if c.part.socket is not None else FAR  # type: ignore[union-attr]
        if c.kept and kept_board is not None:
            other = min(other, memory_for(kept_board))
        bounds["cpu", c.key] = price["cpu", c.key] + other
    least = min(with_memory.values())
    for m in pool.left["memory"]:
        generation = m.part.generation  # type: ignore[union-attr]
        other = least if generation is None or m.kept else min(with_memory[generation], with_memory[None])
        bounds["memory", m.key] = price["memory", m.key] + other
    return bounds


