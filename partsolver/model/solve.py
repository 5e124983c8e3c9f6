"""One place that runs CP-SAT and maps its statuses. Values can be read only where a solution exists.

Measured in OR-tools 9.15: after INFEASIBLE or UNKNOWN ``value()`` returns garbage without an exception, so
the solver object never leaves this module. One worker and a fixed seed: fastest at this size, and
deterministic.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field
from typing import Any, Literal

import ortools

from partsolver.base.errors import InternalFault
from partsolver.base.records import record
from partsolver.model.cpsat import cp_model

Status = Literal["optimal", "feasible", "impossible", "unknown"]


# What solved it, for the record.
SOLVER = f"ortools {ortools.__version__} CP-SAT"  # type: ignore[attr-defined]

# Variables from which the linear relaxation is used.
LINEAR_FROM = 500


@record
class Limits:
    """Limits of one solve. Deterministic time is the real limit (repeatable), wall time a safety net."""

    deterministic_s: float = 60.0
    wall_s: float = 300.0
    seed: int = 1
    workers: int = 1
    # A test aid of CP-SAT: shuffles the search; the answer must not depend on it.
    permute: bool = False


@record
class Solved:
    """Status and, when a solution exists, the values of all variables by index."""

    status: Status
    values: Sequence[int] = field(default=(), repr=False)
    objective: int | None = None
    bound: int | None = None

    @property
    def found(self) -> bool:
        return self.status in ("optimal", "feasible")

    @property
    def proved(self) -> bool:
        """Whether nothing better is left."""
        return self.status == "optimal"

    def value(self, variable: cp_model.IntVar) -> int:
        """Value of a variable. Raises InternalFault when there is no solution."""
        if not self.found:
            raise InternalFault(f"a value was read although the status is {self.status}")
        index = variable.index
        # (A negation's index is the complement of its variable's.)
        return self.values[index] if index >= 0 else int(not self.values[~index])

    def evaluate(self, expression: Any) -> int:
        """Value of a linear expression. Raises InternalFault when there is no solution."""
        if isinstance(expression, int):
            return expression
        flat = cp_model.FlatIntExpr(expression)
        terms = zip(flat.vars, flat.coeffs, strict=True)
        return sum(self.value(variable) * int(factor) for variable, factor in terms) + int(flat.offset)


def _solver() -> cp_model.CpSolver:
    solver = cp_model.CpSolver()
    # The solver would take Ctrl-C for itself and not give it back: whoever pressed it would get no message.
    solver.parameters.catch_sigint_signal = False
    return solver


def solve(
    model: cp_model.CpModel, limits: Limits, hint: Solved | None = None, presolve: bool = True
) -> Solved:
    """Solve a model. Raises InternalFault for an invalid model (overflow, for instance)."""
    solver = _solver()
    parameters = solver.parameters
    parameters.num_workers = limits.workers
    parameters.random_seed = limits.seed
    parameters.max_deterministic_time = limits.deterministic_s
    parameters.max_time_in_seconds = limits.wall_s
    parameters.permute_variable_randomly = limits.permute
    parameters.cp_model_presolve = presolve
    # Measured (benchmarks/README.md): on the pruned demo without probing and linear relaxation and with one
    # presolve round a quarter of the defaults' time; on models of more than about 500 variables the linear
    # relaxation pays.
    parameters.cp_model_probing_level = 0
    parameters.linearization_level = 0 if len(model.proto.variables) <= LINEAR_FROM else 2
    parameters.max_presolve_iterations = 1
    # Also measured there: looking for constraints within others, for symmetries and for cliques to merge is a
    # third of the time at 2,000 parts and three quarters at 20,000, and the models hold hardly any; cuts cost
    # more than they save in the largest.
    parameters.cut_level = 0
    parameters.presolve_inclusion_work_limit = 0
    parameters.symmetry_level = 0
    parameters.merge_at_most_one_work_limit = 0
    if hint is not None and hint.found:
        model.clear_hints()  # type: ignore[no-untyped-call]
        for index, value in enumerate(hint.values):
            model.add_hint(model.get_int_var_from_proto_index(index), value)
    status = solver.solve(model)
    if status == cp_model.MODEL_INVALID:
        raise InternalFault(f"the model is invalid: {model.validate()}")
    if status == cp_model.INFEASIBLE:
        return Solved("impossible")
    if status == cp_model.UNKNOWN:
        return Solved("unknown")
    response = solver.response_proto
    has_objective = model.has_objective()
    return Solved(
        _STATUS[int(status)],
        tuple(response.solution),
        round(solver.objective_value) if has_objective else None,
        round(solver.best_objective_bound) if has_objective else None,
    )


_STATUS: Mapping[int, Status] = {int(cp_model.OPTIMAL): "optimal", int(cp_model.FEASIBLE): "feasible"}


def fixed_at_zero(model: cp_model.CpModel) -> set[int] | None:
    """Indexes of Booleans that presolve and probing prove to be false; None when the model is impossible."""
    solver = _solver()
    parameters = solver.parameters
    parameters.num_workers = 1
    parameters.random_seed = 1
    parameters.cp_model_probing_level = 3
    parameters.stop_after_presolve = True
    parameters.fill_tightened_domains_in_response = True
    parameters.keep_all_feasible_solutions_in_presolve = True
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return None
    tightened = solver.response_proto.tightened_variables
    return {index for index, variable in enumerate(tightened) if list(variable.domain) == [0, 0]}
