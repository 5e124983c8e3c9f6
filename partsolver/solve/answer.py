"""The answer to a problem: ranked plans, or a proved "no" with what each rule alone leaves."""

from __future__ import annotations

from dataclasses import replace

from partsolver.explain.barred import Barred, barred
from partsolver.explain.hoped import hoped_plan
from partsolver.model.solve import Limits
from partsolver.plan.keeping import with_keeping
from partsolver.plan.outcome import Conflict, Outcome
from partsolver.plan.refurbished import complete_pcs
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.solve.counts import count_rules
from partsolver.solve.kept import Memory
from partsolver.solve.ranking import Progress, no_progress
from partsolver.solve.recommend import recommend
from partsolver.solve.replaced import with_replaced


def answer(problem: Problem, limits: Limits | None = None, progress: Progress = no_progress) -> Outcome:
    """Recommend; when nothing is possible, add the counts per rule. Interrupted, it is the best plans
    found so far, where there are any (then the rest is left out)."""
    empty = tuple(slot for slot in ("board", "cpu", "memory") if not problem.slot(slot))
    limits = limits or Limits()
    memory = Memory(problem, all_rules(), limits, shown=True)
    outcome = (
        None
        if empty
        else recommend(problem, limits, progress=progress, expose=True, keep_best=True, memory=memory)
    )
    if outcome is None:
        from partsolver.solve.recommend import empty_outcome

        outcome = empty_outcome(problem, limits)
    if outcome.provenance.interrupted:
        return outcome  # whoever interrupts does not wait for more
    first = outcome.plans[0] if outcome.plans else None
    wished = None if empty else hoped_plan(problem, first, limits)
    outcome = replace(outcome, complete_pcs=complete_pcs(problem, all_rules()), hoped=wished)
    outcome = with_keeping(problem, outcome)
    if outcome.status == "impossible" and not empty:
        # A "no" must hold whatever the looks say.
        open_ = Barred(False, wished) if wished is not None else barred(problem, limits)
        if not open_.proven:
            return replace(outcome, status="undecided", hoped=open_.plan)
    if outcome.status != "impossible":
        return with_replaced(problem, outcome, limits)
    totals = tuple(len(problem.slot(slot)) for slot in ("board", "cpu", "memory"))
    counts = () if empty else count_rules(problem)
    return replace(outcome, conflict=Conflict((), counts, totals, empty))  # type: ignore[arg-type]
