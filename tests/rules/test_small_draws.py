"""What small things draw that hang on the board: keyboards and mice on PS/2, display converters, USB storage.

Figures: loads reference, section 3 (keyboard, mouse 0.1 A, planned 0.25 A each) and 6 (345 mA for both in
sleep); DisplayPort gives an adapter 0.5 A at 3.3 V (from memory).
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import (
    BOARD,
    OLD_BOARD,
    OLD_CPU,
    PSU,
    SYSTEM_DRIVE,
    agree,
    findings,
    make_problem,
    make_survey,
    pick,
)

from partsolver.assembly.bought_cards import plan_load
from partsolver.assembly.converters import converters_needed
from partsolver.assembly.loads import today_load
from partsolver.assembly.network import consumers, today_flows
from partsolver.catalog.records import Extra
from partsolver.rules import ports_devices, power_rails_low, power_standby, power_startup, power_total
from partsolver.survey.model import Card, Device, Display, Drive
from partsolver.wishes.brief import Brief

VGA = Display(name="monitor", inputs=("vga",), width_px=1280, height_px=1024, refresh_hz=60)
CONVERTER = Extra(
    "converter", "Converter", kind="display-adapter", takes=("hdmi",), gives=("vga",), active=True
)
PASSIVE = Extra("plug", "Plug", kind="display-adapter", takes=("dvi-i",), gives=("vga",))
KEYBOARD, MOUSE = Device(name="keyboard", port="ps2"), Device(name="mouse", port="ps2")
OLD = replace(OLD_BOARD, outputs=("vga",))


@pytest.mark.parametrize(
    ("outputs", "displays", "number"),
    [
        (("hdmi-1.4",), (("vga",),), 1),
        (("vga", "hdmi-1.4"), (("vga",),), 0),  # by a plain cable
        (("dvi-i", "hdmi-1.4"), (("vga",),), 0),  # a passive plug: analogue contacts
        (("dvi-d",), (("vga",),), 1),
        (("vga", "hdmi-1.4"), (("vga",), ("vga",)), 1),  # two monitors, one plain output
        (("hdmi-1.4",), (("vga",), ("vga",)), 1),  # the second stays dark: no converter for it
        (("vga", "hdmi-1.4"), (("vga", "hdmi-1.4"), ("vga",)), 0),
        (("dp-1.2",), (("hdmi-1.4",),), 1),  # plain DisplayPort
        (("dp++-1.2",), (("hdmi-1.4",),), 0),  # dual mode: a level shifter does it
        ((), (("vga",),), 0),
    ],
)
def test_converters_needed(
    outputs: tuple[str, ...], displays: tuple[tuple[str, ...], ...], number: int
) -> None:
    """Which way each plug takes: start and displays references (dual mode, analogue contacts of DVI-I)."""
    assert converters_needed(outputs, displays) == number


def test_a_converter_is_counted_once_at_5_v() -> None:
    survey = make_survey(displays=(VGA,), board=OLD, psu=replace(PSU, year=2026))
    boards = [replace(BOARD, outputs=("hdmi-1.4",)), replace(BOARD, id="board-vga", outputs=("vga",))]
    problem = make_problem(survey, boards=boards, extras=[CONVERTER, PASSIVE])
    with_one, without = (pick(problem, board=name) for name in ("board-a", "board-vga"))
    more = plan_load(problem, with_one).ma_5v - plan_load(problem, without).ma_5v
    assert (more, plan_load(problem, with_one).most_5v - plan_load(problem, without).most_5v) == (150, 330)
    names = [name for _, name, _ in consumers(problem, with_one)]
    assert names.count("display converters") == 1
    assert "display converters" not in [name for _, name, _ in consumers(problem, without)]
    for rule in (power_rails_low, power_total, power_startup):
        agree(rule, problem)
    # Where no such thing is sold none is counted: the monitor is another rule's matter.
    bare = make_problem(survey, boards=boards, extras=[PASSIVE])
    assert (
        plan_load(bare, pick(bare, board="board-a")).ma_5v
        == plan_load(bare, pick(bare, board="board-vga")).ma_5v
    )


def test_the_converter_of_today_draws_today() -> None:
    """A VGA monitor on a present board with HDMI alone hangs on a converter that the owner has."""
    drawn = [
        today_load(
            make_problem(
                make_survey(displays=(VGA,), board=replace(OLD, outputs=outputs)), extras=[CONVERTER]
            )
        )
        for outputs in (("hdmi-1.4",), ("vga",))
    ]
    assert drawn[0].ma_5v - drawn[1].ma_5v == 150


def test_what_is_left_out_of_the_next_pc_draws_today() -> None:
    """What the supply carries today is a fact: a disk and a card that the owner gives up draw until then, on the
    whole supply and in their group of plugs alike."""
    disk = Drive(name="disk", kind="hdd35", interface="sata", required=False)
    card = Card(name="tv card", kind="tv", bus="pci", required=False)
    survey = make_survey(drives=(SYSTEM_DRIVE, disk), cards=(card,))
    own = make_problem(survey)
    fewer = make_problem(survey, Brief(leave_out=("disk", "tv card")))
    assert today_load(fewer) == today_load(own) and today_flows(fewer) == today_flows(own)
    assert today_load(own).start_12v == today_flows(own).total.start_12v
    assert plan_load(fewer, pick(fewer)).start_12v < plan_load(own, pick(own)).start_12v


def test_keyboard_and_mouse_draw_wherever_they_find_their_port() -> None:
    for ports in (2, 0):
        loads = []
        for devices in ((), (KEYBOARD, MOUSE)):
            problem = make_problem(make_survey(devices=devices), boards=[replace(BOARD, ps2_ports=ports)])
            load = plan_load(problem, pick(problem))
            loads.append((load.ma_5v, load.most_5v, today_load(problem).ma_5v))
        assert [b - a for a, b in zip(*loads, strict=True)] == [200, 500, 200]


def test_sleep_feeds_keyboard_and_mouse() -> None:
    """845 boards: 345 mA for both (loads reference, section 6); 0.8 A and 0.1 A for each of two modules beside."""
    psu = replace(PSU, rail_5vsb_ma=2000, year=2012)  # trusted with 1.3 A
    alone, both = (
        findings(power_standby, make_problem(make_survey(psu=psu, devices=d)))[0]
        for d in ((), (KEYBOARD, MOUSE))
    )
    assert (alone.fact("most"), alone.fact("warning")) == (1000, None)
    assert (both.fact("most"), both.fact("warning")) == (1000 + 2 * 173, "highest load")
    assert both.admits  # it starts; only sleep takes more


def test_a_network_card_listens_in_sleep() -> None:
    """A card that wakes the PC may take 375 mA (PCI power management, quoted in the loads reference, section 6)."""
    network, *others = (Card(name=kind, kind=kind, bus="pci") for kind in ("network", "graphics", "sound"))
    taken = [
        power_standby.sleep_ma(make_problem(make_survey(cards=cards)), 2)
        for cards in ((), tuple(others), (network, *others))
    ]
    assert [ma - taken[0] for ma in taken] == [0, 0, 375]


# -- USB storage takes ports --------------------------------------------------------------------------------------

STICK = Drive(name="stick", kind="ssd", interface="usb", encrypted=False)
FLOPPY = Drive(name="floppy", kind="floppy", interface="floppy", bay="3.5", power_plug="floppy")
LARGE = FLOPPY.model_copy(update={"name": "large floppy", "bay": "5.25"})
USB_FLOPPY = Extra("usb-floppy", "USB floppy", kind="usb-floppy", takes=("usb",), gives=("floppy",))


@pytest.mark.parametrize(
    ("drives", "headers", "sold", "wanted"),
    [
        ((STICK,), 0, False, 9),
        ((STICK.model_copy(update={"required": False}),), 0, False, 8),
        ((FLOPPY,), 0, True, 9),  # the USB drive in its place
        ((FLOPPY,), 1, True, 8),  # it has its header
        ((FLOPPY,), 0, False, 8),  # nothing is sold: the floppy rule refuses
        ((LARGE,), 0, True, 8),  # no USB drive takes its place
        ((FLOPPY, STICK), 0, True, 10),
    ],
)
def test_usb_storage_takes_ports(drives: tuple[Drive, ...], headers: int, sold: bool, wanted: int) -> None:
    """Eight devices on six rear and two front ports; whatever else hangs on USB has none left."""
    devices = tuple(Device(name=f"d{n}", port="usb") for n in range(8))
    survey = make_survey(devices=devices, drives=(SYSTEM_DRIVE, *drives), cpu=OLD_CPU)
    boards = [replace(BOARD, floppy_headers=headers)]
    problem = make_problem(survey, boards=boards, extras=[USB_FLOPPY] if sold else [])
    (found,) = findings(ports_devices, problem)
    assert (found.value, found.limit, found.verdict) == (8, wanted, "fits" if wanted == 8 else "fails")
    agree(ports_devices, problem)
