"""Windows at their limits: which rows are no worse, how much money is enough, how many combinations there are, and the
candidates that miss the limits by least, by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from search.tiny import board, cpu, keys, kit, left, priced, problem_of, screened_of
from support import BOARD, CPU, KIT, PSU, make_problem, make_survey

from partsolver.plan.draft import Draft
from partsolver.problem.candidates import Parts
from partsolver.rules import all_rules, rule
from partsolver.search import window as module
from partsolver.search.pool import FAR, MAIN
from partsolver.search.prune import Screened
from partsolver.search.rows import Rows
from partsolver.search.search import Search
from partsolver.search.window import (
    combinations_of,
    enough_from,
    limits_of_ranks,
    nearest_window,
    whole_window,
    window_faster_than,
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


def test_the_present_parts_count_together_whatever_their_facts() -> None:
    survey = make_survey(board=replace(BOARD, id="kept-board", socket=None, memory_generation="ddr2"))
    pool = screened_of(problem_of({}, survey=survey, boards=(), cpus=(), memory=()), ["buying.stock"]).pool
    assert keys(pool.left["board"]) == ["kept-board"] and combinations_of(pool) == 1


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
    window = window_faster_than(found, search, near)
    assert left(window.pool, "board", "cpu") == [["board-a", "board-b"], ["cpu-a", "cpu-b"]]
    same = Draft(slow.parts, slow.lines, slow.deliveries, slow.cost, fast.time_ppm)
    window = window_faster_than(found, search, same)
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
        assert left(window_within(found, search, FAR, most).pool, "board") == boards


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
        assert len(window_within(found, search, FAR, most).pool.left["psu"]) == supplies


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
