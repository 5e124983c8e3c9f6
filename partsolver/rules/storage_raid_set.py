"""A RAID set of the board's controller is never carried to another controller unasked.

Sets of the levels 0, 5 and 10 cannot be read by a foreign controller: before the board changes, everything on
them is copied to a device outside the PC, else the plan is refused (the survey says ``copied``). A member of
a mirror (level 1) usually reads as a plain disk: asked and warned of, not refused. Afterwards the set is made
anew, empty. A system in RAID mode whose drive may be such a member is asked for. What stays on its board
works today, and so does a set of a card that goes along; where a drive may hang on a controller card of the PC and
nobody said so, it is asked before anything is risked. Sets made by the system itself move with their disks: they are "none" here.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.ports import carrying_card, untold_card
from partsolver.assembly.storage import raid_members
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fails, fits, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "storage.raid_set"
STATEMENT = "Everything on a RAID set of the old board is copied elsewhere before the board changes."
SOURCE = "lists of formats that dmraid 1.0.0.rc16 and mdadm 4.2 read (foreign sets: none by firmware); common practice"
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("board", "drive")
READS: Reads = {"board": (), "drive": ("kept",)}
SURVEY: tuple[str, ...] = ("cards", "drives")

#: Levels that only their own controller reads.
BOUND_LEVELS = ("0", "5", "10")


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    found = []
    for drive in raid_members(parts.drive, problem):
        ids, level = (parts.board.id,), str(drive.raid or "?")
        facts: dict[str, str | int] = {"drive": drive.name, "level": level}
        card = carrying_card(drive, problem)
        if parts.board_kept:
            found.append(fits(ID, ids, level, today="yes", drive=drive.name))
        elif card is not None:
            found.append(fits(ID, ids, level, card=card, **facts))
        elif drive.raid is None:
            found.append(unknown(ID, "drive.raid", ids, False, **facts))
        elif drive.copied:
            found.append(fits(ID, ids, level, made_anew="yes", **facts))
        elif level not in BOUND_LEVELS:
            found.append(unknown(ID, "drive.copied", ids, False, **facts))
        elif untold_card(drive, problem):
            found.append(unknown(ID, "drive.controller", ids, True, **facts))
        elif drive.copied is None:
            found.append(unknown(ID, "drive.copied", ids, True, **facts))
        else:
            found.append(fails(ID, ids, level, "copied", **facts))
    return tuple(found)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    new_board = picks.classes("board", "kept", lambda c: c.kept).get(False)
    if new_board is None:
        return

    def bound(candidate: Any) -> bool:
        others = [d for d in problem.drives if not d.system and d.required]
        kept = candidate.part.kept
        every = [*others, *([] if kept is None else [kept])]
        along = {card.name for card in problem.survey.cards if card.required}
        there = [d for d in every if d.controller not in along]
        return any(d.raid in BOUND_LEVELS and d.copied is not True for d in there)

    refused = picks.classes("drive", f"{ID} bound", bound).get(True)
    if refused is not None:
        picks.never_together(new_board, refused, on)
