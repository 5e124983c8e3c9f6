"""There is a slot for every module.

Not checked: which slots to fill first (the board's manual says it), a slot covered by a large cooler.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.modules import memory_ids, part_question, together_today
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_most, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "memory.slots"
STATEMENT = "The board has a slot for every module."
SOURCE = "board manual; common practice"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "memory")
READS: Reads = {"board": ("memory_slots",), "memory": ("modules", "with_kept")}
SURVEY: tuple[str, ...] = ()


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    slots, modules = parts.board.memory_slots, parts.memory.modules
    ids = (*memory_ids(parts.memory), parts.board.id)
    if together_today(parts, "board", "memory"):
        return (at_most(ID, modules, max(slots or 0, modules), "modules", ids, today="yes"),)
    if slots is None:
        return (unknown(ID, part_question(parts.candidate("board"), "memory_slots"), ids, modules=modules),)
    return (at_most(ID, modules, slots, "modules", ids),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    picks.support(
        ("memory", "board"),
        (f"{ID} modules", f"{ID} slots"),
        (lambda c: (c.part.modules, c.kept), lambda c: (c.part.memory_slots, c.kept)),
        lambda memory, board: (memory[1] and board[1]) or board[0] is None or memory[0] <= board[0],
        on,
    )
