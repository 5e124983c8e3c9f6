"""The search's own looking, step by step on stand-ins: in which order rows and bounds are taken, up to how much money and
time, and where it ends or gives up."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from partsolver.base.quantities import FAR
from partsolver.plan.draft import Draft
from partsolver.problem.candidates import Parts
from partsolver.search import search as module
from partsolver.search.rows import Row, Rows
from partsolver.search.search import Search, Waiting, Walk, _Leg, _Queue
from partsolver.search.shortlist import Found, Frontier, Goals, Shortlist


def draft(time_ppm: int, cost: int) -> Draft:
    return Draft(Parts(()), (), (), cost, time_ppm)


def rows_of(times: Sequence[int], costs: Sequence[int]) -> Rows:
    """Rows whose boards are numbered."""
    none = np.zeros(len(times), dtype=np.int64)
    return Rows(
        np.arange(len(times)), none, none, np.array(times, dtype=np.int64), np.array(costs, dtype=np.int64)
    )


def row_of(number: int, time_ppm: int, cost: int) -> Row:
    return Row((number, 0, 0), time_ppm, cost, 0, cost)


def as_rows(rows: Rows) -> list[Row]:
    """Rows that nothing refuses."""
    return [
        row_of(b, t, c)
        for b, t, c in zip(rows.board.tolist(), rows.time_ppm.tolist(), rows.cost.tolist(), strict=True)
    ]


def cost_first(time: int, cost: int) -> Goals:
    return cost, time


class Looking(Search):
    """A search of which each test tells what it needs."""

    is_spent: Callable[[], bool] = staticmethod(lambda: False)  # type: ignore[assignment]
    own_parts: Sequence[Any] = ()

    def __init__(self, **told: Any) -> None:
        self.most_time, self.most_cost = 10_000, 100_000
        self.bounds = SimpleNamespace(most_cost=FAR)  # type: ignore[assignment]
        for name, value in told.items():
            setattr(self, name, value)

    @property
    def spent(self) -> bool:
        return self.is_spent()

    @property
    def parted(self) -> Sequence[Any]:
        return self.own_parts or (self,)


# -- the queue ---------------------------------------------------------------------------------------------------------


def test_rows_come_by_both_goals_a_few_at_a_time() -> None:
    """100 rows of ten costs: by cost, then time. 16 are asked, then 32, then 64 (52 are left)."""
    times, costs = [n * 37 % 101 for n in range(100)], [n % 10 for n in range(100)]
    rows, asked = rows_of(times, costs), list[int]()

    def ask(some: Rows) -> list[Row]:
        asked.append(len(some))
        return as_rows(some)

    queue = _Queue(rows, rows.cost, rows.time_ppm, ask)
    assert asked == []
    order = sorted(range(100), key=lambda n: (costs[n], times[n]))
    for place, number in enumerate(order):
        taken = queue.pop(cost_first)
        assert taken == Waiting(
            (costs[number], times[number]), row_of(number, times[number], costs[number]), 0, False
        )
        assert asked == [16, 32, 52][: 1 + (place >= 16) + (place >= 48)]
    assert queue.pop(cost_first) is None and asked == [16, 32, 52]


@pytest.mark.parametrize("most, asked", [(16, [16, 16, 16, 2]), (20, [16, 20, 14]), (1024, [16, 32, 2])])
def test_no_more_rows_are_asked_at_once(most: int, asked: list[int], monkeypatch: pytest.MonkeyPatch) -> None:
    """All are refused."""
    monkeypatch.setattr(module, "MOST_ASKED_AT_ONCE", most)
    rows, told = rows_of([0] * 50, [0] * 50), list[int]()
    queue = _Queue(rows, rows.cost, rows.time_ppm, lambda some: told.append(len(some)) or [])  # type: ignore[func-returns-value]
    assert queue.pop(cost_first) is None and told == asked


@pytest.mark.parametrize(
    "waiting, asked, first",
    [
        # Nothing waits: rows are asked until something does.
        (None, 1, 0),
        # What waits comes before a row with the same bound, and nothing is asked for it.
        ((5, 1), 0, 9),
        ((5, 0), 0, 9),
        ((4, 7), 0, 9),
        ((5, 2), 1, 0),
        ((6, 0), 1, 0),
    ],
)
def test_the_least_bound_of_what_waits_and_what_was_not_asked(
    waiting: Goals | None, asked: int, first: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Rows for 5 in 1 and for 7 in 0, asked one by one."""
    monkeypatch.setattr(module, "FIRST_ASKED", 1)
    rows, told = rows_of([1, 0], [5, 7]), list[int]()
    queue = _Queue(rows, rows.cost, rows.time_ppm, lambda some: told.append(len(some)) or as_rows(some))  # type: ignore[func-returns-value]
    if waiting is not None:
        queue.wait(waiting, row_of(9, 0, 0), 3, True)
    taken = queue.pop(cost_first)
    assert taken is not None and taken.row.key[0] == first and len(told) == asked
    assert (taken.way, taken.close) == ((3, True) if first == 9 else (0, False))


def test_a_row_that_costs_more_when_asked_makes_way_for_the_next(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first of two costs 8 once its rules are asked: the second, for 7, is asked and comes first."""
    monkeypatch.setattr(module, "FIRST_ASKED", 1)
    rows = rows_of([1, 0], [5, 7])
    queue = _Queue(
        rows,
        rows.cost,
        rows.time_ppm,
        lambda some: [row_of(r.key[0], r.time_ppm, max(8 - r.key[0], r.cost)) for r in as_rows(some)],
    )
    taken = [queue.pop(cost_first) for _ in range(3)]
    assert [None if one is None else one.bound for one in taken] == [(7, 0), (8, 1), None]


# -- one step ----------------------------------------------------------------------------------------------------------


class Line:
    """A queue whose bounds come as told; what is put back is noted."""

    def __init__(self, *bounds: tuple[Goals, bool]) -> None:
        self._next = iter(
            [Waiting(bound, row_of(n, 0, 0), n, close) for n, (bound, close) in enumerate(bounds)]
        )
        self.waited: list[tuple[Goals, int, int, bool]] = []

    def pop(self, value: Any) -> Waiting | None:
        return next(self._next, None)

    def wait(self, bound: Goals, row: Row, way: int, close: bool) -> None:
        self.waited.append((bound, row.key[0], way, close))


def looked(line: Line, end: int, found: Any, **more: Any) -> tuple[bool, list[str]]:
    """What `_look` says, and which ways it settled or brought nearer."""
    steps: list[str] = []
    search: Any = Looking(
        _settle=lambda taken, *_: steps.append(f"settle {taken.way}"),
        _nearer=lambda taken, *_: steps.append(f"nearer {taken.way}"),
        **more,
    )
    whole = search._look(line, end, found)
    steps.append(f"money {search.bounds.most_cost}")
    return whole, steps


def short(worst: Goals | None, money: int = FAR, beaten: Iterable[Goals] = ()) -> Any:
    return SimpleNamespace(worst=worst, money=money, value=cost_first, beats=lambda bound: bound in beaten)


@pytest.mark.parametrize(
    "end, worst, steps, back",
    [
        # Up to the end of the first goal, that included.
        (7, None, ["nearer 0", "settle 1", "nearer 2"], None),
        (6, None, ["nearer 0", "settle 1"], ((7, 3), 2, 2, False)),
        (4, None, [], ((5, 1), 0, 0, False)),
        # Up to the goals of the last that is wanted, those included.
        (9, (7, 3), ["nearer 0", "settle 1", "nearer 2"], None),
        (9, (7, 2), ["nearer 0", "settle 1"], ((7, 3), 2, 2, False)),
        (9, (5, 1), ["nearer 0"], ((5, 9), 1, 1, True)),
        (9, (5, 0), [], ((5, 1), 0, 0, False)),
    ],
)
def test_a_look_ends_at_the_first_bound_beyond(end: int, worst: Any, steps: list[str], back: Any) -> None:
    """What lies beyond goes on waiting for another look."""
    line = Line(((5, 1), False), ((5, 9), True), ((7, 3), False))
    assert looked(line, end, short(worst)) == (True, [*steps, f"money {FAR}"])
    assert line.waited == ([] if back is None else [back])


def test_what_is_beaten_is_left_out_and_money_falls() -> None:
    line = Line(((5, 1), False), ((5, 9), True), ((7, 3), False))
    assert looked(line, 9, short(None, 700, [(5, 9)])) == (True, ["nearer 0", "nearer 2", "money 700"])
    line = Line(((5, 1), False))
    assert looked(line, 9, short(None, 700, [(5, 1)])) == (True, [f"money {FAR}"])


@pytest.mark.parametrize("limit", [0, 1, 2, 3])
def test_a_look_stops_when_the_limit_is_reached(limit: int) -> None:
    asked: list[int] = []
    line = Line(((5, 1), False), ((5, 9), True))

    def spent() -> bool:
        asked.append(1)
        return len(asked) > limit

    whole, steps = looked(line, 9, short(None), is_spent=spent)
    assert steps[:-1] == ["nearer 0", "settle 1"][:limit] and whole is (limit > 2)


@pytest.mark.parametrize(
    "way, floor, money, waits",
    [
        # A way that may be wanted waits with its own bound, those after it with theirs.
        ((600, 200), 650, 1000, [((600, 200), 0, 3, True), ((650, 100), 0, 4, False)]),
        ((1000, 900), 1000, 1000, [((1000, 900), 0, 3, True), ((1000, 100), 0, 4, False)]),
        ((1001, 200), 1001, 1000, []),
        ((600, 901), 650, 1000, [((650, 100), 0, 4, False)]),
        (None, 650, 1000, [((650, 100), 0, 4, False)]),
        ((600, 200), FAR, 2 * FAR, [((600, 200), 0, 3, True)]),
        ((FAR, 200), FAR - 1, 2 * FAR, [((FAR - 1, 100), 0, 4, False)]),
    ],
)
def test_a_bound_is_brought_nearer(way: Any, floor: int, money: int, waits: list[Any]) -> None:
    asked: list[tuple[str, int]] = []

    def bound(row: Row, number: int) -> int:
        asked.append(("bound", number))
        return floor

    def own(row: Row, number: int) -> Any:
        asked.append(("way", number))
        return way

    search, line = Looking(_bound=bound, _way=own, most_time=900), Line()
    search.bounds.most_cost = money
    search._nearer(Waiting((500, 100), row_of(0, 100, 500), 3, False), line, short(None))  # type: ignore[arg-type]
    assert line.waited == waits and asked == [("way", 3), ("bound", 4)]


class Settled:
    """A search whose one way is told, and a shortlist that knows a choice or not."""

    def __init__(self, way: Any, plan: tuple[int, int] | None = (650, 200), known: bool = False) -> None:
        self.calls: list[Any] = []
        self.line = Line()
        self.search = Looking(
            most_time=900,
            _way=lambda row, number: self.calls.append(("way", number)) or way,
            _parts=lambda key, rest: ("parts", key, rest),
            _drafted=lambda key, own, most: (
                self.calls.append(("bought", most)) or (plan and draft(plan[1], plan[0]))
            ),
        )
        self.search.bounds.most_cost = 800
        self.found = SimpleNamespace(
            value=cost_first,
            knows=lambda choice, bound: self.calls.append(("knows", choice, bound)) or known,
            most_cost=lambda choice, time, most: self.calls.append(("most", choice, time, most)) or 777,
            add=lambda choice, one: self.calls.append(("add", choice, one.cost, one.time_ppm)),
        )

    def settle(self, bound: Goals) -> list[Any]:
        taken = Waiting(bound, row_of(0, 100, 500), 3, True)
        self.search._settle(taken, self.line, self.found)  # type: ignore[arg-type]
        return self.calls


def test_a_way_is_settled(monkeypatch: pytest.MonkeyPatch) -> None:
    """Bought for no more than is wanted of its choice, and taken where it is fast enough."""
    monkeypatch.setattr(module, "identity", lambda parts: ("choice", *parts))
    choice, way = ("choice", "parts", (0, 0, 0), "rest"), (600, 200, "rest")
    knows, most, bought = ("knows", choice, (600, 200)), ("most", choice, 200, 800), ("bought", 777)
    for bound in ((600, 200),):
        assert Settled(way).settle(bound) == [("way", 3), knows, most, bought, ("add", choice, 650, 200)]
    assert Settled(way, (650, 900)).settle((600, 200))[-1] == ("add", choice, 650, 900)
    assert Settled(way, (650, 901)).settle((600, 200)) == [("way", 3), knows, most, bought]
    assert Settled(way, None).settle((600, 200)) == [("way", 3), knows, most, bought]
    assert Settled(way, known=True).settle((600, 200)) == [("way", 3), knows]
    gone = Settled(None)
    assert gone.settle((600, 200)) == [("way", 3)] and gone.line.waited == []


def test_a_way_whose_bound_has_risen_waits_again() -> None:
    """With less money it is bounded anew: higher by one in cost, or in time alone."""
    for way in ((601, 200, "rest"), (600, 201, "rest")):
        one = Settled(way)
        assert one.settle((600, 200)) == [("way", 3)]
        assert one.line.waited == [((way[0], way[1]), 0, 3, True)]
    lower = Settled((600, 200, "rest"), known=True)
    module_identity = module.identity
    module.identity = lambda parts: "choice"  # type: ignore[assignment]
    try:
        assert lower.settle((600, 201)) == [("way", 3), ("knows", "choice", (600, 201))]
    finally:
        module.identity = module_identity
    assert lower.line.waited == []


# -- searches one after the other --------------------------------------------------------------------------------------


def test_searches_in_turn_share_the_limits() -> None:
    """Each begins with what those before used, and looks no longer than the whole."""
    seen: list[Any] = []

    def one(name: str, most_time: int) -> Any:
        own = SimpleNamespace(most_time=most_time, drafted=99, looked=99, tried=99)
        own.rest = lambda: seen.append(("rest", name))
        return own

    searches = [one("a", 9_000), one("b", 10_001), one("c", 10_000)]
    for number, search in enumerate(Looking().in_turn(searches)):
        seen.append((search.drafted, search.looked, search.tried, search.most_time))
        search.drafted += 1 + number
        search.looked += 10
        search.tried += 100
    assert seen == [
        ("rest", "a"), (0, 0, 0, 9_000), ("rest", "b"), (1, 10, 100, 10_000), ("rest", "c"), (3, 20, 200, 10_000),
    ]  # fmt: skip


# -- any plan, and the fastest -----------------------------------------------------------------------------------------


def columns(least: Sequence[int] = (), bounds: Sequence[int] = (), cheapest: Any = None) -> Any:
    return SimpleNamespace(least_cost=lambda n: least[n], cpu_bound=np.array(bounds), cheapest=cheapest)


def test_processors_by_time_within_the_time() -> None:
    """At equal times as they stand."""
    search = Looking(columns=columns(bounds=[900, 400, 901, 300, 400]), most_time=900)
    assert search._by_time() == [3, 1, 4, 0]


def anything(
    least: list[int], plans: dict[int, int], spent_after: int = 99, rows: int = 1
) -> tuple[int | None, list[Any]]:
    """The cost of the plan found; of each processor its number and limits, and the rows tried (processor, row)."""
    seen: list[Any] = []

    def rows_of_one(number: int, most_time: int, most_cost: int) -> Rows:
        seen.append((number, most_time, most_cost))
        own = rows_of([number] * rows, [rows - n for n in range(rows)])
        return own

    def one(row: Row, most_time: int) -> Draft | None:
        seen.append((row.time_ppm, row.key[0]))
        cost = plans.get(row.time_ppm)
        return None if cost is None else draft(1, cost)

    search = Looking(
        columns=columns(least), most_cost=1000, most_time=900, _by_time=lambda: list(range(len(least))),
        _rows_of=rows_of_one, asked=as_rows, _draft=one,
    )  # fmt: skip
    search.is_spent = lambda: sum(len(one) == 2 for one in seen) >= spent_after
    found = search.anything()
    return None if found is None else found.cost, seen


def test_processors_that_leave_little_money_are_tried_last() -> None:
    """Of 10.00: up to 8.50 is ample. Rows up to 10.00 above the least, within all the money."""
    found, seen = anything([851, 850, 1000, 100], {})
    assert found is None
    assert [one for one in seen if len(one) == 3] == [
        (1, 900, 1000),
        (3, 900, 1000),
        (0, 900, 1000),
        (2, 900, 1000),
    ]
    search_of_little, seen = anything([-100, -1, 0, 1], {})
    assert [one[2] for one in seen if len(one) == 3] == [900, 999, 1000, 1000] and search_of_little is None


def test_the_first_plan_is_taken_and_a_spent_search_stops() -> None:
    assert anything([1, 2, 3], {1: 70, 2: 60}) == (70, [(0, 900, 1000), (0, 0), (1, 900, 1000), (1, 0)])
    assert anything([1, 2, 3], {1: 70}, spent_after=1) == (None, [(0, 900, 1000), (0, 0)])


def test_the_cheapest_rows_of_a_processor_are_tried() -> None:
    """The last twenty of 25 rows, whose costs fall."""
    _, seen = anything([1], {}, rows=25)
    assert [one[1] for one in seen if len(one) == 2] == list(range(24, 4, -1))


def test_the_fastest_begins_with_the_fastest_that_is_known() -> None:
    calls: list[Any] = []
    one, two, three = draft(300, 1), draft(200, 2), draft(250, 3)
    parts = [SimpleNamespace(bought=lambda: [one]), SimpleNamespace(bought=lambda: [two, three])]
    search = Looking(
        own_parts=parts,
        _faster_than=lambda best: ("than", best),
        _faster=lambda best: ("faster", best),
        anything=lambda: calls.append("anything") or three,
        rest=lambda: calls.append("rest"),
    )
    assert search.fastest() == ("than", two) and search.fastest(one) == ("than", one) and calls == []
    search.own_parts = [SimpleNamespace(bought=lambda: [])]
    assert search.fastest() == ("faster", three) and calls == ["anything", "rest"]


class Fast(Looking):
    """Processors with the least times of their rows; the plan of each row by its board's number: (time, all looked at)."""

    def __init__(self, rows: dict[int, Rows], plans: dict[int, tuple[int | None, bool]], **more: Any) -> None:
        self.seen: list[Any] = []
        self.taken: list[int] = []
        self.processors: list[int] = []
        self._rows, self._plans = rows, plans
        super().__init__(
            columns=columns(bounds=[int(own.time_ppm.min()) for own in rows.values()]), most_time=900, **more
        )

    def _by_time(self) -> Any:
        for number in self._rows:
            self.processors.append(number)
            yield number

    def _rows_of(self, number: int, most_time: int, most_cost: int) -> Rows:
        self.seen.append(("rows", number, most_time, most_cost))
        return self._rows[number]

    def rows_within(self, most_time: int, most_cost: int) -> Rows | None:
        self.seen.append(("within", most_time, most_cost))
        return self._rows.get(0)

    def _asked_in_order(self, rows: Rows) -> Any:
        for row in as_rows(rows):
            self.taken.append(row.time_ppm)
            yield row

    def _fastest_way(self, row: Row, most_time: int) -> tuple[Draft | None, bool]:
        self.seen.append((row.key[0], most_time))
        time, whole = self._plans.get(row.key[0], (None, True))
        return None if time is None else draft(time, 1), whole


def test_rows_of_each_processor_by_time_until_none_is_faster() -> None:
    """Rows in 100, 200 and 300 (the cheaper first); a plan in 250 ends it at rows and processors that are no faster."""
    rows = {
        0: rows_of([300, 100, 200, 200, 301], [1, 1, 9, 8, 1]),
        1: rows_of([249], [1]),
        2: rows_of([250], [1]),
        3: rows_of([251], [1]),
    }
    search = Fast(rows, {1: (None, True), 3: (250, True)})
    found = search._faster(None)
    assert found.first is not None and found.first.time_ppm == 250 and found.exhausted
    assert search.seen == [
        ("rows", 0, 900, 100_000),
        (1, 900),
        (3, 900),
        (2, 249),
        ("rows", 1, 249, 100_000),
        (0, 249),
    ]
    # Nothing after the first row, and the first processor, that is no faster.
    assert search.taken == [100, 200, 200, 300, 249] and search.processors == [0, 1, 2]
    search = Fast({0: rows_of([900, 901], [1, 1])}, {})
    assert search._faster(None) == Found((), True) and search.seen[1:] == [(0, 900)]
    known = draft(201, 5)
    search = Fast({0: rows_of([200, 201], [1, 1]), 1: rows_of([201], [1])}, {})
    assert search._faster(known) == Found((known,), True) and search.seen == [
        ("rows", 0, 200, 100_000),
        (0, 200),
    ]


@pytest.mark.parametrize("ways_left", [True, False])
def test_the_fastest_is_exhausted_where_all_ways_were(ways_left: bool) -> None:
    search = Fast({0: rows_of([100, 200], [1, 1])}, {0: (None, ways_left), 1: (300, True)})
    assert search._faster(None).exhausted is ways_left
    search = Fast({0: rows_of([100, 200], [1, 1])}, {0: (None, True), 1: (300, ways_left)})
    assert search._faster_than(draft(400, 1)).exhausted is ways_left


def test_a_spent_search_is_not_exhausted() -> None:
    for ask, steps in ((lambda s: s._faster(draft(800, 1)), 1), (lambda s: s._faster_than(draft(800, 1)), 1)):
        search = Fast({0: rows_of([100, 200], [1, 1]), 1: rows_of([100], [1])}, {})
        search.is_spent = lambda search=search: any(len(one) == 2 for one in search.seen)
        found = ask(search)
        assert not found.exhausted and found.first is not None and found.first.time_ppm == 800
        assert len([one for one in search.seen if len(one) == 2]) == steps
        assert len(search.seen) == 2


@pytest.mark.parametrize("most, own", [(3, False), (4, True), (5, True)])
def test_few_rows_that_may_be_faster_are_looked_at_together(
    most: int, own: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Four: by time, the cheaper first, until none is faster than the best."""
    monkeypatch.setattr(module, "MOST_FASTER", most)
    rows = rows_of([300, 100, 100, 301], [1, 9, 8, 1])
    search = Fast({0: rows}, {2: (None, True), 1: (300, True)})
    found = search._faster_than(draft(400, 5))
    assert found.first is not None and found.first.time_ppm == 300 and found.exhausted
    assert search.seen[0] == ("within", 399, 100_000)
    assert search.seen[1:] == ([] if own else [("rows", 0, 399, 100_000)]) + [(2, 399), (1, 399)]
    assert search.taken == [100, 100, 300]


def test_faster_than_one_that_is_slower_than_is_wanted() -> None:
    for time, most in ((900, 899), (901, 900), (902, 900)):
        search = Fast({0: rows_of([300], [1])}, {})
        search._faster_than(draft(time, 5))
        assert search.seen[0] == ("within", most, 100_000)
    search = Fast({}, {})
    search.columns = columns(bounds=[])
    assert search._faster_than(draft(500, 5)).exhausted and search.seen == [("within", 499, 100_000)]


# -- up to how much time and money -------------------------------------------------------------------------------------


class Wider(Looking):
    """Looks are noted: the most time and money of the rows, and the end of the first goal; too many rows are within more
    than ``most_rows``'s money."""

    def __init__(self, most_money: int = FAR, start: int = 5000, looks: int = 99, **more: Any) -> None:
        self.within: list[tuple[int, int]] = []
        self.ends: list[int] = []
        self.most_money, self.looks = most_money, looks
        self.starts: list[int] = []
        super().__init__(columns=columns(cheapest=lambda time: self.starts.append(time) or start), **more)

    def rows_within(self, most_time: int, most_cost: int) -> Rows | None:
        self.within.append((most_time, most_cost))
        return None if most_cost > self.most_money else rows_of([], [])

    def asked(self, rows: Rows) -> list[Row]:
        return []

    def _look(self, queue: Any, end: int, found: Any) -> bool:
        self.ends.append(end)
        assert self.bounds.most_cost == self.within[-1][1]
        return len(self.ends) < self.looks


class Beyond:
    """A shortlist that lacks plans until so many limits were asked about."""

    def __init__(self, lacking: int = 99, money: int = FAR, worst: Goals | None = None) -> None:
        self.limits: list[Goals] = []
        self._lacking, self.money, self.worst = lacking, money, worst

    def any_beyond(self, limit: Goals) -> bool:
        self.limits.append(limit)
        return len(self.limits) < self._lacking


# From 50.00 on: 10.00 more, then three times as much each time.
TRIPLED = [6000, 8000, 14_000, 32_000, 86_000, 100_000]
# Steps of 10 % of 100: the first ends at 109, so many of them at 119, 139 ...; beyond eight times the least all.
STEPS = [119, 139, 179, 259, 419, 739, 10_000]


def test_the_best_first_for_more_money_then_in_more_steps() -> None:
    search, found = Wider(), Beyond()
    assert search._add_best(found, 100, Fraction(10))  # type: ignore[arg-type]
    assert search.starts == [109]
    assert search.within == [(109, cost) for cost in TRIPLED] + [(time, 100_000) for time in STEPS]
    assert search.ends == [0] * 6 + [1, 3, 7, 15, 31, 63, FAR]
    assert found.limits == [(0, cost) for cost in TRIPLED[:5]] + [
        (width, FAR) for width in (0, 1, 3, 7, 15, 31, 63)
    ]


def test_it_ends_as_soon_as_nothing_wanted_lies_beyond() -> None:
    for lacking in (1, 2, 6, 7, 9):
        search = Wider()
        assert search._add_best(Beyond(lacking), 100, Fraction(10)) and len(search.ends) == lacking  # type: ignore[arg-type]
        search = Wider()
        assert search._add_cheap(Beyond(lacking)) and len(search.ends) == lacking  # type: ignore[arg-type]
    for looks in (1, 2, 6, 7, 9):
        search = Wider(looks=looks)
        assert not search._add_best(Beyond(), 100, Fraction(10)) and len(search.ends) == looks  # type: ignore[arg-type]


def test_all_steps_are_looked_at_where_the_time_ends_first() -> None:
    """Within 119 (the second step) or 110: its end counts no more; within 109 or 100 the first is the last."""
    for most_time, within, ends in (
        (119, [109, 119], [0, FAR]),
        (110, [109, 110], [0, FAR]),
        (120, [109, 119, 120], [0, 1, FAR]),
    ):
        search = Wider(most_time=most_time, most_cost=6000)
        assert search._add_best(Beyond(), 100, Fraction(10))  # type: ignore[arg-type]
        assert search.within == [(time, 6000) for time in within] and search.ends == ends
    for most_time in (109, 100):
        search = Wider(most_time=most_time, most_cost=8000)
        assert search._add_best(Beyond(), 100, Fraction(10))  # type: ignore[arg-type]
        assert search.starts == [most_time] and search.within == [(most_time, 6000), (most_time, 8000)]
        assert search.ends == [FAR, FAR]


def test_steps_up_to_eight_times_the_least() -> None:
    """With steps of a millionth from 1: 1, 2, 4, 8, and beyond 8 all."""
    search = Wider(most_cost=6000)
    assert search._add_best(Beyond(), 1, Fraction(0))  # type: ignore[arg-type]
    assert [time for time, _ in search.within] == [1, 2, 4, 8, 10_000] and search.ends == [0, 1, 3, 7, FAR]


def test_less_money_where_more_are_too_many_rows() -> None:
    """From 50.00: 60.00 are too many, 55.00 are looked at; 57.50 too; then less than 2.00 more would be left. At 52.49 the
    first is too wide thrice (5.00, 2.50, then 1.25 is less than 2.00)."""
    for ask in (lambda s: s._add_best(Beyond(), 100, Fraction(10)), lambda s: s._add_cheap(Beyond())):
        search = Wider(5999)
        assert not ask(search)
        assert [cost for _, cost in search.within] == [6000, 5500, 5750] and len(search.ends) == 2
        search = Wider(5249)
        assert not ask(search)
        assert [cost for _, cost in search.within] == [6000, 5500, 5250] and search.ends == []
    # In later steps all the money is asked for: too many rows there end it.
    search = Wider(99_999, most_cost=100_000, start=99_500)
    assert not search._add_best(Beyond(), 100, Fraction(10))  # type: ignore[arg-type]
    assert [cost for _, cost in search.within] == [100_000, 99_750]


def test_too_many_rows_in_a_later_step_end_it() -> None:
    search = Wider(most_cost=6000)
    plain = search.rows_within
    search.rows_within = lambda time, cost: None if time > 139 else plain(time, cost)  # type: ignore[method-assign]
    assert not search._add_best(Beyond(), 100, Fraction(10)) and search.ends == [0, 1, 3]  # type: ignore[arg-type]


def test_no_more_money_than_a_wanted_plan_costs() -> None:
    search = Wider()
    search._add_best(Beyond(1, 5400), 100, Fraction(10))  # type: ignore[arg-type]
    assert search.within == [(109, 5400)]
    search = Wider()
    search._add_cheap(Beyond(1, 5400))  # type: ignore[arg-type]
    assert search.within == [(10_000, 5400)] and search.ends == [5400]


def test_the_cheap_ones_for_more_and_more_money() -> None:
    """10.00 above the least, then 10.00 more, then half as much again each time."""
    search, found = Wider(most_cost=14_000), Beyond()
    assert search._add_cheap(found)  # type: ignore[arg-type]
    assert search.starts == [10_000]
    costs = [6000, 7000, 8000, 9500, 11_750, 14_000]
    assert search.within == [(10_000, cost) for cost in costs] and search.ends == costs
    assert found.limits == [(cost, FAR) for cost in costs[:-1]]


def test_below_the_least_cost_nothing_is_looked_at() -> None:
    """A plan beside another card is known that costs less than any row here; one that costs as much may be equalled."""
    for worst, looks in (((4999, 1), 0), ((5000, 1), 1), (None, 1)):
        search = Wider()
        assert search._add_cheap(Beyond(1, worst=worst)) and len(search.within) == looks  # type: ignore[arg-type]


def test_the_values_of_both_rankings() -> None:
    """Steps of 10 % of 100, of what is faster the first; cost and time."""
    seen: list[Shortlist] = []
    search: Any = Looking(
        _add_best=lambda found, *_: seen.append(found) or True,
        _add_cheap=lambda found: seen.append(found) or False,
    )
    assert search.best(100, Fraction(10), 3) == Found((), True) and search.cheap(4) == Found((), False)
    best, cheap = seen
    assert [best.value(time, 7) for time in (90, 100, 109, 110)] == [(0, 7), (0, 7), (0, 7), (1, 7)]
    assert (best.wanted, cheap.wanted, cheap.value(90, 7)) == (3, 4, (7, 90))
    for one, money in ((best, FAR), (cheap, 8)):
        for number in range(4):
            one.add(number, draft(500 + number, 5 + number))
        assert one.money == money


# -- the walk ----------------------------------------------------------------------------------------------------------


def leg(search: Any, found: Any) -> _Leg:
    return _Leg(search, found)


class Walked:
    """A frontier that lacks a plan beyond so many limits."""

    def __init__(self, lacking: list[bool], most_time: int = 900) -> None:
        self.limits: list[Goals] = []
        self._lacking, self.most_time = iter(lacking), most_time

    def any_beyond(self, limit: Goals) -> bool:
        self.limits.append(limit)
        return next(self._lacking)

    def open_rows(self, rows: Rows) -> Any:
        return rows.cost != 13


def test_a_leg_widens_its_money_until_a_plan_is_known() -> None:
    """From 50.00 on: 9.99 more (10.00 with the first), 15.00, 22.50 ...; with a plan the next widening is 10.00 again, and
    what was looked at is looked at first."""
    search = Wider(most_cost=100_000, most_time=900)
    found = Walked([True, True, False, True, False])
    own = leg(search, found)
    assert search.starts == [900]
    assert own.go()
    assert search.within == [(900, cost) for cost in (5999, 7499, 9749)] and search.ends == [5999, 7499, 9749]
    found.most_time = 800
    assert own.go()
    assert search.within[3:] == [(800, 10_749)] and search.ends[3:] == [9749, 10_749]
    assert found.limits == [(cost, FAR) for cost in search.ends]


def test_a_leg_ends_with_all_the_money() -> None:
    search = Wider(most_cost=6500, most_time=900)
    assert leg(search, Walked([True] * 9)).go() and search.ends == [5999, 6500]
    search = Wider(most_cost=5999, most_time=900)
    assert leg(search, Walked([True] * 9)).go() and search.ends == [5999]


def test_a_leg_gives_up() -> None:
    """At the limit of the work, or where more are too many rows."""
    search = Wider(looks=2, most_time=900)
    assert not leg(search, Walked([True] * 9)).go() and search.ends == [5999, 7499]
    search = Wider(7498, most_time=900)
    assert not leg(search, Walked([True] * 9)).go() and search.ends == [5999]


def test_a_leg_asks_and_remembers_only_rows_that_are_open() -> None:
    """A row for 13 is not: neither queued nor, when it is asked, asked about."""
    rows = rows_of([100, 200, 300], [5, 13, 7])
    search = Looking(
        columns=columns(cheapest=lambda _: 5), rows_within=lambda *_: rows, asked=as_rows, most_time=900
    )
    told: list[Any] = []
    search._look = lambda queue, end, found: told.append([queue.pop(cost_first) for _ in range(3)]) or True  # type: ignore[method-assign]
    opened: list[Any] = []
    search.open_among = lambda asked, most_time, most_cost: (
        opened.append(([r.key[0] for r in asked], most_time, most_cost)) or "rows"
    )  # type: ignore[method-assign, assignment]
    found = Walked([False])
    own = leg(search, found)
    assert own.go()
    assert [None if one is None else one.row.key[0] for one in told[0]] == [0, 2, None]
    assert own.open_rows(70) == "rows"  # type: ignore[comparison-overlap]
    assert search.bounds.most_cost == 5 - 1 + 1000
    found.most_time = 300
    own.open_rows(FAR)
    found.most_time = 299
    own.open_rows(2 * FAR)
    found.most_time = 900
    own.open_rows(1)
    assert opened == [([0, 2], 900, 70), ([0, 2], 300, FAR - 1), ([0], 299, FAR - 1), ([0], 900, 1)]
    asked = own._ask(rows)
    assert [row.key[0] for row in asked] == [0, 2]


@pytest.mark.parametrize(
    "plans, whole, point",
    [
        ([(70, 300)], [True], (70, 1, True, ("open 70",))),
        ([(70, 300)], [False], (70, 1, False, ())),
        ([], [True, True], (100_000, 0, True, ("open 100000", "open 100000"))),
        ([(70, 300), (60, 400)], [True, False], (60, 1, False, ())),
    ],
)
def test_a_point_of_the_walk(
    plans: list[tuple[int, int]], whole: list[bool], point: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its legs one after the other, each asked even where one before gave up; open rows only where none did."""
    order: list[Any] = []

    class Fixed:
        def __init__(self, search: Any, found: Frontier) -> None:
            self._number, self._found = search, found

        def go(self) -> bool:
            order.append(self._number)
            for cost, time in plans if self._number == 0 else []:
                self._found.add(None, draft(time, cost))
            return whole[self._number]

        def open_rows(self, most_cost: int) -> Any:
            return f"open {most_cost}"

    monkeypatch.setattr(module, "_Leg", Fixed)
    search: Any = Looking(
        own_parts=list(range(len(whole))), in_turn=lambda parts: order.append("turn") or iter(parts)
    )
    walk = Walk(search)
    found = walk.next_point(800)
    assert (found.most_cost, len(found.found.drafts), found.found.exhausted, found.rows) == point
    assert found.most_time == search.most_time == 800 and order == ["turn", *range(len(whole))]
    if plans:
        assert found.found.first is not None and found.found.first.cost == min(cost for cost, _ in plans)
        # What takes longer than the next time counts no more.
        assert walk.next_point(299).found.first is None or plans
