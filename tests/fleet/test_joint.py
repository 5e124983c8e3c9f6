"""The joint choice of small fleets against brute force over every assignment, for all three goals.

The brute force knows nothing of columns, prices or rows: it asks the plain rules of every combination of
parts (tests/brute.py), and tries every combination of plans for all PCs. Knapsacks with several resources:
I01 of Khan et al. 2002 (coin-or/Dip, Dip/data/MMKP/khan, optimum published there).
"""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest
from fleets import LEAST, LIMITS, answer, cost_of, fleet_of, options

from partsolver.catalog.records import Offer, Seller
from partsolver.fleet.columns import problem_of
from partsolver.fleet.goals import ClassFigures
from partsolver.fleet.outcome import FleetOutcome
from partsolver.fleet.pool import Pool
from partsolver.fleet.records import Column, Fleet, FleetGoal, Goods
from partsolver.performance.present import present_time_ppm
from partsolver.report.fleet import fleet_document, fleet_text
from partsolver.solve.fleet.form import Supply
from partsolver.solve.fleet.generate import Generator
from partsolver.solve.fleet.plan import plan_fleet, stock_of


def brute(fleet: Fleet) -> tuple[Any, ...]:
    """The best (goal, cost, time) of every assignment: PC by PC, all that may be done with each. Assignments
    that demand and leave the same are one, with the better goal and time: what follows does not tell them
    apart."""
    goal, parts = fleet.wishes.goal, fleet.catalog.tables["offers"]
    stock = {o.part: o.stock for o in parts if o.seller != "taken-out"}
    states: dict[tuple[tuple[str, int], ...], tuple[Any, int]] = {(): (() if goal == "worst-first" else 0, 0)}
    for number, one in enumerate(fleet.classes):
        now = present_time_ppm(problem_of(one, fleet.catalog, fleet.take_outs[one.key])) or 1
        each = [
            (_net(wanted, left, stock), _first(goal, now, time), _fine(now, time))
            for time, wanted, left in options(fleet, number)
        ]
        for _ in one.pcs:
            states = _with_one_more(states, each, stock)
    best: tuple[Any, ...] | None = None
    for state, (first, fine) in states.items():
        wanted = Counter({part: n for part, n in state if part in stock})
        if any(n > 0 for part, n in state if part not in stock):
            continue  # more is taken out than is left
        cost = cost_of(fleet, wanted, Counter())
        if cost is None or (fleet.wishes.budget is not None and cost > fleet.wishes.budget):
            continue
        if best is None or (first, -cost, fine) > best:
            best = (first, -cost, fine)
    assert best is not None
    return (list(best[0]), *best[1:]) if goal == "worst-first" else best


def _net(wanted: Counter[str], left: Counter[str], stock: dict[str, Any]) -> dict[str, int]:
    """Pieces bought, and of what is taken out pieces taken less pieces left."""
    net = {part: wanted[part] - (0 if part in stock else left[part]) for part in {*wanted, *left}}
    return {part: n for part, n in net.items() if n}


def _first(goal: FleetGoal, now: int, time: int | None) -> Any:
    if goal == "most-pcs":
        return int(time is not None and 4 * now >= 5 * time)
    if goal == "most-speed":
        return -100 if time is None else 100 * (now - time) // now
    return (0 if time is None else 100_000_000 // time,)


def _fine(now: int, time: int | None) -> int:
    return -1000 if time is None else 1000 * (now - time) // now


def _with_one_more(states: Any, each: Any, stock: dict[str, Any]) -> Any:
    found: dict[Any, tuple[Any, int]] = {}
    for state, (first, fine) in states.items():
        for net, own, more in each:
            total = Counter(dict(state))
            total.update(net)
            if any(stock.get(part) is not None and total[part] > stock[part] for part in net):
                continue
            key = tuple(sorted((part, n) for part, n in total.items() if n))
            value = (tuple(sorted(first + own)) if isinstance(own, tuple) else first + own, fine + more)
            if key not in found or value > found[key]:
                found[key] = value
    return found


def reached(outcome: FleetOutcome) -> tuple[Any, ...]:
    """The same of an answer, computed from its PCs and orders."""
    times = [(one.present_ppm or 1, one.result.column.time_ppm) for one in outcome.pcs]
    goal = outcome.fleet.wishes.goal
    if goal == "most-pcs":
        first: Any = sum(t is not None and 4 * b >= 5 * t for b, t in times)
    elif goal == "most-speed":
        first = sum(-100 if t is None else 100 * (b - t) // b for b, t in times)
    else:
        first = sorted(0 if t is None else 100_000_000 // t for _, t in times)
    fine = sum(-1000 if t is None else 1000 * (b - t) // b for b, t in times)
    return first, -outcome.cost, fine


@pytest.mark.parametrize("goal", ["most-pcs", "most-speed", "worst-first"])
@pytest.mark.parametrize("seed", range(4))
def test_small_fleets_equal_brute_force(goal: FleetGoal, seed: int) -> None:
    budget = [None, 4000, 7000, 10000][seed]
    fleet = fleet_of(seed, goal, budget, (1, 1), scrap=seed == 2)
    outcome = answer(fleet)
    assert outcome.proven
    assert reached(outcome) == brute(fleet)
    assert budget is None or outcome.cost <= budget


@pytest.mark.parametrize("goal", ["most-pcs", "most-speed", "worst-first"])
@pytest.mark.parametrize(
    ("seed", "budget", "sizes"),
    [
        # Two pieces at the price of many, more money at one seller than what was known first comes to.
        (1, 4000, (2, 1)),
        *(
            (seed, budget, sizes)
            for seed, budget in ((0, 5000), (2, 9000))
            for sizes in ((2, 1), (2, 2), (3, 2))
        ),
    ],
)
def test_three_to_five_pcs_equal_brute_force(
    goal: FleetGoal, seed: int, budget: int, sizes: tuple[int, int]
) -> None:
    fleet = fleet_of(seed, goal, budget, sizes, few=True)
    outcome = answer(fleet)
    assert outcome.proven
    assert reached(outcome) == brute(fleet)


def test_more_money_never_does_less_and_stock_is_kept() -> None:
    before = -1
    for budget in (0, 2500, 5000, 20000):
        outcome = answer(fleet_of(5, "most-speed", budget, (3, 2)))
        value = outcome.stages[0].value
        assert before <= value <= outcome.stages[0].bound and outcome.cost <= budget
        before = value
        pieces = Counter[Offer]()
        for one in outcome.pcs:
            for piece in one.result.pieces:
                if piece.offer is not None and piece.donor is None:
                    pieces[piece.offer] += piece.pieces
        assert all(offer.stock is None or n <= offer.stock for offer, n in pieces.items())


def test_the_same_answer_from_two_workers() -> None:
    fleet = fleet_of(3, "most-pcs", 8000)
    alone = answer(fleet)
    with Pool(fleet.classes, stock_of(fleet), 2) as pool:
        together = plan_fleet(fleet, pool, LIMITS)
    assert fleet_document(alone) == fleet_document(together)
    assert fleet_text(alone) == fleet_text(together)


# Khan et al. 2002, instance I01: class by class (profit, weights of five resources); optimum 173.
I01 = (
    ((7, 1, 3, 1, 1, 6), (17, 1, 4, 9, 9, 3), (25, 4, 3, 9, 8, 2), (35, 4, 5, 8, 0, 6), (36, 6, 8, 3, 0, 7)),
    ((9, 0, 0, 4, 4, 2), (10, 0, 0, 1, 8, 7), (10, 1, 1, 6, 0, 6), (39, 9, 1, 2, 2, 4), (44, 8, 7, 0, 8, 2)),
    ((15, 2, 0, 5, 5, 5), (19, 2, 3, 2, 6, 2), (20, 3, 1, 6, 4, 7), (44, 6, 7, 5, 6, 9), (50, 9, 5, 9, 2, 2)),
    ((5, 0, 1, 3, 8, 0), (25, 2, 2, 7, 0, 8), (32, 5, 5, 6, 1, 9), (37, 6, 3, 6, 9, 1), (37, 7, 9, 7, 2, 3)),
    ((24, 4, 0, 7, 0, 2), (30, 4, 8, 9, 0, 0), (32, 5, 2, 7, 2, 0), (43, 5, 5, 9, 5, 2), (44, 9, 2, 2, 2, 3)),
)


# The tiny multiple-choice knapsack of a worked example (two classes of (profit, weight), one resource): what it
# is worth by capacity, by enumeration; with 4 the smallest choice does not fit.
TINY = (((2, 3), (3, 4)), ((1, 2), (2, 3)))
# Petersen's first problem (OR-Library, mknap1.txt: 6 items, 10 resources, optimum 3800 printed there): each
# item a class of its own, taken or not. Profits in hundreds.
PETERSEN_PROFITS = (1, 6, 12, 24, 5, 20)
PETERSEN_WEIGHTS = (
    (8, 12, 13, 64, 22, 41),
    (8, 12, 13, 75, 22, 41),
    (3, 6, 4, 18, 6, 4),
    (5, 10, 8, 32, 6, 12),
    (5, 13, 8, 42, 6, 20),
    (5, 13, 8, 48, 6, 20),
    (0, 0, 0, 0, 8, 0),
    (3, 0, 4, 0, 8, 0),
    (3, 2, 4, 0, 8, 4),
    (3, 2, 4, 8, 8, 4),
)
PETERSEN_CAPACITIES = (80, 96, 20, 36, 44, 48, 10, 18, 22, 24)
PETERSEN = tuple(
    ((0, *(0 for _ in PETERSEN_CAPACITIES)), (profit, *(row[item] for row in PETERSEN_WEIGHTS)))
    for item, profit in enumerate(PETERSEN_PROFITS)
)


@pytest.mark.parametrize(
    ("classes", "capacities", "optimum"),
    [
        (I01, (25,) * 5, 173),
        (TINY, (7,), 5),
        (TINY, (6,), 4),
        (TINY, (5,), 3),
        (PETERSEN, PETERSEN_CAPACITIES, 38),
    ],
)
def test_a_published_multiple_choice_knapsack_has_its_optimum(
    classes: tuple[tuple[tuple[int, ...], ...], ...], capacities: tuple[int, ...], optimum: int
) -> None:
    """Every class is one PC, every item a plan; profit p is p per cent of the time saved, resources are
    stock."""
    shop = Seller("shop", "Shop")
    goods = [
        Goods("extra", f"r{i}", f"r{i}", (Offer(f"r{i}", "shop", 0, stock=capacity),))
        for i, capacity in enumerate(capacities)
    ]
    now = 1_000_000
    columns = [
        [
            Column(
                "plan",
                (str(place),),
                now - 10_000 * profit,
                tuple((g, w) for g, w in zip(goods, weights, strict=True) if w),
                (),
                (),
            )
            for place, (profit, *weights) in enumerate(listed)
        ]
        for listed in classes
    ]
    figures = tuple(ClassFigures(now, True, LEAST) for _ in classes)
    supply = Supply((1,) * len(classes), figures, {"shop": shop}, {}, None)
    generator = Generator(
        supply, columns, [], lambda asked: [((), True) for _ in asked], LIMITS, lambda text: None
    )
    found = generator.reach([], ("gain", 0))
    assert (found.value, found.bound) == (optimum, optimum)
