"""What makes the picture (displays reference 7.1; start reference 2.2, 7.1 and 7.2)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, CASE, CPU, OLD_CPU, make_problem, make_survey, pick

from partsolver.assembly.pictures import (
    Source,
    board_makes_picture,
    dark_card,
    drawing_card,
    making_source,
    own_graphics_score,
    own_picture,
    picture_card,
    picture_sources,
    source_of,
    start_modes,
)
from partsolver.catalog.sockets import Slot
from partsolver.problem.candidates import KEPT_GRAPHICS, GraphicsChoice
from partsolver.problem.problem import Problem
from partsolver.survey.model import Card
from partsolver.wishes.brief import Brief

OWN = GraphicsChoice(KEPT_GRAPHICS, None, None)
BOTH = ("legacy", "uefi")
OUT = ("hdmi-1.4", "vga")


def card(**facts: Any) -> Card:
    return Card(
        **{"name": "card", "kind": "graphics", "bus": "pcie", "lanes": 16, "outputs": ("dvi-i",), **facts}
    )


def pc(*cards: Card, score: int | None = 150, secure: bool = False) -> Problem:
    survey = make_survey(cards=cards, cpu=replace(OLD_CPU, graphics_score=score))
    return make_problem(survey, Brief(secure_boot=secure))


@pytest.mark.parametrize(
    ("modes", "secure", "found"),
    [
        (BOTH, False, BOTH),
        (BOTH, True, ("uefi",)),
        (None, True, ("uefi",)),
        (None, False, None),
        (("legacy",), True, ("legacy",)),  # nothing to switch off
        (("uefi",), True, ("uefi",)),
    ],
)
def test_modes_of_the_start(modes: Any, secure: bool, found: Any) -> None:
    assert start_modes(pc(secure=secure), replace(BOARD, firmware_modes=modes)) == found


@pytest.mark.parametrize(
    ("uefi", "legacy", "modes", "dark"),
    [
        (False, True, ("uefi",), "uefi"),
        (False, True, BOTH, ""),
        (None, True, ("uefi",), ""),
        (True, False, ("legacy",), "legacy"),
        (True, False, BOTH, ""),
        (True, None, ("legacy",), ""),
        (False, False, BOTH, "uefi"),  # the last of them
        (False, False, ("uefi", "legacy"), "legacy"),
        (False, False, None, ""),
        (False, False, (), ""),
        (False, False, ("other",), ""),
    ],
)
def test_cards_that_stay_dark(uefi: bool | None, legacy: bool | None, modes: Any, dark: str) -> None:
    assert dark_card(card(uefi=uefi, legacy_video=legacy), modes) == dark


CARD_SOURCE = Source("card", "card", ("dvi-i",), 3)
CPU_SOURCE = Source("processor", "", OUT, 2)
BOARD_SOURCE = Source("board", "", OUT, 1)
PARTS = replace(BOARD, max_displays=1, graphics_score=None, year=2010), replace(CPU, max_displays=2)


@pytest.mark.parametrize(
    ("cards", "board", "score", "sources", "making"),
    [
        ((), {}, 500, (CPU_SOURCE,), CPU_SOURCE),
        ((), {}, None, (CPU_SOURCE,), CPU_SOURCE),
        ((), {}, 0, (BOARD_SOURCE,), BOARD_SOURCE),  # nobody knows: it may
        ((), {"graphics_score": 9}, 0, (BOARD_SOURCE,), BOARD_SOURCE),
        ((), {"graphics_score": 0}, 0, (), None),
        ((), {"year": 2013}, 0, (), None),
        ((card(max_displays=3),), {}, 500, (CARD_SOURCE, CPU_SOURCE), CARD_SOURCE),
        ((card(max_displays=3),), {"graphics_score": 0}, 0, (CARD_SOURCE,), CARD_SOURCE),
        (
            (card(max_displays=3, uefi=False),),
            {"firmware_modes": ("uefi",)},
            500,
            (replace(CARD_SOURCE, dark="uefi"), CPU_SOURCE),
            CPU_SOURCE,
        ),
        ((card(),), {"slots": (Slot("x1", 1),)}, 500, (CPU_SOURCE,), CPU_SOURCE),  # no place
    ],
)
def test_sources_in_their_order(cards: Any, board: Any, score: int | None, sources: Any, making: Any) -> None:
    parts = replace(PARTS[0], **board), False, replace(PARTS[1], graphics_score=score), CASE, OWN
    problem = pc(*cards)
    assert picture_sources(problem, *parts) == sources
    assert making_source(problem, *parts) == making


def test_the_card_that_makes_it() -> None:
    """Its score on the four lanes of its slot: a share of it (setting graphics_lanes_4_percent)."""
    bright = card(graphics_score=1000, uefi=False)
    problem = pc(bright)
    four = replace(BOARD, slots=(Slot("x16", 4),), firmware_modes=BOTH)
    assert picture_card(problem, four, CASE, OWN) == bright
    drawn = drawing_card(problem, four, CASE, OWN)
    assert drawn is not None
    assert drawn.graphics_score == 10 * problem.settings["graphics_lanes_4_percent"] < 1000
    problem = pc(bright)
    dark = replace(four, firmware_modes=("uefi",))
    assert picture_card(problem, dark, CASE, OWN) is None and drawing_card(problem, dark, CASE, OWN) is None
    assert picture_card(pc(), four, CASE, OWN) is None and drawing_card(pc(), four, CASE, OWN) is None


@pytest.mark.parametrize(
    ("facts", "kept", "cards", "own_score", "makes"),
    [
        ({"graphics_score": 9}, False, (), 150, True),
        ({"graphics_score": 0}, True, (), 0, False),
        ({"graphics_score": 0}, False, (), 0, False),
        ({}, True, (), 0, True),  # it has a picture today
        ({"outputs": None}, True, (), 0, True),
        ({"outputs": ()}, True, (), 0, False),
        ({}, False, (), 0, None),
        ({}, True, (), 150, None),  # the processor makes it today
        ({}, True, (), None, None),
        ({}, True, (card(),), 0, None),  # a card does
        ({"year": 2013}, True, (), 0, True),
        ({"year": 2012}, False, (), 0, None),
        ({"year": 2013}, False, (), 0, False),
        ({"year": None}, False, (), 0, None),
        ({"outputs": ()}, False, (), 0, False),
        ({"outputs": None}, False, (), 0, None),
    ],
)
def test_whether_the_board_makes_one(facts: Any, kept: bool, cards: Any, own_score: Any, makes: Any) -> None:
    board = replace(BOARD, **{"graphics_score": None, "year": 2010, "outputs": OUT, **facts})
    assert board_makes_picture(pc(*cards, score=own_score), board, kept) is makes


def test_a_sound_card_proves_nothing() -> None:
    sound = Card(name="sound", kind="sound", bus="pci")
    board = replace(BOARD, graphics_score=None, year=2010, outputs=OUT)
    assert board_makes_picture(pc(sound, score=0), board, True) is True


@pytest.mark.parametrize(
    ("cpu_score", "facts", "kept", "score"),
    [
        (150, {"graphics_score": 9}, True, 150),
        (None, {"graphics_score": 9}, True, None),
        (0, {"graphics_score": 9}, False, 9),
        (0, {"graphics_score": 0}, True, 0),
        (0, {"graphics_score": None}, False, 0),  # it may, nobody knows
        (0, {"graphics_score": None}, True, 80),  # makes it today; usually 8 % of the reference of 1000
        (0, {"graphics_score": None, "outputs": ()}, True, 0),
    ],
)
def test_the_score_without_a_card(cpu_score: Any, facts: Any, kept: bool, score: Any) -> None:
    problem = pc(score=0)
    board = replace(BOARD, **{"year": 2010, "outputs": OUT, **facts})
    assert own_graphics_score(problem, board, kept, cpu_score) == score


@pytest.mark.parametrize(
    ("cpu_score", "facts", "kept", "found"),
    [
        (500, {}, False, True),
        (500, {"outputs": ()}, False, False),
        (500, {"outputs": None}, False, "board.outputs"),
        (0, {"graphics_score": 0}, False, False),
        (0, {"graphics_score": 9}, False, True),
        (0, {"graphics_score": 9, "outputs": None}, False, "board.outputs"),
        (0, {}, False, "board.graphics_score"),
        (0, {}, True, True),
        (None, {"graphics_score": 0}, False, "cpu.graphics_score"),
        (None, {}, False, "cpu.graphics_score"),
        (None, {"graphics_score": 9}, False, True),
        (500, {"graphics_score": 0}, False, True),
    ],
)
def test_a_picture_without_a_card(cpu_score: Any, facts: Any, kept: bool, found: Any) -> None:
    board = replace(BOARD, **{"year": 2010, "outputs": OUT, "graphics_score": None, **facts})
    assert own_picture(pc(score=0), board, kept, replace(CPU, graphics_score=cpu_score)) == found


def test_the_source_of_a_plan() -> None:
    problem = pc(card(max_displays=3))
    assert source_of(problem, pick(problem)) == CARD_SOURCE
    bare = pc(score=0)
    found = source_of(bare, pick(bare, board="kept-board", cpu="kept-cpu"))
    assert found is not None and found.kind == "board"
