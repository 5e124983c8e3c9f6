"""How fast the system drive is connected, now and afterwards. A remark, never a refusal.

Link = lower rate of drive and port; what reaches the user is a share of it, and never more than the drive
reads.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.plugs import question
from partsolver.assembly.ports import unknown_sata_column
from partsolver.assembly.storage import (
    drive_read_mbs,
    hangs_on_card,
    link_mbs,
    possible_sata_rates,
    storage_mbs,
)
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding
from partsolver.problem.candidates import DriveChoice, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "storage.link"
STATEMENT = "The system drive reads at the lower of its own rate and what its link carries."
SOURCE = "Serial ATA and PCI Express rates; usable share: setting storage_protocol_percent"
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("board", "drive")
READS: Reads = {
    "board": ("m2_slots", "sata_1g5_ports", "sata_3g_ports", "sata_6g_ports"),
    "drive": (
        "kept",
        "part.interface",
        "part.kind",
        "part.m2_key",
        "part.m2_length_mm",
        "part.pcie_gen",
        "part.pcie_lanes",
        "part.read_mbs",
        "part.sata_gbps10",
    ),
}
SURVEY: tuple[str, ...] = ("board", "drives")
REFUSES = False


def _rate_matters(parts: Parts, drive_gbps10: int | None) -> bool:
    """Whether the port's rate is not known and the slowest it may be would hold the drive back."""
    rates = possible_sata_rates(parts.board)
    return len(rates) > 1 and rates[-1] < (drive_gbps10 or rates[0])


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    own = parts.drive.kept or parts.drive.part
    if own is None or own.interface is None or hangs_on_card(parts.drive):
        return ()
    present = DriveChoice("kept-drive", problem.survey.system_drive, None)
    facts: dict[str, str | int] = {
        "drive_mbs": drive_read_mbs(parts.drive),
        "interface": own.interface,
        "link_mbs": link_mbs(parts.board, parts.drive),
    }
    if problem.survey.system_drive is not None:
        facts["now_link_mbs"] = link_mbs(problem.survey.board, present)
        facts["now_mbs"] = storage_mbs(problem.survey.board, present, problem.settings)
    rate = storage_mbs(parts.board, parts.drive, problem.settings)
    ids = (parts.board.id, parts.drive.id)
    asked: str | None = None
    if own.interface == "sata" and _rate_matters(parts, own.sata_gbps10):
        facts["port_rate"] = "unknown"
        if not (parts.board_kept and parts.candidate("drive").kept):
            asked = question(parts.candidate("board"), unknown_sata_column(parts.board) or "sata_6g_ports")
    if asked is not None:
        return (
            Finding(
                ID,
                "unknown",
                rate,
                unit="MB/s",
                parts=ids,
                facts=tuple(sorted(facts.items())),
                question=asked,
            ),
        )
    return (Finding(ID, "fits", rate, unit="MB/s", parts=ids, facts=tuple(sorted(facts.items()))),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    """Nothing is refused."""
