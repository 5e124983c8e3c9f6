"""What plugs into what (common practice: 4+4 and 6+2 plugs divide; the figures stand in `standards/figures.csv`)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, CASE, PSU, SYSTEM_DRIVE, make_problem, make_survey, pick

from partsolver.assembly.plugs import (
    all_kept,
    asks_for_plugs,
    card_sockets,
    drive_plugs,
    feeding_plugs,
    free_card_plugs,
    m2_cards,
    m2_leftover,
    missing_card_plugs,
    power_plug,
    question,
    sata_claims,
    seatable,
    spare_peripherals,
)
from partsolver.catalog.records import DrivePart, Extra
from partsolver.catalog.sockets import M2Socket, Slot
from partsolver.problem.candidates import KEPT_GRAPHICS, DriveChoice, GraphicsChoice
from partsolver.problem.problem import Problem
from partsolver.survey.model import Card, Drive

OWN = GraphicsChoice(KEPT_GRAPHICS, None, None)
KEPT = DriveChoice("kept", SYSTEM_DRIVE, None)


def test_questions_and_what_stays() -> None:
    problem = make_problem()
    parts = pick(problem, cpu="kept-cpu")
    assert question(parts.candidate("board"), "year") == "board:board-a.year"
    assert question(parts.candidate("psu"), "year") == "psu.year"
    assert all_kept(parts, ("psu", "cpu")) and all_kept(parts, ())
    assert not all_kept(parts, ("psu", "board")) and not all_kept(parts, ("board", "psu"))


@pytest.mark.parametrize(
    ("headers", "plugs", "fed"),
    [
        (("4",), ("4",), ("4",)),
        (("4",), ("8",), ("4",)),  # one half of a divisible plug
        (("8",), ("8",), ("8",)),
        (("8",), ("4",), ("4",)),
        (("8",), ("4", "4"), ("8",)),  # side by side
        (("8",), ("8", "4", "4"), ("8",)),
        (("8", "4"), ("4", "4", "4"), ("8", "4")),
        (("8", "4"), ("4", "4"), ("8",)),
        (("8", "4"), ("4", "8"), ("8", "4")),
        (("4", "8"), ("8", "4"), ("4", "8")),
        (("8", "8"), ("8",), ("8",)),
        (("8", "8"), ("8", "4"), ("8", "4")),
        (("8",), (), ()),
        ((), ("8",), ()),
        (("4", "4"), ("4", "8"), ("4", "4")),
    ],
)
def test_processor_plugs(headers: tuple[str, ...], plugs: tuple[str, ...], fed: tuple[str, ...]) -> None:
    assert feeding_plugs(headers, plugs) == fed


@pytest.mark.parametrize(
    ("interface", "stated", "plug"),
    [
        ("sata", None, "sata"),
        ("pata", None, "peripheral"),
        ("floppy", None, "floppy"),
        ("m2-nvme", None, "none"),
        ("usb", None, "none"),
        (None, None, "none"),
        ("sata", "peripheral", "peripheral"),
        ("pata", "none", "none"),
    ],
)
def test_the_power_plug_of_a_drive(interface: Any, stated: Any, plug: str) -> None:
    assert power_plug(Drive(name="d", interface=interface, power_plug=stated)) == plug
    if stated is None:
        assert power_plug(DrivePart("d", "D", interface=interface)) == plug


def test_plugs_that_drives_take() -> None:
    drives = (
        SYSTEM_DRIVE,
        Drive(name="a", interface="sata"),
        Drive(name="b", interface="pata"),
        Drive(name="c", interface="floppy"),
        Drive(name="d", interface="pata", required=False),
    )
    problem = make_problem(make_survey(drives=drives))
    assert drive_plugs(KEPT, problem) == (2, 1)
    module = DriveChoice("m", None, DrivePart("m", "M", interface="m2-nvme"))
    assert drive_plugs(module, problem) == (1, 1)
    assert spare_peripherals(replace(PSU, peripheral_plugs=3), 1) == 2
    assert spare_peripherals(replace(PSU, peripheral_plugs=0), 1) == -1
    assert spare_peripherals(replace(PSU, peripheral_plugs=None), 1) is None


def card(**facts: Any) -> Card:
    return Card(**{"name": "card", "kind": "graphics", "bus": "pcie", "lanes": 16, **facts})


def test_sockets_of_cards() -> None:
    cards = (card(power_plugs=("8", "6")), card(name="b", kind="other", lanes=1, power_plugs=("6",)))
    problem = make_problem(make_survey(cards=(*cards, card(name="c", kind="sound", lanes=1, bus="pci"))))
    assert card_sockets(problem, BOARD, CASE, OWN) == ("6", "6", "8")
    assert card_sockets(problem, replace(BOARD, slots=(Slot("x1", 1),)), CASE, OWN) == ("6",)


@pytest.mark.parametrize(
    ("facts", "asks"),
    [
        ({}, True),  # nobody looked
        ({"bus": None}, True),
        ({"height": "low"}, False),
        ({"bus": "agp"}, False),
        ({"kind": "network"}, False),
        ({"power_plugs": ("6",), "load_mw": 300_000}, False),
        ({"power_plugs": (), "load_mw": 75_000}, False),  # a slot gives 75 W
        ({"power_plugs": (), "load_mw": 75_001}, True),
        ({"power_plugs": (), "load_mw": 75_001, "bus": None}, True),
        ({"power_plugs": (), "load_mw": 75_001, "bus": "agp"}, False),
        ({"power_plugs": (), "load_mw": 75_001, "kind": "other"}, False),
        ({"power_plugs": (), "load_mw": None}, False),
    ],
)
def test_cards_that_may_have_plugs(facts: dict[str, Any], asks: bool) -> None:
    assert asks_for_plugs(card(**facts)) is asks


@pytest.mark.parametrize(
    ("sockets", "plugs", "missing", "free"),
    [
        (("6",), ("6",), (), ()),
        (("6",), ("8",), (), ()),  # a divisible 6+2
        (("8",), ("6",), ("8",), ("6",)),
        (("6", "8"), ("8", "6"), (), ()),
        (("6", "8"), ("8",), ("6",), ()),  # like feeds like first
        (("6", "6"), ("8", "8"), (), ()),
        (("6", "6"), ("8",), ("6",), ()),
        (("16",), ("8", "8"), ("16",), ("8", "8")),
        ((), ("6", "8"), (), ("6", "8")),
        (("6",), ("6", "8"), (), ("8",)),
        (("6", "16"), (), ("6", "16"), ()),
    ],
)
def test_card_plugs(sockets: Any, plugs: Any, missing: Any, free: Any) -> None:
    assert missing_card_plugs(sockets, plugs) == missing
    assert free_card_plugs(sockets, plugs) == free


# -- slots for added cards ------------------------------------------------------------------------------------------


def added(name: str, kind: str, takes: str, count: int = 1, low: bool = False) -> Extra:
    return Extra(name, name, kind=kind, takes=(takes,), count=count, low_profile=low)


M2_CARD = added("m2-card", "m2-card", "x4")
SATA_TWO = added("sata-two", "sata-controller", "x1", 2)
SATA_FOUR = added("sata-four", "sata-controller", "x4", 4)


def module(name: str = "module", interface: Any = "m2-nvme", **facts: Any) -> Drive:
    return Drive(name=name, kind="ssd", interface=interface, **facts)


def disks(number: int) -> tuple[Drive, ...]:
    return tuple(Drive(name=f"disk {n}", kind="hdd35", interface="sata") for n in range(number))


def pc(*drives: Drive, extras: tuple[Extra, ...] = (M2_CARD, SATA_TWO, SATA_FOUR)) -> Problem:
    return make_problem(make_survey(drives=(SYSTEM_DRIVE, *drives)), extras=extras)


def board(*slots: Slot, sata: int | None = 4, sockets: tuple[M2Socket, ...] = ()) -> Any:
    return replace(BOARD, slots=slots, sata_6g_ports=sata, m2_slots=sockets)


ONE, FOUR, WIDE = Slot("x1", 1), Slot("x4", 4), Slot("x16", 16)


def ids(cards: Any) -> list[str]:
    return [extra.id for extra in cards]


@pytest.mark.parametrize(
    ("slots", "height", "claims", "found"),
    [
        ((FOUR,), "full", (), ["m2-card", "low"]),
        ((ONE,), "full", (), []),
        ((WIDE,), "full", (), ["m2-card", "low"]),
        ((Slot("x4", 3),), "full", (), []),  # an NVMe module wants four lanes
        ((Slot("x16", 4),), "full", (), ["m2-card", "low"]),
        ((FOUR,), "low", (), ["low"]),
        ((FOUR,), None, (), ["m2-card", "low"]),
        ((), "full", (), []),
        ((FOUR,), "full", ((SATA_TWO,),), []),  # the claim takes it
        ((FOUR, ONE), "full", ((SATA_TWO,),), ["m2-card", "low"]),
        ((FOUR, ONE), "full", ((SATA_FOUR,),), []),
        ((FOUR, ONE), "full", ((SATA_TWO, SATA_FOUR),), []),  # whichever of them is bought
        ((ONE, FOUR, WIDE), "full", ((SATA_TWO, SATA_FOUR),), ["m2-card", "low"]),
        ((FOUR, ONE, ONE), "full", ((SATA_TWO,), (SATA_TWO,)), ["m2-card", "low"]),
        ((FOUR, ONE), "full", ((SATA_TWO,), (SATA_TWO,)), []),
    ],
)
def test_added_cards_that_find_a_slot(slots: Any, height: Any, claims: Any, found: list[str]) -> None:
    cards = [M2_CARD, replace(M2_CARD, id="low", low_profile=True)]
    case = replace(CASE, slot_height=height)
    assert ids(seatable(pc(), board(*slots), case, OWN, cards, claims)) == found


def test_slots_that_nobody_looked_at_take_nothing() -> None:
    assert seatable(pc(), replace(BOARD, slots=None), CASE, OWN, [M2_CARD]) == ()


def test_a_controller_goes_into_any_slot_that_takes_it() -> None:
    assert ids(seatable(pc(), board(Slot("x4", 1)), CASE, OWN, [SATA_FOUR, SATA_TWO])) == [
        "sata-four",
        "sata-two",
    ]
    either = Extra("either", "Either", kind="sata-controller", takes=("pci", "x1"))
    assert ids(seatable(pc(), board(ONE), CASE, OWN, [either])) == ["either"]


@pytest.mark.parametrize(
    ("drives", "ports", "slots", "claims"),
    [
        (0, 1, (FOUR,), []),
        (1, 1, (FOUR,), [["sata-four", "sata-two"]]),
        (2, 1, (FOUR,), [["sata-four", "sata-two"]]),
        (3, 1, (FOUR,), [["sata-four"]]),
        (5, 1, (FOUR,), []),
        (1, 1, (ONE,), [["sata-two"]]),
        (1, 1, (), []),
        (1, None, (FOUR,), []),  # nobody knows whether it is needed
        (0, 0, (FOUR,), [["sata-four", "sata-two"]]),
    ],
)
def test_the_slot_that_a_sata_controller_claims(drives: int, ports: Any, slots: Any, claims: Any) -> None:
    found = sata_claims(pc(*disks(drives)), board(*slots, sata=ports), CASE, KEPT, OWN)
    assert [ids(claim) for claim in found] == claims


def test_modules_without_a_socket() -> None:
    one = M2Socket("m", 80, ("nvme",), 3, 4, 0, 0)
    problem = pc(module("a"), module("b"))
    assert [d.name for d in m2_leftover(board(sockets=(one,)), KEPT, problem)] == ["b"]
    assert ids(m2_cards(problem, board(WIDE, sockets=(one,)), CASE, KEPT, OWN)) == ["m2-card"]
    assert m2_cards(problem, board(WIDE), CASE, KEPT, OWN) == ()  # two are left
    assert m2_cards(pc(module("a")), board(WIDE, sockets=(one,)), CASE, KEPT, OWN) == ()  # none is
    assert m2_cards(pc(module("a", "m2-sata")), board(WIDE), CASE, KEPT, OWN) == ()
    # A SATA controller's claim goes first.
    crowded = pc(module("a"), *disks(1))
    assert m2_cards(crowded, board(FOUR, sata=1), CASE, KEPT, OWN) == ()
    assert ids(m2_cards(crowded, board(FOUR, WIDE, sata=1), CASE, KEPT, OWN)) == ["m2-card"]
