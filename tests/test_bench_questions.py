"""Questions of physics and fit from the bench, answered from the reference before they were tried.

``bench_questions.toml`` holds one table each: ``given`` states, in the words of ``tests/cases``, what differs
from the base PC and the base parts; ``parts`` what is checked (else board, processor and kit); ``answer``:

fits: the parts stand, and the rule has nothing to remark · refused: the rule refuses them · asked: the rule
asks, and nothing refuses · warned: they stand, and the rule warns · said: they stand, and a finding of the rule
has ``facts`` · silent: they stand, and the rule does not look.
"""

from __future__ import annotations

import tomllib
from collections import Counter
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from test_cases import build_problem

from partsolver.plan.make import make_plan
from partsolver.plan.outcome import Plan
from partsolver.rules import all_rules
from partsolver.solve.left_out import chosen_with_left_out

QUESTIONS: list[dict[str, Any]] = tomllib.loads(
    (Path(__file__).parent / "bench_questions.toml").read_text(encoding="utf-8")
)["question"]
_KEYS = {"name", "why", "source", "answer", "rule", "facts", "parts", "given"}


def _answered(plan: Plan, question: dict[str, Any]) -> bool:
    own = [finding for finding in plan.findings if finding.rule == question["rule"]]
    fails = [finding for finding in plan.findings if finding.verdict == "fails"]
    answer = question["answer"]
    if answer == "refused":
        return any(finding in fails for finding in own)
    if answer == "asked":
        return not fails and any(finding.verdict == "unknown" for finding in own)
    if not plan.admitted:
        return False
    if answer == "fits":
        return bool(own) and all(f.verdict == "fits" and not f.fact("warning") for f in own)
    if answer == "warned":
        return any(finding.fact("warning") for finding in own)
    if answer == "silent":
        return not own
    assert answer == "said", answer
    facts = question["facts"].items() if "facts" in question else ()
    return any(all(finding.fact(key) == value for key, value in facts) for finding in own)


@pytest.mark.parametrize("question", QUESTIONS, ids=lambda question: question["name"])
def test_question(question: dict[str, Any]) -> None:
    assert set(question) <= _KEYS and question["why"] and question["source"]
    problem = build_problem(tomllib.loads(question["given"], parse_float=Decimal))
    ids = question.get("parts", ["board-a", "cpu-a", "kit-a"])
    problem, draft, _ = chosen_with_left_out(problem, ids, all_rules())
    plan = make_plan(problem, draft, all_rules(), 1, 0, None)
    told = [f for f in plan.findings if f.rule == question["rule"] or not f.admits]
    assert _answered(plan, question), (question["why"], told)


def test_the_questions_are_of_all_kinds() -> None:
    """Both a wrong yes and a wrong no would show: many of each answer, over all families of rules."""
    answers = Counter(question["answer"] for question in QUESTIONS)
    assert answers["fits"] > 50 and answers["refused"] > 60 and answers["asked"] > 15
    families = Counter(question["rule"].partition(".")[0] for question in QUESTIONS)
    assert {"power", "fit", "memory", "storage", "platform", "os", "picture", "ports"} <= set(families)
    names = [question["name"] for question in QUESTIONS]
    assert len(names) == len(set(names))
