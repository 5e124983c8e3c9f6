"""Steps inside the case: taking out, tray and shield, fitting, connecting."""

from __future__ import annotations

from partsolver.assembly.plugs import card_sockets, feeding_plugs, power_plug
from partsolver.assembly.ports import sata_ports_lost
from partsolver.catalog.records import DrivePart
from partsolver.sheet.context import TALL_COOLER_MM, Context, Facts
from partsolver.sheet.step import Step, when
from partsolver.sheet.steps_before import cleans, kept_modules
from partsolver.sheet.tray import Action, tray_of
from partsolver.survey.model import Drive

# A board that reaches further than this past its last screw is held while plugs are pushed in (judgement).
OVERHANG_MM = 40
# With less room than this in front of the board, leads go on before other things are in the way (judgement).
TIGHT_MM = 15
PATA_KINDS = ("pata-controller", "pata-drive-adapter", "usb-enclosure")
CARD_KINDS = ("sata-controller", "pata-controller", "m2-card")


def card_slots(later: bool):  # type: ignore[no-untyped-def]
    """Facts: (card, slot counted from the processor, kind of slot) of the cards for now, or of those for later."""

    def facts(c: Context) -> Facts:
        slots, wanted = c.board.slots or (), c.later_cards
        rows = [
            (name, index + 1, slots[index].kind if index < len(slots) else "")
            for name, index in c.placement.placed
            if (name in wanted) == later
        ]
        return {"cards": tuple(sorted(rows, key=lambda row: row[1]))}

    return facts


def _moves_memory(c: Context) -> bool:
    if c.new("board"):
        return c.parts.memory.with_kept
    return c.new("memory") and not c.parts.memory.with_kept


def _screws(c: Context) -> Facts:
    holes = c.old.board.holes
    return {"screws": None if holes is None else len(holes), "letters": holes}


def _letters(*actions: Action):  # type: ignore[no-untyped-def]
    """(applies, facts) of a step about the positions with these actions."""

    def letters(c: Context) -> tuple[str, ...]:
        tray = tray_of(c)
        return () if tray is None else tray.letters(*actions)

    return (lambda c: bool(letters(c))), (lambda c: {"letters": letters(c)})


def _overhang(c: Context) -> Facts:
    tray = tray_of(c)
    return {"left_mm": 0 if tray is None else tray.left_mm, "front_mm": 0 if tray is None else tray.front_mm}


def _shield(c: Context) -> Facts:
    bought = c.extras("io-shield")
    state = "bought" if bought else (c.board.shield or "unknown")
    return {"new": c.new("board"), "new_case": c.new("case"), "state": state, "item": c.name(bought[0].item) if bought else "", "aperture": c.case.aperture or "unknown"}


def _board_screws(c: Context) -> Facts:
    tray = tray_of(c)
    if tray is None:
        return {"letters": (), "maybe": ()}
    looked = c.case.standoffs is not None or c.new("case")
    return {"letters": tray.letters("keep", "add") if looked else (), "maybe": tray.letters("look") if looked else ()}


def tall_cooler(c: Context) -> bool:
    record = c.cooler_record
    return c.new("board") and record is not None and (record.height_mm or 0) >= TALL_COOLER_MM


def _main(c: Context) -> Facts:
    return {"plug": c.psu.main_plug, "header": c.board.main_plug, "adapter": _names(c, "main-plug-adapter")}


def cpu_plug_facts(c: Context) -> Facts:
    """Headers of the board, plugs of the supply, and how the headers are fed in their order ("4" or "8")."""
    headers, plugs = c.board.cpu_plugs or (), c.psu.cpu_plugs or ()
    return {
        "headers": headers, "plugs": plugs, "fed": feeding_plugs(headers, plugs), "adapter": _names(c, "cpu-plug-adapter"),
        "lead_mm": c.psu.cpu_lead_mm,
    }  # fmt: skip


def _names(c: Context, *kinds: str) -> tuple[str, ...]:
    return tuple(c.name(line.item) for line in c.extras(*kinds))


def _is_system(c: Context, drive: Drive | DrivePart) -> bool:
    return isinstance(drive, DrivePart) or bool(drive.system)


def _name(c: Context, drive: Drive | DrivePart) -> str:
    return drive.name


def sata_ports(c: Context) -> tuple[tuple[str, str], ...]:
    """(drive, port rate in tenths of Gb/s or "card") in the order of ports: the system drive on the fastest one."""
    ports: list[str] = []
    for count, rate in ((c.board.sata_6g_ports, "60"), (c.board.sata_3g_ports, "30"), (c.board.sata_1g5_ports, "15")):
        ports += [rate] * (count or 0)
    ports = ports[: max(0, len(ports) - sata_ports_lost(c.board, c.parts.drive, c.problem))]
    drives = [d for d in c.drives if d.interface == "sata"]
    # Fast drives first; an optical drive needs no fast port.
    order = {"ssd": 0, "hdd35": 1, "hdd25": 1, None: 1, "optical": 2}
    drives.sort(key=lambda d: (not _is_system(c, d), order.get(d.kind, 3), _name(c, d)))
    known = any(n is not None for n in (c.board.sata_6g_ports, c.board.sata_3g_ports, c.board.sata_1g5_ports))
    return tuple((_name(c, d), ports[i] if i < len(ports) else ("card" if known else "")) for i, d in enumerate(drives))


def _later(c: Context) -> tuple[str, ...]:
    return c.later_drives if c.new("board", "psu", "case") else ()


def _drive_power(c: Context) -> Facts:
    plugs = [(_name(c, d), power_plug(d)) for d in c.drives]
    return {
        "drives": tuple((name, plug) for name, plug in plugs if plug != "none"),
        "adapters": _names(c, "sata-power-splitter", "sata-power-from-peripheral", "peripheral-from-sata"),
        "new_psu": c.new("psu"),
        "later": _later(c),
    }


def _front_usb(kind: str):  # type: ignore[no-untyped-def]
    """(applies, facts) of a kind of front USB plug: plugs of the case against headers of the board."""

    def plugs(c: Context) -> int:
        return getattr(c.case, f"front_{kind}_plugs") or 0

    def facts(c: Context) -> Facts:
        headers = getattr(c.board, f"{kind}_headers")
        return {"plugs": plugs(c), "headers": headers, "adapters": _names(c, "front-usb-adapter")}

    return (lambda c: c.new("board", "case") and plugs(c) > 0), facts


def _other_extras(c: Context) -> tuple[str, ...]:
    """Extras without a step of their own."""
    covered = {
        *CARD_KINDS, *PATA_KINDS, "main-plug-adapter", "cpu-plug-adapter", "sata-power-splitter", "sata-power-from-peripheral", "peripheral-from-sata",
        "front-usb-adapter", "front-audio-adapter", "fan-splitter", "card-plug-adapter", "display-adapter", "sata-data-cable",
    }  # fmt: skip
    return tuple(c.name(ln.item) for ln in c.fitted_extras if c.problem.extras[ln.item].kind not in covered)


def portless(c: Context) -> tuple[tuple[str, str, bool], ...]:
    """(device, port, whether a header for a bracket is free) of devices without a socket at the rear of a new board.

    Devices that the owner needs come first, as the rule ports.devices counts; an unknown number of sockets is its question.
    """
    rows: list[tuple[str, str, bool]] = []
    for port in ("ps2", "serial", "parallel") if c.new("board") else ():
        sockets = getattr(c.board, f"{port}_ports")
        if sockets is None:
            continue
        bought = [
            c.problem.extras[line.item] for line in c.plan.draft.lines
            if line.need is not None and line.need.rule == "ports.devices" and port in (c.problem.extras[line.item].gives or ())
        ]
        headers = (getattr(c.board, f"{port}_headers", 0) or 0) - sum(extra.kind.endswith("-bracket") for extra in bought)
        devices = sorted((d for d in c.problem.survey.devices if d.port == port), key=lambda d: not d.required)
        for place, device in enumerate(devices[sockets + len(bought) :]):
            rows.append((device.name, port, place < headers))
    return tuple(rows)


def _bay_drives(c: Context) -> tuple[str, ...]:
    """Kept drives that sit in a bay of the case."""
    return tuple(d.name for d in c.kept_drives() if d.interface not in ("usb", "m2-nvme", "m2-sata"))


def _interfaces(c: Context, *wanted: str) -> tuple[str, ...]:
    return tuple(_name(c, d) for d in c.drives if d.interface in wanted)


_REMOVE, _REMOVE_FACTS = _letters("remove")
_ADD, _ADD_FACTS = _letters("add")
_KEEP, _KEEP_FACTS = _letters("keep")
_FIXED, _FIXED_FACTS = _letters("fixed")
_OPEN, _OPEN_FACTS = _letters("open")
_LOOK, _LOOK_FACTS = _letters("look")
_USB2, _USB2_FACTS = _front_usb("usb2")
_USB3, _USB3_FACTS = _front_usb("usb3")
_USBE, _USBE_FACTS = _front_usb("usb_e")

OUT: tuple[Step, ...] = (
    Step("out.photos", "out", when("board", "case", "psu"), lambda c: {"panel": c.old.case.front_panel}),
    Step("out.cooler", "out", lambda c: c.cooler_off, lambda c: {"reused": not c.new("cooler")}),
    Step("out.cards", "out", lambda c: c.new("board", "case") and bool(c.problem.survey.cards), lambda c: {"cards": tuple(x.name for x in c.problem.survey.cards)}),
    Step("out.leads", "out", when("board", "case", "psu"), lambda c: {"all": c.new("board", "case")}),
    Step("out.m2", "out", lambda c: c.new("board") and bool(kept_modules(c)), lambda c: {"drives": kept_modules(c)}),
    Step("out.cpu", "out", lambda c: c.new("board", "cpu") and not c.cpu_on_bench, lambda c: {"reused": not c.new("cpu") or c.flash_with_present}),
    Step("out.memory", "out", _moves_memory, lambda c: {"reused": c.parts.memory.with_kept}),
    Step("out.board", "out", when("board", "case"), _screws),
    Step("out.together", "out", lambda c: c.old_three_stay),
    Step("out.psu", "out", when("psu")),
    Step("out.move", "out", when("case"), lambda c: {"psu": not c.new("psu"), "drives": tuple(d.name for d in c.kept_drives())}),
    Step("out.system-drive", "out", lambda c: c.new("drive") and c.problem.survey.system_drive is not None),
    Step("out.clean", "out", cleans),
)

CASE: tuple[Step, ...] = (
    Step("case.screws", "case", when("board", "case")),
    Step("case.standoffs-remove", "case", _REMOVE, _REMOVE_FACTS),
    Step("case.standoffs-fixed", "case", _FIXED, _FIXED_FACTS),
    Step("case.standoffs-add", "case", _ADD, lambda c: {**_ADD_FACTS(c), "bought": _names(c, "standoffs"), "new_case": c.new("case")}),
    Step("case.standoffs-keep", "case", _KEEP, _KEEP_FACTS),
    Step("case.standoffs-open", "case", _OPEN, _OPEN_FACTS),
    Step("case.standoffs-look", "case", lambda c: _LOOK(c) or (c.new("board", "case") and tray_of(c) is None), _LOOK_FACTS),
    Step("case.shield", "case", when("board", "case"), _shield),
    Step("case.psu", "case", when("psu", "case"), lambda c: {"new": c.new("psu")}),
)  # fmt: skip

FIT: tuple[Step, ...] = (
    Step("fit.cpu-lead-early", "fit", tall_cooler),
    Step(
        "fit.tight", "fit",
        lambda c: c.new("board", "case") and None not in (c.case.max_board_depth_mm, c.board.depth_mm)
        and (c.case.max_board_depth_mm or 0) - (c.board.depth_mm or 0) < TIGHT_MM,
        lambda c: {"room_mm": (c.case.max_board_depth_mm or 0) - (c.board.depth_mm or 0)},
    ),
    Step("fit.board", "fit", when("board", "case"), _board_screws),
    Step("fit.support", "fit", lambda c: max(_overhang(c).values()) > OVERHANG_MM, _overhang),
    Step("fit.kept-drives", "fit", lambda c: c.new("case") and bool(_bay_drives(c)), lambda c: {"drives": _bay_drives(c)}),
    Step("fit.cards", "fit", lambda c: c.new("board", "case") and c.card is not None, card_slots(later=False)),
    Step("fit.cards-left", "fit", lambda c: c.new("board", "case") and bool(c.placement.left), lambda c: {"cards": c.placement.left}),
    Step("fit.extra-cards", "fit", lambda c: bool(c.extras(*CARD_KINDS)), lambda c: {"cards": _names(c, *CARD_KINDS)}),
    Step(
        "fit.drive", "fit", lambda c: c.parts.drive.part is not None and c.parts.drive.part.interface in ("sata", "pata"),
        lambda c: {"drive": c.name(c.parts.drive.id), "kind": None if c.parts.drive.part is None else c.parts.drive.part.kind},
    ),
)  # fmt: skip

CONNECT: tuple[Step, ...] = (
    Step("connect.main", "connect", when("board", "psu", "case"), _main),
    Step("connect.cpu", "connect", lambda c: c.new("board", "psu", "case") and c.board.cpu_plugs != (), cpu_plug_facts),
    Step(
        "connect.card-power", "connect",
        lambda c: c.new("board", "psu", "case") and bool(card_sockets(c.problem, c.board, c.case)),
        lambda c: {"sockets": card_sockets(c.problem, c.board, c.case), "adapters": _names(c, "card-plug-adapter")},
    ),
    Step(
        "connect.cpu-fan", "connect", lambda c: c.cooler_on,
        lambda c: {"pins": None if c.cooler_record is None else c.cooler_record.fan_pins},
    ),
    Step(
        "connect.case-fans", "connect", lambda c: c.new("board", "case") and c.case.fans not in (None, 0),
        lambda c: {"fans": c.case.fans, "headers": c.board.fan_headers, "splitter": _names(c, "fan-splitter")},
    ),
    Step(
        "connect.sata", "connect", lambda c: c.new("board", "drive", "case") and bool(_interfaces(c, "sata")),
        lambda c: {"drives": sata_ports(c), "later": _later(c), "leads": _names(c, "sata-data-cable")},
    ),
    Step("connect.sata-lost", "connect", lambda c: c.new("board", "drive") and sata_ports_lost(c.board, c.parts.drive, c.problem) > 0, lambda c: {"lost": sata_ports_lost(c.board, c.parts.drive, c.problem)}),
    Step(
        "connect.pata", "connect", lambda c: c.new("board", "drive", "case") and bool(_interfaces(c, "pata")),
        lambda c: {"drives": _interfaces(c, "pata"), "channels": c.board.pata_channels, "adapters": _names(c, *PATA_KINDS)},
    ),
    Step("connect.floppy", "connect", lambda c: c.new("board", "case") and bool(_interfaces(c, "floppy")) and bool(c.board.floppy_headers)),
    Step("connect.drive-power", "connect", lambda c: c.new("psu", "drive", "case", "board") and bool(_drive_power(c)["drives"]), _drive_power),
    Step("connect.switches", "connect", when("board", "case"), lambda c: {"panel": c.case.front_panel}),
)  # fmt: skip

# Connected when the first start went well.
LEADS: tuple[Step, ...] = (
    Step("rest.usb2", "rest", _USB2, _USB2_FACTS),
    Step("rest.usb3", "rest", _USB3, _USB3_FACTS),
    Step("rest.usb-e", "rest", _USBE, _USBE_FACTS),
    Step(
        "rest.audio", "rest", lambda c: c.new("board", "case") and c.case.front_audio in ("hd", "ac97"),
        lambda c: {"plug": c.case.front_audio, "header": c.board.front_audio, "adapters": _names(c, "front-audio-adapter")},
    ),
    Step(
        "rest.extras", "rest", lambda c: bool(_other_extras(c)),
        lambda c: {"extras": _other_extras(c), "bracket": bool(c.extras("serial-bracket", "parallel-bracket"))},
    ),
    Step("rest.devices", "rest", lambda c: bool(portless(c)), lambda c: {"devices": portless(c)}),
)  # fmt: skip
