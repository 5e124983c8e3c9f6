"""What a plan buys for drives, devices, displays and system draws too: counted by hand on tiny assemblies.

A small card at 3.3 V usually 4 W, at most 3 A ([CEM] in `standards/cards.py`); a USB device 0.1 A, a USB 2.0 port 0.5 A.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, SYSTEM_DRIVE, make_problem, make_survey, pick

from partsolver.assembly.bought_cards import (
    bought_cards_load,
    controller_cards,
    one_card_load,
    plan_load,
)
from partsolver.assembly.bought_devices import NONE, Pieces, load_of_pieces, pieces_bought
from partsolver.assembly.converters import (
    converters,
    converters_load,
    converters_needed,
    converters_today,
)
from partsolver.assembly.currents import NOTHING, Load, load_of_currents, times_load
from partsolver.assembly.loads import total_load
from partsolver.catalog.records import DrivePart, Extra
from partsolver.problem.problem import Problem
from partsolver.survey.model import Card, Device, Display, Drive, OperatingSystem
from partsolver.wishes.brief import Brief

S = {
    "card_small_mw": 4000,
    "usb_device_ma": 100,
    "usb2_port_mw": 2500,
    "usb_hub_ma": 90,
    "tpm_module_ma": 50,
    "display_converter_ma": 150,
    "display_converter_most_ma": 330,
}
SATA_CARD = Extra("sata-card", "SATA card", kind="sata-controller", takes=("x1",), count=2)
PATA_CARD = Extra("pata-card", "PATA card", kind="pata-controller", takes=("x1",), count=2)


def disks(number: int, interface: Any = "sata") -> tuple[Drive, ...]:
    return tuple(Drive(name=f"{interface} {n}", kind="hdd35", interface=interface) for n in range(number))


def pc(
    drives: tuple[Drive, ...] = (),
    extras: tuple[Extra, ...] = (SATA_CARD, PATA_CARD),
    board: dict[str, Any] | None = None,
    brief: Brief | None = None,
    old: dict[str, Any] | None = None,
    **survey: Any,
) -> Problem:
    boards = [replace(BOARD, **(board or {}))]
    more = {"board": replace(BOARD, id="kept-board", **old)} if old is not None else {}
    problem = make_problem(
        make_survey(drives=(SYSTEM_DRIVE, *drives), **more, **survey),
        brief or Brief(replace=("drive",)),
        boards=boards,
        extras=extras,
        drives=[DrivePart("new-drive", "New drive", kind="ssd", interface="m2-nvme")],
    )
    return replace(problem, settings={**problem.settings, **S})


def test_one_card() -> None:
    """4 W at 3.3 V are 1213 mA; never more than the slot's 3 A."""
    assert one_card_load(pc()) == load_of_currents((0, 0, 1213), (0, 0, 3000))
    strong = pc()
    assert one_card_load(replace(strong, settings={"card_small_mw": 9900})) == load_of_currents((0, 0, 3000))
    assert one_card_load(replace(strong, settings={"card_small_mw": 33})).ma_3v3 == 10


@pytest.mark.parametrize(
    ("drives", "board", "extras", "cards"),
    [
        ((), {"sata_6g_ports": 1}, (SATA_CARD, PATA_CARD), 0),
        (disks(1), {"sata_6g_ports": 1}, (SATA_CARD, PATA_CARD), 1),
        (disks(1), {"sata_6g_ports": 2}, (SATA_CARD, PATA_CARD), 0),
        (disks(1), {"sata_6g_ports": 1}, (PATA_CARD,), 0),
        (disks(1), {"sata_6g_ports": 1}, (SATA_CARD,), 1),
        (disks(1), {"sata_6g_ports": None}, (SATA_CARD, PATA_CARD), 0),  # nobody knows
        (disks(1, "pata"), {"pata_channels": 0}, (SATA_CARD, PATA_CARD), 1),
        (disks(1, "pata"), {"pata_channels": 1}, (SATA_CARD, PATA_CARD), 0),
        (disks(2, "pata"), {"pata_channels": 1}, (SATA_CARD, PATA_CARD), 0),  # two drives on a channel
        (disks(3, "pata"), {"pata_channels": 1}, (SATA_CARD, PATA_CARD), 1),
        (disks(3, "pata"), {"pata_channels": 1}, (SATA_CARD,), 0),
        (disks(3, "pata"), {"pata_channels": 1}, (PATA_CARD,), 1),
        (disks(1, "pata"), {"pata_channels": None}, (SATA_CARD, PATA_CARD), 0),
        ((*disks(1), *disks(1, "pata")), {"sata_6g_ports": 1}, (SATA_CARD, PATA_CARD), 2),
        ((*disks(1), *disks(1, "pata")), {"sata_6g_ports": 1}, (), 0),
    ],
)
def test_controller_cards(drives: Any, board: Any, extras: Any, cards: int) -> None:
    problem = pc(drives, extras, board)
    parts = pick(problem)
    found = parts.candidate("board"), parts.candidate("drive")
    assert controller_cards(problem, *found) == cards == controller_cards(problem, *found)
    load = bought_cards_load(problem, *found)
    assert load == times_load(one_card_load(problem), cards)
    assert plan_load(problem, parts) == total_load(problem, parts) + load
    # On the present board all is connected today.
    kept = pick(problem, board="kept-board")
    assert controller_cards(problem, kept.candidate("board"), kept.candidate("drive")) == 0


def test_a_new_drive_on_the_board_that_stays() -> None:
    """The SATA disks hang where they hung; the new drive may need a PATA card that the old one did not."""
    problem = pc(disks(1, "pata"), old={"pata_channels": 0, "sata_6g_ports": 0})
    board = pick(problem, board="kept-board").candidate("board")
    kept, new = (next(c for c in problem.slot("drive") if c.kept is stays) for stays in (True, False))
    assert controller_cards(problem, board, kept) == 0
    assert controller_cards(problem, board, new) == 1
    sata = pc(disks(2), old={"sata_6g_ports": 0})
    board = pick(sata, board="kept-board").candidate("board")
    assert controller_cards(sata, board, next(c for c in sata.slot("drive") if not c.kept)) == 0
    # A module takes no SATA port from the others on a new board.
    few = pc(disks(1), board={"sata_6g_ports": 1, "m2_slots": ()})
    board = pick(few).candidate("board")
    assert controller_cards(few, board, next(c for c in few.slot("drive") if not c.kept)) == 0
    assert controller_cards(few, board, next(c for c in few.slot("drive") if c.kept)) == 1


# -- devices and system ---------------------------------------------------------------------------------------------

LEAD = Extra("lead", "Lead", kind="usb-serial", gives=("serial",))
HUB = Extra("hub", "Hub", kind="usb-hub", count=4)
SMALL_HUB = Extra("small-hub", "Small hub", kind="usb-hub", count=2)
MODULE = Extra("module", "Module", kind="tpm-module", gives=("2.0",))
OLD_MODULE = Extra("old-module", "Old module", kind="tpm-module", gives=("1.2",))
NO_PORTS = {"serial_ports": 0, "serial_headers": 0, "usb2_headers": 0, "usb3_headers": 0, "usb_rear_ports": 4}


def devices(port: Any, number: int) -> tuple[Device, ...]:
    return tuple(Device(name=f"{port} {n}", port=port) for n in range(number))


@pytest.mark.parametrize(
    ("listed", "extras", "pieces"),
    [
        ((), (LEAD, HUB), NONE),
        (devices("serial", 1), (LEAD, HUB), Pieces(leads=1)),
        (devices("serial", 2), (LEAD, HUB), Pieces(leads=2)),
        (devices("serial", 2), (HUB,), NONE),
        (devices("usb", 4), (LEAD, HUB), NONE),
        (devices("usb", 5), (LEAD, HUB), Pieces(hubs=1)),
        (devices("usb", 7), (LEAD, HUB, SMALL_HUB), Pieces(hubs=3)),  # the number of the smallest
        ((*devices("serial", 1), *devices("usb", 4)), (LEAD, HUB), Pieces(leads=1, hubs=1)),
        ((Device(name="d"),), (LEAD, HUB), NONE),
    ],
)
def test_leads_and_hubs(listed: Any, extras: Any, pieces: Pieces) -> None:
    problem = pc(extras=extras, board=NO_PORTS, devices=listed)
    parts = pick(problem)
    found = pieces_bought(problem, parts.candidate("board"), parts.candidate("case"), parts.graphics)
    assert found == pieces
    assert pieces_bought(problem, parts.candidate("board"), parts.candidate("case"), parts.graphics) is found
    kept = pick(problem, board="kept-board")
    assert pieces_bought(problem, kept.candidate("board"), kept.candidate("case"), kept.graphics) == NONE
    assert plan_load(problem, parts) == total_load(problem, parts) + load_of_pieces(problem, pieces)


def test_storage_on_usb_alone_may_take_a_hub() -> None:
    sticks = tuple(Drive(name=f"stick {n}", kind="ssd", interface="usb") for n in range(5))
    problem = pc(sticks, (HUB,), NO_PORTS)
    parts = pick(problem)
    assert pieces_bought(
        problem, parts.candidate("board"), parts.candidate("case"), parts.graphics
    ) == Pieces(hubs=1)


@pytest.mark.parametrize(
    ("wanted", "family", "header", "kept_header", "extras", "new", "old"),
    [
        ("desktop-2021", "none", "header", "header", (MODULE, OLD_MODULE), 1, 1),
        ("desktop-2021", "none", "2.0", "none", (MODULE,), 0, 0),
        ("desktop-2021", "none", "header", "header", (OLD_MODULE,), 0, 0),
        ("desktop-2021", "none", "header", "header", (), 0, 0),
        ("desktop-2021", "none", None, None, (MODULE,), 0, 0),
        ("desktop-2015", "none", "header", "header", (MODULE,), 0, 0),  # needs none
        (None, "desktop-2021", "header", "header", (MODULE,), 1, 0),  # it runs on the kept board today
        (None, "none", "header", "header", (MODULE,), 0, 0),
    ],
)
def test_platform_modules(
    wanted: Any, family: Any, header: Any, kept_header: Any, extras: Any, new: int, old: int
) -> None:
    system = OperatingSystem(family=family, licence="none-needed")
    problem = pc((), extras, {"tpm": header}, Brief(os=wanted), {"tpm": kept_header}, os=system)
    for key, number in (("board-a", new), ("kept-board", old)):
        parts = pick(problem, board=key)
        found = pieces_bought(problem, parts.candidate("board"), parts.candidate("case"), parts.graphics)
        assert found == Pieces(modules=number)


@pytest.mark.parametrize(
    ("pieces", "load"),
    [
        (Pieces(), NOTHING),
        (Pieces(leads=1), load_of_currents((0, 100, 0), (0, 500, 0))),
        (Pieces(leads=3), load_of_currents((0, 300, 0), (0, 1500, 0))),
        (Pieces(hubs=2), load_of_currents((0, 180, 0))),
        (Pieces(modules=1), load_of_currents((0, 0, 50))),
        (Pieces(2, 1, 1), load_of_currents((0, 290, 50), (0, 1090, 50))),
    ],
)
def test_what_pieces_draw(pieces: Pieces, load: Load) -> None:
    assert load_of_pieces(pc(), pieces) == load
    thirsty = replace(pc(), settings={**S, "usb_device_ma": 600})
    assert load_of_pieces(thirsty, Pieces(leads=1)) == load_of_currents((0, 600, 0))


# -- converters -----------------------------------------------------------------------------------------------------

CONVERTER = Extra(
    "converter", "Converter", kind="display-adapter", takes=("hdmi",), gives=("vga",), active=True
)
PLUG = Extra("plug", "Plug", kind="display-adapter", takes=("dvi-i",), gives=("vga",))


def display(name: str, *inputs: str, **facts: Any) -> Display:
    return Display(name=name, inputs=inputs, **facts)


@pytest.mark.parametrize(
    ("outputs", "displays", "number"),
    [
        (("hdmi-1.4",), (("vga",),), 1),
        (("hdmi-1.4", "hdmi-1.4"), (("vga",), ("vga",)), 2),
        (("hdmi-1.4",), (("vga",), ("vga",)), 1),  # one stays dark
        (("vga", "hdmi-1.4"), (("vga",), ("hdmi-1.4",)), 0),
        (("hdmi-1.4", "vga"), (("vga", "hdmi-1.4"), ("vga",)), 0),
        (("vga", "hdmi-1.4"), (("vga",), ("vga", "hdmi-1.4")), 0),
        (("composite", "vga"), (("vga",),), 0),
        (("composite",), (("vga",),), 0),
        (("vga",), (("composite",),), 0),
        (("hdmi-1.4",), (("composite", "vga"),), 1),
        ((), (("vga",),), 0),
        (("hdmi-1.4",), (), 0),
        # All pictures first, then as few converters as possible.
        (("vga", "hdmi-1.4"), (("vga",), ("vga",)), 1),
        (("dvi-i", "hdmi-1.4"), (("vga",),), 0),
    ],
)
def test_converters_needed(outputs: Any, displays: Any, number: int) -> None:
    assert converters_needed(outputs, displays) == number


@pytest.mark.parametrize(
    ("outputs", "screens", "extras", "number"),
    [
        (("hdmi-1.4",), (display("a", "vga"),), (CONVERTER, PLUG), 1),
        (("hdmi-1.4",), (display("a", "vga"),), (PLUG,), 0),  # none is on sale
        (("hdmi-1.4",), (display("a", "vga", required=False),), (CONVERTER,), 0),
        (("hdmi-1.4",), (Display(name="a"), display("b", "vga")), (CONVERTER,), 1),
        (("hdmi-1.4",), (Display(name="a"),), (CONVERTER,), 0),
        (None, (display("a", "vga"),), (CONVERTER,), 0),
        (("hdmi-1.4",), (), (CONVERTER,), 0),
    ],
)
def test_converters_of_a_plan_and_of_today(outputs: Any, screens: Any, extras: Any, number: int) -> None:
    problem = pc((), extras, {"outputs": outputs}, old={"outputs": outputs}, displays=screens)
    parts = pick(problem)
    assert converters(problem, parts.board, parts.case, parts.graphics) == number
    assert converters_today(problem) == number
    load = load_of_currents((0, 150, 0), (0, 330, 0), times=number) if number else NOTHING
    assert plan_load(problem, parts) == total_load(problem, parts) + load


def card(name: str = "card", **facts: Any) -> Card:
    return Card(
        **{"name": name, "kind": "graphics", "bus": "pcie", "lanes": 16, "outputs": ("vga",), **facts}
    )


@pytest.mark.parametrize(
    ("cards", "modes", "number"),
    [
        ((), ("uefi",), 1),
        ((card(),), ("uefi",), 0),
        ((card(uefi=False),), ("uefi",), 1),  # stays dark: the board makes the picture
        ((card(uefi=False),), ("uefi", "legacy"), 0),
        ((card(kind="other"),), ("uefi",), 1),
        ((card(outputs=("hdmi-1.4",)),), ("uefi",), 1),
        ((card(uefi=False), card("second", uefi=True)), ("uefi",), 0),
    ],
)
def test_whose_outputs_count(cards: Any, modes: Any, number: int) -> None:
    facts = {"outputs": ("hdmi-1.4",), "firmware_modes": modes}
    problem = pc((), (CONVERTER,), facts, old=facts, displays=(display("a", "vga"),), cards=cards)
    assert converters_today(problem) == number
    if len(cards) < 2:
        parts = pick(problem)
        assert converters(problem, parts.board, parts.case, parts.graphics) == number


def test_what_converters_draw() -> None:
    problem = pc()
    assert converters_load(problem, 0) is NOTHING
    assert converters_load(problem, 2) == load_of_currents((0, 300, 0), (0, 660, 0))
    thirsty = replace(problem, settings={"display_converter_ma": 400, "display_converter_most_ma": 330})
    assert converters_load(thirsty, 1) == load_of_currents((0, 400, 0))
