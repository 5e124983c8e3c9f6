"""Every device the owner needs has a port: PS/2, serial, parallel, USB.

Own ports first, then a bracket on a header, then a lead from USB, which takes a USB port. USB ports are those
on the rear and those in front whose plug finds a header of its kind; what is still short a hub makes up where
one is on sale. Devices whose program writes to the port's hardware address get real ports only. With the
present board everything is connected today. Drives on USB take a port as well, also one in place of a floppy
drive. A bracket takes a slot opening that neither a card nor a controller card for the drives needs; where none is
left a lead serves, or nothing. Not checked: the port of a USB box for a PATA disk, openings for brackets elsewhere in
the case, pin order of bracket plugs (two are common), current that devices on a hub draw.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, cast

from partsolver.assembly.device_ports import (
    Front,
    Options,
    Service,
    Sockets,
    bracket_openings,
    brackets_matter,
    front_of,
    required_devices,
    serve,
    sockets_of,
)
from partsolver.assembly.modules import part_question
from partsolver.catalog.records import Board, Case
from partsolver.plan.draft import Draft, Line, Need
from partsolver.plan.findings import Finding, at_least, unknown
from partsolver.problem.candidates import Candidate, GraphicsChoice, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "ports.devices"
STATEMENT = "Every device the owner needs has a port, directly, by a bracket or by a lead from USB."
SOURCE = "common practice; board manuals; case B27 (programs that write to the port)"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "case", "graphics")
READS: Reads = {
    "board": (
        "floppy_headers",
        "parallel_headers",
        "parallel_ports",
        "pata_channels",
        "ps2_ports",
        "sata_1g5_ports",
        "sata_3g_ports",
        "sata_6g_ports",
        "serial_headers",
        "serial_ports",
        "slots",
        "usb2_headers",
        "usb3_headers",
        "usb_e_headers",
        "usb_rear_ports",
    ),
    "case": (
        "front_usb2_plugs",
        "front_usb3_plugs",
        "front_usb_e_plugs",
        "max_card_length_mm",
        "slot_height",
        "slot_openings",
    ),
    "graphics": ("card",),
}
SURVEY: tuple[str, ...] = ("cards", "devices", "drives")


def _service(parts: Parts, problem: Problem) -> Service:
    openings = bracket_openings(problem, parts.board, parts.case, parts.graphics)
    return serve(problem, sockets_of(parts.board), front_of(parts.case), openings)


def needs(parts: Parts, problem: Problem) -> tuple[Need, ...]:
    if parts.board_kept:
        return ()
    service = _service(parts, problem)
    found = [
        Need(ID, w.key, w.kind, w.options, (("port", w.port), ("ports", w.ports))) for w in service.wishes
    ]
    found += [
        Need(ID, f"{port}-missing", kind, (), (("port", port), ("ports", n)))
        for port, kind, n in service.uncured
    ]
    return tuple(found)


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    ids = (parts.board.id,)
    if parts.board_kept:
        return _today(parts, problem)
    service = _service(parts, problem)
    lines = {w.key: draft.bought_for(ID, w.key) for w in service.wishes}
    found: list[Finding] = []
    for port, have, wanted in service.own:
        if any(port == p for p, column in service.unknown):
            continue
        added = sum(w.ports for w in service.wishes if w.port == port and lines[w.key] is not None)
        bought = tuple(
            line.item for w in service.wishes if w.port == port and (line := lines[w.key]) is not None
        )
        facts: dict[str, str | int] = {"added": added} if added else {}
        # Why no lead from USB makes up what is missing.
        direct = next((d.name for d in required_devices(problem, port) if d.direct_hardware_access), None)
        if have + added < wanted and direct is not None:
            facts["direct"] = direct
        if have + added < wanted and port in service.closed:
            facts["openings"] = "none"
        found.append(at_least(ID, have + added, wanted, "ports", (*ids, *bought), port=port, **facts))
        if parts.case.slot_openings is None and lines.get(f"{port}-bracket") is not None:
            asked = part_question(parts.candidate("case"), "slot_openings")
            found.append(unknown(ID, asked, ids, port=port))
        unsure = _unsure(service, problem, port, wanted)
        if unsure is not None:
            found.append(unknown(ID, "device.direct_hardware_access", ids, device=unsure, port=port))
    taken = sum(line.quantity for w in service.wishes if w.usb and (line := lines[w.key]) is not None)
    found += _usb(parts, service, taken, lines.get("usb-hub"))
    found += [
        unknown(ID, part_question(parts.candidate("board"), column), ids, port=port)
        for port, column in service.unknown
    ]
    found += [unknown(ID, "device.port", ids, device=d.name) for d in required_devices(problem, None)]
    return tuple(found)


def _usb(parts: Parts, service: Service, taken: int, hub: Line | None) -> list[Finding]:
    """USB ports against devices and the leads that were bought."""
    wanted = service.usb_wanted + taken
    if service.usb_have is None or not wanted:
        return []
    ids: tuple[str, ...] = (parts.board.id, *([hub.item] if hub is not None else []))
    facts: dict[str, str | int] = {"leads": taken} if taken else {}
    if hub is not None:
        return [at_least(ID, wanted, wanted, "ports", ids, port="usb", added=hub.quantity, **facts)]
    if service.usb_missing is not None and wanted > service.usb_have:
        slot, _, fact = service.usb_missing.partition(".")
        asked = part_question(parts.candidate(cast("SlotName", slot)), fact)
        return [unknown(ID, asked, ids, False, port="usb")]
    front = service.usb_have - (parts.board.usb_rear_ports or 0)
    if front and "usb-hub" not in {w.key for w in service.wishes}:
        facts["front"] = front
    have = service.usb_have
    if any(w.key == "usb-hub" for w in service.wishes):
        have -= next(w.ports for w in service.wishes if w.key == "usb-hub")  # not bought
    return [at_least(ID, have, wanted, "ports", ids, port="usb", **facts)]


def _unsure(service: Service, problem: Problem, port: str, wanted: int) -> str | None:
    """A device on a lead whose program may write to the port's address; real ports go to such devices
    first."""
    by_lead = sum(w.ports for w in service.wishes if w.usb and w.port == port)
    devices = [d for d in required_devices(problem, port) if d.direct_hardware_access is not False]
    if port == "ps2" or not by_lead or len(devices) <= wanted - by_lead:
        return None
    return next((d.name for d in devices if d.direct_hardware_access is None), None)


def _today(parts: Parts, problem: Problem) -> tuple[Finding, ...]:
    """The present board: every device is connected now."""
    found = []
    for port in ("ps2", "serial", "parallel", "usb"):
        wanted = len(required_devices(problem, port))
        if wanted:
            counted = getattr(parts.board, "usb_rear_ports" if port == "usb" else f"{port}_ports")
            have = wanted if counted is None else max(counted, wanted)
            found.append(at_least(ID, have, wanted, "ports", (parts.board.id,), port=port, today="yes"))
    return tuple(found)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    conditions: dict[tuple[str, Options], list[Any]] = {}

    def stand(service: Service, here: Any) -> None:
        if service.uncured or service.usb_short:
            picks.clause([~here], on)
            return
        for wish in service.wishes:
            conditions.setdefault((wish.key, wish.options), []).append(here)

    if brackets_matter(problem):
        _post_by_openings(picks, problem, stand)
    else:
        fronts = picks.classes("case", "front ports", lambda c: front_of(c.part))
        boards = picks.classes("board", "rear sockets", lambda c: None if c.kept else sockets_of(c.part))
        for sockets, board in boards.items():
            if sockets is None:
                continue
            for front, case in fronts.items():
                stand(serve(problem, Sockets(*sockets), Front(*front)), picks.both(board, case))
    for number, ((key, options), wheres) in enumerate(conditions.items()):
        picks.need(ID, f"{key}:{number}", options, wheres, on)


def _post_by_openings(picks: Picks, problem: Problem, stand: Callable[[Service, Any], None]) -> None:
    """The same where a bracket may be bought: cards and case decide what openings are left for it."""
    for case, graphics, place in picks.cases_and_cards():

        def seen(
            candidate: Candidate[Board], case: Case = case.part, cards: GraphicsChoice = graphics.part
        ) -> Any:
            if candidate.kept:
                return None
            return sockets_of(candidate.part), bracket_openings(problem, candidate.part, case, cards)

        boards = picks.classes("board", f"{ID} in {case.key} with {graphics.key}", seen)
        for found, board in boards.items():
            if found is not None:
                sockets, openings = found
                service = serve(problem, Sockets(*sockets), front_of(case.part), openings)
                stand(service, picks.both(place, board))
