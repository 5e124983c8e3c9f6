"""Which optional cards and drives of the PC stay out: what the owner can do without is left out where that gives a
better plan, and only then.

Leaving something out frees power, plugs, ports and slots and may hand the picture to faster graphics; it never makes
a plan impossible unless what is left out makes the picture. So the problem is solved with all of them kept and with
none; where none is better, they are taken back one after the other as long as the first plan stays as good.
"""

from __future__ import annotations

from fractions import Fraction

from partsolver.base.errors import NotDecided
from partsolver.model.solve import Limits
from partsolver.plan.outcome import LeftOut, Plan
from partsolver.problem.join import changed, optional_names
from partsolver.problem.problem import Problem
from partsolver.solve.recommend import first_plan


def choose_left_out(problem: Problem, limits: Limits | None = None) -> tuple[Problem, LeftOut]:
    """The problem with the optional cards and drives left out that only stand in the way, and what that buys.

    The problem itself where the brief names what is left out, where nothing is optional, or where the limits did not
    let it be decided.
    """
    names = optional_names(problem.survey)
    if problem.brief.leave_out or not names or not all(problem.slot(s) for s in ("board", "cpu", "memory")):
        return problem, LeftOut()
    try:
        return _chosen(problem, names, limits)
    except NotDecided:
        return problem, LeftOut()


def _chosen(problem: Problem, names: tuple[str, ...], limits: Limits | None) -> tuple[Problem, LeftOut]:
    kept = first_plan(problem, limits, shown=False)
    out = names
    bare = _first_without(problem, out, limits)
    if bare is None or not is_better(problem, bare, kept):
        return problem, LeftOut()
    for name in names:
        fewer = tuple(other for other in out if other != name)
        trial = _first_without(problem, fewer, limits) if fewer else kept
        if trial is not None and not is_better(problem, bare, trial):
            out, bare = fewer, trial
    return changed(problem, leave_out=out), LeftOut(out, kept, bare)


def _first_without(problem: Problem, names: tuple[str, ...], limits: Limits | None) -> Plan | None:
    return first_plan(changed(problem, leave_out=names), limits, shown=False)


def is_better(problem: Problem, one: Plan, other: Plan | None) -> bool:
    """Whether a first plan beats another in the order of the goal, by more than the resolution in time."""
    if other is None:
        return True
    ones, others = one.draft, other.draft
    close = Fraction(problem.brief.resolution_percent)
    faster = ones.time_ppm * 100 < others.time_ppm * (100 - close)
    slower = others.time_ppm * 100 < ones.time_ppm * (100 - close)
    if problem.brief.goal == "speed":
        return faster or (not slower and ones.cost < others.cost)
    return ones.cost < others.cost or (ones.cost == others.cost and faster)
