"""The search against brute force: exhausted, it has the first plans there are; spent, it claims nothing."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest
from adversarial import adversarial
from brute import drafts
from conftest import FULL
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import Instance, instances
from support import make_problem

from partsolver.plan.complete import judge
from partsolver.plan.draft import Draft
from partsolver.plan.identity import identity
from partsolver.plan.steps import step_of
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.search.pool import MAIN
from partsolver.search.prune import screened
from partsolver.search.search import Point, Search, Walk
from partsolver.search.shortlist import Found, Goals, Shortlist

MANY = settings(max_examples=250 if FULL else 14)


def firsts(every: list[Draft], goals: Callable[[Draft], Goals], wanted: int) -> list[Goals]:
    """The goals of the best plan of each choice, the best first."""
    best: dict[object, Goals] = {}
    for draft in every:
        choice = identity(draft.parts)
        best[choice] = min(goals(draft), best.get(choice, goals(draft)))
    return sorted(best.values())[:wanted]


def check(
    problem: Problem, found: Found, every: list[Draft], goals: Callable[[Draft], Goals], wanted: int
) -> None:
    for draft in found.drafts:
        assert all(f.admits for f in judge(problem, draft, all_rules()))
    own, truth = [goals(d) for d in found.drafts], firsts(every, goals, wanted)
    if found.exhausted:
        assert own == truth
    else:
        assert len(own) <= len(truth) and all(a >= b for a, b in zip(own, truth, strict=False))


def check_searches(problem: Problem, wanted: int, resolution: Fraction) -> None:
    every = list(drafts(problem))
    left = screened(problem, all_rules())
    if left is None:
        assert not every
        return
    search = left.search()
    fastest = search.fastest()
    assert fastest.exhausted or fastest.first is not None or not every
    if fastest.exhausted:
        assert (fastest.first.time_ppm if fastest.first else None) == min(
            (d.time_ppm for d in every), default=None
        )
    search.rest()
    check(problem, search.cheap(wanted), every, lambda d: (d.cost, d.time_ppm), wanted)
    if every:
        least = min(d.time_ppm for d in every)
        search.rest()
        found = search.best(least, resolution, wanted)
        check(problem, found, every, lambda d: (step_of(d.time_ppm, least, resolution), d.cost), wanted)
        assert found.exhausted, "so small a problem is looked through"
        check_beside_a_known_plan(search, every, least, resolution)


def check_beside_a_known_plan(search: Search, every: list[Draft], least: int, resolution: Fraction) -> None:
    """A plan that another search found (beside another graphics card) ends none before its time."""

    def goals(time_ppm: int, cost: int) -> Goals:
        return step_of(max(time_ppm, least), least, resolution), cost

    known = max(every, key=lambda d: goals(d.time_ppm, d.cost))
    found = Shortlist(1, goals)
    found.add(identity(known.parts), known)
    search.rest()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("partsolver.search.search.FIRST_COST_WIDTH", 1)
        assert search._add_best(found, least, resolution)
    assert found.worst == min(goals(d.time_ppm, d.cost) for d in every)


@MANY
@given(instances(most=2), st.integers(1, 5), st.sampled_from(["0", "1", "2.5", "50"]))
def test_an_exhausted_search_has_the_first_plans(instance: Instance, wanted: int, resolution: str) -> None:
    check_searches(instance.problem(), wanted, Fraction(resolution))


@MANY
@given(adversarial(most=2), st.integers(1, 5), st.sampled_from(["0", "1", "2.5", "50"]))
def test_an_exhausted_search_has_the_first_hard_plans(
    instance: Instance, wanted: int, resolution: str
) -> None:
    check_searches(instance.problem(), wanted, Fraction(resolution))


@settings(max_examples=100 if FULL else 12)
@given(instances(most=2), st.sampled_from(["MOST_DRAFTS", "MOST_LOOKS", "MOST_TRIED"]), st.integers(1, 4))
def test_a_spent_search_says_so(instance: Instance, limit: str, allowance: int) -> None:
    """With next to no allowance: what it claims to have looked through still holds."""
    problem = instance.problem()
    every = list(drafts(problem))
    left = screened(problem, all_rules())
    if left is None:
        return
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(f"partsolver.search.ways.{limit}", allowance)
        search = left.search()
        check(problem, search.cheap(3), every, lambda d: (d.cost, d.time_ppm), 3)
        search.rest()
        fastest = search.fastest()
        if fastest.exhausted:
            assert (fastest.first.time_ppm if fastest.first else None) == min(
                (d.time_ppm for d in every), default=None
            )


def check_walk(problem: Problem, every: list[Draft], resolution: Fraction) -> bool:
    """Points of a walk against brute force, each within the time that the truth leaves; whether every one
    was looked through to the end."""
    left = screened(problem, all_rules())
    if left is None:
        assert not every
        return True
    walk, most_time, whole = Walk(left.search()), left.most_time, True
    while True:
        point = walk.next_point(most_time)
        truth = min(((d.cost, d.time_ppm) for d in every if d.time_ppm <= most_time), default=None)
        first = point.found.first
        own = None if first is None else (first.cost, first.time_ppm)
        assert first is None or all(f.admits for f in judge(problem, first, all_rules()))
        if point.found.exhausted:
            assert own == truth
            equals = [d for d in every if (d.cost, d.time_ppm) == truth]
            check_open_rows(walk, point, equals)
        else:
            whole = False
            assert own is None or (truth is not None and own >= truth)
        if truth is None:
            return whole
        most_time = min(truth[1] - 1, int(truth[1] / (1 + resolution / 100)))


def check_open_rows(walk: Walk, point: Point, equals: list[Draft]) -> None:
    """The rows that are told as open hold every plan that is as good as the point (twins that money beats
    are no part of the search)."""
    for draft in equals:
        keys = set()
        for part, rows in zip(walk.search.parted, point.rows, strict=True):
            columns = part.columns
            keys |= {(columns.boards[b], columns.cpus[c], columns.memory[m]) for b, c, m in rows.keys}
        listed = [walk.search.pool.left[slot] for slot in MAIN]
        picked = tuple(draft.parts.candidate(slot) for slot in MAIN)
        if all(c in own for c, own in zip(picked, listed, strict=True)):
            assert picked in keys, draft.parts.keys


@MANY
@given(instances(most=2, bundles=True), st.sampled_from(["0", "1", "7"]))
def test_a_walk_has_every_point(instance: Instance, resolution: str) -> None:
    problem = instance.problem()
    assert check_walk(problem, list(drafts(problem)), Fraction(resolution))


@MANY
@given(adversarial(most=2), st.sampled_from(["0", "1", "7"]))
def test_a_walk_has_every_hard_point(instance: Instance, resolution: str) -> None:
    problem = instance.problem(min_speedup=None)
    assert check_walk(problem, list(drafts(problem)), Fraction(resolution))


@settings(max_examples=100 if FULL else 12)
@given(instances(most=2), st.sampled_from(["MOST_DRAFTS", "MOST_LOOKS", "MOST_TRIED"]), st.integers(1, 4))
def test_a_spent_walk_says_so_and_goes_on(instance: Instance, limit: str, allowance: int) -> None:
    problem = instance.problem()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(f"partsolver.search.ways.{limit}", allowance)
        check_walk(problem, list(drafts(problem)), Fraction(0))


@settings(max_examples=100 if FULL else 12)
@given(instances(most=3), st.integers(1, 12))
def test_money_is_widened_by_as_much_as_the_rows_allow(instance: Instance, most_rows: int) -> None:
    problem, resolution = instance.problem(), Fraction(1)
    every, left = list(drafts(problem)), screened(instance.problem(), all_rules())
    if left is None:
        return
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("partsolver.search.rows.MOST_ROWS", most_rows)
        check(problem, left.search().cheap(2), every, lambda d: (d.cost, d.time_ppm), 2)
        least = min((d.time_ppm for d in every), default=1)
        found = left.search().best(least, resolution, 2)
        check(problem, found, every, lambda d: (step_of(d.time_ppm, least, resolution), d.cost), 2)


def test_more_rows_than_are_looked_at_are_no_exhausted_search(monkeypatch: pytest.MonkeyPatch) -> None:
    left = screened(make_problem(), all_rules())
    assert left is not None
    monkeypatch.setattr("partsolver.search.rows.MOST_ROWS", 0)
    assert not left.search().cheap(1).exhausted
    assert not left.search().best(1, Fraction(1), 1).exhausted
    assert not Walk(left.search()).next_point(left.most_time).found.exhausted
