"""Every PATA drive that stays finds a channel, two devices to a channel.

A lack is cured by a controller card in a free slot, by an adapter at a free SATA port for each drive, or by a
USB enclosure for disks that are not the system drive. One kind cures it; mixtures are not tried. A system
without a driver for AHCI does not start from an adapter on a board that has no IDE mode. Not checked:
jumpers (device 0 and 1), and whether an old system starts from a controller card.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.plugs import Options, all_kept, m2_cards, question, sata_claims, seatable
from partsolver.assembly.ports import (
    board_drives,
    free_sata_ports,
    sata_drives,
    unknown_sata_column,
    untold_card,
)
from partsolver.assembly.start import adapter_starts
from partsolver.base.quantities import ceil_div
from partsolver.catalog.records import Board, Case
from partsolver.plan.draft import Draft, Need
from partsolver.plan.findings import Finding, at_least, fits, unknown
from partsolver.problem.candidates import Candidate, DriveChoice, GraphicsChoice, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.standards.storage import PATA_DEVICES_PER_CHANNEL
from partsolver.survey.model import Drive

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "storage.pata"
STATEMENT = (
    "Every PATA drive that stays has a place on a channel, a controller card, a SATA adapter or in a USB"
    " enclosure."
)
SOURCE = "ATA/ATAPI: device 0 and device 1 on one cable (common practice); cases A17 and B09"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "case", "drive", "graphics")
READS: Reads = {
    "board": (
        "m2_slots",
        "pata_channels",
        "sata_1g5_ports",
        "sata_3g_ports",
        "sata_6g_ports",
        "slots",
        "storage_modes",
    ),
    "case": ("max_card_length_mm", "slot_height", "slot_openings"),
    "drive": ("kept", "part.interface", "part.kind", "part.m2_key", "part.m2_length_mm"),
    "graphics": ("card",),
}
SURVEY: tuple[str, ...] = ("cards", "drives", "os")


def pata_drives(choice: DriveChoice, problem: Problem) -> int:
    """How many drives need a place on a PATA channel of the board."""
    return sum(drive.interface == "pata" for drive in board_drives(choice, problem))


def _missing(board: Board, choice: DriveChoice, problem: Problem) -> int:
    if board.pata_channels is None:
        return 0
    return max(0, pata_drives(choice, problem) - PATA_DEVICES_PER_CHANNEL * board.pata_channels)


def _options(
    problem: Problem,
    board: Board,
    case: Case,
    choice: DriveChoice,
    graphics: GraphicsChoice,
    missing: int,
) -> Options:
    options: list[tuple[str, int]] = []
    claims = sata_claims(problem, board, case, choice, graphics)
    modules = m2_cards(problem, board, case, choice, graphics)
    cards = [e for e in problem.extras_of("pata-controller") if e.count * PATA_DEVICES_PER_CHANNEL >= missing]
    claims = [*([modules] if modules else []), *claims]
    options += [(e.id, 1) for e in seatable(problem, board, case, graphics, cards, claims)]
    ports = free_sata_ports(board, choice, problem, certain=True, more=missing)
    started = adapter_starts(problem, board, choice) is not False
    if started and (ports is None or ports - sata_drives(choice, problem) >= missing):
        options += [(e.id, ceil_div(missing, e.count)) for e in problem.extras_of("pata-drive-adapter")]
    # An enclosure holds disks, and a system that starts from it is not promised.
    boxed = [
        d
        for d in board_drives(choice, problem)
        if isinstance(d, Drive) and d.interface == "pata" and not d.system
    ]
    if sum(d.kind in ("hdd35", "hdd25", "ssd") for d in boxed) >= missing:
        enclosures = [e for e in problem.extras_of("usb-enclosure") if "pata" in e.gives]
        options += [(e.id, ceil_div(missing, e.count)) for e in enclosures]
    return tuple(sorted(options))


def _waits_for_slots(problem: Problem, board: Board, options: Options, missing: int) -> bool:
    """Whether nothing but a card would do, and nobody knows the board's slots."""
    cards = problem.extras_of("pata-controller")
    return (
        not options
        and board.slots is None
        and any(e.count * PATA_DEVICES_PER_CHANNEL >= missing for e in cards)
    )


def needs(parts: Parts, problem: Problem) -> tuple[Need, ...]:
    missing = _missing(parts.board, parts.drive, problem)
    if not missing or all_kept(parts, ("board", "drive")):
        return ()
    options = _options(problem, parts.board, parts.case, parts.drive, parts.graphics, missing)
    if _waits_for_slots(problem, parts.board, options, missing):
        return ()
    return (Need(ID, "devices", "pata-controller", options, (("missing", missing),)),)


def _untold_cards(parts: Parts, problem: Problem) -> list[Finding]:
    """Drives that may hang on a controller card of the PC: then they need no channel of the board."""
    return [
        unknown(ID, "drive.controller", (parts.board.id,), False, drive=drive.name)
        for drive in board_drives(parts.drive, problem)
        if drive.interface == "pata" and untold_card(drive, problem)
    ]


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    wanted = pata_drives(parts.drive, problem)
    ids = (parts.board.id,)
    if wanted == 0:
        return ()
    if all_kept(parts, ("board", "drive")):
        return (fits(ID, ids, wanted, today="yes"),)
    if parts.board.pata_channels is None:
        return (unknown(ID, question(parts.candidate("board"), "pata_channels"), ids),)
    places = PATA_DEVICES_PER_CHANNEL * parts.board.pata_channels
    missing = _missing(parts.board, parts.drive, problem)
    if missing:
        options = _options(problem, parts.board, parts.case, parts.drive, parts.graphics, missing)
        if _waits_for_slots(problem, parts.board, options, missing):
            return (unknown(ID, question(parts.candidate("board"), "slots"), ids),)
    line = draft.bought_for(ID, "devices")
    added = 0
    if line is not None:
        extra = problem.extras[line.item]
        each = extra.count * (PATA_DEVICES_PER_CHANNEL if extra.kind == "pata-controller" else 1)
        added = line.quantity * each
    started = adapter_starts(problem, parts.board, parts.drive)
    facts: dict[str, str | int] = {}
    if missing and line is None and started is False:
        facts = {"family": "" if problem.os is None else problem.os.id, "no_ide": "yes"}
    found = at_least(ID, places + added, wanted, "devices", ids, added=added, **facts)
    bridged = line is not None and problem.extras[line.item].kind == "pata-drive-adapter"
    open_facts: list[Finding] = []
    if bridged and started is None:
        asked = question(parts.candidate("board"), "storage_modes")
        open_facts.append(unknown(ID, asked, ids, bridge="ide"))
    if bridged:
        column = unknown_sata_column(parts.board)
        if column and free_sata_ports(parts.board, parts.drive, problem, certain=True, more=added) is None:
            open_facts.append(unknown(ID, question(parts.candidate("board"), column), ids, bridge="yes"))
    if missing:
        open_facts += _untold_cards(parts, problem)
    return (found, *open_facts)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    conditions: dict[Any, Any] = {}  # options -> conditions, one of them true at most
    for case, graphics, place in picks.cases_and_cards():
        for drive, drive_literal in picks.candidates("drive"):
            count = pata_drives(drive.part, problem)
            if count == 0:
                continue

            def shortfall(
                candidate: Candidate[Board],
                case: Case = case.part,
                cards: GraphicsChoice = graphics.part,
                drive: Any = drive,
                count: int = count,
            ) -> Any:
                """What gives as many places as are missing; None where nothing is needed."""
                channels = candidate.part.pata_channels
                if channels is None or (candidate.kept and drive.kept) or count <= 2 * channels:
                    return None
                missing = count - 2 * channels
                options = _options(problem, candidate.part, case, drive.part, cards, missing)
                return None if _waits_for_slots(problem, candidate.part, options, missing) else options

            name = f"{ID} in {case.key} with {drive.key} and {graphics.key}"
            for options, board in picks.classes("board", name, shortfall).items():
                if options is not None:
                    conditions.setdefault(options, []).append(picks.both(place, drive_literal, board))
    for number, (options, wheres) in enumerate(conditions.items()):
        picks.need(ID, f"devices:{number}", options, wheres, on)
