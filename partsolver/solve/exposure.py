"""What is left of each ranked plan if one of its parts sells out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import takewhile

from partsolver.performance.present import store_of_fewer
from partsolver.plan.draft import Draft
from partsolver.plan.identity import IDENTITIES
from partsolver.plan.outcome import FRAGILE_PERCENT, Exposure, Plan
from partsolver.problem.candidates import Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.search.pool import MAIN
from partsolver.solve.ranking import Ranking


def exposed(ranked: Ranking) -> list[Plan]:
    """The plans with what is left of each if one of its parts sells out: a stand-in, or the first plan of the
    same problem without the part.

    The list is exact, so that is mostly the first of it that does not use the part. It is searched where all
    use it; where a plan that is the same choice as one before it (and hence not listed) may do without the
    part; and where the least time, from which the steps are counted, may go with the part.
    """
    plans = ranked.plans()
    elsewhere: dict[str, tuple[Draft | None, int | None] | None] = {}
    result = []
    for plan in plans:
        found = []
        bought = [(c.slot, c.id) for c in plan.parts.picked if c.id is not None and c.slot != "cooler"]
        for slot, part in bought:
            stand_in = next((s for s in plan.stand_ins if s.replaces == part), None)
            if stand_in is not None:
                cost = plan.draft.cost + stand_in.difference
                found.append(Exposure(part, stand_in.id, plan.rank, plan.draft.time_ppm, cost, False))
                continue
            if part not in elsewhere:
                elsewhere[part] = _first_without(ranked, plans, slot, part)
            left = elsewhere[part]
            if left is not None:
                found.append(_exposure(part, plan, *left))
        result.append(replace(plan, exposure=tuple(found)))
    return result


def _first_without(
    ranked: Ranking, plans: Sequence[Plan], slot: SlotName, part: str
) -> tuple[Draft | None, int | None] | None:
    """The first plan without a part, and its rank where it is listed; None when that was not decided within
    the limits."""
    before = list(takewhile(lambda plan: part in _bought_ids(plan.parts), plans))
    hidden = any(_same_without(ranked.problem, plan, slot, part) for plan in before)
    if (
        len(before) < len(plans)
        and not hidden
        and (ranked.fastest is None or part not in _bought_ids(ranked.fastest))
    ):
        return plans[len(before)].draft, plans[len(before)].rank
    again = _without(ranked, slot, part)
    if again is None:
        return None, None
    if again.run() not in ("optimal", "impossible"):
        return None
    draft = again.drafts[0] if again.drafts else None
    return draft, next(
        (p.rank for p in plans if draft is not None and p.parts.keys == draft.parts.keys), None
    )


def _same_without(problem: Problem, plan: Plan, slot: SlotName, part: str) -> bool:
    """Whether another candidate of the slot could make the same choice (plan/identity.py)."""
    same = IDENTITIES[slot]
    own = same(plan.parts.candidate(slot))
    return any(c.id != part and same(c) == own for c in problem.slot(slot))


def _bought_ids(parts: Parts) -> set[str]:
    return {c.id for c in parts.picked if c.id is not None}


def _exposure(part: str, plan: Plan, left: Draft | None, rank: int | None) -> Exposure:
    if left is None:
        return Exposure(part, None, None, None, None, True)
    slower = 100 * (left.time_ppm - plan.draft.time_ppm) > FRAGILE_PERCENT * plan.draft.time_ppm
    return Exposure(part, None, rank, left.time_ppm, left.cost, slower)


def _without(ranked: Ranking, slot: SlotName, part: str) -> Ranking | None:
    """The ranking of the same problem without one part; None when it is impossible."""
    problem, found = ranked.problem, ranked.found
    if part in problem.brief.including:
        return None
    left = {**problem.candidates, slot: tuple(c for c in problem.slot(slot) if c.id != part)}
    without = replace(problem, candidates=left, store=store_of_fewer(problem))
    search = ranked.search
    if found is not None:
        pool = found.pool.copy()
        pool.problem = without
        pool.keep([slot], lambda c: c.id != part)
        if not pool.alive:
            return None
        found = replace(found, pool=pool)
        if search is not None:
            search = search.without(part, without) if slot in MAIN else found.search()
    return Ranking(without, ranked.rules, ranked.limits, found, search, 1, shown=False)
