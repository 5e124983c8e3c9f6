"""Rank the plans of a problem: least time, then exact next-best plans, each proven, each checked by plain
Python."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import Any

from partsolver.base.errors import InternalFault
from partsolver.model.build import Built, build
from partsolver.model.forbid import forbid
from partsolver.model.objective import Level, break_tie, levels, minimise, post_step
from partsolver.model.solve import Limits, Solved
from partsolver.plan.complete import complete
from partsolver.plan.draft import Draft
from partsolver.plan.make import make_plan
from partsolver.plan.outcome import Plan, Status
from partsolver.plan.steps import step_of
from partsolver.problem.candidates import Parts
from partsolver.problem.problem import Problem
from partsolver.rules.base import Rule
from partsolver.search.pool import FAR, Pool
from partsolver.search.prune import Screened, faster_than, within, within_rank
from partsolver.search.search import Search

Progress = Callable[[int, int], None]


def no_progress(done: int, total: int) -> None:
    """Report nothing."""


class Ranking:
    """The best plans of a problem, one after the other: least time, then by step, cost, power and ids."""

    def __init__(
        self,
        problem: Problem,
        rules: Sequence[Rule],
        limits: Limits,
        found: Screened | None,
        search: Search | None,
        wanted: int,
        progress: Progress = no_progress,
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
            solved, values = minimise(
                built, [Level(built.time, built.picks.most[built.time.index])], self.limits
            )
            if not solved.found:
                return "impossible" if solved.status == "impossible" else "undecided"
            self.fastest = picked_parts(built, solved)
            if solved.status != "optimal":
                # Without a proven least time the steps mean nothing: report the best found, and say so.
                self.drafts.append(completed(self.problem, picked_parts(built, solved), self.rules))
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
                self.worst = max(
                    (step_of(draft.time_ppm, self.least, resolution), draft.cost) for draft in drafts
                )
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
            draft = completed(self.problem, picked_parts(built, solved), self.rules)
            compare_model_with_plain(built, solved, draft)
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
            plan = make_plan(
                self.problem,
                draft,
                self.rules,
                len(plans) + 1,
                step,
                plans[-1] if plans else None,
                with_stand_ins,
            )
            if not plan.admitted:
                raise InternalFault(
                    "a plan of the model is refused by the plain rules:"
                    f" {[f for f in plan.findings if not f.admits]}"
                )
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


def picked_parts(built: Built, solved: Solved) -> Parts:
    """The picked candidates (any cooler: the plain completion chooses it)."""
    picks = built.picks
    picked = []
    for slot in ("board", "cpu", "memory", "cooler", "psu", "case", "drive"):
        picked.append(next(c for c, literal in picks.of(slot) if solved.value(literal)))
    return Parts(tuple(picked))


def completed(problem: Problem, parts: Parts, rules: Sequence[Rule]) -> Draft:
    draft = complete(problem, parts, rules)
    if draft is None:
        raise InternalFault(f"the model returned parts that cannot be bought: {parts.keys}")
    return draft


def compare_model_with_plain(built: Built, solved: Solved, draft: Draft) -> None:
    """The model's time and cost against the plain ones."""
    for name, variable, plain in (("time_ppm", built.time, draft.time_ppm), ("cost", built.cost, draft.cost)):
        if solved.value(variable) != plain and (name == "time_ppm" or solved.status == "optimal"):
            raise InternalFault(
                f"model and plain statement differ in {name}: {solved.value(variable)} and {plain} for"
                f" {draft.parts.keys}, lines"
                f" {[(line.item, line.quantity, line.amount) for line in draft.lines]}"
            )
