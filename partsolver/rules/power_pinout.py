"""The supply's plugs have the pin order that the board wants.

Some makers of complete PCs used plugs of the standard shape with a pin order of their own: the plug goes in,
and the board or the supply is destroyed when it is switched on. An unknown pin order therefore blocks, unless
the PC is known not to be a maker's. A kept board wants what the present supply gives; a new one the ATX
standard's pin order. Not checked: single wires that a maker re-pinned (nobody sees that but the person at the
bench).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.plugs import all_kept, question
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fails, fits, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.pinout"
STATEMENT = "The pin order of the supply's plugs is the one the board is made for."
SOURCE = (
    "case C01 (maker's pin order in a plug of standard shape); ATX specification for the standard's own;"
    " common practice"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "psu")
READS: Reads = {"board": (), "psu": ("pinout",)}
SURVEY: tuple[str, ...] = ("pc", "psu")


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    ids = (parts.board.id, parts.psu.id)
    if all_kept(parts, SLOTS):
        return (fits(ID, ids, parts.psu.pinout, today="yes"),)
    present = problem.survey.psu.pinout
    wanted, given = (present if parts.board_kept else "atx"), parts.psu.pinout
    if "own" in (wanted, given):
        return (fails(ID, ids, given, wanted),)
    if given is None or wanted is None:
        # Only the present supply of a PC that is known not to be a maker's complete one may be taken as
        # standard.
        surveyed = parts.candidate("psu").kept or given is not None
        harmless = surveyed and problem.survey.pc.brand is False
        path = "psu.pinout" if surveyed else question(parts.candidate("psu"), "pinout")
        return (unknown(ID, path, ids, blocks=not harmless),)
    return (fits(ID, ids, given),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    present = problem.survey.psu.pinout
    assumed = (
        "atx" if problem.survey.pc.brand is False else None
    )  # of the present supply, where nobody looked
    present = assumed if present is None else present

    def needs_standard(board: Any, supply: Any) -> bool:
        pinout, kept = supply
        given = present if kept else pinout
        wanted = present if board else "atx"
        return (board and kept) or (given == "atx" and wanted == "atx")

    picks.support(
        ("board", "psu"),
        ("kept", "power.pinout"),
        (lambda c: c.kept, lambda c: (c.part.pinout, c.kept)),
        needs_standard,
        on,
    )
