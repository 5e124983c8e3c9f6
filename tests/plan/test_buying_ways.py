"""Ways to buy one item that can never win, by hand (the law of delivery: `plan/delivery.py`)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import COOLER, make_problem, pick

from partsolver.catalog.records import Extra, Offer, Seller
from partsolver.plan.allowed import Allowed
from partsolver.plan.buying_ways import wish_for_one_cooler, wish_for_part, wishes_for_needs
from partsolver.plan.draft import Need
from partsolver.problem.problem import Problem

PLAIN = Seller("plain", "Plain", delivery=500)
FREE = Seller("free", "Free", delivery=300, free_from=2000)
LEAST = Seller("least", "Least", delivery=100, minimum_order=1500)
SELLERS = (PLAIN, FREE, LEAST)
X, Y = Extra("x", "X", kind="k"), Extra("y", "Y", kind="k")


def offer(seller: str, price: int, part: str = "x", **facts: Any) -> Offer:
    return Offer(part, seller, price, **facts)


def pc(*offers: Offer) -> Problem:
    return make_problem(extras=(X, Y), sellers=(*SELLERS,), offers=offers)


def allowed(offers: Any = lambda *_: True, **facts: Any) -> Allowed:
    return Allowed(offers, lambda _: True, **facts)


def need(*options: tuple[str, int], kind: str = "k", key: str = "n") -> Need:
    return Need("rule", key, kind, options)


def useful(problem: Problem, *options: tuple[str, int], rules: Allowed | None = None, kind: str = "k") -> Any:
    (wish,) = wishes_for_needs(problem, [need(*options or (("x", 1),), kind=kind)], rules or allowed())
    return [(way.item, way.offer.seller, way.quantity * way.offer.price) for way in wish.ways]


@pytest.mark.parametrize(
    ("offers", "left"),
    [
        # At one seller the cheapest alone.
        ((offer("plain", 1000), offer("plain", 1001)), [("plain", 1000)]),
        # Elsewhere a dearer one saves the delivery there at most (500), and lifts no order.
        ((offer("plain", 1000), offer("free", 1800)), [("plain", 1000), ("free", 1800)]),
        ((offer("plain", 1000), offer("free", 1801)), [("plain", 1000)]),  # 1000 + 500 + 300
        # At a seller with a free delivery up to its charge dearer than the cheapest there.
        ((offer("free", 1000), offer("free", 1300)), [("free", 1000), ("free", 1300)]),
        ((offer("free", 1000), offer("free", 1301)), [("free", 1000)]),
        ((offer("plain", 1800), offer("free", 1000)), [("free", 1000)]),  # 1000 + 300 is less
        ((offer("plain", 1300), offer("free", 1000)), [("free", 1000), ("plain", 1300)]),
        ((offer("plain", 1301), offer("free", 1000)), [("free", 1000)]),
        # With a least order a dearer one may be what reaches it.
        ((offer("least", 1000), offer("least", 1499)), [("least", 1000), ("least", 1499)]),
        ((offer("least", 1000), offer("least", 9000)), [("least", 1000), ("least", 9000)]),
        ((offer("least", 1500), offer("least", 1501)), [("least", 1500)]),
        ((offer("plain", 1000), offer("least", 9000)), [("plain", 1000), ("least", 9000)]),
        # One at a seller with a least order beats nothing elsewhere.
        ((offer("least", 100), offer("plain", 9000)), [("least", 100), ("plain", 9000)]),
        # Twice the same amount at one seller: the first; a stock that may run short needs a fallback.
        ((offer("plain", 1000), offer("plain", 1000, stock=5)), [("plain", 1000)]),
        ((offer("plain", 1000, stock=5), offer("plain", 1000)), [("plain", 1000)]),
        ((offer("plain", 1000, stock=1), offer("plain", 1000)), [("plain", 1000)]),
        (
            (offer("plain", 1000), offer("plain", 1000), offer("free", 1100)),
            [("plain", 1000), ("free", 1100)],
        ),
        ((offer("plain", 1000, stock=0), offer("plain", 1200)), [("plain", 1000), ("plain", 1200)]),
        ((offer("plain", 1000, stock=1), offer("plain", 1200)), [("plain", 1000)]),
    ],
)
def test_ways_that_can_win(offers: Any, left: list[tuple[str, int]]) -> None:
    assert [(seller, amount) for _, seller, amount in useful(pc(*offers))] == left


def test_stock_is_asked_for_all_that_is_taken() -> None:
    """Two needs take three pieces at most: of a stock of two the dearer way stays."""
    problem = pc(offer("plain", 1000, stock=2), offer("plain", 1200))
    needs = [need(("x", 2), key="a"), need(("x", 1), key="b")]
    wishes = wishes_for_needs(problem, needs, allowed())
    assert [[w.quantity * w.offer.price for w in wish.ways] for wish in wishes] == [
        [2000, 2400],
        [1000, 1200],
    ]
    assert [wish.need for wish in wishes] == needs
    assert [len(w.ways) for w in wishes_for_needs(problem, needs[:1], allowed())] == [1]
    # Of several options the most pieces count.
    wide = need(("x", 1), ("y", 3), key="c")
    both = pc(offer("plain", 1000, stock=2), offer("plain", 1200), offer("plain", 9000, "y"))
    assert [w.offer.price for w in wishes_for_needs(both, [wide], allowed())[0].ways] == [1000, 1200]


def test_only_what_is_allowed_and_what_is_demanded() -> None:
    problem = pc(offer("plain", 1000), offer("plain", 9000, "y"))
    options = (("x", 1), ("y", 1))
    assert useful(problem, *options) == [("x", "plain", 1000)]
    kept = useful(problem, *options, rules=allowed(demanded=frozenset({"y"})))
    assert kept == [("x", "plain", 1000), ("y", "plain", 9000)]
    dear = allowed(lambda offer, quantity: offer.price > 1000)
    assert useful(problem, *options, rules=dear) == [("y", "plain", 9000)]
    assert useful(problem, ("x", 2), rules=allowed(lambda offer, quantity: quantity < 2)) == []


def test_of_a_service_all_ways_stay_where_trips_matter() -> None:
    problem = pc(offer("plain", 1000), offer("plain", 9000, "y"))
    options = (("x", 1), ("y", 1))
    trips = allowed(allows_trip=lambda *_: True)
    assert len(useful(problem, *options, rules=trips, kind="firmware-update")) == 2
    assert len(useful(problem, *options, kind="firmware-update")) == 1
    assert len(useful(problem, *options, rules=trips)) == 1


def test_ways_are_remembered_for_the_same_rules_and_pieces() -> None:
    problem, rules = pc(offer("plain", 1000)), allowed()
    first = wishes_for_needs(problem, [need(("x", 1))], rules)[0].ways
    assert wishes_for_needs(problem, [need(("x", 1))], rules)[0].ways is first
    none = allowed(lambda *_: False)
    assert wishes_for_needs(problem, [need(("x", 1))], none)[0].ways == ()
    assert wishes_for_needs(problem, [], rules) == []


def test_a_part_and_one_of_several_coolers() -> None:
    offers = [
        Offer("board-a", "shop", 5000),
        Offer("board-a", "other", 5100),
        Offer("cpu-a", "shop", 1),
        Offer("kit-a", "shop", 1),
    ]
    offers += [
        Offer("cooler-a", "shop", 2000),
        Offer("cooler-b", "shop", 2000),
        Offer("cooler-c", "shop", 2001),
    ]
    coolers = [replace(COOLER, id=f"cooler-{n}") for n in "abc"]
    sellers = (Seller("shop", "Shop"), Seller("other", "Other"))
    problem = make_problem(offers=offers, coolers=coolers, sellers=sellers)
    board = pick(problem).candidate("board")
    wish = wish_for_part(board, allowed())
    assert [(w.item, w.quantity, w.offer.seller) for w in wish.ways] == [
        ("board-a", 1, "shop"),
        ("board-a", 1, "other"),
    ]
    assert (wish.slot, wish.need) == ("board", None)
    listed = list(enumerate(problem.slot("cooler")))
    for order in (listed, listed[::-1]):
        found = wish_for_one_cooler(problem, order, allowed())
        assert found.slot == "cooler" and [w.item for w in found.ways] == ["cooler-a"]
    # One is bought: the only piece of the cheapest is enough.
    offers[4] = replace(offers[4], stock=1)
    problem = make_problem(offers=offers, coolers=coolers, sellers=sellers)
    found = wish_for_one_cooler(problem, list(enumerate(problem.slot("cooler"))), allowed())
    assert [w.item for w in found.ways] == ["cooler-a"]
