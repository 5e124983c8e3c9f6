"""The modules are of the generation of the board's slots, and the processor drives that generation.

Modules of another generation do not go in: the notch is elsewhere (JEDEC), so a wrong guess costs a return,
not a part, and an unknown lets the plan stand. A board whose generation is not known is judged through its
modules. Low-voltage variants: memory.voltage.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.modules import memory_ids, memory_question, part_question, together_today
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fails, fits, unknown
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "memory.generation"
STATEMENT = "The modules are of the board's memory generation and the processor drives it."
SOURCE = "JEDEC JESD79-2 to -5 (contacts and notches); processor data sheets, section memory controller"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "memory")
READS: Reads = {
    "board": ("memory_generation",),
    "cpu": ("memory_rates",),
    "memory": ("generation", "with_kept"),
}
SURVEY: tuple[str, ...] = ()


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    return (_modules(draft), _processor(draft))


def _modules(draft: Draft) -> Finding:
    parts = draft.parts
    board, memory = parts.board.memory_generation, parts.memory.generation
    ids = (*memory_ids(parts.memory), parts.board.id)
    if together_today(parts, "board", "memory"):
        return fits(ID, ids, memory or board, today="yes")
    if board is None:
        return unknown(ID, part_question(parts.candidate("board"), "memory_generation"), ids)
    if memory is None:
        return unknown(ID, memory_question(parts.memory, "generation"), ids)
    return fits(ID, ids, memory) if memory == board else fails(ID, ids, memory, board)


def _processor(draft: Draft) -> Finding:
    parts = draft.parts
    board, cpu = parts.board, parts.cpu
    ids = (cpu.id, board.id)
    generation = board.memory_generation or parts.memory.generation
    # The present pair works today with the generation of its board, or with its modules where that is not
    # known.
    paired = ("board", "cpu") if board.memory_generation else ("board", "cpu", "memory")
    if together_today(parts, *paired):
        return fits(ID, ids, generation, today="yes", processor="yes")
    if cpu.memory_rates is None:
        return unknown(ID, part_question(parts.candidate("cpu"), "memory_rates"), ids, processor="yes")
    if generation is None:
        return unknown(ID, part_question(parts.candidate("board"), "memory_generation"), ids, processor="yes")
    known = [name for name, _ in cpu.memory_rates]
    if generation in known:
        return fits(ID, ids, generation, processor="yes")
    return fails(ID, ids, generation, " ".join(known) or "none", processor="yes")


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    picks.support(
        ("memory", "board"),
        (f"{ID} modules", f"{ID} slots"),
        (_generation_of_modules, _generation_of_slots),
        lambda memory, board: (
            (memory[1] and board[1]) or None in (memory[0], board[0]) or memory[0] == board[0]
        ),
        on,
    )
    boards = picks.classes("board", f"{ID} slots", _generation_of_slots)
    modules = picks.classes("memory", f"{ID} modules", _generation_of_modules)
    cpus = picks.classes("cpu", f"{ID} driven", _driven)
    for (slots, board_kept), board in boards.items():
        if slots is not None:
            partners = [
                lit
                for (driven, kept), lit in cpus.items()
                if driven is None or slots in driven or (board_kept and kept)
            ]
            picks.clause([~board, *partners], on)
            continue
        for (generation, memory_kept), memory in modules.items():
            if generation is not None:
                partners = [
                    lit
                    for (driven, kept), lit in cpus.items()
                    if driven is None or generation in driven or (board_kept and memory_kept and kept)
                ]
                picks.clause([~board, ~memory, *partners], on)


def _generation_of_slots(candidate: Candidate) -> tuple[str | None, bool]:
    return candidate.part.memory_generation, candidate.kept  # type: ignore[union-attr]


def _generation_of_modules(candidate: Candidate) -> tuple[str | None, bool]:
    return candidate.part.generation, candidate.kept  # type: ignore[union-attr]


def _driven(candidate: Candidate) -> tuple[frozenset[str] | None, bool]:
    rates = candidate.part.memory_rates  # type: ignore[union-attr]
    return None if rates is None else frozenset(name for name, _ in rates), candidate.kept
