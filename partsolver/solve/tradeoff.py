"""The trade-off: the plans that no other plan beats on both cost and expected time, exact and proven.

Epsilon-constraint method (Haimes, Lasdon, Wismer 1971): the cheapest plan, and of those the fastest; then the
same among plans that are faster by at least the resolution, until none is left. Every point is minimal in
cost for its time and then minimal in time for its cost, hence beaten by no plan; resolution 0 gives every
such point.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from partsolver.base.records import record
from partsolver.model.build import build
from partsolver.model.objective import break_tie, by_cost, minimise
from partsolver.model.solve import Limits
from partsolver.model.solve import Status as SolveStatus
from partsolver.plan.draft import Draft
from partsolver.plan.make import make_plan
from partsolver.plan.outcome import Plan, Proof, ProvenBy
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.rules.base import Rule
from partsolver.search.prune import screened
from partsolver.search.shortlist import Found, Goals
from partsolver.search.window import Window, window_within
from partsolver.solve.agreement import (
    compare_model_with_plain,
    compare_ranks,
    completed,
    picked_parts,
    refute_impossible,
)


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
    """points by rising cost; proven: every point is exact and the list complete at the resolution; proof: by
    what (its combinations: the fewest that the model of a point held)."""

    points: tuple[Point, ...]
    proven: bool
    proof: Proof = Proof((), None)


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
        return Tradeoff((), *_ended(problem, rules, limits))
    search = found.search()
    resolution = Fraction(problem.brief.resolution_percent)
    plans: list[Plan] = []
    combinations: list[int | None] = []
    by: tuple[ProvenBy, ...] = ("search", "model")
    while True:
        search.rest()
        known = search.cheap(1, plans[-1].draft.cost if plans else 0)
        most_cost = found.most_cost if known.first is None else known.first.cost
        window = window_within(found, search, search.most_time, most_cost, 1)
        draft, status = _next_point(problem, rules, limits, search.most_time, known, window)
        if status not in ("optimal", "impossible"):
            return _tradeoff(plans, least_cost, Proof((), None))
        if not known.exhausted:
            by = ("model",)
        combinations.append(window.combinations)
        if draft is None:
            break
        plans.append(make_plan(problem, draft, rules, len(plans) + 1, 0, plans[-1] if plans else None))
        progress(len(plans))
        # Faster by more than the resolution, and in any case by one millionth.
        search.most_time = min(draft.time_ppm - 1, int(draft.time_ppm / (1 + resolution / 100)))
    if not plans:
        return Tradeoff((), *_ended(problem, rules, limits))
    held = [count for count in combinations if count is not None]
    return _tradeoff(plans, least_cost, Proof(by, min(held) if len(held) == len(combinations) else None))


def _next_point(
    problem: Problem, rules: Sequence[Rule], limits: Limits, most_time: int, known: Found, window: Window
) -> tuple[Draft | None, SolveStatus]:
    """The cheapest plan within a time and of those the fastest, and how the model ended (impossible: there is
    none): among the candidates of a window, compared with what the search knows."""
    if not window.pool.alive:
        compare_ranks(problem, rules, known, (), _goals, complete=True)
        return None, "impossible"
    built = build(window.pool.restricted(), rules)
    built.model.add(built.time <= min(most_time, built.picks.most[built.time.index]))
    if known.first is not None:
        built.model.add(built.cost <= known.first.cost)
    goals = by_cost(built, problem)
    solved, values = minimise(built, goals, limits)
    if solved.status == "optimal":
        # Among equals the same plan whatever the seed: the one whose part keys come first.
        solved = break_tie(built, goals, values, limits, solved)
    if solved.status not in ("optimal", "impossible"):
        return None, solved.status
    draft = completed(problem, picked_parts(built, solved), rules) if solved.found else None
    if draft is not None:
        compare_model_with_plain(built, solved, draft)
    compare_ranks(problem, rules, known, () if draft is None else (draft,), _goals, complete=True)
    return draft, solved.status


def _goals(draft: Draft) -> Goals:
    return draft.cost, draft.time_ppm


def _ended(problem: Problem, rules: Sequence[Rule], limits: Limits) -> tuple[bool, Proof]:
    """That there is no point at all, tried to be refuted."""
    tried = refute_impossible(problem, rules, limits)
    return True, Proof(("search", "model") if tried.decided else ("search",), tried.combinations)


def _tradeoff(plans: Sequence[Plan], least_cost: int, proof: Proof) -> Tradeoff:
    shown = [plan for plan in plans if plan.draft.cost >= least_cost]
    points = _points([replace(plan, rank=i) for i, plan in enumerate(shown, 1)])
    return Tradeoff(points, bool(proof.by), proof)


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
