"""Steps from the first start to the hand-over."""

from __future__ import annotations

import datetime

from partsolver.assembly.pictures import picture_sources
from partsolver.assembly.storage import best_sata_port_gbps10, link_mbs
from partsolver.rules import family_of, picture_displays
from partsolver.sheet.context import Context, Facts
from partsolver.sheet.data import (
    asks_for_key,
    commercial,
    is_linux,
    leaves_installation,
    locked_drives,
    moves_sata_system,
    moves_system,
    same_system,
    settings_at_risk,
    storage_mode_facts,
)
from partsolver.sheet.named import other_extras
from partsolver.sheet.step import Step, when
from partsolver.sheet.steps_before import changes, rail_windows
from partsolver.sheet.steps_connect import portless
from partsolver.sheet.steps_firmware import firmware_facts, flash_alone
from partsolver.sheet.steps_work import card_slots

# A supply counts as old from this age on (ageing table of the power reference, section 14: beyond the usual
# capacitor life).
OLD_SUPPLY_YEARS = 8


def _apart(c: Context) -> Facts:
    front = [c.case.front_usb2_plugs, c.case.front_usb3_plugs, c.case.front_usb_e_plugs]
    if not c.rebuilt:
        return {"drives": c.later_drives, "cards": (), "front": False, "devices": (), "rebuilt": False}
    return {
        "rebuilt": True,
        "drives": c.later_drives,
        "cards": c.later_cards,
        "front": c.new("board", "case") and (any(front) or c.case.front_audio in ("hd", "ac97")),
        "devices": tuple(d.name for d in c.problem.survey.devices if d.port not in ("ps2", None)),
    }


def displays(c: Context) -> tuple[tuple[str, str, str, str], ...]:
    """(display, output, adapter or "", input) as the finding of the displays says."""
    rows = []
    for found in c.findings(picture_displays.ID):
        if found.fact("display") is not None and found.fact("output") is not None:
            adapter = found.fact("adapter")
            rows.append(
                (
                    str(found.fact("display")),
                    str(found.fact("output")),
                    "" if adapter is None else c.name(str(adapter)),
                    str(found.fact("input")),
                )
            )
    return tuple(rows)


def _monitor(c: Context) -> Facts:
    card = c.card
    return {
        "displays": displays(c),
        "card": None if card is None else card.name,
        "board_outputs": bool(c.board.outputs),
        "same": not c.new("board", "cpu", "case", "graphics"),
        "ps2": any(d.port == "ps2" for d in c.problem.survey.devices) and bool(c.board.ps2_ports),
    }


def _two_sources(c: Context) -> bool:
    """Whether a new graphics card, or a card on a new board, makes the picture beside graphics that could
    as well."""
    sources = picture_sources(c.problem, c.board, c.parts.board_kept, c.cpu, c.case, c.parts.graphics)
    working = [source for source in sources if not source.dark]
    card = bool(working) and working[0].kind == "card"
    return card and len(working) > 1 and bool(c.board.outputs) and c.new("board", "graphics")


def expected_memory(c: Context) -> Facts:
    total = c.parts.memory.total_mib
    limit = c.problem.memory_limit_mib
    return {
        "total_mib": total,
        "shared": c.card is None,
        "limit_mib": limit if limit is not None and total is not None and limit < total else None,
    }


def memory_touched(c: Context) -> bool:
    return c.new("board", "cpu", "memory")


def _channels(c: Context) -> Facts:
    layout = c.layout
    filled = None if layout is None else sum(1 for n in layout if n)
    return {
        "filled": filled,
        "channels": c.channel_count,
        "equal": layout is not None and c.parts.memory.module_mib is not None and len(set(layout)) == 1,
    }


def _link(c: Context) -> Facts:
    source = c.parts.drive.kept or c.parts.drive.part
    port = best_sata_port_gbps10(c.board)
    rate = None
    if source is not None and source.interface == "sata" and port is not None:
        rate = min(port, source.sata_gbps10 or port)
    return {
        "drive": c.name(c.parts.drive.id),
        "interface": None if source is None else source.interface,
        "sata_gbps10": rate,
        "link_mbs": link_mbs(c.board, c.parts.drive),
        "gen": getattr(source, "pcie_gen", None),
        "lanes": getattr(source, "pcie_lanes", None),
    }


def old_supply(c: Context) -> bool:
    psu = c.psu
    old = psu.year is None or c.problem.today.year - psu.year > OLD_SUPPLY_YEARS
    return not c.new("psu") and (old or psu.condition not in ("good", None))


def power_adapters(c: Context) -> tuple[str, ...]:
    return tuple(
        c.name(line.item)
        for line in c.plan.draft.lines
        if line.need is not None and family_of(line.need.rule) == "power"
    )


def _licence(c: Context) -> Facts:
    return {
        "bought": tuple(c.name(ln.item) for ln in c.extras("os-licence")),
        "board": c.new("board"),
        "licence": c.problem.survey.os.licence,
    }


def _speed(c: Context) -> Facts:
    speed = c.plan.speedup
    return {
        "expected_milli": None if speed is None else speed.expected_milli,
        "low_milli": None if speed is None else speed.low_milli,
        "high_milli": None if speed is None else speed.high_milli,
        "use": c.problem.use.title,
        "runs": c.runs,
        "plan": c.origin.plan_file,
    }


def returns(c: Context) -> tuple[tuple[str, str, int], ...]:
    """(seller, last day to send goods back when they arrive as expected, days) by seller."""
    latest: dict[str, datetime.date] = {}
    for line in c.plan.draft.lines:
        source = line.offer or line.bundle
        if source is not None:
            day = c.problem.arrival(source)
            latest[source.seller] = min(day, latest.get(source.seller, day))
    rows = []
    for seller in sorted(latest):
        record = c.problem.sellers[seller]
        last = latest[seller] + datetime.timedelta(days=record.returns_days)
        rows.append((record.name, last.isoformat(), record.returns_days))
    return tuple(rows)


def _seen_drives(c: Context) -> Facts:
    waiting = c.later_drives if c.fresh else ()
    return {"drives": tuple(d.name for d in c.drives if d.name not in waiting)}


def _devices(c: Context) -> tuple[str, ...]:
    """Devices that can be connected."""
    without = {name for name, _, header in portless(c) if not header}
    return tuple(d.name for d in c.problem.survey.devices if d.name not in without)


def _waits(c: Context) -> bool:
    """Whether something is connected only after the first start: with the mains plug out again."""
    later = c.rebuilt and (c.later_drives or c.later_cards or _apart(c)["front"])
    return bool(later or portless(c) or other_extras(c))


def _front(c: Context) -> Facts:
    """What at the front of the case is connected besides switches and lamps."""
    kinds = ("usb2", "usb3", "usb_e")
    usb = any(
        getattr(c.case, f"front_{kind}_plugs") and getattr(c.board, f"{kind}_headers") != 0 for kind in kinds
    )
    return {"usb": usb, "audio": c.case.front_audio in ("hd", "ac97") and c.board.front_audio != "none"}


START: tuple[Step, ...] = (
    Step(
        "start.look",
        "start",
        changes,
        lambda c: {
            "board": c.new("board", "case"),
            "cpu_plug": c.new("board", "psu", "case") and c.board.cpu_plugs != (),
        },
    ),
    Step("start.flash", "start", flash_alone, firmware_facts),
    Step("start.monitor", "start", changes, _monitor),
    Step(
        "start.on",
        "start",
        changes,
        lambda c: {
            "board": c.new("board"),
            # Nothing is switched off under a running system, and drives are looked for in the setup.
            "setup": memory_touched(c) or c.rebuilt or c.new("drive") or _waits(c),
            "system": moves_system(c),
            "ddr5": memory_touched(c) and (c.board.memory_generation == "ddr5"),
        },
    ),
    Step(
        "start.setup",
        "start",
        memory_touched,
        lambda c: {"cpu": c.name(c.parts.candidate("cpu").id or "kept-cpu"), **expected_memory(c)},
    ),
    Step("start.fan", "start", lambda c: c.cooler_on),
    Step("start.date", "start", when("board")),
    Step("start.profile", "start", memory_touched, lambda c: {"rate_mts": c.rate_mts}),
    Step("start.storage-mode", "start", moves_sata_system, storage_mode_facts),
    Step("start.settings", "start", settings_at_risk),
    Step(
        "start.start-mode",
        "start",
        moves_system,
        lambda c: {"mode": c.start_mode, "secure_boot": c.problem.brief.secure_boot},
    ),
    Step("start.first-display", "start", _two_sources, lambda c: {"card": c.card.name if c.card else ""}),
    Step("start.idle-states", "start", lambda c: c.fact("power.low_load", "risk") == "yes"),
    Step("start.save", "start", memory_touched, lambda c: {"waits": _waits(c)}),
)

# First of the connections: what is left for later.
LATER = Step(
    "connect.later",
    "connect",
    lambda c: any(value for name, value in _apart(c).items() if name != "rebuilt"),
    _apart,
)

REST: tuple[Step, ...] = (
    Step("rest.mains", "rest", _waits),
    Step(
        "rest.drives",
        "rest",
        lambda c: bool(c.later_drives) and not c.fresh,
        lambda c: {"drives": c.later_drives},
    ),
    Step(
        "rest.cards",
        "rest",
        lambda c: c.new("board", "psu", "case") and bool(c.later_cards),
        card_slots(later=True),
    ),
)

SEEN: tuple[Step, ...] = (
    Step(
        "rest.seen", "rest", lambda c: c.new("board", "psu", "case", "drive") and bool(c.drives), _seen_drives
    ),
    Step(
        "rest.order",
        "rest",
        lambda c: c.new("board", "drive") and bool(c.drives),
        lambda c: {"drive": c.name(c.parts.drive.id)},
    ),
)

SYSTEM: tuple[Step, ...] = (
    Step("system.first-start", "system", lambda c: c.new("board") and c.keeps_system),
    Step("system.install", "system", lambda c: c.installs, lambda c: {"drive": c.name(c.parts.drive.id)}),
    Step(
        "system.copy",
        "system",
        lambda c: c.may_copy,
        lambda c: {
            "drive": c.name(c.parts.drive.id),
            "board": c.new("board"),
            "locked": getattr(c.problem.survey.system_drive, "encrypted", False) is not False,
        },
    ),
    Step(
        "system.drives",
        "system",
        lambda c: bool(c.later_drives) and c.fresh,
        lambda c: {"drives": c.later_drives},
    ),
    Step("system.key", "system", asks_for_key, locked_drives),
    Step(
        "system.drivers",
        "system",
        lambda c: c.new("board") and c.problem.os is not None,
        lambda c: {"linux": is_linux(c)},
    ),
    Step(
        "system.graphics-driver",
        "system",
        lambda c: c.new("graphics") and c.problem.os is not None,
        lambda c: {
            "linux": is_linux(c),
            "card": c.name(c.parts.candidate("graphics").id or ""),
            "old": c.keeps_system and any(card.kind == "graphics" for card in c.problem.survey.cards),
        },
    ),
    Step("system.network-names", "system", lambda c: c.new("board") and c.keeps_system and is_linux(c)),
    Step(
        "system.licence",
        "system",
        lambda c: bool(c.extras("os-licence")) or (leaves_installation(c) and commercial(c)),
        _licence,
    ),
    Step(
        "system.tied",
        "system",
        lambda c: leaves_installation(c) and same_system(c) and bool(c.problem.survey.os.tied_software),
        lambda c: {"programs": c.problem.survey.os.tied_software},
    ),
)

CHECKS: tuple[Step, ...] = (
    Step("checks.close", "checks", changes),
    Step("checks.memory-size", "checks", memory_touched, expected_memory),
    Step("checks.channels", "checks", lambda c: memory_touched(c) and c.channel_count > 1, _channels),
    Step("checks.memory-rate", "checks", memory_touched, lambda c: {"rate_mts": c.rate_mts}),
    Step("checks.memory-test", "checks", memory_touched, lambda c: {"mixed": c.parts.memory.mixed}),
    Step(
        "checks.link",
        "checks",
        lambda c: (
            c.new("board", "drive")
            and c.parts.drive.id != ""
            and bool(c.parts.drive.kept or c.parts.drive.part)
        ),
        _link,
    ),
    Step("checks.temperature", "checks", lambda c: c.cooler_on),
    Step("checks.rails", "checks", when("board", "cpu", "psu"), rail_windows),
    Step(
        "checks.plugs",
        "checks",
        lambda c: (
            c.changes and bool(power_adapters(c) or old_supply(c) or c.fact("power.cpu_current", "warning"))
        ),
        lambda c: {"adapters": power_adapters(c), "old": old_supply(c)},
    ),
    Step(
        "checks.displays",
        "checks",
        lambda c: c.new("board", "cpu", "graphics") and bool(c.problem.survey.displays),
        lambda c: {"displays": tuple(d.name for d in c.problem.survey.displays)},
    ),
    Step(
        "checks.devices",
        "checks",
        lambda c: c.new("board", "case") and bool(_devices(c) or c.placement.placed),
        lambda c: {"devices": _devices(c), "cards": tuple(name for name, _ in c.placement.placed)},
    ),
    Step("checks.front", "checks", when("board", "case"), _front),
    Step("checks.speed", "checks", changes, _speed),
)

AFTER: tuple[Step, ...] = (
    Step("after.returns", "after", lambda c: bool(returns(c)), lambda c: {"sellers": returns(c)}),
    Step("after.old-drive", "after", lambda c: c.new("drive") and c.problem.survey.system_drive is not None),
    Step("after.old-psu", "after", lambda c: c.new("psu") and c.old.psu.condition in ("good", None)),
    Step("after.bad-psu", "after", lambda c: c.new("psu") and c.old.psu.condition not in ("good", None)),
    Step("after.owner", "after", changes),
    Step(
        "after.waste",
        "after",
        lambda c: (
            c.new("board", "cpu", "cooler", "psu", "case", "drive")
            or (c.new("memory") and not c.parts.memory.with_kept)
            or (c.new("graphics") and bool(c.replaced_cards))
        ),
    ),
)
