"""There is as much memory as the system needs at least.

The least is the vendor's figure or a setting; comfortable work needs more (the use's working set counts
that). Memory a 32-bit system cannot use does not count.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.modules import least_total_mib, memory_ids, memory_question, module_sets
from partsolver.assembly.system import excused, kept_system, other_system, same_system
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_least, fits, unknown
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "os.memory"
STATEMENT = "There is as much memory as the operating system needs at least."
SOURCE = "requirement pages; settings *_min_memory_mib"
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "memory")
READS: Reads = {
    "board": (),
    "cpu": (),
    "memory": (
        "kit.ecc",
        "kit.module_mib",
        "kit.modules",
        "kit.rate_mts",
        "kit.registered",
        "kits",
        "present",
        "with_kept",
    ),
}
SURVEY: tuple[str, ...] = ("os",)


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    system = kept_system(problem)
    if system is None:
        return ()
    parts = draft.parts
    memory, least = parts.memory, system.min_memory_mib
    total = least_total_mib(memory, problem)
    usable = total if system.memory_limit_mib is None else min(total, system.memory_limit_mib)
    if usable >= least:
        return (at_least(ID, usable, least, "MiB", memory_ids(memory), family=system.id),)
    missing = next((s for s in module_sets(memory, problem) if s.capacity_mib is None), None)
    if missing is not None:
        question = memory_question(memory, "capacity_mib", missing.kept)
        return (unknown(ID, question, memory_ids(memory), family=system.id, least_mib=least),)
    if excused(parts, problem, "memory"):
        return (fits(ID, memory_ids(memory), usable, family=system.id, least_mib=least, short="yes"),)
    return (at_least(ID, usable, least, "MiB", memory_ids(memory), family=system.id),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    system = kept_system(problem)
    if system is None:
        return

    def too_little(candidate: Candidate) -> bool:
        sets = module_sets(candidate.part, problem)  # type: ignore[arg-type]
        if candidate.kept and same_system(problem):
            return False
        if any(s.capacity_mib is None for s in sets):
            return False
        total = sum(s.capacity_mib * s.count for s in sets)  # type: ignore[operator, misc]
        limit = system.memory_limit_mib
        return (total if limit is None else min(total, limit)) < system.min_memory_mib

    short = picks.classes("memory", f"{ID} too little", too_little).get(True)
    if short is None:
        return
    if other_system(problem):
        picks.clause([~short], on)
        return
    for slot in ("board", "cpu"):
        kept = picks.classes(slot, "kept", lambda c: c.kept).get(True)
        picks.clause([~short, *([] if kept is None else [kept])], on)
