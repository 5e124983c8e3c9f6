"""The short answer: the ranked plans, and beside them the plans that differ, on two processes where there are
two."""

from __future__ import annotations

from functools import partial

from partsolver.model.solve import Limits
from partsolver.plan.choices import Choices
from partsolver.plan.outcome import Outcome
from partsolver.problem.problem import Problem
from partsolver.solve.choices import choices, sought
from partsolver.solve.kept import beside_kept, kept_from
from partsolver.solve.left_out import answer_chosen, choose_left_out, weighty_names
from partsolver.solve.ranking import Progress, no_progress


def short_answer(
    problem: Problem,
    limits: Limits | None = None,
    progress: Progress = no_progress,
    differing: Progress = no_progress,
) -> tuple[Problem, Outcome, Choices | None]:
    """The problem with what is optional left out where that is better, its answer, and the plans that differ
    (None where there is no plan, or the ranking was interrupted).

    ``progress``: plans proven, of how many; ``differing``: the same of the plans that differ.
    """
    limits = limits or Limits()
    chosen, left = choose_left_out(problem, limits, weighty_names(problem))
    with beside_kept(chosen, partial(sought, chosen, limits)) as other:
        answered, outcome = answer_chosen(problem, chosen, left, limits, progress)
        if not outcome.plans or outcome.provenance.interrupted:
            return answered, outcome, None
        known = partial(kept_from, chosen, other) if answered is chosen else None
        return answered, outcome, choices(answered, outcome, limits, differing, known)


__all__ = ["short_answer"]
