"""Why there is no plan: the smallest conflict, its nearest misses and the ways out, each computed and
verified."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from typing import Any, Literal

from partsolver.base.errors import InternalFault, NotDecided
from partsolver.base.parallel import Alongside
from partsolver.base.quantities import format_amount
from partsolver.base.records import record
from partsolver.explain.barred import barred
from partsolver.model.solve import Limits
from partsolver.plan.complete import judge
from partsolver.plan.findings import Finding
from partsolver.plan.outcome import Look, Plan, Proof
from partsolver.plan.services import possible_trips, trip_of
from partsolver.problem.candidates import SLOTS
from partsolver.problem.join import changed
from partsolver.problem.problem import Problem
from partsolver.rules import (
    all_rules,
    buying_budget,
    buying_minimums,
    fit_aperture,
    power_card_plugs,
    power_cpu_current,
    power_cpu_plug,
    power_drive_plugs,
    power_main_plug,
    power_pinout,
)
from partsolver.rules import rule as rule_of
from partsolver.solve.conflict import Released, Tester, preference, released, smallest_conflict
from partsolver.solve.counts import left_by
from partsolver.solve.recommend import first_plan, recommend
from partsolver.survey.model import Survey
from partsolver.wishes.brief import Brief

Kind = Literal["budget", "replace", "drop-wish", "need-by", "answer"]
REPLACEABLE = ("psu", "case", "drive", "graphics")


@record
class Reason:
    """One rule of the conflict: what it alone leaves, and its finding for a plan that only this rule
    stops."""

    rule: str
    boards: int
    cpus: int
    memory: int
    nearest_miss: tuple[Finding, ...]


@record
class WayOut:
    """One change that makes a plan possible.

    kind; what: the kept part, wish, or fact changed; value: its new value; plan: the cheapest plan with it;
    also_budget: the budget has to be raised to the plan's cost as well.
    """

    kind: Kind
    what: str
    value: str
    plan: Plan
    also_budget: bool = False


@record
class Why:
    """The answer to "why is there no plan": reasons is empty when there is one (then plan holds it);
    decided: false when the limits on the work were met before the answer was proven (then nothing is
    claimed); proof: by what "possible" or "not" is proven; hangs_on: the facts that are not known and bar
    every plan (decided is false then too, and the reasons say what they bar)."""

    possible: bool
    reasons: tuple[Reason, ...]
    totals: tuple[int, int, int]
    ways_out: tuple[WayOut, ...]
    plan: Plan | None
    empty_slots: tuple[str, ...] = ()
    decided: bool = True
    proof: Proof = Proof((), None)
    # None where the limits on the work did not let find out.
    released: Released | None = None
    # What has to be looked at before a "no" may be said: the reasons hold only as long as it is not known.
    hangs_on: tuple[Look, ...] = ()


def why(problem: Problem, limits: Limits | None = None) -> Why:
    """Explain a problem without a plan."""
    totals = (len(problem.slot("board")), len(problem.slot("cpu")), len(problem.slot("memory")))
    try:
        return _explained(problem, limits or Limits(), totals)
    except NotDecided:
        return Why(False, (), totals, (), None, decided=False)


def _explained(problem: Problem, limits: Limits, totals: tuple[int, int, int]) -> Why:
    empty = tuple(slot for slot in ("board", "cpu", "memory") if not problem.slot(slot))
    if empty:
        return Why(False, (), totals, (), None, empty, proof=Proof(("search",), 0))
    brief = problem.brief.model_copy(update={"alternatives": 1, "goal": "cost"})
    outcome = recommend(replace(problem, brief=brief), limits, with_stand_ins=False)
    if outcome.status in ("undecided", "best_found"):
        raise NotDecided("whether a plan exists, and the cheapest")
    proof = outcome.provenance.proof
    if outcome.plans:
        return Why(True, (), totals, (), outcome.plans[0], proof=proof)
    test = Tester(problem, limits)
    test.know_none([rule.ID for rule in all_rules()])
    # What everything but the budget allows: the least budget, and the nearest miss of it.
    but_budget = [rule.ID for rule in all_rules() if rule.ID != buying_budget.ID]
    cheapest = None
    if problem.budget is not None:
        cheapest = test.cheapest(but_budget, shown=True)
        test.know_cheapest(but_budget, cheapest)
    with Alongside[Any]() as tasks:
        # A second process tries the ways out while this one looks for the conflict.
        attempts = list(_ways_out(problem, cheapest, limits))
        tasks.add(*attempts)
        conflict = smallest_conflict(test, preference(all_rules()))
        if not conflict:
            raise InternalFault("no plan was found, but all rules together leave one")
        tasks.add(*(partial(_reason, problem, test, conflict, rule) for rule in conflict))
        tasks.add(partial(barred, problem, limits))
        *found, open_ = tasks.results()
    ways = (
        ()
        if cheapest is None
        else (
            WayOut("budget", "budget", format_amount(cheapest.draft.cost, problem.catalog.digits), cheapest),
        )
    )
    looks = () if open_.plan is None else open_.plan.looks
    others = (way for way in found[: len(attempts)] if way is not None)
    reasons = tuple(found[len(attempts) :])
    return Why(
        False,
        reasons,
        totals,
        (*ways, *others),
        None,
        decided=open_.proven,
        proof=proof,
        released=_released(test, conflict),
        hangs_on=looks,
    )


def _released(test: Tester, conflict: tuple[str, ...]) -> Released | None:
    """What has to go for a plan; None where that is not decided (the conflict is, all the same)."""
    try:
        return released(test, preference(all_rules()), conflict)
    except NotDecided:
        return None


def cheapest_plan(problem: Problem, limits: Limits) -> Plan | None:
    """The cheapest plan of a changed problem, or None when none exists: an inner question."""
    return first_plan(problem, limits, shown=False, goal="cost")


def _reason(problem: Problem, test: Tester, conflict: tuple[str, ...], rule: str) -> Reason:
    """A rule of the conflict with the finding of a plan that all others of the conflict allow."""
    left = left_by(problem, rule_of(rule))
    # The fastest plan says most of a speed that is missed, the cheapest of all else: of those that everything
    # but this rule allows, or where there are none the rest of the conflict.
    nearest = test.fastest if rule == buying_minimums.ID else test.cheapest
    plan = nearest([r.ID for r in all_rules() if rule != r.ID]) or nearest([r for r in conflict if r != rule])
    findings: tuple[Finding, ...] = ()
    if plan is not None:
        findings = tuple(f for f in judge(problem, plan.draft, [rule_of(rule)]) if not f.admits)
    return Reason(rule, left["board"], left["cpu"], left["memory"], findings)


def _ways_out(
    problem: Problem, cheapest: Plan | None, limits: Limits
) -> Iterator[Callable[[], WayOut | None]]:
    """Single changes that may make a plan possible; each is solved, not guessed.

    ``cheapest``: the cheapest plan of the same problem without a budget.
    """
    most = None
    if cheapest is not None and problem.budget is not None:
        # Dearer plans, and those that cost what the budget alone would have to be, are no way out: not looked
        # for.
        most = format_amount(max(problem.budget, cheapest.draft.cost - 1), problem.catalog.digits)
    attempt = partial(_try, problem, limits, most)
    for part in REPLACEABLE:
        if part not in problem.brief.replace:
            yield partial(attempt, "replace", part, "", replace=(*problem.brief.replace, part))
    for what, value, changes in _wishes(problem):
        yield partial(attempt, "drop-wish", what, value, **changes)
    if problem.brief.need_by is not None:
        yield partial(_date, problem, limits)
    tester = Tester(changed(problem, budget=most), limits)
    for path, answers, rules in _answers(problem):
        yield partial(_first_answer, attempt, tester, path, answers, rules)


def _try(
    problem: Problem, limits: Limits, most: str | None, kind: Kind, what: str, value: str, **changes: Any
) -> WayOut | None:
    """A change; where it is not enough within the budget, the change with the least budget it needs.

    ``most``: the budget up to which a change is a way out.
    """
    plan = cheapest_plan(changed(problem, **{**changes, "budget": most}), limits)
    if plan is None:
        return None
    return WayOut(
        kind, what, value, plan, also_budget=problem.budget is not None and plan.draft.cost > problem.budget
    )


def _wishes(problem: Problem) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """(what, its value, the change of the problem without it) of each wish that can be given up."""
    brief = problem.brief
    if brief.min_speedup is not None:
        yield "min_speedup", brief.min_speedup, {"min_speedup": None}
    if brief.min_memory_gb is not None:
        yield "min_memory_gb", str(brief.min_memory_gb), {"min_memory_gb": None}
    if brief.secure_boot:
        yield "secure_boot", "yes", {"secure_boot": False}
    for part in brief.without:
        yield "without", part, {"without": tuple(p for p in brief.without if p != part)}
    for part in brief.including:
        yield "with", part, {"including": tuple(p for p in brief.including if p != part)}
    survey = problem.survey
    for table in ("displays", "devices", "cards", "drives"):
        rows = getattr(survey, table)
        for row in rows:
            if row.required and not getattr(row, "system", False):
                yield (
                    table,
                    row.name,
                    {"survey": survey.model_copy(update={table: tuple(r for r in rows if r is not row)})},
                )
    if survey.os.keep and problem.os is not None:
        system = survey.os.model_copy(update={"keep": False})
        yield "os", survey.os.family or "", {"survey": survey.model_copy(update={"os": system})}


def _date(problem: Problem, limits: Limits) -> WayOut | None:
    """The earliest day that would do, by bisection over the days on which something arrives."""
    wanted = problem.brief.need_by
    if wanted is None or cheapest_plan(changed(problem, need_by=None), limits) is None:
        return None
    days: set[datetime.date] = set()
    for slot in SLOTS:
        for candidate in problem.slot(slot):
            days |= {problem.arrival(offer) for offer in candidate.offers}
    for offers in problem.extra_offers.values():
        days |= {problem.arrival(offer) for offer in offers}
    days |= {problem.arrival(bundle) for bundle in problem.bundles}
    days |= {trip.back for ends in possible_trips(problem) if (trip := trip_of(problem, *ends)) is not None}
    later = sorted(day for day in days if day > wanted)
    low, high = 0, len(later) - 1
    while low < high:
        middle = (low + high) // 2
        if cheapest_plan(changed(problem, need_by=later[middle]), limits) is not None:
            high = middle
        else:
            low = middle + 1
    plan = cheapest_plan(changed(problem, need_by=later[low]), limits)
    return None if plan is None else WayOut("need-by", "need_by", later[low].isoformat(), plan)


@record
class _Blocking:
    """A fact of the survey whose missing value can block a plan: the answers a person can give, and the rules
    that allow more parts for some answer (no answer lets any other rule allow more;
    tests/properties/test_conflict.py)."""

    table: str
    key: str
    answers: tuple[Any, ...]
    rules: tuple[str, ...]


BLOCKING = (
    _Blocking("psu", "pinout", ("atx",), (power_pinout.ID,)),
    _Blocking("psu", "main_plug", ("24", "20"), (power_main_plug.ID,)),
    _Blocking(
        "psu",
        "cpu_plugs",
        (("8",), ("4",)),
        (power_cpu_plug.ID, power_cpu_current.ID, power_drive_plugs.ID, power_card_plugs.ID),
    ),
    _Blocking("case", "aperture", ("atx",), (fit_aperture.ID,)),
)


def _answers(problem: Problem) -> Iterator[tuple[str, list[tuple[str, Survey]], tuple[str, ...]]]:
    """Open facts that may block a plan, with the answers, the survey that each gives, and the rules they
    concern."""
    for fact in BLOCKING:
        record = getattr(problem.survey, fact.table)
        if getattr(record, fact.key) is None:
            surveys = [
                problem.survey.model_copy(update={fact.table: replace(record, **{fact.key: value})})
                for value in fact.answers
            ]
            shown = ["+".join(value) if isinstance(value, tuple) else value for value in fact.answers]
            yield f"{fact.table}.{fact.key}", list(zip(shown, surveys, strict=True)), fact.rules


def _first_answer(
    attempt: Callable[..., WayOut | None],
    tester: Tester,
    path: str,
    answers: list[tuple[str, Survey]],
    rules: tuple[str, ...],
) -> WayOut | None:
    """The first answer to an open question that would make a plan possible. ``tester`` has the money of a way
    out: what no plan is left of without the rules that read the fact, no answer makes possible."""
    if not tester.possible([rule.ID for rule in all_rules() if rule.ID not in rules]):
        return None
    tried = (attempt("answer", path, shown, survey=survey) for shown, survey in answers)
    return next((way for way in tried if way is not None), None)


__all__ = ["Brief", "Reason", "WayOut", "Why", "why"]
