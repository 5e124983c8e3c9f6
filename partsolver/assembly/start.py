"""How a system starts, and whether the present installation can start on another board."""

from __future__ import annotations

from partsolver.assembly.cards import graphics_card
from partsolver.assembly.ports import carrying_card
from partsolver.assembly.storage import drive_interface
from partsolver.catalog.records import Board, Case, Cpu
from partsolver.problem.candidates import DriveChoice, GraphicsChoice
from partsolver.problem.problem import Problem
from partsolver.standards.operating_systems import names_linux
from partsolver.survey.model import Drive


def keeps_installation(problem: Problem) -> bool:
    """Whether the present installation is to run afterwards."""
    wanted = problem.brief.os
    return problem.survey.os.keep and (wanted is None or wanted == problem.survey.os.family)


def start_mode(problem: Problem, drive: Drive) -> str | None:
    """How the installed system starts: as surveyed, as the present board does that knows one way only, else by
    its partition table; None when it is not known. Linux starts from GPT in both ways (start reference, section
    5: a BIOS boot partition on legacy firmware)."""
    if drive.start_mode is not None:
        return drive.start_mode
    modes = problem.survey.board.firmware_modes
    if modes is not None and len(modes) == 1:
        return modes[0]
    if drive.partition_table == "gpt":
        return None if names_linux(problem.survey.os.family) else "uefi"
    return "legacy" if drive.partition_table == "mbr" else None


def legacy_by_system(problem: Problem) -> bool:
    """Whether the system that is to run does not start in UEFI mode alone (standards/operating_systems)."""
    system = problem.os if problem.survey.os.keep or problem.brief.os is not None else None
    return system is not None and system.uefi_start != "yes"


def legacy_by_installation(problem: Problem, choice: DriveChoice) -> bool:
    """Whether the installation on a kept system drive starts the old way."""
    kept = choice.kept
    return kept is not None and keeps_installation(problem) and start_mode(problem, kept) == "legacy"


def legacy_card(problem: Problem, board: Board, case: Case, graphics: GraphicsChoice) -> bool:
    """Whether a graphics card that has a place may make the picture at a legacy start."""
    card = graphics_card(problem, board, case, graphics)
    return card is not None and card.legacy_video is not False


def picture_is_processors(
    problem: Problem, board: Board, cpu: Cpu, case: Case, graphics: GraphicsChoice
) -> bool:
    """Whether only the processor's graphics can make the picture at a legacy start."""
    return not legacy_card(problem, board, case, graphics) and cpu.graphics_score != 0


def on_adapter(board: Board, drive: Drive) -> bool:
    """Whether a PATA drive hangs on a SATA port of the board, through an adapter, or on a card: it has no PATA
    channel."""
    return drive.interface == "pata" and board.pata_channels == 0


def needed_storage_mode(problem: Problem, board: Board, drive: Drive, carded: bool) -> str | None:
    """The SATA mode that the installation on a kept drive wants on a board; None where it is not known or does
    not matter: Linux finds its drive in AHCI and in IDE mode alike (start reference, section 2.5). A PATA drive
    works in IDE mode today; ``carded``: it hangs on a controller card that is bought, which has no such mode."""
    if carrying_card(drive, problem) is not None:
        return None
    bridged = on_adapter(board, drive) and not carded
    mode = "ide" if bridged else drive.storage_mode
    linux = names_linux(problem.survey.os.family)
    if (drive.interface != "sata" and not bridged) or (linux and mode != "raid"):
        return None
    return mode


def adapter_starts(problem: Problem, board: Board, choice: DriveChoice) -> bool | None:
    """Whether the present installation starts from a SATA port, its PATA drive on an adapter: one without a
    driver for AHCI only where the firmware has IDE mode. None where its modes are not known."""
    kept, system = choice.kept, problem.os
    if kept is None or not on_adapter(board, kept) or not keeps_installation(problem):
        return True
    if carrying_card(kept, problem) is not None:
        return True
    if system is None or not system.needs_storage_driver:
        return True
    return None if board.storage_modes is None else "ide" in board.storage_modes


def copy_starts(problem: Problem, board: Board, choice: DriveChoice) -> bool:
    """Whether the present installation, copied onto a bought drive, may start on this board.

    Not known counts as may: the copying step names the other way. A drive installed the old way starts only
    where the firmware has the legacy mode, and never from NVMe (start reference, section 1.2); a system
    without a driver for the controller does not start either.
    """
    present = problem.survey.system_drive
    if present is None or not keeps_installation(problem):
        return False
    mode, modes = start_mode(problem, present), board.firmware_modes
    if mode is not None and modes is not None and mode not in modes:
        return False
    nvme = drive_interface(choice) == "m2-nvme"
    if nvme and mode == "legacy":
        return False
    system = problem.os
    if system is None:
        return True
    if system.uefi_start != "yes" and modes is not None and "legacy" not in modes:
        return False
    if nvme and not system.has_nvme_driver:
        return False
    lacks_ide = board.storage_modes is not None and "ide" not in board.storage_modes
    return not (system.needs_storage_driver and lacks_ide)
