"""The joint choice proposed by HiGHS (through OR-tools): the same rows in floating point, as a branch and
cut.

Whole numbers of PCs per class and plan under few shared rows are what branch and cut is strong at: it comes
within a thousandth of its bound at the root, where CP-SAT searches long. What it proposes is rounded and
checked in exact integers row by row; what breaks a row is not a choice.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from partsolver.solve.fleet.form import Form

# Nodes of the branch and cut: a limit that is the same on every machine.
MOST_NODES = 60


def proposed(form: Form, gap: float) -> list[int]:
    """Whole numbers for the variables in order, which keep every row; empty where none were found.
    ``gap``: the share of the bound that may be left."""
    values = _solved(form, gap)
    whole = [] if values is None else [round(value) for value in values]
    return whole if whole and keeps(form, whole) else []


def _solved(form: Form, gap: float) -> list[float] | None:
    from ortools.math_opt.python import mathopt

    model = mathopt.Model()
    variables = [model.add_integer_variable(lb=0, ub=most) for most in form.most]
    for key, factors in form.rows.items():
        least, most = form.bounds.get(key, (None, None))
        if least is None and most is None:
            continue
        row = model.add_linear_constraint(
            lb=-math.inf if least is None else least, ub=math.inf if most is None else most
        )
        for variable, factor in factors.items():
            row.set_coefficient(variables[variable], factor)
    for variable, factor in form.goal.items():
        model.objective.set_linear_coefficient(variables[variable], factor)
    model.objective.is_maximize = True
    parameters: Any = mathopt.SolveParameters(
        relative_gap_tolerance=gap, random_seed=1, node_limit=MOST_NODES
    )
    result = mathopt.solve(model, mathopt.SolverType.HIGHS, params=parameters)
    if not result.has_primal_feasible_solution():
        return None
    return [float(value) for value in result.variable_values(variables)]


def keeps(form: Form, values: Sequence[int]) -> bool:
    """Whether whole numbers keep every bound and row, exactly."""
    if any(not 0 <= value <= most for value, most in zip(values, form.most, strict=True)):
        return False
    for key, factors in form.rows.items():
        least, most = form.bounds.get(key, (None, None))
        total = sum(factor * values[variable] for variable, factor in factors.items())
        if (least is not None and total < least) or (most is not None and total > most):
            return False
    return True
