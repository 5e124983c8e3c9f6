"""Whoever interrupts a recommendation gets the best plans found so far, said to be no more than that."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import Instance, instances
from support import POSSIBLE, shop

from partsolver.model.solve import Limits
from partsolver.plan.complete import judge
from partsolver.rules import all_rules
from partsolver.search.search import Search
from partsolver.solve import ranking
from partsolver.solve.answer import answer
from partsolver.solve.recommend import recommend


def interrupting(patch: pytest.MonkeyPatch, at: int) -> None:
    """The n-th call of the solver is interrupted."""
    calls = 0
    plain = ranking.minimise

    def minimise(*arguments: Any) -> Any:
        nonlocal calls
        calls += 1
        if calls >= at:
            raise KeyboardInterrupt
        return plain(*arguments)

    patch.setattr(ranking, "minimise", minimise)


@pytest.mark.parametrize("goal", ["speed", "cost"])
@pytest.mark.parametrize("at", [1, 2, 4])
def test_the_best_plans_so_far_are_plans_and_no_more_is_said(goal: str, at: int) -> None:
    problem = shop(POSSIBLE.model_copy(update={"goal": goal}))
    whole = recommend(problem)
    with pytest.MonkeyPatch.context() as patch:
        interrupting(patch, at)
        found = answer(problem)
    assert found.status == "best_found" and found.provenance.interrupted and found.hoped is None
    assert found.plans and not any(plan.exposure for plan in found.plans)
    for plan in found.plans:
        assert all(f.admits for f in judge(problem, plan.draft, all_rules()))
    percent = found.provenance.better_percent
    first, best = found.plans[0].draft, whole.plans[0].draft
    own, least = (first.cost, best.cost) if goal == "cost" else (first.time_ppm, best.time_ppm)
    assert percent is not None and least * 100 >= own * (100 - percent)


def test_what_nobody_asked_to_keep_is_raised() -> None:
    with pytest.MonkeyPatch.context() as patch:
        interrupting(patch, 1)
        with pytest.raises(KeyboardInterrupt):
            recommend(shop())


def test_with_nothing_found_yet_there_is_nothing_to_keep(monkeypatch: pytest.MonkeyPatch) -> None:
    def pressed(self: Search, known: Any = None) -> Any:
        raise KeyboardInterrupt

    monkeypatch.setattr(Search, "fastest", pressed)
    with pytest.raises(KeyboardInterrupt):
        answer(shop())


@settings(max_examples=40)
@given(instances(), st.sampled_from(["speed", "cost"]))
def test_what_a_limit_leaves_open_is_never_more_than_is_said(instance: Instance, goal: str) -> None:
    """No work allowed: whatever is found, the best is within the stated share of it."""
    problem = instance.problem(goal=goal)
    found = recommend(problem, Limits(deterministic_s=1e-9))
    percent = found.provenance.better_percent
    if found.status != "best_found" or percent is None:
        return
    best = recommend(replace(problem)).plans[0].draft
    first = found.plans[0].draft
    own, least = (first.cost, best.cost) if goal == "cost" else (first.time_ppm, best.time_ppm)
    assert least * 100 >= own * (100 - percent)
