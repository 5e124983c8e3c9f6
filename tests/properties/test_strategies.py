"""The drawn problems are worth testing with: planted parts fit, instances vary, and a catalogue survives its
files."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, find, given, settings
from strategies import Instance, instances, problems, write_catalog
from support import pick

from partsolver.catalog.load import load_catalog
from partsolver.plan.complete import complete, judge
from partsolver.problem.candidates import SLOTS
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.solve.recommend import recommend


@given(instances(survey_changes=0, wishes=False, budget=None))
def test_the_planted_parts_are_a_plan(instance: Instance) -> None:
    problem = instance.problem()
    parts = pick(problem, board="board-0", cpu="cpu-0", memory="kit-0*1")
    draft = complete(problem, parts, all_rules())
    assert draft is not None
    assert [f for f in judge(problem, draft, all_rules()) if not f.admits] == []


@given(problems())
def test_problems_join_and_stay_small(problem: Problem) -> None:
    assert all(problem.slot(slot) for slot in SLOTS if slot not in ("board", "cpu", "memory"))
    assert len(problem.slot("board")) <= 10 and len(problem.slot("cpu")) <= 6


@given(instances())
def test_files_give_the_same_catalogue(instance: Instance) -> None:
    with tempfile.TemporaryDirectory() as folder:
        loaded = load_catalog(write_catalog(Path(folder), instance.tables))
    ours = instance.catalog()
    for table, rows in loaded.tables.items():
        assert sorted(rows, key=repr) == sorted(ours.tables[table], key=repr)


@pytest.mark.parametrize(
    "wanted",
    [
        lambda outcome: len(outcome.plans) >= 3,
        lambda outcome: any(line.need is not None for plan in outcome.plans for line in plan.draft.lines),
        lambda outcome: any(line.bundle is not None for plan in outcome.plans for line in plan.draft.lines),
        lambda outcome: any(charge for plan in outcome.plans for _, charge in plan.draft.deliveries),
        lambda outcome: outcome.status == "impossible",
    ],
    ids=["several plans", "an extra", "a bundle", "a delivery charge", "impossible"],
)
def test_interesting_problems_are_drawn(wanted) -> None:  # type: ignore[no-untyped-def]
    quiet = settings(
        max_examples=3000,
        database=None,
        deadline=None,
        derandomize=True,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    assert find(instances(), lambda instance: wanted(recommend(instance.problem())), settings=quiet)
