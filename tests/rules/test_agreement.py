"""``admits`` and ``post`` of every rule with a number agree at its edge.

One generator: a *lever* is a world (a small problem) that depends on one whole number, in the rule's own unit
where there is one. The edge is looked for by bisection with the plain predicate alone; one step on either
side of it and on it, every combination of parts of that world is decided by both statements and must come out
the same. A limit that is off by one in one of them cannot pass: the step beyond the edge is refused by one
and let through by the other.
"""

from __future__ import annotations

import datetime
import inspect
from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from support import (
    BOARD,
    CASE,
    COOLER,
    CPU,
    KIT,
    OLD_BOARD,
    OLD_CPU,
    PSU,
    SELLER,
    SYSTEM_DRIVE,
    TODAY,
    admitted,
    agree,
    findings,
    make_problem,
    make_survey,
    pick,
)
from support import GRAPHICS as support_card

from partsolver.catalog.records import Bundle, DrivePart, Extra, Offer
from partsolver.catalog.sockets import M2Socket, Slot
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.survey.model import Card, Device, Display, Drive, OperatingSystem
from partsolver.wishes.brief import Brief

World = Callable[[int], Problem]
GIB = 1024
RICH = "10000.00"


def lever(low: int, high: int, world: World, exact: bool = True, picked: dict[str, str] | None = None) -> Any:
    """A world by a number between ``low`` and ``high``; one end is admitted, the other refused. ``exact``:
    its step is one unit of the rule, so that the margin at the edge is 0."""
    return SimpleNamespace(low=low, high=high, world=world, exact=exact, picked=picked or {})


def board(
    survey: Any = None, brief: Brief | None = None, tables: dict[str, Any] | None = None
) -> Callable[..., Problem]:
    """A problem with a changed board."""
    return lambda **facts: make_problem(survey, brief, boards=[replace(BOARD, **facts)], **(tables or {}))


def psu(**facts: Any) -> Problem:
    """A changed supply, in a PC whose load of today is small or not known: no label is saved by what is
    carried today."""
    today = {
        "board": replace(OLD_BOARD, load_mw=1000),
        "cpu": replace(OLD_CPU, tdp_w=None, power_limit_w=None),
    }
    return make_problem(make_survey(psu=replace(PSU, **facts), **today))


def disks(count: int, **facts: Any) -> tuple[Drive, ...]:
    named: dict[str, Any] = {"kind": "hdd35", "interface": "sata", "power_plug": "sata", **facts}
    return (SYSTEM_DRIVE, *(Drive(name=f"disk {i}", **named) for i in range(count)))


def ports(port: str, count: int) -> tuple[Device, ...]:
    return tuple(Device(name=f"{port} {i}", port=port, required=True) for i in range(count))


GRAPHICS = Card(
    name="graphics",
    kind="graphics",
    bus="pcie",
    lanes=16,
    height="full",
    width_slots=2,
    length_mm=200,
    load_mw=75000,
    power_plugs=("6",),
    graphics_score=1500,
    outputs=("hdmi-1.4", "vga"),
    uefi=True,
)
NETWORK = Card(
    name="network",
    kind="network",
    bus="pcie",
    lanes=1,
    height="full",
    width_slots=1,
    length_mm=120,
    load_mw=3000,
)
SATA_CARD = Extra(
    "extra-sata", "card", kind="sata-controller", takes=("x1",), gives=("sata",), count=2, low_profile=True
)
SPLITTER = Extra(
    "extra-split", "splitter", kind="sata-power-splitter", takes=("sata",), gives=("sata",), limit_ma=4500
)
SERIAL = Extra("extra-serial", "bracket", kind="serial-bracket", gives=("serial",))
PATA = Extra("extra-pata", "bridge", kind="pata-drive-adapter", takes=("sata",), gives=("pata",))
M2 = DrivePart("drive-0", "drive 0", None, "ssd", "m2-nvme", None, 3, 4, "m", 80, 2400, 500)
SYSTEM = OperatingSystem(family="desktop-2021", licence="retail", keep=True)
TALL = make_survey(cooler=None)


def in_case(**facts: Any) -> Any:
    """A survey with a changed case."""
    return make_survey(case=replace(CASE, **facts))


WITH_CARD = {"graphics": "graphics-a"}
SCREENS = tuple(
    Display(name=f"screen {i}", inputs=("hdmi-1.4",), width_px=1680, height_px=1050, refresh_hz=60)
    for i in range(3)
)


def on_sale(survey: Any = None, tables: dict[str, Any] | None = None, **facts: Any) -> Problem:
    """A problem with a graphics card on sale."""
    card = replace(support_card, **facts)
    return make_problem(survey, graphics=[card], **(tables or {}))


def _in_days(days: int) -> datetime.date:
    return TODAY + datetime.timedelta(days=days)


def _one_way(**facts: Any) -> Callable[[str], dict[str, Any]]:
    """Offers of the three parts, or a bundle of them, with changed facts, and no other way to buy them."""
    parts = (BOARD, CPU, KIT)
    bundle = Bundle("set", "set", "parts", tuple((part.id, 1) for part in parts), "shop", 3000, **facts)
    ways: dict[str, dict[str, Any]] = {
        "offers": {"offers": [Offer(part.id, "shop", 1000, **facts) for part in parts]},
        "bundle": {"offers": [], "bundles": [bundle]},
    }
    return lambda way: {"coolers": (), **ways[way]}


LEVERS: dict[str, list[Any]] = {
    # Ordered today, on the way for the seller's days; "until" a day includes it (common practice).
    "buying.arrival": [
        lever(
            0,
            20,
            lambda n, way=way: make_problem(  # type: ignore[misc]
                brief=Brief(budget=RICH, need_by=_in_days(10)),
                sellers=[replace(SELLER, delivery_days=3)],
                **_one_way(available_on=_in_days(n))(way),
            ),
        )
        for way in ("offers", "bundle")
    ],
    "buying.valid": [
        lever(-9, 9, lambda n, way=way: make_problem(**_one_way(valid_until=_in_days(n))(way)))  # type: ignore[misc]
        for way in ("offers", "bundle")
    ],
    "buying.budget": [
        lever(0, 20000, lambda n: make_problem(brief=Brief(budget=f"{n // 100}.{n % 100:02d}"))),
        lever(
            0,
            20000,
            lambda n: make_problem(
                brief=Brief(budget=f"{n // 100}.{n % 100:02d}"),
                sellers=[replace(SELLER, delivery=490, free_from=2500)],
            ),
        ),
    ],
    "buying.minimums": [
        lever(1, 64, lambda n: make_problem(brief=Brief(budget=RICH, min_memory_gb=n)), exact=False),
        lever(
            1000,
            9000,
            lambda n: make_problem(brief=Brief(budget=RICH, min_speedup=f"{n / 1000:.3f}")),
            exact=False,
        ),
    ],
    "buying.order": [
        lever(0, 20000, lambda n: make_problem(sellers=[replace(SELLER, minimum_order=n)])),
    ],
    "buying.stock": [
        lever(
            0,
            9,
            lambda n: make_problem(
                coolers=(),
                offers=[Offer(p.id, "shop", 1000, n if p is KIT else None) for p in (BOARD, CPU, KIT)],
            ),
            picked={"memory": "kit-a*2"},
        ),
    ],
    "fit.bays": [
        lever(
            0,
            6,
            lambda n: make_problem(
                make_survey(
                    drives=(
                        SYSTEM_DRIVE,
                        *(Drive(name=f"disk {i}", kind="hdd35", interface="sata") for i in range(3)),
                    )
                ),
                Brief(budget=RICH, replace=("case",)),
                cases=[replace(CASE, id="case-n", name="new case", bays_525=0, bays_35=n, bays_25=4)],
                coolers=[],
            ),
            picked={"case": "case-n"},
            exact=False,
        ),
    ],
    "fit.cards": [
        lever(0, 3, lambda n: board(make_survey(cards=(NETWORK,)))(slots=(Slot("x1", 1),) * n), exact=False),
        lever(
            100,
            400,
            lambda n: make_problem(
                make_survey(
                    cards=(replace_card(GRAPHICS, length_mm=n),), case=replace(CASE, max_card_length_mm=280)
                )
            ),
            exact=False,
        ),
        # A card that is bought: its length, and a gap of openings for its width.
        lever(
            100,
            400,
            lambda n: on_sale(in_case(max_card_length_mm=230), length_mm=n),
            picked=WITH_CARD,
            exact=False,
        ),
        lever(
            0,
            4,
            lambda n: on_sale(in_case(slot_openings=n), width_slots=2),
            picked=WITH_CARD,
            exact=False,
        ),
    ],
    "fit.cooler_height": [
        lever(
            30,
            300,
            lambda n: make_problem(TALL, coolers=[replace(COOLER, height_mm=n)], cpus=[TRAY]),
            picked=WITH_COOLER,
        )
        for TRAY, WITH_COOLER in ((replace(CPU, boxed_cooler=False), {"cooler": "cooler-a"}),)
    ]
    + [
        # the maker's cooler in a low case: of a stated height, and of the least that one has (a setting)
        lever(
            20,
            90,
            lambda n: make_problem(in_case(max_cooler_height_mm=51), cpus=[replace(CPU, boxed_cooler_mm=n)]),
            picked={"cooler": "boxed-cooler"},
        ),
        lever(
            20,
            90,
            lambda n: make_problem(in_case(max_cooler_height_mm=n)),
            exact=False,  # how high it is, is not known
            picked={"cooler": "boxed-cooler"},
        ),
    ],
    "fit.cooler_power": [
        lever(
            10,
            300,
            lambda n: make_problem(TALL, coolers=[replace(COOLER, rated_w=n)], cpus=[TRAY]),
            picked=WITH_COOLER,
        )
        for TRAY, WITH_COOLER in ((replace(CPU, boxed_cooler=False), {"cooler": "cooler-a"}),)
    ],
    "fit.holes": [
        lever(
            0,
            8,
            lambda n: make_problem(
                make_survey(
                    case=replace(
                        CASE, standoffs=tuple("BCFHJLMR")[:n], standoff_positions=tuple("BCFHJLMR")[:n]
                    )
                )
            ),
        ),
    ],
    "fit.outline": [
        lever(100, 400, lambda n: board()(depth_mm=n)),
        lever(100, 400, lambda n: board()(width_mm=n)),
    ],
    "memory.capacity": [lever(1 * GIB, 64 * GIB, lambda n: board()(memory_max_mib=n))],
    "memory.module_capacity": [lever(1 * GIB, 64 * GIB, lambda n: board()(memory_max_module_mib=n))],
    "memory.organisation": [
        lever(
            256,
            16384,
            lambda n: board(tables={"memory": [replace(KIT, chips=8)]})(memory_max_chip_mbit=n),
        )
    ],
    "memory.voltage": [
        lever(
            1000,
            1300,
            lambda n: board(tables={"memory": [replace(KIT, voltage_mv=n)]})(memory_voltage_mv=1100),
        )
    ],
    "memory.slots": [lever(0, 8, lambda n: board()(memory_slots=n))],
    "storage.capacity": [
        lever(
            1,
            1000,
            lambda n: make_problem(
                make_survey(
                    drives=(SYSTEM_DRIVE.model_copy(update={"used_gb": n}),),
                    os=SYSTEM.model_copy(update={"family": "desktop-2015"}),
                ),
                Brief(budget="10000.00", replace=("drive",)),
                drives=[
                    DrivePart(
                        "drive-a", "Drive A", kind="ssd", interface="sata", read_mbs=500, capacity_gb=480
                    )
                ],
            ),
            picked={"drive": "drive-a"},
        ),
    ],
    "os.disk": [
        lever(
            1,
            500,
            lambda n: make_problem(
                make_survey(
                    drives=(SYSTEM_DRIVE.model_copy(update={"capacity_gb": n}),),
                    os=SYSTEM.model_copy(update={"family": "desktop-2015"}),
                ),
                Brief(budget="10000.00", os="desktop-2021"),
            ),
        ),
    ],
    "os.memory": [
        lever(
            64,
            8 * GIB,
            lambda n: make_problem(make_survey(os=SYSTEM), memory=[replace(KIT, modules=1, module_mib=n)]),
        ),
    ],
    "picture.displays": [
        lever(
            640,
            12000,  # slower rates carry more than 9000 pixels
            lambda n: make_problem(
                make_survey(
                    displays=(
                        Display(
                            name="m",
                            inputs=("hdmi-1.4",),
                            width_px=n,
                            height_px=1080,
                            refresh_hz=60,
                            required=True,
                        ),
                    )
                )
            ),
            exact=False,
        ),
        lever(
            640,
            9000,
            lambda n: make_problem(
                make_survey(
                    displays=(
                        Display(
                            name="m",
                            inputs=("vga",),
                            width_px=n,
                            height_px=1080,
                            refresh_hz=60,
                            required=True,
                        ),
                    )
                )
            ),
            exact=False,
        ),
        # Pictures at once: of a bought card, of the processor.
        lever(
            0,
            4,
            lambda n: on_sale(
                make_survey(displays=SCREENS), outputs=("hdmi-1.4", "hdmi-1.4", "hdmi-1.4"), max_displays=n
            ),
            picked=WITH_CARD,
            exact=False,
        ),
        lever(
            0,
            4,
            lambda n: make_problem(
                make_survey(displays=SCREENS),
                boards=[replace(BOARD, outputs=("hdmi-1.4",) * 3)],
                cpus=[replace(CPU, max_displays=n)],
            ),
            exact=False,
        ),
    ],
    "platform.power": [
        lever(10, 400, lambda n: board()(cpu_power_limit_w=n)),
        lever(10, 400, lambda n: make_problem(cpus=[replace(CPU, tdp_w=n)])),
    ],
    "ports.devices": [
        lever(0, 6, lambda n: board(make_survey(devices=ports("ps2", 2)))(ps2_ports=n)),
        lever(0, 9, lambda n: board(make_survey(devices=ports("usb", 4)))(usb_rear_ports=n)),
        lever(
            0,
            6,
            lambda n: board(make_survey(devices=ports("serial", 2)), tables={"extras": [SERIAL]})(
                serial_ports=1, serial_headers=n
            ),
        ),
    ],
    "power.card_plugs": [
        lever(
            0,
            3,
            lambda n: make_problem(make_survey(cards=(GRAPHICS,), psu=replace(PSU, card_plugs=("6",) * n))),
        ),
        lever(
            0,
            3,
            lambda n: on_sale(
                make_survey(psu=replace(PSU, card_plugs=("8",) * n)), power_plugs=("8", "8"), load_mw=200000
            ),
            picked=WITH_CARD,
        ),
    ],
    "power.cpu_current": [
        lever(20, 600, lambda n: make_problem(cpus=[replace(CPU, power_limit_w=n)]), exact=False),
    ],
    "power.drive_plugs": [
        lever(0, 9, lambda n: make_problem(make_survey(drives=disks(3), psu=replace(PSU, sata_plugs=n)))),
        lever(
            0,
            9,
            lambda n: make_problem(
                make_survey(drives=disks(3), psu=replace(PSU, sata_plugs=n, peripheral_plugs=0)),
                extras=[SPLITTER],
            ),
            exact=False,
        ),
    ],
    "power.main_plug": [
        lever(
            1000,
            300000,
            lambda n: make_problem(
                make_survey(
                    cards=(replace_card(GRAPHICS, load_mw=n, power_plugs=()),),
                    psu=replace(PSU, main_plug="20"),
                    board=replace(OLD_BOARD, main_plug=None),  # today's contacts prove nothing
                )
            ),
            exact=False,
        ),
    ],
    "power.leads": [
        lever(
            1000,
            20000,
            lambda n, count=count: make_problem(  # type: ignore[misc]
                make_survey(drives=disks(count, start_12v_ma=n)),
                Brief(budget=RICH, replace=("psu",)),
                psus=[replace(PSU, id="psu-new", sata_leads=1)],
            ),
            exact=False,
            picked={"psu": "psu-new"},
        )
        for count in (1, 2)  # the least that can be too much for a lead is two drives: the SSD and a disk
    ],
    "power.rail_12v": [lever(1000, 60000, lambda n: psu(rail_12v_ma=(n,), combined_12v_ma=n), exact=False)],
    "power.rails_12v": [
        lever(
            1000,
            60000,
            lambda n: make_problem(
                brief=Brief(budget=RICH, replace=("psu",)),
                psus=[replace(PSU, id="psu-new", rail_12v_ma=(n, n))],
            ),
            exact=False,
            picked={"psu": "psu-new"},
        ),
    ],
    "power.rails_low": [
        lever(1, 60000, lambda n: psu(rail_5v_ma=n), exact=False),
        lever(1, 60000, lambda n: psu(rail_3v3_ma=n), exact=False),
        lever(1, 200000, lambda n: psu(combined_5v_3v3_mw=n), exact=False),
    ],
    "power.standby": [lever(1, 60000, lambda n: psu(rail_5vsb_ma=n), exact=False)],
    "power.startup": [
        lever(
            100,
            60000,
            lambda n: make_problem(make_survey(drives=disks(1, start_12v_ma=n))),
            exact=False,
        ),
    ],
    "power.total": [
        lever(1000, 600000, lambda n: board()(load_mw=n), exact=False),
        lever(10, 900, lambda n: psu(rated_w=n), exact=False),
        lever(
            10000,
            400000,
            lambda n: on_sale(
                make_survey(psu=replace(PSU, card_plugs=("8", "8"))), power_plugs=("8", "8"), load_mw=n
            ),
            picked=WITH_CARD,
            exact=False,
        ),
    ],
    "storage.floppy": [
        lever(
            0,
            3,
            lambda n: board(
                make_survey(drives=(SYSTEM_DRIVE, Drive(name="floppy", kind="floppy", interface="floppy")))
            )(floppy_headers=n),
        ),
    ],
    "storage.m2": [
        lever(
            30,
            110,
            lambda n: make_problem(
                make_survey(),
                Brief(budget=RICH, replace=("drive",)),
                boards=[replace(BOARD, m2_slots=(M2Socket("m", n, ("nvme",), 3, 4, 0, 0),))],
                drives=[M2],
            ),
            exact=False,
            picked={"drive": "drive-0"},
        ),
        lever(
            0,
            3,
            lambda n: make_problem(
                make_survey(),
                Brief(budget=RICH, replace=("drive",)),
                boards=[replace(BOARD, m2_slots=(M2Socket("m", 80, ("nvme",), 3, 4, 0, 0),) * n)],
                drives=[M2],
            ),
            picked={"drive": "drive-0"},
        ),
    ],
    "storage.pata": [
        lever(
            0,
            3,
            lambda n: board(make_survey(drives=disks(2, interface="pata")))(pata_channels=n),
            exact=False,
        ),
    ],
    "storage.sata": [
        lever(0, 6, lambda n: board(make_survey(drives=disks(3)))(sata_6g_ports=n)),
        # A controller card of two ports makes up for two that are missing, and not for three.
        lever(
            0,
            6,
            lambda n: board(make_survey(drives=disks(3)), tables={"extras": [SATA_CARD]})(sata_6g_ports=n),
        ),
        lever(
            0,
            6,
            lambda n: board(make_survey(drives=disks(3)), tables={"extras": [replace(SATA_CARD, count=n)]})(
                sata_6g_ports=2
            ),
        ),
    ],
}


# Where the edge lies, by hand from the facts of the base parts (tests/support.py): a board 244 mm wide and
# deep, a kit of two modules of 4 GiB, 65 and 80 W, three disks beside the SSD, three parts for 30.03 ...
EDGES = {
    "buying.arrival-0": 7,
    "buying.arrival-1": 7,
    "buying.valid-0": 0,
    "buying.valid-1": 0,
    "buying.budget-0": 3003,
    "buying.budget-1": 3003,
    "buying.minimums-0": 8,
    "buying.order-0": 3003,
    "buying.stock-0": 2,
    "fit.cards-0": 1,
    "fit.cards-1": 280,
    "fit.cards-2": 230,
    "fit.cards-3": 2,
    "fit.cooler_height-0": 150,
    "fit.cooler_height-1": 51,
    "fit.cooler_height-2": 40,
    "fit.cooler_power-0": 65,
    "fit.holes-0": 4,
    "fit.outline-0": 244,
    "fit.outline-1": 244,
    "memory.capacity-0": 8192,
    "memory.module_capacity-0": 4096,
    "memory.organisation-0": 4096,
    "memory.slots-0": 2,
    "memory.voltage-0": 1100,
    "platform.power-0": 65,
    "platform.power-1": 150,
    "ports.devices-0": 2,
    "ports.devices-1": 2,
    "ports.devices-2": 1,
    "picture.displays-2": 3,
    "picture.displays-3": 3,
    "power.card_plugs-0": 1,
    "power.card_plugs-1": 2,
    "power.drive_plugs-0": 4,
    "storage.capacity-0": 480,
    "storage.floppy-0": 1,
    "storage.m2-0": 80,
    "storage.m2-1": 1,
    "storage.pata-0": 1,
    "storage.sata-0": 4,
    "storage.sata-1": 2,
    "storage.sata-2": 2,
}


def replace_card(card: Card, **facts: Any) -> Card:
    return card.model_copy(update=facts)


def edge_of(rule: Any, chosen: Any) -> tuple[int, int]:
    """The last number that the plain predicate admits, and the first one beyond it: by bisection."""

    def admits(number: int) -> bool:
        problem = chosen.world(number)
        return admitted(rule, problem, pick(problem, **chosen.picked))

    low, high = chosen.low, chosen.high
    at_low = admits(low)
    assert at_low != admits(high), "one end of a lever is admitted, the other refused"
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if admits(middle) == at_low else (low, middle)
    return (low, high) if at_low else (high, low)


CASES = [
    pytest.param(rule, chosen, id=f"{rule.ID}-{number}")
    for rule in all_rules()
    for number, chosen in enumerate(LEVERS.get(rule.ID, ()))
]


@pytest.mark.parametrize("rule, chosen", CASES)
def test_both_statements_agree_at_the_edge(rule: Any, chosen: Any, request: pytest.FixtureRequest) -> None:
    inside, outside = edge_of(rule, chosen)
    assert inside == EDGES.get(request.node.callspec.id, inside)
    beyond = 2 * inside - outside
    counts = {
        number: agree(rule, chosen.world(number))
        for number in sorted({inside, outside, beyond})
        if chosen.low <= number <= chosen.high
    }
    # Both verdicts are met, and the step beyond the edge refuses something that the edge admits.
    assert counts[inside][0] > counts[outside][0] and counts[outside][1] > counts[inside][1], counts
    if chosen.exact:
        margins = [
            min(f.margin for f in findings(rule, p, pick(p, **chosen.picked)) if f.margin is not None)
            for p in (chosen.world(inside),)
        ]
        assert margins == [0], "the last that is admitted has nothing to spare"


def test_every_rule_with_a_number_has_a_lever() -> None:
    """A rule that compares numbers uses one of these functions: none of them is left out here."""
    comparing = {"at_most", "at_least", "within", "supplied"}
    numbered = {
        rule.ID
        for rule in all_rules()
        if rule.REFUSES and comparing & set(vars(inspect.getmodule(rule.admits)))
    }
    by_day = {"buying.arrival", "buying.valid"}
    assert numbered | by_day == LEVERS.keys()
