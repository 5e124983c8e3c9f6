"""The trade-off equals the frontier that brute force finds: every plan that no other beats on both cost and time."""

from __future__ import annotations

from fractions import Fraction

from brute import drafts, frontier, with_brief
from conftest import FULL
from hypothesis import given, settings
from strategies import Instance, instances

from partsolver.model.tradeoff import Tradeoff, tradeoff

SOME = settings(max_examples=250 if FULL else 16)
FEW = settings(max_examples=100 if FULL else 8)


def pairs(found: Tradeoff) -> list[tuple[int, int]]:
    return [(point.plan.draft.cost, point.plan.draft.time_ppm) for point in found.points]


@SOME
@given(instances(most=2, resolution_percent="0"))
def test_equals_the_brute_force_frontier(instance: Instance) -> None:
    problem = instance.problem()
    everything = list(drafts(problem))
    found = tradeoff(problem)
    assert found.proven
    assert pairs(found) == frontier(everything)
    for point in found.points:
        assert point.plan.admitted
        ours = (point.plan.draft.cost, point.plan.draft.time_ppm)
        assert not any(d.cost <= ours[0] and d.time_ppm <= ours[1] and (d.cost, d.time_ppm) != ours for d in everything)
    if any(draft.parts.unchanged for draft in everything):
        assert found.points[0].plan.parts.unchanged and found.points[0].plan.draft.cost == 0, "buy nothing comes first"


@FEW
@given(instances(most=3, wishes=False))
def test_with_a_resolution_steps_are_no_smaller(instance: Instance) -> None:
    """At resolution r each point is the cheapest plan that is at least r % faster than the point before."""
    for resolution in ("1", "2.5", "20"):
        problem = with_brief(instance.problem(), resolution_percent=resolution)
        left = frontier(list(drafts(problem)))
        expected: list[tuple[int, int]] = []
        while left:
            expected.append(left[0])
            ratio = 1 + Fraction(resolution) / 100
            left = [(cost, time) for cost, time in left if time < expected[-1][1] and time * ratio <= expected[-1][1]]
        assert pairs(tradeoff(problem)) == expected


@FEW
@given(instances(most=2, wishes=False, resolution_percent="0", budget="400.00"))
def test_from_an_amount_on(instance: Instance) -> None:
    """With a least cost: every point of the frontier that costs as much, and nothing that a plan in that range beats."""
    problem = instance.problem()
    everything = list(drafts(problem))
    for least in (1, 2500, 6000):
        found = pairs(tradeoff(problem, least_cost=least))
        assert set(found) <= set(frontier([d for d in everything if d.cost >= least]))
        assert set(found) >= {pair for pair in frontier(everything) if pair[0] >= least}
