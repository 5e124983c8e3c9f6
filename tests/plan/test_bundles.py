"""What a bundle holds, as groups of parts that are bought together."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, make_problem, pick

from partsolver.catalog.records import Bundle, Offer
from partsolver.plan.bundles import bundle_group, purchase_group, usable_bundles
from partsolver.problem.problem import Problem

OFFERS = [
    Offer("board-a", "shop", 1),
    Offer("cpu-a", "shop", 1),
    Offer("kit-a", "shop", 1),
    Offer("cooler-a", "shop", 1),
]


def bundle(*items: tuple[str, int], name: str = "set", **facts: Any) -> Bundle:
    return Bundle(name, name, "parts", items, "shop", 100, **facts)


def pc(*bundles: Bundle, offers: Any = OFFERS, **tables: Any) -> Problem:
    return make_problem(offers=offers, bundles=bundles, **tables)


@pytest.mark.parametrize(
    ("items", "groups"),
    [
        ((("board-a", 1),), (("board", "board-a", 1),)),
        ((("cpu-a", 1), ("board-a", 1)), (("cpu", "cpu-a", 1), ("board", "board-a", 1))),
        ((("kit-a", 2),), (("memory", "kit-a", 2),)),
        ((("kit-a", 1), ("cooler-a", 1)), (("memory", "kit-a", 1), ("cooler", "cooler-a", 1))),
        ((("kit-a", 5),), ()),  # no choice takes five kits
        ((("board-a", 2),), ()),
        ((("board-a", 1), ("drive-a", 1)), ()),  # an item that fills no slot here
        ((("board-a", 1), ("board-b", 1)), ()),  # two of one slot
    ],
)
def test_goods_of_a_bundle(items: Any, groups: Any) -> None:
    more = [Offer("board-b", "shop", 1)]
    one = bundle(*items)
    problem = pc(
        one,
        bundle(("cpu-a", 1), name="other"),
        offers=[*OFFERS, *more],
        boards=[BOARD, replace(BOARD, id="board-b")],
    )
    assert bundle_group(problem, one) == groups
    assert [b.id for b in usable_bundles(problem)] == (["other", "set"] if groups else ["other"])
    assert bundle_group(problem, bundle(name="unknown")) == ()


def test_what_is_sold_in_several_states_goes_by_its_state() -> None:
    """Used in the set, its firmware and shield as the set says: another board than the new one."""
    used = bundle(("board-a", 1), ("kit-a", 1), condition="used", firmware="1.05", shield="included")
    problem = pc(used)
    ((slot, goods, count), memory) = bundle_group(problem, used)
    assert (slot, count, memory) == ("board", 1, ("memory", "kit-a", 1)) and goods != "board-a"
    states = [c for c in problem.slot("board") if c.id == "board-a"]
    assert {purchase_group(c)[1] for c in states} == {"board-a", goods}
    own = next(c for c in states if c.key == goods)
    assert own.part.firmware_shipped == "1.05"


def test_groups_of_candidates() -> None:
    problem = pc()
    parts = pick(problem, memory="kit-a*2", cooler="cooler-a")
    assert purchase_group(parts.candidate("board")) == ("board", "board-a", 1)
    assert purchase_group(parts.candidate("memory")) == ("memory", "kit-a", 2)
    assert purchase_group(parts.candidate("cooler")) == ("cooler", "cooler-a", 1)
    assert list(usable_bundles(problem)) == []
