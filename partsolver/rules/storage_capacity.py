"""A system drive that is bought holds what has to be copied onto it.

Where the present system goes on, all that its drive holds is copied: the used space, or where nobody looked,
at most all of the present drive. A drive above 2 TiB with an MBR partition table tells the first 2 TiB only:
that is said. Commercial systems have that table wherever they start in legacy mode, a copied one where the present drive
has it; Linux starts from a GPT there too. Not checked: that the last partition is shrunk before
the copy, data of other drives, a RAID set.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.start import keeps_installation, start_mode
from partsolver.assembly.system import kept_system
from partsolver.catalog.records import Board
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_least, fits, unknown
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.standards.operating_systems import names_linux
from partsolver.standards.storage import MBR_LIMIT_BYTES

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "storage.capacity"
STATEMENT = "A system drive that is bought holds what is copied onto it."
SOURCE = "common practice (a copy needs the used space); MBR: 2^32 sectors of 512 bytes"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "drive")
READS: Reads = {"board": ("firmware_modes",), "drive": ("kept", "part.capacity_gb")}
SURVEY: tuple[str, ...] = ("board", "drives", "os")

GB = 10**9  # capacities of drives are decimal


def _has_mbr(problem: Problem, board: Board) -> bool:
    """Whether a bought system drive gets an MBR partition table on this board."""
    present, system = problem.survey.system_drive, kept_system(problem)
    linux = system is not None and names_linux(system.id)
    if present is not None and keeps_installation(problem):
        if present.partition_table == "mbr":
            return True
        if start_mode(problem, present) == "legacy" and not (linux and present.partition_table == "gpt"):
            return True
    only_legacy = system is not None and system.uefi_start == "no"
    return not linux and (only_legacy or board.firmware_modes == ("legacy",))


def _usable(draft: Draft, problem: Problem, capacity: int) -> dict[str, str | int]:
    """What an MBR partition table leaves of a larger drive, GB."""
    mbr = _has_mbr(problem, draft.parts.board)
    return {"usable_gb": MBR_LIMIT_BYTES // GB} if mbr and capacity * GB > MBR_LIMIT_BYTES else {}


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    drive, present = draft.parts.candidate("drive"), problem.survey.system_drive
    new = drive.part.part
    if new is None or new.capacity_gb is None:
        return ()  # what stays is no part, or nobody says how much it holds
    ids = (drive.key,)
    facts = _usable(draft, problem, new.capacity_gb)
    holds = int(facts.get("usable_gb", new.capacity_gb))
    if present is None or not keeps_installation(problem):
        return (fits(ID, ids, holds, fresh="yes", **facts),)
    if present.used_gb is not None:
        return (at_least(ID, holds, present.used_gb, "GB", ids, **facts),)
    if present.capacity_gb is not None and holds >= present.capacity_gb:
        return (fits(ID, ids, holds, **facts),)
    return (unknown(ID, "drive.used_gb", ids, holds=holds),)


def _holds_some(candidate: Candidate) -> bool:
    new = candidate.part.part  # type: ignore[union-attr]
    return new is not None and new.capacity_gb is not None


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    present = problem.survey.system_drive
    if present is None or present.used_gb is None or not keeps_installation(problem):
        return
    needed = present.used_gb

    def too_small(candidate: Candidate) -> bool:
        new = candidate.part.part  # type: ignore[union-attr]
        return new is not None and new.capacity_gb is not None and new.capacity_gb < needed

    for small, literal in picks.classes("drive", ID, too_small).items():
        if small:
            picks.clause([~literal], on)
    if needed * GB <= MBR_LIMIT_BYTES:
        return
    # Above 2 TiB no drive holds it under an MBR partition table.
    bought = picks.classes("drive", f"{ID} bought", _holds_some).get(True)
    legacy = picks.classes("board", ID, lambda c: c.part.firmware_modes == ("legacy",)).get(True)
    free = problem.os is not None and names_linux(problem.os.id)
    by_system = problem.os is not None and problem.os.uefi_start == "no" and not free
    of_start = start_mode(problem, present) == "legacy" and (not free or present.partition_table is None)
    if bought is not None and (present.partition_table == "mbr" or of_start or by_system):
        picks.clause([~bought], on)
    elif bought is not None and legacy is not None and not free:
        picks.clause([~bought, ~legacy], on)
