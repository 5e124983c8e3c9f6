"""The joint choice of small fleets against brute force over every assignment, for all three goals.

The brute force knows nothing of columns, prices or rows: it asks the plain rules of every combination of
parts (tests/brute.py), and tries every combination of plans for all PCs. Knapsacks with several resources:
I01 of Khan et al. 2002 (coin-or/Dip, Dip/data/MMKP/khan, optimum published there).
"""

from __future__ import annotations

from collections import Counter
from itertools import chain, combinations_with_replacement, product
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
    """The best (goal, cost, time) of every assignment."""
    pcs = [(number, one) for number, one in enumerate(fleet.classes) for _ in one.pcs]
    known = {number: options(fleet, number) for number, _ in enumerate(fleet.classes)}
    now = {
        n: present_time_ppm(problem_of(c, fleet.catalog, fleet.take_outs[c.key])) or 1
        for n, c in enumerate(fleet.classes)
    }
    best: tuple[Any, ...] | None = None
    # PCs of one kind are the same: which of them gets which plan does not matter.
    of_classes = [
        combinations_with_replacement(known[number], one.size) for number, one in enumerate(fleet.classes)
    ]
    for picked in map(tuple, map(chain.from_iterable, product(*of_classes))):
        wanted, left = Counter[str](), Counter[str]()
        for _, own, freed in picked:
            wanted += own
            left += freed
        cost = cost_of(fleet, wanted, left)
        if cost is None or (fleet.wishes.budget is not None and cost > fleet.wishes.budget):
            continue
        times = [(now[n], t) for (n, _), (t, _, _) in zip(pcs, picked, strict=True)]
        if fleet.wishes.goal == "most-pcs":
            first: Any = sum(t is not None and 4 * b >= 5 * t for b, t in times)
        elif fleet.wishes.goal == "most-speed":
            first = sum(-100 if t is None else 100 * (b - t) // b for b, t in times)
        else:
            first = sorted(0 if t is None else 100_000_000 // t for _, t in times)
        fine = sum(-1000 if t is None else 1000 * (b - t) // b for b, t in times)
        if best is None or (first, -cost, fine) > best:
            best = (first, -cost, fine)
    assert best is not None
    return best


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


def test_a_published_multiple_choice_knapsack_has_its_optimum() -> None:
    """Every class is one PC, every item a plan; profit p is p per cent of the time saved, resources are
    stock."""
    shop = Seller("shop", "Shop")
    goods = [Goods("extra", f"r{i}", f"r{i}", (Offer(f"r{i}", "shop", 0, stock=25),)) for i in range(5)]
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
        for listed in I01
    ]
    figures = tuple(ClassFigures(now, True, LEAST) for _ in I01)
    supply = Supply((1,) * 5, figures, {"shop": shop}, {}, None)
    generator = Generator(
        supply, columns, [], lambda asked: [((), True) for _ in asked], LIMITS, lambda text: None
    )
    found = generator.reach([], ("gain", 0))
    assert (found.value, found.bound) == (173, 173)
