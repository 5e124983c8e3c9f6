"""What is left of each ranked plan if one of its parts sells out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import partial
from itertools import takewhile

from partsolver.base.records import record
from partsolver.performance.present import store_of_fewer
from partsolver.plan.draft import Draft
from partsolver.plan.identity import IDENTITIES
from partsolver.plan.outcome import FRAGILE_PERCENT, Exposure, Plan
from partsolver.problem.candidates import Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.search.pool import MAIN
from partsolver.solve.kept import Memory, each_kept
from partsolver.solve.ranking import Ranking


def exposed(ranked: Ranking) -> list[Plan]:
    """The plans with what is left of each if one of its parts sells out: a stand-in, or the first plan of the
    same problem without the part.

    The list is exact, so that is mostly the first of it that does not use the part. It is searched where all
    use it; where a plan that is the same choice as one before it (and hence not listed) may do without the
    part; and where the least time, from which the steps are counted, may go with the part.
    """
    plans = ranked.plans()
    leaving: dict[str, SlotName] = {}
    for plan in plans:
        replaced = {stand_in.replaces for stand_in in plan.stand_ins}
        leaving |= {part: slot for slot, part in _bought(plan) if part not in replaced}
    elsewhere = _elsewhere(ranked, plans, leaving)
    result = []
    for plan in plans:
        found = []
        for _, part in _bought(plan):
            stand_in = next((s for s in plan.stand_ins if s.replaces == part), None)
            if stand_in is not None:
                cost = plan.draft.cost + stand_in.difference
                found.append(Exposure(part, stand_in.id, plan.rank, plan.draft.time_ppm, cost, False))
                continue
            left = elsewhere[part]
            if left is not None:
                found.append(_exposure(part, plan, left))
        result.append(replace(plan, exposure=tuple(found)))
    return result


def _bought(plan: Plan) -> list[tuple[SlotName, str]]:
    """What of a plan is bought and may sell out (of coolers the cheapest that serves is taken anyway)."""
    return [(c.slot, c.id) for c in plan.parts.picked if c.id is not None and c.slot != "cooler"]


@record
class _Left:
    """The first plan without a part, and its rank where it is listed; all None where there is none."""

    time_ppm: int | None = None
    cost: int | None = None
    rank: int | None = None


def _elsewhere(
    ranked: Ranking, plans: Sequence[Plan], leaving: Mapping[str, SlotName]
) -> dict[str, _Left | None]:
    """What is left without each of these parts, those that have to be searched on two processes; None where
    that was not decided within the limits."""
    found: dict[str, _Left | None] = {}
    searched: dict[str, SlotName] = {}
    for part, slot in leaving.items():
        before = list(takewhile(lambda plan, part=part: part in _bought_ids(plan.parts), plans))  # type: ignore[misc]
        hidden = any(_same_without(ranked.problem, plan, slot, part) for plan in before)
        if (
            len(before) < len(plans)
            and not hidden
            and (ranked.fastest is None or part not in _bought_ids(ranked.fastest.parts))
        ):
            draft = plans[len(before)].draft
            found[part] = _Left(draft.time_ppm, draft.cost, plans[len(before)].rank)
        else:
            searched[part] = slot
    known = {part: _kept_without(ranked, part) for part in searched}
    asked = {part: slot for part, slot in searched.items() if known[part] is None}
    if asked:
        ranked.look()  # where the ranking was taken from other wishes none was needed
    looks = [partial(_first_without, ranked, slot, part) for part, slot in asked.items()]
    known |= dict(zip(asked, each_kept(ranked.problem, looks), strict=True))
    return found | {part: _left(drafts, plans) for part, drafts in known.items()}


def _memory_without(ranked: Ranking, part: str) -> Memory:
    """The first plans without a part with other wishes."""
    return Memory(
        ranked.problem,
        ranked.rules,
        ranked.limits,
        shown=False,
        about=("without",),
        without=(part,),
        proof_shown=False,
    )


def _kept_without(ranked: Ranking, part: str) -> tuple[Draft, ...] | None:
    """The first plan without a part (none: there is none), where other wishes told it."""
    if ranked.memory is None:
        return None
    problem, rules, limits = ranked.problem, ranked.rules, ranked.limits
    memory = _memory_without(ranked, part)
    first = Ranking(problem, rules, limits, None, None, 1, shown=False, memory=memory)
    return None if first.taken() is None else tuple(first.drafts)


def _first_without(ranked: Ranking, slot: SlotName, part: str) -> tuple[Draft, ...] | None:
    """The first plan without a part (none: there is none), by a search of its own; None where that was not
    decided within the limits."""
    again = _ranking_without(ranked, slot, part)
    if again is None:
        return ()
    if again.run() not in ("optimal", "impossible"):
        return None
    return tuple(again.drafts)


def _left(drafts: tuple[Draft, ...] | None, plans: Sequence[Plan]) -> _Left | None:
    """What is left, said beside the plans that are listed."""
    if not drafts:
        return None if drafts is None else _Left()
    draft = drafts[0]
    rank = next((p.rank for p in plans if p.parts.keys == draft.parts.keys), None)
    return _Left(draft.time_ppm, draft.cost, rank)


def _same_without(problem: Problem, plan: Plan, slot: SlotName, part: str) -> bool:
    """Whether another candidate of the slot could make the same choice (plan/identity.py)."""
    same = IDENTITIES[slot]
    own = same(plan.parts.candidate(slot))
    return any(c.id != part and same(c) == own for c in problem.slot(slot))


def _bought_ids(parts: Parts) -> set[str]:
    return {c.id for c in parts.picked if c.id is not None}


def _exposure(part: str, plan: Plan, left: _Left) -> Exposure:
    if left.time_ppm is None:
        return Exposure(part, None, None, None, None, True)
    slower = 100 * (left.time_ppm - plan.draft.time_ppm) > FRAGILE_PERCENT * plan.draft.time_ppm
    return Exposure(part, None, left.rank, left.time_ppm, left.cost, slower)


def _ranking_without(ranked: Ranking, slot: SlotName, part: str) -> Ranking | None:
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
            search = search.search_without(part, without) if slot in MAIN else found.search()
    memory = None if ranked.memory is None else _memory_without(ranked, part)
    return Ranking(without, ranked.rules, ranked.limits, found, search, 1, shown=False, memory=memory)
