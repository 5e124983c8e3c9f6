"""A changed wish answers, byte for byte, as a problem joined afresh: what is kept of other wishes is only
used where it still holds (the laws in solve/kept.py), and it is used."""

from __future__ import annotations

import datetime
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


# Wishes that only restrict what is bought, and others: what is remembered hangs on these in several ways.
# A number stands for a part or an extra of the drawn shop.
OTHERS = st.one_of(
    st.fixed_dictionaries({"without": st.lists(st.integers(0, 40), max_size=3, unique=True)}),
    st.fixed_dictionaries(
        {"without": st.lists(st.integers(0, 40), max_size=2), "budget": st.integers(7000, 16000)}
    ),
    st.fixed_dictionaries({"including": st.lists(st.integers(0, 40), max_size=1)}),
    st.fixed_dictionaries({"min_speedup": st.sampled_from([None, "1.05", "1.2", "1.5", "2.2"])}),
    st.fixed_dictionaries({"min_memory_gb": st.sampled_from([None, 4, 8, 16])}),
    st.fixed_dictionaries({"need_by": st.sampled_from([None, 0, 1, 2, 4, 9])}),
    st.fixed_dictionaries({"use": st.sampled_from(["office", "server", "programming"])}),
    st.fixed_dictionaries({"goal": st.sampled_from(["speed", "cost"])}),
    st.fixed_dictionaries({"alternatives": st.sampled_from([1, 2, 3])}),
)


def wishes_of(drawn: dict[str, Any], problem: Problem) -> dict[str, Any]:
    """Drawn wishes as fields of the brief."""
    named = sorted(
        {c.id for listed in problem.candidates.values() for c in listed if c.id} | {*problem.extras}
    )

    def value(name: str, drawn: Any) -> Any:
        if name in ("without", "including"):
            return tuple(dict.fromkeys(named[number % len(named)] for number in drawn))
        if name == "need_by" and drawn is not None:
            return problem.today + datetime.timedelta(days=drawn)
        return amount(drawn) if name == "budget" else drawn

    return {name: value(name, one) for name, one in drawn.items()}


def check_wishes(instance: Instance, changes: Sequence[dict[str, Any]]) -> None:
    """Every change on top of those before, and taken back at the end, against problems joined afresh."""
    with searching(), pytest.MonkeyPatch.context() as patch:
        patch.setattr("partsolver.search.window.LEAST_EACH", 1 + len(changes) % 3)
        patch.setattr("partsolver.solve.ranking.LEAST_EACH", 1 + len(changes) % 3)
        start: dict[str, Any] = {"budget": "160.00", "alternatives": 2}
        first = warm = instance.problem(**start)
        said(warm)
        wishes = start
        for drawn in changes:
            wishes = wishes | wishes_of(drawn, first)
            asked = first.brief.model_copy(update=wishes)
            if set(asked.without) & set(asked.including):
                break  # refused
            warm = changed(warm, **wishes)
            assert said(warm) == said(instance.problem(**wishes)), wishes
        back = {name: getattr(first.brief, name) for name in wishes}
        assert said(changed(warm, **back)) == said(instance.problem(**start)), (wishes, "taken back")


@DRAWN
@given(instances(most=3), st.lists(OTHERS, min_size=1, max_size=3))
def test_changed_wishes(instance: Instance, changes: list[dict[str, Any]]) -> None:
    check_wishes(instance, changes)


@DRAWN
@given(adversarial(most=3), st.lists(OTHERS, min_size=1, max_size=3))
def test_changed_wishes_of_adversarial_shops(instance: Instance, changes: list[dict[str, Any]]) -> None:
    check_wishes(instance, changes)


# -- the demo's catalogue ------------------------------------------------------------------------------------------


def demo(**wishes: Any) -> Problem:
    survey, brief = load_survey(Path(data_folder()) / "demo-survey.toml")
    return join(survey, load_catalog(Path(data_folder()) / "demo"), brief.model_copy(update=wishes))


@pytest.mark.parametrize(
    "wishes", [{}, {"goal": "cost", "min_speedup": "1.5"}, {"replace": ("psu",)}], ids=str
)
def test_the_demo_with_more_and_less_money(wishes: dict[str, Any]) -> None:
    warm = demo(budget="230", **wishes)
    for budget in ("229.99", "60", "231"):
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


def test_a_wish_that_touches_no_plan_searches_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("partsolver.base.parallel._safe", lambda: False)
    problem = demo(budget="230")
    _, outcome, found = short_answer(problem)
    assert found is not None
    bought = {
        c.id for plan in (*outcome.plans, *(one.plan for one in found.plans)) for c in plan.parts.picked
    }
    idle = next(c.id for c in problem.slot("cooler") if c.id is not None and c.id not in bought)
    counting = _Counting(monkeypatch)
    for wishes in ({"without": (idle,)}, {"min_speedup": "1.1"}):
        counting.count = 0
        warm = said(changed(problem, **wishes))
        assert counting.count == 0, wishes
        assert warm == said(demo(budget="230", **wishes))


def test_another_wish_is_asked_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    problem = demo(budget="230")
    _, outcome = answer_with_left_out(problem)
    counting = _Counting(monkeypatch)
    said(changed(problem, without=(outcome.plans[0].parts.candidate("cpu").id,)))
    assert counting.count > 0
