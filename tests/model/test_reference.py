"""Published problems with known optimum through the project's solve wrapper.

They are of this project's kind: one item per class under several resources, watts and connectors against
price, a charge per place that is used. Sources: reference/memory-storage-video-performance.md section 8
(optima proven there).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from math import gcd

import pytest
from ortools.sat.python import cp_model

from partsolver.model.solve import Limits, solve

Item = tuple[int, tuple[int, ...]]

# I01 of Khan, Li, Manning, Akbar 2002 (coin-or/Dip, Dip/data/MMKP/khan, commit 7aee800e): (profit | five
# weights).
I01: list[list[Item]] = [
    [
        (7, (1, 3, 1, 1, 6)),
        (17, (1, 4, 9, 9, 3)),
        (25, (4, 3, 9, 8, 2)),
        (35, (4, 5, 8, 0, 6)),
        (36, (6, 8, 3, 0, 7)),
    ],
    [
        (9, (0, 0, 4, 4, 2)),
        (10, (0, 0, 1, 8, 7)),
        (10, (1, 1, 6, 0, 6)),
        (39, (9, 1, 2, 2, 4)),
        (44, (8, 7, 0, 8, 2)),
    ],
    [
        (15, (2, 0, 5, 5, 5)),
        (19, (2, 3, 2, 6, 2)),
        (20, (3, 1, 6, 4, 7)),
        (44, (6, 7, 5, 6, 9)),
        (50, (9, 5, 9, 2, 2)),
    ],
    [
        (5, (0, 1, 3, 8, 0)),
        (25, (2, 2, 7, 0, 8)),
        (32, (5, 5, 6, 1, 9)),
        (37, (6, 3, 6, 9, 1)),
        (37, (7, 9, 7, 2, 3)),
    ],
    [
        (24, (4, 0, 7, 0, 2)),
        (30, (4, 8, 9, 0, 0)),
        (32, (5, 2, 7, 2, 0)),
        (43, (5, 5, 9, 5, 2)),
        (44, (9, 2, 2, 2, 3)),
    ],
]


def best_choice(classes: Sequence[Sequence[Item]], capacities: Sequence[int]) -> tuple[int, list[int]] | None:
    """Most profit with one item per class, and the choice; None when nothing fits."""
    model = cp_model.CpModel()
    picked = [[model.new_bool_var(f"{i},{j}") for j in range(len(items))] for i, items in enumerate(classes)]
    for row in picked:
        model.add_exactly_one(row)
    flat = [
        (item, literal)
        for items, row in zip(classes, picked, strict=True)
        for item, literal in zip(items, row, strict=True)
    ]
    for resource, capacity in enumerate(capacities):
        model.add(sum(item[1][resource] * literal for item, literal in flat) <= capacity)
    model.maximize(sum(item[0] * literal for item, literal in flat))
    solved = solve(model, Limits())
    if not solved.found:
        assert solved.status == "impossible"
        return None
    assert solved.status == "optimal" and solved.objective == solved.bound
    return solved.objective, [
        next(j for j, literal in enumerate(row) if solved.value(literal)) for row in picked
    ]  # type: ignore[return-value]


def test_multiple_choice_multidimensional_knapsack_i01() -> None:
    """Published optimum 173 with choice 3, 4, 1, 2, 3 (counted from 0)."""
    assert best_choice(I01, [25] * 5) == (173, [3, 4, 1, 2, 3])


def test_i01_by_enumeration() -> None:
    """The same value without any solver: 5^5 choices."""
    fitting = [c for c in product(*I01) if all(sum(item[1][k] for item in c) <= 25 for k in range(5))]
    assert max(sum(item[0] for item in c) for c in fitting) == 173


@pytest.mark.parametrize(("capacity", "profit"), [(7, 5), (6, 4), (5, 3), (4, None)])
def test_multiple_choice_knapsack(capacity: int, profit: int | None) -> None:
    """Example of N. Gavalas' post; definition: Kellerer, Pferschy, Pisinger 2004, chapter 11; values by
    enumeration."""
    found = best_choice([[(2, (3,)), (3, (4,))], [(1, (2,)), (2, (3,))]], [capacity])
    assert (None if found is None else found[0]) == profit


def rack_cost(racks: int, models: Sequence[tuple[int, int, int]], cards: Sequence[tuple[int, int]]) -> int:
    """CSPLib prob031: racks of a model (power, connectors, price) hold cards (power, demand); least price.

    One variable per way to fill a rack (how many cards of each kind): how often it is used.
    """
    fills = list(product(*(range(demand + 1) for _, demand in cards)))
    ways: list[tuple[int, tuple[int, ...]]] = []
    watts: dict[tuple[int, tuple[int, ...]], int] = {}
    for power, connectors, price in models:
        fitting = {
            f
            for f in fills
            if sum(f) <= connectors and sum(p * n for (p, _), n in zip(cards, f, strict=True)) <= power
        }
        # Only full racks: cards beyond the demand may be left out again.
        full = [
            (price, f)
            for f in fitting
            if not any((*f[:k], f[k] + 1, *f[k + 1 :]) in fitting for k in range(len(cards)))
        ]
        watts |= dict.fromkeys(full, power)
        ways += full
    model = cp_model.CpModel()
    used = [model.new_int_var(0, racks, str(way)) for way in sorted(ways)]
    model.add(sum(used) <= racks)
    for kind, (_, demand) in enumerate(cards):
        model.add(sum(way[1][kind] * n for way, n in zip(sorted(ways), used, strict=True)) >= demand)
    # Follows from the rest and makes the proof short: the racks give what the cards take, in whole multiples.
    step = gcd(*(m[0] for m in models))
    total = -(-sum(power * demand for power, demand in cards) // step)
    model.add(sum(watts[way] // step * n for way, n in zip(sorted(ways), used, strict=True)) >= total)
    model.minimize(sum(way[0] * n for way, n in zip(sorted(ways), used, strict=True)))
    solved = solve(model, Limits())
    assert solved.status == "optimal" and solved.objective is not None
    return solved.objective


TWO = [(150, 8, 150), (200, 16, 200)]
SIX = [(50, 2, 50), (100, 4, 100), (150, 8, 150), (200, 16, 200), (250, 32, 250), (300, 64, 300)]


@pytest.mark.parametrize(
    ("racks", "models", "cards", "published"),
    [
        (5, TWO, [(20, 10), (40, 4), (50, 2), (75, 1)], 550),
        (10, TWO, [(20, 20), (40, 8), (50, 4), (75, 2)], 1100),
        pytest.param(
            12, TWO, [(10, 20), (20, 10), (40, 8), (50, 4), (75, 2), (100, 1)], 1200, marks=pytest.mark.full
        ),
        (9, SIX, [(20, 10), (40, 6), (50, 4), (75, 2), (100, 2), (150, 1)], 1150),
    ],
)
def test_rack_configuration(
    racks: int, models: list[tuple[int, int, int]], cards: list[tuple[int, int]], published: int
) -> None:
    """CSPLib prob031, instances 1-4 (csplib commit 2b13c592, CC BY 4.0)."""
    assert rack_cost(racks, models, cards) == published


def test_petersen_problem_1() -> None:
    """OR-Library mknap1, problem 1 (6 items, 10 resources): the file states the optimum 3800."""
    profits = [100, 600, 1200, 2400, 500, 2000]
    rows = [
        "8 12 13 64 22 41",
        "8 12 13 75 22 41",
        "3 6 4 18 6 4",
        "5 10 8 32 6 12",
        "5 13 8 42 6 20",
        "5 13 8 48 6 20",
        "0 0 0 0 8 0",
        "3 0 4 0 8 0",
        "3 2 4 0 8 4",
        "3 2 4 8 8 4",
    ]
    weights = [[int(text) for text in row.split()] for row in rows]
    classes = [
        [(0, (0,) * 10), (profit, tuple(row[i] for row in weights))] for i, profit in enumerate(profits)
    ]
    found = best_choice(classes, [80, 96, 20, 36, 44, 48, 10, 18, 22, 24])
    assert found is not None and found[0] == 3800


def test_warehouse_location() -> None:
    """CSPLib prob034, the OPL example (charge per place used, as in the choice of sellers): 383. Costs from
    memory."""
    capacity = [1, 4, 2, 1, 3]
    costs = [
        [20, 24, 11, 25, 30],
        [28, 27, 82, 83, 74],
        [74, 97, 71, 96, 70],
        [2, 55, 73, 69, 61],
        [46, 96, 59, 83, 4],
        [42, 22, 29, 67, 59],
        [1, 5, 73, 59, 56],
        [10, 73, 13, 43, 96],
        [93, 35, 63, 85, 46],
        [47, 65, 55, 71, 95],
    ]
    model = cp_model.CpModel()
    used = [model.new_bool_var(f"used {w}") for w in range(5)]
    serves = [[model.new_bool_var(f"{s} from {w}") for w in range(5)] for s in range(10)]
    for row in serves:
        model.add_exactly_one(row)
        for literal, place in zip(row, used, strict=True):
            model.add_implication(literal, place)
    for w in range(5):
        model.add(sum(row[w] for row in serves) <= capacity[w])
    model.minimize(
        sum(30 * place for place in used)
        + sum(costs[s][w] * serves[s][w] for s in range(10) for w in range(5))
    )
    solved = solve(model, Limits())
    assert (solved.status, solved.objective) == ("optimal", 383)
