"""The short answer sought on two processes, and before its first plan is known, is the one sought in a row."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from partsolver.base import parallel
from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.load import load_catalog
from partsolver.problem.join import join
from partsolver.problem.problem import Problem
from partsolver.report.json import recommendation
from partsolver.solve import choices as module
from partsolver.solve.choices import choices, sought
from partsolver.solve.left_out import answer_with_left_out
from partsolver.solve.short_answer import short_answer
from partsolver.survey.load import load_survey

WISHES: tuple[Mapping[str, Any], ...] = (
    {"budget": "230"},
    {"budget": "120"},
    {"budget": "230", "goal": "cost", "min_speedup": "1.5"},
    {"budget": "230", "min_speedup": "2.1"},
    {"budget": "300", "use": "games"},
    {"budget": "0"},
)


def asked(wishes: Mapping[str, Any]) -> Problem:
    survey, brief = load_survey(Path(data_folder()) / "demo-survey.toml")
    return join(survey, load_catalog(Path(data_folder()) / "demo"), brief.model_copy(update=dict(wishes)))


@cache
def in_a_row(wishes: tuple[tuple[str, Any], ...]) -> dict[str, Any]:
    """The answer of one process alone."""
    problem, outcome = answer_with_left_out(asked(dict(wishes)))
    return recommendation(outcome, problem, choices(problem, outcome) if outcome.plans else None)


# Without a safe fork both halves are sought one after the other: two of the wishes say that it is the same.
@pytest.mark.parametrize(
    ("wishes", "forked"), [*((wishes, True) for wishes in WISHES), *((w, False) for w in WISHES[:2])], ids=str
)
def test_the_same_on_two_processes(
    wishes: Mapping[str, Any], forked: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    if forked and sys.platform != "linux":
        pytest.skip("there is no safe fork here")
    monkeypatch.setattr(parallel, "_safe", lambda: False)
    expected = in_a_row(tuple(wishes.items()))
    monkeypatch.setattr(parallel, "_safe", lambda: forked)
    problem, outcome, found = short_answer(asked(wishes))
    assert recommendation(outcome, problem, found) == expected


@pytest.mark.parametrize("saving", [10, 60, 99])
def test_what_was_sought_without_knowing_the_first_plan_is_what_is_sought_with_it(
    saving: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also where the cheapest plan of the clearest gain saves too little, and a lesser gain is looked for."""
    monkeypatch.setattr(module, "LEAST_SAVING_PERCENT", saving)
    problem, outcome = answer_with_left_out(asked({"budget": "230"}))
    early = choices(problem, outcome, known=lambda: sought(problem, module.Limits()))
    late = choices(problem, outcome)
    assert [(c.kinds, c.plan.parts.keys, c.gain_milli) for c in early.plans] == [
        (c.kinds, c.plan.parts.keys, c.gain_milli) for c in late.plans
    ]
    gains = {10: [2000], 60: [1500], 99: []}
    assert [c.gain_milli for c in late.plans if "clear-gain" in c.kinds] == gains[saving]
