"""What a used board may differ in from its row. Never refuses.

A row describes the retail board of one revision. A used one may be the variant that was built for a complete
PC: its firmware is the PC maker's own, so that files of the board's maker do not go on and its list of
processors may be shorter, and its plugs for front panel, fans and power may have an order of their own. It may
be another revision, with a numbering of firmware and a support list of its own. And small things stay behind
in the old PC: the frame or plate of the cooler, screws of M.2 modules, leads. What is stated and different is
asked before ordering; the rest is named. (Shield, firmware, boxed cooler: problem/variants.py.) Not checked:
damage that no picture shows.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.plugs import question
from partsolver.catalog.records import Board, Offer
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fits, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "platform.used_board"
STATEMENT = (
    "A used board is the retail one of the revision that its row describes, or that is asked before ordering."
)
SOURCE = (
    "board names hide revisions with firmware numbering of their own: firmware reference, section 3.2, rule 3;"
    " case list, kind 3 (accessories, firmware variant); common practice"
)
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("board",)
READS: Reads = {"board": ("revision",)}
SURVEY: tuple[str, ...] = ()
REFUSES = False


def _offer(draft: Draft) -> Offer | None:
    return next((line.offer for line in draft.lines if line.slot == "board"), None)


def _other_revision(board: Board, offer: Offer) -> str:
    """``other``: stated and another than the row's; ``not stated`` where the row holds for one; else ""."""
    if board.revision is None or offer.condition == "new":
        return (
            "other"
            if None not in (board.revision, offer.revision) and board.revision != offer.revision
            else ""
        )
    if offer.revision is None:
        return "not stated"
    return "" if offer.revision == board.revision else "other"


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    offer = _offer(draft)
    if draft.parts.board_kept or offer is None:
        return ()
    board, place = draft.parts.board, draft.parts.candidate("board")
    ids = (board.id,)
    found = []
    if offer.made_for == "complete-pc":
        found.append(unknown(ID, question(place, "made_for"), ids, False, variant="complete-pc"))
    revision = _other_revision(board, offer)
    if revision:
        stated = {"revision": offer.revision} if offer.revision else {}
        asked = question(place, "revision")
        found.append(unknown(ID, asked, ids, False, row=board.revision or "", differs=revision, **stated))
    if offer.condition != "new":
        variant = {} if offer.made_for is not None else {"variant": "not stated"}
        found.append(fits(ID, ids, used="yes", **variant))
    return tuple(found)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    """Nothing to refuse: the seller is asked."""
