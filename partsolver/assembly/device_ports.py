"""Rear ports for the owner's devices: the board's own, brackets on its headers, leads from USB.

Closed form: own ports first, then brackets, then USB leads. Devices whose program writes to the port's
hardware address need a real port (own or bracket): USB ports have no such address (reference case B27). Every
USB lead takes one USB port. Where the USB ports are scarce, only leads that take the fewest ports count as
options.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from partsolver.base.quantities import ceil_div
from partsolver.base.records import record
from partsolver.catalog.records import Board, Extra
from partsolver.problem.problem import Problem
from partsolver.survey.model import Device

LEGACY = ("ps2", "serial", "parallel")
Options = tuple[tuple[str, int], ...]


class Sockets(NamedTuple):
    """Port facts of a board; None where not known."""

    ps2_ports: int | None
    serial_ports: int | None
    serial_headers: int | None
    parallel_ports: int | None
    parallel_headers: int | None
    usb_rear_ports: int | None


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
    missing);
    unknown: (port, column) not known; usb_wanted: devices at USB; usb_least: ports the leads take at least.
    """

    own: tuple[tuple[str, int, int], ...]
    wishes: tuple[Wish, ...]
    uncured: tuple[tuple[str, str, int], ...]
    unknown: tuple[tuple[str, str], ...]
    usb_wanted: int
    usb_least: int

    def usb_short(self, rear_ports: int | None) -> bool:
        """Whether the rear USB ports are known to be too few."""
        return rear_ports is not None and self.usb_wanted + self.usb_least > rear_ports


def sockets_of(board: Board) -> Sockets:
    """The port facts of a board."""
    return Sockets(*(getattr(board, name) for name in Sockets._fields))


def required_devices(problem: Problem, port: str | None) -> tuple[Device, ...]:
    """Devices of one port that the owner needs."""
    return tuple(d for d in problem.survey.devices if d.required and d.port == port)


def _options(extras: Sequence[Extra], port: str, ports: int) -> Options:
    return tuple((e.id, ceil_div(ports, max(1, e.count))) for e in extras if port in e.gives)


def serve(problem: Problem, sockets: Sockets, low_openings: bool) -> Service:
    """Serve the required devices with a board's ports. ``low_openings``: brackets must be low profile."""
    own: list[tuple[str, int, int]] = []
    wishes: list[Wish] = []
    uncured: list[tuple[str, str, int]] = []
    unknown: list[tuple[str, str]] = []
    for port in LEGACY:
        devices = required_devices(problem, port)
        if not devices:
            continue
        have = getattr(sockets, f"{port}_ports")
        if have is None:
            unknown.append((port, f"{port}_ports"))
            continue
        own.append((port, have, len(devices)))
        short = max(0, len(devices) - have)
        bracket = 0
        if short and port != "ps2":
            headers = getattr(sockets, f"{port}_headers")
            if headers is None:
                unknown.append((port, f"{port}_headers"))
                continue
            brackets = [e for e in problem.extras_of(f"{port}-bracket") if e.low_profile or not low_openings]
            bracket = min(short, headers)
            options = _options(brackets, port, bracket)
            if bracket and options:
                wishes.append(Wish(f"{port}-bracket", f"{port}-bracket", port, options, bracket, False))
            else:
                bracket = 0
        rest = short - bracket
        # Programs that write to the port's address get the real ports first.
        direct = 0 if port == "ps2" else sum(1 for d in devices if d.direct_hardware_access)
        lost = max(0, direct - have - bracket)
        by_lead = rest - lost
        leads = _options(list(problem.extras_of(f"usb-{port}")), port, by_lead)
        if by_lead and leads:
            wishes.append(Wish(f"usb-{port}", f"usb-{port}", port, leads, by_lead, True))
        elif by_lead:
            lost += by_lead
        if lost:
            uncured.append((port, f"usb-{port}", lost))
    wanted = len(required_devices(problem, "usb"))
    least = sum(min(q for _, q in w.options) for w in wishes if w.usb)
    most = sum(max(q for _, q in w.options) for w in wishes if w.usb)
    if sockets.usb_rear_ports is None:
        if wanted + least:
            unknown.append(("usb", "usb_rear_ports"))
    elif wanted + most > sockets.usb_rear_ports:
        wishes = [_fewest(w) if w.usb else w for w in wishes]
    return Service(tuple(own), tuple(wishes), tuple(uncured), tuple(unknown), wanted, least)


def _fewest(wish: Wish) -> Wish:
    """Only the options that take the fewest USB ports."""
    least = min(q for _, q in wish.options)
    options = tuple(o for o in wish.options if o[1] == least)
    return Wish(wish.key, wish.kind, wish.port, options, wish.ports, wish.usb)
