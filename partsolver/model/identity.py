"""When two plans are the same choice, and how the model forbids one that was shown.

Two plans differ when they differ in the processor, in the board's rule-relevant facts, in memory size or effective
data rate, or in which kept part is replaced. Supplies and cases that are bought stand in for one another; a bought
drive differs by its speed and size.
"""

from __future__ import annotations

from collections.abc import Container
from dataclasses import fields
from typing import Any

from partsolver.assembly.memory import effective_rate_mts
from partsolver.catalog.records import Board, Case, Cpu, DrivePart, MemoryKit, Psu
from partsolver.model.build import Built
from partsolver.model.picks import Literal
from partsolver.model.views import named_parts
from partsolver.performance.time import FALLBACK_RATE_MTS
from partsolver.problem import Candidate, Parts, Problem

_NOT_RELEVANT = ("id", "name", "maker", "source", "mass_g", "year", "firmware_shipped", "shield", "holes")
BOARD_FACTS = tuple(f.name for f in fields(Board) if f.name not in _NOT_RELEVANT)


def board_facts(candidate: Candidate) -> tuple[Any, ...]:
    """The board's rule-relevant facts; the kept board is like no other."""
    return (candidate.kept, *(getattr(candidate.part, name) for name in BOARD_FACTS))


_CPU_NOT_RELEVANT = ("id", "name", "maker", "source", "mass_g", "serial_score", "parallel_score", "score_origin", "score_error_percent", "base_mhz", "boost_mhz")
_CPU_FACTS = tuple(f.name for f in fields(Cpu) if f.name not in _CPU_NOT_RELEVANT)
# How fast a drive is and what it holds decides the expected time, and no rule.
_OTHER_NOT_RELEVANT = ("id", "name", "maker", "source", "mass_g", "read_mbs", "capacity_gb")
_OTHER_FACTS = {table: tuple(f.name for f in fields(table) if f.name not in _OTHER_NOT_RELEVANT) for table in (MemoryKit, Psu, Case, DrivePart)}


def facts_of(candidate: Candidate, named: Container[str]) -> Any:
    """Everything that a rule about parts reads of a candidate: equal for twins, whom every rule treats alike. ``named``:
    parts that an extra is made for."""
    part: Any = candidate.part
    if candidate.slot == "board":
        own = part.id if part.id in named else ""
        return (*board_facts(candidate), part.firmware_shipped, part.shield, part.holes, part.year, own)
    if candidate.slot == "cpu":
        return (candidate.kept, *(getattr(part, name) for name in _CPU_FACTS))
    if candidate.slot == "memory":
        # The kit's own facts too: beside kept modules the choice only holds what is true of all or any of them.
        kit: MemoryKit | None = part.kit
        own = None if kit is None else tuple(getattr(kit, name) for name in _OTHER_FACTS[MemoryKit])
        return (candidate.kept, part.with_kept, part.generation, part.module, part.module_mib, part.rate_mts, part.registered, part.ecc, part.modules, own)
    if candidate.slot == "cooler":
        cooler = part.cooler
        own = None if cooler is None else (cooler.sockets, cooler.height_mm, cooler.rated_w, cooler.paste_included, cooler.fan_pins)
        return (candidate.kept, part.boxed, own)
    if candidate.slot == "drive" and candidate.kept:
        return (True, part.kept)
    record = part.part if candidate.slot == "drive" else part
    return (candidate.kept, *(getattr(record, name) for name in _OTHER_FACTS[type(record)]))


def kind_of(problem: Problem, candidate: Candidate) -> int:
    """A number that twins share, remembered."""
    known: dict[Any, int]
    numbers: dict[Any, int]
    known, numbers = problem.memo.setdefault(("kinds",), ({}, {}))
    place = (candidate.slot, candidate.key)
    if place not in known:
        known[place] = numbers.setdefault((candidate.slot, facts_of(candidate, named_parts(problem))), len(numbers))
    return known[place]


def memory_size(candidate: Candidate) -> Any:
    """Total capacity."""
    return candidate.part.total_mib  # type: ignore[union-attr]


def replaced(candidate: Candidate) -> Any:
    """Whether the kept part is replaced; for a drive also by what."""
    if candidate.kept or candidate.slot != "drive":
        return candidate.kept
    drive: Any = candidate.part.part  # type: ignore[union-attr]
    return (drive.interface, drive.read_mbs, drive.capacity_gb)


def identity(parts: Parts) -> tuple[Any, ...]:
    """Equal for plans that are the same choice."""
    rate = effective_rate_mts(parts.board, parts.cpu, parts.memory) or FALLBACK_RATE_MTS
    return (
        parts.candidate("cpu").key,
        board_facts(parts.candidate("board")),
        memory_size(parts.candidate("memory")),
        rate,
        *(replaced(parts.candidate(slot)) for slot in ("psu", "case", "drive")),
    )


def forbid(built: Built, parts: Parts) -> None:
    """No plan of the same identity any more: one clause."""
    picks = built.picks
    rate = effective_rate_mts(parts.board, parts.cpu, parts.memory) or FALLBACK_RATE_MTS
    literals: list[Literal] = [
        picks.literal("cpu", parts.candidate("cpu").key),
        picks.classes("board", "identity", board_facts)[board_facts(parts.candidate("board"))],
        picks.classes("memory", "identity", memory_size)[memory_size(parts.candidate("memory"))],
        picks.levels.rate[rate],
    ]
    for slot in ("psu", "case", "drive"):
        literals.append(picks.classes(slot, "identity", replaced)[replaced(parts.candidate(slot))])  # type: ignore[arg-type]
    built.model.add_bool_or([~literal for literal in literals])
