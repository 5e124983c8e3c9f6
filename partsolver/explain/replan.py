"""Solve again after something changed, and what is different."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from partsolver.catalog.load import Catalog
from partsolver.errors import nearest, refuse
from partsolver.join import join
from partsolver.model.recommend import recommend
from partsolver.model.solve import Limits
from partsolver.outcome import Outcome, Plan
from partsolver.planfile import PlanFile
from partsolver.planner import complete, draft_of
from partsolver.plans import make_plan
from partsolver.problem import SLOTS, Parts, Problem, SlotName
from partsolver.quantities import parse_amount
from partsolver.rules import all_rules


@dataclass(frozen=True, slots=True)
class Change:
    """One slot before and after (ids)."""

    slot: SlotName
    before: str
    after: str


@dataclass(frozen=True)
class Replanned:
    """Old and new side by side.

    old: the stored plan judged in today's problem; still_stands: whether it is still admitted; stand_in: the old plan
    with one part replaced by a stand-in (offered first, nothing else changes); outcome: the new answer.
    """

    old: Plan
    still_stands: bool
    stand_in: Plan | None
    outcome: Outcome
    changes: tuple[Change, ...]
    problem: Problem
    catalog_changed: bool

    @property
    def new(self) -> Plan | None:
        return self.outcome.plans[0] if self.outcome.plans else None


def with_prices(catalog: Catalog, prices: Mapping[str, str]) -> Catalog:
    """The catalogue with other prices for some parts (every offer of the part). Raises InputRefused."""
    if not prices:
        return catalog
    changed: dict[str, int] = {}
    for part, text in prices.items():
        if part not in catalog.table_of:
            raise refuse("--price", "no such part in this catalogue", part, "an id of the catalogue", nearest(part, catalog.table_of))
        try:
            changed[part] = parse_amount(text, catalog.info.digits)
        except ValueError as error:
            raise refuse("--price", "not an amount", text, str(error)) from None
        if changed[part] < 0:
            raise refuse("--price", "must not be negative", text)
    offers = tuple(replace(o, price=changed[o.part]) if o.part in changed else o for o in catalog.tables["offers"])
    return replace(catalog, tables={**catalog.tables, "offers": offers})


def replan(
    stored: PlanFile,
    gone: Sequence[str] = (),
    prices: Mapping[str, str] | None = None,
    ordered: Sequence[str] = (),
    changes: Mapping[str, Any] | None = None,
    limits: Limits | None = None,
) -> Replanned:
    """Solve a stored plan's problem again with parts gone, prices changed, parts already ordered, wishes changed."""
    brief = stored.problem.brief
    for part in (*gone, *ordered):
        if part not in stored.problem.source.table_of and part not in stored.problem.names:
            known = stored.problem.source.table_of
            raise refuse(part, "no such part in this catalogue", part, "an id of the catalogue", nearest(part, known))
    both = sorted(set(gone) & set(ordered))
    if both:
        raise refuse("--gone / --ordered", "the same part is both gone and ordered", both[0])
    update = {
        "without": tuple(dict.fromkeys((*brief.without, *gone))),
        "including": tuple(dict.fromkeys((*brief.including, *ordered))),
        **(changes or {}),
    }
    catalog = with_prices(stored.problem.source, prices or {})
    problem = join(stored.problem.survey, catalog, brief.model_copy(update=update))
    rules = all_rules()
    parts = _same_parts(problem, stored.parts)
    old = make_plan(problem, draft_of(problem, parts, rules), rules, stored.chosen, 0, None)
    # The stored plan may be bought again without a gone cooler or extra: as it was stored it does not stand then.
    stored_ids = {line.item for line in draft_of(stored.problem, stored.parts, rules).lines}
    stands = old.admitted and not stored_ids & set(gone)
    outcome = recommend(problem, limits)
    new = outcome.plans[0] if outcome.plans else None
    return Replanned(
        old=old,
        still_stands=stands,
        stand_in=None if stands else _stand_in(problem, parts),
        outcome=outcome,
        changes=() if new is None else _changes(parts, new.parts),
        problem=problem,
        catalog_changed=stored.catalog_changed,
    )


def _same_parts(problem: Problem, parts: Parts) -> Parts:
    """The stored parts as candidates of the changed problem; one that is no candidate any more stays as it was."""
    picked = []
    for candidate in parts.picked:
        picked.append(next((c for c in problem.slot(candidate.slot) if c.key == candidate.key), candidate))
    return Parts(tuple(picked))


def _stand_in(problem: Problem, parts: Parts) -> Plan | None:
    """The cheapest admitted plan that differs from the old one in a single bought part and keeps its expected time."""
    from partsolver.performance.time import terms_ppm

    rules = all_rules()
    time = terms_ppm(problem, parts)
    best: Plan | None = None
    for slot in ("board", "memory", "psu", "case", "drive"):
        here = parts.candidate(slot)  # type: ignore[arg-type]
        if here.id is None or here.id not in problem.brief.without:
            continue
        for candidate in problem.slot(slot):  # type: ignore[arg-type]
            if candidate.id is None or candidate.id in problem.brief.without:
                continue
            picked = list(parts.picked)
            picked[SLOTS.index(slot)] = candidate  # type: ignore[arg-type]
            trial = Parts(tuple(picked))
            if terms_ppm(problem, trial) != time:
                continue
            draft = complete(problem, trial, rules)
            if draft is None:
                continue
            plan = make_plan(problem, draft, rules, 1, 0, None)
            if plan.admitted and (best is None or (plan.draft.cost, plan.parts.keys) < (best.draft.cost, best.parts.keys)):
                best = plan
    return best


def _changes(old: Parts, new: Parts) -> tuple[Change, ...]:
    found = []
    for before, after in zip(old.picked, new.picked, strict=True):
        if before.key != after.key:
            found.append(Change(before.slot, before.key, after.key))
    return tuple(found)
