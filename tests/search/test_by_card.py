"""One search for each graphics card: their order, what one hands to the next, and whether all came to their end, on
stand-ins; and what a search beside one card is."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from search.tiny import keys, problem_of, screened_of
from support import GRAPHICS

from partsolver.plan.draft import Draft
from partsolver.problem.candidates import Parts
from partsolver.search.by_card import SearchByCard
from partsolver.search.shortlist import Found
from partsolver.wishes.brief import Brief


def draft(time_ppm: int, cost: int) -> Draft:
    return Draft(Parts(()), (), (), cost, time_ppm)


class One:
    """The search beside one card, which notes what it is asked."""

    def __init__(self, key: str, fastest: int = 0, cost: int = 0, cheapest: int = 0, **told: Any) -> None:
        self.key, self.cost = key, cost
        self.columns = SimpleNamespace(
            cpu_bound=np.array([fastest + 9, fastest]), cheapest=lambda most_time: cheapest + most_time
        )
        self.pool = SimpleNamespace(left={"graphics": [SimpleNamespace(key=key)]})
        self.told, self.asked = told, list[Any]()

    def __getattr__(self, name: str) -> Any:
        def answer(*asked: Any) -> Any:
            self.asked.append((name, *asked))
            return self.told.get(name)

        return answer


def by_card(*ones: Any) -> tuple[SearchByCard, list[str]]:
    """A search over the cards, and in which order they had their turn."""
    search, turns = object.__new__(SearchByCard), list[str]()
    by_key = {one.key: one for one in ones}
    cards = {key: SimpleNamespace(key=key) for key in by_key}
    for key, one in by_key.items():
        one.pool.left["graphics"] = [cards[key]]
    own: Any = search
    own.pool = SimpleNamespace(left={"graphics": list(cards.values())}, cost={})
    own.pool.cost = CostOf({key: one.cost for key, one in by_key.items()})
    own._beside = lambda card: by_key[card.key]
    own.most_time = 900

    def in_turn(searches: Any) -> Any:
        for one in searches:
            turns.append(one.key)
            yield one

    own.in_turn = in_turn
    return search, turns


class CostOf(dict[str, int]):
    """Costs by key of a candidate that cannot be hashed by itself."""

    def __getitem__(self, card: Any) -> int:
        return super().__getitem__(card.key)


def test_the_card_that_may_be_fastest_comes_first() -> None:
    """By the least time of any row, then by key; made once."""
    search, _ = by_card(One("c", 300), One("b", 200), One("a", 300), One("d", 100))
    assert [one.key for one in search.parted] == ["d", "b", "a", "c"]  # type: ignore[attr-defined]
    assert search.parted is search.parted


@pytest.mark.parametrize(
    "plans, turns, found",
    [
        # Cheap cards first, at equal cost by key; the first plan is taken.
        ({"a": None, "b": None, "c": None}, ["c", "a", "b"], None),
        ({"a": 1, "b": 2, "c": None}, ["c", "a"], 1),
        ({"a": None, "b": None, "c": 3}, ["c"], 3),
    ],
)
def test_some_plan_beside_any_card(plans: dict[str, int | None], turns: list[str], found: int | None) -> None:
    costs = {"a": 70, "b": 70, "c": 5}
    ones = [
        One(key, cost=costs[key], anything=None if plans[key] is None else draft(1, plans[key] or 0))
        for key in "bac"
    ]
    search, seen = by_card(*ones)
    own = search.anything()
    assert (None if own is None else own.cost) == found and seen == turns


@pytest.mark.parametrize(
    "ends, whole",
    [((True, True), True), ((True, False), False), ((False, True), False), ((False, False), False)],
)
def test_each_search_begins_with_the_fastest_so_far(ends: tuple[bool, bool], whole: bool) -> None:
    """The known plan goes to the first, what that found to the second."""
    known, faster, fastest = draft(500, 1), draft(400, 1), draft(300, 1)
    first = One("a", 1, _faster=Found((faster,), ends[0]))
    second = One("b", 2, _faster=Found((fastest,), ends[1]))
    search, turns = by_card(second, first)
    assert search._faster_than(known) == Found((fastest,), whole) and turns == ["a", "b"]
    assert first.asked == [("_faster", known)] and second.asked == [("_faster", faster)]
    none = One("a", _faster=Found((), True))
    assert by_card(none)[0]._faster(None) == Found((), True) and none.asked == [("_faster", None)]


@pytest.mark.parametrize(
    "ends, whole", [((True, True), True), ((True, False), False), ((False, True), False)]
)
def test_every_card_adds_its_plans(ends: tuple[bool, bool], whole: bool) -> None:
    """Also after one that gave up. The best: by time; the cheap ones: by the least cost of any row, then by key."""
    first = One("b", 1, cheapest=60, _add_best=ends[0], _add_cheap=ends[0])
    second = One("a", 2, cheapest=60, _add_best=ends[1], _add_cheap=ends[1])
    third = One("c", 3, cheapest=50, _add_best=True, _add_cheap=True)
    search, turns = by_card(first, second, third)
    assert search._add_best("found", 100, Fraction(1)) is whole and turns == ["b", "a", "c"]  # type: ignore[arg-type]
    assert first.asked == [("_add_best", "found", 100, Fraction(1))]
    turns.clear()
    assert search._add_cheap("found") is whole and turns == ["c", "a", "b"]  # type: ignore[arg-type]
    assert second.asked[-1] == ("_add_cheap", "found")


def with_cards() -> Any:
    cards = [replace(GRAPHICS, id=f"card-{n}", name=f"K {n}", graphics_score=900 + n) for n in range(2)]
    brief = Brief(budget="900.00", use="games", replace=("graphics",))
    prices = {"board-a": 4000, "cpu-a": 3000, "kit-a": 1000, "card-0": 700, "card-1": 600}
    return screened_of(problem_of(prices, graphics=cards, brief=brief)).search()


def test_a_search_beside_one_card_is_the_same_pool_with_that_card() -> None:
    search = with_cards()
    assert isinstance(search, SearchByCard)
    listed = [keys(one.pool.left["graphics"]) for one in search.parted]
    assert sorted(listed) == [["card-0"], ["card-1"], ["kept-graphics"]]
    for one in search.parted:
        assert (one.most_time, one.most_cost) == (search.most_time, search.most_cost)
        assert one.pool.left["board"] == search.pool.left["board"] and one.quick is search.quick
    assert sorted(keys(search.pool.left["graphics"])) == ["card-0", "card-1", "kept-graphics"]


def test_a_search_without_a_part_keeps_what_each_card_has_found() -> None:
    search = with_cards()
    search.cheap(9)
    fewer = search.search_without("board-a", search.pool.problem)
    assert [one.gone for one in fewer.parted] == ["board-a"] * 3 and fewer.gone == "board-a"
    for one, own in zip(search.parted, fewer.parted, strict=True):
        assert one is not own and one.gone is None
        assert [d for d in one.bought() if all(c.id != "board-a" for c in d.parts.picked)] == list(
            own.bought()
        )
    assert any(list(own.bought()) for own in fewer.parted)
