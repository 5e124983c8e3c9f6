"""Everything a small problem allows, by trying every combination of parts under the plain predicates. No
solver.

``drafts`` lists all admitted plans of a problem under any set of rules; ``frontier``, ``first`` and
``possible`` are read off that list. ``assignments`` tries every way to buy lines from sellers. Only for small
catalogues.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import product
from typing import Any

from support import combinations, needs_of

from partsolver.assembly.loads import total_load
from partsolver.catalog.records import Offer, Seller
from partsolver.performance.time import time_ppm
from partsolver.plan.complete import allowed_by, buy, judge
from partsolver.plan.draft import Draft, Line
from partsolver.problem.candidates import SLOTS, Parts
from partsolver.problem.problem import Problem
from partsolver.problem.store import Store
from partsolver.rules import all_rules
from partsolver.rules.base import Rule

# Slots in the order in which ids decide between plans that are equal otherwise (design.md section 4).
ID_ORDER = ("board", "cpu", "memory", "psu", "case", "drive")


class Judged:
    """Which rules admit parts and what they need, remembered by the parts a rule reads."""

    def __init__(self, problem: Problem, rules: Sequence[Rule]) -> None:
        self.problem = problem
        self.rules = [rule for rule in rules if not rule.ID.startswith("buying.")]
        self._reads = {rule.ID: tuple(SLOTS.index(slot) for slot in rule.SLOTS) for rule in self.rules}
        self._known: dict[Any, tuple[bool, tuple[Any, ...]]] = {}

    def of(self, rule: Rule, parts: Parts) -> tuple[bool, tuple[Any, ...]]:
        """(admitted once its own needs are bought, the needs)."""
        picked = parts.picked
        key = (rule.ID, *[picked[i].key for i in self._reads[rule.ID]])
        if key not in self._known:
            needs = needs_of(rule, parts, self.problem)
            admitted = all(need.options for need in needs)
            if admitted:
                lines = tuple(Line(n.options[0][0], n.options[0][1], 0, need=n) for n in needs)
                admitted = all(f.admits for f in rule.admits(Draft(parts, lines, (), 0, 0), self.problem))
            self._known[key] = admitted, needs
        return self._known[key]

    def admits(self, parts: Parts) -> bool:
        return all(self.of(rule, parts)[0] for rule in self.rules)


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


def possible(problem: Problem, rules: Sequence[Rule] | None = None) -> bool:
    return next(drafts(problem, rules), None) is not None


def frontier(found: Sequence[Draft]) -> list[tuple[int, int]]:
    """(cost, time) of the plans that no other beats on both, by rising cost."""
    pairs = sorted({(d.cost, d.time_ppm) for d in found})
    return [(c, t) for c, t in pairs if not any(o != (c, t) and o[0] <= c and o[1] <= t for o in pairs)]


def first(problem: Problem, found: Sequence[Draft]) -> Draft | None:
    """The first plan in the total order of design.md section 4; of the same parts the cheapest, earliest
    cooler."""
    if not found:
        return None
    least = min(draft.time_ppm for draft in found)
    resolution = Fraction(problem.brief.resolution_percent)
    place = {(slot, c.key): i for slot in SLOTS for i, c in enumerate(problem.slot(slot))}

    def order(draft: Draft) -> tuple[Any, ...]:
        over = draft.time_ppm - least
        step = over if resolution == 0 else int(Fraction(100 * over) / (resolution * least))
        goal = (step, draft.cost) if problem.brief.goal == "speed" else (draft.cost, draft.time_ppm)
        watts = -(-total_load(problem, draft.parts).mw // 1000)
        ids = tuple(place[slot, draft.parts.candidate(slot).key] for slot in ID_ORDER)  # type: ignore[index, arg-type]
        return (*goal, watts, *ids, place["cooler", draft.parts.candidate("cooler").key])

    return min(found, key=order)


@dataclass(frozen=True)
class Wanted:
    """A line to buy: its (item, quantity, offer) ways."""

    ways: tuple[tuple[str, int, Offer], ...]


def assignments(
    wanted: Sequence[Wanted], sellers: dict[str, Seller], started: dict[str, int] | None = None
) -> Iterator[tuple[int, tuple[tuple[str, int, Offer], ...]]]:
    """(cost with delivery, ways) of every assignment of lines to offers that stock and least orders allow.

    started: value already ordered from sellers (bundles); it counts in the cost.
    """
    for chosen in product(*(line.ways for line in wanted)):
        taken: dict[Offer, int] = {}
        goods = dict(started or {})
        for _, quantity, offer in chosen:
            taken[offer] = taken.get(offer, 0) + quantity
            goods[offer.seller] = goods.get(offer.seller, 0) + quantity * offer.price
        if any(offer.stock is not None and count > offer.stock for offer, count in taken.items()):
            continue
        if any(value < sellers[name].minimum_order for name, value in goods.items()):
            continue
        free = {
            n for n, value in goods.items() if (limit := sellers[n].free_from) is not None and value >= limit
        }
        yield sum(goods.values()) + sum(sellers[n].delivery for n in goods if n not in free), chosen


def with_brief(problem: Problem, **changes: Any) -> Problem:
    """Other wishes that need no new join (alternatives, goal, resolution)."""
    return replace(problem, brief=problem.brief.model_copy(update=changes), store=Store())
