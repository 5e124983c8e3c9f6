"""The system drive can start on the board.

A system installed the old way (MBR, legacy start) needs a firmware with a legacy mode, one installed for UEFI
a firmware with UEFI, one on NVMe a firmware that starts from NVMe. Where the present system is not to be kept
this is only a
remark: it is installed afresh. The storage mode (AHCI, IDE, RAID) of the present installation is set in the
new firmware before the first start; a mode the firmware lacks is a remark with advice. A bought drive gets a
fresh installation; a bought NVMe drive has to be one that the firmware starts from. Not checked: drivers for
controllers on cards.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.plugs import question
from partsolver.assembly.ports import carrying_card
from partsolver.assembly.start import keeps_installation, needed_storage_mode, start_mode
from partsolver.catalog.records import Board
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fails, fits, unknown
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules import storage_pata
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.survey.model import Drive

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "storage.start"
STATEMENT = "The board's firmware starts the system drive the way it was installed."
SOURCE = (
    "UEFI and partition tables: common practice; NVMe driver in the firmware: storage reference, section 2.4;"
    " cases A27, A45, A47, B25"
)
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("board", "drive")
READS: Reads = {
    "board": ("firmware_modes", "nvme_boot", "pata_channels", "storage_modes"),
    "drive": ("kept", "part.interface"),
}
SURVEY: tuple[str, ...] = ("board", "cards", "os")


def _mode_facts(problem: Problem, draft: Draft, drive: Drive) -> dict[str, str | int]:
    """The storage mode to set before the first start, or the one the board lacks."""
    board, line = draft.parts.board, draft.bought_for(storage_pata.ID, "devices")
    carded = line is not None and problem.extras[line.item].kind == "pata-controller"
    card = carrying_card(drive, problem)
    if card is not None:
        return {"card": card}
    mode = needed_storage_mode(problem, board, drive, carded)
    if mode is None:
        return {}
    if board.storage_modes is None or mode in board.storage_modes:
        return {"set_mode": mode}
    return {"lacks_mode": mode}


def _conversion(starts: str, problem: Problem) -> dict[str, str | int]:
    """That an installation of the old way can be changed to UEFI before the swap: the 64-bit systems that start
    in both ways (start reference, section 5: with the vendor's or a free tool, after a backup; not with more
    than three primary or any logical partition). As it is it would not start, so the plan stays refused."""
    system = problem.os
    possible = starts == "legacy" and system is not None and system.uefi_start == "yes"
    return {"convertible": "yes"} if possible else {}


def _fresh_drive(candidate: Candidate[Board], nvme: bool, ids: tuple[str, ...]) -> Finding:
    """A bought drive gets a new installation: only an NVMe drive asks something of the board."""
    if nvme and candidate.part.nvme_boot is False:
        return fails(ID, ids, "nvme", fresh="yes")
    if nvme and candidate.part.nvme_boot is None:
        return unknown(ID, question(candidate, "nvme_boot"), ids, fresh="yes")
    return fits(ID, ids, fresh="yes")


def _obstacles(
    candidate: Candidate[Board], nvme: bool, mode: str | None, keep: bool, ids: tuple[str, ...]
) -> tuple[tuple[str, str] | None, list[Finding]]:
    """What keeps a board from starting the drive as it is (value, limit), and what nobody knows yet."""
    board = candidate.part
    if nvme and board.nvme_boot is False:
        return ("nvme", "nvme_boot"), []
    unanswered: list[Finding] = []
    if nvme and board.nvme_boot is None:
        unanswered.append(unknown(ID, question(candidate, "nvme_boot"), ids))
    if mode is None:
        if keep:
            unanswered.append(unknown(ID, "drive.start_mode", ids))
    elif board.firmware_modes is None:
        unanswered.append(unknown(ID, question(candidate, "firmware_modes"), ids))
    elif mode not in board.firmware_modes:
        return (mode, "+".join(board.firmware_modes) or "none"), unanswered
    return None, unanswered


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    board, choice = parts.board, parts.drive
    ids = (board.id, choice.id)
    if parts.board_kept and parts.candidate("drive").kept:
        return (fits(ID, ids, today="yes"),)
    if choice.kept is None and choice.part is None:
        return ()
    nvme = (choice.kept or choice.part).interface == "m2-nvme"  # type: ignore[union-attr]
    candidate = parts.candidate("board")
    if choice.kept is None:
        return (_fresh_drive(candidate, nvme, ids),)
    keep = keeps_installation(problem)
    mode = start_mode(problem, choice.kept)
    impossible, unanswered = _obstacles(candidate, nvme, mode, keep, ids)
    if impossible is not None:
        if keep:
            return (fails(ID, ids, *impossible, **_conversion(impossible[0], problem)),)
        return (fits(ID, ids, impossible[0], fresh="yes", lacks_start=impossible[0]),)
    if not keep:
        return (fits(ID, ids, fresh="yes"), *unanswered)
    on_board = carrying_card(choice.kept, problem) is None
    if on_board and choice.kept.interface == "sata" and choice.kept.storage_mode is None:
        unanswered.append(unknown(ID, "drive.storage_mode", ids))
    if mode is None or board.firmware_modes is None:
        return tuple(unanswered)
    return (fits(ID, ids, mode, **_mode_facts(problem, draft, choice.kept)), *unanswered)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    keep = keeps_installation(problem)
    boards = picks.classes(
        "board", "storage.start", lambda c: (c.part.firmware_modes, c.part.nvme_boot, c.kept)
    )
    for drive, drive_literal in picks.candidates("drive"):
        source = drive.part.kept or drive.part.part
        if source is None or (drive.kept and not keep):
            continue
        for (modes, starts_nvme, board_kept), board in boards.items():
            if board_kept and drive.kept:
                continue
            refused = source.interface == "m2-nvme" and starts_nvme is False
            if drive.part.kept is not None:
                wanted = start_mode(problem, drive.part.kept)
                refused = refused or (wanted is not None and modes is not None and wanted not in modes)
            if refused:
                picks.never_together(drive_literal, board, on)
