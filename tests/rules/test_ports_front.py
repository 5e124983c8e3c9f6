"""ports.front_usb, ports.front_audio, ports.fans, ports.front_panel: facts only, none of them refuses
anything.

Outside: a USB 3 plug on a USB 2.0 header runs at 480 Mbit/s through a passive adapter (USB 2.0 high speed;
common practice); an AC'97 panel on an HD Audio header has no jack sensing (board manual DG41AN, tables 6 and
7; case A19); a maker's own front panel block has to be re-pinned (case A37).
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import BOARD, CASE, COOLER, agree, findings, make_problem, make_survey, pick

from partsolver.catalog.records import Extra
from partsolver.rules import ports_fans, ports_front_audio, ports_front_panel, ports_front_usb
from partsolver.rules.base import needs_nothing
from partsolver.survey.model import Pc

USB_3_ON_2 = Extra(
    id="front-3-on-2", name="3 on 2", kind="front-usb-adapter", takes=("usb2",), gives=("usb3",)
)
AUDIO = Extra(id="audio", name="audio", kind="front-audio-adapter", takes=("hd",), gives=("ac97",))
SPLIT = Extra(id="split", name="split", kind="fan-splitter", takes=("fan",), gives=("fan",), count=1)
RULES = [ports_front_usb, ports_front_audio, ports_fans, ports_front_panel]


def _problem(case=None, extras=(), brand=False, cooler=COOLER, **board):
    survey = make_survey(case=replace(CASE, **(case or {})), pc=Pc(name="test PC", brand=brand))
    return make_problem(survey, boards=[replace(BOARD, **board)], extras=extras, coolers=[cooler])


@pytest.mark.parametrize("rule", RULES)
def test_never_refuses_and_buys_nothing(rule):
    worst = {
        "front_usb2_plugs": 9,
        "front_usb3_plugs": None,
        "front_audio": "ac97",
        "fans": 9,
        "front_panel": "own",
    }
    problem = _problem(worst, (USB_3_ON_2, AUDIO, SPLIT), usb2_headers=0, front_audio="none", fan_headers=0)
    admitted, refused = agree(rule, problem)
    assert admitted > 0 and refused == 0
    assert not rule.needs is not needs_nothing


@pytest.mark.parametrize("rule", RULES)
def test_present_board_in_present_case_is_irrelevant(rule):
    case = {"front_usb2_plugs": 9, "front_audio": "ac97", "fans": 9, "front_panel": "own"}
    problem = _problem(case)
    found = findings(rule, problem, problem.present())
    assert found and all((f.verdict, f.fact("today")) == ("fits", "yes") for f in found)


@pytest.mark.parametrize(
    ("rule", "case", "board", "question"),
    [
        (ports_front_usb, {"front_usb2_plugs": None}, {}, "case.front_usb2_plugs"),
        (ports_front_usb, {}, {"usb2_headers": None}, "board:board-a.usb2_headers"),
        (ports_front_audio, {"front_audio": None}, {}, "case.front_audio"),
        (ports_front_audio, {}, {"front_audio": None}, "board:board-a.front_audio"),
        (ports_fans, {"fans": None}, {}, "case.fans"),
        (ports_fans, {}, {"fan_headers": None}, "board:board-a.fan_headers"),
        (ports_front_panel, {"front_panel": None}, {}, "case.front_panel"),
    ],
)
def test_unknown(rule, case, board, question):
    (found,) = findings(rule, _problem(case, **board))
    assert (found.verdict, found.question, found.admits) == ("unknown", question, True)


def test_front_usb_just_inside_and_outside():
    (found,) = findings(ports_front_usb, _problem({"front_usb2_plugs": 2}))
    assert (found.value, found.limit, found.unit, found.facts) == (2, 2, "plugs", (("plug", "usb2"),))
    assert found.parts == ("board-a", "kept-case")
    (found,) = findings(ports_front_usb, _problem({"front_usb2_plugs": 3}))
    assert (found.value, found.limit, found.facts) == (2, 3, (("missing", 1), ("plug", "usb2")))
    assert findings(ports_front_usb, _problem({"front_usb2_plugs": 0})) == ()


def test_front_usb_suggests_an_adapter_for_a_header_left_over():
    case = {"front_usb2_plugs": 1, "front_usb3_plugs": 1}
    _, found = findings(ports_front_usb, _problem(case, (USB_3_ON_2,), usb3_headers=0))
    assert found.facts == (
        ("adapted", 1),
        ("adapter", "front-3-on-2"),
        ("adapter_mbits", 480),
        ("missing", 1),
        ("plug", "usb3"),
    )
    # Both USB 2.0 headers are taken: nothing to suggest.
    _, found = findings(
        ports_front_usb, _problem({**case, "front_usb2_plugs": 2}, (USB_3_ON_2,), usb3_headers=0)
    )
    assert found.facts == (("missing", 1), ("plug", "usb3"))


def test_front_usb_suggests_no_adapter_for_a_header_that_nobody_counted():
    case = {"front_usb2_plugs": 0, "front_usb3_plugs": 2}
    for headers, adapted in ((None, None), (0, None), (1, 1)):
        problem = _problem(case, (USB_3_ON_2,), usb2_headers=headers, usb3_headers=0)
        (found,) = findings(ports_front_usb, problem)
        assert (found.value, found.limit, found.fact("missing")) == (0, 2, 2)
        assert (found.fact("adapted"), found.fact("adapter") is not None) == (adapted, adapted is not None)


def test_front_usb_2_plugs_on_a_usb_3_header():
    """It carries the USB 2.0 pairs as well (Intel 328554, internal connector and cable specification)."""
    adapter = replace(USB_3_ON_2, id="front-2-on-3", takes=("usb3",), gives=("usb2",))
    case = {"front_usb2_plugs": 2, "front_usb3_plugs": 0}
    (found,) = findings(ports_front_usb, _problem(case, (adapter,), usb2_headers=1, usb3_headers=1))
    assert (found.fact("adapter"), found.fact("adapter_mbits")) == ("front-2-on-3", 480)


def test_type_e_has_no_adapter():
    found = findings(ports_front_usb, _problem({"front_usb_e_plugs": 1}, (USB_3_ON_2,)))[-1]
    assert (found.value, found.limit, found.facts) == (0, 1, (("missing", 1), ("plug", "usb-e")))


@pytest.mark.parametrize(
    ("plug", "header", "extras", "facts"),
    [
        ("hd", "hd", (), (("header", "hd"), ("plug", "hd"))),
        ("ac97", "hd", (), (("header", "hd"), ("jack_sense", "no"), ("plug", "ac97"))),
        (
            "ac97",
            "hd",
            (AUDIO,),
            (("adapter", "audio"), ("header", "hd"), ("jack_sense", "no"), ("plug", "ac97")),
        ),
        ("hd", "none", (AUDIO,), (("header", "none"), ("plug", "hd"), ("unused", "yes"))),
    ],
)
def test_front_audio(plug, header, extras, facts):
    (found,) = findings(ports_front_audio, _problem({"front_audio": plug}, extras, front_audio=header))
    assert (found.verdict, found.value, found.facts) == ("fits", plug, facts)


def test_no_front_audio_is_irrelevant():
    assert findings(ports_front_audio, _problem({"front_audio": "none"}, front_audio="none")) == ()


@pytest.mark.parametrize(
    ("fans", "headers", "extras", "served", "facts"),
    [
        (2, 2, (SPLIT,), 2, ()),
        (4, 2, (SPLIT,), 2, (("missing", 2), ("splitter", "split"), ("splitters", 2))),
        (3, 2, (), 2, (("missing", 1),)),
        (1, 0, (SPLIT,), 0, (("missing", 1),)),
    ],
)
def test_fans(fans, headers, extras, served, facts):
    (found,) = findings(ports_fans, _problem({"fans": fans}, extras, fan_headers=headers))
    assert (found.verdict, found.value, found.limit, found.unit, found.facts) == (
        "fits",
        served,
        fans,
        "fans",
        facts,
    )


def test_fan_with_three_contacts():
    problem = _problem(cooler=replace(COOLER, fan_pins=3))
    (found,) = findings(ports_fans, problem, pick(problem, cooler="cooler-a"))
    assert found.facts == (("cooler_fan_pins", 3),)
    assert findings(ports_fans, _problem({"fans": 0})) == ()


@pytest.mark.parametrize(
    ("panel", "verdict", "question", "facts"),
    [
        ("separate", "fits", None, ()),
        ("block", "fits", None, ()),
        ("own", "unknown", "case.front_panel_order", (("repin", "yes"),)),
    ],
)
def test_front_panel(panel, verdict, question, facts):
    (found,) = findings(ports_front_panel, _problem({"front_panel": panel}))
    assert (found.verdict, found.question, found.facts, found.blocks) == (verdict, question, facts, False)


def test_front_panel_of_a_brand_pc():
    (found,) = findings(ports_front_panel, _problem({"front_panel": None}, brand=True))
    assert found.facts == (("brand", "yes"),)
