"""How many boards, processors and memory kits each rule alone leaves.

One small model per rule: a candidate is ruled out when fixing it contradicts that rule alone. CP-SAT's presolve
finds these by propagation and probing and reports them as tightened domains. Equality with brute force is tested on
small catalogues; in principle a candidate that only search could rule out would still be counted as left.
"""

from __future__ import annotations

from collections.abc import Sequence

from partsolver.model.build import build
from partsolver.model.solve import fixed_at_zero
from partsolver.outcome import RuleCount
from partsolver.problem import Problem, SlotName
from partsolver.rules import all_rules
from partsolver.rules.base import Rule

COUNTED: tuple[SlotName, ...] = ("board", "cpu", "memory")


def left_by(problem: Problem, rules: Sequence[Rule]) -> dict[SlotName, int]:
    """Candidates per slot that the rules together leave, as far as propagation and probing tell."""
    built = build(problem, rules)
    refused = fixed_at_zero(built.model)
    if refused is None:
        return dict.fromkeys(COUNTED, 0)
    left: dict[SlotName, int] = {}
    for slot in COUNTED:
        left[slot] = sum(1 for _, literal in built.picks.of(slot) if literal.index not in refused)
    return left


def count_rules(problem: Problem, rules: Sequence[Rule] | None = None) -> tuple[RuleCount, ...]:
    """Counts of the rules that restrict something, most restrictive first (by the product of what they leave)."""
    counts = []
    for rule in all_rules() if rules is None else rules:
        left = left_by(problem, [rule])
        counts.append(RuleCount(rule.ID, left["board"], left["cpu"], left["memory"]))
    totals = tuple(len(problem.slot(slot)) for slot in COUNTED)
    restricting = [c for c in counts if (c.boards, c.cpus, c.memory) != totals]
    return tuple(sorted(restricting, key=lambda c: (c.boards * c.cpus * c.memory, c.boards, c.cpus, c.memory, c.rule)))
