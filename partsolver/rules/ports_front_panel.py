"""Switch and lamp plugs of the case and the board's front panel header. Never refuses.

Single plugs go onto any board, a standard block onto a standard header. A maker's own block has an order of
its own (reference case A37): its contacts are moved into single plugs, after measuring which wires belong to
the switch. The board that such a block sits on today has a header of that order: in another case it is the
header that has to be measured. A header's +5 V contact shorted by a wrong plug can do harm, so the order is an
open question, not a guess.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.modules import part_question, together_today
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fits, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "ports.front_panel"
STATEMENT = "The switch and lamp plugs of the case suit the board's front panel header."
SOURCE = "Intel front panel I/O connectivity design guide (A29286); case A37; common practice"
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("board", "case")
READS: Reads = {"board": (), "case": ("front_panel",)}
SURVEY: tuple[str, ...] = ("case", "pc")
REFUSES = False


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    panel = parts.case.front_panel
    ids = (parts.board.id, parts.case.id)
    if together_today(parts, "board", "case"):
        return (fits(ID, ids, panel, today="yes"),)
    brand, there = problem.survey.pc.brand, problem.survey.case.front_panel  # what sits on the present header
    if parts.board_kept and there == "own":
        return (unknown(ID, "board.front_panel_order", ids, header="own"),)
    if parts.board_kept and there is None and brand:
        return (unknown(ID, "case.front_panel", ids, brand="yes"),)
    if panel is None:
        # A complete PC of a maker often has a block of its own.
        facts = {"brand": "yes"} if brand and parts.candidate("case").kept else {}
        return (unknown(ID, part_question(parts.candidate("case"), "front_panel"), ids, False, **facts),)
    if panel == "own":
        return (unknown(ID, part_question(parts.candidate("case"), "front_panel_order"), ids, repin="yes"),)
    return (fits(ID, ids, panel),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    """Nothing to refuse."""
