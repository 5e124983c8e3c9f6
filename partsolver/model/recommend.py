"""Rank the plans of a problem: least time, then exact next-best plans, each proven, each checked by plain Python."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from importlib.metadata import version

from partsolver.errors import InternalFault
from partsolver.model.build import Built, build
from partsolver.model.identity import forbid
from partsolver.model.objective import TIE_SLOTS, Level, break_tie, levels, minimise, post_step, step_of
from partsolver.model.prune import drop_beyond, reduced
from partsolver.model.solve import Limits, Solved
from partsolver.outcome import FRAGILE_PERCENT, Exposure, Outcome, Plan, Provenance, Status
from partsolver.performance.present import present_time_ppm
from partsolver.planner import complete
from partsolver.plans import make_plan
from partsolver.problem import Draft, Parts, Problem
from partsolver.rules import all_rules
from partsolver.rules.base import Rule

Progress = Callable[[int, int], None]


def no_progress(done: int, total: int) -> None:
    """Report nothing."""


def recommend(
    problem: Problem,
    limits: Limits | None = None,
    rules: Sequence[Rule] | None = None,
    progress: Progress = no_progress,
    prune: bool = True,
    expose: bool = False,
) -> Outcome:
    """Ranked plans of a problem. ``prune`` leaves out candidates that can be in none of them. ``plans`` is empty when none exists (proved) or nothing was found in the limits.

    Raises InternalFault when the model and the plain statement disagree about a plan.
    """
    limits = limits or Limits()
    rules = all_rules() if rules is None else rules
    wanted = problem.brief.alternatives
    small, drafts = reduced(problem, rules) if prune else (problem, [])
    built = build(small, rules)
    least: int | None = None
    step = None
    resolution = Fraction(problem.brief.resolution_percent)
    if problem.brief.goal == "speed":
        solved, values = minimise(built, [Level(built.time, built.picks.most[built.time.index])], limits)
        if not solved.found:
            return _outcome(problem, "impossible" if solved.status == "impossible" else "undecided", (), limits, None)
        if solved.status != "optimal":
            # Without a proven least time the steps mean nothing: report the best found, and say so.
            draft = _complete(problem, _parts(built, solved), rules)
            plan = make_plan(problem, draft, rules, 1, 0, None)
            return _outcome(problem, "best_found", (plan,), limits, None)
        least = values[0]
        if prune:
            drop_beyond(built, problem, least, resolution, drafts)
        step = post_step(built, least, resolution)
    goals, with_ids = levels(built, problem, step)
    plans: list[Plan] = []
    status: Status = "optimal"
    while len(plans) < wanted:
        progress(len(plans), wanted)
        solved, values = minimise(built, goals, limits)
        if solved.status == "impossible":
            if not plans:
                return _outcome(problem, "impossible", (), limits, least)
            break
        if not solved.found:
            status = "best_found" if plans else "undecided"
            break
        if solved.status == "optimal" and not with_ids:
            tied = break_tie(built, goals, values, limits, solved)
            solved = tied if tied.found else solved
        draft = _complete(problem, _parts(built, solved), rules)
        _compare(built, solved, draft)
        reference = least if least is not None else draft.time_ppm
        rank_step = step_of(draft.time_ppm, reference, resolution) if least is not None else 0
        plan = make_plan(problem, draft, rules, len(plans) + 1, rank_step, plans[-1] if plans else None)
        if not plan.admitted:
            raise InternalFault(f"a plan of the model is refused by the plain rules: {[f for f in plan.findings if not f.admits]}")
        plans.append(plan)
        if solved.status != "optimal":
            status = "best_found"
            break
        forbid(built, draft.parts)
    progress(wanted, wanted)
    if expose and status == "optimal":
        plans = exposed(problem, plans, rules, limits)
    return _outcome(problem, status, tuple(plans), limits, least)


def exposed(problem: Problem, plans: Sequence[Plan], rules: Sequence[Rule], limits: Limits) -> list[Plan]:
    """The plans with what is left of each if one of its parts sells out.

    The list is exact, so the first plan of it that does not use the part is the best left; only a part that all of
    them use needs another solve.
    """
    elsewhere: dict[str, Plan | None] = {}
    result = []
    for plan in plans:
        found = []
        bought = [(c.slot, c.id) for c in plan.parts.picked if c.id is not None and c.slot != "cooler"]
        for _, part in bought:
            stand_in = next((s for s in plan.stand_ins if s.replaces == part), None)
            if stand_in is not None:
                cost = plan.draft.cost + stand_in.difference
                found.append(Exposure(part, stand_in.id, plan.rank, plan.draft.time_ppm, cost, False))
                continue
            left = next((p for p in plans if part not in _bought_ids(p)), None)
            if left is None:
                if part not in elsewhere:
                    elsewhere[part] = _best_without(problem, part, rules, limits)
                left = elsewhere[part]
            found.append(_exposure(part, plan, left, plans))
        result.append(replace(plan, exposure=tuple(found)))
    return result


def _bought_ids(plan: Plan) -> set[str]:
    return {c.id for c in plan.parts.picked if c.id is not None}


def _exposure(part: str, plan: Plan, left: Plan | None, plans: Sequence[Plan]) -> Exposure:
    if left is None:
        return Exposure(part, None, None, None, None, True)
    slower = 100 * (left.draft.time_ppm - plan.draft.time_ppm) > FRAGILE_PERCENT * plan.draft.time_ppm
    rank = left.rank if any(p is left for p in plans) else None
    return Exposure(part, None, rank, left.draft.time_ppm, left.draft.cost, slower)


def _best_without(problem: Problem, part: str, rules: Sequence[Rule], limits: Limits) -> Plan | None:
    brief = problem.brief.model_copy(update={"without": (*problem.brief.without, part), "alternatives": 1})
    if part in brief.including:
        return None
    outcome = recommend(replace(problem, brief=brief, memo=dict(problem.memo)), limits, rules)
    return outcome.plans[0] if outcome.plans else None


def _parts(built: Built, solved: Solved) -> Parts:
    """The picked candidates (any cooler: the plain completion chooses it)."""
    picks = built.picks
    picked = []
    for slot in ("board", "cpu", "memory", "cooler", "psu", "case", "drive"):
        picked.append(next(c for c, literal in picks.of(slot) if solved.value(literal)))
    return Parts(tuple(picked))


def _complete(problem: Problem, parts: Parts, rules: Sequence[Rule]) -> Draft:
    draft = complete(problem, parts, rules)
    if draft is None:
        raise InternalFault(f"the model returned parts that cannot be bought: {parts.keys}")
    return draft


def _compare(built: Built, solved: Solved, draft: Draft) -> None:
    """The model's time and cost against the plain ones."""
    for name, variable, plain in (("time_ppm", built.time, draft.time_ppm), ("cost", built.cost, draft.cost)):
        if solved.value(variable) != plain and (name == "time_ppm" or solved.status == "optimal"):
            raise InternalFault(
                f"model and plain statement differ in {name}: {solved.value(variable)} and {plain} for {draft.parts.keys}, "
                f"lines {[(line.item, line.quantity, line.amount) for line in draft.lines]}"
            )


def _outcome(problem: Problem, status: Status, plans: tuple[Plan, ...], limits: Limits, least: int | None) -> Outcome:
    provenance = Provenance(
        catalog_digest=problem.catalog.digest,
        catalog_date=problem.catalog.as_of.isoformat(),
        solver=f"ortools {version('ortools')} CP-SAT",
        seed=limits.seed,
        workers=limits.workers,
        deterministic_limit_s=limits.deterministic_s,
        proven_bound_ppm=least if status == "optimal" else None,
        least_time_ppm=least,
    )
    return Outcome(status, plans, present_time_ppm(problem), None, provenance)


def empty_outcome(problem: Problem, limits: Limits) -> Outcome:
    """The outcome of a problem in which a slot has no candidate at all."""
    return _outcome(problem, "impossible", (), limits, None)


__all__ = ["TIE_SLOTS", "recommend"]
