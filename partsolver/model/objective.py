"""The goals, lexicographic, ending in a total order. Integers only.

speed: steps of the resolution above the least time, then cost, then continuous power, then part ids.
cost:  cost, then time, then continuous power, then part ids.

A step is floor(100 (T - T*) / (resolution T*)), T* the least time of any plan of the problem; resolution 0
counts every millionth. One weighted sum is used while it stays exact in a double (2^53), else one solve per
level.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from partsolver.base.records import record
from partsolver.model.build import Built
from partsolver.model.cpsat import cp_model
from partsolver.model.solve import LINEAR_FROM, Limits, Solved, solve
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem

EXACT = 2**52
TIE_SLOTS: tuple[SlotName, ...] = ("board", "cpu", "memory", "psu", "case", "drive", "graphics")


def post_step(built: Built, least_ppm: int, resolution: Fraction) -> cp_model.IntVar:
    """The step of the plan as a variable."""
    model, time = built.model, built.time
    most = built.picks.most[time.index]
    if resolution == 0:
        step = built.picks.integer(max(0, most - least_ppm), "step")
        model.add(step == time - least_ppm)
        return step
    # step <= 100 (T - T*) / (r T*) < step + 1 with r = a / b
    width = resolution.numerator * least_ppm
    scale = 100 * resolution.denominator
    step = built.picks.integer(max(0, scale * (most - least_ppm) // width), "step")
    model.add(width * step <= scale * (time - least_ppm))
    model.add(scale * (time - least_ppm) <= width * step + width - 1)
    return step


@record
class Level:
    """One goal: an expression and its largest value."""

    expression: Any
    most: int


def levels(built: Built, problem: Problem, step: cp_model.IntVar | None) -> tuple[list[Level], bool]:
    """Goals in order for the brief's goal; whether the final ids are among them (one exact weighted sum)."""
    goals = by_cost(built, problem)
    if problem.brief.goal == "speed":
        assert step is not None
        cost, _, power = goals
        goals = [Level(step, built.picks.most[step.index]), cost, power]
    return with_ids(built, goals)


def with_ids(built: Built, goals: Sequence[Level]) -> tuple[list[Level], bool]:
    """Goals with the part ids as the last one where all of them make one exact weighted sum, and whether
    they do."""
    ranks = _ranks(built)
    whole = _product([*goals, ranks]) < EXACT
    return [*goals, ranks] if whole else list(goals), whole


def by_cost(built: Built, problem: Problem) -> list[Level]:
    """The goals cost, time and continuous power, without the ids (``break_tie`` settles those)."""
    watts = _watts(built)
    time = Level(built.time, built.picks.most[built.time.index])
    return [Level(built.cost, _most_cost(built, problem)), time, Level(watts, built.picks.most[watts.index])]


def _watts(built: Built) -> cp_model.IntVar:
    """Continuous power in whole watts, rounded up: what is shown is what is compared."""
    watts = built.picks.integer(-(-built.picks.most[built.power.index] // 1000), "power_w")
    built.model.add(1000 * watts >= built.power)
    built.model.add(1000 * watts <= built.power + 999)
    return watts


def _ranks(built: Built) -> Level:
    """Part keys slot by slot as one number (mixed radix over the sorted candidates)."""
    weight = 1
    literals, weights = [], []
    for slot in reversed(TIE_SLOTS):
        ranked = [literal for _, literal in built.picks.candidates(slot)]
        if len(ranked) > 1:
            literals += ranked
            weights += [weight * position for position in range(len(ranked))]
            weight *= len(ranked)
    return Level(cp_model.LinearExpr.weighted_sum(literals, weights), weight - 1)


def _most_cost(built: Built, problem: Problem) -> int:
    most = built.picks.most[built.cost.index]
    return most if problem.budget is None else min(most, problem.budget)


def minimise(built: Built, goals: Sequence[Level], limits: Limits) -> tuple[Solved, list[int]]:
    """Minimise goals in order on a model; returns the last solve and the values of the goals reached."""
    model = built.model
    groups: list[list[Level]] = [[]]
    for goal in goals:
        if _product([*groups[-1], goal]) >= EXACT and groups[-1]:
            groups.append([])
        groups[-1].append(goal)
    solved = Solved("unknown")
    values: list[int] = []
    trial = model.clone() if groups[1:] else model
    for group in groups:
        weight = 1
        total: Any = 0
        for goal in reversed(group):
            total = total + weight * goal.expression
            weight *= goal.most + 1
        trial.minimize(total)
        solved = solve(trial, limits)
        if not solved.found:
            break
        for goal in group:
            reached = solved.evaluate(goal.expression)
            values.append(reached)
            if trial is not model:
                trial.add(goal.expression == reached)
        if not solved.proved:
            break
    return solved, values


def _product(goals: Sequence[Level]) -> int:
    product = 1
    for goal in goals:
        product *= goal.most + 1
    return product


def break_tie(
    built: Built, goals: Sequence[Level], values: Sequence[int], limits: Limits, first: Solved
) -> Solved:
    """Among all plans with these goal values the one whose part keys come first, slot by slot."""
    model = built.model.clone()
    for goal, value in zip(goals, values, strict=True):
        model.add(goal.expression == value)
    ranks = _ranks(built)
    if not ranks.most:
        return first
    if ranks.most >= EXACT:
        return _slot_by_slot(built, model, limits)
    total = ranks.expression
    model.minimize(total)
    # With the goals given a small model is solved sooner as it is.
    return solve(model, limits, hint=first, presolve=len(model.proto.variables) > LINEAR_FROM)


def _slot_by_slot(built: Built, model: cp_model.CpModel, limits: Limits) -> Solved:
    solved = Solved("unknown")
    for slot in TIE_SLOTS:
        ranked = [literal for _, literal in built.picks.candidates(slot)]
        if len(ranked) < 2:
            continue
        total = cp_model.LinearExpr.weighted_sum(ranked, list(range(len(ranked))))
        model.minimize(total)
        solved = solve(model, limits)
        if not solved.proved or solved.objective is None:
            return solved
        model.add(total == solved.objective)
    return solved
