"""The law of delivery at its edges, and that its bounds never lie above any order that may still come.

Common practice of shops: one charge an order, none from a value of goods on, a least value below which no
order is taken.
"""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from partsolver.catalog.records import Seller
from partsolver.plan import delivery

SHOP = Seller(
    id="shop", name="Shop", kind="shop", delivery=590, free_from=5000, minimum_order=1000, delivery_days=3
)
PLAIN = Seller(
    id="plain", name="Plain", kind="shop", delivery=450, free_from=None, minimum_order=0, delivery_days=3
)
SELLERS = {"shop": SHOP, "plain": PLAIN}


def test_free_from_the_value_on_not_before() -> None:
    assert [delivery.charge(SHOP, goods) for goods in (4999, 5000, 5001)] == [590, 0, 0]
    assert delivery.charge(PLAIN, 10**9) == 450
    assert delivery.cost_alone(SHOP, [2000, 2999]) == 5589
    assert delivery.cost_alone(SHOP, [2000, 3000]) == 5000


def test_least_order() -> None:
    assert [delivery.order_is_taken(SHOP, goods) for goods in (999, 1000)] == [False, True]
    assert delivery.orders_are_taken(SELLERS, {"shop": 1000, "plain": 1})
    assert not delivery.orders_are_taken(SELLERS, {"shop": 999, "plain": 1})


def test_charges_of_an_order() -> None:
    assert delivery.charges(SELLERS, {"shop": 4999, "plain": 1}) == {"plain": 450, "shop": 590}
    assert list(delivery.charges(SELLERS, {"shop": 5000, "plain": 1})) == ["plain", "shop"]


def test_what_a_larger_order_saves_at_most() -> None:
    assert (delivery.most_saved_by_larger_order(SHOP), delivery.most_saved_by_larger_order(PLAIN)) == (590, 0)


def test_the_least_charge_of_goods_that_may_grow() -> None:
    assert [delivery.certain_charge(SHOP, 4000, still) for still in (0, 999, 1000)] == [590, 590, 0]
    assert delivery.certain_charge(PLAIN, 1, 10**9) == 450
    goods = {"shop": 4000, "plain": 7}
    assert delivery.certain_charges(SELLERS, goods, {}) == 1040
    assert delivery.certain_charges(SELLERS, goods, {"shop": 999}) == 1040
    assert delivery.certain_charges(SELLERS, goods, {"shop": 1000, "plain": 9}) == 450


VALUES = st.integers(0, 10_000)


@given(
    goods=st.dictionaries(st.sampled_from(["shop", "plain"]), VALUES),
    more=st.dictionaries(st.sampled_from(["shop", "plain"]), VALUES),
    part=st.fractions(0, 1),
)
def test_a_certain_charge_is_at_most_that_of_any_larger_order(
    goods: dict[str, int], more: dict[str, int], part: float
) -> None:
    """The bound of the search: whatever part of ``more`` is really added, the charges are at least the
    certain ones."""
    certain = delivery.certain_charges(SELLERS, goods, more)
    later = {name: value + int(more.get(name, 0) * part) for name, value in goods.items()}
    assert certain <= sum(delivery.charges(SELLERS, later).values())
    assert delivery.certain_charges(SELLERS, goods, {}) == sum(delivery.charges(SELLERS, goods).values())
