"""Many graphics cards on sale, beside processors of which some make no picture: nothing is lost by choosing the
card of a way as the cooler is chosen (search/card_choice.py), nor by a search for each card where the use pays
for one (search/by_card.py). Against the model without pruning, and against every combination
(tests/brute.py)."""

from __future__ import annotations

from dataclasses import replace

from adversarial import searching
from brute import drafts, frontier
from conftest import FULL
from hypothesis import given, settings
from hypothesis import strategies as st
from properties.test_lossless import check_conflict, check_left, check_plans
from strategies import GRAPHICS_GROUPS, Instance, facts, instances
from support import GRAPHICS

from partsolver.catalog.records import Offer
from partsolver.solve.recommend import recommend
from partsolver.solve.tradeoff import tradeoff

DRAWN = settings(max_examples=1000 if FULL else 3)
USES = ("office", "programming", "games", "games")


@st.composite
def with_many_cards(draw: st.DrawFn, most: int, cards: int) -> Instance:
    """A small instance with so many cards on sale; prices lie so close together that needs and deliveries
    decide between them."""
    made = draw(instances(most=most, bundles=True))
    shops = made.tables["sellers"]
    rows, listed = [], []
    for number in range(draw(st.integers(2, cards))):
        changed = draw(facts(GRAPHICS_GROUPS, 3))
        rows.append(replace(GRAPHICS, id=f"graphics-{number}", name=f"card {number}", **changed))
        for shop in draw(st.lists(st.sampled_from(shops), min_size=1, max_size=2, unique=True)):
            price = draw(st.sampled_from([0, 100, 500, 900, 1000, 1490, 1500, 3000]))
            listed.append(Offer(rows[-1].id, shop.id, price, draw(st.sampled_from([None, None, 1]))))
    dark = draw(st.booleans())
    cpus = tuple(replace(c, graphics_score=0) if dark else c for c in made.tables["cpus"])
    kept = tuple(o for o in made.tables["offers"] if not o.part.startswith("graphics-"))
    return made.with_tables(graphics=rows, cpus=cpus, offers=(*kept, *listed))


@DRAWN
@given(with_many_cards(most=3, cards=6), st.sampled_from(["speed", "cost"]), st.sampled_from(USES))
def test_plans_and_what_is_left_of_them(instance: Instance, goal: str, use: str) -> None:
    check_plans(instance.problem(goal=goal, use=use))


@DRAWN
@given(with_many_cards(most=2, cards=5), st.sampled_from(["speed", "cost"]), st.sampled_from(USES))
def test_what_is_left_is_the_best_left(instance: Instance, goal: str, use: str) -> None:
    check_left(instance.problem(goal=goal, use=use))


@DRAWN
@given(with_many_cards(most=2, cards=4), st.sampled_from(["15.00", "40.00", "70.00"]), st.sampled_from(USES))
def test_conflicts(instance: Instance, budget: str, use: str) -> None:
    check_conflict(instance.problem(budget=budget, use=use, min_speedup="1.5"))


@DRAWN
@given(with_many_cards(most=2, cards=5), st.sampled_from(USES))
def test_every_point_of_the_trade_off(instance: Instance, use: str) -> None:
    problem = instance.problem(use=use, resolution_percent="0")
    with searching():
        found = tradeoff(problem)
    shown = [(p.plan.draft.cost, p.plan.draft.time_ppm) for p in found.points]
    assert found.proven and shown == frontier(list(drafts(problem)))


@DRAWN
@given(with_many_cards(most=2, cards=5), st.sampled_from(USES))
def test_the_search_alone_ends_with_the_plans_of_the_model(instance: Instance, use: str) -> None:
    """The search proposes what the model selects, and both proofs stand."""
    with searching():
        outcome = recommend(instance.problem(use=use))
    if outcome.status == "optimal":
        assert outcome.provenance.proof.by == ("search", "model")
