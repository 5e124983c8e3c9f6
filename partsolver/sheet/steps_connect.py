"""Steps of the work: plugs, leads and ports."""

from __future__ import annotations

from partsolver.assembly.plugs import card_sockets, feeding_plugs, power_plug
from partsolver.assembly.ports import carrying_card, sata_ports_lost
from partsolver.rules import ports_devices
from partsolver.sheet.context import Context, Facts
from partsolver.sheet.named import PATA_KINDS, drive_name, interfaces, is_system, names, other_extras
from partsolver.sheet.step import Applies, FactsOf, Step, when


def _main(c: Context) -> Facts:
    return {"plug": c.psu.main_plug, "header": c.board.main_plug, "adapter": names(c, "main-plug-adapter")}


def cpu_plug_facts(c: Context) -> Facts:
    """Headers of the board, plugs of the supply, and how the headers are fed in their order ("4" or "8")."""
    headers, plugs = c.board.cpu_plugs or (), c.psu.cpu_plugs or ()
    return {
        "headers": headers,
        "plugs": plugs,
        "fed": feeding_plugs(headers, plugs),
        "adapter": names(c, "cpu-plug-adapter"),
        "lead_mm": c.psu.cpu_lead_mm,
    }


def sata_ports(c: Context) -> tuple[tuple[str, str], ...]:
    """(drive, port rate in tenths of Gb/s, "card" for a bought card or "own" for the PC's own) in the order of ports:
    the system drive on the fastest one."""
    ports: list[str] = []
    for count, rate in (
        (c.board.sata_6g_ports, "60"),
        (c.board.sata_3g_ports, "30"),
        (c.board.sata_1g5_ports, "15"),
    ):
        ports += [rate] * (count or 0)
    ports = ports[: max(0, len(ports) - sata_ports_lost(c.board, c.parts.drive, c.problem))]
    drives = [d for d in c.drives if d.interface == "sata"]
    own = [d for d in drives if carrying_card(d, c.problem) is not None]
    drives = [d for d in drives if d not in own]
    # Fast drives first; an optical drive needs no fast port.
    order = {"ssd": 0, "hdd35": 1, "hdd25": 1, None: 1, "optical": 2}
    drives.sort(key=lambda d: (not is_system(c, d), order.get(d.kind, 3), drive_name(c, d)))
    known = any(n is not None for n in (c.board.sata_6g_ports, c.board.sata_3g_ports, c.board.sata_1g5_ports))
    on_board = tuple(
        (drive_name(c, d), ports[i] if i < len(ports) else ("card" if known else ""))
        for i, d in enumerate(drives)
    )
    return (*on_board, *((drive_name(c, d), "own") for d in own))


def _pata_drives(c: Context) -> tuple[str, ...]:
    """PATA drives that get another place: all but those on a card of the PC."""
    drives = [d for d in c.drives if d.interface == "pata" and carrying_card(d, c.problem) is None]
    return tuple(drive_name(c, d) for d in drives)


def _drive_power(c: Context) -> Facts:
    plugs = [(drive_name(c, d), power_plug(d)) for d in c.drives]
    return {
        "drives": tuple((name, plug) for name, plug in plugs if plug != "none"),
        "adapters": names(c, "sata-power-splitter", "sata-power-from-peripheral", "peripheral-from-sata"),
        "new_psu": c.new("psu"),
        "later": c.later_drives,
    }


def _front_usb(kind: str) -> tuple[Applies, FactsOf]:
    """(applies, facts) of a kind of front USB plug: plugs of the case against headers of the board."""

    def plugs(c: Context) -> int:
        return getattr(c.case, f"front_{kind}_plugs") or 0

    def facts(c: Context) -> Facts:
        headers = getattr(c.board, f"{kind}_headers")
        return {"plugs": plugs(c), "headers": headers, "adapters": names(c, "front-usb-adapter")}

    return (lambda c: c.new("board", "case") and plugs(c) > 0), facts


def portless(c: Context) -> tuple[tuple[str, str, bool], ...]:
    """(device, port, whether a header for a bracket is free) of devices without a socket at the rear of a new
    board.

    Devices that the owner needs come first, as the rule ports.devices counts; an unknown number of sockets is
    its question.
    """
    rows: list[tuple[str, str, bool]] = []
    for port in ("ps2", "serial", "parallel") if c.new("board") else ():
        sockets = getattr(c.board, f"{port}_ports")
        if sockets is None:
            continue
        bought = [
            c.problem.extras[line.item]
            for line in c.plan.draft.lines
            if line.need is not None
            and line.need.rule == ports_devices.ID
            and port in (c.problem.extras[line.item].gives or ())
        ]
        headers = (getattr(c.board, f"{port}_headers", 0) or 0) - sum(
            extra.kind.endswith("-bracket") for extra in bought
        )
        devices = sorted(
            (d for d in c.problem.survey.devices if d.port == port), key=lambda d: not d.required
        )
        for place, device in enumerate(devices[sockets + len(bought) :]):
            rows.append((device.name, port, place < headers))
    return tuple(rows)


def bay_drives(c: Context) -> tuple[str, ...]:
    """Kept drives that sit in a bay of the case."""
    return tuple(d.name for d in c.kept_drives() if d.interface not in ("usb", "m2-nvme", "m2-sata"))


_USB2, _USB2_FACTS = _front_usb("usb2")
_USB3, _USB3_FACTS = _front_usb("usb3")
_USBE, _USBE_FACTS = _front_usb("usb_e")

CONNECT: tuple[Step, ...] = (
    Step("connect.main", "connect", when("board", "psu", "case"), _main),
    Step(
        "connect.cpu",
        "connect",
        lambda c: c.new("board", "psu", "case") and c.board.cpu_plugs != (),
        cpu_plug_facts,
    ),
    Step(
        "connect.card-power",
        "connect",
        lambda c: (
            c.new("board", "psu", "case", "graphics")
            and bool(card_sockets(c.problem, c.board, c.case, c.parts.graphics))
        ),
        lambda c: {
            "sockets": card_sockets(c.problem, c.board, c.case, c.parts.graphics),
            "adapters": names(c, "card-plug-adapter"),
        },
    ),
    Step(
        "connect.cpu-fan",
        "connect",
        lambda c: c.cooler_on,
        lambda c: {"pins": None if c.cooler_record is None else c.cooler_record.fan_pins},
    ),
    Step(
        "connect.case-fans",
        "connect",
        lambda c: c.new("board", "case") and c.case.fans not in (None, 0),
        lambda c: {
            "fans": c.case.fans,
            "headers": c.board.fan_headers,
            "splitter": names(c, "fan-splitter"),
        },
    ),
    Step(
        "connect.sata",
        "connect",
        lambda c: c.new("board", "drive", "case") and bool(interfaces(c, "sata")),
        lambda c: {"drives": sata_ports(c), "later": c.later_drives, "leads": names(c, "sata-data-cable")},
    ),
    Step(
        "connect.sata-lost",
        "connect",
        lambda c: c.new("board", "drive") and sata_ports_lost(c.board, c.parts.drive, c.problem) > 0,
        lambda c: {"lost": sata_ports_lost(c.board, c.parts.drive, c.problem)},
    ),
    Step(
        "connect.pata",
        "connect",
        lambda c: c.new("board", "drive", "case") and bool(_pata_drives(c)),
        lambda c: {
            "drives": _pata_drives(c),
            "channels": c.board.pata_channels,
            "adapters": names(c, *PATA_KINDS),
        },
    ),
    Step(
        "connect.floppy",
        "connect",
        lambda c: c.new("board", "case") and bool(interfaces(c, "floppy")) and bool(c.board.floppy_headers),
    ),
    Step(
        "connect.drive-power",
        "connect",
        lambda c: c.new("psu", "drive", "case", "board") and bool(_drive_power(c)["drives"]),
        _drive_power,
    ),
    Step("connect.switches", "connect", when("board", "case"), lambda c: {"panel": c.front_panel}),
)


# Connected when the first start went well.
LEADS: tuple[Step, ...] = (
    Step("rest.usb2", "rest", _USB2, _USB2_FACTS),
    Step("rest.usb3", "rest", _USB3, _USB3_FACTS),
    Step("rest.usb-e", "rest", _USBE, _USBE_FACTS),
    Step(
        "rest.audio",
        "rest",
        lambda c: c.new("board", "case") and c.case.front_audio in ("hd", "ac97"),
        lambda c: {
            "plug": c.case.front_audio,
            "header": c.board.front_audio,
            "adapters": names(c, "front-audio-adapter"),
        },
    ),
    Step(
        "rest.extras",
        "rest",
        lambda c: bool(other_extras(c)),
        lambda c: {
            "extras": other_extras(c),
            "bracket": bool(c.extras("serial-bracket", "parallel-bracket")),
        },
    ),
    Step("rest.devices", "rest", lambda c: bool(portless(c)), lambda c: {"devices": portless(c)}),
)
