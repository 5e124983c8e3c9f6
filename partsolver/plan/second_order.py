"""What a second order would cost: the price of the risk that a part arrives dead, does not fit, or is the only
one.

One piece is ordered again, alone, with the delivery of an order of its own, on the day on which the first is
there: the same part from whoever still has one, else a stand-in of the plan. What comes back of the first is
its price where its seller takes goods back; of a part of a bundle it is not known. Licences and services do
not break. Common practice.
"""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from partsolver.catalog.records import Offer
from partsolver.plan.complete import admitted, draft_as_picked
from partsolver.plan.delivery import cost_alone, order_is_taken
from partsolver.plan.draft import Draft, Line
from partsolver.plan.outcome import SecondOrder, StandIn
from partsolver.problem.candidates import SLOTS, Candidate, Parts
from partsolver.problem.problem import Problem
from partsolver.problem.variants import OVERRIDES
from partsolver.rules.base import Rule

# Extras that are no goods.
NO_GOODS = ("os-licence", "firmware-update")


def second_orders(
    problem: Problem, draft: Draft, stand_ins: Sequence[StandIn], rules: Sequence[Rule]
) -> tuple[SecondOrder, ...]:
    """One for each bought part and extra of a draft, in the order of its lines."""
    taken = Counter[int]()
    for line in draft.lines:
        if line.offer is not None:
            taken[id(line.offer)] += line.quantity
    return tuple(
        _second(problem, draft, line, stand_ins, rules, taken)
        for line in draft.lines
        if line.slot is not None or (line.need is not None and line.need.kind not in NO_GOODS)
    )


def _second(
    problem: Problem,
    draft: Draft,
    line: Line,
    stand_ins: Sequence[StandIn],
    rules: Sequence[Rule],
    taken: Counter[int],
) -> SecondOrder:
    """What is ordered when one line fails: the cheapest way, the earliest of equal ones."""
    first = line.offer or line.bundle
    there = problem.today if first is None else problem.arrival(first)
    ways = [_priced(problem, line.item, 1, o, there, taken) for o in _same(problem, draft, line, rules)]
    found = [way for way in ways if way is not None]
    if not found:
        others = [
            _priced(problem, stand_in.id, stand_in.count, offer, there, taken)
            for stand_in in stand_ins
            if stand_in.replaces == line.item
            for offer in _of_stand_in(problem, line, stand_in)
        ]
        found = [way for way in others if way is not None]
    back = None
    if line.offer is not None:
        back = line.offer.price if problem.sellers[line.offer.seller].returns_days else 0
    if not found:
        return SecondOrder(line.item, None, None, None, None, back)
    cost, arrival, seller, item = min(found)
    return SecondOrder(line.item, item, seller, cost, arrival, back)


def _priced(
    problem: Problem, item: str, count: int, offer: Offer, there: datetime.date, taken: Counter[int]
) -> tuple[int, datetime.date, str, str] | None:
    """(cost, arrival, seller, item) of so many pieces ordered alone on a day; None where that cannot be."""
    seller = problem.sellers[offer.seller]
    left = offer.stock is None or offer.stock - taken[id(offer)] >= count
    valid = offer.valid_until is None or offer.valid_until >= there
    if not left or not valid or item in problem.brief.without:
        return None
    if not order_is_taken(seller, offer.price * count):
        return None
    arrival = problem.arrival_when_ordered(offer, there)
    return cost_alone(seller, [offer.price * count]), arrival, offer.seller, item


def _same(problem: Problem, draft: Draft, line: Line, rules: Sequence[Rule]) -> Iterator[Offer]:
    """Offers of the same item: in the state that the plan has it in, and in others with which all holds."""
    if line.slot is None:
        yield from problem.extra_offers.get(line.item, ())
        return
    here = draft.parts.candidate(line.slot)
    yield from here.offers
    if line.slot not in OVERRIDES:
        return
    for other in problem.slot(line.slot):
        if other.id == here.id and other.key != here.key and _holds(problem, draft.parts, other, rules):
            yield from other.offers


def _holds(problem: Problem, parts: Parts, other: Candidate, rules: Sequence[Rule]) -> bool:
    """Whether a part in another state fits as well."""
    picked = list(parts.picked)
    picked[SLOTS.index(other.slot)] = other
    trial = draft_as_picked(problem, replace(parts, picked=tuple(picked)), rules)
    of_parts = [rule for rule in rules if rule.KIND == "parts"]
    return trial is not None and admitted(problem, trial, of_parts)


def _of_stand_in(problem: Problem, line: Line, stand_in: StandIn) -> tuple[Offer, ...]:
    if line.slot is None:
        return problem.extra_offers.get(stand_in.id, ())
    found = (c for c in problem.slot(line.slot) if c.id == stand_in.id)
    return next((c.offers for c in found if c.offers), ())
