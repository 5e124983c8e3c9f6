"""The laws: what must hold of the answers to a problem and to changed ones, whatever the right answer is.

Each takes the data, the trial and its problem and raises `Broken` with what it saw. They return whether there
was a plan. The problem is joined anew for every question, so that nothing remembered can hide a difference.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

from partsolver.audit.every_plan import count_combinations, drafts, in_order, step_of
from partsolver.audit.trial import OwnData, Trial, catalog_of, problem_of, sold_out, with_brief
from partsolver.base.errors import InternalFault, NotDecided
from partsolver.plan.complete import judge
from partsolver.plan.draft import Draft
from partsolver.plan.identity import identity
from partsolver.plan.outcome import Outcome
from partsolver.problem.join import join
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.solve.recommend import recommend
from partsolver.solve.tradeoff import tradeoff

# Combinations that are tried one by one: a second or two.
MOST_COMBINATIONS = 20_000


class Broken(Exception):
    """A law does not hold; the message says what was seen."""


Law = Callable[[OwnData, Trial, Problem], bool]


def ask(own: OwnData, trial: Trial) -> bool:
    """Ask a trial's law. Returns whether there was a plan. Raises Broken, NotDecided, InputRefused."""
    problem = problem_of(own, trial)
    try:
        return LAWS[trial.law](own, trial, problem)
    except InternalFault as error:
        raise Broken(f"the program contradicts itself: {error}") from error
    except (ArithmeticError, AssertionError, LookupError, TypeError, ValueError) as error:
        raise Broken(f"the program stopped: {type(error).__name__}: {error}") from error


def _decided(problem: Problem, prune: bool = True) -> Outcome:
    if not all(problem.slot(slot) for slot in ("board", "cpu", "memory")):
        from partsolver.model.solve import Limits
        from partsolver.solve.recommend import empty_outcome

        return empty_outcome(problem, Limits())
    outcome = recommend(problem, with_stand_ins=False, prune=prune)
    if outcome.status in ("undecided", "best_found"):
        raise NotDecided("the plans of a trial")
    return outcome


def _shown(draft: Draft) -> str:
    return f"{'+'.join(draft.parts.keys)} for {draft.cost}, time {draft.time_ppm}"


def _require(holds: bool, what: str) -> None:
    if not holds:
        raise Broken(what)


def _bought(draft: Draft) -> set[str]:
    return {c.id for c in draft.parts.picked if c.id is not None} | {line.item for line in draft.lines}


# -- the list itself ---------------------------------------------------------------------------------------------------


def plans_stand(own: OwnData, trial: Trial, problem: Problem) -> bool:
    """Plans pass every plain predicate, their amounts add up, they are in order and different."""
    outcome = _decided(problem)
    again = problem_of(own, trial)
    for plan in outcome.plans:
        draft = plan.draft
        failing = [f.rule for f in judge(again, draft, all_rules()) if not f.admits]
        _require(not failing, f"rank {plan.rank} is refused by {failing}: {_shown(draft)}")
        amounts = sum(line.amount for line in draft.lines) + sum(charge for _, charge in draft.deliveries)
        _require(draft.cost == amounts, f"rank {plan.rank} costs {draft.cost}, its lines sum up to {amounts}")
        for line in draft.lines:
            if line.offer is not None:
                _require(
                    line.amount == line.quantity * line.offer.price,
                    f"{line.item}: {line.quantity} x {line.offer.price} is not {line.amount}",
                )
        _require(
            problem.budget is None or draft.cost <= problem.budget,
            f"{draft.cost} is above the budget of {problem.budget}",
        )
    _ordered(problem, outcome)
    return bool(outcome.plans)


def _ordered(problem: Problem, outcome: Outcome) -> None:
    found, least = [plan.draft for plan in outcome.plans], outcome.provenance.least_time_ppm
    kinds = [identity(draft.parts) for draft in found]
    _require(all(kinds.count(kind) == 1 for kind in kinds), "two of the plans are the same choice")
    if problem.brief.goal == "cost":
        goals = [(draft.cost, draft.time_ppm) for draft in found]
    else:
        _require(
            not found or (least is not None and least <= min(d.time_ppm for d in found)),
            f"a plan is faster than the least time {least}",
        )
        goals = [(step_of(problem, draft, least or 1), draft.cost) for draft in found]
    _require(goals == sorted(goals), f"the plans are not in order: {goals}")


def every_combination(own: OwnData, trial: Trial, problem: Problem) -> bool:
    """The ranked plans, and a "no", are those that trying every combination gives."""
    outcome = _decided(problem)
    again = problem_of(own, trial)
    if count_combinations(again) > MOST_COMBINATIONS:
        raise NotDecided("too many combinations to try each")
    expected = in_order(again, list(drafts(again)))[: problem.brief.alternatives]
    _same("trying every combination", expected, [plan.draft for plan in outcome.plans])
    return bool(expected)


def _same(by: str, expected: Sequence[Draft], found: Sequence[Draft]) -> None:
    for rank in range(max(len(expected), len(found))):
        theirs = _shown(expected[rank]) if rank < len(expected) else "no plan"
        ours = _shown(found[rank]) if rank < len(found) else "no plan"
        _require(theirs == ours, f"rank {rank + 1}: {ours}; by {by}: {theirs}")


def without_pruning(own: OwnData, trial: Trial, problem: Problem) -> bool:
    """The model of all parts, with nothing left out by the search, gives the same plans."""
    if count_combinations(problem) > MOST_COMBINATIONS:
        raise NotDecided("too many combinations for one model")
    whole = _decided(problem_of(own, trial), prune=False)
    found = _decided(problem)
    _same("the model alone", [p.draft for p in whole.plans], [p.draft for p in found.plans])
    return bool(found.plans)


# -- related problems --------------------------------------------------------------------------------------------------


def _no_worse(what: str, more: Problem, wider: Outcome, narrower: Outcome) -> None:
    """The wider problem allows all that the narrower does: its first plan is not worse than any of the
    other."""
    if not narrower.plans:
        return
    _require(bool(wider.plans), f"{what}: no plan, but there was one before")
    first, least = wider.plans[0].draft, wider.provenance.least_time_ppm or 1
    for plan in narrower.plans:
        draft = plan.draft
        if more.brief.goal == "cost":
            worse = (first.cost, first.time_ppm) > (draft.cost, draft.time_ppm)
        else:
            step = (step_of(more, draft, least), draft.cost)
            worse = draft.time_ppm < least or (step_of(more, first, least), first.cost) > step
        _require(not worse, f"{what}: {_shown(first)} is worse than {_shown(draft)}")


def more_budget(own: OwnData, trial: Trial, problem: Problem) -> bool:
    """More budget is never worse."""
    poor = _decided(problem)
    rich = with_brief(problem, budget=None)
    _no_worse("without a budget", rich, _decided(rich), poor)
    return bool(poor.plans)


def _may_not_be_missed(own: OwnData, part: str) -> bool:
    """Whether a plan with less to buy is dearer: not of an extra, since what never refuses a plan (a
    licence whose need is not sure, a rear shield) is bought where it can be had, and goes unbought and is
    said where it cannot."""
    return own.catalog.table_of.get(part) != "extras"


def part_removed(own: OwnData, trial: Trial, problem: Problem) -> bool:
    """Removing a part is never better; one that no plan uses changes nothing of what is left."""
    whole = _decided(problem)
    part = trial.part
    if part is None or part in (*problem.brief.without, *problem.brief.including):
        return bool(whole.plans)
    held = own.catalog.table_of.keys() if trial.parts is None else trial.parts
    less = join(problem.survey, catalog_of(own.catalog, frozenset(held) - {part}), problem.brief)
    left = _decided(less)
    if _may_not_be_missed(own, part):
        _no_worse(f"with {part}", problem, whole, left)
    _require(all(part not in _bought(plan.draft) for plan in left.plans), f"{part} was removed and is bought")
    return bool(whole.plans)


def part_sold_out(own: OwnData, trial: Trial, problem: Problem) -> bool:
    """A part of the first plan that sells out is in no plan afterwards, and the answer is no better."""
    whole = _decided(problem)
    wanted = problem.brief.including
    for part in sorted(_bought(whole.plans[0].draft) & own.catalog.table_of.keys() if whole.plans else ()):
        if part in wanted:
            continue
        gone = join(problem.survey, sold_out(problem.source, part), problem.brief)
        left = _decided(gone)
        _require(all(part not in _bought(p.draft) for p in left.plans), f"{part} is sold out and is bought")
        if _may_not_be_missed(own, part):
            _no_worse(f"with {part} in stock", problem, whole, left)
    return bool(whole.plans)


def trade_off(own: OwnData, trial: Trial, problem: Problem) -> bool:
    """The trade-off rises in cost and falls in time, and no recommended plan beats a point of it."""
    problem = with_brief(problem, min_speedup=None)
    if not all(problem.slot(slot) for slot in ("board", "cpu", "memory")):
        return False
    found = tradeoff(problem)
    if not found.proven:
        raise NotDecided("the trade-off of a trial")
    points = [point.plan.draft for point in found.points]
    for one, other in pairwise(points):
        _require(
            one.cost < other.cost and one.time_ppm > other.time_ppm,
            f"points out of order: {_shown(one)}, then {_shown(other)}",
        )
    for goal in ("speed", "cost"):
        asked = with_brief(problem, goal=goal)
        outcome = _decided(asked)
        _require(
            bool(outcome.plans) == bool(points), "plans without a trade-off, or a trade-off without plans"
        )
        for draft in (plan.draft for plan in outcome.plans):
            _unbeaten(points, draft)
        if goal == "cost" and points:
            first = outcome.plans[0].draft
            _require(
                (first.cost, first.time_ppm) == (points[0].cost, points[0].time_ppm),
                f"the cheapest plan is {_shown(first)}, the first point {_shown(points[0])}",
            )
    return bool(points)


def _unbeaten(points: Sequence[Draft], draft: Draft) -> None:
    for point in points:
        pair, other = (draft.cost, draft.time_ppm), (point.cost, point.time_ppm)
        beats = pair[0] <= other[0] and pair[1] <= other[1] and pair != other
        _require(not beats, f"{_shown(draft)} beats the point {_shown(point)}")


LAWS: dict[str, Law] = {
    "plans-stand": plans_stand,
    "every-combination": every_combination,
    "without-pruning": without_pruning,
    "more-budget": more_budget,
    "part-removed": part_removed,
    "part-sold-out": part_sold_out,
    "trade-off": trade_off,
}
# These try every combination: only of few parts.
SMALL_ONLY = ("every-combination", "without-pruning")


def reason_of(own: OwnData, trial: Trial) -> str | None:
    """How a trial breaks its law, or None where it holds, is refused or not decided."""
    from partsolver.base.errors import InputRefused

    try:
        ask(own, trial)
    except Broken as broken:
        return str(broken)
    except (InputRefused, NotDecided):
        return None
    return None


__all__ = ["LAWS", "SMALL_ONLY", "Broken", "ask", "reason_of"]
