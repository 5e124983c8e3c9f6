"""An encrypted drive asks for its key after a change of board or processor. A caution, never a refusal.

The key may be sealed in the platform module of the board or in the processor's firmware one; with either gone
the drive stays locked unless its recovery key was saved or the encryption suspended before.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.plugs import all_kept
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fits, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "storage.encryption"
STATEMENT = "The recovery key of every encrypted drive is saved before board or processor change."
SOURCE = "common practice; cases C08 and C09"
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("board", "cpu")
READS: Reads = {"board": (), "cpu": ()}
SURVEY: tuple[str, ...] = ("drives",)
REFUSES = False


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    findings = []
    for drive in problem.survey.drives:
        if drive.kind in ("optical", "floppy") or drive.encrypted is False:
            continue
        ids = (draft.parts.board.id,)
        if all_kept(draft.parts, SLOTS):
            findings.append(fits(ID, ids, today="yes", drive=drive.name))
        elif drive.encrypted:
            findings.append(fits(ID, ids, "encrypted", drive=drive.name, save_key="yes"))
        else:
            findings.append(unknown(ID, "drive.encrypted", ids, drive=drive.name, save_key="yes"))
    return tuple(findings)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    """Nothing is refused."""
