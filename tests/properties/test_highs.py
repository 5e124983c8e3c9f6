"""The first plan and the least budget against HiGHS (tests/highs.py), which shares no model with CP-SAT."""

from __future__ import annotations

from dataclasses import replace

import pytest
from brute import with_brief
from conftest import FULL
from highs import Best, Program, Restated, total
from hypothesis import assume, given, settings
from strategies import instances
from support import make_problem

from partsolver.base.quantities import format_amount, parse_amount
from partsolver.cli.options import load_problem
from partsolver.explain.why import why
from partsolver.problem.problem import Problem
from partsolver.solve.recommend import recommend
from partsolver.wishes.brief import Brief

# At least 20 catalogues in every run.
MANY = settings(max_examples=250 if FULL else 20)
SOME = settings(max_examples=120 if FULL else 6)


def first(problem: Problem) -> Best | None:
    """The first plan of `recommend` in the words of tests/highs.py."""
    outcome = recommend(with_brief(problem, alternatives=1))
    assert outcome.status in ("optimal", "impossible")
    if not outcome.plans:
        return None
    plan = outcome.plans[0]
    speed = problem.brief.goal == "speed"
    return Best(
        outcome.provenance.least_time_ppm if speed else None,
        plan.draft.cost,
        -(-plan.power_mw // 1000),
        plan.parts.keys,
    )


def same(ours: Best | None, theirs: Best | None) -> None:
    """Equal values; the ids decide only between plans of equal value, so they may differ."""
    assert (ours is None) == (theirs is None)
    if ours is not None and theirs is not None:
        assert replace(ours, keys=()) == replace(theirs, keys=())


def test_highs_small_program() -> None:
    """The MCKP example of Gavalas' post (reference 8.5, values by enumeration): W 7 -> 5, 6 -> 4, 5 -> 3, 4
    -> none."""
    for capacity, profit in ((7, 5), (6, 4), (5, 3), (4, None)):
        program = Program()
        a, b, c, d = (program.binary() for _ in range(4))
        program.add({a: 1, b: 1}, 1, 1)
        program.add({c: 1, d: 1}, 1, 1)
        program.add({a: 3, b: 4, c: 2, d: 3}, None, capacity)
        gain = {a: -2, b: -3, c: -1, d: -2}
        values = program.minimise(gain)
        assert (None if values is None else -total(gain, values)) == profit


def without_all_but_a_third(number: int | None) -> tuple[str, ...]:
    """The boards and processors of the demo but every third of them, by name; none for None."""
    choices = load_problem(None, None, {}).candidates
    listed = [
        sorted({candidate.id for candidate in choices[slot] if candidate.id is not None})
        for slot in ("board", "cpu")
    ]
    return tuple(
        part for ids in listed for place, part in enumerate(ids) if number is not None and place % 3 != number
    )


@pytest.mark.parametrize(
    "third", [2, *(pytest.param(number, marks=pytest.mark.full) for number in (0, 1, None))]
)
def test_demo_goal_speed(third: int | None) -> None:
    """Of a third of the demo; all of it takes HiGHS most of a minute."""
    problem = load_problem(None, None, {"without": without_all_but_a_third(third)})
    ours, theirs = first(problem), Restated(problem).first()
    assert ours is not None
    same(ours, theirs)


@pytest.mark.full
@pytest.mark.parametrize(
    "changes",
    [
        {"goal": "cost", "min_speedup": "1.5"},
        {"use": "games", "budget": "180.00"},
        {"resolution_percent": "0"},
    ],
)
def test_demo_other_wishes(changes: dict[str, str]) -> None:
    problem = load_problem(None, None, changes)
    same(first(problem), Restated(problem).first())


@MANY
@given(instances())
def test_generated_catalogues(instance) -> None:  # type: ignore[no-untyped-def]
    problem = instance.problem()
    same(first(problem), Restated(problem).first())


@SOME
@given(instances(bundles=True, survey_changes=1, goal="speed", min_speedup="1.2", budget="15.00"))
def test_least_budget_is_exact(instance) -> None:  # type: ignore[no-untyped-def]
    """A "no" for lack of money: the least budget that works equals HiGHS's least cost; one unit less does not
    do."""
    problem = instance.problem()
    least = Restated(problem, budget=False).least_cost()
    assume(least is not None and least > parse_amount("15.00"))
    assert least is not None
    found = why(problem)
    assert not found.possible and found.plan is None
    way = next(way for way in found.ways_out if way.kind == "budget")
    assert parse_amount(way.value) == least == way.plan.draft.cost
    less = instance.problem(budget=format_amount(least - 1))
    assert recommend(less).status == "impossible" and Restated(less).least_cost() is None
    assert recommend(instance.problem(budget=format_amount(least))).status == "optimal"


def test_least_budget_of_the_base_parts() -> None:
    """By hand: board 10.00, processor 10.01, memory 10.02 (the cooler comes in the processor's box):
    30.03."""
    problem = make_problem(brief=Brief(budget="30.02", min_speedup="1.1"))
    assert Restated(problem, budget=False).least_cost() == 3003
    way = next(way for way in why(problem).ways_out if way.kind == "budget")
    assert way.value == "30.03"
    assert recommend(make_problem(brief=Brief(budget="30.03", min_speedup="1.1"))).status == "optimal"
