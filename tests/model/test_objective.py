"""Goals in order, minimised in groups that are too large for one sum: what is reached is held, and what is not proved
or not found ends it."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from ortools.sat.python import cp_model

from partsolver.model import objective
from partsolver.model.objective import EXACT, Level, minimise
from partsolver.model.solve import Limits, Solved, solve

LARGE = EXACT // 4  # two of them are too many for one exact sum


def two_numbers() -> tuple[Any, cp_model.IntVar, cp_model.IntVar]:
    """x + y >= 7, x >= 2, y >= 1: least x is 2, then least y is 5; the other way round 1 and 6."""
    model = cp_model.CpModel()
    x, y = model.new_int_var(0, LARGE, "x"), model.new_int_var(0, LARGE, "y")
    model.add(x + y >= 7)
    model.add(x >= 2)
    model.add(y >= 1)
    return SimpleNamespace(model=model), x, y


@pytest.mark.parametrize("most", [100, LARGE])
def test_the_first_goal_comes_first_in_one_sum_and_in_several(most: int) -> None:
    built, x, y = two_numbers()
    for first, second, values in ((x, y, [2, 5]), (y, x, [1, 6])):
        solved, reached = minimise(built, [Level(first, most), Level(second, most)], Limits())
        assert (solved.status, reached) == ("optimal", values)
        in_one_sum = values[0] * (most + 1) + values[1]
        assert solved.objective == (values[1] if most == LARGE else in_one_sum)
    assert len(built.model.proto.constraints) == 3  # what was reached is held in a copy


@pytest.mark.parametrize(
    "status, calls, values", [("impossible", 1, []), ("unknown", 1, []), ("feasible", 1, [2])]
)
def test_what_is_not_proved_ends_it(
    status: Any, calls: int, values: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    built, x, y = two_numbers()
    asked = []

    def answer(model: cp_model.CpModel, limits: Limits) -> Solved:
        asked.append(model)
        found = solve(model, limits)
        return Solved(status, found.values if status == "feasible" else ())

    monkeypatch.setattr(objective, "solve", answer)
    solved, reached = minimise(built, [Level(x, LARGE), Level(y, LARGE), Level(x + y, LARGE)], Limits())
    assert (solved.status, len(asked), reached) == (status, calls, values)
