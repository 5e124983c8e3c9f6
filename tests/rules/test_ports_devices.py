"""ports.devices. Outside: programs that write to the port's address need a real port (case B27); a lead takes
one USB port (common practice); counted by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from needs_check import same_needs
from support import (
    BOARD,
    CASE,
    GRAPHICS,
    OLD_BOARD,
    agree,
    findings,
    make_problem,
    make_survey,
    needs_of,
    pick,
    plain_draft,
)

from partsolver.assembly.bought_devices import pieces_bought
from partsolver.catalog.records import Extra
from partsolver.plan.draft import Draft
from partsolver.report.words.ports import WORDS
from partsolver.report.words.record import Names
from partsolver.rules import ports_devices as rule
from partsolver.survey.model import Card, Device
from partsolver.wishes.brief import Brief

PS2 = Extra(id="lead-ps2", name="lead", kind="usb-ps2", takes=("usb",), gives=("ps2",), count=2)
PS2_ONE = Extra(id="lead-ps2-1", name="lead", kind="usb-ps2", takes=("usb",), gives=("ps2",), count=1)
SERIAL = Extra(id="lead-serial", name="lead", kind="usb-serial", takes=("usb",), gives=("serial",))
BRACKET = Extra(id="bracket", name="bracket", kind="serial-bracket", gives=("serial",))
PARALLEL = Extra(id="lead-parallel", name="lead", kind="usb-parallel", takes=("usb",), gives=("parallel",))
ALL = (PS2, SERIAL, BRACKET, PARALLEL)


def _devices(*ports, direct=False, required=True):
    return tuple(
        Device(name=f"{port} {i}", port=port, required=required, direct_hardware_access=direct)
        for i, port in enumerate(ports)
    )


BARE = replace(CASE, front_usb2_plugs=0)
HUB = Extra(id="hub", name="hub", kind="usb-hub", takes=("usb",), gives=("usb",), count=4)


def _problem(devices, extras=ALL, case=BARE, **board):
    return make_problem(
        make_survey(devices=devices, case=case), boards=[replace(BOARD, **board)], extras=extras, coolers=()
    )


def _bought(problem):
    draft = plain_draft(rule, problem, pick(problem))
    return [(line.item, line.quantity) for line in draft.lines if line.need is not None]


@pytest.mark.parametrize(
    ("devices", "board", "bought"),
    [
        (_devices("ps2"), {}, []),
        (_devices("ps2", "ps2"), {}, [("lead-ps2", 1)]),
        (_devices("ps2", "ps2", "ps2"), {"ps2_ports": 0}, [("lead-ps2", 2)]),
        (_devices("serial"), {"serial_ports": 1}, []),
        (_devices("serial"), {}, [("bracket", 1)]),
        (_devices("serial", "serial"), {}, [("bracket", 1), ("lead-serial", 1)]),
        (_devices("serial"), {"serial_headers": 0}, [("lead-serial", 1)]),
        (_devices("parallel"), {}, [("lead-parallel", 1)]),
        (_devices("parallel"), {"parallel_ports": 1}, []),
        (_devices(*["usb"] * 6), {}, []),
    ],
)
def test_order_of_cures(devices, board, bought):
    problem = _problem(devices, **board)
    assert _bought(problem) == bought
    assert all(f.verdict == "fits" for f in findings(rule, problem))


def test_facts_exactly():
    port, usb = findings(rule, _problem(_devices("ps2", "ps2")))
    assert (port.value, port.limit, port.margin, port.unit) == (2, 2, 0, "ports")
    assert (port.parts, port.facts) == (("board-a", "lead-ps2"), (("added", 1), ("port", "ps2")))
    assert (usb.value, usb.limit, usb.facts) == (6, 1, (("leads", 1), ("port", "usb")))


@pytest.mark.parametrize(
    ("devices", "board", "extras"),
    [
        (_devices("ps2", "ps2"), {}, ()),
        (_devices("serial", direct=True), {"serial_headers": 0}, ALL),
        (_devices("serial", "serial", direct=True), {}, ALL),
        (_devices("parallel", direct=True), {}, ALL),
        (_devices(*["usb"] * 7), {}, ALL),
        (_devices("ps2", "ps2", *["usb"] * 6), {}, ALL),
    ],
)
def test_uncurable(devices, board, extras):
    problem = _problem(devices, extras, **board)
    assert any(f.verdict == "fails" and f.margin < 0 for f in findings(rule, problem))
    assert agree(rule, problem)[1] > 0


def test_what_is_missing_is_missing_in_every_case():
    """Two PS/2 devices, one socket, no lead on sale: neither the case that stays nor another one helps."""
    problem = make_problem(
        make_survey(devices=_devices("ps2", "ps2"), case=BARE),
        Brief(budget="10000.00", replace=("case",)),
        cases=[
            replace(CASE, id="case-n", front_usb2_plugs=1),
            replace(CASE, id="case-m", front_usb2_plugs=2),
        ],
        cpus=[],
        memory=[],
        coolers=[],
    )
    for case in ("kept-case", "case-n", "case-m"):
        assert any(not f.admits for f in findings(rule, problem, pick(problem, case=case)))
    agree(rule, problem)


def test_a_missing_real_port_names_the_device_that_needs_it():
    (found,) = [
        f
        for f in findings(rule, _problem(_devices("serial", direct=True), ALL, serial_headers=0))
        if f.verdict == "fails"
    ]
    assert found.fact("direct") == _devices("serial", direct=True)[0].name
    (found,) = [
        f for f in findings(rule, _problem(_devices("serial"), (), serial_headers=0)) if f.verdict == "fails"
    ]
    assert found.fact("direct") is None


def test_direct_access_gets_the_real_port():
    problem = _problem((*_devices("serial", direct=True), *_devices("serial")))
    assert _bought(problem) == [("bracket", 1), ("lead-serial", 1)]
    assert all(f.verdict == "fits" for f in findings(rule, problem))


def test_unknown_direct_access_is_a_question_only_for_leads():
    def asks(devices, **board):
        found = findings(rule, _problem(devices, **board))
        assert all(f.admits for f in found)
        return [f.question for f in found if f.question]

    assert asks(_devices("serial", direct=None)) == []  # the bracket serves it
    assert asks(_devices("serial", direct=None), serial_headers=0) == ["device.direct_hardware_access"]
    assert asks(_devices("parallel", direct=None)) == ["device.direct_hardware_access"]


@pytest.mark.parametrize(
    ("direct", "asked"),
    [
        ((None, False), None),  # the bracket's port goes to the one that may need it
        ((None, None), "serial 0"),  # one of the two may need the port that only one gets
        ((False, False), None),
        ((True, None), "serial 1"),
        ((None, True), "serial 0"),
    ],
)
def test_a_bracket_and_a_lead_for_two_serial_devices(direct, asked):
    """One real port behind the bracket, the other one by a lead from USB (case B27)."""
    devices = tuple(
        Device(name=f"serial {n}", port="serial", required=True, direct_hardware_access=known)
        for n, known in enumerate(direct)
    )
    problem = _problem(devices)
    assert _bought(problem) == [("bracket", 1), ("lead-serial", 1)]
    told = [
        f.fact("device") for f in findings(rule, problem) if f.question == "device.direct_hardware_access"
    ]
    assert told == ([] if asked is None else [asked])


def _told(problem, draft=None):
    """Of each finding the verdict, the two numbers, the parts and the facts."""
    found = findings(rule, problem) if draft is None else rule.admits(draft, problem)
    return [(f.verdict, f.value, f.limit, f.parts, dict(f.facts)) for f in found]


def test_each_port_counts_what_was_bought_for_it():
    board = ("board-a",)
    assert _told(_problem(_devices("ps2", "ps2", "serial"))) == [
        ("fits", 2, 2, (*board, "lead-ps2"), {"port": "ps2", "added": 1}),
        ("fits", 1, 1, (*board, "bracket"), {"port": "serial", "added": 1}),
        ("fits", 6, 1, board, {"port": "usb", "leads": 1}),
    ]
    # One that is not known hides no other.
    told = _told(_problem(_devices("ps2", "serial", "parallel"), (), ps2_ports=None, serial_ports=1))
    assert told == [
        ("fits", 1, 1, board, {"port": "serial"}),
        ("fails", 0, 1, board, {"port": "parallel"}),
        ("unknown", None, None, board, {"port": "ps2"}),
    ]
    assert _told(_problem(_devices("serial", "parallel"), (), serial_headers=None)) == [
        ("fails", 0, 1, board, {"port": "parallel"}),
        ("unknown", None, None, board, {"port": "serial"}),
    ]


@pytest.mark.parametrize(
    ("direct", "ports", "facts"),
    [
        (True, 1, {}),
        (True, 2, {}),
        (True, 0, {"direct": "serial 0"}),
        (False, 0, {}),
        (None, 0, {}),
    ],
)
def test_why_no_lead_helps_is_said_where_a_port_is_missing(direct, ports, facts):
    problem = _problem(_devices("serial", direct=direct), (), serial_ports=ports, serial_headers=0)
    ((verdict, value, limit, _, told),) = _told(problem)
    assert (verdict, value, limit) == ("fits" if ports else "fails", ports, 1)
    assert told == {"port": "serial", **facts}


@pytest.mark.parametrize(
    ("rear", "plugs", "devices", "have", "facts"),
    [
        (6, 1, 1, 8, {"front": 2}),
        (0, 1, 1, 2, {"front": 2}),
        (0, 1, 2, 2, {"front": 2}),
        (6, 0, 6, 6, {}),
        (1, 0, 0, None, {}),
    ],
)
def test_ports_in_front_are_told_apart(rear, plugs, devices, have, facts):
    """Two ports behind a 9-pin plug (standards/usb)."""
    case = replace(CASE, front_usb2_plugs=plugs)
    told = _told(_problem(_devices(*["usb"] * devices), (), case, usb_rear_ports=rear))
    assert told == ([] if have is None else [("fits", have, devices, ("board-a",), {"port": "usb", **facts})])


def test_a_hub_that_was_not_bought_gives_no_ports():
    problem = _problem(_devices("serial", *["usb"] * 9), (BRACKET, HUB))
    parts = pick(problem)
    told = _told(problem, Draft(parts, (), (), 0, 0))
    assert told == [
        ("fails", 0, 1, ("board-a",), {"port": "serial"}),
        ("fails", 6, 9, ("board-a",), {"port": "usb"}),
    ]
    assert _told(problem)[1] == ("fits", 9, 9, ("board-a", "hub"), {"port": "usb", "added": 1})


def test_the_present_board_has_what_hangs_on_it():
    """All of it is connected today, whatever was counted."""
    survey = make_survey(
        devices=_devices("ps2", "serial", "serial", "usb"),
        case=BARE,
        board=replace(OLD_BOARD, ps2_ports=2, serial_ports=1, usb_rear_ports=None),
    )
    problem = make_problem(survey)
    found = findings(rule, problem, problem.present())
    assert [(f.verdict, f.value, f.limit, f.parts, dict(f.facts)) for f in found] == [
        ("fits", 2, 1, ("kept-board",), {"port": "ps2", "today": "yes"}),
        ("fits", 2, 2, ("kept-board",), {"port": "serial", "today": "yes"}),
        ("fits", 1, 1, ("kept-board",), {"port": "usb", "today": "yes"}),
    ]


def test_keyboards_need_no_address():
    """PS/2 devices run on a lead from USB whatever their program does (common practice)."""
    found = findings(rule, _problem(_devices("ps2", "ps2", direct=None)))
    assert [f.question for f in found] == [None, None]


@pytest.mark.parametrize(
    ("port", "column"),
    [
        ("ps2", "ps2_ports"),
        ("serial", "serial_ports"),
        ("serial", "serial_headers"),
        ("usb", "usb_rear_ports"),
    ],
)
def test_unknown_ports(port, column):
    found = findings(rule, _problem(_devices(port), **{column: None}))
    assert f"board:board-a.{column}" in [f.question for f in found] and all(f.admits for f in found)


def test_ports_that_nobody_counted_are_asked_only_where_the_known_ones_do_not_do():
    case = replace(CASE, front_usb2_plugs=None)
    for devices, asked in ((1, []), (6, []), (7, ["case.front_usb2_plugs"])):
        found = findings(rule, _problem(_devices(*["usb"] * devices), (), case, usb_rear_ports=6))
        assert [f.question for f in found if f.question] == asked


def test_irrelevant():
    assert findings(rule, _problem(_devices("ps2", "ps2", "serial", required=False), ())) == ()
    problem = _problem(_devices("serial", "serial", *["usb"] * 9), ())
    assert all(f.verdict == "fits" for f in findings(rule, problem, problem.present()))
    assert needs_of(rule, problem.present(), problem) == ()
    (found,) = findings(rule, _problem((Device(name="box"),)))
    assert (found.verdict, found.question, found.facts) == ("unknown", "device.port", (("device", "box"),))


def test_low_openings_take_low_brackets_only():
    low = replace(CASE, slot_height="low")
    assert _bought(_problem(_devices("serial"), case=low)) == [("lead-serial", 1)]
    small = replace(BRACKET, id="bracket-low", low_profile=True)
    assert _bought(_problem(_devices("serial"), (*ALL, small), case=low)) == [("bracket-low", 1)]


def test_scarce_usb_ports_leave_the_leads_that_take_fewest():
    devices = _devices("ps2", "ps2", *["usb"] * 5)
    problem = _problem(devices, (PS2, PS2_ONE), ps2_ports=0)
    assert needs_of(rule, pick(problem), problem)[0].options == (("lead-ps2", 1),)
    problem = _problem(devices[:-1], (PS2, PS2_ONE), ps2_ports=0)
    assert needs_of(rule, pick(problem), problem)[0].options == (("lead-ps2", 1), ("lead-ps2-1", 2))


@pytest.mark.parametrize(
    ("devices", "plugs", "headers", "verdict", "value"),
    [
        (7, 1, 1, "fits", 8),  # six on the rear, two behind a 9-pin plug (standards/usb)
        (8, 1, 1, "fits", 8),
        (9, 1, 1, "fails", 8),
        (7, 1, 0, "fails", 6),  # no header for the plug
        (7, None, 1, "unknown", None),
        (7, None, 0, "fails", 6),
        (6, None, 1, "fits", 6),
    ],
)
def test_front_ports_count(devices, plugs, headers, verdict, value):
    case = replace(CASE, front_usb2_plugs=plugs)
    problem = _problem(_devices(*["usb"] * devices), (), case, usb2_headers=headers)
    (found,) = findings(rule, problem)
    assert (found.verdict, found.value) == (verdict, value)
    assert (found.question == "case.front_usb2_plugs") == (verdict == "unknown")
    assert (agree(rule, problem)[1] > 0) == (verdict == "fails")


@pytest.mark.parametrize(("devices", "hubs"), [(6, 0), (7, 1), (9, 1), (10, 2)])
def test_a_hub_makes_up_for_ports(devices, hubs):
    # A hub of four ports takes one and gives four: three more (common practice).
    problem = _problem(_devices(*["usb"] * devices), (HUB,))
    assert _bought(problem) == ([("hub", hubs)] if hubs else [])
    assert all(f.verdict == "fits" for f in findings(rule, problem))
    assert agree(rule, problem)[0] > 0


PORTS = st.lists(st.sampled_from(["ps2", "serial", "parallel", "usb"]), max_size=5)
COUNTS = st.sampled_from([None, 0, 1, 2])


@settings(max_examples=12, deadline=None)
@given(
    PORTS,
    st.sampled_from([True, False, None]),
    COUNTS,
    COUNTS,
    COUNTS,
    st.sampled_from([None, 1, 2, 6]),
    st.lists(st.sampled_from((*ALL, PS2_ONE)), unique_by=lambda e: e.id),
    st.booleans(),
)
def test_agreement_everywhere(ports, direct, ps2, serial, headers, usb, extras, low):
    case = replace(CASE, slot_height="low" if low else "full")
    problem = make_problem(
        make_survey(devices=_devices(*ports, direct=direct), case=case),
        extras=extras,
        coolers=(),
        cpus=(),
        memory=(),
        boards=[
            replace(BOARD, ps2_ports=ps2, serial_ports=serial, serial_headers=headers, usb_rear_ports=usb),
            replace(BOARD, id="b"),
        ],
    )
    agree(rule, problem)


def test_what_is_bought_is_what_is_needed():
    """Brackets, leads and hubs: by both statements the same, one by one."""
    problem = make_problem(
        make_survey(devices=_devices("ps2", "ps2", "serial", "serial", *["usb"] * 3), case=BARE),
        extras=(*ALL, HUB),
        coolers=(),
        cpus=(),
        memory=(),
        boards=[
            BOARD,  # a lead for PS/2, a bracket, a lead for the other serial device
            replace(BOARD, id="board-0", ps2_ports=2, serial_ports=2),  # nothing
            replace(BOARD, id="board-1", serial_headers=0, usb_rear_ports=4),  # a hub for the leads
        ],
    )
    with_needs, without = same_needs(rule, problem)
    assert with_needs and without


def test_agreement_has_both_outcomes():
    problem = make_problem(
        make_survey(devices=_devices("ps2", "ps2", "serial", "usb")),
        extras=(PS2, BRACKET),
        coolers=(),
        boards=[
            BOARD,
            replace(BOARD, id="board-0", ps2_ports=0, serial_headers=0),
            replace(BOARD, id="board-1", usb_rear_ports=1),
        ],
    )
    admitted, refused = agree(rule, problem)
    assert admitted > 0 and refused > 0


NET = Card(name="net", kind="network", bus="pcie", lanes=1, height="full", width_slots=1, power_plugs=())
WIDE = NET.model_copy(update={"name": "wide", "width_slots": 2})
PARALLEL_BRACKET = Extra(id="wide-bracket", name="bracket", kind="parallel-bracket", gives=("parallel",))
SATA_CARD = Extra(
    id="sata-card", name="card", kind="sata-controller", takes=("x1",), gives=("sata",), count=2
)
NO_SATA = {"sata_6g_ports": 0, "sata_3g_ports": 0, "sata_1g5_ports": 0}


# A bracket with its cable is screwed into a slot opening of the case like a card's (board manuals), so that it needs one
# that no card covers, and no controller card that is bought for the drives.
@pytest.mark.parametrize(
    ("openings", "cards", "devices", "board", "bought"),
    [
        (4, (NET,), _devices("serial"), {}, [("bracket", 1)]),
        (2, (NET,), _devices("serial"), {}, [("bracket", 1)]),
        (1, (NET,), _devices("serial"), {}, [("lead-serial", 1)]),
        (1, (), _devices("serial"), {}, [("bracket", 1)]),
        (0, (), _devices("serial"), {}, [("lead-serial", 1)]),
        (2, (WIDE,), _devices("serial"), {}, [("lead-serial", 1)]),
        # Two headers, and an opening for one of the two brackets.
        (
            2,
            (NET,),
            _devices("serial", "serial"),
            {"serial_headers": 2},
            [("bracket", 1), ("lead-serial", 1)],
        ),
        (3, (NET,), _devices("serial", "serial"), {"serial_headers": 2}, [("bracket", 2)]),
        # The first port's bracket takes the last opening.
        (
            2,
            (NET,),
            _devices("serial", "parallel"),
            {"parallel_headers": 1},
            [("bracket", 1), ("lead-parallel", 1)],
        ),
        (
            3,
            (NET,),
            _devices("serial", "parallel"),
            {"parallel_headers": 1},
            [("bracket", 1), ("wide-bracket", 1)],
        ),
        # The system drive needs a card, in the only opening.
        (1, (), _devices("serial"), NO_SATA, [("lead-serial", 1)]),
        (2, (), _devices("serial"), NO_SATA, [("bracket", 1)]),
        (None, (NET,), _devices("serial"), {}, [("bracket", 1)]),
    ],
)
def test_a_bracket_takes_an_opening(openings, cards, devices, board, bought):
    case = replace(BARE, slot_openings=openings)
    problem = make_problem(
        make_survey(devices=devices, case=case, cards=cards),
        boards=[replace(BOARD, **board)],
        extras=(*ALL, PARALLEL_BRACKET, SATA_CARD),
        coolers=(),
    )
    assert _bought(problem) == bought
    found = findings(rule, problem)
    assert [f.question for f in found if f.question] == (["case.slot_openings"] if openings is None else [])
    assert all(f.verdict == "fits" for f in found if not f.question)
    assert agree(rule, problem)[1] == 0
    # What hangs on USB instead is counted in what the plan draws.
    parts = pick(problem)
    leads = sum(number for item, number in bought if item.startswith("lead"))
    pieces = pieces_bought(problem, parts.candidate("board"), parts.candidate("case"), parts.graphics)
    assert pieces.leads == leads


def test_no_opening_for_the_bracket_of_a_real_port_is_said():
    """A program that writes to the port's address does not do with a lead (case B27)."""
    for openings, verdict in ((1, "fails"), (2, "fits")):
        problem = make_problem(
            make_survey(
                devices=_devices("serial", direct=True),
                case=replace(BARE, slot_openings=openings),
                cards=(NET,),
            ),
            extras=ALL,
            coolers=(),
        )
        (found,) = findings(rule, problem)
        assert (found.verdict, found.fact("openings")) == (verdict, "none" if openings == 1 else None)
        said = "no slot opening left" in WORDS[rule.ID].sentence(found, Names())
        assert said is (openings == 1)
        assert (agree(rule, problem)[1] > 0) is (openings == 1)


def test_a_graphics_card_that_is_bought_covers_openings_too():
    """Of two openings it takes one or both; the plan with the narrow card takes a bracket, that with the wide one a lead."""
    cards = [replace(GRAPHICS, id=f"card-{n}", width_slots=n) for n in (1, 2)]
    problem = make_problem(
        make_survey(devices=_devices("serial"), case=replace(BARE, slot_openings=2)),
        Brief(budget="10000.00", replace=("graphics",)),
        extras=ALL,
        graphics=cards,
        coolers=(),
    )
    for card, wanted in (("card-1", "bracket"), ("card-2", "lead-serial"), ("kept-graphics", "bracket")):
        parts = pick(problem, graphics=card)
        draft = plain_draft(rule, problem, parts)
        assert [line.item for line in draft.lines if line.need is not None] == [wanted]
    assert agree(rule, problem)[1] == 0
