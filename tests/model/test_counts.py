"""What each rule alone leaves equals brute force over whole small catalogues."""

from __future__ import annotations

from brute import drafts
from conftest import FULL
from hypothesis import given, settings
from strategies import Instance, instances
from support import make_problem

from partsolver.brief import Brief
from partsolver.model.counts import COUNTED, count_rules
from partsolver.outcome import RuleCount
from partsolver.problem import Problem
from partsolver.rules import all_rules
from partsolver.rules.base import Rule


def plain(problem: Problem, rule: Rule) -> RuleCount:
    """Candidates that are in at least one plan that this rule alone admits."""
    left: dict[str, set[str]] = {slot: set() for slot in COUNTED}
    for draft in drafts(problem, [rule]):
        for slot in COUNTED:
            left[slot].add(draft.parts.candidate(slot).key)
    return RuleCount(rule.ID, len(left["board"]), len(left["cpu"]), len(left["memory"]))


def check(problem: Problem) -> None:
    totals = tuple(len(problem.slot(slot)) for slot in COUNTED)
    expected = [plain(problem, rule) for rule in all_rules()]
    restricting = [c for c in expected if (c.boards, c.cpus, c.memory) != totals]
    found = count_rules(problem)
    assert sorted(found, key=lambda c: c.rule) == sorted(restricting, key=lambda c: c.rule)
    products = [c.boards * c.cpus * c.memory for c in found]
    assert products == sorted(products), "most restrictive first"


@settings(max_examples=60 if FULL else 4)
@given(instances(most=2, survey_changes=3))
def test_counts_equal_brute_force(instance: Instance) -> None:
    check(instance.problem())


def test_the_base_catalogue() -> None:
    check(make_problem(brief=Brief(budget="25.00", min_speedup="1.3", min_memory_gb=8)))
