"""Which optional cards and drives of the PC stay out: what the owner can do without is left out where that
gives a better plan, and only then.

Leaving something out frees power, plugs, ports and slots and may hand the picture to faster graphics; it
never makes a plan impossible unless what is left out makes the picture. So the problem is solved with all of
them kept and with none; where none is better, they are taken back one after the other as long as the first
plan stays as good.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import partial

from partsolver.base.errors import NotDecided
from partsolver.model.solve import Limits
from partsolver.plan.chosen import chosen_draft
from partsolver.plan.complete import judge
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding
from partsolver.plan.outcome import LeftOut, Outcome, Plan
from partsolver.problem.join import changed, optional_names
from partsolver.problem.problem import Problem
from partsolver.rules import picture_source
from partsolver.rules.base import Rule
from partsolver.solve import answer as answers
from partsolver.solve.kept import each_kept
from partsolver.solve.ranking import Progress, no_progress
from partsolver.solve.recommend import first_plan

SMALL_CARD_MW = 10_000  # a slot of one lane gives 10 W at the start (standards/plugs.SLOT_POWER)


def weighty_names(problem: Problem) -> tuple[str, ...]:
    """The optional things that may keep a better plan away where there is one at all: drives and graphics
    cards, and cards of more than ten watts. (The few watts and the slot of another one are looked at where
    no plan exists.)"""
    survey, names = problem.survey, optional_names(problem.survey)
    small = {
        card.name
        for card in survey.cards
        if card.kind != "graphics" and not card.power_plugs and (card.load_mw or 0) <= SMALL_CARD_MW
    }
    return tuple(name for name in names if name not in small)


def answer_with_left_out(
    problem: Problem, limits: Limits | None = None, progress: Progress = no_progress
) -> tuple[Problem, Outcome]:
    """The answer with what is optional left out where that is better, and the problem that it answers."""
    chosen, left = choose_left_out(problem, limits, weighty_names(problem))
    return answer_chosen(problem, chosen, left, limits, progress)


def answer_chosen(
    problem: Problem, chosen: Problem, left: LeftOut, limits: Limits | None, progress: Progress
) -> tuple[Problem, Outcome]:
    """The answer to the problem in which what is weighty was chosen; where there is none, with anything
    optional left out."""
    outcome = answers.answer(chosen, limits, progress)
    wider, left = _widened(problem, chosen, left, limits, lambda: outcome.status == "impossible")
    if wider is not chosen:
        outcome = answers.answer(wider, limits, progress)
    return wider, replace(outcome, left_out=left)


def _widened(
    problem: Problem, chosen: Problem, left: LeftOut, limits: Limits | None, no_plan: Callable[[], bool]
) -> tuple[Problem, LeftOut]:
    """The choice after the one of what is weighty: where nothing of that stays out and there is no plan, one of
    anything that is optional."""
    small = len(weighty_names(problem)) < len(optional_names(problem.survey))
    return choose_left_out(problem, limits) if small and not left.names and no_plan() else (chosen, left)


def choose_left_out(
    problem: Problem, limits: Limits | None = None, names: tuple[str, ...] | None = None
) -> tuple[Problem, LeftOut]:
    """The problem with those optional cards and drives left out that only stand in the way, and what that
    buys.

    The problem itself where the brief names what is left out, where nothing is optional, or where the limits
    did not let it be decided. ``names``: what may be left out (empty: nothing); all that is optional where
    not given.
    """
    names = optional_names(problem.survey) if names is None else names
    if problem.brief.leave_out or not names or not all(problem.slot(s) for s in ("board", "cpu", "memory")):
        return problem, LeftOut()
    try:
        return _chosen(problem, names, limits)
    except NotDecided:
        return problem, LeftOut()


def choose_as_answered(problem: Problem, limits: Limits | None = None) -> Problem:
    """The problem that `answer_with_left_out` answers: with what it leaves out left out."""
    chosen, left = choose_left_out(problem, limits, weighty_names(problem))
    wider, _ = _widened(
        problem, chosen, left, limits, lambda: first_plan(problem, limits, shown=False) is None
    )
    return wider


def chosen_with_left_out(
    problem: Problem, ids: Sequence[str], rules: Sequence[Rule]
) -> tuple[Problem, Draft, tuple[str, ...]]:
    """The parts that a person named (plan/chosen.py), and which optional cards and drives have to stay out
    for them to fit: none where they fit with all of them, or do not fit even so. Raises InputRefused for
    ids that name nothing usable."""

    def judged(trial: Problem) -> tuple[Draft, bool]:
        draft = chosen_draft(trial, ids, rules)
        found = judge(trial, draft, rules)
        dark = trial is not problem and _picture_is_open(found)
        return draft, not dark and all(finding.admits for finding in found)

    draft, fits = judged(problem)
    out = () if fits or problem.brief.leave_out else optional_names(problem.survey)
    if not out:
        return problem, draft, ()
    bare = changed(problem, leave_out=out)
    without, fits = judged(bare)
    if not fits:
        return problem, draft, ()
    for name in out:
        fewer = tuple(other for other in out if other != name)
        trial = changed(problem, leave_out=fewer) if fewer else problem
        kept, fits = judged(trial)
        if fits:
            out, bare, without = fewer, trial, kept
    return bare, without, out


def _picture_is_open(findings: Sequence[Finding]) -> bool:
    """Whether it is not known that anything makes the picture: a card that does is not taken out on a
    guess."""
    return any(f.rule == picture_source.ID and f.verdict == "unknown" for f in findings)


def _chosen(problem: Problem, names: tuple[str, ...], limits: Limits | None) -> tuple[Problem, LeftOut]:
    out = names
    kept, bare = each_kept(
        problem,
        [
            partial(first_plan, problem, limits, shown=False),
            partial(_first_without, problem, out, limits),
        ],
    )
    if bare is None or not is_better(problem, bare, kept):
        return problem, LeftOut()
    for name in names:
        fewer = tuple(other for other in out if other != name)
        trial = _first_without(problem, fewer, limits) if fewer else kept
        if trial is not None and not is_better(problem, bare, trial):
            out, bare = fewer, trial
    return changed(problem, leave_out=out), LeftOut(out, kept, bare)


def _first_without(problem: Problem, names: tuple[str, ...], limits: Limits | None) -> Plan | None:
    """The first plan without some things; none where it is not known whether anything makes the picture
    then."""
    plan = first_plan(changed(problem, leave_out=names), limits, shown=False)
    return None if plan is not None and _picture_is_open(plan.findings) else plan


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
