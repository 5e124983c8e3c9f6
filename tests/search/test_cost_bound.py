"""The close bound of what plans cost, as exact numbers of tiny shops: goods, deliveries, needs, the cooler."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from typing import Any
from unittest.mock import patch

import numpy as np
import pytest
from search.tiny import Told, cpu, keys, kit, need, parts_of, priced, screened_of
from support import BOARD, COOLER, CPU, OLD_CPU, PSU, make_problem, make_survey

from partsolver.base.quantities import FAR
from partsolver.catalog.records import Bundle, Extra, Offer, Seller
from partsolver.problem.candidates import SLOTS, Parts
from partsolver.problem.problem import Problem
from partsolver.rules import rule
from partsolver.search import cost_bound as module
from partsolver.search.cost_bound import CostBound
from partsolver.search.pool import MAIN, Pool
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


@pytest.mark.parametrize("most_cost", [3000, 4500, 6000, 9500, FAR])
def test_deliveries_of_pairs_are_those_of_board_and_processor_alone(most_cost: int) -> None:
    """For whatever money is asked for (not the bound's own): goods with certain deliveries less the least prices."""
    problem = shop()
    alone, pool = bound_of(problem, most_cost)
    bound, _ = bound_of(problem, 1)
    boards, cpus = (np.array(own) for own in zip(*product(range(3), range(3)), strict=True))
    expected = []
    for b, c in zip(boards.tolist(), cpus.tolist(), strict=True):
        board, own = pool.left["board"][b], pool.left["cpu"][c]
        parts = parts_of(pool, board=board.key, cpu=own.key, memory="kept-memory")
        expected.append(alone._goods(parts, 0) - pool.price[board] - pool.price[own])
    assert len(set(expected)) > 1 or most_cost == FAR
    for at_once in (2048, 4):
        with patch.object(module, "MOST_AT_ONCE", at_once):
            assert bound.deliveries_of_pairs(boards, cpus, most_cost).tolist() == expected


@pytest.mark.parametrize(
    "items, deliveries",
    [
        # The set may be bought: then no delivery is certain. The bound tells by the number of its items: beside board
        # or processor the other one may be the memory.
        (("board-a", "cpu-a"), [0, 0, 0, 0]),
        (("board-a", "kit-a"), [0, 0, 490, 0]),
        # Of three items one alone is not enough, nor is any where the set holds neither.
        (("board-a", "cpu-a", "kit-a"), [0, 490, 490, 0]),
        (("kit-a", "psu-b"), [490, 490, 490, 0]),
    ],
)
def test_a_set_may_save_a_pair_its_delivery(items: tuple[str, ...], deliveries: list[int]) -> None:
    """Both bought, the board, the processor, neither; the set costs what its goods do."""
    prices = {"board-a": 4000, "cpu-a": 3000, "kit-a": 1000, "psu-b": 900}
    one = Bundle(
        "set", "Set", "parts", tuple((i, 1) for i in items), "near", sum(prices[part] for part in items)
    )
    problem = make_problem(
        brief=Brief(budget="900.00", replace=("psu",)), psus=[replace(PSU, id="psu-b", name="B")], sellers=[NEAR],
        offers=priced(prices, "near"), coolers=(), bundles=[one],
    )  # fmt: skip
    bound, pool = bound_of(problem, 8000)
    assert keys(pool.left["board"]) == ["board-a", "kept-board"] and keys(pool.left["cpu"])[0] == "cpu-a"
    pairs = np.array([0, 0, 1, 1]), np.array([0, 1, 0, 1])
    assert bound.deliveries_of_pairs(*pairs, 8000).tolist() == deliveries


def test_what_is_sold_in_a_set_only_has_no_price_alone() -> None:
    """A board that nobody sells by itself takes the whole price of the set (63.00), its processor comes free there; with
    another processor there is no way to buy it. A slot of nothing else has a column of no seller."""
    pair = Bundle("set", "Set", "parts", (("board-a", 1), ("cpu-a", 1)), "near", 6300)
    offers = priced({"cpu-a": 3000, "kit-a": 1000}, "near")
    problem = make_problem(sellers=[NEAR], offers=offers, coolers=(), bundles=[pair])
    _, pool = bound_of(problem, 7000)
    pool.keep(["board"], lambda c: not c.kept)
    bound = CostBound(pool, Quick(problem, [rule("buying.stock")]), 7000)
    assert keys(pool.left["board"]) == ["board-a"] and keys(pool.left["cpu"]) == ["cpu-a", "kept-cpu"]
    rows = Rows(*(np.array([n, n]) for n in (0, 0, 0)), np.zeros(2), np.zeros(2))
    rows = replace(rows, cpu=np.array([0, 1]))
    assert bound.goods_of_rows(rows, np.zeros(2, dtype=np.int64)).tolist() == [6300, FAR]
    alone = module._Offers([module._Sold([], False, 6300, 2)])
    assert (alone.sellers.tolist(), alone.prices.tolist()) == ([[0]], [[FAR]])


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
    assert [bound.least_cost(new_parts(pool), n, ALL - {"cooler"}, NONE) for n in (0, 40)] == [FAR, FAR]


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


def test_the_box_that_was_bought_long_ago_holds_no_cooler() -> None:
    """The present processor came with one too, and looks like the new one to the rules: it needs one bought (9.00)."""
    problem = make_problem(
        make_survey(cpu=replace(OLD_CPU, boxed_cooler=True)),
        coolers=COOLERS,
        offers=priced({"board-a": 4000, "cpu-a": 3000, "kit-a": 1000} | COOLER_PRICES),
    )
    one = Told("x.cooler", {"cooler": ("cooler.height_mm",)}, lambda p: p.cooler.boxed or height(p) == 102)
    pairs = list(product(("board-a", "kept-board"), ("cpu-a", "kept-cpu")))
    for some in (pairs, pairs[::-1]):
        bound, pool = bound_of(problem, 90000, one)
        found = [bound._cooler(parts_of(pool, board=board, cpu=own)) for board, own in some]
        assert found == [0 if own == "cpu-a" else 900 for _, own in some]
    assert keys(pool.left["cpu"]) == ["cpu-a", "kept-cpu"]
    numbers = np.array([0, 0, 1, 1]), np.array([0, 1, 0, 1])
    assert bound_of(problem, 90000, one)[0].coolers_of_pairs(*numbers).tolist() == [0, 900, 0, 900]


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
    assert bound.least_cost(parts, 150, read, NONE) == 8000 + 150 + 150 + 500 + 490
    assert bound.least_cost(parts, 40, read, frozenset({"board"})) == 8000 + 40 + 500 + 490
    assert bound.least_cost(parts, 40, frozenset({"cpu"}), NONE) == 8000 + 40 + 500 + 490
    assert bound.least_cost(parts, FAR, read, NONE) == FAR
    refused = Told("x.refused", {"board": ("socket",)}, lambda p: False)
    bound, pool = bound_of(problem, 8000, refused, fits)
    with patch.object(bound, "_cooler") as cooler:
        assert bound.least_cost(parts, 0, read, NONE) == FAR
    cooler.assert_not_called()  # none helps
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


def paired(say: Any, reads: dict[Any, tuple[str, ...]]) -> tuple[CostBound, Pool, Told]:
    """Two boards that look the same and the present one, two processors, three coolers for 5.00, 7.00 and 9.00 (the
    present one and that in a box are gone)."""
    problem = make_problem(
        boards=[BOARD, replace(BOARD, id="board-b", name="B")],
        cpus=[replace(CPU, boxed_cooler=False)],
        coolers=COOLERS,
        extras=[PASTE],
        offers=priced({"board-a": 4000, "board-b": 4100, "cpu-a": 3000, "kit-a": 1000, "paste": 150} | COOLER_PRICES),
    )  # fmt: skip
    one = Told("x.cooler", {"cooler": ("cooler.height_mm",), **reads}, say)
    _, pool = bound_of(problem, 90000)
    pool.keep(["cooler"], lambda c: c.id is not None)
    return CostBound(pool, Quick(problem, [one, rule("buying.stock")]), 90000), pool, one


# By the board's socket and the processor's the least height that serves; a cooler of 100 mm needs paste (1.50).
LEAST_HEIGHT = {
    ("sock-1", "sock-1"): 100,
    ("sock-1", "sock-0"): 101,
    ("sock-0", "sock-1"): 102,
    ("sock-0", "sock-0"): 103,
}
PAIRS = list(product(range(3), range(2)))
BOARD_AND_CPU = {"board": ("socket",), "cpu": ("socket",)}


def tall_enough(parts: Parts) -> Any:
    if height(parts) < LEAST_HEIGHT[parts.board.socket, parts.cpu.socket]:  # type: ignore[index]
        return False
    return need(("paste", 1)) if height(parts) == 100 else True


def test_what_a_cooler_costs_beside_each_pair_above_the_cheapest() -> None:
    """5.00 and paste; 7.00; 9.00; none that serves: less the 5.00 that any costs."""
    bound, pool, one = paired(tall_enough, BOARD_AND_CPU)
    assert keys(pool.left["board"]) == ["board-a", "board-b", "kept-board"]
    assert keys(pool.left["cpu"]) == ["cpu-a", "kept-cpu"]
    boards, cpus = np.array(PAIRS).T
    expected = [150, 200, 150, 200, 400, FAR - 500]
    assert bound.coolers_of_pairs(boards, cpus).tolist() == expected
    # Twins of a board are asked about once, and nobody twice: 1 (5.00 and paste is below 7.00), 2, 3 and 3 coolers.
    assert len(one.asked) == 1 + 2 + 3 + 3
    assert bound.coolers_of_pairs(boards[::-1], cpus[::-1]).tolist() == expected[::-1]
    assert bound.coolers_of_pairs(np.array([2]), np.array([0])).tolist() == [400] and len(one.asked) == 9


def test_what_any_cooler_needs_is_in_the_least_cost_already() -> None:
    """All need paste for 2.00 by themselves: of 7.00 nothing is above the cheapest that serves."""
    bound, pool, _ = paired(tall_enough, BOARD_AND_CPU)
    pool.cost.update({c: pool.price[c] + 200 for c in pool.left["cooler"]})
    again = CostBound(pool, bound.quick, 90000)
    assert again.coolers_of_pairs(*np.array(PAIRS).T).tolist() == [0, 0, 0, 0, 200, FAR - 700]


@pytest.mark.parametrize(
    "slot, facts, told", [("case", ("id",), True), ("psu", ("id",), True), ("memory", ("modules",), False)]
)
def test_coolers_of_pairs_hang_on_board_and_processor_alone(
    slot: Any, facts: tuple[str, ...], told: bool
) -> None:
    """Or on what there is one of; else nothing is known of the pair. Of a single cooler the row is asked."""

    def says(parts: Parts) -> Any:
        assert parts.candidate(slot).slot == slot
        return tall_enough(parts)

    bound, pool, _ = paired(says, {slot: facts, **BOARD_AND_CPU})
    every = np.array(PAIRS).T
    one_of_each = pool.copy()
    one_of_each.keep(["memory"], lambda c: c.kept)
    found = CostBound(one_of_each, bound.quick, 90000).coolers_of_pairs(*every).tolist()
    assert found == [150, 200, 150, 200, 400, FAR - 500]
    assert bound.coolers_of_pairs(*every).tolist() == (
        [150, 200, 150, 200, 400, FAR - 500] if told else [0] * 6
    )
    for count, expected in ((2, [150, 200, 150, 200, FAR - 500, FAR - 500]), (1, [0] * 6)):
        pool.left["cooler"] = pool.left["cooler"][:count]
        found = CostBound(pool, bound.quick, 90000).coolers_of_pairs(*every).tolist()
        assert found == (expected if told else [0] * 6)
