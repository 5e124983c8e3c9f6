"""Everything a small problem allows, by trying every combination of parts under the plain predicates. No
solver.

``drafts`` lists all admitted plans of a problem under any set of rules; ``frontier``, ``first`` and
``possible`` are read off that list. ``assignments`` tries every way to buy lines from sellers. Only for small
catalogues.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

from partsolver.audit.every_plan import ID_ORDER, Judged, drafts, in_order
from partsolver.catalog.records import Offer, Seller
from partsolver.plan.draft import Draft
from partsolver.problem.problem import Problem
from partsolver.problem.store import Store
from partsolver.rules.base import Rule


def possible(problem: Problem, rules: Sequence[Rule] | None = None) -> bool:
    return next(drafts(problem, rules), None) is not None


def frontier(found: Sequence[Draft]) -> list[tuple[int, int]]:
    """(cost, time) of the plans that no other beats on both, by rising cost."""
    pairs = sorted({(d.cost, d.time_ppm) for d in found})
    return [(c, t) for c, t in pairs if not any(o != (c, t) and o[0] <= c and o[1] <= t for o in pairs)]


def first(problem: Problem, found: Sequence[Draft]) -> Draft | None:
    """The first plan in the total order of design.md section 4; of the same parts the cheapest, earliest
    cooler."""
    return next(iter(in_order(problem, found)), None)


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


__all__ = [
    "ID_ORDER",
    "Judged",
    "Wanted",
    "assignments",
    "drafts",
    "first",
    "frontier",
    "possible",
    "with_brief",
]
