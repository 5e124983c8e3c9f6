"""The system starts and finds its drivers on the platform: family x start mode x storage x age of the
platform.

A system that cannot start in UEFI mode (32-bit systems, the generation of 2001; that of 2009 needs the old
video service) wants a firmware with the legacy mode. A legacy start wants a picture at that time: the
graphics of some processors make none (stated per processor; up to ``legacy_video_last_cpu_year`` all do,
later ones are asked), so a graphics card has to. A system without a driver for AHCI, installed in IDE mode,
does not start where the firmware has AHCI only; installed afresh it needs the driver at set-up, which is
said. An NVMe drive needs a driver in the system: by updates (said), or never; and it is started from in UEFI
mode only, so that no system that cannot start so is installed on one. A board, a processor or a bought graphics
card newer than the last ones with drivers for the system is said. What the PC does today it goes on doing. Not checked:
drivers for controllers on cards; drivers that others adapted.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.cards import graphics_card
from partsolver.assembly.modules import part_question
from partsolver.assembly.pictures import board_makes_picture, own_picture
from partsolver.assembly.plugs import all_kept
from partsolver.assembly.ports import carrying_card
from partsolver.assembly.start import (
    keeps_installation,
    legacy_by_installation,
    legacy_by_system,
    picture_is_processors,
)
from partsolver.assembly.storage import drive_interface
from partsolver.assembly.system import excused, kept_system, other_system, same_system
from partsolver.catalog.records import Board, Case, Cpu
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fails, fits, unknown
from partsolver.problem.candidates import Candidate, DriveChoice, GraphicsChoice, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.standards.operating_systems import OperatingSystem

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "os.start"
STATEMENT = "The system can start on this board the way it has to, and has drivers for what it starts from."
SOURCE = (
    "start reference, sections 1.2 (start modes and drivers in the box), 1.4 (platform age) and 2.2 (no video"
    " service for the legacy start from 2021 on)"
)
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "case", "drive", "graphics")
READS: Reads = {
    "board": ("firmware_modes", "graphics_score", "outputs", "slots", "storage_modes", "year"),
    "cpu": ("graphics_score", "legacy_video", "year"),
    "case": ("max_card_length_mm", "slot_height", "slot_openings"),
    "drive": ("kept", "part.interface"),
    "graphics": ("bought", "card"),
}
SURVEY: tuple[str, ...] = ("board", "cards", "cpu", "os")


def _late(cpu: Cpu, problem: Problem) -> bool:
    """Whether the processor may be one whose graphics have no video service for the legacy start."""
    return cpu.year is not None and cpu.year > problem.settings["legacy_video_last_cpu_year"]


def _start(parts: Parts, problem: Problem, system: OperatingSystem | None) -> list[Finding]:
    """Start mode of the firmware, and the picture at a legacy start."""
    board, cpu, ids = parts.board, parts.cpu, (parts.board.id,)
    by_system = legacy_by_system(problem)
    found: list[Finding] = []
    if system is not None and by_system and not excused(parts, problem, "board"):
        modes = board.firmware_modes
        facts: dict[str, str | int] = {"family": system.id, "start": system.uefi_start}
        if modes is None:
            found.append(
                unknown(ID, part_question(parts.candidate("board"), "firmware_modes"), ids, False, **facts)
            )
        elif "legacy" not in modes:
            return [fails(ID, ids, "legacy", "+".join(modes) or "none", **facts)]
    changed = not all_kept(parts, ("board", "cpu", "graphics"))
    wanted = by_system or legacy_by_installation(problem, parts.drive)
    if changed and wanted and picture_is_processors(problem, board, cpu, parts.case, parts.graphics):
        if cpu.legacy_video is False:
            found.append(fails(ID, (board.id, cpu.id), "none", "legacy", video="no"))
        elif cpu.legacy_video is None and _late(cpu, problem):
            asked = part_question(parts.candidate("cpu"), "legacy_video")
            found.append(unknown(ID, asked, (board.id, cpu.id), False, video="unknown"))
    if changed and wanted and _only_blind_card(parts, problem):
        found.append(fails(ID, (board.id, parts.graphics.id), "none", "legacy", video="card"))
    return found


def _only_blind_card(parts: Parts, problem: Problem) -> bool:
    """Whether the picture hangs on a card that makes none at a legacy start."""
    card = graphics_card(problem, parts.board, parts.case, parts.graphics)
    if card is None or card.legacy_video is not False:
        return False
    return own_picture(problem, parts.board, parts.board_kept, parts.cpu) is False


def _storage(parts: Parts, problem: Problem, system: OperatingSystem) -> list[Finding]:
    """Drivers for the controller the system drive hangs on."""
    board, choice = parts.board, parts.drive
    ids = (board.id, choice.id)
    interface = drive_interface(choice)
    if same_system(problem) and parts.board_kept and parts.candidate("drive").kept:
        return []
    if interface == "m2-nvme" and system.uefi_start == "no" and not _runs_there(problem, choice):
        return [fails(ID, ids, "nvme", "uefi", driver="nvme", family=system.id)]
    if interface == "m2-nvme" and not system.has_nvme_driver:
        if system.nvme_by_update:
            return [fits(ID, ids, "nvme", driver="nvme", family=system.id)]
        return [fails(ID, ids, "nvme", "none", driver="nvme", family=system.id)]
    if not system.needs_storage_driver or interface not in ("sata", "m2-sata"):
        return []
    if carrying_card(choice.kept, problem) is not None:
        return []  # the card goes along, and so does the driver that the installation has for it
    if board.storage_modes is not None and "ide" in board.storage_modes:
        return []
    kept = choice.kept if keeps_installation(problem) else None
    if kept is not None and kept.storage_mode in ("ide", None):
        if board.storage_modes is None:
            asked = part_question(parts.candidate("board"), "storage_modes")
            return [unknown(ID, asked, ids, driver="storage", family=system.id)]
        modes = "+".join(board.storage_modes) or "none"
        return [fails(ID, ids, "ide", modes, driver="storage", family=system.id)]
    return [fits(ID, ids, "ahci", driver="storage", family=system.id)]


def _runs_there(problem: Problem, choice: DriveChoice) -> bool:
    """Whether the installation that is kept starts from this drive today (some early NVMe drives bring their
    own start code)."""
    return choice.kept is not None and keeps_installation(problem)


def _platform(parts: Parts, problem: Problem, system: OperatingSystem) -> list[Finding]:
    """What of the new board and processor is younger than the last ones with drivers for the system."""
    last = system.last_platform_year
    if last is None:
        return []
    new = [parts.candidate(slot) for slot in ("board", "cpu") if not parts.candidate(slot).kept]
    years = [candidate.part.year for candidate in new]  # type: ignore[union-attr]
    late = max((year for year in years if year is not None), default=0)
    if late > last:
        ids = tuple(candidate.key for candidate in new)
        return [fits(ID, ids, late, drivers="none", family=system.id, last_year=last)]
    if None in years:
        asked = part_question(new[years.index(None)], "year")
        return [unknown(ID, asked, tuple(candidate.key for candidate in new), family=system.id, drivers="?")]
    return []


def _card(parts: Parts, system: OperatingSystem) -> list[Finding]:
    """That a bought graphics card is younger than the last ones with drivers for the system."""
    last, bought = system.last_card_year, parts.graphics.bought
    if last is None or bought is None or bought.year is None or bought.year <= last:
        return []
    facts: dict[str, str | int] = {"drivers": "none", "family": system.id, "last_year": last, "card": "yes"}
    return [fits(ID, (bought.id,), bought.year, **facts)]


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    system = kept_system(problem)
    found = _start(parts, problem, system)
    if system is not None:
        found += _storage(parts, problem, system) + _platform(parts, problem, system)
        found += _card(parts, system)
    return tuple(found)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    by_system, same = legacy_by_system(problem), same_system(problem)
    boards = picks.classes("board", ID, lambda c: (c.part.firmware_modes, c.part.storage_modes, c.kept))
    cpus_kept = picks.classes("cpu", "kept", lambda c: c.kept)
    both_may_stay = [cpus_kept[True]] if True in cpus_kept and not other_system(problem) else []
    if by_system:
        for (modes, _, kept), board in boards.items():
            if modes is not None and "legacy" not in modes and not (kept and same):
                picks.clause([~board, *(both_may_stay if kept else [])], on)
    for drive, drive_literal in picks.candidates("drive"):
        _post_storage(picks, problem, boards, drive, drive_literal, on)
        kept = drive.part.kept
        proven = problem.survey.board.firmware_modes
        by_board = None if proven not in (("legacy",), ("uefi",)) else proven[0]
        by_table = None if kept is None or kept.partition_table != "mbr" else "legacy"
        mode = None if kept is None else kept.start_mode or by_board or by_table
        installed = keeps_installation(problem) and mode == "legacy"
        if installed or by_system:
            _post_video(picks, problem, drive_literal, on)


def _post_storage(
    picks: Picks,
    problem: Problem,
    boards: dict[Any, BoolVar],
    drive: Candidate[DriveChoice],
    literal: BoolVar,
    on: BoolVar,
) -> None:
    system = kept_system(problem)
    if system is None:
        return
    choice: DriveChoice = drive.part
    source = choice.kept or choice.part
    for (_, modes, board_kept), board in boards.items():
        if source is None or (board_kept and drive.kept and same_system(problem)):
            continue
        if source.interface == "m2-nvme":
            refused = not system.has_nvme_driver and not system.nvme_by_update
            stays = choice.kept is not None and keeps_installation(problem)
            refused = refused or (system.uefi_start == "no" and not stays)
        else:
            in_ide = choice.kept is not None and choice.kept.storage_mode != "ahci"
            in_ide = in_ide and choice.kept.storage_mode != "raid"  # type: ignore[union-attr]
            on_board = choice.kept is None or carrying_card(choice.kept, problem) is None
            sata = on_board and source.interface in ("sata", "m2-sata")
            refused = system.needs_storage_driver and sata and in_ide and keeps_installation(problem)
            refused = refused and modes is not None and "ide" not in modes
        if refused:
            picks.never_together(literal, board, on)


def _post_video(picks: Picks, problem: Problem, drive: BoolVar, on: BoolVar) -> None:
    processors = picks.classes(
        "cpu", f"{ID} video", lambda c: (c.part.legacy_video is False, c.part.graphics_score == 0, c.kept)
    )
    for case, graphics, here in picks.cases_and_cards():

        def video(
            candidate: Candidate[Board], case: Case = case.part, cards: GraphicsChoice = graphics.part
        ) -> tuple[bool, bool, bool, bool, bool]:
            board = candidate.part
            card = graphics_card(problem, board, case, cards)
            drawn = card is not None and card.legacy_video is not False
            no_board = board_makes_picture(problem, board, candidate.kept) is False
            return card is not None, drawn, board.outputs == (), no_board, candidate.kept

        which = f"{ID} in {case.key} with {graphics.key}"
        boards = picks.classes("board", which, video)
        for (card, drawn, no_output, no_board, board_kept), board in boards.items():
            for (no_video, no_graphics, cpu_kept), cpu in processors.items():
                no_own = no_output or (no_graphics and no_board)
                dark = (card and no_own) or (no_video and not no_graphics)
                if dark and not drawn and not (board_kept and cpu_kept and graphics.kept):
                    picks.clause([~drive, ~here, ~board, ~cpu], on)
