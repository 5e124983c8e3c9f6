"""What replacing a kept part brings: a plan that does so against the best one that keeps the part."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from partsolver.base.parallel import each
from partsolver.model.solve import Limits
from partsolver.performance.present import store_of_fewer
from partsolver.plan.complete import draft_of, judge
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding
from partsolver.plan.outcome import Outcome, Plan, Replaced
from partsolver.problem.candidates import SLOTS, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules, rule
from partsolver.solve.recommend import recommend

REPLACEABLE: tuple[SlotName, ...] = ("psu", "case", "cooler", "drive")
_Best = tuple[Plan | None, int | None, bool]


def with_replaced(problem: Problem, outcome: Outcome, limits: Limits | None = None) -> Outcome:
    """The outcome with what each allowed replacement brings its plans.

    The list is exact, so the first plan of it that keeps the part is the best that does; only a part that all
    of them replace needs another solve.
    """
    allowed = [slot for slot in REPLACEABLE if slot in problem.brief.replace]
    replaced = [slot for slot in allowed if any(_replaces(plan, slot) for plan in outcome.plans)]
    candidates = [c for listed in problem.candidates.values() for c in listed]
    found = each([partial(_best_keeping, problem, outcome, slot, limits) for slot in replaced], candidates)
    best = dict(zip(replaced, found, strict=True))
    plans = []
    for plan in outcome.plans:
        told = [
            Replaced(slot, _refused(problem, plan.draft, slot), *best[slot])
            for slot in replaced
            if _replaces(plan, slot)
        ]
        plans.append(replace(plan, replaced=tuple(told)))
    return replace(outcome, plans=tuple(plans))


def _replaces(plan: Plan, slot: SlotName) -> bool:
    return plan.parts.candidate(slot).id is not None


def _best_keeping(problem: Problem, outcome: Outcome, slot: SlotName, limits: Limits | None) -> _Best:
    listed = next((plan for plan in outcome.plans if not _replaces(plan, slot)), None)
    if listed is not None:
        return listed, listed.rank, outcome.status == "optimal"
    kept = {**problem.candidates, slot: tuple(c for c in problem.slot(slot) if c.id is None)}
    brief = problem.brief.model_copy(update={"alternatives": 1})
    again = recommend(replace(problem, candidates=kept, brief=brief, store=store_of_fewer(problem)), limits)
    return again.plans[0] if again.plans else None, None, again.status in ("optimal", "impossible")


def _refused(problem: Problem, draft: Draft, slot: SlotName) -> tuple[Finding, ...]:
    """Findings of fit that refuse the plan's parts with what the PC has now in one slot."""
    present = next((c for c in problem.slot(slot) if c.kept), None)
    if present is None:
        return ()
    picked = list(draft.parts.picked)
    picked[SLOTS.index(slot)] = present
    rules = all_rules()
    trial = draft_of(problem, Parts(tuple(picked)), rules, exact_cooler=slot == "cooler")
    return tuple(f for f in judge(problem, trial, rules) if not f.admits and rule(f.rule).KIND != "buying")


__all__ = ["REPLACEABLE", "with_replaced"]
