"""The linear relaxation of the joint choice (GLOP of OR-tools): its value, and prices for the columns'
search."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from partsolver.base.errors import InternalFault
from partsolver.base.records import record
from partsolver.fleet.goals import Measured, Worth
from partsolver.fleet.prices import SCALE, Prices
from partsolver.solve.fleet.form import COST, Fixed, Form, Key, Supply

if TYPE_CHECKING:
    from collections.abc import Sequence


# Variables that only their own limit bounds.
LIMITED = ("ordered", "free", "bundle", "kept")
# Rows that may be missed, at this many times the largest worth of one variable (of money per so many minor
# units).
MAY_BE_MISSED, FINE_PER_PIECE, CENTS = ("reached", "cost", "decided", "decided free"), 1000, 1000
# Ways in which GLOP is asked, in order: where rounding ends one of them, another mostly comes to its end (10,000 PCs
# over one budget: coefficients from 1 to 10^9).
WAYS = ("", "use_dual_simplex: true", "use_dual_simplex: true use_preprocessing: false")
# Nearer than this to a whole number is one.
NEAR = 1e-7


@record
class Relaxed:
    """value: of the goal; duals: by row (what the goal gains when its limit rises by one); values: of the
    variables that are not 0, by key; left_out: what the goal loses per PC that gets a column which the
    relaxation does not use, by key of the column."""

    value: float
    values: Mapping[Key, float]
    duals: Mapping[Key, float]
    left_out: Mapping[Key, float]

    def of_class(self, number: int) -> int:
        """What a column of a class must be worth at least to count (SCALE)."""
        return round(self.duals[("class", number)] * SCALE)


def relaxed(form: Form) -> Relaxed | None:
    """Solve the relaxation; None where no way comes to its end. What was reached or decided may be missed at a fine, since columns that are
    not known yet may keep it: whoever misses nothing pays none, so that the value bounds every choice all
    the same."""
    from ortools.linear_solver import pywraplp

    solver = pywraplp.Solver.CreateSolver("GLOP")
    infinity = solver.infinity()
    # Rows bound what is not named here. A limit of a variable would take the worth of short stock out of the
    # duals.
    variables = [
        solver.NumVar(0.0, float(most) if key[0] in LIMITED else infinity, "")
        for key, most in zip(form.keys, form.most, strict=True)
    ]
    rows: dict[Key, Any] = {}
    for key, factors in form.rows.items():
        if key in form.of_known:
            wide = form.of_known[key]
            if wide is None:
                continue
            factors = {**factors, wide[0]: wide[1]}
        least, most = form.bounds.get(key, (None, None))
        row = solver.Constraint(
            -infinity if least is None else float(least), infinity if most is None else float(most)
        )
        for variable, factor in factors.items():
            row.SetCoefficient(variables[variable], float(factor))
        rows[key] = row
    goal = solver.Objective()
    for variable, factor in form.goal.items():
        goal.SetCoefficient(variables[variable], float(factor))
    goal.SetMaximization()
    fine = FINE_PER_PIECE * max(map(abs, form.goal.values()), default=1)
    for key, row in rows.items():
        if key[0] in MAY_BE_MISSED:
            missed = solver.NumVar(0.0, infinity, "")
            row.SetCoefficient(missed, -1.0 if key == COST else 1.0)
            goal.SetCoefficient(missed, -(fine if key != COST else fine / CENTS))
    if not any(_is_solved(solver, way) for way in WAYS):
        return None
    values = {
        key: value
        for key, v in zip(form.keys, variables, strict=True)
        if (value := v.solution_value()) > NEAR
    }
    left_out = {
        key: abs(v.reduced_cost()) for key, v in zip(form.keys, variables, strict=True) if key[0] == "pcs"
    }
    return Relaxed(goal.Value(), values, {key: row.dual_value() for key, row in rows.items()}, left_out)


def _is_solved(solver: Any, way: str) -> bool:
    """Whether GLOP comes to its end in one way. Raises InternalFault for what is no matter of rounding."""
    solver.SetSolverSpecificParametersAsString(way)
    status = solver.Solve()
    if status not in (solver.OPTIMAL, solver.ABNORMAL, solver.NOT_SOLVED, solver.FEASIBLE):
        raise InternalFault(f"the joint relaxation ended with status {status}")
    return bool(status == solver.OPTIMAL)


def prices_of(form: Form, found: Relaxed, supply: Supply) -> Prices:
    """Prices that keep every purchase of the relaxation at no gain: what columns must pay for their goods.

    Goods pay what their cheapest offer costs the goal: the money of its seller (with its share of a
    delivery), and what a piece of short stock is worth. Goods in bundles pay their dual.
    """
    duals = found.duals
    money = {name: duals.get(("value", name), 0.0) for name in supply.sellers}
    taken = {key[1]: max(0, round(dual * SCALE)) for key, dual in duals.items() if key[0] == "taken"}
    offers: dict[Any, int] = {}
    goods: dict[Any, int] = {}
    for key, dual in duals.items():
        if key[0] == "goods":
            if key[1].in_bundles:
                goods[key[1]] = round(dual * SCALE)
            for offer in key[1].offers:
                if offer not in offers and offer.seller in money and ("taken", offer.part) not in duals:
                    offers[offer] = _of_offer(offer, duals, money)
    return Prices(goods, offers, money, supply.least_prices(), taken)


def _of_offer(offer: Any, duals: Mapping[Key, float], money: Mapping[str, float]) -> int:
    price = duals[("pieces", offer)] if ("pieces", offer) in duals else offer.price * money[offer.seller]
    price += duals.get(("stock", offer), 0.0) + duals.get(("sent", offer), 0.0)
    return round(price * SCALE)


def worth_of(goal: Measured | None, fixed: Sequence[Fixed], found: Relaxed) -> Worth:
    """The worth of an expected time: its part of the goal, and of what is already reached."""
    terms: list[tuple[Measured, float]] = [] if goal is None else [(goal, 1.0)]
    for place, reached in enumerate(fixed):
        if reached.measured is not None:
            terms.append((reached.measured, -found.duals.get(("reached", place), 0.0)))
    return Worth(tuple((measured, factor) for measured, factor in terms if factor))


__all__ = ["COST", "NEAR", "Relaxed", "prices_of", "relaxed", "worth_of"]
