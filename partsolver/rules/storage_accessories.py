"""Small things without which a drive cannot be connected, where they do not come along. Never refuses.

A SATA drive needs a data lead: those of today's drives stay, new boards bring two as a rule, used ones none
for certain. An M.2 module on a used board needs the small screw and its standoff, which get lost. Both are
named as a thing to look at, with a lead on sale. Not checked: leads that are too short or whose latch is
broken.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.plugs import all_kept
from partsolver.assembly.ports import carrying_card, drives_of, sata_drives, seat_modules
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fits
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "storage.accessories"
STATEMENT = (
    "Every SATA drive has a data lead and every M.2 module its screw, or they are looked at before ordering."
)
SOURCE = "common practice: new boards bring two SATA leads and M.2 screws, used ones often neither"
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("board", "drive")
READS: Reads = {
    "board": ("m2_slots", "sata_1g5_ports", "sata_3g_ports", "sata_6g_ports"),
    "drive": ("kept", "part.interface", "part.kind", "part.m2_key", "part.m2_length_mm"),
}
SURVEY: tuple[str, ...] = ("cards", "drives")
REFUSES = False


def _board_is_used(draft: Draft) -> bool:
    line = next((ln for ln in draft.lines if ln.slot == "board"), None)
    return line is not None and line.offer is not None and line.offer.condition != "new"


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    new_board = not parts.board_kept
    used = new_board and _board_is_used(draft)
    own = [drive for drive in problem.survey.drives if carrying_card(drive, problem) is None]
    there = sum(drive.interface == "sata" for drive in own)
    facts: dict[str, str | int] = {}
    # A new board brings two leads (common practice), and a plan has at most one drive more than today.
    lacking = 0 if new_board and not used else sata_drives(parts.drive, problem) - there
    if lacking > 0:
        facts["leads"] = lacking
        found = problem.cheapest_of("sata-data-cable")
        if found is not None:
            facts |= {"lead": found[0].id, "minor": lacking * found[1]}
    today = {drive.name for drive in problem.survey.drives if drive.interface in ("m2-nvme", "m2-sata")}
    placed = [module for module, _ in seat_modules(parts.board, parts.drive, problem).placed]
    moved = [m for m in placed if new_board or getattr(m, "name", "") not in today]
    if moved and (used or parts.board_kept):
        facts["screws"] = len(moved)
    if not drives_of(parts.drive, problem) or all_kept(parts, SLOTS):
        return ()
    return (fits(ID, (parts.board.id,), **facts),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    """Nothing to refuse and nothing bought: leads and screws are a suggestion."""
