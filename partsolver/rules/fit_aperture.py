"""The case has the rear opening of the ATX family, and the board's shield is at hand.

Boards of the ATX family share one rear opening; a stamped panel, no opening or the BTX one would have to be
cut. The present board in the present case stays as it is. A shield that is missing is bought where a shield
for this board is on sale; without one the plan stands, and the open edge is stated (dust, fingers at sharp
edges). Not checked: the opening's tolerance, paint around it, a panel too thick for the shield's clips.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.plugs import all_kept, question
from partsolver.catalog.records import Board
from partsolver.plan.draft import Draft, Need
from partsolver.plan.findings import Finding, unknown
from partsolver.problem.candidates import Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "fit.aperture"
STATEMENT = "The case has the rear opening of the ATX family for the board's ports and shield."
SOURCE = "microATX Motherboard Interface Specification 1.2, figures 4 and 5; fixed panels: common practice"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "case")
READS: Reads = {"board": ("named", "shield"), "case": ("aperture",)}
SURVEY: tuple[str, ...] = ()


def _shields(problem: Problem, board: Board) -> tuple[tuple[str, int], ...]:
    """Shields on sale for this very board: each board's ports lie differently."""
    return tuple((extra.id, 1) for extra in problem.obtainable("io-shield") if board.id in extra.takes)


def needs(parts: Parts, problem: Problem) -> tuple[Need, ...]:
    if (
        all_kept(parts, ("board", "case"))
        or parts.board.shield != "missing"
        or parts.case.aperture not in (None, "atx")
    ):
        return ()
    options = _shields(problem, parts.board)
    return (Need(ID, "shield", "io-shield", options, (("board", parts.board.id),)),) if options else ()


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    board, opening = parts.board, parts.case.aperture
    ids: tuple[str, ...] = (board.id, parts.case.id)
    if all_kept(parts, ("board", "case")):
        return (Finding(ID, "fits", opening, parts=ids, facts=(("today", "yes"),)),)
    if opening not in (None, "atx"):
        return (Finding(ID, "fails", opening, "atx", parts=ids),)
    shield = board.shield
    facts: tuple[tuple[str, str | int], ...] = () if shield is None else (("shield", shield),)
    line = draft.bought_for(ID, "shield")
    if line is not None:
        facts = (("bought", line.item), ("shield", "bought"))
        ids = (*ids, line.item)
    found = [Finding(ID, "fits", opening, "atx", parts=ids, facts=facts)]
    if opening is None:
        found = [
            Finding(
                ID, "unknown", parts=ids, facts=facts, question=question(parts.candidate("case"), "aperture")
            )
        ]
    if shield is None:
        found.append(unknown(ID, question(parts.candidate("board"), "shield"), ids))
    return tuple(found)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    openings = picks.classes("case", "fit.aperture", lambda c: (c.part.aperture, c.kept))
    boards = picks.classes("board", "kept", lambda c: c.kept)
    shields = picks.classes(
        "board",
        "fit.aperture",
        lambda c: (_shields(problem, c.part) if c.part.shield == "missing" else (), c.kept),
    )
    for (opening, case_kept), case in openings.items():
        if opening not in (None, "atx"):
            for board_kept, board in boards.items():
                if not (board_kept and case_kept):
                    picks.never_together(board, case, on)
    for number, ((options, board_kept), board) in enumerate(shields.items()):
        conditions = [
            picks.both(board, case)
            for (opening, case_kept), case in openings.items()
            if opening in (None, "atx") and not (board_kept and case_kept)
        ]
        if options and conditions:
            picks.need(ID, f"shield:{number}", options, conditions, on)
