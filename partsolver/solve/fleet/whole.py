"""The joint choice in whole numbers: CP-SAT over the same rows as the relaxation."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from partsolver.base.errors import InternalFault
from partsolver.base.records import record
from partsolver.model.cpsat import cp_model
from partsolver.model.solve import Limits
from partsolver.solve.fleet.form import MUCH, Form, Key

# Less than any choice is worth.
UNSEEN = -MUCH * MUCH


@record
class Chosen:
    """numbers: of the variables in order, empty where no choice was found; bound: no choice among these
    columns within what was asked is better."""

    numbers: tuple[int, ...]
    bound: int

    @property
    def plain(self) -> tuple[tuple[int, ...], int]:
        """The same as what can be kept in a file."""
        return self.numbers, self.bound


def chosen(
    form: Form,
    limits: Limits,
    hint: Mapping[Key, int] | None = None,
    above: int | None = None,
    most: int | None = None,
) -> Chosen:
    """The best choice among the columns of a form, as far as the limits allow. ``above``: only choices
    worth more count; ``most``: none is worth more (proven elsewhere)."""
    model = cp_model.CpModel()
    variables = [model.new_int_var(0, most_, f"v{number}") for number, most_ in enumerate(form.most)]
    for key, factors in form.rows.items():
        least, limit = form.bounds.get(key, (None, None))
        if least is None and limit is None:
            continue
        terms = cp_model.LinearExpr.weighted_sum(
            [variables[variable] for variable in factors], list(factors.values())
        )
        _bounded(model, terms, least, limit)
    goal = cp_model.LinearExpr.weighted_sum([variables[v] for v in form.goal], list(form.goal.values()))
    _bounded(model, goal, None if above is None else above + 1, most)
    model.maximize(goal)
    for key, value in (hint or {}).items():
        if key in form.index:
            model.add_hint(variables[form.index[key]], value)
    return _solved(model, variables, limits, above)


def _bounded(model: cp_model.CpModel, terms: Any, least: int | None, most: int | None) -> None:
    if least is not None and least == most:
        model.add(terms == least)
        return
    if least is not None:
        model.add(terms >= least)
    if most is not None:
        model.add(terms <= most)


def _solved(model: cp_model.CpModel, variables: Sequence[Any], limits: Limits, above: int | None) -> Chosen:
    """One worker and deterministic time: the same answer each time. With the default presolve, which pays for
    knapsacks (model/solve.py leaves most of it out)."""
    solver = cp_model.CpSolver()
    solver.parameters.catch_sigint_signal = False
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = limits.seed
    solver.parameters.max_deterministic_time = limits.deterministic_s
    solver.parameters.linearization_level = 2
    status = solver.solve(model)
    if status == cp_model.MODEL_INVALID:
        raise InternalFault(f"the joint model is invalid: {model.validate()}")
    if status == cp_model.INFEASIBLE:
        return Chosen((), UNSEEN if above is None else above)
    if status == cp_model.UNKNOWN:
        return Chosen((), MUCH)
    numbers = tuple(int(solver.value(variable)) for variable in variables)
    return Chosen(numbers, math.floor(solver.best_objective_bound + 1e-6))
