"""The ways of a row one by one, by hand: which are looked at, where the look ends, what is remembered, and what is asked
again when the money changes. Rows, bounds and purchases are stand-ins."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from search.tiny import Told, board, keys, need, priced, problem_of, screened_of, search_of
from support import GRAPHICS, PSU, make_problem

from partsolver.base.quantities import FAR
from partsolver.catalog.records import DrivePart, Extra
from partsolver.performance.time import time_ppm
from partsolver.plan.draft import Draft
from partsolver.problem.candidates import Parts
from partsolver.search import ways as module
from partsolver.search.allowances import Way
from partsolver.search.pool import MAIN
from partsolver.search.rows import Row, Rows
from partsolver.search.rule_memory import Quick
from partsolver.search.search import Search
from partsolver.search.ways import Ways
from partsolver.wishes.brief import Brief

ROW = Row((0, 0, 0), 100, 500, 0, 500)


def draft(time_ppm: int, cost: int) -> Draft:
    return Draft(Parts(()), (), (), cost, time_ppm)


class Listed(Ways):
    """Ways whose bounds, costs and times are listed: of each way its bound, and (cost, time) or None; ``plans``: those
    of which a plan is found, with its (cost, time)."""

    def __init__(
        self,
        bounds: Sequence[int],
        found: Sequence[tuple[int, int] | None],
        plans: Mapping[int, tuple[int, int]] = {},
        most_cost: int = 1000,
    ) -> None:
        self.most_time, self.most_cost = 10_000, most_cost
        self.bounds = SimpleNamespace(most_cost=most_cost)  # type: ignore[assignment]
        self._listed, self._found, self._plans = bounds, found, plans
        self._drafts = {}
        self.seen: list[tuple[int, int]] = []
        self.drawn: list[int] = []
        self.bounded = 0

    def _bound(self, row: Row, number: int) -> int:
        self.bounded += 1
        return self._listed[number] if number < len(self._listed) else FAR

    def _way_by(self, row: Row, number: int, most_time: int) -> Way | None:
        self.seen.append((number, most_time))
        told = self._found[number]
        return None if told is None or told[1] > most_time else (*told, (number,), FAR, 0)  # type: ignore[return-value]

    def _drafted(self, key: Any, way: Way, most: int = FAR) -> Draft | None:
        number: Any = way[2][0]
        self.drawn.append(number)
        plan = self._plans.get(number)
        return None if plan is None else draft(plan[1], plan[0])


def goals(one: Draft | None) -> tuple[int, int] | None:
    return None if one is None else (one.cost, one.time_ppm)


# -- the fastest plan of a row -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "bounds, most_cost, looked, whole",
    [
        ([500, 600, 1000, 1001, 2000], 1000, 3, True),  # up to the money and not beyond
        ([500, 1001], 1000, 1, True),
        ([1001], 1000, 0, True),
        ([500, FAR - 1, FAR], 2 * FAR, 2, True),  # FAR: there is none
        ([500] * 4, 1000, 4, True),
        ([500] * 5, 1000, 5, False),  # so many are looked at, and whether there are more is not known
        ([500] * 6, 1000, 5, False),
    ],
)
def test_how_many_ways_are_looked_at_for_the_fastest(
    bounds: list[int], most_cost: int, looked: int, whole: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "MOST_WAYS", 5)
    ways: Any = Listed(bounds, [(600, 200)] * 6, most_cost=most_cost)
    assert ways._fastest_way(ROW, 900) == (None, whole)
    assert ways.seen == [(number, 900) for number in range(looked)] and ways.drawn == list(range(looked))


def test_each_next_way_must_be_faster() -> None:
    """A plan in 300 leaves 299, one in 200 leaves 199; a way that is too slow is not bought."""
    ways: Any = Listed(
        [500] * 5, [(500, 250), (510, 180), None, (530, 150), (540, 160)], {0: (500, 300), 1: (510, 200)}
    )
    found, whole = ways._fastest_way(ROW, 900)
    assert goals(found) == (510, 200) and whole
    assert ways.seen == [(0, 900), (1, 299), (2, 199), (3, 199), (4, 199)] and ways.drawn == [0, 1, 3, 4]
    # The bound of the row is 100: a plan in 101 may be beaten by one in 100, which nothing beats.
    for time, looked in ((102, 3), (101, 3), (100, 1)):
        ways: Any = Listed([500] * 3, [(500, 100)] * 3, {0: (500, time)})
        found, whole = ways._fastest_way(ROW, 900)
        assert goals(found) == (500, time) and whole and len(ways.seen) == looked


def test_some_plan_of_a_row(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first that is found, within the money and so many ways."""
    monkeypatch.setattr(module, "MOST_WAYS", 3)
    for bounds, plans, looked, bounded, cost in (
        ([500] * 4, {1: (700, 300)}, 2, 2, 700),
        ([500] * 4, {2: (700, 300)}, 3, 3, 700),
        ([500] * 4, {3: (700, 300)}, 3, 3, None),
        ([500, 1000], {1: (700, 300)}, 2, 2, 700),
        ([500, 1001], {1: (700, 300)}, 1, 2, None),
        ([1001], {1: (700, 300)}, 0, 1, None),
    ):
        ways: Any = Listed(bounds, [(500, 200)] * 4, plans)
        found = ways._draft(ROW, 900)
        assert (None if found is None else found.cost, ways.bounded) == (cost, bounded)
        assert ways.seen == [(number, 900) for number in range(looked)]
    slow = Listed([500] * 2, [(500, 901), (500, 900)], {0: (1, 1), 1: (2, 2)})
    assert goals(slow._draft(ROW, 900)) == (2, 2) and slow.drawn == [1]


# -- rows that are open ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "bounds, found, most_cost, is_open, looked",
    [
        # The first way within the money says that it is open, be it looked at or not.
        ([500], [(600, 200)], 600, True, 1),
        ([500], [(601, 200)], 600, False, 1),
        ([500, 600], [None, (600, 900)], 600, True, 2),
        ([500, 600], [None, (600, 901)], 600, False, 2),
        ([500, 601], [None, (600, 200)], 600, False, 1),
        ([601], [(1, 1)], 600, False, 0),
        ([0], [(0, 200)], 0, True, 1),
        # After so many ways nothing is known: open.
        ([500] * 2, [None] * 3, 600, False, 2),
        ([500] * 3, [None] * 3, 600, True, 3),
    ],
)
def test_whether_a_row_is_open(
    bounds: list[int],
    found: Any,
    most_cost: int,
    is_open: bool,
    looked: int,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(module, "MOST_WAYS", 3)
    ways: Any = Listed(bounds, found)
    assert ways._is_open(ROW, 900, most_cost) is is_open
    assert ways.seen == [(number, 900) for number in range(looked)]


@pytest.mark.parametrize(
    "bought, is_open",
    [
        (None, True),
        # Sought for less than 6.00, 6.01, 6.02 and not found: up to 6.00 nothing is left in the last two.
        ((None, 600), True),
        ((None, 601), False),
        ((None, 602), False),
        (((600, 200), 900), True),
        (((601, 200), 900), False),
    ],
)
def test_what_was_bought_says_whether_a_row_is_open(bought: Any, is_open: bool) -> None:
    ways: Any = Listed([500], [(550, 200)])
    if bought is not None:
        plan, sought = bought
        ways._drafts[ROW.key, (0,)] = None if plan is None else draft(plan[1], plan[0]), sought  # type: ignore[index]
    assert ways._is_open(ROW, 900, 600) is is_open


def test_open_rows_of_those_that_were_asked() -> None:
    """Rows for 5.00, 6.00 and 6.01 of which the first way of each is within 6.00."""
    rows = [Row((n, 0, 2 * n), 100 + n, cost, 0, cost) for n, cost in enumerate((500, 600, 601))]
    ways: Any = Listed([500], [(600, 200)])
    found = ways.open_among(rows, 900, 600)
    assert found.keys == [(0, 0, 0), (1, 0, 2)] and found.time_ppm.tolist() == [100, 101]
    assert found.cost.tolist() == [500, 600] and len(ways.open_among([], 900, 600)) == 0
    ways._asked_in_order = lambda _: iter(rows)  # type: ignore[method-assign, assignment]
    for most_cost, money in ((600, 600), (1000, 1000), (1001, 1000)):
        ways.open_rows(found, 900, most_cost)
        assert ways.bounds.most_cost == money


# -- one way -----------------------------------------------------------------------------------------------------------


class OneByOne(Ways):
    """A row's ways as listed: each found (cost, time) for the money that is to be spent now, or refused."""

    def __init__(self, ways: Sequence[tuple[int, int] | None]) -> None:
        self.most_time, self.most_cost = 900, 1000
        self.bounds = SimpleNamespace(most_cost=1000)  # type: ignore[assignment]
        self.drafted = self.looked = self.tried = 0
        self._known_ways = {}
        self._ways = ways
        self.asked_for: list[int] = []
        self.rests = SimpleNamespace(  # type: ignore[assignment]
            rest=lambda _, number: (number, (number,)) if number < len(ways) else None
        )

    def _find_way(self, row: Row, rest: Any) -> Way | None:
        (number,) = rest
        self.asked_for.append(number)
        told, most = self._ways[number], self.bounds.most_cost
        return None if told is None else (min(told[0], most + 1), told[1], rest, most, 0)

    def _time(self, row: Row, rest: Any) -> int:
        told = self._ways[rest[0]]
        return 0 if told is None else told[1]


def test_ways_are_found_once_and_counted() -> None:
    """The third way: two before it are found too. One is refused: tried, not looked at; so is one that there is not."""
    ways: Any = OneByOne([(500, 100), None, (700, 300)])
    assert ways._way(ROW, 2) == (700, 300, (2,), 1000, 0)
    assert (ways.asked_for, ways.tried, ways.looked) == ([0, 1, 2], 3, 2)
    assert ways._way(ROW, 1) is None and ways._way(ROW, 0) == (500, 100, (0,), 1000, 0)
    assert (ways.asked_for, ways.tried, ways.looked) == ([0, 1, 2], 3, 2)
    assert ways._way(ROW, 3) is None and (ways.asked_for, ways.tried, ways.looked) == ([0, 1, 2], 4, 2)
    other = ROW._replace(key=(0, 0, 1))
    assert ways._way(other, 0) is not None and (ways.tried, ways.looked) == (5, 3)


@pytest.mark.parametrize(
    "first, then, again",
    [
        # Bounded for 10.00, and no more: what is dearer may be bounded better for more money, and must be for less.
        (1000, 1000, False),
        (1000, 999, True),
        (1000, 1001, False),
        (699, 700, True),  # only known to be above 6.99
        (699, 699, False),
        (699, 698, True),
        (700, 701, False),
    ],
)
def test_a_way_is_bounded_again_for_other_money(first: int, then: int, again: bool) -> None:
    ways: Any = OneByOne([(700, 100)])
    ways.bounds.most_cost = first
    assert ways._way(ROW, 0) == (min(700, first + 1), 100, (0,), first, 0)
    ways.bounds.most_cost = then
    assert ways._way(ROW, 0) == (
        (min(700, then + 1), 100, (0,), then, 0) if again else (min(700, first + 1), 100, (0,), first, 0)
    )
    assert ways.asked_for == [0] * (1 + again) and (ways.tried, ways.looked) == (1, 1)
    assert ways._way(ROW, 0) is not None and ways.asked_for == [0] * (1 + again)


def test_slow_ways_are_told_by_their_time_alone() -> None:
    ways: Any = OneByOne([(500, 100)])
    assert ways._way_by(ROW, 0, 99) is None and ways._way_by(ROW, 1, 99) is None and ways.asked_for == []
    assert ways._way_by(ROW, 0, 100) is not None and ways.asked_for == [0]


class Priced(Ways):
    """Every way takes as long and costs at least as told; ``cards``: a stand-in where graphics cards are alike."""

    def __init__(self, time: int, least: int, cards: Any = None) -> None:
        self.most_time, self.most_cost = 900, 1000
        self._told_time, self.told = time, []  # type: ignore[var-annotated]
        self._way_slots, self._row_slots = frozenset({"psu"}), frozenset({"board"})
        self.cards = cards
        self.bounds = SimpleNamespace(  # type: ignore[assignment]
            most_cost=1000, least_cost=lambda *asked: self.told.append(asked) or least
        )

    def _time(self, row: Row, rest: Any) -> int:
        return self._told_time

    def _parts(self, key: Any, rest: Any) -> Parts:
        return Parts((*key, *rest))


@pytest.mark.parametrize(
    "time, least, money, way",
    [
        (900, 700, 1000, (700, 900, (7,), 1000, 0)),
        (901, 700, 1000, None),
        (900, 1000, 1000, (1000, 900, (7,), 1000, 0)),
        (900, 1001, 1000, None),  # above all the money there is
        (900, 701, 700, (701, 900, (7,), 700, 0)),  # above what is to be spent now: more is not known
        (900, 950, 700, (701, 900, (7,), 700, 0)),
        (900, 1001, 700, (701, 900, (7,), 700, 0)),
        (900, FAR - 1, 700, (701, 900, (7,), 700, 0)),
        (900, FAR, 700, None),
        (900, FAR + 1, 700, None),
    ],
)
def test_a_way_within_time_and_money(time: int, least: int, money: int, way: Any) -> None:
    ways: Any = Priced(time, least)
    ways.bounds.most_cost = money
    assert ways._find_way(ROW._replace(needed=30), (7,)) == way  # type: ignore[arg-type]
    assert ways.told == (
        [] if time > 900 else [(Parts((0, 0, 0, 7)), 30, frozenset({"psu"}), frozenset({"board"}))]  # type: ignore[arg-type]
    )


def test_a_way_where_cards_are_alike() -> None:
    asked: list[Any] = []
    cards = SimpleNamespace(
        base=lambda *told: asked.append(told) or 400, least_cost=lambda *told: asked.append(told) or 700
    )
    ways: Any = Priced(100, FAR, cards)
    assert ways._find_way(ROW._replace(needed=30), (7,)) == (700, 100, (7,), 1000, 400)  # type: ignore[arg-type]
    own = (ways.bounds, Parts((0, 0, 0, 7)), 30, frozenset({"board"}))  # type: ignore[arg-type]
    assert asked == [own, (*own, 400)] and ways.told == []


# -- the plan of a way -------------------------------------------------------------------------------------------------


class Bought(Ways):
    """The plan of every way costs as told; ``sought``: for less than how much it was looked for, each time."""

    def __init__(self, cost: int | None, cards: Any = None) -> None:
        self.most_cost, self.cards, self._drafts = 1000, cards, {}
        self._told, self.sought = cost, []  # type: ignore[var-annotated]

    def _parts(self, key: Any, rest: Any) -> Parts:
        return Parts((*key, *rest))

    def _bought(self, parts: Parts, below: int) -> Draft | None:
        self.sought.append(below)
        return None if self._told is None or self._told >= below else draft(100, self._told)


WAY: Any = (500, 100, (7,), 600, 450)


def test_a_plan_is_looked_for_once_for_as_much() -> None:
    ways: Any = Bought(700)
    assert ways._drafted(ROW.key, WAY, 699) is None and ways.sought == [700]
    assert ways._drafted(ROW.key, WAY, 698) is None and ways._drafted(ROW.key, WAY, 699) is None
    assert ways.sought == [700]  # for no more than was looked for nothing is looked for again
    assert goals(ways._drafted(ROW.key, WAY, 700)) == (700, 100) and ways.sought == [700, 701]
    assert goals(ways._drafted(ROW.key, WAY)) == (700, 100)  # what is found holds for any money
    assert ways._drafted(ROW.key, WAY, 699) is None and ways.sought == [700, 701]
    assert ways._drafts == {(ROW.key, (7,)): (draft(100, 700), 701)}


def test_a_plan_for_nothing_is_looked_for() -> None:
    ways: Any = Bought(0)
    assert goals(ways._drafted(ROW.key, WAY, 0)) == (0, 100) and ways.sought == [1]


def test_no_plan_costs_more_than_all_the_money() -> None:
    for cost, found in ((1000, True), (1001, False)):
        ways: Any = Bought(cost)
        assert (ways._drafted(ROW.key, WAY) is not None) is found and ways.sought == [1001]
    ways: Any = Bought(None)
    assert ways._drafted(ROW.key, WAY, 2000) is None and ways._drafted(ROW.key, WAY) is None
    assert ways.sought == [1001]


def test_where_cards_are_alike_the_cheapest_of_them_is_the_plan() -> None:
    asked: list[Any] = []
    cards = SimpleNamespace(cheapest=lambda *told: asked.append(told) or draft(100, 700))
    ways: Any = Bought(None, cards)
    assert goals(ways._drafted(ROW.key, WAY, 800)) == (700, 100)
    assert asked == [(Parts((0, 0, 0, 7)), 450, 600, 801, ways._bought)]  # type: ignore[arg-type]


def test_what_is_bought_is_counted_and_what_is_refused_remembered(monkeypatch: pytest.MonkeyPatch) -> None:
    """No plan for the money: not counted. One that a rule refuses: counted, and never bought again."""
    ways: Any = object.__new__(Ways)
    ways.drafted, ways._refused, ways.pool = 0, set(), SimpleNamespace(problem="problem")  # type: ignore[assignment]
    verdict, sold = {"admits": True}, {"cost": 700}
    ways.quick = SimpleNamespace(every="rules", allowed="allowed", admits=lambda _: verdict["admits"])  # type: ignore[assignment]
    asked: list[Any] = []

    def complete(*told: Any) -> Draft | None:
        asked.append(told)
        return draft(100, sold["cost"]) if sold["cost"] < told[4] else None

    monkeypatch.setattr(module, "complete", complete)
    parts = Parts((1, 2))  # type: ignore[arg-type]
    assert ways._bought(parts, 700) is None and ways.drafted == 0
    assert goals(ways._bought(parts, 701)) == (700, 100) and ways.drafted == 1
    assert asked == [("problem", parts, "rules", "allowed", most) for most in (700, 701)]
    verdict["admits"] = False
    assert ways._bought(parts, 701) is None and (ways.drafted, ways._refused) == (2, {(1, 2)})
    assert ways._bought(parts, 9999) is None and (ways.drafted, len(asked)) == (2, 3)


def test_plans_bought_so_far_without_what_is_gone() -> None:
    def of(*ids: str) -> Draft:
        return Draft(Parts(tuple(SimpleNamespace(id=one) for one in ids)), (), (), 1, 1)  # type: ignore[arg-type]

    ways: Any = object.__new__(Ways)
    one, other = of("a", "b"), of("a", "c")
    ways._drafts = {1: (one, 5), 2: (None, 5), 3: (other, 5)}
    for gone, left in ((None, [one, other]), ("b", [other]), ("c", [one]), ("a", []), ("d", [one, other])):
        ways.gone = gone
        assert list(ways.bought()) == left


# -- rows --------------------------------------------------------------------------------------------------------------


def rows_of(count: int) -> Rows:
    none = np.zeros(count, dtype=np.int64)
    return Rows(np.arange(count), none, none, none, none)


@pytest.mark.parametrize(
    "count, parts",
    [
        (0, []),
        (16, [16]),
        (17, [16, 1]),
        (48, [16, 32]),
        (49, [16, 32, 1]),
        # Twice as many each time, up to 1024: 16 + 32 + 64 + 128 + 256 + 512 = 1008.
        (5000, [16, 32, 64, 128, 256, 512, 1024, 1024, 1024, 920]),
    ],
)
def test_rows_are_asked_a_few_at_a_time(count: int, parts: list[int]) -> None:
    ways: Any = object.__new__(Ways)
    asked: list[list[int]] = []
    ways.asked = lambda rows: asked.append(rows.board.tolist()) or rows.board.tolist()  # type: ignore[method-assign, func-returns-value]
    assert list(ways._asked_in_order(rows_of(count))) == list(range(count))
    assert [len(some) for some in asked] == parts


def test_no_more_is_asked_than_is_taken() -> None:
    ways: Any = object.__new__(Ways)
    asked: list[int] = []
    ways.asked = lambda rows: asked.append(len(rows)) or rows.board.tolist()  # type: ignore[method-assign, func-returns-value]
    taken = ways._asked_in_order(rows_of(100))
    for number in range(17):
        assert asked == ([16] if number else [])
        assert next(taken) == number  # type: ignore[comparison-overlap]
    assert asked == [16, 32]


@pytest.mark.parametrize("count, at_once", [(63, 0), (64, 1), (65, 1)])
def test_deliveries_of_many_rows_are_bounded_at_once(
    count: int, at_once: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """64 boards or more with the one processor and memory on sale."""
    names = [f"{number:02}" for number in range(count)]
    prices = {f"board-{name}": 4000 + n for n, name in enumerate(names)}
    problem = make_problem(
        coolers=(),
        boards=[board(name, year=2000 + n) for n, name in enumerate(names)],
        extras=[Extra("paste", "Paste", kind="thermal-paste")],
        offers=priced(prices | {"cpu-a": 3000, "kit-a": 1000, "paste": 300}),
    )
    wants = Told("x.cpu", {"cpu": ("id",)}, lambda p: need(("paste", 1)))
    found = screened_of(problem)
    search = Search(found.pool, Quick(problem, [wants, *found.quick.every]), FAR, FAR)
    search._rest_cost = 400
    rows = search.rows_within(FAR, FAR)
    assert rows is not None
    rows = rows.selected(np.nonzero(rows.board < count)[0][:count])
    asked: list[list[int]] = []
    plain = search.bounds.goods_of_rows

    def goods(own: Rows, others: Any) -> Any:
        asked.append(others.tolist())
        return plain(own, others)

    monkeypatch.setattr(search.bounds, "goods_of_rows", goods)
    search.asked(rows)
    # Beside their goods 3.00 for the paste, and 4.00 for the other slots.
    assert len(rows) == count and asked == [[700] * count] * at_once


def test_rows_that_need_more_than_the_money_are_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """80.00 for board, processor and one kit; the paste that a rule wants is 3.00."""
    offers = priced({"board-a": 4000, "cpu-a": 3000, "kit-a": 1000, "paste": 300})
    problem = make_problem(coolers=(), extras=[Extra("paste", "Paste", kind="thermal-paste")], offers=offers)
    wants = Told(
        "x.paste", {"cpu": ("socket",)}, lambda p: need(("paste", 1)) if p.cpu.socket == "sock-1" else True
    )
    found = screened_of(problem)
    quick = Quick(problem, [wants, *(one for one in found.quick.every)])
    search = Search(found.pool, quick, FAR, FAR)
    rows = search.rows_within(FAR, FAR)
    assert rows is not None
    rows = rows.selected(rows.cost == 8000)
    for money, left in ((8299, []), (8300, [(8300, 300, 8300)]), (FAR, [(8300, 300, 8300)])):
        search.bounds.most_cost = money
        assert [(row.cost, row.needed, row.floor) for row in search.asked(rows)] == left
    # Beside this board and processor a cooler costs 0.50 more than the cheapest.
    monkeypatch.setattr(search.bounds, "coolers_of_pairs", lambda boards, cpus: np.full(len(boards), 50))
    assert [(row.cost, row.needed, row.floor) for row in search.asked(rows)] == [(8350, 300, 8350)]


def test_what_the_other_slots_need_anyway_counts_once() -> None:
    """A supply for 1.00 needs paste for 3.00: 4.00 of each row's 84.00; the processor wants another 3.00."""
    offers = priced({"board-a": 4000, "cpu-a": 3000, "kit-a": 1000, "paste": 300})
    problem = make_problem(coolers=(), extras=[Extra("paste", "Paste", kind="thermal-paste")], offers=offers)
    found = screened_of(problem)
    pool = found.pool.copy()
    pool.cost, pool.price = pool.cost | {pool.left["psu"][0]: 400}, pool.price | {pool.left["psu"][0]: 100}
    supply = Told("x.supply", {"psu": ("id",)}, lambda p: need(("paste", 1)))
    wants = Told(
        "x.cpu", {"cpu": ("socket",)}, lambda p: need(("paste", 1)) if p.cpu.socket == "sock-1" else True
    )
    search = Search(pool, Quick(problem, [supply, wants, *found.quick.every]), FAR, FAR)
    rows = search.rows_within(FAR, FAR)
    assert rows is not None
    asked = search.asked(rows.selected(rows.cost == 8400))
    assert [(row.cost, row.needed, row.floor) for row in asked] == [(8700, 600, 8300)]


def test_which_rules_are_asked_of_rows() -> None:
    """By the slots that they see beside those with one candidate: board and processor; board and memory; the three;
    the three with the graphics card. What sees other slots, or the card alone, is asked of ways."""
    seen: dict[str, tuple[str, ...]] = {
        "a": ("board", "cpu"), "b": ("board",), "c": ("cpu", "drive"), "d": (),
        "e": ("board", "memory"), "f": ("board", "memory", "case"),
        "g": ("memory",), "h": ("cpu", "memory"), "i": ("board", "cpu", "memory", "drive"),
        "j": ("board", "graphics"), "k": ("cpu", "memory", "graphics", "case"), "l": ("board", "cpu", "memory", "graphics"),
        "m": ("graphics",), "n": ("graphics", "case"), "o": ("psu",), "p": ("board", "cooler"), "q": ("board", "psu", "graphics"),
    }  # fmt: skip
    ways: Any = object.__new__(Ways)
    ways.quick = SimpleNamespace(  # type: ignore[assignment]
        rules=[SimpleNamespace(rule=SimpleNamespace(ID=name, SLOTS=slots)) for name, slots in seen.items()]
    )
    found = ways._rules_of_rows(frozenset({"case", "drive"}))
    assert ["".join(asked.rule.ID for asked in group) for group in found] == ["abcd", "ef", "ghi", "jkl"]


def test_what_a_card_costs_above_what_there_is() -> None:
    """The cheapest on sale against keeping none; nothing where there is no choice."""
    cards = [replace(GRAPHICS, id=f"card-{n}", name=f"K {n}") for n in range(2)]
    prices = {"board-a": 4000, "cpu-a": 3000, "kit-a": 1000, "card-0": 700, "card-1": 600}
    brief = Brief(budget="900.00", replace=("graphics",))
    found = screened_of(problem_of(prices, graphics=cards, brief=brief))

    def extra(*left: str) -> int:
        pool = found.pool.copy()
        pool.keep(["graphics"], lambda c: c.key in left)
        return Ways(pool, found.quick, FAR, FAR)._card_extra

    assert extra("kept-graphics", "card-0", "card-1") == 600 and extra("kept-graphics", "card-0") == 700
    assert extra("card-0", "card-1") == 0 == extra("kept-graphics")


def test_a_board_costs_what_its_cheapest_way_costs_more() -> None:
    """The present supply is refused beside one board (its rule), the next costs 5.00: so do rows with that board."""
    supplies = [replace(PSU, id="psu-a", name="S", year=2026)]
    problem = problem_of(
        {"board-a": 4000, "board-b": 4000, "cpu-a": 3000, "kit-a": 1000, "psu-a": 500},
        boards=[board("a"), board("b", year=2019)],
        psus=supplies,
        brief=Brief(budget="900.00", replace=("psu",)),
    )
    refuses = Told(
        "x.supply",
        {"board": ("id",), "psu": ("id",)},
        lambda p: p.board.id != "board-b" or p.psu.id == "psu-a",
    )
    found = screened_of(problem)
    quick = Quick(problem, [refuses, *found.quick.every])
    search = Search(found.pool, quick, FAR, FAR)
    rows = search.rows_within(FAR, FAR)
    assert rows is not None
    boards = keys(search.columns.boards)
    cost = {
        boards[b]: c
        for b, c, m in zip(rows.board.tolist(), rows.cost.tolist(), rows.memory.tolist(), strict=True)
        if m == 1
    }
    assert cost["board-a"] == 8000 and cost["board-b"] == 8500


def test_a_board_without_a_way_has_no_row() -> None:
    """The present board is refused with either supply: its row, which needs nothing, would cost FAR."""
    problem = problem_of(
        {"board-a": 4000, "cpu-a": 3000, "kit-a": 1000, "psu-a": 500},
        psus=[replace(PSU, id="psu-a", name="S", year=2026)],
        brief=Brief(budget="900.00", replace=("psu",)),
    )
    refuses = Told("x.supply", {"board": ("id",), "psu": ("id",)}, lambda p: p.board.id != "kept-board")
    found = screened_of(problem)
    search = Search(found.pool, Quick(problem, [refuses, *found.quick.every]), FAR, FAR)
    for kept in (True, False):
        key = [[n for n, c in enumerate(found.pool.left[slot]) if c.kept is kept][:1] for slot in MAIN]
        rows = Rows(*(np.array(column) for column in (*key, [0], [0])))
        assert len(search.asked(rows)) == (0 if kept else 1)


def test_rows_within_are_no_dearer_than_all_the_money(monkeypatch: pytest.MonkeyPatch) -> None:
    """Deliveries are bounded for what may be spent: the less of what is asked and of all there is."""
    search = search_of(problem_of({"board-a": 4000, "cpu-a": 3000, "kit-a": 1000}))
    search.most_cost = 9000
    asked, plain = [], search.bounds.deliveries_of_pairs
    monkeypatch.setattr(
        search.bounds,
        "deliveries_of_pairs",
        lambda b, c, most: asked.append(most) or plain(b, c, most),  # type: ignore[func-returns-value]
    )
    for most, told in ((8999, 8999), (9000, 9000), (9001, 9000), (FAR, 9000)):
        asked.clear()
        search.rows_within(FAR, most)
        assert set(asked) == {told}


def test_a_new_search_begins_with_the_full_limits() -> None:
    search = search_of(problem_of({"board-a": 4000, "cpu-a": 3000, "kit-a": 1000}))
    assert (search.drafted, search.looked, search.tried, search.gone) == (0, 0, 0, None)
    search.drafted, search.looked, search.tried, search.bounds.most_cost = 3, 4, 5, 6
    search.rest()
    assert (search.drafted, search.looked, search.tried) == (0, 0, 0)
    assert search.bounds.most_cost == search.most_cost


def ruled(say: Told, **more: Any) -> Search:
    """A search of a board, a processor and one or two kits, with one more rule."""
    prices = {"board-a": 4000, "cpu-a": 3000, "kit-a": 1000, "paste": 300, "card-0": 700, "card-1": 600}
    cards = [replace(GRAPHICS, id=f"card-{n}", name=f"K {n}") for n in range(2)]
    own: dict[str, Any] = {"graphics": cards, "brief": Brief(budget="900.00", replace=("graphics",))} | more
    problem = make_problem(
        coolers=(), extras=[Extra("paste", "Paste", kind="thermal-paste")],
        offers=priced({part: price for part, price in prices.items() if own["graphics"] or part[:4] != "card"}), **own,
    )  # fmt: skip
    found = screened_of(problem)
    return Search(found.pool, Quick(problem, [say, *found.quick.every]), FAR, FAR)


def listed(search: Search) -> list[tuple[str, ...]]:
    rows = search.rows_within(FAR, FAR)
    assert rows is not None
    columns = search.columns
    return [(columns.boards[b].key, columns.cpus[c].key, columns.memory[m].key) for b, c, m in rows.keys]


EVERY = [
    ("board-a", "cpu-a", "kit-a*1"),
    ("board-a", "cpu-a", "kit-a*2"),
    ("kept-board", "kept-cpu", "kept-memory"),
]


@pytest.mark.parametrize("other", ["cpu", "memory"])
def test_pairs_that_a_rule_refuses_make_no_row(other: Any) -> None:
    """Of board and processor, of board and memory; rules of other slots are asked of rows only when their turn comes."""
    key = {"cpu": "cpu-a", "memory": "kit-a*2"}[other]
    fact = {"cpu": "id", "memory": "modules"}[other]
    refuses = Told("x.pair", {"board": ("id",), other: (fact,)}, lambda p: p.candidate(other).key != key)
    search = ruled(refuses, graphics=(), brief=Brief(budget="900.00"))
    assert sorted(listed(search)) == [one for one in EVERY if key not in one]
    assert (search.columns.together is not None) is (len(search._memory_rules) > 0)
    alone = Told("x.other", {"cpu": ("id",), "memory": ("modules",)}, lambda p: False)
    search = ruled(alone, graphics=(), brief=Brief(budget="900.00"))
    rows = search.rows_within(FAR, FAR)
    assert rows is not None and sorted(listed(search)) == EVERY and search.asked(rows) == []


@pytest.mark.parametrize(
    "says, extra",
    [
        # Nothing is needed beside what there is; paste for 3.00; it is refused: then the cheapest card, for 6.00.
        (True, 0),
        (need(("paste", 1)), 300),
        (need(("paste", 2)), 600),
        (need(("paste", 3)), 600),
        (False, 600),
    ],
)
def test_a_row_costs_what_its_graphics_need_or_a_card(says: Any, extra: int) -> None:
    """Only the new board says something of the graphics that there are."""
    rule = Told(
        "x.card", {"board": ("id",), "graphics": ("id",)},
        lambda p: True if p.board.id != "board-a" or p.graphics.id != "kept-graphics" else says,
    )  # fmt: skip
    search = ruled(rule)
    assert search.cards is not None and search._card_extra == 600
    rows = search.rows_within(FAR, FAR)
    assert rows is not None
    assert sorted(row.cost for row in search.asked(rows)) == [0, 8000 + extra, 9000 + extra]
    search.bounds.most_cost = 8000 + extra
    assert sorted(row.cost for row in search.asked(rows)) == [0, 8000 + extra]


def test_a_search_without_a_part_has_limits_of_its_own() -> None:
    """What is known is shared; rows with the part, the money to be spent now and the work done are not."""
    search = ruled(
        Told("x.any", {"board": ("id",)}, lambda p: True), graphics=(), brief=Brief(budget="900.00")
    )
    search.drafted, search.bounds.most_cost = 5, 7
    problem = replace(search.pool.problem, budget=1)
    fewer = search.search_without("kit-a", problem)
    assert (fewer.gone, fewer.drafted, fewer.bounds.most_cost) == ("kit-a", 0, fewer.most_cost)
    assert (search.gone, search.drafted, search.bounds.most_cost) == (None, 5, 7)
    assert fewer.pool.problem is problem is not search.pool.problem and fewer._drafts is search._drafts
    assert sorted(listed(fewer)) == EVERY[2:] and sorted(listed(search)) == EVERY


DISK = DrivePart("disk", "Disk", kind="ssd", interface="sata", sata_gbps10=60, read_mbs=200, capacity_gb=400)
CARDS = [replace(GRAPHICS, id=f"card-{n}", name=f"K {n}", graphics_score=700 + 500 * n) for n in range(2)]


@pytest.mark.parametrize(
    "wishes, tables, exact, ways",
    [
        ({}, {}, True, 1),
        ({"replace": ("drive",)}, {"drives": [DISK]}, False, 2),
        # Where cards count each has its own.
        ({"replace": ("graphics",), "use": "games"}, {"graphics": CARDS}, False, 3),
        ({"replace": ("graphics", "drive"), "use": "games"}, {"graphics": CARDS, "drives": [DISK]}, False, 6),
    ],
)
def test_the_time_of_a_way_is_that_of_its_plan(wishes: Any, tables: Any, exact: bool, ways: int) -> None:
    """Against the time of the whole plan, whatever was told before."""
    prices = {"board-a": 4000, "cpu-a": 3000, "kit-a": 1000, "disk": 900, "card-0": 700, "card-1": 600}
    sold = {"board-a", "cpu-a", "kit-a"} | {part.id for table in tables.values() for part in table}
    prices = {part: price for part, price in prices.items() if part in sold}
    search = search_of(problem_of(prices, brief=Brief(budget="900.00", **wishes), **tables))
    rows = search.rows_within(FAR, FAR)
    assert rows is not None and search.columns.times_are_exact is exact
    times: dict[Any, int] = {}
    for _ in range(2):  # the second time from memory
        for row in search.asked(rows):
            number = 0
            while (rest := search.rests.rest(row.key[0], number)) is not None:
                parts = search._parts(row.key, rest[1])
                times[parts] = search._time(row, rest[1])
                assert times[parts] == time_ppm(search.pool.problem, parts)
                number += 1
    assert len(times) == 3 * ways and len(set(times.values())) > 1
