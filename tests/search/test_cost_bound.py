"""The close bound of what plans cost, as exact numbers of tiny shops: goods, deliveries, needs, the cooler."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from typing import Any
from unittest.mock import patch

import numpy as np
import pytest
from search.tiny import Told, cpu, keys, kit, need, parts_of, priced, screened_of
from support import BOARD, COOLER, CPU, PSU, make_problem, make_survey

from partsolver.catalog.records import Bundle, Extra, Offer, Seller
from partsolver.problem.candidates import SLOTS, Parts
from partsolver.problem.problem import Problem
from partsolver.rules import rule
from partsolver.search import cost_bound as module
from partsolver.search.cost_bound import CostBound
from partsolver.search.pool import FAR, MAIN, Pool
from partsolver.search.rows import Rows
from partsolver.search.rule_memory import Quick
from partsolver.wishes.brief import Brief

ALL = frozenset(SLOTS)
NONE: frozenset[str] = frozenset()
PASTE = Extra("paste", "Paste", kind="thermal-paste")


def bound_of(problem: Problem, most_cost: int, *rules: Told) -> tuple[CostBound, Pool]:
    pool = screened_of(problem, ["buying.stock"]).pool
    return CostBound(pool, Quick(problem, [*rules, rule("buying.stock")]), most_cost), pool


NEAR, FAR_OFF = Seller("near", "Near", 490, 9000), Seller("far", "Far", 300)


def goods(offers: list[Offer], most_cost: int, others: int = 0, **more: Any) -> int:
    """The least for board-a, cpu-a and kit-a*1."""
    problem = make_problem(**{"sellers": [NEAR, FAR_OFF], "offers": offers, "coolers": (), **more})
    bound, pool = bound_of(problem, most_cost)
    return bound._goods(parts_of(pool, board="board-a", cpu="cpu-a", memory="kit-a*1"), others)


AT_NEAR = priced({"board-a": 4000, "cpu-a": 3000, "kit-a": 1000}, "near")


def test_a_delivery_counts_unless_the_money_left_could_make_it_free() -> None:
    """Goods of 80.00: 10.00 more make the delivery (4.90) free, so it is certain only below 90.00."""
    assert goods(AT_NEAR, 8999) == 8490 and goods(AT_NEAR, 9000) == 8000 and goods(AT_NEAR, FAR) == 8000
    assert goods(AT_NEAR, 7000) == 8490  # no money left
    assert goods(AT_NEAR, 8500, 400) == 8490 and goods(AT_NEAR, 7000, 1000) == 8000
    assert goods(AT_NEAR, 7000, 999) == 8490


def test_each_seller_delivers_once_and_the_cheapest_choice_counts() -> None:
    """The processor for 2.00 less at another shop costs 3.00 there to deliver."""
    cheaper = [*AT_NEAR, Offer("cpu-a", "far", 2800)]
    assert goods(cheaper, 8000) == 8490
    assert goods([*AT_NEAR, Offer("cpu-a", "far", 2690)], 8000) == 4000 + 1000 + 490 + 2690 + 300
    both = [*cheaper, Offer("kit-a", "far", 890)]
    assert goods(both, 8000) == 4000 + 490 + 2800 + 890 + 300
    assert goods([*AT_NEAR, *priced({"board-a": 4000, "cpu-a": 3000, "kit-a": 1000}, "far")], 8000) == 8300


def test_nothing_bought_costs_nothing_and_sets_count_their_shares() -> None:
    problem = make_problem(sellers=[NEAR], offers=AT_NEAR, coolers=())
    bound, pool = bound_of(problem, 7000)
    assert bound._goods(parts_of(pool, board="kept-board", cpu="kept-cpu", memory="kept-memory"), 0) == 0
    assert bound._goods(parts_of(pool, board="board-a", cpu="kept-cpu", memory="kept-memory"), 0) == 4490
    assert bound._goods(parts_of(pool, board="kept-board", cpu="kept-cpu", memory="kit-a*2"), 0) == 2490
    pair = Bundle("set", "Set", "parts", (("board-a", 1), ("cpu-a", 1)), "near", 6300)
    # Shares of 63.00 as 40.00 and 30.00 are: 36.00 and 27.00.
    assert goods(AT_NEAR, 8000, bundles=[pair]) == 3600 + 2700 + 1000
    problem = make_problem(sellers=[NEAR], offers=AT_NEAR, coolers=(), bundles=[pair])
    bound, pool = bound_of(problem, 5000)
    # Without the processor the set is no way to buy the board.
    assert bound._goods(parts_of(pool, board="board-a", cpu="kept-cpu", memory="kept-memory"), 0) == 4490


def test_the_cheapest_price_at_each_seller_and_so_many_kits() -> None:
    offers = [Offer("kit-a", "near", 900), Offer("kit-a", "near", 800), Offer("kit-a", "far", 700, stock=1)]
    problem = make_problem(
        sellers=[NEAR, FAR_OFF], offers=[*priced({"board-a": 1, "cpu-a": 1}, "near"), *offers], coolers=()
    )
    bound, pool = bound_of(problem, 9000)
    by_key = {c.key: bound._offers(c) for c in pool.left["memory"] if c.id}
    assert by_key == {"kit-a*1": {"near": 800, "far": 700}, "kit-a*2": {"near": 1600}}


# -- the same of rows --------------------------------------------------------------------------------------------------


def rows_of(pool: Pool) -> Rows:
    every = np.array(list(product(*(range(len(pool.left[slot])) for slot in MAIN)))).T
    return Rows(*every, 0 * every[0], 0 * every[0])


SHOPS = [NEAR, FAR_OFF, Seller("free", "Free", 0), Seller("late", "Late", 100, 4000)]


def shop(**more: Any) -> Problem:
    """Two of each, at up to three shops."""
    rows = {
        "boards": [replace(BOARD, id=f"board-{n}", name=f"B {n}", year=2010 + n) for n in range(2)],
        "cpus": [cpu(str(n), tdp_w=50 + n) for n in range(2)],
        "memory": [kit(str(n), rate_mts=2133 + n) for n in range(2)],
    }
    ids = [part.id for table in rows.values() for part in table]
    offers = [
        Offer(part, SHOPS[(n + k) % 4].id, 1500 + 400 * n - 170 * k * n)
        for n, part in enumerate(ids)
        for k in range(1 + n % 3)
    ]
    return make_problem(**{**rows, "sellers": SHOPS, "offers": offers, "coolers": (), **more})


@pytest.mark.parametrize("most_cost", [2000, 4500, 7000, 9500, FAR])
@pytest.mark.parametrize("at_once", [2048, 4, 3])
def test_goods_of_rows_are_those_of_each_row(most_cost: int, at_once: int) -> None:
    bound, pool = bound_of(shop(), most_cost)
    rows = rows_of(pool)
    for others in (0, 700):
        expected = [
            bound._goods(
                Parts(
                    (
                        *(pool.left[s][n] for s, n in zip(MAIN, key, strict=True)),
                        *(pool.left[s][0] for s in SLOTS[3:]),
                    )
                ),
                others,
            )
            for key in rows.keys
        ]
        with patch.object(module, "MOST_AT_ONCE", at_once):
            assert bound.goods_of_rows(rows, np.full(len(rows), others)).tolist() == expected


@pytest.mark.parametrize("others, most_cost, cost", [(1000, 8999, 8000), (999, 8998, 8490), (1000, 0, 8000)])
def test_what_else_is_bought_may_make_a_delivery_free(others: int, most_cost: int, cost: int) -> None:
    """80.00 of goods and 10.00 of the rest reach 90.00, whatever money is left."""
    bound, pool = bound_of(make_problem(sellers=[NEAR], offers=AT_NEAR, coolers=()), most_cost)
    rows = Rows(*(np.array([n]) for n in (0, 0, 1, 0, 0)))
    assert keys(pool.left["memory"])[1] == "kit-a*1"
    assert bound.goods_of_rows(rows, np.array([others])).tolist() == [cost]


def test_what_is_sold_by_many_counts_its_least_price_and_no_delivery(monkeypatch: pytest.MonkeyPatch) -> None:
    """Four sellers are told apart, of five only the least price counts, and no delivery of the row is certain."""
    shops = [Seller(f"s{n}", f"S {n}", 100) for n in range(5)]
    many = [Offer("board-a", f"s{n}", 4000 + n) for n in range(5)]
    for count, expected in ((4, 7100), (5, 7000)):
        offers = [*many[:count], Offer("cpu-a", "s0", 3000)]
        problem = make_problem(sellers=shops, offers=offers, coolers=(), memory=())
        bound, pool = bound_of(problem, 7000)
        rows = rows_of(pool)
        found = dict(
            zip(
                rows.keys,
                bound.goods_of_rows(rows, np.zeros(len(rows), dtype=np.int64)).tolist(),
                strict=True,
            )
        )
        assert found[0, 0, 0] == expected, count
        assert found[1, 1, 0] == 0 and found[1, 0, 0] == 3100
        sold = bound._sold(pool.left["board"][0], {})
        assert (len(sold.offers), sold.by_many, sold.least) == (
            (4, False, 4000) if count == 4 else (1, True, 4000)
        )
        assert sold.offers[0] == ((1, 4000) if count == 4 else (0, 4000))


def test_rows_whose_parts_may_come_in_a_set() -> None:
    """As many of the three as some set of theirs holds: the least prices (with shares of the set) are the bound."""
    pair = Bundle("set", "Set", "parts", (("board-0", 1), ("cpu-0", 1)), "near", 1000)
    problem = shop(bundles=[pair])
    bound, pool = bound_of(problem, 2000)
    rows = rows_of(pool)
    found = bound.goods_of_rows(rows, np.zeros(len(rows), dtype=np.int64)).tolist()
    for key, value in zip(rows.keys, found, strict=True):
        main = [pool.left[slot][n] for slot, n in zip(MAIN, key, strict=True)]
        least = sum(pool.price[c] for c in main)
        if {"board-0", "cpu-0"} <= set(keys(main)):
            assert value == least
        elif "board-0" in keys(main) and main[1].kept and main[2].kept:
            assert value > least
    triple = Bundle("all", "All", "parts", (("board-0", 1), ("cpu-0", 1), ("kit-0", 1)), "near", 1000)
    bound, pool = bound_of(shop(bundles=[triple]), 2000)
    assert bound._offers_of["board"].items.tolist() == [3, 0, 0]
    bound, pool = bound_of(shop(bundles=[triple, pair]), 2000)
    assert bound._offers_of["board"].items.tolist() == [2, 0, 0]
    assert bound._offers_of["memory"].items.tolist()[:2] == [0, 3]


# -- coolers and needs -------------------------------------------------------------------------------------------------

COOLERS = [replace(COOLER, id=f"cooler-{n}", name=f"K {n}", height_mm=100 + n) for n in range(3)]
COOLER_PRICES = {"cooler-0": 500, "cooler-1": 700, "cooler-2": 900}


def cooled(say: Any, boxed: bool = False) -> tuple[CostBound, Pool, Told]:
    problem = make_problem(
        make_survey(),
        cpus=[replace(CPU, boxed_cooler=boxed)],
        coolers=COOLERS,
        extras=[PASTE],
        offers=priced({"board-a": 4000, "cpu-a": 3000, "kit-a": 1000, "paste": 150} | COOLER_PRICES),
    )
    one = Told("x.cooler", {"cooler": ("cooler.height_mm",), "cpu": ("socket",)}, say)
    bound, pool = bound_of(problem, 90000, one)
    return bound, pool, one


def new_parts(pool: Pool) -> Parts:
    return parts_of(pool, board="board-a", cpu="cpu-a", memory="kit-a*1")


def height(parts: Parts) -> int:
    return (parts.cooler.cooler.height_mm or 0) if parts.cooler.cooler else 0


def test_the_cheapest_cooler_that_serves() -> None:
    bound, pool, one = cooled(lambda p: height(p) >= 101)
    parts = new_parts(pool)
    assert bound._cooler(parts) == 700
    assert [cooler for cooler, _ in one.asked] == ["kept-cooler", "cooler-0", "cooler-1"]
    assert bound._cooler(parts) == 700 and len(one.asked) == 3
    old = parts_of(pool, board="kept-board", cpu="kept-cpu", memory="kept-memory")
    assert bound._cooler(old) == 700 and len(one.asked) == 6
    bound, pool, _ = cooled(lambda p: False)
    assert bound._cooler(new_parts(pool)) == FAR
    assert bound.least_cost(new_parts(pool), 0, ALL - {"cooler"}, NONE) == FAR


def test_what_a_cooler_needs_is_part_of_its_price() -> None:
    """Paste for 1.50 with the present cooler and the first: 1.50; where only dear ones serve, the second without
    paste is cheaper than the first with two."""
    bound, pool, _ = cooled(lambda p: need(("paste", 1)) if height(p) <= 100 else True)
    assert bound._cooler(new_parts(pool)) == 150
    bound, pool, one = cooled(lambda p: need(("paste", 2)) if height(p) == 100 else height(p) > 100)
    assert bound._cooler(new_parts(pool)) == 700
    assert "cooler-2" not in [cooler for cooler, _ in one.asked]


def test_the_cooler_in_the_box_serves_its_own_processor() -> None:
    bound, pool, one = cooled(lambda p: p.cooler.boxed or height(p) == 102, boxed=True)
    assert bound._cooler(new_parts(pool)) == 0
    assert bound._cooler(parts_of(pool, board="board-a", cpu="cpu-a", memory="kept-memory")) == 0
    old = parts_of(pool, board="kept-board", cpu="kept-cpu", memory="kept-memory")
    assert bound._cooler(old) == 900
    assert bound._cooler(parts_of(pool, board="kept-board", cpu="kept-cpu", memory="kit-a*1")) == 900
    bound, pool, one = cooled(lambda p: p.cooler.boxed or height(p) == 102)
    assert bound._cooler(new_parts(pool)) == 900 and ("boxed-cooler", "cpu-a") not in one.asked


def test_of_a_single_cooler_the_needs_are_asked_with_the_row() -> None:
    bound, pool, _ = cooled(lambda p: need(("paste", 1)))
    pool.left["cooler"] = [c for c in pool.left["cooler"] if c.key == "kept-cooler"]
    again = CostBound(pool, bound.quick, 90000)
    assert again._cooler(new_parts(pool)) == 0 and bound._cooler(new_parts(pool)) == 150


def test_needs_goods_and_cooler_add_up() -> None:
    """A rule wants paste of the board (1.50) and is asked unless it was asked with the row."""
    problem = make_problem(
        sellers=[NEAR],
        cpus=[replace(CPU, boxed_cooler=False)],
        coolers=COOLERS[:1],
        extras=[PASTE],
        offers=priced({"board-a": 4000, "cpu-a": 3000, "kit-a": 1000, "paste": 150, "cooler-0": 500}, "near"),
    )
    wants = Told(
        "x.board",
        {"board": ("socket",)},
        lambda p: need(("paste", 1)) if p.board.socket == "sock-1" else True,
    )
    fits = Told("x.cooler", {"cooler": ("cooler.height_mm",)}, lambda p: height(p) == 100)
    bound, pool = bound_of(problem, 8000, wants, fits)
    parts, read = new_parts(pool), ALL - {"cooler"}
    assert bound.least_cost(parts, 0, read, NONE) == 8000 + 150 + 500 + 490
    assert bound.least_cost(parts, 40, read, frozenset({"board"})) == 8000 + 40 + 500 + 490
    assert bound.least_cost(parts, 40, frozenset({"cpu"}), NONE) == 8000 + 40 + 500 + 490
    assert bound.least_cost(parts, FAR, read, NONE) == FAR
    refused = Told("x.refused", {"board": ("socket",)}, lambda p: False)
    bound, pool = bound_of(problem, 8000, refused, fits)
    assert bound.least_cost(parts, 0, read, NONE) == FAR
    # 3.60 of what else is bought make the delivery free: needs and cooler count for it.
    bound, pool = bound_of(problem, 9000, wants, fits)
    assert bound.least_cost(parts, 0, read, NONE) == 8000 + 150 + 500
    bound, pool = bound_of(problem, 8999, wants, fits)
    assert bound.least_cost(parts, 0, read, NONE) == 8000 + 150 + 500 + 490


def test_supplies_are_goods_too() -> None:
    problem = make_problem(
        brief=Brief(budget="900.00", replace=("psu",)),
        psus=[replace(PSU, id="psu-b", name="B")],
        sellers=[NEAR],
        offers=[*AT_NEAR, Offer("psu-b", "near", 900)],
        coolers=(),
    )
    bound, pool = bound_of(problem, 8000)
    parts = parts_of(pool, board="board-a", cpu="cpu-a", memory="kit-a*1", psu="psu-b")
    assert bound._goods(parts, 0) == 8000 + 900 + 490
