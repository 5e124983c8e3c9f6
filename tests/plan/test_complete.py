"""Parts completed and bought, on tiny catalogues: sums worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, COOLER, CPU, KIT, SELLER, make_problem, pick

from partsolver.base.quantities import FAR
from partsolver.catalog.records import Bundle, Extra, Offer, Seller
from partsolver.performance.time import time_ppm
from partsolver.plan.complete import (
    admitted,
    allowed_by,
    buy,
    complete,
    draft_as_picked,
    draft_of,
    judge,
)
from partsolver.plan.cooler_choice import all_needs, needs_to_buy
from partsolver.plan.draft import Draft, Need
from partsolver.plan.purchase import (
    bundles_beside,
    bundles_within,
    cheapest,
    cheapest_alone,
    cheapest_cooler,
    least_beside_cooler,
    least_of,
    least_price,
    with_cooler,
)
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.wishes.brief import Brief

RULES = all_rules()
SHOP = replace(SELLER, delivery=500, free_from=20_000)
OTHER = Seller("other", "Other", delivery=300)
BASE = (
    Offer("board-a", "shop", 6000),
    Offer("cpu-a", "shop", 8000),
    Offer("kit-a", "shop", 3000),
    Offer("cooler-a", "shop", 1200),
)
NO_BOX = replace(CPU, boxed_cooler=False)


def pc(*more: Offer, brief: Brief | None = None, sellers: Any = (SHOP, OTHER), **tables: Any) -> Problem:
    known = [c.id for c in tables.get("coolers", [COOLER])]
    gone = (*tables.get("unsold", ()), *(["cooler-a"] if COOLER.id not in known else []))
    offers = [*[o for o in BASE if o.part not in gone], *more]
    tables.pop("unsold", None)
    return make_problem(brief=brief or Brief(budget="10000.00"), sellers=sellers, offers=offers, **tables)


def lines(draft: Any) -> list[tuple[str, str | None, int]]:
    return [
        (line.item, (line.offer or line.bundle).seller if line.offer or line.bundle else None, line.amount)
        for line in draft.lines
    ]


def test_a_purchase_by_hand() -> None:
    """17000 and a delivery of 500: the boxed cooler costs nothing."""
    problem = pc()
    parts = pick(problem)
    draft = complete(problem, parts, RULES)
    assert draft is not None and draft.cost == 17_500
    assert lines(draft) == [("board-a", "shop", 6000), ("cpu-a", "shop", 8000), ("kit-a", "shop", 3000)]
    assert draft.deliveries == (("shop", 500),) and draft.parts.cooler.boxed
    assert draft.time_ppm == time_ppm(problem, parts)
    assert complete(problem, parts, RULES, below=17_500) is None
    assert complete(problem, parts, RULES, below=17_501) == draft
    assert complete(problem, pick(problem, cooler="cooler-a"), RULES) == draft  # whichever was held


def test_exactly_the_picked_cooler() -> None:
    problem = pc()
    dear = pick(problem, cooler="cooler-a")
    picked = draft_as_picked(problem, dear, RULES)
    assert picked is not None and picked.cost == 18_700 and picked.parts.cooler.id == "cooler-a"
    assert draft_of(problem, dear, RULES).cost == 17_500  # the cheapest that serves
    assert draft_of(problem, dear, RULES, exact_cooler=True) == picked
    basket = buy(problem, dear, RULES, allowed_by(problem, RULES))
    assert basket is not None and basket.cost == 18_700


def test_the_cheapest_cooler_of_a_processor_without_a_box() -> None:
    """Of three that serve the cheapest with its delivery; of equal ones the first."""
    coolers = [COOLER, replace(COOLER, id="cooler-b"), replace(COOLER, id="cooler-c")]
    for prices, chosen in (((1200, 1100, 1300), "b"), ((1200, 1200, 1200), "a"), ((1500, 1400, 1399), "c")):
        offers = [Offer(f"cooler-{n}", "shop", p) for n, p in zip("bc", prices[1:], strict=True)]
        first = [Offer("cooler-a", "shop", prices[0])]
        problem = pc(*first, *offers, cpus=[NO_BOX], coolers=coolers, unsold=("cooler-a",))
        draft = complete(problem, pick(problem), RULES)
        assert draft is not None and draft.parts.cooler.id == f"cooler-{chosen}"
        assert draft.cost == 17_500 + min(prices)
    # A dearer one makes the delivery free: 17000 + 3000.
    offers = [Offer("cooler-b", "shop", 3000)]
    problem = pc(
        Offer("cooler-a", "shop", 2600), *offers, cpus=[NO_BOX], coolers=coolers[:2], unsold=("cooler-a",)
    )
    draft = complete(problem, pick(problem), RULES)
    assert draft is not None and (draft.parts.cooler.id, draft.cost) == ("cooler-b", 20_000)
    # From elsewhere with a delivery of its own.
    problem = pc(
        Offer("cooler-a", "other", 900),
        Offer("cooler-b", "shop", 1201),
        cpus=[NO_BOX],
        coolers=coolers[:2],
        unsold=("cooler-a",),
    )
    draft = complete(problem, pick(problem), RULES)
    assert draft is not None and (draft.parts.cooler.id, draft.cost) == ("cooler-a", 18_700)
    # One that does not go on the socket does not count.
    wrong = replace(COOLER, id="cooler-b", sockets=("sock-9",))
    problem = pc(Offer("cooler-b", "shop", 1), cpus=[NO_BOX], coolers=[COOLER, wrong])
    draft = complete(problem, pick(problem), RULES)
    assert draft is not None and draft.parts.cooler.id == "cooler-a"


def test_what_cannot_be_bought() -> None:
    sold_out = pc(*[replace(o, stock=0) for o in BASE[:1]], unsold=("board-a",))
    parts = pick(sold_out)
    assert complete(sold_out, parts, RULES) is None
    assert draft_as_picked(sold_out, parts, RULES) is None
    assert buy(sold_out, parts, RULES, allowed_by(sold_out, RULES)) is None
    # For judging it is bought all the same, and the rule says what is wrong.
    draft = draft_of(sold_out, parts, RULES)
    assert draft.cost == 17_500
    assert [f.rule for f in judge(sold_out, draft, RULES) if not f.admits] == ["buying.stock"]
    assert not admitted(sold_out, draft, RULES) and admitted(pc(), draft_of(pc(), pick(pc()), RULES), RULES)


@pytest.mark.parametrize(("wanted", "refused"), [({"without": ("board-a",)}, "buying.excluded"), ({}, None)])
def test_an_excluded_part_is_bought_for_judging(wanted: dict[str, Any], refused: str | None) -> None:
    problem = pc(brief=Brief(**wanted))
    parts = pick(problem)
    draft = draft_of(problem, parts, RULES)
    assert draft.cost == 17_500
    assert [f.rule for f in judge(problem, draft, RULES) if not f.admits] == ([refused] if refused else [])
    exact = draft_of(problem, parts, RULES, exact_cooler=True)
    assert exact.cost == 17_500 and exact.parts == parts


# -- sets -----------------------------------------------------------------------------------------------------------


def bundle(price: int, *items: str, name: str = "set", seller: str = "shop") -> Bundle:
    return Bundle(name, name, "parts", tuple((item, 1) for item in items), seller, price)


@pytest.mark.parametrize(
    ("bundles", "cost", "first"),
    [
        ((bundle(13_000, "board-a", "cpu-a"),), 16_500, "set"),
        ((bundle(13_999, "board-a", "cpu-a"),), 17_499, "set"),
        ((bundle(14_001, "board-a", "cpu-a"),), 17_500, "board-a"),
        ((bundle(14_000, "board-a", "cpu-a"),), 17_500, "board-a"),  # at equal cost without
        ((bundle(16_000, "board-a", "cpu-a", "kit-a"),), 16_500, "set"),  # all that is bought
        ((bundle(13_000, "board-a", "cpu-a", seller="other"),), 16_800, "set"),
        # Two that hold the same part exclude one another; the better one is bought.
        ((bundle(13_000, "board-a", "cpu-a"), bundle(8000, "board-a", "kit-a", name="two")), 16_500, "set"),
        ((bundle(13_000, "board-a", "cpu-a"), bundle(7000, "board-a", "kit-a", name="two")), 15_500, "two"),
        ((bundle(13_000, "board-a", "cpu-a"), bundle(2000, "kit-a", name="two")), 15_500, "set"),
        # With two boards: 10,400 and the delivery.
        ((bundle(7500, "board-a", "cpu-a"), bundle(2900, "board-a", "kit-a", name="two")), 11_000, "set"),
    ],
)
def test_sets_of_parts(bundles: Any, cost: int, first: str) -> None:
    problem = pc(bundles=bundles)
    parts = pick(problem)
    draft = complete(problem, parts, RULES)
    assert draft is not None and draft.cost == cost and draft.lines[0].item == first
    assert all(line.quantity == 1 for line in draft.lines)
    covered = [line for line in draft.lines if line.bundle is not None and line.slot is not None]
    assert all(line.amount == 0 for line in covered)
    assert sum(line.amount for line in draft.lines) + sum(c for _, c in draft.deliveries) == cost


def test_a_set_that_must_be_bought() -> None:
    """Dearer by 1000 than its parts."""
    kits = (bundle(15_000, "board-a", "cpu-a"), bundle(2000, "kit-a", name="two"))
    for including, cost in (((), 16_500), (("set",), 17_500), (("two",), 16_500)):
        problem = pc(brief=Brief(including=including), bundles=kits)
        draft = complete(problem, pick(problem), RULES)
        assert draft is not None and draft.cost == cost


@pytest.mark.parametrize(
    ("box", "cooler", "cost"), [(True, "boxed-cooler", 17_500), (False, "cooler-a", 18_700)]
)
def test_the_cooler_of_a_draft_for_judging(box: bool, cooler: str, cost: int) -> None:
    """The board is sold out: bought all the same, with the cooler that serves."""
    problem = pc(replace(BASE[0], stock=0), unsold=("board-a",), cpus=[replace(CPU, boxed_cooler=box)])
    draft = draft_of(problem, pick(problem), RULES)
    assert (draft.parts.cooler.id, draft.cost) == (cooler, cost)


@pytest.mark.parametrize(
    ("cpu", "box", "cooler"),
    [("cpu-a", True, "boxed-cooler"), ("cpu-a", False, "kept-cooler"), ("kept-cpu", True, "kept-cooler")],
)
def test_what_nobody_sells_alone_costs_nothing(cpu: str, box: bool, cooler: str) -> None:
    """A board that is sold in a set with another kit only: there is no line, and the first cooler is taken."""
    kit = bundle(9000, "board-a", "kit-b")
    kits = [KIT, replace(KIT, id="kit-b")]
    problem = pc(
        unsold=("board-a",), bundles=(kit,), memory=kits, cpus=[replace(CPU, boxed_cooler=box)], coolers=[]
    )
    parts = pick(problem, cpu=cpu, memory="kit-a*1", cooler="kept-cooler")
    draft = draft_of(problem, parts, RULES)
    assert (draft.lines, draft.deliveries, draft.cost) == ((), (), 0)
    assert draft.parts.cooler.id == cooler and draft.time_ppm == time_ppm(problem, parts)


def test_a_set_with_a_cooler() -> None:
    """With cooler-b for 13500: 13500 + 3000 + 500, less than the two and cooler-a at 1200."""
    coolers = [COOLER, replace(COOLER, id="cooler-b")]
    kit = bundle(14_500, "board-a", "cpu-a", "cooler-b")
    problem = pc(bundles=(kit,), cpus=[NO_BOX], coolers=coolers)
    draft = complete(problem, pick(problem), RULES)
    assert draft is not None and (draft.parts.cooler.id, draft.cost) == ("cooler-b", 18_000)
    dear = replace(kit, price=15_201)
    problem = pc(bundles=(dear,), cpus=[NO_BOX], coolers=coolers)
    draft = complete(problem, pick(problem), RULES)
    assert draft is not None and (draft.parts.cooler.id, draft.cost) == ("cooler-a", 18_700)


def test_which_sets_lie_within_the_parts() -> None:
    kits = (
        bundle(1, "board-a", "cpu-a", name="b"),
        bundle(1, "board-a", "cooler-a", name="a"),
        bundle(1, "cooler-a", name="c"),
    )
    other = replace(BOARD, id="board-b")
    problem = pc(Offer("board-b", "shop", 1), bundles=kits, boards=[BOARD, other])
    allowed = allowed_by(problem, RULES)

    def ids(found: Any) -> list[str]:
        return [one.id for one in found]

    boxed, own = pick(problem), pick(problem, cooler="cooler-a")
    assert ids(bundles_beside(problem, boxed, allowed)) == ["a", "b", "c"]
    assert ids(bundles_within(problem, boxed, allowed)) == ["b"]
    assert ids(bundles_within(problem, own, allowed)) == ["a", "b", "c"]
    assert ids(bundles_beside(problem, pick(problem, board="board-b"), allowed)) == ["c"]
    assert ids(bundles_beside(problem, pick(problem, cpu="kept-cpu"), allowed)) == ["a", "c"]
    assert bundles_beside(pc(), pick(pc()), allowed_by(pc(), RULES)) == []
    sold_out = pc(bundles=(replace(kits[0], stock=0),))
    assert bundles_beside(sold_out, pick(sold_out), allowed_by(sold_out, RULES)) == []


# -- bounds ---------------------------------------------------------------------------------------------------------


def test_least_prices() -> None:
    problem = pc(Offer("board-a", "other", 5900))
    allowed, parts = allowed_by(problem, RULES), pick(problem, cooler="cooler-a")
    least = {c.slot: least_of(c, allowed) for c in parts.picked}
    assert (least["board"], least["cooler"], least["psu"]) == (5900, 1200, 0)
    assert least_price(problem, parts, (), allowed) == 5900 + 8000 + 3000
    nobody = pc(*[replace(BASE[0], stock=0)], unsold=("board-a",))
    assert least_of(pick(nobody).candidate("board"), allowed_by(nobody, RULES)) == FAR
    twice = pick(problem, memory="kit-a*2")
    assert least_of(twice.candidate("memory"), allowed) == 6000
    kit = pc(bundles=(bundle(13_000, "board-a", "cpu-a"), bundle(15_000, "board-a", "kit-a", name="dear")))
    assert least_price(kit, pick(kit), (), allowed_by(kit, RULES)) == 13_000 + 3000
    whole = pc(bundles=(bundle(16_000, "board-a", "cpu-a", "kit-a"),))
    assert least_price(whole, pick(whole), (), allowed_by(whole, RULES)) == 16_000
    screw = Extra("screw", "Screw", kind="screw")
    needy = pc(Offer("screw", "shop", 70), Offer("screw", "other", 50), extras=[screw])
    need = Need("fit.board", "screw", "screw", (("screw", 3),))
    assert least_price(needy, pick(needy), (need,), allowed_by(needy, RULES)) == 17_000 + 150
    none = Need("fit.board", "none", "none", ())
    assert least_price(needy, pick(needy), (none,), allowed_by(needy, RULES)) == 17_000 + FAR


@pytest.mark.parametrize(
    ("below", "beside", "least"),
    [(FAR, 0, 17_500), (FAR, 2999, 17_500), (FAR, 3000, 17_000), (17_400, 0, 17_400), (17_500, 0, 17_500)],
)
def test_least_beside_the_cooler(below: int, beside: int, least: int) -> None:
    """The delivery of 500 stays due unless 3000 more are ordered."""
    problem = pc()
    parts = pick(problem, cooler="cooler-a")
    assert least_beside_cooler(problem, parts, (), allowed_by(problem, RULES), below, beside) == least


def test_one_part_alone() -> None:
    few = Offer("board-a", "other", 5000, stock=0)
    problem = pc(few, Offer("board-a", "other", 6150), Offer("board-a", "other", 6500))
    candidate = pick(problem).candidate("board")
    found = cheapest_alone(problem, candidate, allowed_by(problem, RULES))
    assert found is not None and (found.cost, found.deliveries) == (6450, (("other", 300),))
    line = found.lines[0]
    assert (line.item, line.quantity, line.amount, line.slot) == ("board-a", 1, 6150, "board")
    even = pc(Offer("board-a", "other", 6200))  # 6000 + 500 or 6200 + 300: the cheaper goods
    found = cheapest_alone(even, pick(even).candidate("board"), allowed_by(even, RULES))
    assert found is not None and (found.cost, found.deliveries) == (6500, (("shop", 500),))
    least = pc(sellers=(replace(SHOP, minimum_order=6001), OTHER))
    assert cheapest_alone(least, pick(least).candidate("board"), allowed_by(least, RULES)) is None
    enough = pc(sellers=(replace(SHOP, minimum_order=6000), OTHER))
    assert cheapest_alone(enough, pick(enough).candidate("board"), allowed_by(enough, RULES)) is not None
    elsewhere = pc(Offer("board-a", "other", 6400), sellers=(replace(SHOP, minimum_order=6001), OTHER))
    found = cheapest_alone(elsewhere, pick(elsewhere).candidate("board"), allowed_by(elsewhere, RULES))
    assert found is not None and found.cost == 6700
    pair = pick(problem, memory="kit-a*2").candidate("memory")
    found = cheapest_alone(problem, pair, allowed_by(problem, RULES))
    assert found is not None and found.cost == 6500
    one = pc(*[replace(BASE[2], stock=1)], unsold=("kit-a",))
    assert (
        cheapest_alone(one, pick(one, memory="kit-a*2").candidate("memory"), allowed_by(one, RULES)) is None
    )
    assert (
        cheapest_alone(one, pick(one, memory="kit-a*1").candidate("memory"), allowed_by(one, RULES))
        is not None
    )


def test_the_best_of_some_coolers() -> None:
    coolers = [COOLER, replace(COOLER, id="cooler-b")]
    problem = pc(Offer("cooler-b", "shop", 1100), coolers=coolers)
    parts, allowed = pick(problem), allowed_by(problem, RULES)
    listed = [(place, c) for place, c in enumerate(problem.slot("cooler")) if c.id is not None]
    place_b = next(place for place, c in listed if c.id == "cooler-b")
    assert cheapest_cooler(problem, parts, listed, (), allowed, (FAR, 0)) == (18_600, place_b)
    assert cheapest_cooler(problem, parts, listed, (), allowed, (18_600, 0)) is None
    assert cheapest_cooler(problem, parts, listed, (), allowed, (18_600, place_b + 1)) == (18_600, place_b)
    assert cheapest_cooler(problem, parts, listed, (), allowed, (18_600, place_b)) is None
    kit = pc(
        Offer("cooler-b", "shop", 1100), coolers=coolers, bundles=(bundle(1, "board-a", "cooler-a"),)
    )  # outside sets
    assert cheapest_cooler(kit, parts, listed, (), allowed_by(kit, RULES), (FAR, 0)) == (18_600, place_b)
    chosen = with_cooler(parts, listed[0][1])
    assert chosen.cooler.id == listed[0][1].id and chosen.board == parts.board


def test_needs_that_something_serves() -> None:
    some, none = Need("a", "x", "k", (("e", 1),)), Need("a", "y", "k", ())
    assert needs_to_buy((some, none, some)) == [some, some]
    problem = pc(boards=[replace(BOARD, shield="missing")])
    assert all_needs(problem, pick(problem), RULES) == tuple(
        need for rule in RULES for need in rule.needs(pick(problem), problem)
    )


def test_extras_are_bought_with_the_parts() -> None:
    """Two pieces at 70 from the shop join its delivery; 50 elsewhere would cost 300 more."""
    problem = pc(
        Offer("screw", "shop", 70),
        Offer("screw", "other", 50),
        extras=[Extra("screw", "Screw", kind="screw")],
    )
    need = Need("fit.board", "screw", "screw", (("screw", 2),))
    basket = cheapest(problem, pick(problem), (need,), allowed_by(problem, RULES))
    assert basket is not None and basket.cost == 17_640
    last = basket.lines[-1]
    assert (last.item, last.quantity, last.amount, last.need, last.slot) == ("screw", 2, 140, need, None)
    draft = Draft(pick(problem), basket.lines, basket.deliveries, basket.cost, 0)
    assert draft.bought_for("fit.board", "screw") is last and draft.bought_for("fit.board", "other") is None
    assert draft.bought_for("other", "screw") is None
    assert cheapest(problem, pick(problem), (need,), allowed_by(problem, RULES), 17_640) is None
    # Goods for 199.99 do not reach 200.00: 199.99 and 5.00.
    problem = pc(Offer("screw", "shop", 2999), extras=[Extra("screw", "Screw", kind="screw")])
    need = replace(need, options=(("screw", 1),))
    basket = cheapest(problem, pick(problem), (need,), allowed_by(problem, RULES))
    assert basket is not None and (basket.cost, basket.deliveries) == (20_499, (("shop", 500),))
