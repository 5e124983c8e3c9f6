"""Windows at their limits: which rows are no worse, how much money is enough, how many combinations there are, and the
candidates that miss the limits by least, by hand."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from search.tiny import board, cpu, keys, kit, left, priced, problem_of, screened_of
from search.traces import least
from search.traces import left as screened_left
from support import BOARD, CPU, GRAPHICS, KIT, PSU, make_problem, make_survey

from partsolver.base.quantities import FAR
from partsolver.plan.draft import Draft
from partsolver.problem.candidates import SLOTS, Parts, SlotName
from partsolver.rules import all_rules, rule
from partsolver.search import window as module
from partsolver.search.pool import MAIN
from partsolver.search.prune import Screened
from partsolver.search.rows import Rows
from partsolver.search.search import Point, Search
from partsolver.search.shortlist import Found
from partsolver.search.window import (
    LEAST_EACH,
    combinations_of,
    enough_from,
    limits_of_ranks,
    nearest_window,
    whole_window,
    window_faster_than,
    window_of_points,
    window_within,
)
from partsolver.wishes.brief import Brief

FOUND = Screened(None, None, 900, 500)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "worst, least, limits",
    [
        (None, 100, (900, 500)),
        (None, None, (900, 500)),
        ((300, 7), None, (900, 300)),
        ((700, 7), None, (900, 500)),
        # In the first step the cost of the last counts, beyond it all the money; a step of 10 % of 100 is 10 (109 is of the first, 110 of the next).
        ((0, 300), 100, (109, 300)),
        ((0, 700), 100, (109, 500)),
        ((1, 300), 100, (119, 500)),
        ((2, 300), 100, (129, 500)),
        ((80, 300), 100, (900, 500)),
    ],
)
def test_the_limits_of_plans_that_are_no_worse(
    worst: Any, least: int | None, limits: tuple[int, int]
) -> None:
    assert limits_of_ranks(FOUND, worst, least, Fraction(10)) == limits


def test_rows_that_are_no_worse() -> None:
    first, second = np.array([0, 1, 1, 1, 2]), np.array([99, 4, 5, 6, 0])
    assert module._no_worse((first, second), (1, 5)).tolist() == [True, True, True, False, False]


def rows_for(costs: list[int]) -> Rows:
    none = np.zeros(len(costs), dtype=np.int64)
    return Rows(none, none, none, none, np.array(costs))


def test_money_for_so_many_rows() -> None:
    """The third cheapest of 5, 1, 9, 7 costs 7."""
    rows = rows_for([5, 1, 9, 7])
    assert [module._cost_of_enough(rows, n) for n in (1, 2, 3, 4)] == [1, 5, 7, 9]
    assert module._cost_of_enough(rows, 5) == FAR == module._cost_of_enough(None, 1)


def test_money_for_so_many_rows_of_any_order() -> None:
    """Against the sorted costs, of more rows than are put in order anyway."""
    costs = [place * 7919 % 2003 for place in range(2000)]
    rows = rows_for(costs)
    for number in (1, 2, 3, 10, 999, 1000, 1001, 1999, 2000):
        assert module._cost_of_enough(rows, number) == sorted(costs)[number - 1]


# -- the nearest rows beyond a window ----------------------------------------------------------------------------------


class Asked:
    """A stand-in of a search: all rows within a time and a cost as many as its list says, one after the other."""

    def __init__(self, counts: list[int | None], own: list[int | None], parts: Sequence[Asked] = ()) -> None:
        self.calls: list[tuple[int, int]] = []
        self.looked: list[tuple[int, int]] = []
        self._counts, self._own = iter(counts), iter(own)
        self.columns = SimpleNamespace(rows_within=self._within)
        self.parted = parts or (self,)

    def _within(self, most_time: int, most_cost: int) -> Rows | None:
        self.calls.append((most_time, most_cost))
        count = next(self._counts)
        return None if count is None else rows_for([10] * count)

    def rows_within(self, most_time: int, most_cost: int) -> Rows | None:
        self.looked.append((most_time, most_cost))
        count = next(self._own)
        return None if count is None else rows_for([10] * count)


def nearest_asked(
    search: Any, most_time: int, most_cost: int, least: int, monkeypatch: pytest.MonkeyPatch
) -> tuple[int, ...]:
    """What is returned, and how many rows were chosen from (no combination is ever there)."""
    monkeypatch.setattr(module, "_count", lambda *_: 0)
    taken: list[int] = []

    def goals(rows: Rows) -> tuple[Any, Any]:
        taken.append(len(rows))
        return rows.cost, rows.time_ppm

    found = module._add_nearest(search, most_time, most_cost, goals, least, [set(), set(), set()])
    return found, *taken


# By 2, 10, 30, 100, 300, 1000, 4000 and 20000 thousandths of 1000 ppm and of 5.00 with 10.00 more.
WIDENED = [
    (1002, 503), (1010, 515), (1030, 545), (1100, 650), (1300, 950), (2000, 2000), (5000, 6500), (21000, 30500),
]  # fmt: skip


@pytest.mark.parametrize(
    "counts, calls, rows",
    [
        ([3], 0, 3),
        ([4], 0, 4),
        ([2, 3], 1, 3),
        ([0, 0, 0, 0, 0, 0, 0, 0, 3], 8, 3),
        ([0, 1, 1, 1, 2, 2, 2, 2, 2], 8, 2),
        # What is too many is not taken.
        ([2, None, None, None, None, None, None, None, None], 8, 2),
    ],
)
def test_limits_are_widened_until_there_are_enough_rows(
    counts: list[int | None], calls: int, rows: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    search = Asked(counts, [])
    found = nearest_asked(search, 1000, 500, 3, monkeypatch)
    assert search.calls == [(1000, 500), *WIDENED[:calls]] and search.looked == []
    assert found == (10 if counts[0] in (3, 4) else FAR, rows)


def test_limits_beyond_any_stay_so(monkeypatch: pytest.MonkeyPatch) -> None:
    search = Asked([0] * 9, [])
    nearest_asked(search, FAR, FAR - 1, 3, monkeypatch)
    assert search.calls == [(FAR, FAR - 1)] + [(FAR, FAR)] * 8


def test_where_too_many_rows_are_within_the_limits(monkeypatch: pytest.MonkeyPatch) -> None:
    """With those that the rules refuse: the others; of these as well, beside any card: those beside the first."""
    search = Asked([None, 5], [2])
    assert nearest_asked(search, 1000, 500, 3, monkeypatch) == (FAR, 5)
    assert (search.calls, search.looked) == ([(1000, 500), WIDENED[0]], [(1000, 500)])
    cards = [Asked([], [3]), Asked([], [4])]
    search = Asked([None], [None], cards)
    assert nearest_asked(search, 1000, 500, 3, monkeypatch) == (FAR, 3)
    assert cards[0].looked == [(1000, 500)] and cards[1].looked == []


@pytest.mark.parametrize("most_rows", [1, 2])
def test_more_rows_beside_any_card_than_beside_each(most_rows: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Three combinations are within the limits beside the fastest card or the cheapest, one beside a card: with fewer
    allowed than three the window holds that one (no window was made before)."""
    fast, found = least("games"), screened_left("games")
    search = found.search()
    limits = fast.time_ppm, fast.cost
    assert len(search.rows_within(*limits) or ()) == 3
    assert sorted(len(part.rows_within(*limits) or ()) for part in search.parted) == [0, 0, 1]
    monkeypatch.setattr("partsolver.search.rows.MOST_ROWS", most_rows)
    window = window_within(found, found.search(), *limits, 1)
    assert fast.parts.board in [c.part for c in window.pool.left["board"]]
    assert (window.combinations, window.enough_from) == (1, FAR)


@pytest.mark.parametrize(
    "least, added",
    [
        (1, 0), (2, 1), (19, 18),
        # Up to 39 one at a time, from 40 on two, from 60 on three: then it may be one or two more than needed (never more than wanted).
        (38, 37), (39, 38), (40, 40), (41, 40), (59, 58), (60, 60), (61, 60), (62, 62),
    ],
)  # fmt: skip
def test_the_nearest_are_added_a_few_at_a_time(
    least: int, added: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Boards by rising cost, and at equal cost by time (their numbers are shuffled); one board is there already."""
    order = [number * 31 % 71 for number in range(71)]
    none = np.zeros(71, dtype=np.int64)
    cost, time = np.empty(71, dtype=np.int64), np.empty(71, dtype=np.int64)
    for place, number in enumerate(order):
        cost[number], time[number] = place // 3, place
    rows = Rows(np.arange(71), none, none, time, cost)
    search: Any = SimpleNamespace(columns=SimpleNamespace(rows_within=lambda *_: rows))
    monkeypatch.setattr(module, "_count", lambda _, chosen: len(chosen[0]))
    chosen: list[set[int]] = [{99}, set(), set()]
    enough = module._add_nearest(search, 100, 100, module._cost_then_time, least, chosen)
    assert enough == (least - 1) // 3
    assert chosen == [{99, *order[:added]}, {0} if added else set(), {0} if added else set()]


def test_no_more_rows_are_added_than_combinations_are_wanted(monkeypatch: pytest.MonkeyPatch) -> None:
    none = np.zeros(9, dtype=np.int64)
    rows = Rows(np.arange(9), none, none, none, np.arange(9))
    search: Any = SimpleNamespace(columns=SimpleNamespace(rows_within=lambda *_: rows))
    monkeypatch.setattr(module, "_count", lambda *_: 0)
    for most in (1, 4, 8):
        chosen: list[set[int]] = [set(), set(), set()]
        module._add_nearest(search, 100, 100, module._cost_then_time, most, chosen)
        assert chosen[0] == set(range(most))
    # Nothing more is counted once there are enough: with six, seven and eight of eight.
    counts: list[int] = []
    monkeypatch.setattr(module, "_count", lambda _, own: counts.append(len(own[0])) or len(own[0]))  # type: ignore[func-returns-value]
    module._add_nearest(search, 100, 100, module._cost_then_time, 8, [set(range(90, 96)), set(), set()])
    assert counts == [6, 7, 8]


def test_the_limits_of_a_window_of_points(monkeypatch: pytest.MonkeyPatch) -> None:
    """The nearest beyond the rows of all points are those within the time and the money of the last; what is left over
    is the most of any point: 85.00 beside rows from 80.00 on, 90.00 beside rows from 84.00 on."""
    found, search = searched(shop())
    rows = search.rows_within(FAR, 8400)
    assert rows is not None and sorted(rows.cost.tolist()) == [0, 8000, 8400]
    points = [
        Point(900, 8500, Found((), True), (rows.selected(rows.cost == 8000),)),
        Point(700, 9000, Found((), True), (rows.selected(rows.cost == 8400),)),
    ]
    asked: list[Any] = []
    monkeypatch.setattr(module, "_add_nearest", lambda *told: asked.append(told))
    spare: list[int] = []
    plain = module._pool_of

    def pool_of(*told: Any, **named: Any) -> Any:
        spare.append(told[2].spare)
        assert told[3:] == (9000,) and named == {"narrow": False}
        return plain(*told, **named)

    monkeypatch.setattr(module, "_pool_of", pool_of)
    window = window_of_points(found, search, points)
    assert [told[:5] for told in asked] == [(search, 700, 9000, module._cost_then_time, 2 * LEAST_EACH)]
    assert spare == [600] and window.combinations == 2
    assert left(window.pool, *MAIN) == [["board-a", "board-b"], ["cpu-a"], ["kit-a*1"]]


SHOP = {"board-a": 4000, "board-b": 4400, "cpu-a": 3000, "cpu-b": 3900, "kit-a": 1000}


def shop(**more: Any) -> Any:
    return problem_of(
        SHOP,
        boards=[board("a"), board("b", sata_6g_ports=6)],
        cpus=[cpu("a"), cpu("b", serial_score=2000, parallel_score=8000)],
        **more,
    )


def searched(problem: Any) -> tuple[Screened, Search]:
    found = screened_of(problem)
    return found, Search(found.pool, found.quick, found.most_time, found.most_cost)


def test_money_from_which_on_there_are_enough() -> None:
    """80.00 for the cheapest new row; the present parts are a row as well."""
    _, search = searched(shop())
    assert [enough_from(search, FAR, FAR, n) for n in (1, 2, 3, 4, 5)] == [0, 8000, 8400, 8900, 9000]
    assert enough_from(search, FAR, 8399, 3) == FAR and enough_from(search, FAR, 8400, 3) == 8400
    assert enough_from(search, 0, FAR, 1) == FAR


def test_combinations_that_go_together() -> None:
    """Two boards, two processors and two numbers of kits; the present board with its own."""
    pool = screened_of(shop()).pool
    assert combinations_of(pool) == 2 * 2 * 2 + 1
    unknown = [board("a", memory_generation=None), board("b", socket=None)]
    pool = screened_of(shop(), ["buying.stock"]).pool
    problem = problem_of(
        SHOP, boards=unknown, cpus=[cpu("a"), cpu("b", socket=None)], memory=[kit("a", generation=None)]
    )
    listed = [list(problem.slot(slot)) for slot in MAIN]
    own = replace(
        pool, problem=problem, by_socket=True, by_generation=True, left=dict(zip(MAIN, listed, strict=True))
    )  # type: ignore[arg-type]
    memory = len(problem.slot("memory"))
    # board-a (its memory is not known) takes any; board-b has no socket that is known; the kept one takes its own
    # processor, and memory that is not known or its own.
    fits = sum(m.part.generation in ("ddr3", None) or m.kept for m in problem.slot("memory"))
    assert combinations_of(own) == 1 * memory + 1 * fits


@pytest.mark.parametrize(
    "socket, generation, count",
    [
        # Of its own facts, of others that nothing agrees with, of unknown ones: only what there is stays together.
        ("sock-0", "ddr3", 1),
        ("sock-9", "ddr2", 1),
        (None, "ddr2", 1),
        # Memory that is not known goes with any of the three choices.
        (None, None, 3),
        ("sock-9", None, 3),
        # What is bought that agrees (a processor, two choices of memory) and what there is beside it.
        ("sock-1", "ddr4", 2 * 3),
        ("sock-0", "ddr4", 1 * 3),
    ],
)
def test_the_present_parts_count_together_whatever_their_facts(
    socket: str | None, generation: str | None, count: int
) -> None:
    facts = replace(BOARD, id="kept-board", socket=socket, memory_generation=generation)
    problem = problem_of({"cpu-a": 1, "kit-a": 1}, survey=make_survey(board=facts), boards=())
    pool = replace(screened_of(problem, ["buying.stock"]).pool, by_socket=True, by_generation=True)
    assert left(pool, *MAIN) == [
        ["kept-board"],
        ["cpu-a", "kept-cpu"],
        ["kept-memory", "kit-a*1", "kit-a*2"],
    ]
    assert combinations_of(pool) == count
    pool.left["cpu"], pool.left["memory"] = pool.left["cpu"][1:], pool.left["memory"][:1]
    assert combinations_of(pool) == 1


@pytest.mark.parametrize("wanted, combinations", [(1, 4), (0, 4), (2, 8), (3, 9)])
def test_the_whole_window_counts_up_to_what_is_wanted(
    wanted: int, combinations: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(module, "LEAST_EACH", 4)
    found = screened_of(shop())
    window = whole_window(found, wanted)
    assert window.pool is found.pool and (window.combinations, window.enough_from) == (combinations, FAR)


def known(search: Search, **chosen: str) -> Draft:
    drafts = {d.parts.keys[:3]: d for d in search.cheap(9).drafts}
    return drafts[chosen["board"], chosen["cpu"], chosen["memory"]]


def test_faster_is_at_least_a_millionth_faster(monkeypatch: pytest.MonkeyPatch) -> None:
    """A known plan one millionth slower than the rows of cpu-b: they are in the window, with the known one; of the
    same time they are not."""
    found, search = searched(shop())
    slow = known(search, board="board-a", cpu="cpu-a", memory="kit-a*1")
    fast = known(search, board="board-a", cpu="cpu-b", memory="kit-a*1")
    search.rest()
    near = Draft(slow.parts, slow.lines, slow.deliveries, slow.cost, fast.time_ppm + 1)
    window = window_faster_than(found, search, near, 0)
    assert left(window.pool, "board", "cpu") == [["board-a", "board-b"], ["cpu-a", "cpu-b"]]
    same = Draft(slow.parts, slow.lines, slow.deliveries, slow.cost, fast.time_ppm)
    window = window_faster_than(found, search, same, 0)
    assert left(window.pool, "board", "cpu", "memory") == [["board-a"], ["cpu-a"], ["kit-a*1"]]
    assert (window.combinations, window.enough_from) == (None, 0)


def test_the_money_of_a_window_to_the_last_unit() -> None:
    found, search = searched(shop())
    for most, boards in (
        (7999, [["kept-board"]]),
        (8000, [["board-a", "kept-board"]]),
        (8400, [["board-a", "board-b", "kept-board"]]),
    ):
        search.rest()
        assert left(window_within(found, search, FAR, most, 0).pool, "board") == boards


def test_other_slots_as_far_as_the_money_left_over_goes() -> None:
    """Beside the cheapest row (80.00) a supply for 5.00 needs 85.00."""
    psus = [replace(PSU, id=f"psu-{n}", name=f"S {n}", rated_w=401 + n, year=2026) for n in range(2)]
    problem = make_problem(
        make_survey(memory=()),
        brief=Brief(budget="900.00", replace=("psu",)),
        psus=psus,
        coolers=(),
        offers=priced({"board-a": 4000, "cpu-a": 3000, "kit-a": 1000, "psu-0": 500, "psu-1": 700}),
    )
    found, search = searched(problem)
    for most, supplies in ((8499, 1), (8500, 2), (8699, 2), (8700, 3)):
        search.rest()
        assert len(window_within(found, search, FAR, most, 0).pool.left["psu"]) == supplies


# -- the candidates of what was chosen ---------------------------------------------------------------------------------


def drops(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Notes which of the two kinds of beaten candidates are left out."""
    calls: list[str] = []
    monkeypatch.setattr(module, "drop_dominated", lambda pool, _: calls.append("twins"))
    monkeypatch.setattr(module, "drop_coolers", lambda pool, _: calls.append("coolers"))
    return calls


def with_cards(count: int, use: Any) -> tuple[Screened, Search]:
    """Cards for 10.00, 20.00 ... beside what there is."""
    cards = [replace(GRAPHICS, id=f"card-{n}", name=f"K {n}", graphics_score=900 + n) for n in range(count)]
    brief = Brief(budget="900.00", use=use, replace=("graphics",))
    prices = SHOP | {f"card-{n}": 1000 * (n + 1) for n in range(count)}
    found = screened_of(problem_of(prices, graphics=cards, brief=brief))
    return found, found.search()


@pytest.mark.parametrize(
    "count, use, cards, spare, narrow, kept",
    [
        # Where every card has a search of its own: those asked, or in a wide window those that all the money pays for.
        (1, "games", ["card-0"], 0, True, ["card-0"]),
        (2, "games", ["kept-graphics", "card-1"], 0, True, ["kept-graphics", "card-1"]),
        (2, "games", [], 0, True, ["kept-graphics", "card-0", "card-1"]),
        (2, "games", ["card-1"], 0, False, ["kept-graphics", "card-0", "card-1"]),
        (3, "games", ["card-1"], 0, False, ["kept-graphics", "card-0", "card-1"]),
        # Else those that the money left over pays for.
        (2, "office", ["kept-graphics"], 999, False, ["kept-graphics"]),
        (2, "office", ["kept-graphics"], 1000, True, ["kept-graphics", "card-0"]),
        (1, "office", [], 0, True, ["kept-graphics"]),
    ],
)
def test_the_cards_of_a_window(
    count: int,
    use: Any,
    cards: list[str],
    spare: int,
    narrow: bool,
    kept: list[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Of 20.00 in all; what always beats others is left out of the rest, twins of narrow windows only."""
    found, search = with_cards(count, use)
    assert len(search.parted) == (count + 1 if use == "games" else 1)
    calls = drops(monkeypatch)
    own = {c for c in search.pool.left["graphics"] if c.key in cards}
    pool = module._pool_of(found, search, module._Chosen([{0}, {0}, {0}], own, spare), 2000, narrow)
    assert sorted(keys(pool.left["graphics"])) == sorted(kept) and pool.alive
    assert calls == (["coolers", "twins"] if narrow else ["coolers"])


def test_a_window_without_a_candidate_has_nothing_beaten(monkeypatch: pytest.MonkeyPatch) -> None:
    found, search = with_cards(2, "games")
    calls = drops(monkeypatch)
    assert not module._pool_of(found, search, module._Chosen(), 2000, True).alive
    # Nearest rows, but no card for so little money.
    search.pool.left["graphics"] = [c for c in search.pool.left["graphics"] if not c.kept]
    chosen = module._Chosen([{0}, {0}, {0}])
    assert not module._pool_of(found, search, chosen, 999, False).alive and calls == []
    assert module._pool_of(found, search, chosen, 1000, False).alive and calls == ["coolers"]


def test_what_the_bounds_of_single_parts_leave(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nine boards, processors and memory choices within 90.00: coolers are looked at for so many, not for one more."""
    found, search = searched(shop())
    calls = drops(monkeypatch)
    for modelled, called in ((9, ["twins", "coolers"]), (8, ["twins"])):
        monkeypatch.setattr(module, "MOST_MODELLED", modelled)
        pool = module._by_single_bounds(found, search, FAR, 9000)
        assert [len(pool.left[slot]) for slot in MAIN] == [3, 3, 3] and calls == called
        calls.clear()
    # Within 84.00 no dear processor (89.00) and no second kit (90.00); within no time, or no money, nothing.
    pool = module._by_single_bounds(found, search, FAR, 8400)
    assert [len(pool.left[slot]) for slot in MAIN] == [3, 2, 2]
    calls.clear()
    for most_time, most_cost in ((0, 9000), (FAR, -1)):
        assert not module._by_single_bounds(found, search, most_time, most_cost).alive
    assert calls == []
    search.gone = "board-a"
    pool = module._by_single_bounds(found, search, FAR, 9000)
    # Beside the other board two kits make 94.00.
    assert left(pool, "board", "memory") == [["board-b", "kept-board"], ["kept-memory", "kit-a*1"]]


def test_without_a_row_no_money_is_left_over() -> None:
    found, search = with_cards(1, "office")
    card = next(c for c in search.pool.left["graphics"] if not c.kept)
    for cost, listed in ((0, ["kept-graphics", "card-0"]), (1, ["kept-graphics"])):
        search.pool.cost[card] = cost
        pool = module._pool_of(found, search, module._Chosen([{0}, {0}, {0}]), 2000, False)
        assert keys(pool.left["graphics"]) == listed


# -- where no plan should be -------------------------------------------------------------------------------------------


def near(most: int, ids: tuple[str, ...], monkeypatch: pytest.MonkeyPatch, **brief: Any) -> list[list[str]]:
    monkeypatch.setattr(module, "MOST_NEAREST", most)
    rules = [r for r in all_rules() if r.ID in ids] if ids else all_rules()
    return left(nearest_window(shop(brief=Brief(**brief)), rules).pool, "board", "cpu", "memory")


BOUGHT = ("buying.budget", "buying.minimums", "platform.socket", "memory.generation")


def test_candidates_that_miss_the_money_by_least(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of each slot the nearest by money, and always what is kept."""
    assert near(1, BOUGHT, monkeypatch, budget="50.00") == [["kept-board"], ["kept-cpu"], ["kept-memory"]]
    assert near(2, BOUGHT, monkeypatch, budget="50.00") == [
        ["board-a", "kept-board"],
        ["cpu-a", "kept-cpu"],
        ["kept-memory", "kit-a*1"],
    ]
    assert near(2, BOUGHT, monkeypatch, budget="0.00") == near(2, BOUGHT, monkeypatch, budget="50.00")
    assert near(24, BOUGHT, monkeypatch, budget="0.00")[0] == ["board-a", "board-b", "kept-board"]


def test_candidates_that_miss_the_time_by_least(monkeypatch: pytest.MonkeyPatch) -> None:
    """The faster processor first where speed is asked for, the cheaper where it is not."""
    wishes = {"budget": "900.00", "min_speedup": "20"}
    assert near(1, BOUGHT, monkeypatch, **wishes)[1] == ["cpu-b", "kept-cpu"]
    without = ("buying.budget", "platform.socket", "memory.generation")
    assert near(2, without, monkeypatch, **wishes)[1] == ["cpu-a", "kept-cpu"]
    wishes = {"budget": "1.00", "min_speedup": "1.1"}
    # 79 of 1 miss the money; without the budget's rule only time counts, which both processors keep.
    assert near(2, BOUGHT, monkeypatch, **wishes)[1] == ["cpu-a", "kept-cpu"]


@pytest.mark.parametrize("seed", range(150))
def test_the_nearest_candidates_against_a_plain_loop(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of each slot so many that miss money and time by the least share of each together, the cheaper first where that
    is equal (numbers whose shares are exact in binary); and whatever is kept."""
    draw = random.Random(seed)
    budget, longest, most = draw.choice([None, 0, 1, 2, 4]), draw.choice([1, 2, 4]), draw.randint(1, 5)
    ids = [one for one in ("buying.budget", "buying.minimums") if draw.random() < 0.7]
    names = "abcdefgh"
    prices = {f"{kind}-{n}": 1 for kind in ("board", "cpu") for n in names}
    problem = problem_of(prices, boards=[board(n) for n in names], cpus=[cpu(n) for n in names])
    problem = replace(problem, budget=budget)
    assert len(problem.slot("board")) == len(problem.slot("cpu")) == 9
    cost = {slot: np.array([draw.randint(0, 6) for _ in problem.slot(slot)]) for slot in SLOTS}
    time = {slot: np.array([draw.randint(0, 6) for _ in problem.slot(slot)]) for slot in MAIN}
    figures = SimpleNamespace(cost_bounds=lambda: cost, time_bounds=lambda: time)
    monkeypatch.setattr(module, "Figures", lambda pool: figures)
    monkeypatch.setattr(module, "most_time_ppm", lambda _: longest)
    monkeypatch.setattr(module, "MOST_NEAREST", most)
    pool = nearest_window(problem, [rule(one) for one in ids]).pool
    for slot in SLOTS:

        def place(number: int, slot: SlotName = slot) -> tuple[Fraction, int, int]:
            own, missed = int(cost[slot][number]), Fraction(0)
            if "buying.budget" in ids and budget is not None and own > budget:
                missed += Fraction(own - budget, budget or 1)
            if "buying.minimums" in ids and slot in MAIN and time[slot][number] > longest:
                missed += Fraction(int(time[slot][number]) - longest, longest)
            return missed, own, number

        listed = problem.slot(slot)
        near = sorted(range(len(listed)), key=place)[:most]
        assert pool.left[slot] == [c for n, c in enumerate(listed) if n in near or c.kept or c.id is None]


def test_the_nearest_window_counts_its_combinations() -> None:
    problem = shop()
    window = nearest_window(problem, [rule("platform.socket"), rule("memory.generation")])
    assert window.combinations == combinations_of(window.pool) == 9 and window.enough_from == FAR
    empty = replace(problem, candidates={**problem.candidates, "psu": ()})
    assert nearest_window(empty, []).combinations == 0


def test_what_a_candidate_costs_where_it_cannot_be_bought() -> None:
    _, candidate = make_problem(coolers=()).slot("memory")[0], make_problem(coolers=()).slot("memory")[2]
    assert (candidate.key, module._least_price(candidate, 70), module._least_price(candidate, FAR)) == (
        "kit-a*2",
        70,
        2004,
    )
    kept = make_problem().slot("board")[1]
    assert module._least_price(kept, 0) == 0 and module._least_price(kept, 3 * FAR) == FAR
    assert (BOARD.id, CPU.id, KIT.id) == ("board-a", "cpu-a", "kit-a") and Parts(()).keys == ()
