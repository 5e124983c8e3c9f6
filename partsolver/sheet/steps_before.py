"""Steps before the PC is opened, safety, and what is put together outside the case."""

from __future__ import annotations

import datetime

from partsolver.sheet.context import Context, Facts
from partsolver.sheet.step import Step, when
from partsolver.standards.operating_systems import OPERATING_SYSTEMS

# Disks older than this are read out before they carry on (common practice; warranty periods of disks are 2 to 5 years).
OLD_DISK_YEARS = 5


def changes(c: Context) -> bool:
    return c.changes


def locked_drives(c: Context) -> Facts:
    """Kept drives with encryption, and those of which it is not known."""
    drives = c.data_drives
    return {
        "known": tuple(d.name for d in drives if d.encrypted),
        "unknown": tuple(d.name for d in drives if d.encrypted is None),
    }


def asks_for_key(c: Context) -> bool:
    return c.new("board", "cpu") and any(locked_drives(c).values())


def commercial(c: Context) -> bool:
    """Whether the present system's licence may depend on the board."""
    system = OPERATING_SYSTEMS.get(c.problem.survey.os.family or "")
    survey = c.problem.survey.os
    return system is not None and system.licence_kind_matters and survey.keep and survey.licence != "none-needed"


def moves_kept_system(c: Context) -> bool:
    """Whether the present installation meets a new board."""
    return c.new("board") and c.keeps_system


def kept_sata_system(c: Context) -> bool:
    drive = c.problem.survey.system_drive
    return moves_kept_system(c) and drive is not None and drive.interface == "sata"


def _parcels(c: Context) -> Facts:
    lines = [ln for ln in c.plan.draft.lines if ln.slot is not None or ln.need is not None]
    boxed = c.parts.cooler.boxed
    used = tuple(c.name(ln.item) for ln in lines if (s := ln.offer or ln.bundle) is not None and s.condition != "new")
    shield = c.board.shield == "included" and c.new("board")
    return {"count": len(lines), "used": used, "boxed": boxed, "shield": shield, "cooler": c.new("cooler")}


def _early(c: Context) -> tuple[tuple[str, str], ...]:
    """(name, last day for returns) of goods whose return time ends before the last part of the plan arrives."""
    if c.plan.arrival is None:
        return ()
    rows = []
    for line in c.plan.draft.lines:
        source = line.offer or line.bundle
        if source is None:
            continue
        days = c.problem.sellers[source.seller].returns_days
        last = c.problem.arrival(source) + datetime.timedelta(days=days)
        if days and last < c.plan.arrival and not (line.need is not None and line.need.kind == "os-licence"):
            rows.append((c.name(line.item), last.isoformat()))
    return tuple(rows)


def _old_disks(c: Context) -> tuple[str, ...]:
    year = c.problem.today.year
    return tuple(d.name for d in c.kept_drives() if d in c.data_drives and d.year is not None and year - d.year > OLD_DISK_YEARS)


def _needs_driver(c: Context) -> bool:
    system, drive = c.problem.os, c.parts.drive.kept or c.parts.drive.part
    if system is None or drive is None or not c.new("board", "drive"):
        return False
    return system.needs_storage_driver or (drive.interface == "m2-nvme" and not system.has_nvme_driver)


def _firmware(c: Context) -> Facts:
    return {
        "board": c.name(c.parts.candidate("board").id or "kept-board"),
        "cpu": c.name(c.parts.candidate("cpu").id or "kept-cpu"),
        "needed": c.firmware_needed,
        "shipped": c.board.firmware_shipped,
        "flash": c.board.flash_without_cpu is True,
        "state": c.firmware_state,
    }


def _layout(c: Context) -> Facts:
    memory = c.parts.memory
    return {
        "modules": memory.modules, "channels": c.channel_count, "layout": c.layout, "mixed": memory.mixed,
        "kept": memory.with_kept, "slots": c.board.memory_slots,
    }  # fmt: skip


def _cooler(c: Context) -> Facts:
    record = c.cooler_record
    bought = bool(c.extras("thermal-paste"))
    ready = c.parts.cooler.boxed or (c.new("cooler") and record is not None and record.paste_included is True)
    return {
        "cooler": c.name(c.parts.cooler.id),
        "paste": "ready" if ready else ("bought" if bought else "own"),
        "reused": not c.new("cooler"),
        "tall": record is not None and (record.height_mm or 0) >= 100,
        "brackets": c.problem.survey.pc.cooler_brackets is True,
    }


def _cpu(c: Context) -> Facts:
    return {"cpu": c.name(c.parts.candidate("cpu").id or "kept-cpu"), "kept": not c.new("cpu"), "socket": c.board.socket}


def new_module(c: Context) -> Facts:
    part = c.parts.drive.part
    return {"drives": () if part is None else (c.name(part.id),), "card": bool(c.extras("m2-card"))}


def is_new_m2(c: Context) -> bool:
    part = c.parts.drive.part
    return part is not None and part.interface in ("m2-nvme", "m2-sata")


BEFORE: tuple[Step, ...] = (
    Step("before.questions", "before", lambda c: c.changes and bool(c.plan.open_questions), lambda c: {"questions": c.plan.open_questions}),
    Step("before.order-dates", "before", lambda c: bool(_early(c)), lambda c: {"early": _early(c)}),
    Step("before.parcels", "before", lambda c: bool(c.plan.draft.lines), _parcels),
    Step("before.measure", "before", changes),
    Step("before.backup", "before", lambda c: c.changes and bool(c.data_drives), lambda c: {"drives": tuple(d.name for d in c.data_drives)}),
    Step("before.encryption", "before", asks_for_key, locked_drives),
    Step("before.old-disks", "before", lambda c: c.changes and bool(_old_disks(c)), lambda c: {"drives": _old_disks(c)}),
    Step("before.memory-test", "before", lambda c: c.parts.memory.with_kept and c.new("board", "cpu", "memory")),
    Step(
        "before.tied", "before", lambda c: c.new("board") and bool(c.problem.survey.os.tied_software),
        lambda c: {"programs": c.problem.survey.os.tied_software},
    ),
    Step("before.licence", "before", lambda c: c.new("board") and commercial(c), lambda c: {"licence": c.problem.survey.os.licence}),
    Step("before.old-tools", "before", moves_kept_system),
    Step(
        "before.storage-mode", "before", kept_sata_system,
        lambda c: {"mode": None if c.problem.survey.system_drive is None else c.problem.survey.system_drive.storage_mode},
    ),
    Step("before.start-mode", "before", lambda c: moves_kept_system(c) and c.start_mode is None),
    Step("before.drivers", "before", lambda c: c.new("board") and c.problem.os is not None),
    Step("before.storage-driver", "before", _needs_driver),
    Step("before.media", "before", lambda c: c.new("board", "drive") and c.problem.os is not None, lambda c: {"installs": c.installs or c.new("drive")}),
    Step("before.firmware", "before", lambda c: c.new("cpu") and not c.new("board") and c.firmware_state != "enough", _firmware),
    Step("before.day", "before", when("board", "case"), lambda c: {"arrival": None if c.plan.arrival is None else c.plan.arrival.isoformat()}),
    Step("before.warm", "before", lambda c: c.cooler_off),
)

BENCH: tuple[Step, ...] = (
    Step("prepare.mains", "prepare", changes),
    Step("prepare.static", "prepare", changes),
    Step("prepare.tools", "prepare", changes, lambda c: {"paste": c.cooler_on and _cooler(c)["paste"] == "own"}),
    Step("bench.unpack", "bench", when("board"), lambda c: {"board": c.name(c.parts.candidate("board").id or "")}),
    Step("bench.firmware-label", "bench", lambda c: c.new("board") and c.firmware_state == "unknown", _firmware),
    Step("bench.flash", "bench", lambda c: c.new("board") and c.firmware_state != "enough" and c.board.flash_without_cpu is True, _firmware),
    Step("bench.socket", "bench", when("board")),
    Step("bench.cpu", "bench", lambda c: c.cpu_on_bench, _cpu),
    Step("bench.memory", "bench", lambda c: c.new("board") and not c.parts.memory.with_kept, _layout),
    Step("bench.m2", "bench", lambda c: c.new("board") and is_new_m2(c), new_module),
    Step("bench.cooler", "bench", lambda c: c.cpu_on_bench and c.new("cooler"), _cooler),
)

# The same work after parts were taken out of the old board, or on the board that stays.
ASSEMBLE: tuple[Step, ...] = (
    Step("assemble.flash", "assemble", lambda c: c.flash_with_present, _firmware),
    Step("assemble.cpu", "assemble", lambda c: c.new("board", "cpu") and not c.cpu_on_bench, _cpu),
    Step(
        "assemble.memory", "assemble",
        lambda c: (c.new("board") and c.parts.memory.with_kept) or (not c.new("board") and c.new("memory")), _layout,
    ),
    Step(
        "assemble.m2", "assemble", lambda c: (not c.new("board") and is_new_m2(c)) or (c.new("board") and bool(kept_modules(c))),
        lambda c: {"drives": (*new_module(c)["drives"], *(kept_modules(c) if c.new("board") else ())), "card": bool(c.extras("m2-card"))},
    ),
    Step(
        "assemble.cooler", "assemble", lambda c: c.cooler_on and not (c.cpu_on_bench and c.new("cooler")), _cooler,
    ),
)  # fmt: skip


def kept_modules(c: Context) -> tuple[str, ...]:
    """Kept M.2 modules by name."""
    return tuple(d.name for d in c.kept_drives() if d.interface in ("m2-nvme", "m2-sata"))
