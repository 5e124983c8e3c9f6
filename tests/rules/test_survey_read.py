"""What rules say is kept across changed surveys by the fields that each rule declares it reads (SURVEY): watched here."""

from __future__ import annotations

import random
from collections import defaultdict
from dataclasses import fields
from typing import Any

import pytest
from conftest import FULL
from oracle_worlds import world_of
from support import combinations

from partsolver.problem import Draft, Line, Problem
from partsolver.rules import all_rules
from partsolver.rules.base import needs_of
from partsolver.survey.model import Survey

WORLDS = 2_000 if FULL else 150
RULES = [rule for rule in all_rules() if not rule.ID.startswith("buying.")]


class WatchedSurvey:
    """A survey that notes which of its fields are read."""

    def __init__(self, survey: Survey, seen: set[str]) -> None:
        self.__dict__.update(survey=survey, seen=seen)

    def __getattr__(self, name: str) -> Any:
        if name == "system_drive":
            self.seen.add("drives")
        elif name in Survey.model_fields:
            self.seen.add(name)
        return getattr(self.survey, name)


class WatchedProblem(Problem):
    """A problem that notes when the system's demands are read. Nothing is remembered: what was could hide a read."""

    def __getattribute__(self, name: str) -> Any:
        if name in ("os", "memory_limit_mib"):
            self.__dict__["seen"].add("os")
        return super().__getattribute__(name)


def watched(problem: Problem) -> tuple[Problem, set[str]]:
    seen: set[str] = set()
    result = object.__new__(WatchedProblem)
    values = {field.name: getattr(problem, field.name) for field in fields(Problem)}
    result.__dict__.update(values | {"memo": {}, "survey": WatchedSurvey(problem.survey, seen), "seen": seen})
    return result, seen


@pytest.fixture(scope="module")
def read() -> dict[str, set[str]]:
    """By rule: the fields of the survey that it read in any of many small worlds."""
    found: dict[str, set[str]] = defaultdict(set)
    draw = random.Random(1)
    for number in range(WORLDS):
        problem = world_of(number).problem
        every = list(combinations(problem))
        for parts in draw.sample(every, min(4, len(every))):
            for rule in RULES:
                seeing, seen = watched(problem)
                needs = needs_of(rule, parts, seeing)
                lines = tuple(Line(need.options[0][0], need.options[0][1], 0, need=need) for need in needs if need.options)
                rule.admits(Draft(parts, lines, (), 0, 0), seeing)
                found[rule.ID] |= seen
    return found


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.ID)
def test_a_rule_reads_the_fields_that_it_declares(rule: Any, read: dict[str, set[str]]) -> None:
    assert read[rule.ID] == set(rule.SURVEY)
