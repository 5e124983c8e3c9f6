"""``admits`` and ``post`` of every rule agree on problems drawn by one generator (`oracle_worlds.world_of`), pruning off.

For each rule worlds are gone through by number until parts of both verdicts were met; a few combinations of each are
then decided by the model that has this rule alone. `test_agreement.py` does the same at the edge of each number.
"""

from __future__ import annotations

import random
from itertools import islice
from typing import Any

import pytest
from oracle_worlds import world_of
from support import admitted

from partsolver.audit.every_plan import combinations
from partsolver.model.build import build
from partsolver.model.solve import Limits, solve
from partsolver.problem.candidates import Parts
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules

WORLDS, TRIES, EACH = 400, 40, 3
MOST_COMBINATIONS = 20_000


def drawn_parts(problem: Problem, seed: int) -> list[Parts]:
    """Some of the combinations that can be put together (a boxed cooler comes with its processor alone)."""
    every = list(islice(combinations(problem), MOST_COMBINATIONS))
    return random.Random(seed).sample(every, min(TRIES, len(every)))


def decided(rule: Any, problem: Problem, some: list[Parts]) -> list[bool]:
    """Whether the model with this rule alone admits each of the combinations."""
    built = build(problem, [rule])
    found = []
    for parts in some:
        trial = built.model.clone()
        for candidate in parts.picked:
            trial.add(built.picks.literal(candidate.slot, candidate.key) == 1)
        found.append(solve(trial, Limits()).found)
    return found


@pytest.mark.parametrize("rule", all_rules(), ids=lambda rule: rule.ID)
def test_both_statements_agree_on_drawn_problems(rule: Any) -> None:
    met = {True: 0, False: 0}
    start = 1000 * [r.ID for r in all_rules()].index(rule.ID)
    for number in range(start, start + WORLDS):
        problem = world_of(number).problem
        by_verdict: dict[bool, list[Parts]] = {True: [], False: []}
        for parts in drawn_parts(problem, number):
            by_verdict[admitted(rule, problem, parts)].append(parts)
        for verdict, listed in by_verdict.items():
            some = list(islice(listed, max(0, EACH - met[verdict])))
            if some:
                assert decided(rule, problem, some) == [verdict] * len(some), (number, [p.keys for p in some])
                met[verdict] += len(some)
        if min(met.values()) >= EACH:
            return
    pytest.fail(f"parts of both verdicts should be met in {WORLDS} worlds: {met}")
