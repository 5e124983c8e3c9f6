"""The memory in all is no more than board and processor take.

Two findings: the board's limit and the processor's. More than the limit may leave the PC without start, so it
is refused and not counted as unused. Where a module's capacity is not known, the known ones must fit by
themselves. What is together in the PC today works. Not checked: memory taken by integrated graphics.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.modules import (
    least_total_mib,
    memory_ids,
    memory_question,
    module_sets,
    part_question,
    together_today,
)
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_most, fits, unknown
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "memory.capacity"
STATEMENT = "The memory in all is within the limits of board and processor."
SOURCE = (
    "board manual and processor data sheet; common practice (memory reference, 1.3: rule for maximum memory)"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "memory")
READS: Reads = {
    "board": ("memory_max_mib",),
    "cpu": ("memory_max_mib",),
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
SURVEY: tuple[str, ...] = ()


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    return (_against(draft, problem, "board"), _against(draft, problem, "cpu"))


def _against(draft: Draft, problem: Problem, slot: SlotName) -> Finding:
    parts = draft.parts
    part = parts.board if slot == "board" else parts.cpu
    ids = (*memory_ids(parts.memory), part.id)
    by = "board" if slot == "board" else "processor"
    total, limit = least_total_mib(parts.memory, problem), part.memory_max_mib
    missing = next((s for s in module_sets(parts.memory, problem) if s.capacity_mib is None), None)
    if together_today(parts, slot, "memory"):
        if missing is not None or limit is None:
            return fits(ID, ids, today="yes", by=by)
        return at_most(ID, total, max(total, limit), "MiB", ids, by=by, today="yes")
    if limit is not None and total > limit:
        return at_most(ID, total, limit, "MiB", ids, by=by)
    if missing is not None:
        return unknown(ID, memory_question(parts.memory, "capacity_mib", missing.kept), ids, by=by)
    if limit is None:
        return unknown(
            ID, part_question(parts.candidate(slot), "memory_max_mib"), ids, by=by, total_mib=total
        )
    return at_most(ID, total, limit, "MiB", ids, by=by)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    def total(candidate: Candidate) -> tuple[int, bool]:
        return least_total_mib(candidate.part, problem), candidate.kept  # type: ignore[arg-type]

    for slot in ("board", "cpu"):
        picks.support(
            ("memory", slot),
            (f"{ID} total", f"{ID} limit"),
            (total, lambda c: (c.part.memory_max_mib, c.kept)),
            lambda memory, part: (memory[1] and part[1]) or part[0] is None or memory[0] <= part[0],
            on,
        )
