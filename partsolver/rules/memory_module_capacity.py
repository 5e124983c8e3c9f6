"""No module is larger than the board's memory controller takes per module.

Boards of one generation differ: many DDR3 platforms take chips of 4 Gbit only, hence modules of 8 GiB. Where
the board states no limit, modules up to the usual size of their generation (settings
*_usual_module_mib) are taken for granted; a larger one is an open question. Present modules on the
present board work today. Their chips: memory.organisation.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from partsolver.assembly.modules import (
    memory_ids,
    memory_question,
    module_sets,
    part_question,
)
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_most, fits, unknown
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "memory.module_capacity"
STATEMENT = "No module is larger than the board takes per slot."
SOURCE = "board manual; encyclopaedia texts on DDR2 and DDR3 densities (memory reference, 1.3)"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "memory")
READS: Reads = {
    "board": ("memory_generation", "memory_max_module_mib"),
    "memory": (
        "generation",
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


def _usual_mib(generation: str | None, settings: Mapping[str, int]) -> int | None:
    return settings.get(f"{generation}_usual_module_mib")


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    limit = parts.board.memory_max_module_mib
    ids = (*memory_ids(parts.memory), parts.board.id)
    # Modules that sit on this board today need no proof.
    sets = [s for s in module_sets(parts.memory, problem) if not (parts.board_kept and s.kept)]
    if not sets:
        return (fits(ID, ids, today="yes"),)
    known = [s.capacity_mib for s in sets if s.capacity_mib is not None]
    if limit is not None and any(mib > limit for mib in known):
        return (at_most(ID, max(known), limit, "MiB", ids),)
    missing = next((s for s in sets if s.capacity_mib is None), None)
    if missing is not None:
        return (unknown(ID, memory_question(parts.memory, "capacity_mib", missing.kept), ids),)
    largest = max(known)
    if limit is None:
        usual = _usual_mib(parts.board.memory_generation or parts.memory.generation, problem.settings)
        if usual is None or largest > usual:
            question = part_question(parts.candidate("board"), "memory_max_module_mib")
            return (unknown(ID, question, ids, largest_mib=largest),)
        return (at_most(ID, largest, usual, "MiB", ids, basis="usual"),)
    return (at_most(ID, largest, limit, "MiB", ids),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    def sizes(candidate: Candidate) -> tuple[tuple[bool, int], ...]:
        """(whether it is kept, MiB) of the modules whose capacity is known."""
        sets = module_sets(candidate.part, problem)  # type: ignore[arg-type]
        return tuple((s.kept, s.capacity_mib) for s in sets if s.capacity_mib is not None)

    def compatible(modules: tuple[tuple[bool, int], ...], board: tuple[int | None, bool]) -> bool:
        limit, board_kept = board
        return limit is None or all(mib <= limit for kept, mib in modules if not (kept and board_kept))

    picks.support(
        ("memory", "board"),
        (f"{ID} sizes", f"{ID} limit"),
        (sizes, lambda c: (c.part.memory_max_module_mib, c.kept)),
        compatible,
        on,
    )
