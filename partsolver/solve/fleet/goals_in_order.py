"""The goals of a fleet, one after the other: what is reached stays reached."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from partsolver.base.records import record
from partsolver.fleet.goals import FINE, KEPT, Measured
from partsolver.fleet.records import Column, FleetGoal, StageResult
from partsolver.solve.fleet.form import Fixed, Key
from partsolver.solve.fleet.generate import Generator, Reached
from partsolver.solve.fleet.levels import Levels

FIRST: Mapping[str, Measured] = {"most-pcs": ("pcs", 0), "most-speed": ("gain", 0)}


@record
class Choice:
    """counts: (class, column, PCs) that get each column; values: of all variables by key; stages: what
    each goal reached, with its bound."""

    counts: tuple[tuple[int, Column, int], ...]
    values: Mapping[Key, int]
    stages: tuple[StageResult, ...]


def choose(generator: Generator, goal: FleetGoal) -> Choice:
    """The best choice by the goal, of those the cheapest, of those the fastest altogether; of a fleet that
    is planned again, among those that change as few plans as possible."""
    fixed: list[Fixed] = []
    stages: list[StageResult] = []
    if generator.supply.former:
        _take(generator.reach(fixed, KEPT), KEPT, fixed, stages)
    _reach_first(generator, goal, fixed, stages)
    generator.is_open = not generator.is_large and any(stage.value != stage.bound for stage in stages)
    _take(generator.reach(fixed, None), None, fixed, stages)
    last = generator.reach(fixed, FINE)
    _take(last, FINE, fixed, stages)
    reached = (_as_chosen(generator, stage, goal, last) for stage, goal in zip(stages, fixed, strict=True))
    return Choice(tuple(counts(last)), last.values, tuple(reached))


def _as_chosen(generator: Generator, stage: StageResult, goal: Fixed, last: Reached) -> StageResult:
    """A stage as the last choice reaches it: what was found later may reach more of it."""
    if goal.measured in (None, KEPT):
        return stage
    figures = generator.supply.figures
    value = sum(n * figures[i].of_column(goal.measured, column) for i, column, n in counts(last))
    return replace(stage, value=max(stage.value, value), bound=max(stage.bound, value))


def first_goal(generator: Generator, goal: FleetGoal) -> tuple[StageResult, ...]:
    """What the goal alone reaches, whatever it costs; of worst-first the slowest PC."""
    stages: list[StageResult] = []
    _reach_first(generator, goal, [], stages, alone=True)
    return tuple(stages)


def _reach_first(
    generator: Generator,
    goal: FleetGoal,
    fixed: list[Fixed],
    stages: list[StageResult],
    alone: bool = False,
) -> None:
    if goal == "worst-first":
        levels = Levels(generator, fixed, lambda reached, level: _take(reached, level, fixed, stages))
        levels.find(first_alone=alone)
    else:
        _take(generator.reach(fixed, FIRST[goal]), FIRST[goal], fixed, stages)


def _take(reached: Reached, measured: Measured | None, fixed: list[Fixed], stages: list[StageResult]) -> None:
    if measured is None:
        fixed.append(Fixed(None, -reached.value))
        stages.append(StageResult("cost", -reached.value, -reached.bound))
        return
    fixed.append(Fixed(measured, reached.value))
    name = f"{measured[0]}>={measured[1]}" if measured[0] == "speed" else measured[0]
    stages.append(StageResult(name, reached.value, reached.bound))


def counts(reached: Reached) -> list[tuple[int, Column, int]]:
    """What each class gets."""
    return [(key[1], key[2], value) for key, value in reached.values.items() if key[0] == "pcs" and value]
