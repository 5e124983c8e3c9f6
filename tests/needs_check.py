"""The needs of a rule, stated as a closed form and posted, are the same for every combination of parts."""

from __future__ import annotations

from support import admitted, combinations, needs_of

from partsolver.model.build import build
from partsolver.model.solve import Limits, solve
from partsolver.problem.problem import Problem
from partsolver.rules.base import Rule


def same_needs(rule: Rule, problem: Problem) -> tuple[int, int]:
    """Assert that the model buys for this rule exactly what ``needs`` says; returns (with, without) needs."""
    counts = [0, 0]
    for parts in combinations(problem):
        if not admitted(rule, problem, parts):
            continue
        built = build(problem, [rule])
        for candidate in parts.picked:
            built.model.add(built.picks.literal(candidate.slot, candidate.key) == 1)
        solved = solve(built.model, Limits())
        bought = [
            (extra, n) for ways in built.picks.needs.values() for extra, n, lit in ways if solved.value(lit)
        ]
        expected = [need.options for need in needs_of(rule, parts, problem) if need.options]
        assert len(bought) == len(expected), (rule.ID, parts.keys, bought, expected)
        # A need's options are posted in the same order, and one of them is bought.
        posted = [tuple((extra, n) for extra, n, _ in ways) for ways in built.picks.needs.values()]
        for options in expected:
            assert options in posted, (rule.ID, parts.keys, options, posted)
            assert any(item in options for item in bought), (rule.ID, parts.keys)
        counts[0 if expected else 1] += 1
    return counts[0], counts[1]
