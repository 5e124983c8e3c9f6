"""The cheapest sellers for some wishes: worked out by hand, and against trying every choice."""

from __future__ import annotations

from itertools import product
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsolver.base.quantities import FAR
from partsolver.catalog.records import Bundle, Offer, Seller
from partsolver.plan.allowed import Allowed
from partsolver.plan.buying_ways import Wish
from partsolver.plan.seller_search import SellerSearch, Trip, _growth_by_depth
from partsolver.problem.store import BuyingWay

A = Seller("a", "A", delivery=500)
B = Seller("b", "B", delivery=300, free_from=2000)
C = Seller("c", "C", minimum_order=1500)
SELLERS = {seller.id: seller for seller in (A, B, C)}


def allowed(**facts: Any) -> Allowed:
    return Allowed(lambda *_: True, lambda _: True, **facts)


def way(item: str, seller: str, price: int, quantity: int = 1, **facts: Any) -> BuyingWay:
    return BuyingWay(item, quantity, Offer(item, seller, price, **facts))


def search(
    *wishes: list[BuyingWay],
    bundles: tuple[Bundle, ...] = (),
    rules: Allowed | None = None,
    demanded: frozenset[str] = frozenset(),
    places: dict[int, int] | None = None,
    best: tuple[int, int] = (FAR, 0),
    trip: Trip | None = None,
    beside: int | None = None,
) -> SellerSearch:
    listed = [Wish(tuple(ways)) for ways in wishes]
    return SellerSearch(
        SELLERS, listed, bundles, rules or allowed(), demanded, places or {}, best, trip, beside
    )


def bought(found: SellerSearch) -> tuple[int, list[tuple[str, str]]] | None:
    if found.best is None:
        return None
    ways = found.way_of_wish()
    return found.bound, [(ways[i].item, ways[i].offer.seller) for i in sorted(ways)]


def test_goods_and_delivery_together() -> None:
    assert bought(search([way("x", "a", 1000), way("x", "b", 1250)])) == (1500, [("x", "a")])
    assert bought(search([way("x", "a", 1000), way("x", "b", 1150)])) == (1450, [("x", "b")])
    # Two at one seller share a delivery; from 2000 on B's is free.
    x, y = [way("x", "a", 1000), way("x", "b", 1100)], [way("y", "a", 900), way("y", "b", 950)]
    assert bought(search(x, y)) == (2050, [("x", "b"), ("y", "b")])
    x, y = [way("x", "a", 1000), way("x", "b", 1100)], [way("y", "a", 800), way("y", "b", 899)]
    assert bought(search(x, y)) == (2299, [("x", "b"), ("y", "b")])  # 1999 + 300 before 1800 + 500
    assert bought(search([way("x", "b", 500, 4)])) == (2000, [("x", "b")])
    assert bought(search([way("x", "b", 499, 4)])) == (2296, [("x", "b")])
    assert bought(search()) == (0, [])
    # Three pieces at 100 are dearer than one at 200.
    assert bought(search([way("x", "a", 100, 3), way("y", "a", 200)], best=(750, 0))) == (700, [("y", "a")])


def test_only_what_is_cheaper_counts() -> None:
    one = [way("x", "a", 1000)]
    assert bought(search(one, best=(1500, 0))) is None
    assert bought(search(one, best=(1501, 0))) == (1500, [("x", "a")])
    assert bought(search(one, best=(1499, 0))) is None
    # At equal cost only an earlier place is better.
    offer = one[0].offer
    assert bought(search(one, best=(1500, 3), places={id(offer): 2})) == (1500, [("x", "a")])
    assert bought(search(one, best=(1500, 3), places={id(offer): 3})) is None
    assert search(one, best=(1500, 3), places={id(offer): 2}).last == 2
    assert bought(search(one, best=(1500, 1), places={id(offer): 0})) == (1500, [("x", "a")])
    assert bought(search(one, best=(1499, 3), places={id(offer): 2})) is None
    # Where no delivery comes on top as well.
    whole = [way("x", "c", 1500)]
    assert bought(search(whole, best=(1500, 3), places={id(whole[0].offer): 2})) == (1500, [("x", "c")])
    # What has no place of its own stands at the first.
    beside = [way("y", "a", 100)]
    assert bought(search(one, beside, best=(1600, 1), places={id(offer): 0})) is not None
    assert bought(search(one, best=(1500, 1))) is not None and bought(search(best=(0, 1))) == (0, [])


def test_of_equal_costs_the_first_place() -> None:
    first, second = way("x", "a", 1000), way("y", "a", 1000)
    for listed in ([first, second], [second, first]):
        found = search(listed, places={id(first.offer): 4, id(second.offer): 7}, best=(FAR, 9))
        assert (bought(found), found.last) == ((1500, [("x", "a")]), 4)


ANY_ORDER = allowed(least_orders=False)


def test_the_cheapest_amount_is_the_bound_whatever_one_piece_costs() -> None:
    """At C nothing is delivered for money: 200 is below 250, three pieces at 100 are not, nor is 300."""
    for dearer in (way("x", "c", 100, 3), way("x", "c", 300)):
        for ways in ([way("y", "c", 200), dearer], [dearer, way("y", "c", 200)]):
            assert bought(search(ways, best=(250, 0), rules=ANY_ORDER)) == (200, [("y", "c")])


def looked_at(*wishes: list[BuyingWay], best: tuple[int, int] = (FAR, 0)) -> int:
    """Nodes of a search at C."""
    nodes = []

    class Counting(SellerSearch):
        def _search(self, depth: int, spent: int) -> None:
            nodes.append((depth, spent))
            super()._search(depth, spent)

    Counting(SELLERS, [Wish(tuple(ways)) for ways in wishes], (), ANY_ORDER, frozenset(), {}, best)
    return len(nodes)


def test_what_cannot_be_cheaper_is_not_looked_at() -> None:
    """1000 + 900 is found first: root, 1000, 1900. With 950, or with 1700 and 900, it would be dearer."""
    x, y = [way("x", "c", 1000), way("x", "c", 1700)], [way("y", "c", 900), way("y", "c", 950)]
    assert looked_at(x, y) == 3
    # As dear as what is known: left at the root, or where an earlier cooler may still be found, gone into.
    one = [way("x", "c", 1000)]
    assert (looked_at(one, best=(1000, 0)), looked_at(one, best=(1000, 1))) == (1, 2)
    assert (looked_at(one, best=(999, 1)), looked_at(one, best=(1001, 0))) == (1, 2)


def test_stock() -> None:
    few = way("x", "a", 1000, 2, stock=1)
    other = way("x", "b", 1500, 2)
    assert bought(search([few, other])) == (3000, [("x", "b")])
    assert bought(search([few, other], rules=allowed(count_stock=False))) == (2500, [("x", "a")])
    enough = way("x", "a", 1000, 2, stock=2)
    assert bought(search([enough, other])) == (2500, [("x", "a")])
    # Two wishes of the same offer share its stock.
    shared = Offer("x", "a", 1000, stock=3)
    two, elsewhere = BuyingWay("x", 2, shared), way("x", "b", 1600, 2)
    found = search([two, elsewhere], [two, elsewhere])
    assert found.bound == 2000 + 500 + 3200 and sorted(
        w.offer.seller for w in found.way_of_wish().values()
    ) == ["a", "b"]
    assert search([two], [two]).best is None
    assert search([two], [BuyingWay("x", 1, shared)]).bound == 3500


def test_the_least_order() -> None:
    assert bought(search([way("x", "c", 1500)])) == (1500, [("x", "c")])
    assert bought(search([way("x", "c", 1499)])) is None
    assert bought(search([way("x", "c", 1499)], rules=allowed(least_orders=False))) == (1499, [("x", "c")])
    assert bought(search([way("x", "c", 1000)], [way("y", "c", 500)])) == (1500, [("x", "c"), ("y", "c")])


def bundle(price: int, seller: str = "a") -> Bundle:
    return Bundle("set", "Set", "parts", (), seller, price)


def test_a_bundle_is_an_order_too() -> None:
    assert bought(search([way("x", "a", 1000), way("x", "b", 1000)], bundles=(bundle(3000),))) == (
        4500,
        [("x", "a")],
    )
    assert search(bundles=(bundle(3000), bundle(1000))).bound == 4500
    assert search([way("x", "b", 500)], bundles=(bundle(1500, "b"),)).bound == 2000
    assert search(bundles=(bundle(3000),), best=(3500, 0)).best is None
    # 14.99 in the set and 5.00 are one short of B's free delivery.
    assert search([way("x", "b", 500)], bundles=(bundle(1499, "b"),)).bound == 2299


def test_what_is_demanded() -> None:
    listed = [way("x", "a", 1000), way("y", "a", 1200)]
    assert bought(search(listed, demanded=frozenset({"y"}))) == (1700, [("y", "a")])
    assert bought(search(listed, demanded=frozenset({"z"}))) is None


def test_the_board_may_travel() -> None:
    """The board from A may not be sent in to the cheap service; the one from B may."""
    board = [way("board", "a", 1000), way("board", "b", 1400)]
    service = [way("update", "c", 2000), way("update", "a", 2900)]
    cheap = search(board, service, trip=Trip(0, None, 1))
    assert bought(cheap) == (3500, [("board", "a"), ("update", "c")])

    def allows(source: Any, offer: Offer) -> bool:
        assert offer.part == "update"
        return (None if source is None else source.seller) in ("b", offer.seller)

    found = search(board, service, trip=Trip(0, None, 1), rules=allowed(allows_trip=allows))
    assert bought(found) == (3700, [("board", "b"), ("update", "c")])
    assert bought(search(board, service, rules=allowed(allows_trip=allows))) == (
        3500,
        [("board", "a"), ("update", "c")],
    )
    # From a bundle, or from the PC.
    found = search(service, trip=Trip(None, bundle(0, "a"), 0), rules=allowed(allows_trip=allows))
    assert bought(found) == (3400, [("update", "a")])
    assert search(service, trip=Trip(None, None, 0), rules=allowed(allows_trip=allows)).best is None


def test_few_ways_first() -> None:
    found = search(
        [way("x", "a", 1), way("x", "b", 2), way("x", "c", 3)], [way("y", "a", 1)], [way("z", "a", 1)]
    )
    assert found.order == [1, 2, 0]


def test_a_bound_whatever_is_bought_beside() -> None:
    """So much more may make B's delivery free, and C's order large enough; A's delivery is due whatever."""
    assert search([way("x", "b", 1500)], beside=499).bound == 1800
    assert search([way("x", "b", 1500)], beside=500).bound == 1500
    assert search([way("x", "c", 1000)], beside=0).bound == 1000
    assert search([way("x", "a", 1000)], beside=9999).bound == 1500
    assert search([way("x", "a", 1000)], beside=9999, best=(1400, 0)).bound == 1400


def test_how_much_goods_can_grow() -> None:
    ways = [[way("x", "a", 10, 3), way("x", "a", 20), way("x", "b", 5)], [way("y", "b", 7), way("y", "b", 4)]]
    assert _growth_by_depth(ways, {}) == [{"a": 30, "b": 12}, {"b": 7}, {}]
    assert _growth_by_depth(ways, {"c": 9, "b": 1}) == [
        {"a": 30, "b": 13, "c": 9},
        {"b": 8, "c": 9},
        {"c": 9, "b": 1},
    ]
    assert _growth_by_depth([], {}) == [{}]
    three = [[way("x", "c", 1)], [way("y", "b", 2)], [way("z", "a", 3)]]
    assert _growth_by_depth(three, {}) == [{"a": 3, "b": 2, "c": 1}, {"a": 3, "b": 2}, {"a": 3}, {}]


PRICES = st.integers(1, 12).map(lambda n: 100 * n)
WAYS = st.lists(
    st.tuples(st.sampled_from("abc"), PRICES, st.sampled_from([None, 1, 2])), min_size=1, max_size=4
)


@given(st.lists(WAYS, min_size=1, max_size=4), st.sampled_from([FAR, 2500, 4000]))
def test_against_every_choice(drawn: list[list[tuple[str, int, int | None]]], below: int) -> None:
    wishes = [
        [way(f"i{n}", seller, price, stock=stock) for seller, price, stock in ways]
        for n, ways in enumerate(drawn)
    ]
    costs = []
    for choice in product(*wishes):
        goods: dict[str, int] = {}
        for one in choice:
            goods[one.offer.seller] = goods.get(one.offer.seller, 0) + one.offer.price
        if goods.get("c", 1500) >= 1500:
            costs.append(
                sum(goods.values()) + 500 * ("a" in goods) + 300 * ("b" in goods and goods["b"] < 2000)
            )
    found = search(*wishes, best=(below, 0))
    right = min((cost for cost in costs if cost < below), default=None)
    assert (None if found.best is None else found.bound) == right


@pytest.mark.parametrize("below", [FAR, 10**9])
def test_far_is_more_than_anything(below: int) -> None:
    assert bought(search([way("x", "a", 10**8)], best=(below, 0))) == (10**8 + 500, [("x", "a")])
