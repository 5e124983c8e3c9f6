"""Where cards go, by hand: edge connectors, widths, openings, brackets, and whose turn it is.

PCI Express card electromechanical specification: a card goes into any slot as long as its edge or longer; slots and
openings lie 20.32 mm apart, so that card i stands behind opening i.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support import CASE

from partsolver.assembly.cards import Placement, bracket_fits, lanes_of, place, takes
from partsolver.catalog.sockets import Slot
from partsolver.survey.model import Card

WIDE_OPEN = replace(CASE, slot_openings=7, slot_height="full", max_card_length_mm=None)


def slot(kind: str, lanes: int | None = None) -> Slot:
    return Slot(kind, int(kind[1:]) if lanes is None and kind[0] == "x" else lanes or 0)


def card(name: str, **facts: Any) -> Card:
    return Card(**({"name": name, "kind": "other", "bus": "pcie", "lanes": 1} | facts))


@pytest.mark.parametrize(
    ("slot_kind", "facts", "goes_in"),
    [
        ("x1", {"lanes": 1}, True),
        ("x1", {"lanes": 4}, False),
        ("x4", {"lanes": 4}, True),
        ("x8", {"lanes": 4}, True),
        ("x8", {"lanes": 16}, False),
        ("x16", {"lanes": 16}, True),
        ("pci", {"lanes": 1}, False),
        ("pci", {"bus": "pci"}, True),
        ("agp", {"bus": "agp"}, True),
        ("agp", {"bus": "pci"}, False),
        ("pci", {"bus": "agp"}, False),
        ("x16", {"bus": "agp"}, False),
        # Nobody said: a graphics card has 16 lanes, another one.
        ("x8", {"kind": "graphics", "lanes": None, "bus": None}, False),
        ("x16", {"kind": "graphics", "lanes": None, "bus": None}, True),
        ("x1", {"lanes": None, "bus": None}, True),
    ],
)
def test_edge_connectors(slot_kind: str, facts: dict[str, Any], goes_in: bool) -> None:
    assert takes(slot(slot_kind), card("c", **facts)) is goes_in


def test_lanes() -> None:
    assert [
        lanes_of(card("c", lanes=n, kind=k)) for n, k in ((4, "other"), (None, "other"), (None, "graphics"))
    ] == [
        4,
        1,
        16,
    ]


@pytest.mark.parametrize(
    ("case", "facts", "fits"),
    [
        ({"slot_height": "low"}, {"height": "full"}, False),
        ({"slot_height": "low"}, {"height": "low"}, True),
        ({"slot_height": "low"}, {"height": None}, True),
        ({"slot_height": "full"}, {"height": "full"}, True),
        ({"slot_height": None}, {"height": "full"}, True),
        ({"max_card_length_mm": 200}, {"length_mm": 200}, True),
        ({"max_card_length_mm": 200}, {"length_mm": 201}, False),
        ({"max_card_length_mm": 200}, {"length_mm": None}, True),
        ({"max_card_length_mm": None}, {"length_mm": 900}, True),
    ],
)
def test_brackets_and_lengths(case: dict[str, Any], facts: dict[str, Any], fits: bool) -> None:
    assert bracket_fits(replace(WIDE_OPEN, **case), card("c", **facts)) is fits


def test_short_slots_first_and_of_equal_ones_that_with_the_lanes() -> None:
    slots = (slot("x16"), slot("x1"), slot("x16", 4))
    assert place([card("net")], slots, WIDE_OPEN).placed == (("net", 1),)
    assert place([card("drawer", kind="graphics", lanes=16)], slots[::-1], WIDE_OPEN).placed == (
        ("drawer", 2),
    )
    # More lanes than the card has are no gain: then the first.
    assert place([card("four", lanes=4)], (slot("x16", 4), slot("x16")), WIDE_OPEN).placed == (("four", 0),)


def test_a_wide_card_covers_the_openings_beside_it() -> None:
    slots = (slot("x16"), slot("x1"), slot("x1"))
    wide = card("drawer", kind="graphics", lanes=16, width_slots=2)
    found = place([wide, card("net")], slots, WIDE_OPEN)
    assert found == Placement((("drawer", 0), ("net", 2)), (), ())
    assert found.slot_of("net") == 2 and found.slot_of("drawer") == 0 and found.slot_of("other") is None
    assert place([wide], slots, WIDE_OPEN) == Placement((("drawer", 0),), (), (2,))
    # Its second opening must be there too.
    assert place([wide], slots, replace(WIDE_OPEN, slot_openings=1)) == Placement((), ("drawer",), (0,))
    assert place([wide], slots, replace(WIDE_OPEN, slot_openings=2)) == Placement((("drawer", 0),), (), ())
    # Nobody counted the openings: one for each slot.
    assert place([wide], slots[:1], replace(WIDE_OPEN, slot_openings=None)) == Placement(
        (), ("drawer",), (0,)
    )
    assert place([card("net")], slots[1:], replace(WIDE_OPEN, slot_openings=None)).free == (1,)


def test_whose_turn_it_is() -> None:
    """Required ones, then graphics, then the order of the survey."""
    one = (slot("x16"),)
    net, sound = card("net", required=False), card("sound", required=False)
    drawer = card("drawer", kind="graphics", lanes=16, required=False)
    assert place([net, sound], one, WIDE_OPEN).placed == (("net", 0),)
    assert place([net, drawer], one, WIDE_OPEN).placed == (("drawer", 0),)
    assert place([drawer, net, card("needed", required=True)], one, WIDE_OPEN).left == ("drawer", "net")
    assert place([], one, WIDE_OPEN) == Placement((), (), (0,))


@given(
    kinds=st.lists(st.sampled_from(["x1", "x4", "x16", "pci"]), max_size=4),
    facts=st.lists(
        st.tuples(
            st.sampled_from([("pcie", 1), ("pcie", 4), ("pcie", 16), ("pci", 1)]),
            st.integers(1, 2),
            st.booleans(),
        ),
        max_size=4,
    ),
    openings=st.integers(1, 5),
)
def test_against_trying_every_way(
    kinds: list[str], facts: list[tuple[tuple[str, int], int, bool]], openings: int
) -> None:
    """The cards that find a place are those of the best of all ways, the first card by importance counting most."""
    slots = tuple(slot(kind) for kind in kinds)
    cards = [
        card(f"c{n}", bus=bus, lanes=lanes, width_slots=width, required=required)
        for n, ((bus, lanes), width, required) in enumerate(facts)
    ]
    case = replace(WIDE_OPEN, slot_openings=openings)
    found = place(cards, slots, case)
    order = [c for c in cards if c.required] + [c for c in cards if not c.required]

    def works(places: tuple[int | None, ...]) -> bool:
        taken = [
            at + step
            for c, at in zip(order, places, strict=True)
            if at is not None
            for step in range(c.width_slots or 1)
        ]
        return (
            len(taken) == len(set(taken))
            and all(t < openings for t in taken)
            and all(at is None or takes(slots[at], c) for c, at in zip(order, places, strict=True))
        )

    choices = [*range(len(slots)), *[None] * len(order)]
    ways = {way for way in permutations(choices, len(order)) if works(way)}
    best = max(tuple(at is not None for at in way) for way in ways)
    assert tuple(c.name not in found.left for c in order) == best
    by_name = dict(found.placed)
    assert works(tuple(by_name.get(c.name) for c in order))
    covered = {
        at + step
        for c in cards
        if (at := by_name.get(c.name)) is not None
        for step in range(c.width_slots or 1)
    }
    assert found.free == tuple(i for i in range(len(slots)) if i not in covered and i < openings)
