"""Ports for devices, by hand on tiny assemblies: own ports, then brackets, then leads from USB (module docstring)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, CASE, make_problem, make_survey

from partsolver.assembly.device_ports import (
    Front,
    Service,
    Sockets,
    Wish,
    front_of,
    front_usb_ports,
    required_devices,
    serve,
    sockets_of,
)
from partsolver.catalog.records import Extra
from partsolver.problem.problem import Problem
from partsolver.survey.model import Device, Drive
from partsolver.wishes.brief import Brief

PLAIN = Sockets(
    ps2_ports=0,
    serial_ports=0,
    serial_headers=0,
    parallel_ports=0,
    parallel_headers=0,
    usb_rear_ports=4,
    usb2_headers=0,
    usb3_headers=0,
    usb_e_headers=0,
    floppy_headers=0,
)
FRONT = Front(slot_height="full", front_usb2_plugs=0, front_usb3_plugs=0, front_usb_e_plugs=0)


def extra(name: str, kind: str, port: str, count: int = 1, low: bool = False) -> Extra:
    return Extra(name, name, kind=kind, takes=("usb",), gives=(port,), count=count, low_profile=low)


BRACKET = extra("bracket", "serial-bracket", "serial")
LOW_BRACKET = extra("low-bracket", "serial-bracket", "serial", low=True)
LEAD = extra("lead", "usb-serial", "serial")
FOUR = extra("lead-four", "usb-serial", "serial", 4)
PS2_LEAD = extra("ps2-lead", "usb-ps2", "ps2", 2)
HUB = extra("hub", "usb-hub", "usb", 4)


def devices(port: str, number: int = 1, **facts: Any) -> tuple[Device, ...]:
    return tuple(Device(name=f"{port} {n}", port=port, **facts) for n in range(number))  # type: ignore[arg-type]


def pc(listed: tuple[Device, ...], *extras: Extra, drives: tuple[Drive, ...] = ()) -> Problem:
    return make_problem(make_survey(devices=listed, drives=drives), Brief(), extras=extras)


def served(problem: Problem, front: Front = FRONT, **sockets: int | None) -> Service:
    return serve(problem, PLAIN._replace(**sockets), front)


def test_facts_of_board_and_case() -> None:
    board = replace(BOARD, ps2_ports=2, serial_headers=1, usb_rear_ports=6, floppy_headers=0)
    assert sockets_of(board) == Sockets(2, 0, 1, 0, 0, 6, 2, 1, 0, 0)
    assert front_of(replace(CASE, front_usb2_plugs=2)) == Front("full", 2, 0, 0)


@pytest.mark.parametrize(
    ("plugs", "headers", "ports", "missing"),
    [
        ((1, 0, 0), (2, 0, 0), 2, None),  # two ports behind a plug of nine contacts
        ((3, 0, 0), (2, 0, 0), 4, None),
        ((0, 1, 0), (0, 1, 0), 2, None),  # and of nineteen
        ((0, 0, 2), (0, 0, 1), 1, None),  # one Type-C
        ((1, 1, 1), (1, 1, 1), 5, None),
        ((1, 0, 0), (0, 1, 0), 0, None),  # another kind of header
        ((None, 1, 0), (1, 1, 0), 2, "case.front_usb2_plugs"),
        ((None, 1, 0), (0, 1, 0), 2, None),  # whatever is there, it finds no header
        ((0, 1, 0), (None, 1, 0), 2, None),
        ((1, 1, 0), (None, 1, 0), 2, "board.usb2_headers"),
        ((1, 1, None), (None, None, 1), 0, "board.usb2_headers"),  # the first that is missing
        ((None, 0, 0), (None, 0, 0), 0, "case.front_usb2_plugs"),
        ((0, 0, None), (0, 0, None), 0, "case.front_usb_e_plugs"),
    ],
)
def test_usb_ports_in_front(
    plugs: tuple[int | None, ...], headers: tuple[int | None, ...], ports: int, missing: str | None
) -> None:
    two, three, e = headers
    sockets = PLAIN._replace(usb2_headers=two, usb3_headers=three, usb_e_headers=e)
    assert front_usb_ports(sockets, Front("full", *plugs)) == (ports, missing)  # type: ignore[arg-type]


def test_devices_that_are_needed() -> None:
    listed = (*devices("serial", 2), *devices("serial", 1, required=False), *devices("usb"))
    problem = pc(listed)
    assert len(required_devices(problem, "serial")) == 2
    assert len(required_devices(problem, "usb")) == 1 and required_devices(problem, "ps2") == ()


BRACKET_WISH = Wish("serial-bracket", "serial-bracket", "serial", (("bracket", 1),), 1, False)
LEAD_WISH = Wish("usb-serial", "usb-serial", "serial", (("lead", 1),), 1, True)


@pytest.mark.parametrize(
    ("number", "extras", "sockets", "wishes", "uncured", "unknown"),
    [
        (1, (BRACKET, LEAD), {"serial_ports": 1}, (), (), ()),
        (1, (BRACKET, LEAD), {"serial_headers": 1}, (BRACKET_WISH,), (), ()),
        (1, (BRACKET, LEAD), {}, (LEAD_WISH,), (), ()),
        (1, (LEAD,), {"serial_headers": 1}, (LEAD_WISH,), (), ()),
        (1, (BRACKET,), {}, (), (("serial", "usb-serial", 1),), ()),
        (2, (BRACKET, LEAD), {"serial_headers": 1}, (BRACKET_WISH, LEAD_WISH), (), ()),
        (3, (BRACKET, LEAD), {"serial_headers": 1, "serial_ports": 1}, (BRACKET_WISH, LEAD_WISH), (), ()),
        (2, (BRACKET,), {"serial_headers": 1}, (BRACKET_WISH,), (("serial", "usb-serial", 1),), ()),
        (2, (BRACKET,), {"serial_headers": 2}, "two brackets", (), ()),
        (1, (BRACKET,), {"serial_headers": 2}, (BRACKET_WISH,), (), ()),
        (2, (), {}, (), (("serial", "usb-serial", 2),), ()),
        (1, (BRACKET, LEAD), {"serial_ports": None}, (), (), (("serial", "serial_ports"),)),
        (1, (BRACKET, LEAD), {"serial_headers": None}, (), (), (("serial", "serial_headers"),)),
        (1, (BRACKET, LEAD), {"serial_ports": 1, "serial_headers": None}, (), (), ()),
    ],
)
def test_serial_devices(
    number: int, extras: Any, sockets: Any, wishes: Any, uncured: Any, unknown: Any
) -> None:
    if wishes == "two brackets":
        wishes = (Wish("serial-bracket", "serial-bracket", "serial", (("bracket", 2),), 2, False),)
    found = served(pc(devices("serial", number), *extras), **sockets)
    assert (found.wishes, found.uncured, found.unknown) == (wishes, uncured, unknown)
    if sockets.get("serial_ports", 0) is not None:
        assert found.own == (("serial", sockets.get("serial_ports", 0), number),)
    else:
        assert found.own == ()


def test_low_openings_want_low_brackets() -> None:
    problem = pc(devices("serial"), BRACKET, LOW_BRACKET)
    for height, options in (
        ("low", (("low-bracket", 1),)),
        ("full", (("bracket", 1), ("low-bracket", 1))),
        (None, (("bracket", 1), ("low-bracket", 1))),
    ):
        found = served(problem, FRONT._replace(slot_height=height), serial_headers=1)
        assert [wish.options for wish in found.wishes] == [options]


def test_programs_that_write_to_the_address_get_real_ports_first() -> None:
    """No USB port has that address (reference case B27)."""
    listed = (*devices("serial", 1, direct_hardware_access=True), *devices("serial", 1))
    found = served(pc(listed, LEAD), serial_ports=1)
    assert (found.wishes, found.uncured) == ((LEAD_WISH,), ())
    found = served(pc(listed, LEAD))
    assert (found.wishes, found.uncured) == ((LEAD_WISH,), (("serial", "usb-serial", 1),))
    found = served(pc(listed, LEAD, BRACKET), serial_headers=1)
    assert (found.wishes, found.uncured) == ((BRACKET_WISH, LEAD_WISH), ())
    found = served(pc(listed))
    assert (found.wishes, found.uncured) == ((), (("serial", "usb-serial", 2),))
    both = devices("serial", 2, direct_hardware_access=True)
    found = served(pc(both, LEAD))
    assert (found.wishes, found.uncured) == ((), (("serial", "usb-serial", 2),))


def test_keyboards_have_no_brackets_and_no_address() -> None:
    listed = devices("ps2", 2, direct_hardware_access=True)
    found = served(pc(listed, PS2_LEAD), ps2_ports=0)
    assert found.wishes == (Wish("usb-ps2", "usb-ps2", "ps2", (("ps2-lead", 1),), 2, True),)
    assert (found.uncured, found.own) == ((), (("ps2", 0, 2),))
    found = served(pc(listed, PS2_LEAD), ps2_ports=1)
    assert found.wishes == (Wish("usb-ps2", "usb-ps2", "ps2", (("ps2-lead", 1),), 1, True),)
    assert served(pc(listed, PS2_LEAD), ps2_ports=2).wishes == ()
    assert served(pc(()), ps2_ports=None) == Service((), (), (), (), 0, 0, 4, None)


def test_several_leads_and_a_pack_of_four() -> None:
    """Five wanted: five single leads or two of four. On four USB ports only the two find room."""
    problem = pc(devices("serial", 5), LEAD, FOUR)
    wide = served(problem, usb_rear_ports=5)
    assert [wish.options for wish in wide.wishes] == [(("lead", 5), ("lead-four", 2))]
    assert (wide.usb_wanted, wide.usb_least, wide.usb_have) == (0, 2, 5)
    assert [wish.options for wish in served(problem, usb_rear_ports=9).wishes] == [
        (("lead", 5), ("lead-four", 2))
    ]
    narrow = served(problem, usb_rear_ports=4)
    assert [wish.options for wish in narrow.wishes] == [(("lead-four", 2),)]
    assert not narrow.usb_short


def test_scarce_usb_ports_leave_brackets_as_they_are() -> None:
    """Two brackets to choose from; of the leads for the one that is left only the fewest count."""
    pair = extra("bracket-pair", "serial-bracket", "serial", 2)
    problem = pc((*devices("serial", 4), *devices("usb", 1)), BRACKET, pair, LEAD, FOUR)
    found = served(problem, serial_headers=2, usb_rear_ports=2)
    assert [wish.options for wish in found.wishes] == [
        (("bracket", 2), ("bracket-pair", 1)),
        (("lead-four", 1),),
    ]


def test_usb_ports_that_are_known_to_be_too_few() -> None:
    for number, short in ((4, False), (5, True)):
        found = served(pc(devices("usb", number)))
        assert (found.usb_wanted, found.usb_have, found.usb_short) == (number, 4, short)
    open_front = Front("full", None, 0, 0)
    found = served(pc(devices("usb", 5)), open_front, usb2_headers=1)
    assert (found.usb_missing, found.usb_short) == ("case.front_usb2_plugs", False)
    found = served(pc(devices("usb", 5)), usb_rear_ports=None)
    assert (found.usb_have, found.unknown, found.usb_short) == (None, (("usb", "usb_rear_ports"),), False)
    assert served(pc(()), usb_rear_ports=None).unknown == ()
    with_lead = served(pc(devices("serial"), LEAD), usb_rear_ports=None)
    assert with_lead.unknown == (("usb", "usb_rear_ports"),)
    # The port that a lead takes counts too.
    listed = (*devices("usb", 4), *devices("serial"))
    assert served(pc(listed, LEAD)).usb_short
    assert not served(pc(listed, LEAD), usb_rear_ports=5).usb_short


def test_storage_takes_usb_ports() -> None:
    stick = Drive(name="stick", kind="ssd", interface="usb")
    found = served(pc(devices("usb", 1), drives=(stick,)))
    assert found.usb_wanted == 2


@pytest.mark.parametrize(
    ("wanted", "have", "extras", "options", "ports"),
    [
        (4, 4, (HUB,), None, 0),
        (5, 4, (HUB,), (("hub", 1),), 1),  # one hub of four takes a port and gives four
        (7, 4, (HUB,), (("hub", 1),), 3),
        (8, 4, (HUB,), (("hub", 2),), 4),
        (16, 4, (HUB,), (("hub", 4),), 12),
        (17, 4, (HUB,), None, 0),  # no port is left for a fifth hub
        (2, 1, (HUB,), (("hub", 1),), 1),
        (1, 0, (HUB,), None, 0),  # nothing to hang it on
        (5, 4, (), None, 0),
        (5, 4, (extra("single", "usb-hub", "usb", 1),), None, 0),  # gives no more than it takes
        (6, 4, (extra("pair", "usb-hub", "usb", 2), HUB), (("hub", 1), ("pair", 2)), 2),
    ],
)
def test_hubs(wanted: int, have: int, extras: Any, options: Any, ports: int) -> None:
    found = served(pc(devices("usb", wanted), *extras), usb_rear_ports=have)
    if options is None:
        assert found.wishes == () and found.usb_have == have
    else:
        assert found.wishes == (Wish("usb-hub", "usb-hub", "usb", options, ports, False),)
        assert (found.usb_have, found.usb_short) == (wanted, False)


def test_a_hub_beside_a_lead() -> None:
    """Four devices and a lead at four ports: the lead's port counts among those that are served."""
    problem = pc((*devices("usb", 4), *devices("serial")), LEAD, HUB)
    found = served(problem)
    assert [wish.kind for wish in found.wishes] == ["usb-serial", "usb-hub"]
    assert (found.usb_wanted, found.usb_least, found.usb_have, found.usb_short) == (4, 1, 5, False)
    assert found.wishes[1].ports == 1
    assert [w.kind for w in served(pc(devices("usb", 2), HUB), usb_rear_ports=3).wishes] == []


def test_no_hub_where_ports_may_be_there() -> None:
    open_front = Front("full", None, 0, 0)
    found = served(pc(devices("usb", 5), HUB), open_front, usb2_headers=1)
    assert found.wishes == () and found.usb_missing == "case.front_usb2_plugs"
    assert served(pc(devices("usb", 5), HUB), usb_rear_ports=None).wishes == ()
