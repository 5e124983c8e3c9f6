"""The supply's main plug serves the board's main header.

A 20-contact plug goes into a 24-contact header and leaves one 12 V contact unused: it is accepted while what
the board draws through it at 12 V (the board without its processor, and the cards in its slots) stays within
that one contact. An adapter from 20 to 24 contacts adds no contact on the supply's side and does not help. A
maker's own plug or header matches nothing but its partner of today. Not checked: parts beside a 20-contact
header that the longer plug may touch.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from partsolver.assembly.cards import placement
from partsolver.assembly.loads import board_load, card_load
from partsolver.assembly.plugs import all_kept, question
from partsolver.catalog.records import Board, Case
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_most, fails, fits, unknown
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.standards.plugs import SLOT_POWER, main_plug_12v_limit_ma
from partsolver.survey.model import Card

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.main_plug"
STATEMENT = (
    "The main plug fits the main header, and its contacts carry what the board draws through it at 12 V."
)
SOURCE = (
    "Upgrading and Repairing PCs, pp. 918, 1142 (contacts); PCI Express CEM 1.1 as cited in standards/plugs"
    " (slots)"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "psu", "case")
READS: Reads = {
    "board": ("load_mw", "main_plug", "slots"),
    "psu": ("main_plug",),
    "case": ("max_card_length_mm", "slot_height", "slot_openings"),
}
SURVEY: tuple[str, ...] = ("cards",)


def slot_12v_ma(card: Card) -> int:
    """What a card draws through its slot at 12 V: its load, at most what its slot may be asked for."""
    load = card_load(card).ma_12v
    if card.bus not in (None, "pcie"):
        return load
    lanes = card.lanes or (16 if card.kind == "graphics" else 1)
    if card.kind == "graphics" or lanes not in SLOT_POWER:
        return min(load, SLOT_POWER[16].configured_12v_ma)
    return min(load, SLOT_POWER[4].configured_12v_ma)


def through_main_plug_ma(problem: Problem, board: Board, case: Case) -> int:
    """12 V current of the board without its processor and of the cards in its slots."""
    names = {name for name, _ in placement(problem, board, case).placed}
    cards = sum(slot_12v_ma(card) for card in problem.survey.cards if card.name in names)
    return board_load(board, problem.settings).ma_12v + cards


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    header, plug = parts.board.main_plug, parts.psu.main_plug
    ids = (parts.board.id, parts.psu.id)
    if all_kept(parts, ("board", "psu")):
        return (fits(ID, ids, plug, today="yes"),)
    if plug is None:
        return (unknown(ID, question(parts.candidate("psu"), "main_plug"), ids, blocks=True),)
    if header is None:
        return (unknown(ID, question(parts.candidate("board"), "main_plug"), ids, blocks=True),)
    if "own" in (header, plug):
        return (fails(ID, ids, plug, header),)
    if (plug, header) == ("20", "24"):
        drawn = through_main_plug_ma(problem, parts.board, parts.case)
        return (
            at_most(
                ID, drawn, main_plug_12v_limit_ma("20", problem.settings), "mA", ids, plug=plug, header=header
            ),
        )
    return (fits(ID, ids, plug, header=header, plug=plug),)


def _with_kept(fact: Callable[[Candidate[Board]], bool]) -> Callable[[Candidate[Board]], tuple[bool, bool]]:
    """A fact of a board, and whether it is kept."""
    return lambda candidate: (fact(candidate), candidate.kept)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    limit = problem.settings["main_20pin_12v_ma"]
    plugs = picks.classes("psu", "main plug", lambda c: (c.part.main_plug, c.kept))
    headers = picks.classes("board", "main header", lambda c: (c.part.main_plug, c.kept))
    for (plug, psu_kept), plug_literal in plugs.items():
        for (header, board_kept), header_literal in headers.items():
            if not (psu_kept and board_kept) and (plug not in ("20", "24") or header not in ("20", "24")):
                picks.never_together(plug_literal, header_literal, on)
    for case, case_literal in picks.of("case"):

        def too_much(candidate: Candidate[Board], case: Case = case.part) -> bool:
            return (
                candidate.part.main_plug == "24"
                and through_main_plug_ma(problem, candidate.part, case) > limit
            )

        loads = picks.classes("board", f"power.main_plug in {case.key}", _with_kept(too_much))
        for (over, board_kept), board_literal in loads.items():
            if not over:
                continue
            for (plug, psu_kept), plug_literal in plugs.items():
                if plug == "20" and not (psu_kept and board_kept):
                    picks.clause([~case_literal, ~board_literal, ~plug_literal], on)
