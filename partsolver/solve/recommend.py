"""Rank the plans of a problem: least time, then exact next-best plans, each proven, each checked by plain
Python."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from partsolver.model.solve import SOLVER, Limits
from partsolver.performance.present import present_time_ppm
from partsolver.plan.outcome import Outcome, Plan, Provenance, Status
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.rules.base import Rule
from partsolver.search.prune import screened
from partsolver.solve.exposure import exposed
from partsolver.solve.ranking import Progress, Ranking, no_progress


def recommend(
    problem: Problem,
    limits: Limits | None = None,
    rules: Sequence[Rule] | None = None,
    progress: Progress = no_progress,
    prune: bool = True,
    expose: bool = False,
    with_stand_ins: bool = True,
) -> Outcome:
    """Ranked plans of a problem. ``plans`` is empty when none exists (proved) or nothing was found in the
    limits.

    ``prune`` leaves out candidates that can be in none of them; ``expose`` adds what is left when a part
    sells out. Raises InternalFault when the model and the plain statement disagree about a plan.
    """
    limits = limits or Limits()
    rules = all_rules() if rules is None else rules
    found = screened(problem, rules) if prune else None
    if prune and found is None:
        return _outcome(problem, "impossible", (), limits, None)
    # Whether a part is gone is asked of the same search.
    search = None if found is None or found.small else found.search(2 if expose else 1)
    ranked = Ranking(problem, rules, limits, found, search, problem.brief.alternatives, progress)
    status = ranked.run()
    if expose and status == "optimal":
        return _outcome(problem, status, tuple(exposed(ranked)), limits, ranked.least)
    return _outcome(problem, status, tuple(ranked.plans(with_stand_ins)), limits, ranked.least)


def first_plan(problem: Problem, limits: Limits | None = None, **wishes: Any) -> Plan | None:
    """The first plan of a problem without its stand-ins, or None when there is none; ``wishes``: fields of
    the brief to change (never those that the join reads)."""
    brief = problem.brief.model_copy(update={"alternatives": 1, **wishes})
    outcome = recommend(replace(problem, brief=brief), limits, with_stand_ins=False)
    return outcome.plans[0] if outcome.plans else None


def _outcome(
    problem: Problem, status: Status, plans: tuple[Plan, ...], limits: Limits, least: int | None
) -> Outcome:
    provenance = Provenance(
        catalog_digest=problem.catalog.digest,
        catalog_date=problem.catalog.as_of.isoformat(),
        solver=SOLVER,
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


__all__ = ["empty_outcome", "first_plan", "recommend"]
