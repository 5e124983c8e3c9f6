"""Pruning and search lose nothing: plans with what is left of them, conflicts and trade-offs are those of
every combination.

``PARTSOLVER_FULL=1`` runs 5,000 drawn problems for each; the adversarial ones are drawn around ties, equal
twins, parts that one beats in everything, and one cheap part of which there is a single piece. References:
the model without pruning, and brute force over all combinations (tests/brute.py).
"""

from __future__ import annotations

from typing import Any

from adversarial import adversarial, searching
from brute import ID_ORDER, drafts, first, frontier, possible
from conftest import FULL
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import Instance, hard_problems, instances

from partsolver.plan.draft import Draft
from partsolver.plan.outcome import Outcome
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules, rule
from partsolver.solve import conflict
from partsolver.solve.conflict import _PREFERENCE, preference, smallest_conflict
from partsolver.solve.recommend import recommend
from partsolver.solve.tradeoff import tradeoff

DRAWN = settings(max_examples=5000 if FULL else 6)
SOME = settings(max_examples=500 if FULL else 6)
ADVERSARIAL = settings(max_examples=1000 if FULL else 3)


# -- plans and what is left of them --------------------------------------------------------------------------------------


def seen(outcome: Outcome) -> Any:
    """All that is said of the plans."""
    return (
        outcome.status,
        outcome.provenance.least_time_ppm,
        [
            (
                p.parts.keys,
                p.draft.cost,
                p.draft.time_ppm,
                p.step,
                p.stand_ins,
                p.exposure,
                tuple((ln.item, ln.quantity, ln.amount) for ln in p.draft.lines),
            )
            for p in outcome.plans
        ],
    )


def check_plans(problem: Problem) -> None:
    with searching():
        pruned = recommend(problem, expose=True)
    assert seen(pruned) == seen(recommend(problem, prune=False, expose=True))


@DRAWN
@given(instances(bundles=True), st.sampled_from(["speed", "cost"]))
def test_plans_and_what_is_left_of_them(instance: Instance, goal: str) -> None:
    check_plans(instance.problem(goal=goal))


@ADVERSARIAL
@given(adversarial(most=4))
def test_plans_of_adversarial_problems(instance: Instance) -> None:
    check_plans(instance.problem())


def check_left(problem: Problem) -> None:
    """What is left without a part, against the first of all plans without it."""
    with searching():
        outcome = recommend(problem, expose=True)
    if not outcome.plans:
        return
    everything = list(drafts(problem))
    for plan in outcome.plans:
        for left in plan.exposure:
            if left.stand_in is not None:
                continue
            others = (
                [d for d in everything if all(c.id != left.part for c in d.parts.picked)]
                if left.part not in problem.brief.including
                else []
            )
            best = first(problem, others)
            assert (left.time_ppm, left.cost) == (
                (None, None) if best is None else (best.time_ppm, best.cost)
            ), left


@SOME
@given(instances(most=3, bundles=True), st.sampled_from(["speed", "cost"]))
def test_what_is_left_is_the_best_left(instance: Instance, goal: str) -> None:
    check_left(instance.problem(goal=goal))


@SOME
@given(adversarial(most=3))
def test_what_is_left_of_adversarial_plans(instance: Instance) -> None:
    check_left(instance.problem())


# -- conflicts -------------------------------------------------------------------------------------------------------------


def preferred_conflict(problem: Problem) -> tuple[str, ...]:
    """The conflict by its definition, every test by trying all combinations: of the first natures that leave no
    plan the rules are given up one by one, the least preferred first, as long as the rest leaves none either.
    That is the preferred explanation of Junker (AAAI 2004, definition 3), found without his algorithm."""
    test = conflict.Tester(problem)

    def left(rules: list[str]) -> bool:
        return possible(*test._under(rules))

    order = preference(all_rules())
    if left(order) or not left([]):
        return ()
    natures = [_PREFERENCE[rule(one).NATURE] for one in order]
    found = next(
        some
        for most in sorted(set(natures))
        if not left(some := [one for one, nature in zip(order, natures, strict=True) if nature <= most])
    )
    for one in reversed(found):
        fewer = [other for other in found if other != one]
        if not left(fewer):
            found = fewer
    return tuple(found)


def check_conflict(problem: Problem) -> None:
    with searching():
        found = smallest_conflict(conflict.Tester(problem), preference(all_rules()))
    assert found == preferred_conflict(problem)


@DRAWN
@given(hard_problems())
def test_conflicts(problem: Problem) -> None:
    check_conflict(problem)


@ADVERSARIAL
@given(adversarial(most=2), st.sampled_from(["10.00", "45.00", "75.00"]))
def test_conflicts_of_adversarial_problems(instance: Instance, budget: str) -> None:
    check_conflict(instance.problem(budget=budget, min_speedup="1.5"))


# -- trade-offs ------------------------------------------------------------------------------------------------------------


def check_tradeoff(problem: Problem) -> None:
    """Cost and time of every point, and of equals the plan whose part keys come first."""
    with searching():
        found = tradeoff(problem)
    assert found.proven
    everything = list(drafts(problem))
    shown = [(p.plan.draft.cost, p.plan.draft.time_ppm) for p in found.points]
    assert shown == frontier(everything)
    for point, pair in zip(found.points, shown, strict=True):
        equals = [d for d in everything if (d.cost, d.time_ppm) == pair]
        wanted = min(equals, key=lambda d: (_watts(problem, d), *_places(problem, d)))
        assert _places(problem, point.plan.draft) == _places(problem, wanted)


def _watts(problem: Problem, draft: Draft) -> int:
    from partsolver.assembly.loads import total_load

    return -(-total_load(problem, draft.parts).mw // 1000)


def _places(problem: Problem, draft: Draft) -> tuple[int, ...]:
    return tuple(problem.slot(slot).index(draft.parts.candidate(slot)) for slot in ID_ORDER)


@DRAWN
@given(instances(most=2, resolution_percent="0"))
def test_tradeoffs(instance: Instance) -> None:
    check_tradeoff(instance.problem())


@ADVERSARIAL
@given(adversarial(most=3))
def test_tradeoffs_of_adversarial_problems(instance: Instance) -> None:
    check_tradeoff(instance.problem(resolution_percent="0", min_speedup=None))
