"""Memory modules as sets: what each kit and each row of the survey brings; names and question paths for
findings.

A ``MemoryChoice`` sums its modules up; rules about buffering and capacity have to look at every set by
itself, because one bad module is enough.
"""

from __future__ import annotations

from partsolver.base.records import record
from partsolver.problem.candidates import KEPT_MEMORY, Candidate, MemoryChoice, Parts, SlotName
from partsolver.problem.problem import Problem

# What the survey calls a fact of modules -> the catalogue's column of it.
_COLUMN_OF = {"capacity_mib": "module_mib"}


@record
class ModuleSet:
    """Equal modules: from a new kit, or from one row of the survey (``kept``). None where not known."""

    kept: bool
    registered: bool | None
    ecc: bool | None
    capacity_mib: int | None
    rate_mts: int | None
    count: int


def module_sets(memory: MemoryChoice, problem: Problem) -> tuple[ModuleSet, ...]:
    """The sets of modules of a memory choice, new ones first."""
    sets = []
    if memory.kit is not None:
        kit = memory.kit
        count = memory.kits * (kit.modules or 1)
        sets.append(ModuleSet(False, kit.registered, kit.ecc, kit.module_mib, kit.rate_mts, count))
    if memory.with_kept:
        sets += [
            ModuleSet(True, m.registered, m.ecc, m.capacity_mib, m.rate_mts, m.count) for m in memory.present
        ]
    return tuple(sets)


@record
class ModuleMake:
    """How equal modules are made: voltage (mV), chips without those for error correction, ranks. None
    where not known."""

    kept: bool
    capacity_mib: int | None
    voltage_mv: int | None
    chips: int | None
    ranks: int | None


def module_makes(memory: MemoryChoice) -> tuple[ModuleMake, ...]:
    """How the modules of a choice are made, new ones first."""
    kit = memory.kit
    new = () if kit is None else (ModuleMake(False, kit.module_mib, kit.voltage_mv, kit.chips, kit.ranks),)
    present = memory.present if memory.with_kept else ()
    return (
        *new,
        *(ModuleMake(True, m.capacity_mib, m.voltage_mv, m.chips, m.ranks) for m in present),
    )


def least_total_mib(memory: MemoryChoice, problem: Problem) -> int:
    """Capacity of the modules whose capacity is known: the whole, or a lower bound of it."""
    return sum((s.capacity_mib or 0) * s.count for s in module_sets(memory, problem))


def memory_ids(memory: MemoryChoice) -> tuple[str, ...]:
    """Ids of the kit and of the present modules, as far as the choice has them."""
    kit = () if memory.kit is None else (memory.kit.id,)
    return (*kit, KEPT_MEMORY) if memory.with_kept else kit


def memory_question(memory: MemoryChoice, fact: str, kept: bool | None = None) -> str:
    """Path of a missing fact of the modules: the survey's when present modules take part (or ``kept`` says
    so)."""
    of_survey = memory.with_kept if kept is None else kept
    if of_survey or memory.kit is None:
        return f"memory.{fact}"
    return f"memory:{memory.kit.id}.{_COLUMN_OF.get(fact, fact)}"


def part_question(candidate: Candidate, fact: str) -> str:
    """Path of a missing fact of a board, processor or case: ``board.socket`` or ``board:<id>.socket``."""
    return f"{candidate.slot}.{fact}" if candidate.kept else f"{candidate.slot}:{candidate.id}.{fact}"


def together_today(parts: Parts, *slots: SlotName) -> bool:
    """Whether these slots all hold what the PC has now: that works today."""
    return all(parts.candidate(slot).kept for slot in slots)
