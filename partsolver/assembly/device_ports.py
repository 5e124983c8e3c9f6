"""Ports for the owner's devices: the board's own, brackets on its headers, leads from USB; USB ports in
front.

Closed form: own ports first, then brackets, then USB leads. Devices whose program writes to the port's
hardware address need a real port (own or bracket): USB ports have no such address (reference case B27). Every
USB lead takes one USB port, as does a drive on USB, also one in place of a floppy drive. Where the USB ports are scarce, only leads that take the fewest ports count as
options. A bracket takes a slot opening of the case that no card covers (`bracket_openings`).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from partsolver.assembly.cards import placement
from partsolver.assembly.ports import carrying_card, stated_sata_ports, unknown_sata_column
from partsolver.assembly.usb_storage import usb_storage_ports
from partsolver.base.quantities import ceil_div
from partsolver.base.records import record
from partsolver.catalog.records import Board, Case, Extra
from partsolver.problem.candidates import GraphicsChoice
from partsolver.problem.problem import Problem
from partsolver.standards.storage import PATA_DEVICES_PER_CHANNEL
from partsolver.survey.model import Device

LEGACY = ("ps2", "serial", "parallel")
BRACKETED = ("serial", "parallel")
Options = tuple[tuple[str, int], ...]


class Sockets(NamedTuple):
    """Port facts of a board; None where not known."""

    ps2_ports: int | None
    serial_ports: int | None
    serial_headers: int | None
    parallel_ports: int | None
    parallel_headers: int | None
    usb_rear_ports: int | None
    usb2_headers: int | None
    usb3_headers: int | None
    usb_e_headers: int | None
    floppy_headers: int | None


class Front(NamedTuple):
    """Openings and front USB plugs of a case; None where not known."""

    slot_height: str | None
    front_usb2_plugs: int | None
    front_usb3_plugs: int | None
    front_usb_e_plugs: int | None


# Ports behind a front plug (standards/usb: two on a 9-pin or a 19-pin plug, one Type-C).
_PORTS_OF_PLUG = {"usb2": 2, "usb3": 2, "usb_e": 1}


def front_of(case: Case) -> Front:
    """The facts of a case that decide about ports."""
    return Front(*(getattr(case, name) for name in Front._fields))


def front_usb_ports(sockets: Sockets, front: Front) -> tuple[int, str | None]:
    """(USB ports in front that work, the first fact that is not known and could add more).

    A plug works on a header of its kind; adapters are suggestions of another rule and count nothing here.
    """
    ports = 0
    missing: str | None = None
    for kind, each in _PORTS_OF_PLUG.items():
        plugs, headers = getattr(front, f"front_{kind}_plugs"), getattr(sockets, f"{kind}_headers")
        if plugs is None or headers is None:
            if 0 not in (plugs, headers):
                missing = missing or (
                    f"case.front_{kind}_plugs" if plugs is None else f"board.{kind}_headers"
                )
            continue
        ports += each * min(plugs, headers)
    return ports, missing


@record
class Wish:
    """What is to be bought: key and kind of the need, options, ports it has to give; ``usb``: takes USB
    ports."""

    key: str
    kind: str
    port: str
    options: Options
    ports: int
    usb: bool


@record
class Service:
    """How the devices are served.

    own: (port, ports of the board, ports wanted); wishes; uncured: (port, kind of the missing extra, ports
    missing); unknown: (port, column) not known; usb_wanted: devices and storage at USB; usb_least: ports the leads take
    at least; usb_have: USB ports on the rear and in front, None when not known; usb_missing: a fact that
    could add more; closed: ports with a header whose bracket finds no slot opening.
    """

    own: tuple[tuple[str, int, int], ...]
    wishes: tuple[Wish, ...]
    uncured: tuple[tuple[str, str, int], ...]
    unknown: tuple[tuple[str, str], ...]
    usb_wanted: int
    usb_least: int
    usb_have: int | None
    usb_missing: str | None
    closed: tuple[str, ...] = ()

    @property
    def usb_short(self) -> bool:
        """Whether the USB ports are known to be too few."""
        wanted = self.usb_wanted + self.usb_least
        return self.usb_have is not None and self.usb_missing is None and wanted > self.usb_have


def sockets_of(board: Board) -> Sockets:
    """The port facts of a board."""
    return Sockets(*(getattr(board, name) for name in Sockets._fields))


def required_devices(problem: Problem, port: str | None) -> tuple[Device, ...]:
    """Devices of one port that the owner needs."""
    return tuple(d for d in problem.survey.devices if d.required and d.port == port)


def _options(extras: Sequence[Extra], port: str, ports: int) -> Options:
    return tuple((e.id, ceil_div(ports, e.count)) for e in extras if port in e.gives)


class _Served:
    """What serves the devices so far: see `Service`; ``openings``: slot openings left for brackets, None where they
    are enough or not known."""

    def __init__(self, openings: int | None) -> None:
        self.openings = openings
        self.closed: list[str] = []
        self.own: list[tuple[str, int, int]] = []
        self.wishes: list[Wish] = []
        self.uncured: list[tuple[str, str, int]] = []
        self.unknown: list[tuple[str, str]] = []


def _serve_port(problem: Problem, sockets: Sockets, port: str, low_openings: bool, served: _Served) -> None:
    """Serve the devices of one of the old ports: by the board's own, by a bracket on its headers, by a
    lead."""
    devices = required_devices(problem, port)
    if not devices:
        return
    have = getattr(sockets, f"{port}_ports")
    if have is None:
        served.unknown.append((port, f"{port}_ports"))
        return
    served.own.append((port, have, len(devices)))
    short = max(0, len(devices) - have)
    bracket = 0
    if short and port != "ps2":
        headers = getattr(sockets, f"{port}_headers")
        if headers is None:
            served.unknown.append((port, f"{port}_headers"))
            return
        brackets = [e for e in problem.extras_of(f"{port}-bracket") if e.low_profile or not low_openings]
        bracket, options = _bracketed(brackets, port, min(short, headers), served.openings)
        if bracket:
            served.wishes.append(Wish(f"{port}-bracket", f"{port}-bracket", port, options, bracket, False))
            if served.openings is not None:
                served.openings -= max(pieces for _, pieces in options)
        if bracket < _bracketed(brackets, port, min(short, headers), None)[0]:
            served.closed.append(port)
    # Programs that write to the port's address get the real ports first.
    direct = 0 if port == "ps2" else sum(1 for d in devices if d.direct_hardware_access)
    lost = max(0, direct - have - bracket)
    by_lead = short - bracket - lost
    leads = _options(list(problem.extras_of(f"usb-{port}")), port, by_lead)
    if by_lead and leads:
        served.wishes.append(Wish(f"usb-{port}", f"usb-{port}", port, leads, by_lead, True))
    elif by_lead:
        lost += by_lead
    if lost:
        served.uncured.append((port, f"usb-{port}", lost))


def _bracketed(brackets: Sequence[Extra], port: str, most: int, openings: int | None) -> tuple[int, Options]:
    """The most ports, up to ``most``, that brackets give in the openings that are left, and those brackets."""
    for ports in range(most, 0, -1):
        options = _options(brackets, port, ports)
        options = tuple(option for option in options if openings is None or option[1] <= openings)
        if options:
            return ports, options
    return 0, ()


def brackets_matter(problem: Problem) -> bool:
    """Whether a plan may take a bracket: a device that it may serve, and one on sale."""
    return any(
        required_devices(problem, port) and any(problem.extras_of(f"{port}-bracket")) for port in BRACKETED
    )


def bracket_openings(problem: Problem, board: Board, case: Case, graphics: GraphicsChoice) -> int | None:
    """Slot openings of the case that are left for brackets: those that no card covers and no controller card for the
    PC's drives takes. None where no bracket is in question or the openings were not counted."""
    if case.slot_openings is None or not brackets_matter(problem):
        return None
    widths = {card.name: card.width_slots or 1 for card in problem.cards_with(graphics)}
    covered = sum(widths[name] for name, _ in placement(problem, board, case, graphics).placed)
    return max(0, case.slot_openings - covered - _cards_for_drives(problem, board))


def _cards_for_drives(problem: Problem, board: Board) -> int:
    """Controller cards that may be bought for the drives of the PC, each in an opening of its own."""
    drives = [d for d in problem.drives if d.required and carrying_card(d, problem) is None]
    sata, pata = (sum(drive.interface == kind for drive in drives) for kind in ("sata", "pata"))
    short = unknown_sata_column(board) is None and sata > stated_sata_ports(board)
    places = None if board.pata_channels is None else PATA_DEVICES_PER_CHANNEL * board.pata_channels
    bought = int(short and any(problem.extras_of("sata-controller")))
    return bought + int(places is not None and pata > places and any(problem.extras_of("pata-controller")))


def serve(problem: Problem, sockets: Sockets, front: Front, openings: int | None = None) -> Service:
    """Serve the required devices with the ports of a board and a case (low openings want low brackets);
    ``openings``: see `bracket_openings`."""
    served = _Served(openings)
    for port in LEGACY:
        _serve_port(problem, sockets, port, front.slot_height == "low", served)
    wishes = served.wishes
    wanted = len(required_devices(problem, "usb")) + usb_storage_ports(problem, sockets.floppy_headers)
    least = sum(min(q for _, q in w.options) for w in wishes if w.usb)
    most = sum(max(q for _, q in w.options) for w in wishes if w.usb)
    extra, missing = front_usb_ports(sockets, front)
    have = None if sockets.usb_rear_ports is None else sockets.usb_rear_ports + extra
    if have is None:
        if wanted + least:
            served.unknown.append(("usb", "usb_rear_ports"))
    elif wanted + most > have:
        wishes = [_fewest(w) if w.usb else w for w in wishes]
    hub = _hub(problem, have, missing, wanted + least)
    if hub is not None:
        wishes.append(hub)
        have, missing = wanted + least, None
    own, uncured, unknown = tuple(served.own), tuple(served.uncured), tuple(served.unknown)
    closed = tuple(served.closed)
    return Service(own, tuple(wishes), uncured, unknown, wanted, least, have, missing, closed)


def _hub(problem: Problem, have: int | None, missing: str | None, wanted: int) -> Wish | None:
    """USB hubs that make up for ports that are known to be too few; each takes the port it hangs on."""
    if have is None or missing is not None or wanted <= have:
        return None
    short = wanted - have
    options = tuple(
        (e.id, ceil_div(short, e.count - 1))
        for e in problem.extras_of("usb-hub")
        if e.count > 1 and ceil_div(short, e.count - 1) <= have
    )
    return Wish("usb-hub", "usb-hub", "usb", options, short, False) if options else None


def _fewest(wish: Wish) -> Wish:
    """Only the options that take the fewest USB ports."""
    least = min(q for _, q in wish.options)
    options = tuple(o for o in wish.options if o[1] == least)
    return Wish(wish.key, wish.kind, wish.port, options, wish.ports, wish.usb)
