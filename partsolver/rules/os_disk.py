"""The system drive is as large as the system that is to run asks for.

Where the same system runs from the kept drive today, nothing is asked. Not checked: how much of the drive is
free.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.modules import part_question
from partsolver.assembly.system import excused, kept_system, other_system, same_system
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_least, fits, unknown
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "os.disk"
STATEMENT = "The system drive is as large as the system that is to run asks for."
SOURCE = "vendor's requirements pages"
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "drive")
READS: Reads = {"board": (), "cpu": (), "drive": ("kept", "part.capacity_gb")}
SURVEY: tuple[str, ...] = ("os",)


def _capacity_gb(candidate: Candidate) -> int | None:
    source = candidate.part.kept or candidate.part.part  # type: ignore[union-attr]
    return None if source is None else source.capacity_gb


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    system = kept_system(problem)
    if system is None or not system.min_disk_gb:
        return ()
    least, drive = system.min_disk_gb, draft.parts.candidate("drive")
    ids, capacity = (drive.key,), _capacity_gb(drive)
    if capacity is None:
        if excused(draft.parts, problem, "drive"):
            return (fits(ID, ids, today="yes", family=system.id),)
        asked = "drive.capacity_gb" if drive.kept else part_question(drive, "capacity_gb")
        return (unknown(ID, asked, ids, family=system.id, least_gb=least),)
    if capacity < least and excused(draft.parts, problem, "drive"):
        return (fits(ID, ids, capacity, short="yes", family=system.id, least_gb=least),)
    return (at_least(ID, capacity, least, "GB", ids, family=system.id),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    system = kept_system(problem)
    if system is None or not system.min_disk_gb:
        return
    least = system.min_disk_gb

    def too_small(candidate: Candidate) -> bool:
        capacity = _capacity_gb(candidate)
        return capacity is not None and capacity < least and not (candidate.kept and same_system(problem))

    small = picks.classes("drive", f"{ID} too small", too_small).get(True)
    if small is None:
        return
    if other_system(problem):
        picks.clause([~small], on)
        return
    # Board and processor stay: nothing changes.
    for slot in ("board", "cpu"):
        kept = picks.classes(slot, "kept", lambda c: c.kept).get(True)
        picks.clause([~small, *([] if kept is None else [kept])], on)
