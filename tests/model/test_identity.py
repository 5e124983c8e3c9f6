"""Candidates of one kind (plan/identity.py) are treated alike by every rule about parts: they differ only in
facts that no rule reads."""

from __future__ import annotations

import random
from dataclasses import fields, is_dataclass, replace
from itertools import count
from typing import Any

import pytest
from conftest import FULL
from oracle_worlds import world_of
from support import combinations, needs_of

from partsolver.plan.draft import Draft
from partsolver.plan.identity import facts_of
from partsolver.problem.candidates import SLOTS, Candidate, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.search.views import named_parts

RULES = [rule for rule in all_rules() if not rule.ID.startswith("buying.")]
WORLDS = 1_500 if FULL else 120


def said(problem: Problem, parts: Parts) -> dict[str, Any]:
    """By rule: what it needs, and whether it admits the parts without that."""
    draft = Draft(parts, (), (), 0, 0)
    return {
        rule.ID: (needs_of(rule, parts, problem), all(f.admits for f in rule.admits(draft, problem)))
        for rule in RULES
    }


def record_of(candidate: Candidate) -> Any:
    """The catalogue's record in a candidate; None for what is kept, and for the cooler in a box."""
    if candidate.kept or candidate.id is None:
        return None
    inner = {"memory": "kit", "cooler": "cooler", "drive": "part", "graphics": "bought"}.get(candidate.slot)
    return candidate.part if inner is None else getattr(candidate.part, inner)


def with_record(candidate: Candidate, record: Any) -> Candidate:
    inner = {"memory": "kit", "cooler": "cooler", "drive": "part", "graphics": "bought"}.get(candidate.slot)
    part: Any = candidate.part
    return replace(candidate, part=record if inner is None else replace(part, **{inner: record}))


@pytest.fixture(scope="module")
def problems() -> list[Problem]:
    return [world_of(number).problem for number in range(WORLDS)]


@pytest.mark.parametrize("slot", SLOTS)
def test_twins_are_treated_alike(slot: SlotName, problems: list[Problem]) -> None:
    draw = random.Random(slot)
    records = [record for p in problems for c in p.slot(slot) if (record := record_of(c)) is not None]
    assert records and all(is_dataclass(record) for record in records)
    tried: set[str] = set()
    number = count()
    for problem in problems:
        every = list(combinations(problem))
        for parts in draw.sample(every, min(3, len(every))):
            own = parts.candidate(slot)
            record = record_of(own)
            if record is None:
                continue
            # As many other values as leave the kind the same.
            for field in fields(record):
                # No other part of the world has the twin's id: what is remembered goes by ids.
                value = (
                    f"twin-{next(number)}"
                    if field.name == "id"
                    else getattr(draw.choice(records), field.name)
                )
                changed = replace(record, **{field.name: value})
                named = named_parts(problem)
                if changed != record and facts_of(with_record(own, changed), named) == facts_of(own, named):
                    record = changed
                    tried.add(field.name)
            twin = with_record(own, record)
            assert said(problem, Parts(tuple(twin if c is own else c for c in parts.picked))) == said(
                problem, parts
            )
    assert tried >= ({"id", "read_mbs"} if slot == "drive" else {"id"})
