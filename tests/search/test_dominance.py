"""Dominance: exchanging a part that is beaten for one that beats it never betters a plan.

The law of delivery is stated here once more, from the words of the column dictionary (an order is delivered
for the seller's charge; free from a value of goods on), so that the code's own is not asked.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from adversarial import adversarial
from brute import drafts
from conftest import FULL
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import Instance
from support import BOARD, CASE, COOLER, CPU, KIT, make_problem, make_survey

from partsolver.catalog.records import Bundle, Offer, Seller
from partsolver.plan.complete import allowed_by
from partsolver.plan.dominance import NOTHING, beaten, best_ways, clearly_beaten
from partsolver.plan.draft import Draft
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.search.pool import Pool
from partsolver.search.prune import drop_dominated, screened
from partsolver.solve.tradeoff import tradeoff
from partsolver.wishes.brief import Brief

MANY = settings(max_examples=250 if FULL else 20)
AMOUNTS = st.sampled_from([500, 900, 1000, 1390, 1400, 2600, 3000])


def total(goods: Mapping[str, int], sellers: Mapping[str, Seller]) -> int:
    """Goods and deliveries."""
    return sum(goods.values()) + sum(
        0 if (free := sellers[name].free_from) is not None and value >= free else sellers[name].delivery
        for name, value in goods.items()
    )


def with_goods(goods: Mapping[str, int], seller: str, amount: int) -> dict[str, int]:
    return {**goods, seller: goods.get(seller, 0) + amount}


@st.composite
def twins(draw: st.DrawFn, prices: Any = AMOUNTS) -> tuple[Problem, dict[str, int]]:
    """Twin kits at several sellers, and what else a plan buys where."""
    shops = [
        Seller(
            f"shop-{n}",
            f"Shop {n}",
            draw(st.sampled_from([0, 390, 490])),
            draw(st.sampled_from([None, 3000])),
        )
        for n in range(draw(st.integers(1, 3)))
    ]
    kits = [replace(KIT, id=f"kit-{n}", name=f"Kit {n}") for n in range(draw(st.integers(2, 4)))]
    listed = [
        Offer(kit.id, shop.id, draw(prices))
        for kit in kits
        for shop in draw(st.lists(st.sampled_from(shops), min_size=1, max_size=2, unique=True))
    ]
    listed += [Offer(part.id, shops[0].id, 100) for part in (BOARD, CPU)]
    problem = make_problem(memory=kits, sellers=shops, offers=listed, coolers=())
    goods: dict[str, int] = {}
    for shop in draw(st.lists(st.sampled_from(shops), max_size=3, unique=True)):
        goods[shop.id] = draw(st.sampled_from([200, 1600, 1610, 2000, 2110, 2500, 2990, 3000, 5000]))
    return problem, goods


@settings(max_examples=300 if FULL else 100)
@given(twins())
def test_a_beaten_offer_never_costs_less(drawn: tuple[Problem, dict[str, int]]) -> None:
    """Whatever else is bought: some way of a winner costs no more, and at equal cost its key comes first."""
    problem, goods = drawn
    allowed = allowed_by(problem, all_rules())
    group = [c for c in problem.slot("memory") if c.id is not None and c.quantity == 1]
    best = best_ways(problem, group, allowed)
    for candidate in group:
        for offer in allowed.offers(candidate):
            if not beaten(problem, offer, candidate, best):
                continue
            own = total(with_goods(goods, offer.seller, offer.price), problem.sellers)
            others = [
                (total(with_goods(goods, o.seller, o.price), problem.sellers), other.key)
                for other in group
                if other is not candidate
                for o in allowed.offers(other)
            ]
            assert min(others) < (own, candidate.key), (offer, goods)


@settings(max_examples=300 if FULL else 100)
@given(twins())
def test_what_nothing_beats_is_never_worth_buying(drawn: tuple[Problem, dict[str, int]]) -> None:
    """An offer that buying nothing beats never makes the rest of an order cheaper (a free delivery)."""
    problem, goods = drawn
    for candidate in problem.slot("memory"):
        for offer in candidate.offers:
            if candidate.quantity == 1 and beaten(problem, offer, candidate, [NOTHING]):
                with_it = total(with_goods(goods, offer.seller, offer.price), problem.sellers)
                assert total(goods, problem.sellers) <= with_it


def test_a_free_delivery_that_would_be_lost_is_not_forgotten() -> None:
    """By hand: 21.00 of other goods at a shop with free delivery from 30.00 (else 4.90). A kit for 9.00 there
    makes the order free; a twin for 8.00 elsewhere does not: 30.00 against 33.90."""
    shops = [Seller("near", "Near", 490, 3000), Seller("other", "Other", 0, None)]
    kits = [replace(KIT, id="kit-a", name="A"), replace(KIT, id="kit-b", name="B")]
    offers = [Offer("kit-a", "other", 800), Offer("kit-b", "near", 900), Offer(BOARD.id, "near", 1000)]
    problem = make_problem(
        memory=kits, sellers=shops, offers=[*offers, Offer(CPU.id, "near", 1100)], coolers=()
    )
    allowed = allowed_by(problem, all_rules())
    group = [c for c in problem.slot("memory") if c.id is not None and c.quantity == 1]
    dear = next(c for c in group if c.id == "kit-b")
    assert not beaten(problem, offers[1], dear, best_ways(problem, group, allowed))
    cheap = next(c for c in group if c.id == "kit-a")
    assert not beaten(problem, offers[0], cheap, best_ways(problem, group, allowed))


def dropped(problem: Problem, times: int = 1) -> tuple[Pool, Pool] | None:
    """The pool before and after twins are left out; None when nothing is left at all."""
    found = screened(problem, all_rules())
    if found is None:
        return None
    pool = found.pool.copy()
    drop_dominated(pool, found.quick.allowed, times)
    return found.pool, pool


@settings(max_examples=300 if FULL else 100)
@given(twins(st.integers(500, 4000)), st.integers(1, 2))
def test_who_is_clearly_beaten_is_beaten_and_beats_nobody_else(
    drawn: tuple[Problem, dict[str, int]], times: int
) -> None:
    """With those left out that are beaten wherever they are bought, the same of the others are beaten."""
    problem, _ = drawn
    allowed = allowed_by(problem, all_rules())
    for quantity in (1, 2):
        group = [c for c in problem.slot("memory") if c.quantity == quantity and not c.part.with_kept]
        clear = list(clearly_beaten(problem, group, allowed, times))
        left = [c for c in group if c not in clear]

        def lost(among: Any) -> set[str]:
            best = best_ways(problem, among, allowed, times)
            return {
                c.key
                for c in among
                if all(beaten(problem, offer, c, best, times) for offer in allowed.offers(c))
            }

        assert lost(group) == lost(left) | {c.key for c in clear}


def test_memory_that_two_twins_clearly_beat_is_never_asked(monkeypatch: Any) -> None:
    """Six twins 10.00 apart at a shop that delivers for 3.90, free from 90.00: the third costs more than the first
    two with a delivery of their own, the saved delivery taken off. One in a set and one demanded stay."""
    monkeypatch.setattr("partsolver.search.prune.MANY_MEMORY", 0)
    shop = Seller("shop", "Shop", 390, 9000)
    kits = [replace(KIT, id=f"kit-{n}", name=f"Kit {n}") for n in range(6)]
    offers = [Offer(kit.id, "shop", 1000 * (n + 1)) for n, kit in enumerate(kits)]
    offers += [Offer(part.id, "shop", 100) for part in (BOARD, CPU)]
    pair = Bundle("set", "Set", "parts", (("kit-4", 1), (BOARD.id, 1)), "shop", 5000)
    tables: dict[str, Any] = {"memory": kits, "sellers": [shop], "offers": offers, "coolers": ()}

    def asked(brief: Brief, **more: Any) -> set[str]:
        found = screened(make_problem(brief=brief, **tables, **more), all_rules())
        assert found is not None
        return {c.id for c in found.pool.left["memory"] if c.id is not None and c.quantity == 1}

    assert asked(Brief()) == {"kit-0", "kit-1"}
    assert "kit-5" in asked(Brief(including=("kit-5",)))
    assert asked(Brief(), bundles=(pair,)) == {"kit-0", "kit-1", "kit-4"}
    every = screened(make_problem(brief=Brief(), **tables), all_rules(), every_twin=True)
    assert every is not None and len([c for c in every.pool.left["memory"] if c.quantity == 1]) >= 6


@MANY
@given(st.integers(2, 5), st.sampled_from([0, 390]), st.sampled_from([None, 3000]), st.integers(1, 2))
def test_of_equal_twins_as_many_stay_as_are_asked_for(
    count: int, delivery: int, free: int | None, times: int
) -> None:
    """Twins of equal price at one seller: those whose keys come first stay, and never none."""
    boards = [replace(BOARD, id=f"board-{n}", name=f"Board {n}") for n in range(count)]
    parts = [*boards, CPU, KIT]
    shop = Seller("shop", "Shop", delivery, free)
    problem = make_problem(
        boards=boards, sellers=[shop], offers=[Offer(p.id, "shop", 4000) for p in parts], coolers=()
    )
    both = dropped(problem, times)
    assert both is not None
    left = [c.id for c in both[1].left["board"] if c.id is not None]
    kept = [b.id for b in boards[:times]]
    assert left[: len(kept)] == kept and (free is not None or left == kept)


def best_goals(problem: Problem, every: list[Draft]) -> tuple[int, int] | None:
    return min(((d.cost, d.time_ppm) for d in every), default=None)


def check_left(problem: Problem) -> None:
    """The best plans by cost and by time are the same with and without what is left out."""
    both = dropped(problem)
    if both is None:
        return
    before, after = (list(drafts(pool.restricted())) for pool in both)
    assert best_goals(problem, before) == best_goals(problem, after)
    frontier = {(d.cost, d.time_ppm) for d in after}
    for draft in before:
        assert any(c <= draft.cost and t <= draft.time_ppm for c, t in frontier), draft.parts.keys


@settings(max_examples=60 if FULL else 15)
@given(adversarial(most=3))
def test_what_is_left_out_betters_no_plan(instance: Instance) -> None:
    check_left(instance.problem(budget="400.00", min_speedup=None))


@settings(max_examples=60 if FULL else 25)
@given(twins(), st.sampled_from([0, 1200]), st.booleans())
def test_least_orders_and_sets_keep_their_parts(
    drawn: tuple[Problem, dict[str, int]], least: int, a_set: bool
) -> None:
    """With a least order value, and with a set that holds a twin."""
    problem, _ = drawn
    sellers = [replace(s, minimum_order=least if s.id == "shop-0" else 0) for s in problem.sellers.values()]
    kits = list(problem.source.tables["memory"])
    bundles = (
        [Bundle("set", "Set", "parts", ((BOARD.id, 1), (kits[-1].id, 1)), "shop-0", 700, None)]
        if a_set
        else []
    )
    check_left(
        make_problem(
            memory=kits,
            sellers=sellers,
            offers=problem.source.tables["offers"],
            coolers=(),
            bundles=bundles,
            brief=Brief(budget="400.00", today=datetime.date(2026, 11, 20)),
        )
    )


def test_a_cheaper_cooler_that_does_not_fit_beats_none_that_does() -> None:
    """Height is judged of processor, cooler and case at once: what a rule says of several slots counts as
    well."""
    low, tall = replace(COOLER, id="low", height_mm=120), replace(COOLER, id="tall", height_mm=160)
    case = replace(CASE, max_cooler_height_mm=150)
    offers = [
        Offer(part, "shop", price)
        for part, price in ((BOARD.id, 4000), (CPU.id, 4000), (KIT.id, 1000), ("low", 1500), ("tall", 900))
    ]
    problem = make_problem(
        make_survey(case=case),
        Brief(budget="300.00", resolution_percent="0"),
        cpus=[replace(CPU, boxed_cooler=False)],
        coolers=[low, tall],
        offers=offers,
    )
    drafts_of_all = list(drafts(problem))
    fastest = min(drafts_of_all, key=lambda d: (d.time_ppm, d.cost))
    assert fastest.parts.cooler.id == "low"
    point = tradeoff(problem).points[-1].plan.draft
    assert (point.time_ppm, point.cost, point.parts.cooler.id) == (fastest.time_ppm, fastest.cost, "low")
