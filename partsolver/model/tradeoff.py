"""The trade-off: the plans that no other plan beats on both cost and expected time, exact and proven.

Epsilon-constraint method (Haimes, Lasdon, Wismer 1971): the cheapest plan, and of those the fastest; then the same
among plans that are faster by at least the resolution, until none is left. Every point is minimal in cost for its
time and then minimal in time for its cost, hence beaten by no plan; resolution 0 gives every such point.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from partsolver.model.build import Built, build
from partsolver.model.objective import Level, minimise
from partsolver.model.pool import Pool
from partsolver.model.prune import cut_by_time, screened
from partsolver.model.recommend import _compare, _complete, _parts
from partsolver.model.solve import Limits
from partsolver.outcome import Plan
from partsolver.plans import make_plan
from partsolver.problem import SLOTS, Problem
from partsolver.rules import all_rules

# The model is built again when this share of the candidates has dropped out.
REBUILD_SHARE = 0.75


@dataclass(frozen=True, slots=True)
class Point:
    """One point. price_per_percent_minor: what the step from the point before costs per percent of speed-up gained
    (None for the first); knee: the next percent costs at least twice as much as those of the step to here."""

    plan: Plan
    price_per_percent_minor: int | None
    knee: bool


@dataclass(frozen=True, slots=True)
class Tradeoff:
    """points by rising cost; proven: every point is exact and the list complete at the resolution."""

    points: tuple[Point, ...]
    proven: bool


def tradeoff(
    problem: Problem,
    least_cost: int = 0,
    limits: Limits | None = None,
    progress: Callable[[int], None] = lambda done: None,
) -> Tradeoff:
    """The trade-off of a problem up to its budget, from ``least_cost`` (minor units) on."""
    limits = limits or Limits()
    rules = all_rules()
    pool = screened(problem, rules)
    if pool is None:
        return Tradeoff((), True)
    resolution = Fraction(problem.brief.resolution_percent)
    plans: list[Plan] = []
    most: int | None = None
    built: Built | None = None
    size = 0
    proven = True
    while True:
        if most is not None and not cut_by_time(pool, most):
            break
        now = _size(pool)
        if built is None or now < size * REBUILD_SHARE:
            built, size = build(pool.restricted(), rules), now
        if most is not None:
            built.model.add(built.time <= most)
        picks = built.picks
        goals = [Level(built.cost, picks.most[built.cost.index]), Level(built.time, picks.most[built.time.index])]
        solved, _ = minimise(built, goals, limits)
        if solved.status == "impossible":
            break
        if solved.status != "optimal":
            proven = False
            break
        draft = _complete(problem, _parts(built, solved), rules)
        _compare(built, solved, draft)
        plans.append(make_plan(problem, draft, rules, len(plans) + 1, 0, plans[-1] if plans else None))
        progress(len(plans))
        # Faster by more than the resolution, and in any case by one millionth.
        most = min(draft.time_ppm - 1, int(draft.time_ppm / (1 + resolution / 100)))
    shown = [plan for plan in plans if plan.draft.cost >= least_cost]
    return Tradeoff(_points([replace(plan, rank=i) for i, plan in enumerate(shown, 1)]), proven)


def _size(pool: Pool) -> int:
    return sum(len(pool.left[slot]) for slot in SLOTS)


def _points(plans: list[Plan]) -> tuple[Point, ...]:
    prices: list[int | None] = [None]
    for before, after in pairwise(plans):
        gain = Fraction(100 * (before.draft.time_ppm - after.draft.time_ppm), after.draft.time_ppm)
        prices.append(int((after.draft.cost - before.draft.cost) / gain))
    points = []
    for i, plan in enumerate(plans):
        here = prices[i]
        following = prices[i + 1] if i + 1 < len(plans) else None
        knee = here is not None and following is not None and following >= 2 * max(here, 1)
        points.append(Point(plan, here, knee))
    return tuple(points)
