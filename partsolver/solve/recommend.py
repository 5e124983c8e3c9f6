"""Rank the plans of a problem: least time, then exact next-best plans, each proven, each checked by plain
Python."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from partsolver.base.errors import NotDecided
from partsolver.model.solve import SOLVER, Limits
from partsolver.performance.present import present_time_ppm
from partsolver.plan.outcome import Outcome, Plan, Proof, Provenance, Status
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.rules.base import Rule
from partsolver.solve.exposure import exposed
from partsolver.solve.kept import Memory
from partsolver.solve.ranking import Progress, Ranking, no_progress


def recommend(
    problem: Problem,
    limits: Limits | None = None,
    rules: Sequence[Rule] | None = None,
    progress: Progress = no_progress,
    prune: bool = True,
    expose: bool = False,
    with_stand_ins: bool = True,
    shown: bool = True,
    keep_best: bool = False,
    memory: Memory | None = None,
) -> Outcome:
    """Ranked plans of a problem. ``plans`` is empty when none exists (proved) or nothing was found in the
    limits.

    ``prune`` leaves out candidates that can be in none of them; ``expose`` adds what is left when a part
    sells out; ``shown``: a person sees the answer, so that search and model both prove it among many
    combinations (an inner question may rest on one of them); ``keep_best``: an interruption ends it with the
    best plans found so far, where there are any; ``memory``: where the same was asked with other wishes.
    Raises InternalFault when search, model and plain statement disagree.
    """
    limits = limits or Limits()
    rules = all_rules() if rules is None else rules
    wanted = problem.brief.alternatives
    ranked = Ranking(problem, rules, limits, None, None, wanted, progress, shown, memory, prune)
    status = ranked.taken()
    if status is None:
        # Whether a part is gone is asked of the same search.
        ranked.look(2 if expose else 1)
        status = ranked.refuted("search") if prune and ranked.found is None else ranked.run(keep_best)
    with_exposure = expose and status == "optimal"
    plans = exposed(ranked) if with_exposure else ranked.plans(with_stand_ins)
    outcome = _outcome(problem, status, tuple(plans), limits, ranked.least, ranked.proof)
    if status != "best_found":
        return outcome
    found_so_far = replace(
        outcome.provenance, interrupted=ranked.interrupted, better_percent=ranked.better_percent()
    )
    return replace(outcome, provenance=found_so_far)


def first_plan(
    problem: Problem, limits: Limits | None = None, shown: bool = True, **wishes: Any
) -> Plan | None:
    """The first plan of a problem without its stand-ins, or None when there is none; ``wishes``: fields of
    the brief to change (never those that the join reads); ``shown``: as in `recommend`. Raises NotDecided
    when the limits did not let find out whether there is one."""
    brief = problem.brief.model_copy(update={"alternatives": 1, **wishes})
    outcome = recommend(replace(problem, brief=brief), limits, with_stand_ins=False, shown=shown)
    if outcome.status == "undecided":
        raise NotDecided("whether a plan exists")
    return outcome.plans[0] if outcome.plans else None


def _outcome(
    problem: Problem,
    status: Status,
    plans: tuple[Plan, ...],
    limits: Limits,
    least: int | None,
    proof: Proof,
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
        proof=proof,
    )
    return Outcome(status, plans, present_time_ppm(problem), None, provenance)


def empty_outcome(problem: Problem, limits: Limits) -> Outcome:
    """The outcome of a problem in which a slot has no candidate at all."""
    return _outcome(problem, "impossible", (), limits, None, Proof(("search",), 0))


__all__ = ["empty_outcome", "first_plan", "recommend"]
