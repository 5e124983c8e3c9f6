"""When two plans are the same choice, and how the model forbids one that was shown.

Two plans differ when they differ in the processor, in the board's rule-relevant facts, in memory size or
effective data rate, or in which kept part is replaced. Supplies and cases that are bought stand in for one
another; a bought drive differs by its speed and size; a bought graphics card by
its score where the use pays for it.
"""

from __future__ import annotations

from collections.abc import Callable, Container
from dataclasses import fields
from operator import attrgetter
from typing import Any

from partsolver.assembly.memory import effective_rate_mts
from partsolver.catalog.records import Board, Case, Cpu, DrivePart, GraphicsPart, MemoryKit, Psu
from partsolver.performance.law import FALLBACK_RATE_MTS
from partsolver.problem.candidates import Candidate, Parts, SlotName
from partsolver.problem.problem import Problem

_NOT_RELEVANT = (
    "id",
    "name",
    "maker",
    "source",
    "mass_g",
    "year",
    "firmware_shipped",
    "shield",
    "holes",
    "revision",
)
BOARD_FACTS = tuple(f.name for f in fields(Board) if f.name not in _NOT_RELEVANT)
_board_facts = attrgetter(*BOARD_FACTS)


def board_facts(candidate: Candidate) -> tuple[Any, ...]:
    """The board's rule-relevant facts; the kept board is like no other."""
    return (candidate.kept, *_board_facts(candidate.part))


_CPU_NOT_RELEVANT = (
    "id",
    "name",
    "maker",
    "source",
    "mass_g",
    "serial_score",
    "parallel_score",
    "score_origin",
    "score_error_percent",
    "score_scale",
    "base_mhz",
    "boost_mhz",
)
_cpu_facts = attrgetter(*(f.name for f in fields(Cpu) if f.name not in _CPU_NOT_RELEVANT))
# How fast a drive is decides the expected time, and no rule; how high a module is and how long the main lead
# are only said.
_OTHER_NOT_RELEVANT = (
    "id",
    "name",
    "maker",
    "source",
    "mass_g",
    "read_mbs",
    "module_height_mm",
    "main_lead_mm",
)
_other_facts = {
    table: attrgetter(*(f.name for f in fields(table) if f.name not in _OTHER_NOT_RELEVANT))
    for table in (MemoryKit, Psu, Case, DrivePart, GraphicsPart)
}
# What rules read of a memory kit.
kit_facts = _other_facts[MemoryKit]
_memory_facts = attrgetter(
    "with_kept",
    "generation",
    "module",
    "module_mib",
    "rate_mts",
    "registered",
    "ecc",
    "modules",
    "present",
    "left_out",
    "seen_mib",
)
_cooler_facts = attrgetter("sockets", "height_mm", "rated_w", "paste_included", "fan_pins", "back_plate")


def facts_of(candidate: Candidate, named: Container[str]) -> Any:
    """Everything that a rule about parts reads of a candidate: equal for twins, whom every rule treats alike.
    ``named``: parts that an extra is made for."""
    part: Any = candidate.part
    if candidate.slot == "board":
        own = part.id if part.id in named else ""
        return (*board_facts(candidate), part.firmware_shipped, part.shield, part.holes, part.year, own)
    if candidate.slot == "cpu":
        return (candidate.kept, *_cpu_facts(part))
    if candidate.slot == "memory":
        # The kit's own facts too: beside kept modules the choice only holds what is true of all or any of
        # them.
        kit: MemoryKit | None = part.kit
        own = None if kit is None else kit_facts(kit)
        return (candidate.kept, *_memory_facts(part), own)
    if candidate.slot == "cooler":
        cooler = part.cooler
        return (candidate.kept, part.boxed, None if cooler is None else _cooler_facts(cooler))
    if candidate.slot == "drive" and candidate.kept:
        return (True, part.kept)
    if candidate.slot == "graphics" and candidate.kept:
        return (True,)
    record = part.part if candidate.slot == "drive" else part.bought if candidate.slot == "graphics" else part
    return (candidate.kept, *_other_facts[type(record)](record))


def kind_of(problem: Problem, candidate: Candidate) -> int:
    """A number that twins share, remembered."""
    kinds = problem.store.kinds
    found = kinds.by_candidate.get(candidate)
    if found is None:
        facts = (candidate.slot, facts_of(candidate, named_parts(problem)))
        found = kinds.by_candidate[candidate] = kinds.by_facts.setdefault(facts, len(kinds.by_facts))
    return found


def memory_size(candidate: Candidate) -> Any:
    """Total capacity."""
    return candidate.part.total_mib  # type: ignore[union-attr]


def replaced(candidate: Candidate) -> Any:
    """Whether the kept part is replaced; for a drive also by what."""
    if candidate.slot == "graphics":
        return candidate.part.counted_score  # type: ignore[union-attr]
    if candidate.kept or candidate.slot != "drive":
        return candidate.kept
    drive: Any = candidate.part.part  # type: ignore[union-attr]
    return (drive.interface, drive.read_mbs, drive.capacity_gb)


def _own(candidate: Candidate) -> Any:
    """The same processor from another seller, with or without the cooler of its box, is the same choice."""
    return candidate.id or candidate.key


# By slot: equal for candidates that may make the same choice (of memory the rate counts too, which takes
# board and processor).
IDENTITIES: dict[SlotName, Callable[[Candidate], Any]] = {
    "cpu": _own,
    "board": board_facts,
    "memory": memory_size,
    "psu": replaced,
    "case": replaced,
    "drive": replaced,
    "graphics": replaced,
}


def identity(parts: Parts) -> tuple[Any, ...]:
    """Equal for plans that are the same choice."""
    rate = effective_rate_mts(parts.board, parts.cpu, parts.memory) or FALLBACK_RATE_MTS
    return (*(same(parts.candidate(slot)) for slot, same in IDENTITIES.items()), rate)


def named_parts(problem: Problem) -> frozenset[str]:
    """What the extras go with: words of the trade, and the boards that a shield or a firmware update is made
    for."""
    found = problem.store.named_parts
    if found is None:
        found = problem.store.named_parts = frozenset(
            taken for extra in problem.extras.values() for taken in extra.takes
        )
    return found
