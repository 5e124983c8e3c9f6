"""A catalogue with only its required cells: questions, not guesses."""

from __future__ import annotations

import csv
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from erasing import same_parts

from partsolver.catalog.dictionary import columns, data_folder
from partsolver.catalog.load import load_catalog
from partsolver.plan.assumed import assumptions
from partsolver.plan.complete import judge
from partsolver.plan.outcome import Outcome
from partsolver.problem.candidates import TABLE_OF_SLOT
from partsolver.problem.join import join
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules, fit_facts
from partsolver.solve.answer import answer
from partsolver.survey.load import load_survey


def stripped(folder: Path) -> Path:
    """The demo catalogue without any cell that is not required."""
    shutil.copytree(data_folder() / "demo", folder)
    for table, described in columns().items():
        path = folder / f"{table}.csv"
        if not path.exists():
            continue
        with path.open(encoding="utf-8", newline="") as file:
            rows = list(csv.DictReader(file))
        wanted = [name for name in rows[0] if described[name].required]
        with path.open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, wanted, extrasaction="ignore")
            writer.writeheader()
            writer.writerows(rows)
    return folder


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory) -> tuple[Problem, Problem, Outcome]:
    """The demo's PC with the full catalogue, with the stripped one, and the answer to that."""
    survey, brief = load_survey(data_folder() / "demo-survey.toml")
    folder = stripped(tmp_path_factory.mktemp("required") / "parts")
    full = join(survey, load_catalog(data_folder() / "demo"), brief)
    poor = join(survey, load_catalog(folder), brief)
    return full, poor, answer(poor)


def test_no_part_is_bought_whose_basic_fit_is_blank(asked: tuple[Problem, Problem, Outcome]) -> None:
    """Neither boards nor memory: form and buffering of modules are in no required column."""
    _, _, outcome = asked
    assert outcome.plans
    for plan in outcome.plans:
        assert plan.parts.memory.kit is None and plan.parts.board_kept
        assert plan.parts.unchanged or plan.open_questions


def test_what_is_barred_is_hoped_for_with_what_to_look_at(asked: tuple[Problem, Problem, Outcome]) -> None:
    outcome = asked[2]
    assert outcome.hoped is not None
    looks = {look.question for look in outcome.hoped.looks}
    kit, board = outcome.hoped.plan.parts.memory.kit, outcome.hoped.plan.parts.board
    assert kit is not None
    assert {
        f"memory:{kit.id}.module",
        f"memory:{kit.id}.registered",
        f"board:{board.id}.memory_module",
    } <= looks
    assert all(look.rule == fit_facts.ID for look in outcome.hoped.looks)
    assert not outcome.hoped.plan.admitted


def test_each_plan_stands_on_the_full_facts_or_asked_for_what_it_fails_by(
    asked: tuple[Problem, Problem, Outcome],
) -> None:
    full, poor, outcome = asked
    for plan in outcome.plans:
        parts = same_parts(plan.parts, full)
        assert parts is not None
        open_rules = {finding.rule for finding in plan.findings if finding.verdict == "unknown"}
        for finding in judge(full, replace(plan.draft, parts=parts), all_rules()):
            # A seller's least order is taken as none, and listed with the plan as assumed.
            said = {item.column for item in assumptions(poor, plan.draft)}
            assumed = finding.rule == "buying.order" and "minimum_order" in said
            assert finding.admits or finding.rule in open_rules or assumed, finding


def test_questions_name_blank_cells(asked: tuple[Problem, Problem, Outcome]) -> None:
    """Every question about a part on sale names a column of the dictionary that is blank there."""
    _, poor, outcome = asked
    assert outcome.hoped is not None
    paths = {q for plan in (*outcome.plans, outcome.hoped.plan) for q in plan.open_questions if ":" in q}
    named = 0
    for path in paths:
        slot, _, rest = path.partition(":")
        part, _, column = rest.rpartition(".")
        if slot not in TABLE_OF_SLOT or part not in poor.source.table_of:
            continue
        named += 1
        assert column in columns()[TABLE_OF_SLOT[slot]], path
        assert getattr(poor.source.part(part), column) is None, path
    assert named >= 10
