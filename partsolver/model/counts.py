"""How many boards, processors and memory choices each rule alone leaves.

For a rule about parts: one small model of the picks and that rule; a candidate is ruled out when fixing it contradicts
the rule. CP-SAT's presolve finds these by propagation and probing and reports them as tightened domains; in principle
a candidate that only search could rule out would still be counted as left (equality with brute force is tested). For a
rule about buying: the candidate is bought alone, everything else stays, by the plain purchase.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from ortools.sat.python import cp_model

from partsolver.model.build import post_power, post_time
from partsolver.model.identity import facts_of
from partsolver.model.picks import Picks
from partsolver.model.pool import kept_memo
from partsolver.model.solve import Limits, fixed_at_zero, solve
from partsolver.outcome import RuleCount
from partsolver.performance.present import present_parts
from partsolver.planner import allowed_by, buy, judge
from partsolver.problem import SLOTS, Candidate, Draft, Parts, Problem, SlotName
from partsolver.rules import all_rules
from partsolver.rules.base import Rule

# Up to this many candidates each is solved for; beyond, propagation and probing decide.
EXACT_UP_TO = 60
COUNTED: tuple[SlotName, ...] = ("board", "cpu", "memory")


def left_by(problem: Problem, rule: Rule) -> dict[SlotName, int]:
    """Candidates per slot that the rule alone leaves."""
    if rule.ID.startswith("buying.") and rule.ID != "buying.minimums":
        return {slot: sum(1 for c in problem.slot(slot) if _bought_alone(problem, rule, c)) for slot in COUNTED}
    small, twins = _smaller(problem, rule)
    model = cp_model.CpModel()
    picks = Picks(model, small)
    if rule.ID == "buying.minimums":
        post_time(picks)
    if rule.ID.startswith("power."):
        post_power(picks)
    before = len(model.proto.constraints)
    rule.post(model, picks, small, picks.true)
    if len(model.proto.constraints) == before and rule.ID != "buying.minimums":
        return {slot: len(problem.slot(slot)) for slot in COUNTED}
    refused = fixed_at_zero(model)
    if refused is None:
        return dict.fromkeys(COUNTED, 0)
    exact = sum(len(problem.slot(slot)) for slot in SLOTS) <= EXACT_UP_TO
    return {
        slot: sum(twins[slot, c.key] for c, lit in picks.of(slot) if lit.index not in refused and not (exact and _impossible(model, lit)))
        for slot in COUNTED
    }


def _smaller(problem: Problem, rule: Rule) -> tuple[Problem, dict[tuple[SlotName, str], int]]:
    """The problem with one candidate for all that the rule treats alike, and how many each stands for.

    A slot the rule does not read needs a single candidate (with the cooler the processor counts too: it may bring one).
    """
    read = {*rule.SLOTS, *(("cpu",) if "cooler" in rule.SLOTS else ())}
    candidates: dict[SlotName, tuple[Candidate, ...]] = {}
    twins: dict[tuple[SlotName, str], int] = {}
    for slot in SLOTS:
        kinds: dict[Any, list[Candidate]] = {}
        for candidate in sorted(problem.slot(slot), key=lambda c: not c.kept):
            alike = None if slot not in read else (facts_of(candidate), _scores(candidate) if rule.ID == "buying.minimums" else None)
            kinds.setdefault(alike, []).append(candidate)
        first = {members[0].key: len(members) for members in kinds.values()}
        candidates[slot] = tuple(c for c in problem.slot(slot) if c.key in first)
        twins |= {(slot, key): count for key, count in first.items()}
    return replace(problem, candidates=candidates, memo=kept_memo(problem)), twins


def _scores(candidate: Candidate) -> Any:
    """What the expected time reads of a processor and no rule about parts does."""
    part: Any = candidate.part
    return (part.serial_score, part.parallel_score) if candidate.slot == "cpu" else None


def _impossible(model: cp_model.CpModel, literal: Any) -> bool:
    """Whether no pick with this candidate satisfies the rule."""
    trial = model.clone()
    trial.add(literal == 1)
    return not solve(trial, Limits()).found


def _bought_alone(problem: Problem, rule: Rule, candidate: Candidate) -> bool:
    """Whether some purchase of this candidate, everything else staying, passes a buying rule."""
    present = present_parts(problem)
    picked = [candidate if slot == candidate.slot else present.candidate(slot) for slot in SLOTS]
    parts = Parts(tuple(picked))
    if rule.ID == "buying.excluded":
        # The other slots can hold what is wanted there: only this slot's own demand and ban count.
        return bool(rule.allows_candidate(problem, candidate)) and _not_excluded(problem, candidate)  # type: ignore[attr-defined]
    basket = buy(problem, parts, [rule], allowed_by(problem, [rule]))
    if basket is None:
        return False
    draft = Draft(parts, basket.lines, basket.deliveries, basket.cost, 0)
    return all(finding.admits for finding in judge(problem, draft, [rule]))


def _not_excluded(problem: Problem, candidate: Candidate) -> bool:
    return candidate.id is None or candidate.id not in problem.brief.without


def count_rules(problem: Problem, rules: Sequence[Rule] | None = None) -> tuple[RuleCount, ...]:
    """Counts of the rules that restrict something, most restrictive first (by the product of what they leave)."""
    counts = []
    for rule in all_rules() if rules is None else rules:
        left = left_by(problem, rule)
        counts.append(RuleCount(rule.ID, left["board"], left["cpu"], left["memory"]))
    totals = tuple(len(problem.slot(slot)) for slot in COUNTED)
    restricting = [c for c in counts if (c.boards, c.cpus, c.memory) != totals]
    return tuple(sorted(restricting, key=lambda c: (c.boards * c.cpus * c.memory, c.boards, c.cpus, c.memory, c.rule)))
