"""An old system's set-up program may not know the USB controller of a newer board.

Boards of about 2015 and later have an xHCI controller only; set-up programs of systems without an xHCI driver
then see neither keyboard nor mouse. Never refuses: a PS/2 keyboard or a set-up medium with the driver gets
past it (field reports; the year is common practice and a constant here since no column states the
controller).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.system import kept_system
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fits
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "os.usb_driver"
STATEMENT = "A system without an xHCI driver needs help with its keyboard on a newer board."
SOURCE = "common practice (field reports); xHCI-only chipsets from about 2015: from memory"
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("board",)
READS: Reads = {"board": ("ps2_ports", "year")}
SURVEY: tuple[str, ...] = ("os",)
REFUSES = False
XHCI_ONLY_FROM_YEAR = 2015


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    board, system = draft.parts.board, kept_system(problem)
    if draft.parts.board_kept or system is None or not system.usb3_only_trouble:
        return ()
    if board.year is None or board.year < XHCI_ONLY_FROM_YEAR:
        return ()
    return (fits(ID, (board.id,), board.year, family=system.id, ps2_ports=board.ps2_ports or 0),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    """Never refuses: nothing to post."""
