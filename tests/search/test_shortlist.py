"""The lists of the best plans: what they take, what money and time still count, and which rows are open, by hand."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from partsolver.base.quantities import FAR
from partsolver.plan.draft import Draft
from partsolver.problem.candidates import Parts
from partsolver.search.rows import Rows
from partsolver.search.shortlist import Found, Frontier, Shortlist


def draft(time_ppm: int, cost: int) -> Draft:
    return Draft(Parts(()), (), (), cost, time_ppm)


def by_step(wanted: int) -> Shortlist:
    """Steps of 10 ppm, then cost."""
    return Shortlist(wanted, lambda time, cost: (time // 10, cost))


def by_cost(wanted: int) -> Shortlist:
    return Shortlist(wanted, lambda time, cost: (cost, time), by_cost=True)


def test_the_first_that_is_found() -> None:
    first, second = draft(1, 2), draft(3, 4)
    assert Found((first, second), True).first is first and Found((), True).first is None
    assert Found((), True) == Found((), True) != Found((), False)


def test_the_worst_is_the_last_of_those_that_are_wanted() -> None:
    found = by_step(2)
    assert found.worst is None and found.any_beyond((0, 0)) and found.money == FAR
    found.add("a", draft(25, 100))
    assert found.worst is None and found.any_beyond((0, 0))
    found.add("b", draft(14, 300))
    assert found.worst == (2, 100)
    found.add("c", draft(16, 200))
    assert found.worst == (1, 300)
    assert [d.cost for d in found.wanted_drafts()] == [200, 300]
    assert found.any_beyond((1, 299)) and found.any_beyond((0, FAR))
    assert not found.any_beyond((1, 300)) and not found.any_beyond((1, 301))


def test_of_a_choice_the_best_is_kept() -> None:
    found = by_step(1)
    found.add("a", draft(25, 100))
    assert found.knows("a", (2, 100)) and found.knows("a", (2, 101)) and not found.knows("a", (2, 99))
    assert not found.knows("b", (9, 9))
    found.add("a", draft(29, 100))  # no better
    assert [d.time_ppm for d in found.wanted_drafts()] == [25]
    found.add("a", draft(21, 90))
    assert [d.cost for d in found.wanted_drafts()] == [90] and found.worst == (2, 90)
    assert not found.beats((9, 9))


def test_money_counts_in_the_first_step_only() -> None:
    found = by_step(1)
    found.add("a", draft(15, 100))
    assert found.money == FAR
    found.add("b", draft(5, 700))
    assert found.money == 700


def test_money_counts_always_where_cost_comes_first() -> None:
    found = by_cost(1)
    assert found.money == FAR
    found.add("a", draft(15, 100))
    assert (found.money, found.worst) == (100, (100, 15))
    found = by_cost(1)
    found.add("a", draft(15, 0))
    assert found.money == 0


def test_what_a_plan_of_a_choice_may_cost() -> None:
    """No more than the one that is known of it, where both fall into one step."""
    found = by_step(2)
    assert found.most_cost("a", 5, 900) == 900
    found.add("a", draft(15, 100))
    assert found.most_cost("a", 19, 900) == 100 and found.most_cost("a", 10, 90) == 90
    assert found.most_cost("a", 25, 900) == 900
    costly = by_cost(2)
    costly.add("a", draft(15, 100))
    assert costly.most_cost("a", 99, 900) == 100  # of one cost any time is the same
    assert found.most_cost("a", 9, 900) == 900 and found.most_cost("b", 15, 900) == 900


def test_the_goals_of_a_draft() -> None:
    assert by_step(1).goals(draft(25, 7)) == (2, 7) and by_cost(1).goals(draft(25, 7)) == (7, 25)


# -- plans that no other beats -----------------------------------------------------------------------------------------


def frontier(most_time: int = 100) -> Frontier:
    """Costs 10, 20, 30 with times 90, 60, 40."""
    found = Frontier(most_time)
    for number, (time, cost) in enumerate(((60, 20), (90, 10), (40, 30))):
        found.add(number, draft(time, cost))
    return found


def kept(found: Frontier) -> list[tuple[int, int]]:
    return [(d.cost, d.time_ppm) for d in found._drafts]


def test_a_frontier_by_rising_cost() -> None:
    found = frontier()
    assert kept(found) == [(10, 90), (20, 60), (30, 40)] and found.worst == (10, 90)
    assert found.first is not None and found.first.cost == 10 and found.money == FAR
    assert Frontier(5).first is None and Frontier(5).worst is None and Frontier(5).wanted == 1


@pytest.mark.parametrize(
    "cost, time, beaten",
    [
        (9, 90, False),
        (10, 90, True),
        (10, 89, False),
        (19, 90, True),
        (19, 89, False),
        (20, 60, True),
        (20, 59, False),
        (25, 61, True),
        (31, 39, False),
        (31, 40, True),
        (5, 100, False),
        (5, 101, True),
    ],
)
def test_what_a_frontier_beats(cost: int, time: int, beaten: bool) -> None:
    found = frontier()
    assert found.beats((cost, time)) is beaten and found.knows("any", (cost, time)) is beaten
    before = kept(found)
    found.add("any", draft(time, cost))
    assert ((cost, time) in kept(found)) is (not beaten or (cost, time) in before)
    assert all(a[0] < b[0] and a[1] > b[1] for a, b in zip(kept(found), kept(found)[1:], strict=False)), (
        "none beats another"
    )


@pytest.mark.parametrize(
    "cost, time, left",
    [
        (10, 50, [(10, 50), (30, 40)]),
        (20, 40, [(10, 90), (20, 40)]),
        (15, 60, [(10, 90), (15, 60), (30, 40)]),
        (15, 61, [(10, 90), (15, 61), (20, 60), (30, 40)]),
        (5, 40, [(5, 40)]),
    ],
)
def test_what_a_new_plan_beats_goes(cost: int, time: int, left: list[tuple[int, int]]) -> None:
    found = frontier()
    found.add("new", draft(time, cost))
    assert kept(found) == left


@pytest.mark.parametrize(
    "most_time, left", [(100, [10, 20, 30]), (90, [10, 20, 30]), (89, [20, 30]), (40, [30]), (39, [])]
)
def test_less_time_leaves_the_faster_ones(most_time: int, left: list[int]) -> None:
    found = frontier()
    found.look_within(most_time)
    assert [cost for cost, _ in kept(found)] == left and found.most_time == most_time
    assert found.worst == (None if not left else kept(found)[0])


@pytest.mark.parametrize(
    "time, most", [(100, 10), (90, 10), (89, 20), (60, 20), (59, 30), (40, 30), (39, 99)]
)
def test_what_a_plan_of_a_time_may_cost(time: int, most: int) -> None:
    assert frontier().most_cost("any", time, 99) == most
    assert frontier().most_cost("any", time, 3) == 3


def test_rows_that_may_be_as_good_as_what_is_known() -> None:
    """Open: faster than all plans for less, and no slower than those for as much (they may be equals)."""
    found = frontier()
    bounds = [(c, t) for c in (9, 10, 11, 20, 29, 30, 31) for t in (39, 40, 59, 60, 89, 90, 100, 101)]
    none: Any = np.zeros(len(bounds), dtype=np.int64)
    rows = Rows(none, none, none, np.array([t for _, t in bounds]), np.array([c for c, _ in bounds]))

    def is_open(cost: int, time: int) -> bool:
        plans = [(10, 90), (20, 60), (30, 40)]
        less = [t for c, t in plans if c < cost]
        as_much = [t for c, t in plans if c <= cost]
        return time <= 100 and all(time < t for t in less) and all(time <= t for t in as_much)

    assert found.open_rows(rows).tolist() == [is_open(*bound) for bound in bounds]
    assert Frontier(100).open_rows(rows).tolist() == [t <= 100 for _, t in bounds]
    at_once = Rows(none[:2], none[:2], none[:2], np.array([0, 1]), np.array([5, 5]))
    assert Frontier(0).open_rows(at_once).tolist() == [True, False]
