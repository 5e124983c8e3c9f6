"""The joint choice proposed by HiGHS (through OR-tools): the same rows in floating point, as a branch and
cut.

Whole numbers of PCs per class and plan under few shared rows are what branch and cut is strong at: it comes
within a thousandth of its bound at the root, where CP-SAT searches long. What it proposes is rounded and
checked in exact integers row by row; what breaks a row is not a choice.

Of a large fleet the relaxation gives nearly every PC one whole column. Those PCs keep it (`whole_part`), and
only the few others are left to choose for (a diving heuristic as in Sadykov et al. 2019, INFORMS Journal on
Computing 31, from memory; one step of it).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from math import floor
from typing import Any

from partsolver.solve.fleet.form import Form, Key
from partsolver.solve.fleet.relax import NEAR, Relaxed

# Of whole PCs these are whole by themselves (flows), nearly always: branch and cut need not see to it.
FLOWS = ("bought", "served", "goods value")
# Nodes of the branch and cut: a limit that is the same on every machine.
MOST_NODES = 60


def proposed(
    form: Form, gap: float, least: Mapping[int, int] | None = None, flows: Sequence[str] = FLOWS
) -> list[int]:
    """Whole numbers for the variables in order, which keep every row; empty where none were found.
    ``gap``: the share of the bound that may be left; ``least``: what some variables are at least; ``flows``: which
    need not be whole at first."""
    for free in dict.fromkeys((tuple(flows), ())):
        values = _solved(form, gap, least or {}, free)
        if values is None:
            return []
        whole = [round(value) for value in values]
        if keeps(form, whole):
            return whole
    return []


def whole_part(form: Form, found: Relaxed, known: Mapping[Key, int] | None) -> dict[int, int]:
    """By variable how many PCs keep the column that the relaxation gives them whole; with a ``known`` choice
    no more than have it there: what both agree on stays (Danna et al. 2005, Mathematical Programming 102, from
    memory)."""
    whole = {
        key: floor(value + NEAR) if known is None else min(floor(value + NEAR), known.get(key, 0))
        for key, value in found.values.items()
        if key[0] == "pcs"
    }
    return {form.index[key]: count for key, count in whole.items() if count}


def _solved(form: Form, gap: float, least: Mapping[int, int], flows: Sequence[str]) -> list[float] | None:
    """``flows``: which variables need not be whole."""
    from ortools.math_opt.python import mathopt

    model = mathopt.Model()
    variables = [
        model.add_variable(lb=least.get(number, 0), ub=most, is_integer=key[0] not in flows)
        for number, (key, most) in enumerate(zip(form.keys, form.most, strict=True))
    ]
    for key, factors in form.rows.items():
        low, high = form.bounds.get(key, (None, None))
        if low is None and high is None:
            continue
        row = model.add_linear_constraint(
            lb=-math.inf if low is None else low, ub=math.inf if high is None else high
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
