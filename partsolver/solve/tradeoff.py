"""The trade-off: the plans that no other plan beats on both cost and expected time, exact and proven.

Epsilon-constraint method (Haimes, Lasdon, Wismer 1971): the cheapest plan, and of those the fastest; then the
same among plans that are faster by at least the resolution, until none is left. Every point is minimal in
cost for its time and then minimal in time for its cost, hence beaten by no plan; resolution 0 gives every
such point.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from partsolver.base.records import record
from partsolver.model.build import build
from partsolver.model.objective import break_tie, by_cost, minimise
from partsolver.model.solve import Limits
from partsolver.plan.make import make_plan
from partsolver.plan.outcome import Plan
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.search.prune import screened, within
from partsolver.solve.ranking import compare_model_with_plain, completed, picked_parts


@record
class Point:
    """One point. price_per_percent_minor: what the step from the point before costs per percent of speed-up
    gained (None for the first); knee: the next percent costs at least twice as much as those of the step to
    here."""

    plan: Plan
    price_per_percent_minor: int | None
    knee: bool


@record
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
    found = screened(problem, rules)
    if found is None:
        return Tradeoff((), True)
    search = found.search()
    resolution = Fraction(problem.brief.resolution_percent)
    plans: list[Plan] = []
    proven = True
    while True:
        # A plan that is known to be fast enough bounds the cost; the model proves the cheapest among what is
        # left.
        search.rest()
        known = search.cheap(1, plans[-1].draft.cost if plans else 0)
        pool = within(found, search, search.most_time, known[0].cost if known else found.most_cost)
        if not pool.alive:
            break
        built = build(pool.restricted(), rules)
        built.model.add(built.time <= min(search.most_time, built.picks.most[built.time.index]))
        if known:
            built.model.add(built.cost <= known[0].cost)
        goals = by_cost(built, problem)
        solved, values = minimise(built, goals, limits)
        if solved.status == "impossible":
            break
        if solved.status != "optimal":
            proven = False
            break
        # Among equals the same plan whatever the seed: the one whose part keys come first.
        solved = break_tie(built, goals, values, limits, solved)
        if solved.status != "optimal":
            proven = False
            break
        draft = completed(problem, picked_parts(built, solved), rules)
        compare_model_with_plain(built, solved, draft)
        plans.append(make_plan(problem, draft, rules, len(plans) + 1, 0, plans[-1] if plans else None))
        progress(len(plans))
        # Faster by more than the resolution, and in any case by one millionth.
        search.most_time = min(draft.time_ppm - 1, int(draft.time_ppm / (1 + resolution / 100)))
    shown = [plan for plan in plans if plan.draft.cost >= least_cost]
    return Tradeoff(_points([replace(plan, rank=i) for i, plan in enumerate(shown, 1)]), proven)


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
