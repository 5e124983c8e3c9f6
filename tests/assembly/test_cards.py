"""Cards with a place, the lanes they run on and the score they reach there (PCI Express base: lanes that are wired).

Which card finds which slot: `rules/test_card_places.py`.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, CASE, make_problem, make_survey

from partsolver.assembly.cards import (
    Placement,
    card_question,
    graphics_card,
    lanes_of,
    narrowed,
    place,
    placed_cards,
    placement,
    takes,
    wired_lanes,
    working_graphics,
)
from partsolver.catalog.records import GraphicsPart
from partsolver.catalog.sockets import Slot
from partsolver.problem.candidates import KEPT_GRAPHICS, GraphicsChoice
from partsolver.problem.problem import Problem
from partsolver.survey.model import Card
from partsolver.wishes.brief import Brief

OWN = GraphicsChoice(KEPT_GRAPHICS, None, None)
NEW_CARD = Card(name="new card", kind="graphics", bus="pcie", lanes=16)
NEW = GraphicsChoice("new", GraphicsPart("new", "New"), NEW_CARD)


def card(name: str = "card", **facts: Any) -> Card:
    return Card(**{"name": name, "kind": "graphics", "bus": "pcie", "lanes": 16, **facts})


def pc(*cards: Card, leave_out: tuple[str, ...] = ()) -> Problem:
    return make_problem(make_survey(cards=cards), Brief(leave_out=leave_out))


def board(*slots: Slot) -> Any:
    return replace(BOARD, slots=slots)


ONE, FOUR, EIGHT, WIDE = Slot("x1", 1), Slot("x16", 4), Slot("x16", 8), Slot("x16", 16)
NET = card("net", kind="network", lanes=1)


def test_cards_with_a_place() -> None:
    problem = pc(card(), NET)
    assert placement(problem, board(WIDE, ONE), CASE, OWN) == Placement((("card", 0), ("net", 1)), (), ())
    assert placed_cards(problem, board(WIDE, ONE), CASE, OWN) == (card(), NET)
    assert placed_cards(problem, board(ONE), CASE, OWN) == (NET,)
    assert graphics_card(problem, board(WIDE, ONE), CASE, OWN) == card()
    assert graphics_card(problem, board(ONE), CASE, OWN) is None
    assert graphics_card(pc(NET), board(WIDE), CASE, OWN) is None
    # One that is bought stands in the place of the PC's own.
    assert placed_cards(problem, board(WIDE, ONE), CASE, NEW) == (NEW_CARD, NET)


def test_slots_that_nobody_looked_at_hold_what_they_hold() -> None:
    unknown = replace(BOARD, slots=None)
    problem = pc(card("b"), card("a", kind="sound"))
    assert placement(problem, unknown, CASE, OWN) == Placement((("a", 1), ("b", 0)), (), ())
    assert len(placed_cards(problem, unknown, CASE, OWN)) == 2


def test_a_placement_is_remembered_by_what_it_depends_on() -> None:
    problem = pc(card(), NET)
    first = placement(problem, board(WIDE, ONE), CASE, OWN)
    assert placement(problem, replace(board(WIDE, ONE), id="other"), CASE, OWN) is first
    tight = replace(CASE, id="tight", slot_openings=1)
    assert placement(problem, board(WIDE, ONE), tight, OWN) == Placement((("card", 0),), ("net",), ())
    assert placement(problem, board(ONE, WIDE), CASE, OWN).placed == (("card", 1), ("net", 0))
    assert placement(problem, board(WIDE, ONE), CASE, NEW).placed == (("net", 1), ("new card", 0))


def test_questions_about_cards() -> None:
    assert card_question(OWN, card(), "load_mw") == "card:card.load_mw"
    assert card_question(NEW, NEW_CARD, "load_mw") == "graphics:new.load_mw"
    assert card_question(NEW, NET, "load_mw") == "card:net.load_mw"


@pytest.mark.parametrize(
    ("facts", "slot", "lanes", "narrow"),
    [
        ({}, WIDE, 16, None),
        ({}, EIGHT, 8, 8),
        ({}, FOUR, 4, 4),
        ({"lanes": 4}, FOUR, 4, None),
        ({"lanes": 4}, WIDE, 4, None),
        ({"lanes": 8}, FOUR, 4, 4),
        ({"lanes": None}, EIGHT, 8, 8),  # a graphics card has sixteen
        ({"bus": None}, EIGHT, 8, 8),
        ({"bus": "pci"}, Slot("pci", 0), None, None),
        ({"bus": "agp"}, Slot("agp", 0), None, None),
        ({}, Slot("x16", 0), None, None),  # no lane is stated
        ({}, ONE, None, None),  # no place
    ],
)
def test_lanes_on_which_a_card_runs(facts: Any, slot: Slot, lanes: int | None, narrow: int | None) -> None:
    own = card(**facts)
    problem = pc(own)
    assert wired_lanes(problem, board(slot), CASE, OWN, own) == lanes
    assert narrowed(problem, board(slot), CASE, OWN, own) == narrow
    assert wired_lanes(problem, replace(BOARD, slots=None), CASE, OWN, own) is None
    assert wired_lanes(problem, board(), CASE, OWN, own) is None


@pytest.mark.parametrize(
    ("slot", "score", "reached"),
    [
        (WIDE, 1000, 1000),
        (EIGHT, 1000, 970),
        (FOUR, 1000, 860),
        (Slot("x16", 1), 1000, 530),
        (Slot("x16", 2), 1000, 530),
        (Slot("x16", 3), 1000, 530),
        (Slot("x16", 5), 1000, 860),
        (Slot("x16", 7), 1000, 860),
        (Slot("x16", 12), 1000, 970),
        (FOUR, 1, 1),  # never none
        (FOUR, 0, 0),
        (FOUR, None, None),
    ],
)
def test_the_score_on_the_lanes_of_the_slot(slot: Slot, score: int | None, reached: int | None) -> None:
    """Shares of this test's own: 97, 86, 53 % on 8, 4, 1 lanes."""
    own = card(graphics_score=score)
    shares = {8: 97, 4: 86, 1: 53}
    problem = replace(pc(own), settings={f"graphics_lanes_{n}_percent": share for n, share in shares.items()})
    found = working_graphics(problem, board(slot), CASE, OWN)
    assert found is not None and found.graphics_score == reached


def test_no_card_no_score() -> None:
    assert working_graphics(pc(), board(WIDE), CASE, OWN) is None


def test_edge_connectors_and_the_last_opening() -> None:
    assert [takes(Slot(kind, 0), card(bus="isa")) for kind in ("isa", "pci", "x16")] == [True, False, False]
    assert [lanes_of(card(lanes=n)) for n in (1, None)] == [1, 16]
    # Short ones first, PCI before all; of equally long ones the first of those with the lanes.
    assert place([NET], (Slot("x4", 4), ONE), CASE).placed == (("net", 1),)
    assert place([NET], (Slot("x8", 8), Slot("x4", 4)), CASE).placed == (("net", 1),)
    assert place([NET], (WIDE, Slot("x8", 8)), CASE).placed == (("net", 1),)
    assert place([card(lanes=8)], (FOUR, EIGHT, WIDE), CASE).placed == (("card", 1),)
    third = replace(CASE, slot_openings=3)
    assert place([card(width_slots=2)], (ONE, WIDE), third).placed == (("card", 1),)
    assert place([card(width_slots=3)], (ONE, WIDE), third).placed == ()
    assert place([card(width_slots=None)], (ONE, ONE, WIDE), third).placed == (("card", 2),)
    assert place([], (WIDE, ONE), replace(CASE, slot_openings=1)).free == (0,)
    assert place([card(width_slots=2)], (WIDE, ONE, ONE), third).free == (2,)
    assert place([card("a"), card("b", required=False)], (WIDE,), CASE) == Placement((("a", 0),), ("b",), ())
