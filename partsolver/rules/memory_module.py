"""The modules have the size of the board's slots: desktop DIMM or the small SO-DIMM.

The two have different contacts and lengths in every generation, so a wrong one does not go in. Not checked:
adapters from SO-DIMM to DIMM (unreliable; common practice).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.modules import memory_ids, memory_question, part_question, together_today
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fails, fits, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "memory.module"
STATEMENT = "The modules are of the kind (DIMM or SO-DIMM) the board's slots take."
SOURCE = "JEDEC module outlines: contacts by generation and kind"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "memory")
READS: Reads = {"board": ("memory_module",), "memory": ("module", "with_kept")}
SURVEY: tuple[str, ...] = ()


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    board, memory = parts.board.memory_module, parts.memory.module
    ids = (*memory_ids(parts.memory), parts.board.id)
    if together_today(parts, "board", "memory"):
        return (fits(ID, ids, memory or board, today="yes"),)
    if board is None:
        return (unknown(ID, part_question(parts.candidate("board"), "memory_module"), ids),)
    if memory is None:
        return (unknown(ID, memory_question(parts.memory, "module"), ids),)
    return (fits(ID, ids, memory) if memory == board else fails(ID, ids, memory, board),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    picks.support(
        ("memory", "board"),
        (f"{ID} kind", f"{ID} slots"),
        (lambda c: (c.part.module, c.kept), lambda c: (c.part.memory_module, c.kept)),
        lambda memory, board: (
            (memory[1] and board[1]) or None in (memory[0], board[0]) or memory[0] == board[0]
        ),
        on,
    )
