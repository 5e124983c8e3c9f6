"""Steps before the PC is opened, what is put together outside the case, switching off safely, parts on the board."""

from __future__ import annotations

import datetime
from itertools import groupby
from operator import attrgetter

from partsolver.plan.inferred import InferredFact, inferred_facts
from partsolver.sheet.context import Context, Facts
from partsolver.sheet.data import (
    asks_for_key,
    commercial,
    is_linux,
    leaves_installation,
    locked_drives,
    may_sleep,
    moves_sata_system,
    moves_system,
    raid_sets,
    settings_at_risk,
    sorts_drivers,
    storage_mode_facts,
)
from partsolver.sheet.step import Step, when
from partsolver.sheet.steps_firmware import firmware_facts, flash_alone, flash_before
from partsolver.sheet.tray import tray_of
from partsolver.standards.rails import window_mv

# Disks older than this are read out before they carry on (common practice; warranties of disks: 2 to 5 years).
OLD_DISK_YEARS = 5


def changes(c: Context) -> bool:
    return c.changes


def supply_meets_new(c: Context) -> bool:
    """Whether the present supply shall feed a new board or processor, and the old PC can still show its voltages."""
    return c.new("board", "cpu") and not c.new("psu") and c.runs and c.problem.survey.pc.memory_works


def rail_windows(c: Context) -> Facts:
    """Permitted voltages, mV, and whether the supply is the same before and after."""
    return {"kept": supply_meets_new(c), **{rail: window_mv(rail) for rail in ("12v", "5v", "3v3")}}


# Facts of the survey that can be looked up without opening the case.
_OUTSIDE = ("drive", "os", "device", "display", "pc")


def _questions(c: Context) -> Facts:
    asked = [path.partition(".")[0] for path in c.plan.open_questions]
    return {"inside": any(table not in _OUTSIDE for table in asked)}


def _cpu_lead(c: Context) -> Facts:
    return {"lead_mm": c.psu.cpu_lead_mm, "needed_mm": c.problem.settings["cpu_lead_needed_mm"]}


def _lead_doubtful(c: Context) -> bool:
    """Whether the kept supply's processor lead may not reach the header of the new board."""
    if not c.new("board", "case") or c.new("psu") or not c.board.cpu_plugs or not c.psu.cpu_plugs:
        return False
    return c.psu.cpu_lead_mm is None or c.psu.cpu_lead_mm < c.problem.settings["cpu_lead_needed_mm"]


def cleans(c: Context) -> bool:
    """Whether the case is cleaned: parts come out of it and it stays."""
    return c.new("board", "cooler", "psu", "cpu") and not c.new("case")


def _tools(c: Context) -> Facts:
    tray, cooler = tray_of(c), _cooler(c)
    return {
        "paste": c.cooler_on and cooler["paste"] == "own",
        "cloth": c.cooler_on and cooler["old_paste"],
        "pliers": tray is not None and bool(tray.letters("add", "remove", "look")),
        "tester": c.new("board", "case") and c.front_panel in ("own", "own header"),
        "brush": cleans(c),
        "shield": c.new("board", "case"),
    }


def _parcels(c: Context) -> Facts:
    lines = [ln for ln in c.plan.draft.lines if ln.slot is not None or ln.need is not None]
    boxed = c.parts.cooler.boxed
    used = tuple(
        c.name(ln.item) for ln in lines if (s := ln.offer or ln.bundle) is not None and s.condition != "new"
    )
    shield = c.board.shield == "included" and c.new("board")
    return {"count": len(lines), "used": used, "boxed": boxed, "shield": shield, "cooler": c.new("cooler")}


def _early(c: Context) -> tuple[tuple[str, str], ...]:
    """(name, last day for returns) of goods whose return time ends before the last part of the plan
    arrives."""
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
    return tuple(
        d.name
        for d in c.kept_drives()
        if d in c.data_drives and d.year is not None and year - d.year > OLD_DISK_YEARS
    )


def _needs_driver(c: Context) -> bool:
    system, drive = c.problem.os, c.parts.drive.kept or c.parts.drive.part
    if system is None or drive is None or not c.new("board", "drive"):
        return False
    return system.needs_storage_driver or (drive.interface == "m2-nvme" and not system.has_nvme_driver)


def _layout(c: Context) -> Facts:
    memory = c.parts.memory
    return {
        "modules": memory.modules,
        "channels": c.channel_count,
        "layout": c.layout,
        "mixed": memory.mixed,
        "kept": memory.with_kept,
        "slots": c.board.memory_slots,
        "beside": memory.mixed and not c.new("board"),
    }


def _waits_for_modules(c: Context) -> bool:
    """Whether modules go into the new board that sit in the old one until it is opened."""
    return c.parts.memory.with_kept or bool(c.passing.again)


def _cooler(c: Context) -> Facts:
    record = c.cooler_record
    bought = bool(c.extras("thermal-paste"))
    ready = c.parts.cooler.boxed or (c.new("cooler") and record is not None and record.paste_included is True)
    return {
        "cooler": c.name(c.parts.cooler.id),
        "boxed": c.parts.cooler.boxed,
        "paste": "ready" if ready else ("bought" if bought else "own"),
        "reused": not c.new("cooler"),
        # Paste of before is on a cooler or a processor that was in use.
        "old_paste": not c.new("cooler") or not c.new("cpu"),
        "tall": record is not None and (record.height_mm or 0) >= 100,
        "brackets": c.problem.survey.pc.cooler_brackets,
    }


def _cpu(c: Context) -> Facts:
    return {
        "cpu": c.name(c.parts.candidate("cpu").id or "kept-cpu"),
        "kept": not c.new("cpu"),
        "socket": c.board.socket,
    }


def new_module(c: Context) -> Facts:
    part = c.parts.drive.part
    return {"drives": () if part is None else (c.name(part.id),), "card": bool(c.extras("m2-card"))}


def _modules_now(c: Context) -> tuple[str, ...]:
    """M.2 modules that go in when the board is at hand: the bought one on a board that stays (into a new board
    it went on the table), the kept ones on a new board but those that wait for the system."""
    if not c.new("board"):
        return new_module(c)["drives"] if is_new_m2(c) else ()
    return tuple(name for name in c.kept_modules() if name not in c.later_drives)


def is_new_m2(c: Context) -> bool:
    part = c.parts.drive.part
    return part is not None and part.interface in ("m2-nvme", "m2-sata")


def _inferred(c: Context) -> tuple[tuple[str, tuple[InferredFact, ...]], ...]:
    """The parts of which facts are only inferred, by name."""
    found = inferred_facts(c.problem, c.plan.draft)
    return tuple((c.name(part), tuple(facts)) for part, facts in groupby(found, attrgetter("id")))


BEFORE: tuple[Step, ...] = (
    Step("before.questions", "before", lambda c: c.changes and bool(c.plan.open_questions), _questions),
    Step("before.rails", "before", supply_meets_new, rail_windows),
    Step("before.compare", "before", lambda c: bool(_inferred(c)), lambda c: {"parts": _inferred(c)}),
    Step("before.order-dates", "before", lambda c: bool(_early(c)), lambda c: {"early": _early(c)}),
    Step(
        "before.order",
        "before",
        lambda c: bool(c.plan.draft.lines),
        lambda c: {"stand_ins": bool(c.plan.stand_ins), "circle": c.passing.circle},
    ),
    Step(
        "before.other-pcs",
        "before",
        lambda c: bool(c.passing.got),
        lambda c: {
            "got": tuple((c.name(item), pieces, pc) for item, pieces, pc in c.passing.got),
            "circle": c.passing.circle,
        },
    ),
    Step("before.parcels", "before", lambda c: bool(c.plan.draft.lines), _parcels),
    Step(
        "before.backup",
        "before",
        lambda c: c.changes and (bool(c.data_drives) or not c.problem.survey.drives),
        lambda c: {"runs": c.runs, "drives": tuple(d.name for d in c.data_drives)},
    ),
    Step(
        "before.raid-set",
        "before",
        lambda c: bool(raid_sets(c)),
        lambda c: {"runs": c.runs, "drives": raid_sets(c)},
    ),
    Step("before.encryption", "before", asks_for_key, locked_drives),
    Step(
        "before.old-disks",
        "before",
        lambda c: c.changes and bool(_old_disks(c)),
        lambda c: {"drives": _old_disks(c)},
    ),
    Step("before.measure", "before", lambda c: c.changes and c.runs),
    Step(
        "before.memory-test",
        "before",
        lambda c: c.runs and c.parts.memory.with_kept and c.new("board", "cpu", "memory"),
    ),
    Step(
        "before.tied",
        "before",
        lambda c: leaves_installation(c) and bool(c.problem.survey.os.tied_software),
        lambda c: {"runs": c.runs, "programs": c.problem.survey.os.tied_software},
    ),
    Step(
        "before.licence",
        "before",
        lambda c: leaves_installation(c) and commercial(c),
        lambda c: {
            "board": c.new("board"),
            "licence": c.problem.survey.os.licence,
            "bought": bool(c.extras("os-licence")),
        },
    ),
    Step("before.old-tools", "before", moves_system, sorts_drivers),
    Step("before.storage-mode", "before", moves_sata_system, storage_mode_facts),
    Step("before.settings", "before", settings_at_risk),
    Step(
        "before.start-mode",
        "before",
        lambda c: moves_system(c) and c.start_mode is None,
        lambda c: {"runs": c.runs},
    ),
    Step(
        "before.drivers",
        "before",
        lambda c: c.new("board") and c.problem.os is not None,
        lambda c: {"linux": is_linux(c)},
    ),
    Step("before.storage-driver", "before", _needs_driver),
    Step(
        "before.media",
        "before",
        lambda c: c.new("board", "drive") and c.problem.os is not None,
        lambda c: {"runs": c.runs, "installs": c.installs or c.new("drive")},
    ),
    Step(
        "before.firmware-file",
        "before",
        lambda c: flash_alone(c) or flash_before(c) or c.flash_with_present,
        firmware_facts,
    ),
    Step("before.firmware", "before", flash_before, firmware_facts),
    Step(
        "before.send-in",
        "before",
        lambda c: c.sent_in is not None,
        lambda c: {**firmware_facts(c), **c.trip_facts},
    ),
    Step(
        "before.day",
        "before",
        when("board", "case"),
        lambda c: {"arrival": None if c.plan.arrival is None else c.plan.arrival.isoformat()},
    ),
)

BENCH: tuple[Step, ...] = (
    Step("prepare.static", "prepare", changes),
    Step("prepare.tools", "prepare", changes, _tools),
    Step(
        "bench.unpack",
        "bench",
        when("board"),
        lambda c: {"board": c.name(c.parts.candidate("board").id or "")},
    ),
    Step(
        "bench.firmware-label",
        "bench",
        lambda c: c.new("board") and c.firmware_state == "unknown",
        firmware_facts,
    ),
    Step("bench.socket", "bench", when("board")),
    Step("bench.cpu", "bench", lambda c: c.cpu_on_bench, _cpu),
    Step("bench.memory", "bench", lambda c: c.new("board") and not _waits_for_modules(c), _layout),
    Step("bench.m2", "bench", lambda c: c.new("board") and is_new_m2(c), new_module),
    Step("bench.cooler", "bench", lambda c: c.cpu_on_bench and c.new("cooler"), _cooler),
)

OFF: tuple[Step, ...] = (
    Step("off.warm", "off", lambda c: c.cooler_off and c.runs),
    Step("off.mains", "off", changes, lambda c: {"half": c.runs and may_sleep(c)}),
    Step("off.leads", "off", changes),
    Step("off.open", "off", changes),
    Step("off.cpu-lead", "off", _lead_doubtful, _cpu_lead),
)

# The same work after parts were taken out of the old board, or on the board that stays.
ASSEMBLE: tuple[Step, ...] = (
    Step("assemble.flash", "assemble", lambda c: c.flash_with_present, firmware_facts),
    Step("assemble.cpu", "assemble", lambda c: c.new("board", "cpu") and not c.cpu_on_bench, _cpu),
    Step(
        "assemble.memory",
        "assemble",
        lambda c: (c.new("board") and _waits_for_modules(c)) or (not c.new("board") and c.new("memory")),
        _layout,
    ),
    Step(
        "assemble.m2",
        "assemble",
        lambda c: bool(_modules_now(c)),
        lambda c: {"drives": _modules_now(c), "card": bool(c.extras("m2-card"))},
    ),
    Step(
        "assemble.cooler",
        "assemble",
        lambda c: c.cooler_on and not (c.cpu_on_bench and c.new("cooler")),
        _cooler,
    ),
)
