"""A floppy drive that stays has a header; else a USB floppy drive takes the place of a 3.5-inch one.

One drive per header is counted (later boards support one). USB floppy drives are 3.5-inch ones (common
practice): none replaces a 5.25-inch drive, which gets the header where there is one; a drive whose size is
not known is asked. Not checked: programs that copy-protect by the old controller; they do not run with a USB
drive.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.plugs import question
from partsolver.assembly.usb_storage import (
    floppy_drives,
    floppy_size,
    large_floppy_drives,
    usb_floppy_options,
)
from partsolver.base.quantities import ceil_div
from partsolver.plan.draft import Draft, Need
from partsolver.plan.findings import Finding, at_least, fits, unknown
from partsolver.problem.candidates import Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "storage.floppy"
STATEMENT = "Every floppy drive that stays has a header on the board, or a USB floppy drive replaces it."
SOURCE = "common practice"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board",)
READS: Reads = {"board": ("floppy_headers",)}
SURVEY: tuple[str, ...] = ("drives",)


def needs(parts: Parts, problem: Problem) -> tuple[Need, ...]:
    headers = parts.board.floppy_headers
    if headers is None or parts.board_kept or len(floppy_drives(problem)) <= headers:
        return ()
    missing = len(floppy_drives(problem)) - headers
    options = usb_floppy_options(problem, headers)
    return (Need(ID, "header", "usb-floppy", options, (("missing", missing),)),)


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    board = draft.parts.board
    wanted = len(floppy_drives(problem))
    if not wanted:
        return ()
    if draft.parts.board_kept:
        return (fits(ID, (board.id,), wanted, today="yes"),)
    if board.floppy_headers is None:
        return (unknown(ID, question(draft.parts.candidate("board"), "floppy_headers"), (board.id,)),)
    line = draft.bought_for(ID, "header")
    added = 0 if line is None else line.quantity * problem.extras[line.item].count
    large = {"large": 1} if added == 0 and large_floppy_drives(problem) > board.floppy_headers else {}
    found = at_least(ID, board.floppy_headers + added, wanted, "drives", (board.id,), added=added, **large)
    if added and any(floppy_size(drive) is None for drive in floppy_drives(problem)):
        return (found, unknown(ID, "drive.bay", (board.id,), False, added=added))
    return (found,)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    drives = len(floppy_drives(problem))
    headers = picks.classes("board", "floppy headers", lambda c: None if c.kept else c.part.floppy_headers)
    for number, literal in headers.items():
        if number is not None and number < drives:
            missing = drives - number
            large = [d for d in problem.drives if d.required and "5.25" in (d.bay or d.name)]
            large = [d for d in large if d.interface != "usb" and "floppy" in (d.kind, d.interface)]
            options = tuple(
                (e.id, ceil_div(missing, e.count))
                for e in problem.extras_of("usb-floppy")
                if len(large) <= number
            )
            picks.need(ID, f"header:{missing}", options, [literal], on)
