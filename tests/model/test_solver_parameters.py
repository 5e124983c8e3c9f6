"""How the solver is set for each solve, and what is read of its answer. (The values were measured: benchmarks/README.md;
a change is a decision, so each stands here a second time.)"""

from __future__ import annotations

from typing import Any

import ortools
import pytest
from ortools.sat.python import cp_model

from partsolver.base.errors import InternalFault
from partsolver.model import solve as module
from partsolver.model.solve import LINEAR_FROM, SOLVER, Limits, Solved, fixed_at_zero, solve

# What no limit decides.
ALWAYS = {
    "catch_sigint_signal": False,
    "cp_model_probing_level": 0,
    "max_presolve_iterations": 1,
    "cut_level": 0,
    "presolve_inclusion_work_limit": 0,
    "symmetry_level": 0,
    "merge_at_most_one_work_limit": 0,
}


@pytest.fixture
def solvers(monkeypatch: pytest.MonkeyPatch) -> list[cp_model.CpSolver]:
    """The solvers that are made from now on."""
    made: list[cp_model.CpSolver] = []
    plain = module._solver

    def make() -> cp_model.CpSolver:
        made.append(plain())
        return made[-1]

    monkeypatch.setattr(module, "_solver", make)
    return made


def small(variables: int = 1) -> tuple[cp_model.CpModel, Any]:
    model = cp_model.CpModel()
    own = [model.new_int_var(0, 9, f"x{n}") for n in range(variables)]
    return model, own[0]


def test_the_usual_limits() -> None:
    limits = Limits()
    assert (limits.deterministic_s, limits.wall_s) == (60.0, 300.0)
    assert (limits.seed, limits.workers, limits.permute) == (1, 1, False)
    assert Limits() == Limits(seed=1) != Limits(seed=2)
    assert f"ortools {ortools.__version__} CP-SAT" == SOLVER  # type: ignore[attr-defined]


def test_a_solve_is_set_by_its_limits(solvers: list[cp_model.CpSolver]) -> None:
    model, _ = small()
    solve(model, Limits(deterministic_s=7.5, wall_s=8.5, seed=9, workers=2, permute=True), presolve=False)
    solve(model, Limits())
    for solver, expected in zip(
        solvers, ((7.5, 8.5, 9, 2, True, False), (60.0, 300.0, 1, 1, False, True)), strict=True
    ):
        own = solver.parameters
        assert expected == (
            own.max_deterministic_time,
            own.max_time_in_seconds,
            own.random_seed,
            own.num_workers,
            own.permute_variable_randomly,
            own.cp_model_presolve,
        )
        assert {name: getattr(own, name) for name in ALWAYS} == ALWAYS


@pytest.mark.parametrize("variables, level", [(LINEAR_FROM - 1, 0), (LINEAR_FROM, 0), (LINEAR_FROM + 1, 2)])
def test_the_linear_relaxation_is_for_large_models(
    variables: int, level: int, solvers: list[cp_model.CpSolver]
) -> None:
    solve(small(variables)[0], Limits())
    assert solvers[0].parameters.linearization_level == level and LINEAR_FROM == 500


def test_what_presolve_proves_is_asked_with_one_worker(solvers: list[cp_model.CpSolver]) -> None:
    model = cp_model.CpModel()
    a, b, n = model.new_bool_var("a"), model.new_bool_var("b"), model.new_int_var(0, 9, "n")
    model.add(a == 0)
    model.add(b == 1)
    model.add(n >= 2)
    assert fixed_at_zero(model) == {a.index}
    own = solvers[0].parameters
    assert (own.num_workers, own.random_seed, own.cp_model_probing_level) == (1, 1, 3)
    assert own.stop_after_presolve and own.fill_tightened_domains_in_response
    assert own.keep_all_feasible_solutions_in_presolve and not own.catch_sigint_signal


def hints(model: cp_model.CpModel) -> list[tuple[int, int]]:
    own = model.proto.solution_hint
    return list(zip(list(own.vars), list(own.values), strict=True))


def test_a_hint_is_a_plan_that_was_found() -> None:
    model, x = small(2)
    model.add_hint(x, 7)
    solve(model, Limits(), hint=Solved("impossible", (1, 2)))
    solve(model, Limits(), hint=Solved("unknown", (1, 2)))
    solve(model, Limits())
    assert hints(model) == [(0, 7)]
    solve(model, Limits(), hint=Solved("feasible", (3, 4)))
    assert hints(model) == [(0, 3), (1, 4)]  # the one before is gone


def test_what_is_found() -> None:
    statuses = ("optimal", "feasible", "impossible", "unknown")
    assert [Solved(status).found for status in statuses] == [True, True, False, False]
    assert [Solved(status).proved for status in statuses] == [True, False, False, False]
    solved = Solved("feasible", (4, 1, 0))
    assert (solved.objective, solved.bound) == (None, None) and Solved("unknown").values == ()
    assert repr(solved) == "Solved(status='feasible', objective=None, bound=None)"


def test_values_of_expressions() -> None:
    model = cp_model.CpModel()
    x, y = model.new_int_var(0, 9, "x"), model.new_bool_var("y")
    solved = Solved("optimal", (4, 1))
    assert (solved.value(x), solved.value(y), solved.value(~y)) == (4, 1, 0)
    assert Solved("optimal", (4, 0)).value(~y) == 1
    assert solved.evaluate(3 * x - 2 * y + 5) == 15 and solved.evaluate(0 * x - 3) == -3
    assert solved.evaluate(~y) == 0 and solved.evaluate(7) == 7
    for read in (solved.value, solved.evaluate):
        assert read(x) == 4
    with pytest.raises(InternalFault, match="the status is unknown"):
        Solved("unknown", (4, 1)).value(x)


class _Answer:
    """A solver that answers as it is told."""

    def __init__(self, status: Any, objective: float, bound: float) -> None:
        self.parameters = cp_model.CpSolver().parameters
        self.status, self.objective_value, self.best_objective_bound = status, objective, bound
        self.response_proto = type("Response", (), {"solution": [1, 2]})()

    def solve(self, model: cp_model.CpModel) -> Any:
        return self.status


@pytest.mark.parametrize(
    "status, expected",
    [
        (cp_model.OPTIMAL, ("optimal", (1, 2), 12, 11)),
        (cp_model.FEASIBLE, ("feasible", (1, 2), 12, 11)),
        (cp_model.INFEASIBLE, ("impossible", (), None, None)),
        (cp_model.UNKNOWN, ("unknown", (), None, None)),
    ],
)
@pytest.mark.parametrize("goal", [False, True])
def test_statuses_are_told_apart(
    status: Any, expected: Any, goal: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Objective and bound are whole numbers; without a goal there are none."""
    model, x = small()
    if goal:
        model.minimize(x)
    monkeypatch.setattr(module, "_solver", lambda: _Answer(status, 11.9999, 11.0001))
    solved = solve(model, Limits())
    if not goal:
        expected = (*expected[:2], None, None)
    assert (solved.status, tuple(solved.values), solved.objective, solved.bound) == expected


def test_an_invalid_model_is_no_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "_solver", lambda: _Answer(cp_model.MODEL_INVALID, 0, 0))
    with pytest.raises(InternalFault, match="the model is invalid"):
        solve(small()[0], Limits())
