"""What a second order costs when a part arrives dead or does not fit (goods plus one delivery: common
practice of shops)."""

from __future__ import annotations

import datetime
from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, CPU, KIT, SELLER, TODAY, make_problem

from partsolver.catalog.records import Bundle, Extra, Offer, Seller
from partsolver.plan.chosen import chosen_draft
from partsolver.plan.make import make_plan
from partsolver.plan.outcome import Plan, SecondOrder
from partsolver.plan.second_order import NO_GOODS
from partsolver.rules import all_rules

IDS = ("board-a", "cpu-a", "kit-a")


def plan_of(offers: list[Offer], sellers: tuple[Seller, ...] = (SELLER,), **tables: Any) -> Plan:
    problem = make_problem(offers=offers, sellers=sellers, **tables)
    return make_plan(problem, chosen_draft(problem, IDS, all_rules()), all_rules(), 1, 0, None)


def again(plan: Plan, part: str) -> SecondOrder:
    return next(order for order in plan.second_orders if order.part == part)


def offer(part: str, price: int, seller: str = "shop", **facts: Any) -> Offer:
    return Offer(part=part, seller=seller, price=price, condition="new", **facts)


OTHER = Seller(id="other", name="Other", delivery=700)
REST = [offer("cpu-a", 8000), offer("kit-a", 3000)]


def test_delivery_that_the_large_order_had_free_is_paid_now() -> None:
    shop = replace(SELLER, delivery=490, free_from=10000)
    plan = plan_of([offer("board-a", 6000), *REST], (shop,))
    assert plan.draft.cost == 17000
    order = again(plan, "board-a")
    assert (order.id, order.cost, order.back) == ("board-a", 6490, 6000)
    first = TODAY + datetime.timedelta(days=shop.delivery_days)
    assert order.arrival == first + datetime.timedelta(days=shop.delivery_days)


def test_the_only_piece_is_ordered_elsewhere() -> None:
    plan = plan_of([offer("board-a", 6000, stock=1), offer("board-a", 7000, "other"), *REST], (SELLER, OTHER))
    assert (again(plan, "board-a").seller, again(plan, "board-a").cost) == ("other", 7700)


def test_where_more_than_that_piece_are_left_it_is_ordered_there() -> None:
    for stock in (2, 3, 9):
        plan = plan_of(
            [offer("board-a", 6000, stock=stock), offer("board-a", 7000, "other"), *REST], (SELLER, OTHER)
        )
        assert again(plan, "board-a").seller == "shop"


def test_the_only_piece_anywhere_is_followed_by_a_stand_in() -> None:
    twin = replace(BOARD, id="board-b", name="Board B")
    plan = plan_of([offer("board-a", 6000, stock=1), offer("board-b", 6500), *REST], boards=(BOARD, twin))
    assert (again(plan, "board-a").id, again(plan, "board-a").cost) == ("board-b", 6500)


def test_where_nothing_is_left_that_is_said() -> None:
    plan = plan_of([offer("board-a", 6000, stock=1), *REST])
    assert again(plan, "board-a") == SecondOrder("board-a", None, None, None, None, 6000)


def test_nothing_comes_back_where_nothing_is_taken_back() -> None:
    plan = plan_of([offer("board-a", 6000), *REST], (replace(SELLER, returns_days=0),))
    assert [order.back for order in plan.second_orders] == [0, 0, 0]


@pytest.mark.parametrize(("least", "seller"), [(6000, "shop"), (6001, "other")])
def test_an_order_below_the_least_order_is_not_taken(least: int, seller: str) -> None:
    other = Seller(id="other", name="Other")
    offers = [offer("board-a", 6000), offer("board-a", 9000, "other"), *REST]
    plan = plan_of(offers, (replace(SELLER, minimum_order=least), other))
    assert again(plan, "board-a").seller == seller


@pytest.mark.parametrize(("days", "cost"), [(3, 6000), (2, 9000)])
def test_a_price_that_has_ended_when_the_first_is_there_does_not_count(days: int, cost: int) -> None:
    until = TODAY + datetime.timedelta(days=days)
    plan = plan_of([offer("board-a", 6000, valid_until=until), offer("board-a", 9000), *REST])
    assert again(plan, "board-a").cost == cost


def test_of_kits_one_is_ordered_again() -> None:
    one = replace(KIT, modules=1)
    problem = make_problem(memory=(one,), offers=[offer("board-a", 6000), *REST])
    draft = chosen_draft(problem, ("board-a", "cpu-a", "kit-a*2"), all_rules())
    plan = make_plan(problem, draft, all_rules(), 1, 0, None)
    assert again(plan, "kit-a").cost == 3000


def test_the_last_used_one_is_followed_by_a_new_one_that_fits() -> None:
    used = replace(offer("board-a", 4000, stock=1), condition="used", shield="included", firmware="1.10")
    plan = plan_of([used, offer("board-a", 6000), *REST])
    assert plan.draft.cost == 15000
    assert again(plan, "board-a").cost == 6000


def test_a_new_one_that_would_not_start_the_processor_is_no_second_one() -> None:
    used = replace(offer("board-a", 4000, stock=1), condition="used", shield="included", firmware="1.10")
    old = replace(BOARD, firmware_shipped="0.90", flash_without_cpu=False)
    plan = plan_of([used, offer("board-a", 6000), *REST], boards=(old,))
    assert plan.admitted
    assert again(plan, "board-a").id is None


def test_what_a_bundle_holds_is_ordered_alone_and_nobody_knows_what_comes_back() -> None:
    bundle = Bundle(
        "set", "Set", "parts", (("board-a", 1), ("cpu-a", 1), ("kit-a", 1)), "shop", 9000, condition="new"
    )
    plan = plan_of([offer("board-a", 6000), *REST], bundles=(bundle,))
    assert plan.draft.cost == 9000
    assert (again(plan, "cpu-a").cost, again(plan, "cpu-a").back) == (8000, None)


def test_extras_are_ordered_again() -> None:
    shield = replace(BOARD, shield="missing")
    extra = Extra(id="shield", name="Shield", kind="io-shield", takes=("board-a",), gives=(), count=1)
    offers = [offer("board-a", 6000), offer("shield", 500), *REST]
    plan = plan_of(offers, (replace(SELLER, delivery=300),), boards=(shield,), extras=(extra,))
    assert again(plan, "shield").cost == 800
    assert CPU.id in {order.part for order in plan.second_orders}


def test_one_in_another_state_that_fits_as_well_is_one_of_the_same() -> None:
    """Used with newer firmware than it is shipped with: the new one is another candidate, and starts the processor too."""
    used = replace(offer("board-a", 4000, stock=1), condition="used", shield="included", firmware="1.11")
    plan = plan_of([used, offer("board-a", 6000), *REST])
    assert plan.draft.cost == 15000
    assert (again(plan, "board-a").id, again(plan, "board-a").cost, again(plan, "board-a").back) == (
        "board-a",
        6000,
        4000,
    )
    # The cheapest of them, whichever state: a second used one before the new one.
    more = replace(used, price=4500, stock=None, firmware="1.12")
    plan = plan_of([used, more, offer("board-a", 6000), *REST])
    assert again(plan, "board-a").cost == 4500


@pytest.mark.parametrize(
    ("others", "found"),
    [
        ([("b", 6000, 0)], ("b", 6000)),
        ([("b", 6000, 0), ("c", 5900, 0)], ("c", 5900)),
        ([("b", 5900, 0), ("c", 5900, 5)], ("b", 5900)),  # at equal cost the earlier one
        ([("b", 5900, 5), ("c", 5900, 0)], ("c", 5900)),
        ([("c", 5900, 0), ("b", 5900, 0)], ("b", 5900)),  # then the seller whose id comes first
    ],
)
def test_the_cheapest_way_then_the_earliest(
    others: list[tuple[str, int, int]], found: tuple[str, int]
) -> None:
    sellers = [SELLER, *(Seller(id=n, name=n, delivery_days=3 + later) for n, _, later in others)]
    offers = [offer("board-a", 5000, stock=1), *(offer("board-a", price, n) for n, price, _ in others), *REST]
    plan = plan_of(offers, tuple(sellers))
    order = again(plan, "board-a")
    assert (order.seller, order.cost) == found
    late = next(later for n, _, later in others if n == found[0])
    assert order.arrival == TODAY + datetime.timedelta(days=3 + 3 + late)


@pytest.mark.parametrize(("stock", "again_there"), [(None, True), (3, True), (2, False)])
def test_pieces_that_the_first_order_takes_are_gone(stock: int | None, again_there: bool) -> None:
    """Two kits of three: a third is left."""
    kits = offer("kit-a", 3000, stock=stock)
    problem = make_problem(memory=(replace(KIT, modules=1),), offers=[offer("board-a", 6000), REST[0], kits])
    draft = chosen_draft(problem, ("board-a", "cpu-a", "kit-a*2"), all_rules())
    plan = make_plan(problem, draft, all_rules(), 1, 0, None)
    assert (again(plan, "kit-a").id == "kit-a") is again_there


def test_work_and_licences_do_not_break() -> None:
    assert NO_GOODS == ("os-licence", "firmware-update")
    service = Extra(id="update", name="Update", kind="firmware-update")
    old = replace(BOARD, cpu_families=(("fam-1", "2.00"),), flash_without_cpu=False)
    plan = plan_of([offer("board-a", 6000), offer("update", 900), *REST], boards=(old,), extras=(service,))
    assert "update" in {line.item for line in plan.draft.lines}
    assert [order.part for order in plan.second_orders] == ["board-a", "cpu-a", "kit-a"]


def test_what_must_not_be_used_is_not_ordered_again() -> None:
    plan = plan_of([offer("board-a", 6000, stock=1), *REST])
    assert again(plan, "board-a").id is None
    twin = replace(BOARD, id="board-b")
    offers = [offer("board-a", 6000, stock=1), offer("board-b", 6500, stock=0), *REST]
    assert again(plan_of(offers, boards=(BOARD, twin)), "board-a").id is None
