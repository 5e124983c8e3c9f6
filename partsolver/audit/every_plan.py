"""Every plan of a small problem, by trying every combination of parts under the plain predicates: no
search, no solver."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import product
from math import prod
from typing import Any

from partsolver.assembly.bought_cards import plan_load
from partsolver.performance.time import time_ppm
from partsolver.plan.complete import allowed_by, buy, judge
from partsolver.plan.draft import Draft, Line, Need
from partsolver.plan.identity import identity
from partsolver.problem.candidates import SLOTS, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules, family_of
from partsolver.rules.base import Rule

# Slots in the order in which ids decide between plans that are equal otherwise (design.md section 4); the
# cooler last.
ID_ORDER: tuple[SlotName, ...] = ("board", "cpu", "memory", "psu", "case", "drive", "graphics", "cooler")


def count_combinations(problem: Problem) -> int:
    """How many combinations of one candidate per slot there are."""
    return prod(len(problem.slot(slot)) for slot in SLOTS)


def combinations(problem: Problem) -> Iterable[Parts]:
    """Every combination of one candidate per slot (the boxed cooler only with a new processor that brings
    one)."""
    for picked in product(*(problem.slot(slot) for slot in SLOTS)):
        parts = Parts(picked)
        if parts.cooler.boxed and (parts.candidate("cpu").kept or not parts.cpu.boxed_cooler):
            continue
        yield parts


class Judged:
    """Which rules admit parts and what they need, remembered by the parts a rule reads."""

    def __init__(self, problem: Problem, rules: Sequence[Rule]) -> None:
        self.problem = problem
        self.rules = [rule for rule in rules if family_of(rule.ID) != "buying"]
        self._reads = {rule.ID: tuple(SLOTS.index(slot) for slot in rule.SLOTS) for rule in self.rules}
        self._known: dict[Any, tuple[bool, tuple[Need, ...]]] = {}

    def said(self, rule: Rule, parts: Parts) -> tuple[bool, tuple[Need, ...]]:
        """(whether a rule admits parts once its own needs are bought, the needs)."""
        key = (rule.ID, *[parts.picked[i].key for i in self._reads[rule.ID]])
        if key not in self._known:
            needs = rule.needs(parts, self.problem)
            admitted = all(need.options for need in needs)
            if admitted:
                lines = tuple(Line(n.options[0][0], n.options[0][1], 0, need=n) for n in needs)
                admitted = all(f.admits for f in rule.admits(Draft(parts, lines, (), 0, 0), self.problem))
            self._known[key] = admitted, needs
        return self._known[key]

    def admits(self, parts: Parts) -> bool:
        """Whether all rules but those about buying admit parts."""
        return all(self.said(rule, parts)[0] for rule in self.rules)


def drafts(problem: Problem, rules: Sequence[Rule] | None = None) -> Iterator[Draft]:
    """Every combination that the rules admit, each bought as cheaply as they allow, in candidate order."""
    rules = all_rules() if rules is None else rules
    judged, allowed = Judged(problem, rules), allowed_by(problem, rules)
    for parts in combinations(problem):
        if not judged.admits(parts):
            continue
        basket = buy(problem, parts, rules, allowed)
        if basket is None:
            continue
        draft = Draft(parts, basket.lines, basket.deliveries, basket.cost, time_ppm(problem, parts))
        if all(finding.admits for finding in judge(problem, draft, rules)):
            yield draft


def step_of(problem: Problem, draft: Draft, least: int) -> int:
    """Steps of the resolution above the least time (design.md section 4)."""
    over, resolution = draft.time_ppm - least, Fraction(problem.brief.resolution_percent)
    return over if resolution == 0 else int(Fraction(100 * over) / (resolution * least))


def in_order(problem: Problem, found: Sequence[Draft]) -> list[Draft]:
    """Drafts in the total order of design.md section 4, of each choice the first."""
    least = min((draft.time_ppm for draft in found), default=0)
    place = {(slot, c.key): i for slot in SLOTS for i, c in enumerate(problem.slot(slot))}

    def order(draft: Draft) -> tuple[int, ...]:
        goal = (draft.cost, draft.time_ppm)
        if problem.brief.goal == "speed":
            goal = (step_of(problem, draft, least), draft.cost)
        watts = -(-plan_load(problem, draft.parts).mw // 1000)
        return (*goal, watts, *(place[slot, draft.parts.candidate(slot).key] for slot in ID_ORDER))

    firsts: dict[Any, Draft] = {}
    for draft in sorted(found, key=order):
        firsts.setdefault(identity(draft.parts), draft)
    return list(firsts.values())
