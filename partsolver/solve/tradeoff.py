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
from functools import partial
from itertools import chain, pairwise

from partsolver.base.parallel import Alongside
from partsolver.base.records import record
from partsolver.model.build import Built, build
from partsolver.model.objective import Level, break_tie, by_cost, minimise, with_ids
from partsolver.model.solve import Limits
from partsolver.model.solve import Status as SolveStatus
from partsolver.performance.interval import is_coin_toss
from partsolver.plan.draft import Draft
from partsolver.plan.make import make_plan
from partsolver.plan.outcome import Plan, Proof, ProvenBy
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.rules.base import Rule
from partsolver.search.prune import Screened, screened
from partsolver.search.search import Point as Sought
from partsolver.search.search import Search, Walk
from partsolver.search.shortlist import Goals
from partsolver.search.window import window_of_points, window_within
from partsolver.solve.agreement import (
    compare_model_with_plain,
    compare_ranks,
    completed,
    picked_parts,
    refute_impossible,
)
from partsolver.solve.kept import in_both

# Points that follow one another for which one model is built: more make it slower to solve. Measured at 2,000
# parts.
AT_ONCE = 3


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


# A point as it was decided: its plan (None: there is none), how the model ended, combinations it held.
_Decided = tuple[Plan | None, SolveStatus, int | None]


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
    walk, most_time = Walk(found.search()), found.most_time
    plans: list[Plan] = []
    combinations: list[int | None] = []
    by: tuple[ProvenBy, ...] = ("search", "model")
    while True:
        for point, (plan, status, count) in _decided(
            problem, rules, limits, found, walk, most_time, progress
        ):
            if status not in ("optimal", "impossible"):
                return _tradeoff(problem, plans, least_cost, Proof((), None))
            if not point.found.exhausted:
                by = ("model",)
            combinations.append(count)
            if plan is not None:
                plans.append(plan)
        if plan is None:
            break
        most_time = _faster(problem, plan.draft)
    if not plans:
        return Tradeoff((), *_ended(problem, rules, limits))
    held = [count for count in combinations if count is not None]
    return _tradeoff(
        problem, plans, least_cost, Proof(by, min(held) if len(held) == len(combinations) else None)
    )


def _decided(
    problem: Problem,
    rules: Sequence[Rule],
    limits: Limits,
    found: Screened,
    walk: Walk,
    most_time: int,
    progress: Callable[[int], None],
) -> list[tuple[Sought, _Decided]]:
    """The next points with what CP-SAT decided: up to one that the search leaves open, or where there is none
    any more. While the search walks on, a second process decides those that it found, a few at once."""
    decide = partial(_decide_together, problem, rules, limits, found, walk.search)
    points: list[Sought] = []
    near: list[Sought] = []
    with Alongside[list[_Decided]](in_both(problem)) as tasks:
        while True:
            point = walk.next_point(most_time)
            points.append(point)
            first = point.found.first
            ended = first is None or not point.found.exhausted
            if not ended:
                near.append(point)
            if near and (ended or len(near) == AT_ONCE):
                tasks.add(partial(decide, near))
                near = []
            if first is None or ended:
                tasks.add(partial(decide, [point]))
                break
            progress(len(points))
            most_time = _faster(problem, first)
        return list(zip(points, chain.from_iterable(tasks.results()), strict=True))


def _faster(problem: Problem, draft: Draft) -> int:
    """The longest time of a plan that is faster by more than the resolution, and in any case by one
    millionth."""
    resolution = Fraction(problem.brief.resolution_percent)
    return min(draft.time_ppm - 1, int(draft.time_ppm / (1 + resolution / 100)))


def _decide_together(
    problem: Problem,
    rules: Sequence[Rule],
    limits: Limits,
    found: Screened,
    search: Search,
    points: Sequence[Sought],
) -> list[_Decided]:
    """Points that follow one another, decided by one model and compared with what the search knows."""
    if points[0].found.exhausted:
        window = window_of_points(found, search, points)
    else:
        window = window_within(found, search, points[0].most_time, points[0].most_cost, 1)
    model = None
    if window.pool.alive:
        built = build(window.pool.restricted(), rules)
        model = built, by_cost(built, problem)
    decided: list[_Decided] = []
    for point in points:
        draft, status = _decide_point(problem, rules, limits, point, model)
        plan = None if draft is None else make_plan(problem, draft, rules, 0, 0, None)
        decided.append((plan, status, window.combinations))
    return decided


def _decide_point(
    problem: Problem,
    rules: Sequence[Rule],
    limits: Limits,
    point: Sought,
    model: tuple[Built, Sequence[Level]] | None,
) -> tuple[Draft | None, SolveStatus]:
    """The cheapest plan within the time of a point and of those the fastest, and how the model ended
    (impossible: there is none). ``model``: of a window, with its goals (None: no candidate is left)."""
    if model is None:
        compare_ranks(problem, rules, point.found, (), _goals, complete=True)
        return None, "impossible"
    whole, (cost, time, watts) = model
    built = replace(whole, model=whole.model.clone())
    # Within the limits of the point: the closer they are, the more goals are decided at once.
    first = point.found.first
    cost = replace(cost, most=cost.most if first is None else min(cost.most, first.cost))
    time = replace(time, most=min(time.most, point.most_time))
    built.model.add(built.cost <= cost.most)
    built.model.add(built.time <= time.most)
    goals, are_decided = with_ids(built, (cost, time, watts))
    solved, values = minimise(built, goals, limits)
    if solved.status == "optimal" and not are_decided:
        # Among equals the same plan whatever the seed: the one whose part keys come first.
        solved = break_tie(built, goals, values, limits, solved)
    if solved.status not in ("optimal", "impossible"):
        return None, solved.status
    draft = completed(problem, picked_parts(built, solved), rules) if solved.found else None
    if draft is not None:
        compare_model_with_plain(built, solved, draft)
    compare_ranks(problem, rules, point.found, () if draft is None else (draft,), _goals, complete=True)
    return draft, solved.status


def _goals(draft: Draft) -> Goals:
    return draft.cost, draft.time_ppm


def _ended(problem: Problem, rules: Sequence[Rule], limits: Limits) -> tuple[bool, Proof]:
    """That there is no point at all, tried to be refuted."""
    tried = refute_impossible(problem, rules, limits)
    return True, Proof(("search", "model") if tried.decided else ("search",), tried.combinations)


def _tradeoff(problem: Problem, plans: Sequence[Plan], least_cost: int, proof: Proof) -> Tradeoff:
    before: Sequence[Plan | None] = [None, *plans]
    beside = [
        replace(plan, equal_to_previous=last is not None and is_coin_toss(problem, last.parts, plan.parts))
        for last, plan in zip(before, plans, strict=False)
    ]
    shown = [plan for plan in beside if plan.draft.cost >= least_cost]
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
