"""A changed budget answers, byte for byte, as a problem joined afresh: what is kept of other budgets is only
used where it still holds (the laws in solve/kept.py), and it is used."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from adversarial import adversarial, searching
from conftest import FULL
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from strategies import Instance, instances

from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.load import load_catalog
from partsolver.problem.join import changed, join
from partsolver.problem.problem import Problem
from partsolver.report.json import recommendation
from partsolver.solve.choices import choices
from partsolver.solve.left_out import answer_with_left_out
from partsolver.solve.ranking import Ranking
from partsolver.solve.short_answer import short_answer
from partsolver.survey.load import load_survey

DRAWN = settings(max_examples=400 if FULL else 3, suppress_health_check=[HealthCheck.too_slow])
# Budgets in cents, near one another and far: what is bought of the drawn shops costs 20.00 to 140.00.
BUDGETS = st.lists(
    st.one_of(st.none(), st.integers(0, 16000), st.sampled_from([8000, 8900, 9000, 9100, 16000])),
    min_size=2,
    max_size=4,
)


def said(problem: Problem) -> str:
    """All that is said of a problem's short answer, as the bytes of its JSON."""
    answered, outcome = answer_with_left_out(problem)
    found = choices(answered, outcome) if outcome.plans else None
    return json.dumps(recommendation(outcome, answered, found), sort_keys=True)


def amount(cents: int | None) -> str | None:
    return None if cents is None else f"{cents // 100}.{cents % 100:02d}"


def check(instance: Instance, budgets: Sequence[int | None], **wishes: Any) -> None:
    # Drawn shops are so small that the model hardly has as many combinations as it should.
    with searching(), pytest.MonkeyPatch.context() as patch:
        patch.setattr("partsolver.search.window.LEAST_EACH", 1 + len(budgets) % 3)
        warm = instance.problem(budget=amount(budgets[0]), **wishes)
        for budget in budgets:
            warm = changed(warm, budget=amount(budget))
            assert said(warm) == said(instance.problem(budget=amount(budget), **wishes)), amount(budget)


@DRAWN
@given(instances(most=3), BUDGETS, st.sampled_from(["speed", "cost"]), st.sampled_from([1, 2, 3]))
def test_changed_budgets(instance: Instance, budgets: list[int | None], goal: str, alternatives: int) -> None:
    check(instance, budgets, goal=goal, alternatives=alternatives)


@DRAWN
@given(adversarial(most=3), BUDGETS, st.sampled_from(["1", "0", "10"]))
def test_changed_budgets_of_adversarial_shops(
    instance: Instance, budgets: list[int | None], resolution: str
) -> None:
    check(instance, budgets, resolution_percent=resolution, alternatives=2)


# -- the demo's catalogue ------------------------------------------------------------------------------------------


def demo(**wishes: Any) -> Problem:
    survey, brief = load_survey(Path(data_folder()) / "demo-survey.toml")
    return join(survey, load_catalog(Path(data_folder()) / "demo"), brief.model_copy(update=wishes))


@pytest.mark.parametrize(
    "wishes", [{}, {"goal": "cost", "min_speedup": "1.5"}, {"replace": ("psu",)}], ids=str
)
def test_the_demo_with_more_and_less_money(wishes: dict[str, Any]) -> None:
    warm = demo(budget="230", **wishes)
    for budget in ("230", "231", "229.99", "180", "235", "60", "50", "231"):
        warm = changed(warm, budget=budget)
        answered, outcome, found = short_answer(warm)
        told = json.dumps(recommendation(outcome, answered, found), sort_keys=True)
        assert told == said(demo(budget=budget, **wishes)), budget


class _Counting:
    """Counts the rankings that are searched."""

    def __init__(self, patch: pytest.MonkeyPatch) -> None:
        self.count, before = 0, Ranking._ranked

        def counted(ranking: Ranking) -> Any:
            self.count += 1
            return before(ranking)

        patch.setattr(Ranking, "_ranked", counted)


def test_less_money_that_pays_for_all_of_it_searches_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("partsolver.base.parallel._safe", lambda: False)
    counting = _Counting(monkeypatch)
    problem = demo(budget="230")
    said(problem)
    assert counting.count > 3
    counting.count = 0
    said(changed(problem, budget="229.50"))
    assert counting.count == 0


def test_another_wish_is_asked_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = demo(budget="230")
    said(problem)
    counting = _Counting(monkeypatch)
    said(changed(problem, without=("cpu-0",) if "cpu-0" in problem.names else (next(iter(problem.names)),)))
    assert counting.count > 0
