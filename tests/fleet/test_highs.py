"""Bound and gap of medium fleets against HiGHS (through scipy) over *every* plan of every kind of PC: nothing
is priced or generated there; and knapsacks with a published optimum."""

from __future__ import annotations

import numpy as np
import pytest
from fleets import LIMITS, answer, fleet_of
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import lil_array

from partsolver.catalog.records import Offer, Seller
from partsolver.fleet.goals import ClassFigures, Worth
from partsolver.fleet.prices import Prices
from partsolver.fleet.records import Break, Column, Fleet, FleetGoal, Goods
from partsolver.fleet.work import Here
from partsolver.solve.fleet.form import Form, Supply, joint_form
from partsolver.solve.fleet.generate import ENOUGH, Generator
from partsolver.solve.fleet.goals_in_order import FIRST
from partsolver.solve.fleet.plan import stock_of


def whole_form(fleet: Fleet) -> Form:
    """The joint choice among all plans there are."""
    here = Here(fleet.classes, stock_of(fleet))
    begun = here.begin()
    free = Prices({}, {}, dict.fromkeys(fleet.sellers, 0.0), {}, {})
    columns = []
    for number, one in enumerate(begun):
        plans, complete = here.pricer(number).best(Worth(((("fine", 0), 1.0),)), free, -(10**14), 10**6)
        assert complete
        columns.append(list(dict.fromkeys((*one.columns, *(column for _, column in plans)))))
    breaks: dict[tuple[str, str], tuple[Break, ...]] = {(b.part, b.seller): (b,) for b in fleet.breaks}
    sizes = tuple(one.size for one in fleet.classes)
    supply = Supply(sizes, tuple(b.figures for b in begun), fleet.sellers, breaks, fleet.wishes.budget)
    bundled = list(dict.fromkeys(goods for one in begun for goods in one.bundled))
    return joint_form(supply, columns, bundled, [], FIRST[fleet.wishes.goal])


def best_of(form: Form) -> int:
    """The best value in whole numbers, proven by HiGHS."""
    rows = [(form.bounds.get(key, (None, None)), factors) for key, factors in form.rows.items()]
    matrix = lil_array((len(rows), len(form.most)))
    for place, (_, factors) in enumerate(rows):
        for variable, factor in factors.items():
            matrix[place, variable] = factor
    least = [-np.inf if low is None else low for (low, _), _ in rows]
    most = [np.inf if high is None else high for (_, high), _ in rows]
    goal = np.zeros(len(form.most))
    for variable, factor in form.goal.items():
        goal[variable] = -factor
    found = milp(
        goal,
        constraints=LinearConstraint(matrix.tocsr(), least, most),
        bounds=Bounds(0, np.array(form.most, dtype=float)),
        integrality=np.ones(len(form.most)),
        options={"mip_rel_gap": 0.0},
    )
    assert found.status == 0
    return round(-found.fun)


@pytest.mark.parametrize("goal", ["most-pcs", "most-speed"])
@pytest.mark.parametrize("seed", [0, 3])
def test_bound_and_gap_of_medium_fleets(seed: int, goal: FleetGoal) -> None:
    fleet = fleet_of(seed, goal, 30000, (12, 9))
    first = answer(fleet).stages[0]
    best = best_of(whole_form(fleet))
    assert first.value <= best <= first.bound
    assert first.bound - first.value <= max(1, ENOUGH * first.bound)


@pytest.mark.parametrize("goal", ["most-pcs", "most-speed"])
def test_five_pcs_are_the_optimum_over_every_plan(goal: FleetGoal) -> None:
    fleet = fleet_of(1, goal, 9000, (3, 2))
    first = answer(fleet).stages[0]
    assert first.value == first.bound == best_of(whole_form(fleet))


# Problem 1 of OR-Library mknap1.txt (Petersen 1967): profits, rows of weights, capacities; optimum 3800 as
# the file states it.
PROFITS = (100, 600, 1200, 2400, 500, 2000)
ROWS = (
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
CAPACITIES = (80, 96, 20, 36, 44, 48, 10, 18, 22, 24)


def test_a_published_knapsack_with_several_resources_has_its_optimum() -> None:
    """Every item is one PC that gets its plan or nothing; a profit of 100 is one per cent of time saved."""
    now, shop = 1_000_000, Seller("shop", "Shop")
    goods = [
        Goods("extra", f"r{i}", f"r{i}", (Offer(f"r{i}", "shop", 0, stock=capacity),))
        for i, capacity in enumerate(CAPACITIES)
    ]
    columns = []
    for place, profit in enumerate(PROFITS):
        demand = tuple((g, row[place]) for g, row in zip(goods, ROWS, strict=True) if row[place])
        nothing = Column("nothing", (), now, (), (), ())
        columns.append([nothing, Column("plan", ("all",), now - 100 * profit, demand, (), ())])
    figures = tuple(ClassFigures(now, True, "1.25") for _ in PROFITS)
    supply = Supply((1,) * len(PROFITS), figures, {"shop": shop}, {}, None)
    generator = Generator(
        supply, columns, [], lambda asked: [((), True) for _ in asked], LIMITS, lambda text: None
    )
    found = generator.reach([], ("gain", 0))
    assert (found.value, found.bound) == (38, 38)
