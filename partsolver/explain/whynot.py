"""Why a part is not in the first plan: ruled out, dominated, or possible but worse."""

from __future__ import annotations

from typing import Literal

from partsolver.base.errors import InternalFault, NotDecided, nearest_part, refuse
from partsolver.base.records import record
from partsolver.catalog.records import Cpu
from partsolver.explain.barred import barred
from partsolver.explain.why import Reason, _reason
from partsolver.model.solve import Limits
from partsolver.plan.identity import board_facts
from partsolver.plan.outcome import Look, Plan
from partsolver.problem.candidates import SLOTS, Candidate
from partsolver.problem.join import changed
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules, buying_excluded
from partsolver.solve.conflict import Tester, preference, smallest_conflict
from partsolver.solve.recommend import first_plan


@record
class WhyNot:
    """The answer for one part.

    verdict: taken (it is in the first plan), ruled-out (reasons), not-offered, worse (best: the best plan
    with it), barred (with it, only facts that are not known stand in the way: hangs_on), undecided (the
    limits on the work were met first); dominated_by: a part that does at least as much for no more money.
    """

    part: str
    verdict: Literal["taken", "ruled-out", "not-offered", "worse", "not-needed", "barred", "undecided"]
    first: Plan | None
    best: Plan | None
    reasons: tuple[Reason, ...]
    dominated_by: str | None = None
    hangs_on: tuple[Look, ...] = ()


def why_not(problem: Problem, part: str, limits: Limits | None = None) -> WhyNot:
    """Explain one part. Raises InputRefused for an id the catalogue does not have."""
    try:
        return _explained(problem, part, limits or Limits())
    except NotDecided:
        return WhyNot(part, "undecided", None, None, ())


def _explained(problem: Problem, part: str, limits: Limits) -> WhyNot:
    table = problem.source.table_of.get(part)
    if table is None and not part.startswith("kept-"):
        raise refuse(
            part,
            "no such part in this catalogue",
            part,
            "an id of the catalogue",
            nearest_part(part, {i: problem.names.get(i, i) for i in problem.source.table_of}),
        )
    slot_word = {"psus": "psu", "cases": "case", "drives": "drive", "graphics": "graphics"}.get(table or "")
    if slot_word and slot_word not in problem.brief.replace:
        problem = changed(problem, replace=(*problem.brief.replace, slot_word))
    first = first_plan(problem, limits)
    if first is not None and part in _ids(first):
        return WhyNot(part, "taken", first, first, ())
    candidates = [c for slot in SLOTS for c in problem.slot(slot) if part in (c.id, c.key)]
    if not candidates and part not in problem.extras:
        return WhyNot(part, "not-offered", first, None, ())
    demanded = changed(
        problem,
        including=(*problem.brief.including, part),
        without=tuple(p for p in problem.brief.without if p != part),
    )
    best = first_plan(demanded, limits)
    if best is not None:
        return WhyNot(part, "worse", first, best, (), _dominating(problem, candidates))
    if part in problem.extras and not candidates:
        return WhyNot(part, "not-needed", first, None, ())
    open_ = barred(demanded, limits)
    if not open_.proven:
        looks = () if open_.plan is None else open_.plan.looks
        return WhyNot(part, "barred", first, None, (), hangs_on=looks)
    test = Tester(demanded, limits)
    test.know_none([rule.ID for rule in all_rules()])
    # The demand itself is the background of the question: it stays, the others are the reasons.
    order = [buying_excluded.ID, *(r for r in preference(all_rules()) if r != buying_excluded.ID)]
    conflict = smallest_conflict(test, order)
    if not conflict:
        raise InternalFault(f"no plan with {part} was found, but all rules together leave one")
    reasons = tuple(_reason(demanded, test, conflict, r) for r in conflict if r != buying_excluded.ID)
    return WhyNot(part, "ruled-out", first, None, reasons)


def _ids(plan: Plan) -> set[str]:
    return {c.id or c.key for c in plan.parts.picked} | {line.item for line in plan.draft.lines}


def _dominating(problem: Problem, candidates: list[Candidate]) -> str | None:
    """A part of the same kind that does at least as much for no more money (cheapest offers compared)."""
    if not candidates:
        return None
    here = candidates[0]
    for other in problem.slot(here.slot):
        if (
            other.id in (None, here.id)
            or not other.offers
            or not here.offers
            or other.quantity != here.quantity
        ):
            continue
        if other.offers[0].price <= here.offers[0].price and _at_least(other, here):
            return other.id
    return None


def _at_least(other: Candidate, here: Candidate) -> bool:
    a, b = other.part, here.part
    if isinstance(a, Cpu) and isinstance(b, Cpu):
        same = (a.socket, a.family) == (b.socket, b.family)
        more = all(
            (x or 0) >= (y or 0)
            for x, y in (
                (a.serial_score, b.serial_score),
                (a.parallel_score, b.parallel_score),
                (a.graphics_score, b.graphics_score),
            )
        )
        return same and more and (a.power_limit_w or a.tdp_w or 0) <= (b.power_limit_w or b.tdp_w or 0)
    if here.slot == "board":
        return board_facts(other) == board_facts(here)
    if here.slot == "memory":
        same = (a.generation, a.module, a.module_mib, a.with_kept, a.registered, a.ecc) == (  # type: ignore[union-attr]
            b.generation,  # type: ignore[union-attr]
            b.module,  # type: ignore[union-attr]
            b.module_mib,  # type: ignore[union-attr]
            b.with_kept,  # type: ignore[union-attr]
            b.registered,  # type: ignore[union-attr]
            b.ecc,  # type: ignore[union-attr]
        )
        return same and (a.rate_mts or 0) >= (b.rate_mts or 0)  # type: ignore[union-attr]
    return False
