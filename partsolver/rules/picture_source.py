"""Something makes the picture: a kept graphics card that has a place, or the processor's integrated graphics.

Integrated graphics need a processor that has them and a board with video outputs. Without either the PC beeps
and stays dark. A card without a UEFI part in its firmware stays dark on a board that starts in UEFI mode
only: a remark, since old cards can often be updated and the survey rarely knows.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.cards import graphics_card
from partsolver.assembly.plugs import all_kept, question
from partsolver.catalog.records import Case
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fails, fits, unknown
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "picture.source"
STATEMENT = "A kept graphics card has a place, or processor and board together give a picture."
SOURCE = "common practice; makers' data sheets (graphics and outputs); cases A43, A47, C05"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "case")
READS: Reads = {
    "board": ("firmware_modes", "outputs", "slots"),
    "cpu": ("graphics_score",),
    "case": ("max_card_length_mm", "slot_height", "slot_openings"),
}
SURVEY: tuple[str, ...] = ("cards",)


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    board, cpu = parts.board, parts.cpu
    card = graphics_card(problem, board, parts.case)
    ids = (board.id, cpu.id)
    if all_kept(parts, SLOTS):
        return (fits(ID, ids, "card" if card is not None else "integrated", today="yes"),)
    if card is not None:
        facts: dict[str, str | int] = {"card": card.name}
        if board.firmware_modes == ("uefi",) and card.uefi is not True:
            facts["card_uefi"] = "no" if card.uefi is False else "unknown"
        return (fits(ID, ids, "card", **facts),)
    if board.outputs == ():
        return (fails(ID, ids, "none", missing="outputs"),)
    if cpu.graphics_score == 0:
        return (fails(ID, ids, "none", missing="graphics"),)
    if cpu.graphics_score is None:
        return (unknown(ID, question(parts.candidate("cpu"), "graphics_score"), ids),)
    if board.outputs is None:
        return (unknown(ID, question(parts.candidate("board"), "outputs"), ids),)
    return (fits(ID, ids, "integrated"),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    dark_cpus = picks.classes("cpu", "picture.source", lambda c: (c.part.graphics_score == 0, c.kept))
    for case, case_literal in picks.of("case"):

        def without_card(candidate: Candidate[Any], case: Case = case.part) -> Any:
            card = graphics_card(problem, candidate.part, case)
            return card is None, candidate.part.outputs == (), candidate.kept

        for (no_card, no_output, board_kept), board in picks.classes(
            "board", f"{ID} in {case.key}", without_card
        ).items():
            if not no_card:
                continue
            for (no_graphics, cpu_kept), cpu in dark_cpus.items():
                if (no_output or no_graphics) and not (board_kept and cpu_kept and case.kept):
                    picks.clause([~case_literal, ~board, ~cpu], on)
