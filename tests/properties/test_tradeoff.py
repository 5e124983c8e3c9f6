"""The trade-off equals the frontier that brute force finds: every plan that no other beats on both cost and
time."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from brute import drafts, frontier, with_brief
from conftest import FULL
from hypothesis import given, settings
from strategies import Instance, instances
from support import BOARD, CPU, KIT, make_problem

from partsolver.catalog.records import Bundle, Offer
from partsolver.solve.tradeoff import Tradeoff, tradeoff
from partsolver.wishes.brief import Brief

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
        assert not any(
            d.cost <= ours[0] and d.time_ppm <= ours[1] and (d.cost, d.time_ppm) != ours for d in everything
        )
    if any(draft.parts.unchanged for draft in everything):
        assert found.points[0].plan.parts.unchanged and found.points[0].plan.draft.cost == 0, (
            "buy nothing comes first"
        )


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
            left = [
                (cost, time)
                for cost, time in left
                if time < expected[-1][1] and time * ratio <= expected[-1][1]
            ]
        assert pairs(tradeoff(problem)) == expected


@FEW
@given(instances(most=2, wishes=False, resolution_percent="0", budget="400.00"))
def test_from_an_amount_on(instance: Instance) -> None:
    """With a least cost: every point of the frontier that costs as much, and nothing that a plan in that
    range beats."""
    problem = instance.problem()
    everything = list(drafts(problem))
    for least in (1, 2500, 6000):
        found = pairs(tradeoff(problem, least_cost=least))
        assert set(found) <= set(frontier([d for d in everything if d.cost >= least]))
        assert set(found) >= {pair for pair in frontier(everything) if pair[0] >= least}


def test_a_set_whose_processor_drops_out_on_the_way() -> None:
    """A cheap set of board and slow processor: once only faster plans are asked for, the board costs its own
    price."""
    slow = replace(CPU, id="cpu-b", serial_score=900, parallel_score=3000)
    offers = [
        Offer(part, "shop", price)
        for part, price in ((BOARD.id, 4000), (CPU.id, 4000), ("cpu-b", 3900), (KIT.id, 1000))
    ]
    bundle = Bundle("set-a", "set", "parts", ((BOARD.id, 1), ("cpu-b", 1)), "shop", 1200)
    brief = Brief(budget="300.00", use="server", resolution_percent="0")
    problem = make_problem(cpus=[CPU, slow], offers=offers, bundles=[bundle], brief=brief)
    costs = [cost for cost, _ in pairs(tradeoff(problem))]
    # The dear end: board 40.00, fast processor 40.00, one kit 10.00; the set with one kit 22.00; nothing at
    # all.
    assert costs[0] == 0 and 2200 in costs and costs[-1] == 9000
    assert pairs(tradeoff(problem)) == frontier(list(drafts(problem)))


def test_from_an_amount_between_two_prices_of_one_plan() -> None:
    """The processor costs 10.00 at one shop and 12.00 at another: no plan costs 31.00 because of the dearer
    offer."""
    problem = make_problem(
        more_offers=[Offer(CPU.id, "shop", 1200)], brief=Brief(budget="100.00", resolution_percent="0")
    )
    assert all(cost != 3003 for cost, _ in pairs(tradeoff(problem, least_cost=3100)))
