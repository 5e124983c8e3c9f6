"""There is a slot for every module; a module of the PC stays out only where there is none.

The modules that are kept in part are the largest (``problem/memory_choices.py``). Not checked: leaving
modules out for a higher data rate, which slots to fill first (the board's manual says it), a slot covered by
a large cooler.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.modules import memory_ids, part_question, together_today
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_most, fails, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "memory.slots"
STATEMENT = "The board has a slot for every module; a present module stays out only where there is none."
SOURCE = "board manual; common practice"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "memory")
READS: Reads = {"board": ("memory_slots",), "memory": ("left_out", "modules", "with_kept")}
SURVEY: tuple[str, ...] = ("memory",)


def _sit_today(problem: Problem, board_kept: bool) -> int:
    """Modules that sit in the board today: so many slots it has at least."""
    return sum(module.count for module in problem.survey.memory) if board_kept else 0


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    slots, modules = parts.board.memory_slots, parts.memory.modules
    ids = (*memory_ids(parts.memory), parts.board.id)
    if together_today(parts, "board", "memory"):
        return (at_most(ID, modules, max(slots or 0, modules), "modules", ids, today="yes"),)
    out = parts.memory.left_out
    if out and modules < (_sit_today(problem, parts.board_kept) if slots is None else slots):
        return (fails(ID, ids, modules, slots, needless=out),)
    if slots is None:
        return (unknown(ID, part_question(parts.candidate("board"), "memory_slots"), ids, modules=modules),)
    facts = {"left_out": out} if out else {}
    return (at_most(ID, modules, slots, "modules", ids, **facts),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    picks.support(
        ("memory", "board"),
        (f"{ID} modules", f"{ID} slots"),
        (
            lambda c: (c.part.modules, c.part.left_out, c.kept),
            lambda c: (c.part.memory_slots, c.kept, _sit_today(problem, c.kept)),
        ),
        _has_room,
        on,
    )


def _has_room(memory: tuple[int, int, bool], board: tuple[int | None, bool, int]) -> bool:
    """Whether a number of modules has slots, and those left out have none."""
    (modules, left_out, memory_kept), (slots, board_kept, today) = memory, board
    if memory_kept and board_kept:
        return True
    if slots is None:
        return not left_out or modules >= today
    return modules == slots or (modules < slots and not left_out)
