"""Solve again after something changed, and what is different."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from partsolver.base.quantities import FAR
from partsolver.base.records import record
from partsolver.catalog.load import Catalog
from partsolver.explain.differences import Difference, differences
from partsolver.explain.happened import KEPT, Happened, Note, happened
from partsolver.explain.why import Why, why
from partsolver.model.solve import Limits
from partsolver.performance.time import terms_ppm
from partsolver.plan.complete import draft_as_picked, draft_of
from partsolver.plan.draft import Draft, Line
from partsolver.plan.keeping import with_keeping
from partsolver.plan.make import make_plan
from partsolver.plan.outcome import Outcome, Plan
from partsolver.plan.purchase import bundles_beside, least_of, least_price
from partsolver.plan.refurbished import complete_pcs
from partsolver.planfile.plan_file import Missing, PlanFile
from partsolver.problem.candidates import SLOTS, Parts, SlotName
from partsolver.problem.join import join
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.search.rule_memory import Quick
from partsolver.solve.recommend import recommend
from partsolver.wishes.brief import Brief


@record
class Change:
    """One slot before and after (keys of the candidates)."""

    slot: SlotName
    before: str
    after: str


@record
class Purchase:
    """An order line that is not as before: seller and amount (minor units), None where it is not bought."""

    item: str
    before: tuple[str, int] | None
    after: tuple[str, int] | None


@record
class Replanned:
    """Old and new side by side.

    stored: the plan file; old: the stored plan judged in today's problem as if what is gone could still be
    had, None when the facts of a part are lost (then only what the file says can be shown); still_stands:
    whether it can still be had and is still admitted; gone: ids of the plan that cannot be had; stand_in: the
    old plan with one part replaced by a stand-in (offered first, nothing else changes); outcome: the new
    answer; changes: slots; purchases: order lines that differ where no slot does.
    """

    stored: PlanFile
    old: Plan | None
    still_stands: bool
    gone: tuple[str, ...]
    missing: tuple[Missing, ...]
    stand_in: Plan | None
    outcome: Outcome
    changes: tuple[Change, ...]
    purchases: tuple[Purchase, ...]
    problem: Problem
    differences: tuple[Difference, ...]
    notes: tuple[Note, ...]

    @property
    def new(self) -> Plan | None:
        return self.outcome.plans[0] if self.outcome.plans else None

    @property
    def catalog_changed(self) -> bool:
        return self.stored.catalog_changed


def replan(
    stored: PlanFile,
    gone: Sequence[str] = (),
    prices: Mapping[str, str] | None = None,
    ordered: Sequence[str] = (),
    changes: Mapping[str, Any] | None = None,
    limits: Limits | None = None,
) -> Replanned:
    """Solve a stored plan's problem again with parts gone, prices changed, parts already ordered, wishes
    changed.

    Raises InputRefused for what cannot be followed.
    """
    brief = stored.problem.brief.model_copy(update=changes or {})
    what = happened(stored, brief, gone, prices or {}, ordered)
    problem = _changed(stored.problem, what.catalog, what.brief)
    judged = _then(stored, what, problem, gone)
    rules = all_rules()
    parts = None if stored.found is None else _same_parts(judged, stored.found)
    old = (
        None
        if parts is None
        else make_plan(judged, draft_of(judged, parts, rules), rules, stored.chosen, 0, None)
    )
    missing = tuple(m for m in stored.missing if m.id not in what.ordered)
    lost = _lost(problem, stored, what)
    stands = old is not None and old.admitted and not lost and not missing
    outcome = recommend(problem, limits)
    outcome = with_keeping(problem, replace(outcome, complete_pcs=complete_pcs(problem, rules)))
    new = outcome.plans[0] if outcome.plans else None
    return Replanned(
        stored=stored,
        old=old,
        still_stands=stands,
        gone=lost,
        missing=missing,
        stand_in=None if stands or parts is None else _stand_in(problem, parts, what.gone, missing),
        outcome=outcome,
        changes=() if new is None else _changes(stored, new.parts),
        purchases=() if new is None or old is None else _purchases(old.draft.lines, new.draft.lines),
        problem=problem,
        differences=differences(stored),
        notes=what.notes,
    )


def _then(stored: PlanFile, what: Happened, problem: Problem, gone: Sequence[str]) -> Problem:
    """The problem in which the old plan is judged: of today, but with what is gone still to be had."""
    if what.old is None and not gone:
        return problem
    without = tuple(
        part for part in what.brief.without if part not in gone or part in stored.problem.brief.without
    )
    return _changed(problem, what.old or what.catalog, what.brief.model_copy(update={"without": without}))


def _changed(problem: Problem, catalog: Catalog, brief: Brief) -> Problem:
    """The problem with another catalogue or brief."""
    return join(problem.survey, catalog, brief, problem if catalog is problem.source else None)


def why_none(result: Replanned, gone: Sequence[str] = (), limits: Limits | None = None) -> Why | None:
    """Why there is no new plan, None when there is one or it was not decided; no way out brings back what is
    gone."""
    if result.outcome.status != "impossible":
        return None
    answer = why(result.problem, limits)
    lost = {*gone, *result.gone}
    return replace(
        answer,
        ways_out=tuple(way for way in answer.ways_out if not (way.what == "without" and way.value in lost)),
    )


def _lost(problem: Problem, stored: PlanFile, what: Happened) -> tuple[str, ...]:
    """Ids of the stored plan that cannot be had, in its order: gone, or a replacement that the brief does not
    allow now."""
    kept = [part for part in KEPT if part in what.gone and part in stored.plan.named]
    barred = [
        part.id
        for part in stored.plan.parts
        if part.id is not None
        and part.slot in ("psu", "case", "drive", "graphics")
        and not any(c.key == part.key for c in problem.slot(part.slot))
    ]
    return tuple(
        dict.fromkeys([*kept, *(item for item in stored.plan.bought if item in what.gone or item in barred)])
    )


def _same_parts(problem: Problem, parts: Parts) -> Parts:
    """The stored parts as candidates of the changed problem; one that is no candidate any more stays as it
    was."""
    picked = []
    for candidate in parts.picked:
        picked.append(next((c for c in problem.slot(candidate.slot) if c.key == candidate.key), candidate))
    return Parts(tuple(picked))


def _stand_in(
    problem: Problem, parts: Parts, gone: frozenset[str], missing: Sequence[Missing]
) -> Plan | None:
    """The cheapest admitted plan that differs from the old one in a single bought part and keeps its expected
    time."""
    lacking = [
        c.slot
        for c in parts.picked
        if c.slot != "cooler"
        and c.id is not None
        and (c.id in gone or any(m.slot == c.slot for m in missing))
    ]
    if len(lacking) != 1 or lacking == ["cpu"]:
        return None
    rules, (slot,) = all_rules(), lacking
    quick, time = Quick(problem, rules), terms_ppm(problem, parts)
    best: Draft | None = None
    here = parts.candidate(slot)
    others = [c for c in problem.slot(slot) if c.id is not None and c.id not in gone and c.key != here.key]
    for candidate in sorted(others, key=lambda c: (least_of(c, quick.allowed), c.key)):
        trial = Parts(tuple(candidate if own is here else own for own in parts.picked))
        if terms_ppm(problem, trial) != time or quick.least(trial, frozenset(SLOTS) - {"cooler"}) >= FAR:
            continue
        if (
            best is not None
            and not bundles_beside(problem, trial, quick.allowed)
            and least_price(problem, trial, (), quick.allowed) > best.cost
        ):
            continue
        draft = draft_as_picked(problem, trial, rules, quick.allowed)
        if draft is None or not quick.admits(draft):
            continue
        if best is None or (draft.cost, draft.parts.keys) < (best.cost, best.parts.keys):
            best = draft
    return None if best is None else make_plan(problem, best, rules, 1, 0, None)


def _changes(stored: PlanFile, new: Parts) -> tuple[Change, ...]:
    found = []
    for before, after in zip(stored.plan.parts, new.picked, strict=True):
        if before.key != after.key:
            found.append(Change(before.slot, before.key, after.key))
    return tuple(found)


def _purchases(old: Sequence[Line], new: Sequence[Line]) -> tuple[Purchase, ...]:
    """Order lines that differ in seller or amount, of the old plan first."""
    before, after = ({line.item: _bought(line) for line in lines} for lines in (old, new))
    items = dict.fromkeys([*before, *after])
    return tuple(
        Purchase(item, before.get(item), after.get(item))
        for item in items
        if before.get(item) != after.get(item)
    )


def _bought(line: Line) -> tuple[str, int]:
    source = line.offer or line.bundle
    return ("" if source is None else source.seller, line.amount)


__all__ = ["Change", "Purchase", "Replanned", "replan", "why_none"]
