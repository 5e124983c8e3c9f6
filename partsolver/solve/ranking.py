"""Rank the plans of a problem: least time, then exact next-best plans, each proven, each checked by plain
Python."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import partial
from typing import Any

from partsolver.base.errors import InternalFault
from partsolver.base.quantities import FAR, ceil_div
from partsolver.model.build import Built, build
from partsolver.model.forbid import forbid
from partsolver.model.objective import Level, break_tie, levels, minimise, post_step
from partsolver.model.solve import Limits
from partsolver.plan.draft import Draft
from partsolver.plan.make import make_plan
from partsolver.plan.outcome import Plan, Proof, ProvenBy, Status
from partsolver.plan.steps import step_of
from partsolver.problem.problem import Problem
from partsolver.rules.base import Rule
from partsolver.search.prune import Screened, screened
from partsolver.search.search import Search
from partsolver.search.shortlist import Found, Goals
from partsolver.search.window import (
    LEAST_EACH,
    MOST_MODELLED,
    Window,
    enough_from,
    limits_of_ranks,
    whole_window,
    window_faster_than,
    window_of_ranks,
    window_within,
)
from partsolver.solve.agreement import (
    compare_least_time,
    compare_model_with_plain,
    compare_ranks,
    completed,
    difference,
    picked_parts,
    refute_impossible,
)
from partsolver.solve.kept import Kept, Memory

Progress = Callable[[int, int], None]


def no_progress(done: int, total: int) -> None:
    """Report nothing."""


class Ranking:
    """The best plans of a problem, one after the other: least time, then by step, cost, power and ids.

    The search proposes them, CP-SAT selects them within a window of candidates, and the two are compared
    (solve/agreement.py). ``shown``: a person sees the answer: then the window is wide, and "no plan exists"
    is tried to be refuted; an inner question rests on the narrow window, or on the search alone. ``memory``:
    rankings of the same question with other wishes (solve/kept.py); ``prune``: whether ``found`` and ``search``
    are made where they are wanted and not given.
    """

    def __init__(
        self,
        problem: Problem,
        rules: Sequence[Rule],
        limits: Limits,
        found: Screened | None,
        search: Search | None,
        wanted: int,
        progress: Progress = no_progress,
        shown: bool = True,
        memory: Memory | None = None,
        prune: bool = True,
    ) -> None:
        self.problem, self.rules, self.limits, self.memory = problem, rules, limits, memory
        self.found, self.search, self.wanted, self.progress = found, search, wanted, progress
        self.shown, self.prune = shown, prune
        self.least: int | None = None
        # A plan that takes the least time.
        self.fastest: Draft | None = None
        # (step, cost) that as many plans as wanted are known to keep: the solver need not look beyond.
        self.worst: Goals | None = None
        self.drafts: list[Draft] = []
        self.proof = Proof((), None)
        # The least budget with which the model chooses among as many combinations.
        self.same_count_from = FAR
        # Plans that the search has found so far, and the least that the first goal of any plan can be: what
        # is left to say when the ranking does not come to its end.
        self.known: tuple[Draft, ...] = ()
        self.least_goal: int | None = None
        self.interrupted = False

    def run(self, keep_best: bool = False) -> Status:
        """Find the drafts; the status of the whole. ``keep_best``: whoever interrupts it gets the best
        plans found so far, where there are any; else the interruption is raised."""
        try:
            status = self._ranked()
        except KeyboardInterrupt:
            best = self.drafts or self.known
            if not keep_best or not best:
                raise
            self.drafts, self.interrupted = list(best[: self.wanted]), True
            return "best_found"
        if self.memory is not None and (status == "impossible" or len(self.proof.by) == 2):
            self.memory.keep(
                self.drafts, self.least, self.fastest, self.wanted, self.proof, self.same_count_from
            )
        return status

    def look(self, twins: int = 2) -> None:
        """Screen the problem and make its search, where that was not done yet. ``twins``: as in
        `Screened.search`."""
        if self.found is None and self.prune:
            self.found = screened(self.problem, self.rules)
            self.search = None if self.found is None else self.found.search(twins)

    def taken(self) -> Status | None:
        """The status where the ranking of other wishes holds for these (solve/kept.py); else None."""
        if self.memory is None:
            return None
        kept = self.memory.find()
        if kept is None:
            kept = next((wider for wider in self.memory.find_wider() if self._holds(wider)), None)
            if kept is None:
                return None
            self.memory.keep_here(kept, self.same_count_from)
        return self.take(kept)

    def _holds(self, kept: Kept) -> bool:
        """Whether a ranking under wider restrictions holds for these: all its plans are plans here too, and
        the model would choose among as many combinations (where anybody is told)."""
        if self.memory is None or not self.memory.still_plans(kept):
            return False
        if not self.memory.proof_shown:
            return True
        enough = LEAST_EACH * self.wanted
        if not kept.full or kept.proof.combinations != enough:
            return False
        self.look()
        if self.found is None or self.search is None or self.found.small:
            return False
        resolution = Fraction(self.problem.brief.resolution_percent)
        worst = max(self._goals(resolution, draft, kept.least) for draft in kept.drafts)
        limits = limits_of_ranks(self.found, worst, kept.least, resolution)
        self.same_count_from = enough_from(self.search, *limits, enough)
        return self.same_count_from < FAR

    def take(self, kept: Kept) -> Status:
        """The ranking of other wishes, where it holds for these."""
        self.drafts, self.least, self.fastest = list(kept.drafts), kept.least, kept.fastest or self.fastest
        self.proof, self.same_count_from = kept.proof, kept.same_count_from
        return "optimal" if kept.drafts else "impossible"

    def better_percent(self) -> int | None:
        """By how much the first draft can be bettered at most, per cent of its first goal (time, or cost
        with the goal of cost), rounded up; None where nothing is known, or there is none."""
        if not self.drafts or self.least_goal is None:
            return None
        own = self.drafts[0].cost if self.problem.brief.goal == "cost" else self.drafts[0].time_ppm
        return 0 if own <= self.least_goal else ceil_div(100 * (own - self.least_goal), own)

    def _ranked(self) -> Status:
        """Find the drafts.

        1. The least time (the goal speed): of the search, then of the model, compared.
        2. The first plans: of the search, then of the model within the window that these prove, compared.
        """
        resolution = Fraction(self.problem.brief.resolution_percent)
        built: Built | None = None
        searched = True
        if self.problem.brief.goal == "speed":
            found, window = self._least_window()
            if _too_wide(found, window):
                return self._best_known()
            built = self._build(window)
            status = "impossible" if built is None else self._find_least(built, found)
            if status != "optimal":
                return self._impossible(found, built) if status == "impossible" else status
            searched = found.exhausted
            known = None if self.memory is None else self.memory.find_of_least(self.least or 0)
            if known is not None and searched:
                return self.take(known)
        found, window = self._rank_window(resolution)
        if _too_wide(found, window):
            return self._best_known()
        if window is not None or built is None:
            built = self._build(window)
        status = "impossible" if built is None else self._rank(built, resolution)
        if status == "impossible":
            return self._impossible(found, built)
        compare_ranks(
            self.problem,
            self.rules,
            found,
            self.drafts,
            partial(self._goals, resolution, least=self.least),
            complete=status == "optimal",
        )
        if status == "optimal":
            both: tuple[ProvenBy, ...] = ("search", "model") if searched and found.exhausted else ("model",)
            self.proof = Proof(both, None if window is None else window.combinations)
            self.same_count_from = FAR if window is None else window.enough_from
        return status

    def _build(self, window: Window | None) -> Built | None:
        """The model of a window (None: of the whole problem); None when a slot has no candidate left."""
        if window is None:
            return build(self.problem, self.rules)
        return build(window.pool.restricted(), self.rules) if window.pool.alive else None

    def _best_known(self) -> Status:
        """The best plans that a search has found that did not come to its end, where no model can decide."""
        if not self.known and self.search is not None:
            self.search.rest()
            some = self.search.anything()
            self.known = () if some is None else (some,)
        self.drafts = list(self.known[: self.wanted])
        return "best_found" if self.drafts else "undecided"

    def _goals(self, resolution: Fraction, draft: Draft, least: int | None) -> Goals:
        """What decides between two plans before power and ids; ``least``: the least time (None: the goal is
        the cost)."""
        if least is None:
            return draft.cost, draft.time_ppm
        return step_of(draft.time_ppm, least, resolution), draft.cost

    def _seen(self) -> int:
        """How many of the wanted plans a window must be wide for."""
        return self.wanted if self.shown else 0

    # -- 1. the least time -------------------------------------------------------------------------------------------

    def _least_window(self) -> tuple[Found, Window | None]:
        """The fastest plan of the search, and the candidates among which the model's must be."""
        if self.found is None or self.search is None:
            return Found((), False), None
        self.least_goal = int(self.search.columns.cpu_bound.min())
        found = self.search.fastest(None if self.memory is None else self.memory.fastest())
        self.known = found.drafts
        if self.found.small:
            return found, whole_window(self.found, self.wanted)
        if found.first is None:
            limits = self.found.most_time, self.found.most_cost
            return found, window_within(self.found, self.search, *limits, int(self.shown))
        return found, window_faster_than(self.found, self.search, found.first, int(self.shown))

    def _find_least(self, built: Built, found: Found) -> Status:
        """The least time of the model, compared with the search's."""
        goal = Level(built.time, built.picks.most[built.time.index])
        solved, values = minimise(built, [goal], self.limits)
        if not solved.found and solved.status != "impossible":
            return "undecided"
        fastest = completed(self.problem, picked_parts(built, solved), self.rules) if solved.found else None
        if solved.bound is not None:
            # A bound of the window; what is outside is no faster than what the search found.
            outside = [draft.time_ppm for draft in self.known[:1]]
            self.least_goal = max(self.least_goal or 0, min([solved.bound, *outside]))
        if solved.status != "feasible":
            compare_least_time(self.problem, self.rules, found, fastest)
        if fastest is None:
            return "impossible"
        self.fastest = fastest
        if not solved.proved:
            # Without a proven least time the steps mean nothing: report the best found, and say so.
            self.drafts.append(fastest)
            return "best_found"
        self.least = values[0]
        return "optimal"

    # -- 2. the first plans ------------------------------------------------------------------------------------------

    def _rank_window(self, resolution: Fraction) -> tuple[Found, Window | None]:
        """The first plans of the search, and the candidates among which the model's must be."""
        if self.found is None or self.search is None:
            return Found((), False), None
        search, screened = self.search, self.found
        search.rest()
        if self.least is None:
            self.least_goal = search.columns.cheapest(screened.most_time)
        found = (
            search.cheap(self.wanted)
            if self.least is None
            else search.best(self.least, resolution, self.wanted)
        )
        self.known = found.drafts or self.known
        enough = len(found.drafts) >= self.wanted
        worst = max(self._goals(resolution, draft, self.least) for draft in found.drafts) if enough else None
        if screened.small:
            return found, whole_window(screened, self.wanted)
        limits = limits_of_ranks(screened, worst, self.least, resolution)
        if self.least is None:
            return found, window_within(screened, search, *limits, self._seen())
        self.worst = worst
        if worst is None:
            return found, window_within(screened, search, *limits, self._seen())
        return found, window_of_ranks(screened, search, limits, worst, self.least, resolution, self._seen())

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
            if solved.proved and not with_ids:
                tied = break_tie(built, goals, values, self.limits, solved)
                solved = tied if tied.found else solved
            draft = completed(self.problem, picked_parts(built, solved), self.rules)
            compare_model_with_plain(built, solved, draft)
            self.drafts.append(draft)
            if not solved.proved:
                return "best_found"
            forbid(built, draft.parts)
        self.progress(self.wanted, self.wanted)
        return "optimal"

    def _impossible(self, found: Found, built: Built | None) -> Status:
        """That no plan exists, of search or model (None: the bounds left no candidate): against what is
        known. A plan of the search refutes it."""
        if found.first is not None:
            raise difference(self.problem, "whether a plan exists", found.first, None)
        return self.refuted("search" if found.exhausted or built is None else "model")

    def refuted(self, by: ProvenBy) -> Status:
        """The same where one of the two proofs stands."""
        if not self.shown:
            self.proof = Proof((by,), None)
            return "impossible"
        tried = refute_impossible(self.problem, self.rules, self.limits)
        both = tried.decided and by == "search"
        self.proof = Proof(("search", "model") if both else (by,), tried.combinations)
        return "impossible"

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


def _too_wide(found: Found, window: Window | None) -> bool:
    """Whether a search that did not come to its end leaves more than a model decides within the limits."""
    if found.exhausted or window is None:
        return False
    return sum(len(listed) for listed in window.pool.left.values()) > MOST_MODELLED


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
