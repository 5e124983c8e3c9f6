"""Modules that were not tested together (present and new ones, several kits): a warning, never a refusal.

Mixed modules usually work; a pair that was not made together may run slower or not start, most of all with
two in a channel (Intel support article 000088926). Whether they do shows only in the PC: keep the right to
return the new ones and run a memory test. What can be known (generation, kind, buffering, capacity) is judged
by the other rules.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.memory import modules_per_channel
from partsolver.assembly.modules import memory_ids, module_sets
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fits
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "memory.mixing"
STATEMENT = "Modules that were not sold as one set may run slower together or not start; the new ones can be returned."
SOURCE = "Intel support article 000088926; common practice"
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("board", "memory")
READS: Reads = {
    "board": ("memory_channels",),
    "memory": (
        "kit.ecc",
        "kit.module_mib",
        "kit.modules",
        "kit.rate_mts",
        "kit.registered",
        "kits",
        "mixed",
        "modules",
        "present",
        "with_kept",
    ),
}
SURVEY: tuple[str, ...] = ()
REFUSES = False


def _returns_days(draft: Draft, problem: Problem) -> int | None:
    """Days the seller of the new modules takes them back; None when nothing is bought yet."""
    line = next((ln for ln in draft.lines if ln.slot == "memory"), None)
    source = None if line is None else line.offer or line.bundle
    return None if source is None else problem.sellers[source.seller].returns_days


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    memory = draft.parts.memory
    if not memory.mixed:
        return _two_kits(draft, problem)
    sets = module_sets(memory, problem)
    facts: dict[str, int | str] = {
        "mixed": "yes",
        "new": sum(s.count for s in sets if not s.kept),
        "kept": sum(s.count for s in sets if s.kept),
    }
    if len({s.rate_mts for s in sets}) > 1:
        facts["rates"] = "differ"
    if len({s.ecc for s in sets}) > 1:
        facts["ecc"] = "differ"
    if modules_per_channel(draft.parts.board, memory.modules) > 1:
        facts["two_per_channel"] = "yes"
    days = _returns_days(draft, problem)
    if days is not None:
        facts["returns_days"] = days
    return (fits(ID, memory_ids(memory), **facts),)


def _two_kits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    """Several kits of one kind were each tested alone: their chips may be of different make."""
    memory = draft.parts.memory
    if memory.kits < 2:
        return ()
    facts: dict[str, int | str] = {"kits": memory.kits, "new": memory.modules}
    if modules_per_channel(draft.parts.board, memory.modules) > 1:
        facts["two_per_channel"] = "yes"
    days = _returns_days(draft, problem)
    if days is not None:
        facts["returns_days"] = days
    return (fits(ID, memory_ids(memory), **facts),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    """Nothing to refuse."""
