"""fit.cards: what is asked about a card that moves or is bought, and what is said of a slot with fewer lanes.

A low bracket goes into every case, a full one into full openings only (PCI low-profile cards); a half-length card, up to
168 mm, is too long for no usual case (PCI: 167.65 mm); a card that sits in the case that stays has its place today.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, CASE, GRAPHICS, findings, make_problem, make_survey, pick

from partsolver.catalog.sockets import Slot
from partsolver.rules import fit_cards
from partsolver.survey.model import Card
from partsolver.wishes.brief import Brief

BRIEF = Brief(budget="10000.00", replace=("case", "graphics"))
NETWORK = Card(
    name="network", kind="network", bus="pcie", lanes=1, height="full", width_slots=1, length_mm=120
)
OWN = Card(name="own", kind="graphics", bus="pcie", lanes=16, height="low", width_slots=1, length_mm=160)


def asked(
    case: dict[str, Any],
    *,
    bought: dict[str, Any] | None = None,
    own: tuple[Card, ...] = (),
    board: dict[str, Any] | None = None,
    other_case: bool = False,
) -> list[tuple[str | None, Any]]:
    """Questions, each with the card it is asked for, on another board: of a graphics card that is bought, and of cards
    of the PC; in the case of the PC, or in one that is bought."""
    new = replace(CASE, id="case-n", name="new case", **case)
    problem = make_problem(
        make_survey(cards=own, case=CASE if other_case else replace(CASE, **case)),
        BRIEF,
        boards=[replace(BOARD, **(board or {}))],
        cases=[new],
        graphics=[replace(GRAPHICS, **(bought or {}))],
    )
    graphics = "kept-graphics" if bought is None else "graphics-a"
    found = findings(
        fit_cards, problem, pick(problem, graphics=graphics, case="case-n" if other_case else "kept-case")
    )
    assert all(f.verdict == "unknown" and not f.blocks for f in found[1:])
    return [(f.question, f.fact("card")) for f in found[1:]]


@pytest.mark.parametrize(
    ("card", "case", "questions"),
    [
        ({}, {}, []),
        ({"width_slots": None}, {}, ["graphics:graphics-a.width_slots"]),
        ({"height": None}, {}, []),  # full openings take both brackets
        ({"height": None}, {"slot_height": "low"}, ["graphics:graphics-a.height"]),
        ({"height": "low"}, {"slot_height": "low"}, []),
        ({"height": "low"}, {"slot_height": None}, []),
        ({"height": "full"}, {"slot_height": None}, ["case.slot_height"]),  # no card of today has it
        ({"height": None}, {"slot_height": None}, ["case.slot_height"]),
        ({"length_mm": None}, {}, ["graphics:graphics-a.length_mm"]),
        ({"length_mm": None}, {"max_card_length_mm": None}, []),
        ({"length_mm": 168}, {"max_card_length_mm": None}, []),
        ({"length_mm": 169}, {"max_card_length_mm": None}, ["case.max_card_length_mm"]),
        ({"length_mm": 169}, {}, []),
        ({}, {"slot_openings": None}, ["case.slot_openings"]),
        (
            {"width_slots": None, "length_mm": None},
            {"slot_height": None},
            ["graphics:graphics-a.width_slots", "graphics:graphics-a.length_mm"],
        ),
    ],
)
def test_what_is_asked_for_a_card_that_is_bought(
    card: dict[str, Any], case: dict[str, Any], questions: list[str]
) -> None:
    assert asked(case, bought=card) == [(path, "Graphics A") for path in questions]
    # The same in a case that is bought too; it is that case's facts that are missing then.
    moved = [path.replace("case.", "case:case-n.") for path in questions]
    assert asked(case, bought=card, other_case=True) == [(path, "Graphics A") for path in moved]


@pytest.mark.parametrize(
    ("card", "case", "stays", "moves"),
    [
        ({}, {}, [], []),
        ({"height": None}, {"slot_height": "low"}, [], ["card.height"]),
        ({"height": None}, {"slot_height": "full"}, [], []),
        ({"height": "low"}, {"slot_height": "low"}, [], []),
        ({"length_mm": None}, {"max_card_length_mm": 280}, [], ["card.length_mm"]),
        ({"length_mm": None}, {"max_card_length_mm": None}, [], []),
        ({"length_mm": 900}, {"max_card_length_mm": None}, [], []),
        ({"height": "full"}, {"slot_height": None}, [], ["case:case-n.slot_height"]),
        ({"height": "low"}, {"slot_height": None}, [], []),
        ({"bus": None}, {}, ["card.bus"], ["card.bus"]),
        ({}, {"slot_openings": None}, ["case.slot_openings"], ["case:case-n.slot_openings"]),
    ],
)
def test_what_is_asked_for_a_card_of_the_pc(
    card: dict[str, Any], case: dict[str, Any], stays: list[str], moves: list[str]
) -> None:
    own = NETWORK.model_copy(update=card)
    assert asked(case, own=(own,)) == [(path, "network") for path in stays]
    assert asked(case, own=(own,), other_case=True) == [(path, "network") for path in moves]
    # A card that is not needed makes no question.
    assert asked(case, own=(own.model_copy(update={"required": False}),), other_case=True) == []


def test_nothing_is_asked_for_a_card_without_a_place() -> None:
    """It has none whatever the answers are: the board has no slot for it."""
    assert asked({"slot_openings": None}, own=(NETWORK,), board={"slots": ()}) == []


def test_each_question_once_for_the_first_card_concerned() -> None:
    second = NETWORK.model_copy(update={"name": "second"})
    low = {"slot_height": None, "slot_openings": None}
    assert asked(low, own=(NETWORK, second), other_case=True) == [
        ("case:case-n.slot_openings", "network"),
        ("case:case-n.slot_height", "network"),
    ]
    silent = [
        c.model_copy(update={"bus": None, "height": None, "length_mm": None}) for c in (NETWORK, second)
    ]
    assert asked({"slot_height": "low"}, own=(*silent,), other_case=True) == [
        ("card.bus", "network"),
        ("card.height", "network"),
        ("card.length_mm", "network"),
    ]


@pytest.mark.parametrize(
    ("cards", "question"),
    [
        ((), None),
        ((NETWORK,), "network"),
        ((OWN.model_copy(update={"required": False}),), "own"),  # it makes the picture, where it has a place
        ((NETWORK.model_copy(update={"required": False}),), None),
        ((NETWORK, OWN.model_copy(update={"required": False})), "network"),
    ],
)
def test_slots_that_nobody_looked_at(cards: tuple[Card, ...], question: str | None) -> None:
    assert asked({}, own=cards, board={"slots": None}) == (
        [] if question is None else [("board:board-a.slots", question)]
    )


@pytest.mark.parametrize(
    ("card", "slot", "facts"),
    [
        (OWN, Slot("x16", 16), {}),
        (OWN, Slot("x16", 4), {"narrow": "own", "narrow_lanes": 4, "narrow_of": 16}),
        (NETWORK.model_copy(update={"lanes": 4}), Slot("x4", 1), {}),  # said of the graphics card only
    ],
)
def test_a_slot_that_is_wired_for_fewer_lanes(card: Card, slot: Slot, facts: dict[str, Any]) -> None:
    problem = make_problem(make_survey(cards=(card,)), boards=[replace(BOARD, slots=(slot,))])
    (found,) = findings(fit_cards, problem)
    assert (found.verdict, dict(found.facts)) == ("fits", facts)


@pytest.mark.parametrize(
    ("width", "required", "slots", "question"),
    [
        (None, True, ("x16", "x1"), "card:own.width_slots"),  # two slots leave none for the network card
        (None, True, ("x16", "x1", "x1"), None),
        (None, False, ("x16", "x1"), None),  # the card that is not needed stays out then
        (1, True, ("x16", "x1"), None),
        (None, True, ("x1", "x16"), "card:own.width_slots"),  # it would reach beyond the last opening
    ],
)
def test_a_card_of_the_pc_of_unknown_width(
    width: int | None, required: bool, slots: tuple[str, ...], question: str | None
) -> None:
    """A card of double width covers two slots of 20.32 mm (boards reference, section 4)."""
    own = OWN.model_copy(update={"width_slots": width, "required": required})
    board = {"slots": tuple(Slot(kind, 16 if kind == "x16" else 1) for kind in slots)}
    assert asked({"slot_openings": 4 if len(slots) > 2 else 2}, own=(own, NETWORK), board=board) == (
        [] if question is None else [(question, "own")]
    )


@pytest.mark.parametrize(
    ("there", "height", "openings", "said"),
    [
        ("low", "low", "full", "own"),
        (None, "low", "full", "own"),
        ("full", "low", "full", None),  # so it is today
        ("low", "low", "low", None),
        ("low", None, "full", None),
    ],
)
def test_a_low_bracket_in_a_full_height_opening(
    there: str | None, height: str | None, openings: str, said: str | None
) -> None:
    """Brackets of 79.2 and 120 mm; a low-profile card needs its full bracket in a full-height case (boards
    reference, section 4)."""
    own = OWN.model_copy(update={"height": height})
    problem = make_problem(
        make_survey(cards=(own,), case=replace(CASE, slot_height=there)),
        BRIEF,
        cases=[replace(CASE, id="case-n", slot_height=openings)],
    )
    (found, *_) = findings(fit_cards, problem, pick(problem, case="case-n"))
    assert (found.verdict, found.fact("low_bracket")) == ("fits", said)
    kept = findings(fit_cards, problem, pick(problem, case="kept-case"))[0]
    assert kept.fact("low_bracket") is None
