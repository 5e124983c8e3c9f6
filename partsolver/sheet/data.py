"""What the steps ask about the owner's data, keys and system: what moves, what may stop it, what has to be noted."""

from __future__ import annotations

from partsolver.assembly.start import needed_storage_mode
from partsolver.assembly.storage import raid_members
from partsolver.plan.cautions import KEY_SLOTS
from partsolver.sheet.context import Context, Facts
from partsolver.standards.operating_systems import OPERATING_SYSTEMS, names_linux
from partsolver.survey.model import Drive


def locked_drives(c: Context) -> Facts:
    """Kept drives with encryption, and those of which it is not known."""
    drives = c.data_drives
    return {
        "runs": c.runs,
        "known": tuple(d.name for d in drives if d.encrypted),
        "unknown": tuple(d.name for d in drives if d.encrypted is None),
    }


def asks_for_key(c: Context) -> bool:
    """Whether the change may make an encrypted drive ask for its key: what opens it by itself is bound to board,
    processor, the firmware of cards and the way the system starts (start reference, section 2.7; cards and drive
    from memory)."""
    drives = locked_drives(c)
    return c.new(*KEY_SLOTS) and bool(drives["known"] or drives["unknown"])


def same_system(c: Context) -> bool:
    """Whether the PC runs the system it has now, kept, copied or installed again."""
    return c.problem.brief.os in (None, c.problem.survey.os.family)


def commercial(c: Context) -> bool:
    """Whether the present system's licence may depend on the board, or is entered again."""
    system = OPERATING_SYSTEMS.get(c.problem.survey.os.family or "")
    survey = c.problem.survey.os
    return (
        system is not None
        and system.licence_kind_matters
        and same_system(c)
        and (survey.keep or c.installs)
        and survey.licence != "none-needed"
    )


def leaves_installation(c: Context) -> bool:
    """Whether programs tied to this PC meet another board, or have to be installed again."""
    return c.new("board") or c.installs


def is_linux(c: Context) -> bool:
    return names_linux(c.problem.brief.os or c.problem.survey.os.family)


def may_sleep(c: Context) -> bool:
    """Whether the present system may only put itself to sleep when it is shut down: the commercial ones from 2012 on
    (common practice), those that sort drivers out themselves; one of unknown family may."""
    family = c.problem.survey.os.family
    system = OPERATING_SYSTEMS.get(family or "")
    return not names_linux(family) and (system is None or system.sorts_drivers)


def moves_system(c: Context) -> bool:
    """Whether the present installation, kept or copied, meets a new board."""
    return c.new("board") and (c.keeps_system or c.may_copy)


def moves_sata_system(c: Context) -> bool:
    """Whether the SATA mode has to be as it was: of a kept system on a SATA port, or on one behind an adapter."""
    drive = c.problem.survey.system_drive
    if drive is None or not moves_system(c):
        return False
    unknown = drive.interface == "sata" and drive.storage_mode is None
    return unknown or _storage_mode(c, drive) is not None


def _storage_mode(c: Context, drive: Drive) -> str | None:
    """The SATA mode that the present system wants on the board of the plan."""
    return needed_storage_mode(c.problem, c.board, drive, bool(c.extras("pata-controller")))


def sorts_drivers(c: Context) -> Facts:
    """Whether the present system finds drivers of another board by itself; None where it is not known."""
    system = OPERATING_SYSTEMS.get(c.problem.survey.os.family or "")
    return {"runs": c.runs, "sorts": None if system is None else system.sorts_drivers}


def settings_at_risk(c: Context) -> bool:
    """Whether another processor, or the update for it, may set back the settings of a board that stays."""
    return c.runs and c.new("cpu") and not c.new("board")


def storage_mode_facts(c: Context) -> Facts:
    drive = c.problem.survey.system_drive
    mode = None if drive is None else _storage_mode(c, drive) or drive.storage_mode
    return {"runs": c.runs, "mode": mode, "modes": c.board.storage_modes}


def raid_sets(c: Context) -> tuple[str, ...]:
    """Kept drives on a RAID set that another board does not read, with the level (? where nobody looked)."""
    if not c.new("board"):
        return ()
    return tuple(f"{d.name} (level {d.raid or '?'})" for d in raid_members(c.parts.drive, c.problem))
