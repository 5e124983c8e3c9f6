"""Rank the plans of a problem: least time, then exact next-best plans, each proven, each checked by plain Python."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import takewhile
from typing import Any

import ortools

from partsolver.errors import InternalFault
from partsolver.model.build import Built, build
from partsolver.model.identity import IDENTITIES, forbid
from partsolver.model.objective import TIE_SLOTS, Level, break_tie, levels, minimise, post_step, step_of
from partsolver.model.pool import FAR, MAIN, Pool, kept_memo
from partsolver.model.prune import Screened, faster_than, screened, within, within_rank
from partsolver.model.search import Search
from partsolver.model.solve import Limits, Solved
from partsolver.outcome import FRAGILE_PERCENT, Exposure, Outcome, Plan, Provenance, Status
from partsolver.performance.present import present_time_ppm
from partsolver.planner import complete
from partsolver.plans import make_plan
from partsolver.problem import Draft, Parts, Problem, SlotName
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
    with_stand_ins: bool = True,
) -> Outcome:
    """Ranked plans of a problem. ``plans`` is empty when none exists (proved) or nothing was found in the limits.

    ``prune`` leaves out candidates that can be in none of them; ``expose`` adds what is left when a part sells out.
    Raises InternalFault when the model and the plain statement disagree about a plan.
    """
    limits = limits or Limits()
    rules = all_rules() if rules is None else rules
    found = screened(problem, rules) if prune else None
    if prune and found is None:
        return _outcome(problem, "impossible", (), limits, None)
    # Whether a part is gone is asked of the same search.
    search = None if found is None or found.small else found.search(2 if expose else 1)
    ranked = _Ranking(problem, rules, limits, found, search, problem.brief.alternatives, progress)
    status = ranked.run()
    if expose and status == "optimal":
        return _outcome(problem, status, tuple(exposed(ranked)), limits, ranked.least)
    return _outcome(problem, status, tuple(ranked.plans(with_stand_ins)), limits, ranked.least)


def first_plan(problem: Problem, limits: Limits | None = None, **wishes: Any) -> Plan | None:
    """The first plan of a problem without its stand-ins, or None when there is none; ``wishes``: fields of the brief to
    change (never those that the join reads)."""
    brief = problem.brief.model_copy(update={"alternatives": 1, **wishes})
    outcome = recommend(replace(problem, brief=brief), limits, with_stand_ins=False)
    return outcome.plans[0] if outcome.plans else None


class _Ranking:
    """The best plans of a problem, one after the other: least time, then by step, cost, power and ids."""

    def __init__(
        self, problem: Problem, rules: Sequence[Rule], limits: Limits, found: Screened | None, search: Search | None, wanted: int, progress: Progress = no_progress,
    ) -> None:
        self.problem, self.rules, self.limits = problem, rules, limits
        self.found, self.search, self.wanted, self.progress = found, search, wanted, progress
        self.least: int | None = None
        # Parts of a plan that takes the least time.
        self.fastest: Parts | None = None
        # (step, cost) that as many plans as wanted are known to keep: the solver need not look beyond.
        self.worst: tuple[int, int] | None = None
        self.drafts: list[Draft] = []

    def run(self) -> Status:
        """Find the drafts; the status of the whole."""
        speed = self.problem.brief.goal == "speed"
        resolution = Fraction(self.problem.brief.resolution_percent)
        search = self.search
        built: Built | None = None
        if speed:
            pool = self._pool_for_least(search)
            if pool is not None and not pool.alive:
                return "impossible"
            built = self._build(pool)
            solved, values = minimise(built, [Level(built.time, built.picks.most[built.time.index])], self.limits)
            if not solved.found:
                return "impossible" if solved.status == "impossible" else "undecided"
            self.fastest = picked_parts(built, solved)
            if solved.status != "optimal":
                # Without a proven least time the steps mean nothing: report the best found, and say so.
                self.drafts.append(_complete(self.problem, picked_parts(built, solved), self.rules))
                return "best_found"
            self.least = values[0]
        if search is not None:
            assert self.found is not None
            pool = self._pool_for_ranks(search, resolution)
            if not pool.alive:
                return "impossible"
            built = self._build(pool)
        elif built is None:
            built = self._build(None if self.found is None else self.found.pool)
        return self._rank(built, resolution)

    def _build(self, pool: Pool | None) -> Built:
        return build(self.problem if pool is None else pool.restricted(), self.rules)

    def _pool_for_least(self, search: Search | None) -> Pool | None:
        """The candidates among which the fastest plan is."""
        if self.found is None or search is None:
            return None if self.found is None else self.found.pool
        fastest = search.fastest()
        if fastest is None:
            return within(self.found, search, self.found.most_time, self.found.most_cost)
        return faster_than(self.found, search, fastest)

    def _pool_for_ranks(self, search: Search, resolution: Fraction) -> Pool:
        """The candidates among which the wanted plans are."""
        assert self.found is not None
        search.rest()
        if self.least is not None:
            drafts = search.best(self.least, resolution, self.wanted)
            if len(drafts) >= self.wanted:
                self.worst = max((step_of(draft.time_ppm, self.least, resolution), draft.cost) for draft in drafts)
                return within_rank(self.found, search, self.worst, self.least, resolution)
            return within(self.found, search, self.found.most_time, self.found.most_cost)
        drafts = search.cheap(self.wanted)
        most = max((d.cost for d in drafts), default=FAR) if len(drafts) >= self.wanted else FAR
        return within(self.found, search, self.found.most_time, min(most, self.found.most_cost))

    def _rank(self, built: Built, resolution: Fraction) -> Status:
        """The drafts in order, each proven the best of what is left."""
        step = None if self.least is None else post_step(built, self.least, resolution)
        if step is not None and self.worst is not None:
            _no_worse(built, step, self.worst)
        goals, with_ids = levels(built, self.problem, step)
        while len(self.drafts) < self.wanted:
            self.progress(len(self.drafts), self.wanted)
            solved, values = minimise(built, goals, self.limits)
            if solved.status == "impossible":
                return "optimal" if self.drafts else "impossible"
            if not solved.found:
                return "best_found" if self.drafts else "undecided"
            if solved.status == "optimal" and not with_ids:
                tied = break_tie(built, goals, values, self.limits, solved)
                solved = tied if tied.found else solved
            draft = _complete(self.problem, picked_parts(built, solved), self.rules)
            _compare(built, solved, draft)
            self.drafts.append(draft)
            if solved.status != "optimal":
                return "best_found"
            forbid(built, draft.parts)
        self.progress(self.wanted, self.wanted)
        return "optimal"

    def plans(self, with_stand_ins: bool = True) -> list[Plan]:
        """The drafts as plans. Raises InternalFault when the plain rules refuse one."""
        plans: list[Plan] = []
        resolution = Fraction(self.problem.brief.resolution_percent)
        for draft in self.drafts:
            step = 0 if self.least is None else step_of(draft.time_ppm, self.least, resolution)
            plan = make_plan(self.problem, draft, self.rules, len(plans) + 1, step, plans[-1] if plans else None, with_stand_ins)
            if not plan.admitted:
                raise InternalFault(f"a plan of the model is refused by the plain rules: {[f for f in plan.findings if not f.admits]}")
            plans.append(plan)
        return plans


def _no_worse(built: Built, step: Any, worst: tuple[int, int]) -> None:
    """Plans of at most this step, and on this step of at most this cost."""
    model = built.model
    model.add(step <= worst[0])
    if worst[0] == 0:
        model.add(built.cost <= worst[1])
    else:
        sooner = model.new_bool_var("sooner")
        model.add(step <= worst[0] - 1).only_enforce_if(sooner)
        model.add(built.cost <= worst[1]).only_enforce_if(~sooner)


def exposed(ranked: _Ranking) -> list[Plan]:
    """The plans with what is left of each if one of its parts sells out: a stand-in, or the first plan of the same problem
    without the part.

    The list is exact, so that is mostly the first of it that does not use the part. It is searched where all use it; where a
    plan that is the same choice as one before it (and hence not listed) may do without the part; and where the least time,
    from which the steps are counted, may go with the part.
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


def _first_without(ranked: _Ranking, plans: Sequence[Plan], slot: SlotName, part: str) -> tuple[Draft | None, int | None] | None:
    """The first plan without a part, and its rank where it is listed; None when that was not decided within the limits."""
    before = list(takewhile(lambda plan: part in _bought_ids(plan.parts), plans))
    hidden = any(_same_without(ranked.problem, plan, slot, part) for plan in before)
    if len(before) < len(plans) and not hidden and (ranked.fastest is None or part not in _bought_ids(ranked.fastest)):
        return plans[len(before)].draft, plans[len(before)].rank
    again = _without(ranked, slot, part)
    if again is None:
        return None, None
    if again.run() not in ("optimal", "impossible"):
        return None
    draft = again.drafts[0] if again.drafts else None
    return draft, next((p.rank for p in plans if draft is not None and p.parts.keys == draft.parts.keys), None)


def _same_without(problem: Problem, plan: Plan, slot: SlotName, part: str) -> bool:
    """Whether another candidate of the slot could make the same choice (model/identity.py)."""
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


def _without(ranked: _Ranking, slot: SlotName, part: str) -> _Ranking | None:
    """The ranking of the same problem without one part; None when it is impossible."""
    problem, found = ranked.problem, ranked.found
    if part in problem.brief.including:
        return None
    left = {**problem.candidates, slot: tuple(c for c in problem.slot(slot) if c.id != part)}
    without = replace(problem, candidates=left, memo=kept_memo(problem))
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
    return _Ranking(without, ranked.rules, ranked.limits, found, search, 1)


def picked_parts(built: Built, solved: Solved) -> Parts:
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
        solver=f"ortools {ortools.__version__} CP-SAT",  # type: ignore[attr-defined]
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
