"""Every solution of a small CP-SAT model, by the solver's own enumeration (OR-tools: `enumerate_all_solutions`,
without an objective and with one worker). For tests that state what a constraint leaves as a set."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ortools.sat.python import cp_model


class _Values(cp_model.CpSolverSolutionCallback):
    def __init__(self, expressions: Sequence[Any]) -> None:
        super().__init__()
        self._expressions, self.found = expressions, set[tuple[int, ...]]()

    def on_solution_callback(self) -> None:
        self.found.add(tuple(self.value(one) for one in self._expressions))


def solutions(model: cp_model.CpModel, *expressions: Any) -> set[tuple[int, ...]]:
    """The values that some expressions take together over all solutions of a model."""
    solver, values = cp_model.CpSolver(), _Values(expressions)
    solver.parameters.enumerate_all_solutions = True
    solver.parameters.num_workers = 1
    status = solver.solve(model, values)
    assert status in (cp_model.OPTIMAL, cp_model.INFEASIBLE)
    return values.found
