"""A 32-bit system uses 4 GiB of memory at most; the rest lies idle. Never refuses: the rest costs money, not
function.

Somewhat less than 4 GiB is usable, because graphics and cards take addresses too (how much depends on the
PC). Applies to the system that the survey keeps. Not checked: editions that reach more by address extension.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.modules import memory_ids, memory_question, module_sets
from partsolver.assembly.system import kept_system
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "memory.os_limit"
STATEMENT = "The operating system can use the memory."
SOURCE = "32-bit address space, 2^32 bytes = 4 GiB; common practice"
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("memory",)
READS: Reads = {"memory": ("present", "total_mib", "with_kept")}
SURVEY: tuple[str, ...] = ("os",)
REFUSES = False


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    system = kept_system(problem)
    if system is None or system.memory_limit_mib is None:
        return ()
    memory = draft.parts.memory
    total = memory.total_mib
    if total is None:
        missing = next(s for s in module_sets(memory, problem) if s.capacity_mib is None)
        return (unknown(ID, memory_question(memory, "capacity_mib", missing.kept), memory_ids(memory)),)
    usable = min(total, system.memory_limit_mib)
    facts = (("bits", system.bits), ("family", system.id), ("idle_mib", total - usable))
    return (Finding(ID, "fits", usable, total, unit="MiB", parts=memory_ids(memory), facts=facts),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    """Nothing to refuse: idle memory enters the expected time and the brief's least memory as not there."""
