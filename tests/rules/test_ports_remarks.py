"""Fans, sound and panel of the case: remarks, each with all that it says.

A splitter feeds so many fans from one header; AC'97 and HD sound plugs have the same shape and no jack sense together;
ten-pin panels of makers have an order of their own (common practice).
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, CASE, COOLER, OLD_BOARD, findings, make_problem, make_survey, pick

from partsolver.catalog.records import Extra
from partsolver.report.words.ports import WORDS
from partsolver.report.words.record import Names
from partsolver.rules import os_usb_driver, ports_fans, ports_front_audio, ports_front_panel, ports_front_usb
from partsolver.survey.model import OperatingSystem, Pc
from partsolver.wishes.brief import Brief


def told(rule: Any, problem: Any, **keys: str) -> list[tuple[Any, ...]]:
    found = findings(rule, problem, pick(problem, **keys))
    return [(f.verdict, f.value, f.limit, f.question, dict(f.facts)) for f in found]


def splitter(count: int) -> Extra:
    return Extra(
        id=f"splitter-{count}", name="", kind="fan-splitter", takes=("fan",), gives=("fan",), count=count
    )


@pytest.mark.parametrize(
    ("fans", "headers", "extra", "pins", "said"),
    [
        (0, 2, (), 4, []),
        (2, 2, (), 4, [("fits", 2, 2, None, {})]),
        (1, 2, (), 4, [("fits", 1, 1, None, {})]),
        (3, 2, (), 4, [("fits", 2, 3, None, {"missing": 1})]),
        (
            4,
            2,
            (splitter(2),),
            4,
            [("fits", 2, 4, None, {"missing": 2, "splitter": "splitter-2", "splitters": 1})],
        ),
        (
            5,
            2,
            (splitter(2),),
            4,
            [("fits", 2, 5, None, {"missing": 3, "splitter": "splitter-2", "splitters": 2})],
        ),
        (
            3,
            1,
            (splitter(1),),
            4,
            [("fits", 1, 3, None, {"missing": 2, "splitter": "splitter-1", "splitters": 2})],
        ),
        (2, 0, (splitter(2),), 4, [("fits", 0, 2, None, {"missing": 2})]),  # no header to split
        (0, 2, (), 3, [("fits", 0, 0, None, {"cooler_fan_pins": 3})]),
        (None, 2, (), 3, [("unknown", None, None, "case.fans", {"cooler_fan_pins": 3})]),
        (2, None, (), 4, [("unknown", None, None, "board:board-a.fan_headers", {})]),
        (None, None, (), None, [("unknown", None, None, "case.fans", {})]),
    ],
)
def test_fans(
    fans: int | None, headers: int | None, extra: tuple[Extra, ...], pins: int | None, said: list[Any]
) -> None:
    problem = make_problem(
        make_survey(case=replace(CASE, fans=fans)),
        boards=[replace(BOARD, fan_headers=headers)],
        coolers=[replace(COOLER, fan_pins=pins)],
        extras=extra,
    )
    assert told(ports_fans, problem, cooler="cooler-a") == said
    today = findings(ports_fans, problem, problem.present())
    assert [(f.value, f.limit, f.fact("today")) for f in today] == ([(fans, fans, "yes")] if fans else [])


def test_fans_that_turn_today_go_on_turning() -> None:
    """Board and case stay: all that hang there hang on, however few headers were counted; the new cooler's is said."""
    survey = make_survey(case=replace(CASE, fans=5), board=replace(OLD_BOARD, fan_headers=1))
    new = replace(COOLER, sockets=("sock-0",), fan_pins=3)
    problem = make_problem(survey, coolers=[new], boards=[])
    stays = {"board": "kept-board", "cpu": "cpu-a", "cooler": "cooler-a"}
    assert told(ports_fans, problem, **stays) == [("fits", 5, 5, None, {"cooler_fan_pins": 3})]


@pytest.mark.parametrize(
    ("plug", "header", "said"),
    [
        ("none", "hd", []),
        ("hd", "hd", [("fits", "hd", None, None, {"header": "hd", "plug": "hd"})]),
        ("hd", "none", [("fits", "hd", None, None, {"header": "none", "plug": "hd", "unused": "yes"})]),
        (
            "ac97",
            "hd",
            [
                (
                    "fits",
                    "ac97",
                    None,
                    None,
                    {"header": "hd", "plug": "ac97", "jack_sense": "no", "adapter": "adapter"},
                )
            ],
        ),
        ("hd", "ac97", [("fits", "hd", None, None, {"header": "ac97", "plug": "hd", "jack_sense": "no"})]),
        (None, "hd", [("unknown", None, None, "case.front_audio", {})]),
        ("hd", None, [("unknown", None, None, "board:board-a.front_audio", {"plug": "hd"})]),
    ],
)
def test_front_sound(plug: str | None, header: str | None, said: list[Any]) -> None:
    adapter = Extra(id="adapter", name="", kind="front-audio-adapter", takes=("hd",), gives=("ac97",))
    problem = make_problem(
        make_survey(case=replace(CASE, front_audio=plug)),
        boards=[replace(BOARD, front_audio=header)],
        extras=[adapter],
    )
    assert told(ports_front_audio, problem) == said
    today = [(f.value, f.fact("today")) for f in findings(ports_front_audio, problem, problem.present())]
    assert today == ([] if plug == "none" else [(plug or "hd", "yes")])


@pytest.mark.parametrize(
    ("panel", "brand", "said"),
    [
        ("separate", False, ("fits", "separate", None, None, {})),
        ("own", False, ("unknown", None, None, "case.front_panel_order", {"repin": "yes"})),
        (None, True, ("unknown", None, None, "case.front_panel", {"brand": "yes"})),
        (None, False, ("unknown", None, None, "case.front_panel", {})),
    ],
)
def test_front_panel(panel: str | None, brand: bool, said: tuple[Any, ...]) -> None:
    problem = make_problem(make_survey(case=replace(CASE, front_panel=panel), pc=Pc(name="p", brand=brand)))
    assert told(ports_front_panel, problem) == [said]
    (found,) = findings(ports_front_panel, problem, problem.present())
    assert (found.verdict, found.value, found.fact("today")) == ("fits", panel, "yes")


@pytest.mark.parametrize(
    ("there", "brand", "board", "said"),
    [
        ("own", True, "kept-board", ("board.front_panel_order", {"header": "own"})),
        ("own", False, "kept-board", ("board.front_panel_order", {"header": "own"})),
        (None, True, "kept-board", ("case.front_panel", {"brand": "yes"})),
        (None, False, "kept-board", (None, {})),
        ("separate", True, "kept-board", (None, {})),
        ("own", True, "board-a", (None, {})),  # a board on sale has the usual header
    ],
)
def test_the_header_of_a_board_that_moves_into_another_case(
    there: str | None, brand: bool, board: str, said: tuple[Any, ...]
) -> None:
    """Makers' front panel plugs are one piece in an order of their own (boards reference, section 3), and so is the
    header that such a plug sits on."""
    problem = make_problem(
        make_survey(case=replace(CASE, front_panel=there), pc=Pc(name="p", brand=brand)),
        Brief(budget="10000.00", replace=("case",)),
        cases=[replace(CASE, id="case-n", front_panel="block")],
    )
    keys = {"cpu": "kept-cpu", "memory": "kept-memory"} if board == "kept-board" else {}
    (found,) = findings(ports_front_panel, problem, pick(problem, board=board, case="case-n", **keys))
    assert (found.question, dict(found.facts), found.admits, found.blocks) == (*said, True, False)
    assert found.verdict == ("unknown" if found.question else "fits")
    cautioned = WORDS[ports_front_panel.ID].caution
    assert cautioned is not None
    assert (cautioned(found, Names({})) is not None) == ("header" in said[1])


@pytest.mark.parametrize(
    ("family", "year", "ps2", "said"),
    [
        ("desktop-2009", 2015, 1, [("fits", 2015, None, None, {"family": "desktop-2009", "ps2_ports": 1})]),
        (
            "desktop-2009",
            2016,
            None,
            [("fits", 2016, None, None, {"family": "desktop-2009", "ps2_ports": 0})],
        ),
        ("desktop-2009", 2014, 1, []),
        ("desktop-2009", None, 1, []),
        ("desktop-2015", 2018, 1, []),
        (None, 2018, 1, []),
    ],
)
def test_keyboards_at_the_set_up_of_old_systems(
    family: str | None, year: int | None, ps2: int | None, said: list[Any]
) -> None:
    """Boards of the 100 series on (2015) have xHCI ports only (field report of 2015)."""
    survey = make_survey(os=OperatingSystem(family=family, licence="retail"))
    problem = make_problem(survey, boards=[replace(BOARD, year=year, ps2_ports=ps2)])
    assert told(os_usb_driver, problem) == said
    assert findings(os_usb_driver, problem, problem.present()) == ()


@pytest.mark.parametrize(
    ("spare", "plugs", "offered"),
    [(1, 0, True), (2, 1, True), (1, 1, False), (0, 0, False), (None, 0, False)],
)
def test_an_adapter_for_front_usb_hangs_on_a_header_that_is_left_over(
    spare: int | None, plugs: int, offered: bool
) -> None:
    """A 19-pin plug on a 9-pin header runs at 480 Mbit/s (common practice)."""
    adapter = Extra(id="adapter", name="", kind="front-usb-adapter", takes=("usb2",), gives=("usb3",))
    case = replace(CASE, front_usb3_plugs=1, front_usb2_plugs=plugs, front_usb_e_plugs=0)
    board = replace(BOARD, usb3_headers=0, usb2_headers=spare, usb_e_headers=0)
    problem = make_problem(make_survey(case=case), boards=[board], extras=[adapter])
    parts = pick(problem)
    found = list(ports_front_usb._adapters(problem, parts.board, parts.case, "usb3"))
    assert found == ([("adapter", 480, (spare or 0) - plugs)] if offered else [])
    assert list(ports_front_usb._adapters(problem, parts.board, parts.case, "usb2")) == []


@pytest.mark.parametrize(
    ("plugs", "headers", "said"),
    [
        ((0, 0, 0), (2, 1, 1), []),
        (
            (None, 1, 1),
            (1, 1, 2),
            [
                ("unknown", None, None, "case.front_usb2_plugs", {"plug": "usb2"}),
                ("fits", 1, 1, None, {"plug": "usb3"}),
                ("fits", 1, 1, None, {"plug": "usb-e"}),
            ],
        ),
        ((0, 1, 0), (0, 1, 0), [("fits", 1, 1, None, {"plug": "usb3"})]),
        (
            (1, 3, 1),
            (None, 1, 0),
            [
                ("unknown", None, None, "board:board-a.usb2_headers", {"plug": "usb2"}),
                ("fits", 1, 3, None, {"plug": "usb3", "missing": 2}),
                ("fits", 0, 1, None, {"plug": "usb-e", "missing": 1}),
            ],
        ),
        (
            (1, 3, 0),
            (2, 0, 0),
            [
                ("fits", 1, 1, None, {"plug": "usb2"}),
                (
                    *("fits", 0, 3, None),
                    {"plug": "usb3", "missing": 3, "adapter": "adapter", "adapter_mbits": 480, "adapted": 1},
                ),
            ],
        ),
        (
            (1, 1, 0),
            (3, 0, 0),
            [
                ("fits", 1, 1, None, {"plug": "usb2"}),
                (
                    *("fits", 0, 1, None),
                    {"plug": "usb3", "missing": 1, "adapter": "adapter", "adapter_mbits": 480, "adapted": 1},
                ),
            ],
        ),
    ],
)
def test_front_usb(plugs: tuple[int | None, ...], headers: tuple[int | None, ...], said: list[Any]) -> None:
    names = ("usb2", "usb3", "usb_e")
    adapter = Extra(id="adapter", name="", kind="front-usb-adapter", takes=("usb2",), gives=("usb3",))
    case = replace(CASE, **{f"front_{name}_plugs": count for name, count in zip(names, plugs, strict=True)})
    board = replace(BOARD, **{f"{name}_headers": count for name, count in zip(names, headers, strict=True)})
    problem = make_problem(make_survey(case=case), boards=[board], extras=[adapter])
    assert told(ports_front_usb, problem) == said
    today = findings(ports_front_usb, problem, problem.present())
    assert [(f.verdict, f.value, f.limit, f.fact("today")) for f in today] == [
        ("unknown", None, None, None) if count is None else ("fits", count, count, "yes")
        for count in plugs
        if count != 0
    ]
