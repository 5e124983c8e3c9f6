"""Something makes the picture: a graphics card that has a place, the processor's graphics, or the board's.

The card is one that the PC has, or one that is bought in its place. Processor's and board's graphics need a
board with video outputs. Without any the PC beeps and stays dark. A card without a UEFI part in its firmware
stays dark on a board that starts in UEFI mode only, one without a part for the legacy start where there is
only that: where nothing else makes a picture the plan fails (and where it is not known whether the card has
that part, it is asked); beside another source it is a remark. Not checked: old cards whose firmware can be
updated.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.cards import card_question, graphics_card, placed_cards
from partsolver.assembly.pictures import board_makes_picture, dark_card, own_picture, start_modes
from partsolver.assembly.plugs import all_kept, question
from partsolver.catalog.records import Case
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fails, fits, unknown
from partsolver.problem.candidates import Candidate, GraphicsChoice, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.survey.model import Card

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "picture.source"
STATEMENT = "A graphics card makes the picture, or processor and board do."
SOURCE = "common practice; makers' data sheets (graphics and outputs); cases A43, A47, C05"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "case", "graphics")
READS: Reads = {
    "board": ("firmware_modes", "graphics_score", "outputs", "slots", "year"),
    "cpu": ("graphics_score",),
    "case": ("max_card_length_mm", "slot_height", "slot_openings"),
    "graphics": ("card",),
}
SURVEY: tuple[str, ...] = ("cards", "cpu")


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    board, cpu = parts.board, parts.cpu
    card = graphics_card(problem, board, parts.case, parts.graphics)
    ids = (board.id, cpu.id)
    if all_kept(parts, SLOTS) and not problem.graphics_left_out:
        return (fits(ID, ids, "card" if card is not None else "integrated", today="yes"),)
    own = own_picture(problem, board, parts.board_kept, cpu)
    if card is not None:
        return _with_card(parts, problem, card, own)
    if own is True:
        return (fits(ID, ids, "integrated" if cpu.graphics_score else "board"),)
    if own is False:
        return (fails(ID, ids, "none", missing="outputs" if board.outputs == () else "graphics"),)
    return (_asked(parts, own, ids),)


def _with_card(parts: Parts, problem: Problem, card: Card, own: bool | str) -> tuple[Finding, ...]:
    """A card that has a place; ``own``: whether the PC makes a picture without it."""
    ids = (parts.board.id, parts.cpu.id)
    facts: dict[str, str | int] = {"card": card.name}
    if card is parts.graphics.card:
        facts["bought"] = "yes"
    modes = start_modes(problem, parts.board)
    if modes != parts.board.firmware_modes and not card.uefi:
        facts["secure_boot"] = "yes"
    dark = dark_card(card, modes)
    if dark and own is False:
        return (fails(ID, ids, "none", missing=dark, **facts),)
    if dark:
        facts["card_uefi" if dark == "uefi" else "card_legacy"] = "no"
        return (_asked(parts, str(own), ids),) if own is not True else (fits(ID, ids, "card", **facts),)
    if modes == ("uefi",) and card.uefi is None:
        facts["card_uefi"] = "unknown"
        if own is False:
            asked = (
                "card.uefi" if parts.graphics.card is None else card_question(parts.graphics, card, "uefi")
            )
            return (unknown(ID, asked, ids, False, **facts),)
    return (fits(ID, ids, "card", **facts),)


def _asked(parts: Parts, fact: str, ids: tuple[str, ...]) -> Finding:
    slot, _, name = fact.partition(".")
    return unknown(ID, question(parts.candidate("cpu" if slot == "cpu" else "board"), name), ids)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    dark_cpus = picks.classes("cpu", "picture.source", lambda c: (c.part.graphics_score == 0, c.kept))
    for case, graphics, here in picks.cases_and_cards():

        def without_card(
            candidate: Candidate[Any], case: Case = case.part, cards: GraphicsChoice = graphics.part
        ) -> Any:
            board = candidate.part
            card = next((c for c in placed_cards(problem, board, case, cards) if c.kind == "graphics"), None)
            modes = start_modes(problem, board)
            seen = card is not None and not (
                modes
                and ("uefi" not in modes or card.uefi is False)
                and ("legacy" not in modes or card.legacy_video is False)
            )
            none = board_makes_picture(problem, board, candidate.kept) is False
            return not seen, board.outputs == (), none, candidate.kept

        boards = picks.classes("board", f"{ID} in {case.key} with {graphics.key}", without_card)
        for (no_card, no_output, no_board, board_kept), board in boards.items():
            for (no_graphics, cpu_kept), cpu in dark_cpus.items() if no_card else ():
                dark = no_output or (no_graphics and no_board)
                kept = board_kept and cpu_kept and case.kept and graphics.kept
                if dark and (not kept or problem.graphics_left_out):
                    picks.clause([~here, ~board, ~cpu], on)
