"""What every answer of a fleet keeps, whatever is drawn: no part twice, stock, money; and no order of
choosing for one PC after the other does better."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import permutations

import pytest
from fleets import answer, fleet_of
from hypothesis import given, settings
from hypothesis import strategies as st

from partsolver.catalog.records import Offer
from partsolver.fleet.outcome import FleetOutcome
from partsolver.fleet.records import FLEET_GOALS, TAKEN_OUT, Fleet, FleetGoal


def taken(outcome: FleetOutcome) -> tuple[Counter[Offer], Counter[tuple[str, str]]]:
    """Pieces of every offer, and pieces taken out of every PC."""
    bought, out = Counter[Offer](), Counter[tuple[str, str]]()
    for one in outcome.pcs:
        for piece in one.result.pieces:
            if piece.donor is not None:
                out[piece.donor, piece.item] += piece.pieces
            elif piece.offer is not None:
                bought[piece.offer] += piece.pieces
    return bought, out


@settings(max_examples=8, deadline=None)
@given(
    seed=st.integers(0, 50),
    goal=st.sampled_from(FLEET_GOALS),
    budget=st.integers(0, 12000),
    sizes=st.tuples(st.integers(1, 3), st.integers(1, 2)),
    scrap=st.booleans(),
)
def test_no_part_twice_and_no_more_than_there_is(
    seed: int, goal: FleetGoal, budget: int, sizes: tuple[int, int], scrap: bool
) -> None:
    fleet = fleet_of(seed, goal, budget, sizes, scrap)
    outcome = answer(fleet)
    assert sorted(one.result.pc for one in outcome.pcs) == sorted(pc for c in fleet.classes for pc in c.pcs)
    assert outcome.cost <= budget
    bought, out = taken(outcome)
    assert all(offer.stock is None or count <= offer.stock for offer, count in bought.items())
    own = {(pc, t.item): t.pieces for c in fleet.classes for pc in c.pcs for t in fleet.take_outs[c.key]}
    gives = {one.result.pc: dict(one.result.column.released) for one in outcome.pcs}
    for (pc, item), count in out.items():
        assert count <= gives[pc].get(item, 0) <= own[pc, item]
    stages = outcome.stages
    assert all(s.value <= s.bound if s.name != "cost" else s.value >= s.bound for s in stages)


def one_by_one(fleet: Fleet, order: tuple[str, ...]) -> int:
    """What the goal reaches when the best is chosen for one PC after the other from what is left."""
    total, money, tables = 0, fleet.wishes.budget or 0, dict(fleet.catalog.tables)
    for name in order:
        one = next(c for c in fleet.classes if name in c.pcs)
        alone = replace(
            fleet,
            classes=(replace(one, pcs=(name,)),),
            catalog=replace(fleet.catalog, tables=tables),
            wishes=replace(fleet.wishes, budget=money),
        )
        outcome = answer(alone)
        bought, _ = taken(outcome)
        total, money = total + outcome.stages[0].value, money - outcome.cost
        tables = {
            **tables,
            "offers": tuple(
                o if o.stock is None or o.seller == TAKEN_OUT else replace(o, stock=o.stock - bought[o])
                for o in tables["offers"]
            ),
        }
    return total


@pytest.mark.parametrize("goal", ["most-pcs", "most-speed"])
@pytest.mark.parametrize("seed", [1, 4])
def test_never_worse_than_one_by_one_in_any_order(goal: FleetGoal, seed: int) -> None:
    fleet = fleet_of(seed, goal, 7000, (2, 1))
    together = answer(fleet).stages[0].value
    names = [pc for c in fleet.classes for pc in c.pcs]
    assert all(one_by_one(fleet, order) <= together for order in permutations(names))
