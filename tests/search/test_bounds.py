"""No bound lies above the truth: every number that bounds time or cost from below, against every plan that
brute force finds (all combinations under the plain rules, tests/brute.py)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any
from unittest.mock import patch

import numpy as np
from adversarial import adversarial
from brute import drafts
from conftest import FULL
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import Instance, instances
from support import BOARD, CPU, KIT, make_problem, make_survey

from partsolver.base.quantities import FAR
from partsolver.catalog.records import Offer
from partsolver.plan.draft import Draft
from partsolver.problem.candidates import SLOTS, Candidate
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.search import row_rules, ways
from partsolver.search.bounds import Figures
from partsolver.search.pool import MAIN, REST
from partsolver.search.prune import Screened, screened
from partsolver.search.rows import Columns, Row, Rows
from partsolver.search.search import Search

MANY = settings(max_examples=250 if FULL else 20)
# Two boards, processors, kits, and what may be replaced: some hundred combinations, tried in a moment.
SMALL = instances(most=2, bundles=True)


def known(problem: Problem) -> tuple[Screened, list[Draft]] | None:
    """What the first step of the pruning leaves, and every plan; None when there is none."""
    every = list(drafts(problem))
    found = screened(problem, all_rules())
    assert found is not None or not every, "the screening left nothing, but there are plans"
    return None if found is None or not every else (found, every)


def held(found: Screened, draft: Draft) -> bool:
    """Whether every part of a plan is left (any cooler: the completion chooses it)."""
    return all(
        any(c is draft.parts.candidate(slot) for c in found.pool.left[slot])
        for slot in SLOTS
        if slot != "cooler"
    )


def place(listed: list[Any], candidate: Any) -> int:
    return next(i for i, c in enumerate(listed) if c is candidate)


def check_screening(found: Screened, every: list[Draft]) -> None:
    """No plan loses a part to the screening, and the bounds of each part hold for it."""
    figures = Figures(found.pool)
    cost, time = figures.cost_bounds(), figures.time_bounds()
    for draft in every:
        assert held(found, draft), draft.parts.keys
        for slot in SLOTS:
            if slot == "cooler":
                continue
            number = place(found.pool.left[slot], draft.parts.candidate(slot))
            assert cost[slot][number] <= draft.cost, (slot, draft.parts.keys)
            if slot in time:
                assert time[slot][number] <= draft.time_ppm, (slot, draft.parts.keys)


def check_rows(found: Screened, every: list[Draft]) -> dict[Any, int]:
    """The bounds of rows, of processors, and of ways to fill the other slots. Returns what rows need."""
    search = Search(found.pool, found.quick, found.most_time, found.most_cost)
    columns = search.columns
    rows = columns.rows_within(FAR, FAR)
    assert rows is not None
    bound_of = dict(zip(rows.keys, zip(rows.time_ppm.tolist(), rows.cost.tolist(), strict=True), strict=True))
    numbers_of = {}
    for draft in every:
        key = tuple(place(found.pool.left[slot], draft.parts.candidate(slot)) for slot in MAIN)
        board, cpu, memory = key
        time, cost = bound_of[board, cpu, memory]
        assert time <= draft.time_ppm and cost <= draft.cost, draft.parts.keys
        assert columns.cpu_bound[cpu] <= draft.time_ppm
        assert columns.least_cost(cpu) <= draft.cost, "least cost of a processor"
        assert columns.cheapest(draft.time_ppm) <= draft.cost
        assert not columns.times_are_exact or time == draft.time_ppm
        rest = tuple(draft.parts.candidate(slot) for slot in REST[1:])
        numbers = numbers_of.setdefault(board, _ways(search, board))
        number = numbers[_told_apart(search, rest)]
        check_row(search, rows, key, number, draft)
        limited = columns.rows_within(draft.time_ppm, draft.cost)
        assert limited is not None and (board, cpu, memory) in limited.keys
        beside_cooler = search.rows_within(draft.time_ppm, draft.cost)
        assert beside_cooler is not None and (board, cpu, memory) in beside_cooler.keys
    assert _keys(found, every) <= set(search.open_rows(rows, FAR, FAR - 1).keys)
    search.rest()
    return {row.key: row.needed for row in search.asked(rows)}


def check_row(search: Search, rows: Rows, key: Any, number: int, draft: Draft) -> None:
    """The bounds of a row whose rules were asked, for any money that pays for the plan, asked alone or
    with others."""
    alone = rows.selected(np.array([k == key for k in rows.keys]))
    for most in (draft.cost, draft.cost + 1, draft.cost + 500, FAR):
        search.bounds.most_cost = most
        for asked in (search.asked(alone), [row for row in search.asked(rows) if row.key == key]):
            (row,) = asked
            assert row.cost <= draft.cost and row.time_ppm <= draft.time_ppm, draft.parts.keys
            assert search._bound(row, number) <= draft.cost and search._bound(row, 0) == row.cost
            close = search.bounds.least_cost(draft.parts, row.needed, search._way_slots, search._row_slots)
            assert close <= draft.cost, (draft.parts.keys, most, close, draft.cost)
            check_way(search, row, number, draft)
    search.rest()


def check_way(search: Search, row: Row, number: int, draft: Draft) -> None:
    """The bounds of the way of a plan hold whatever its card is, and its cheapest plan is found."""
    rest = search.rests.rest(row.key[0], number)
    assert rest is not None
    way = search._find_way(row, rest[1])
    assert way is not None and way[0] <= draft.cost and way[1] <= draft.time_ppm, draft.parts.keys
    cheapest = search._drafted(row.key, way)
    assert cheapest is not None and cheapest.cost <= draft.cost, draft.parts.keys


def _keys(found: Screened, every: list[Draft]) -> set[Any]:
    return {tuple(place(found.pool.left[s], d.parts.candidate(s)) for s in MAIN) for d in every}


def _ways(search: Search, board: int) -> dict[Any, int]:
    """The numbers of the ways to fill the other slots beside a board, by what tells them apart."""
    found: dict[Any, int] = {}
    while (rest := search.rests.rest(board, len(found))) is not None:
        found[_told_apart(search, rest[1][1:])] = len(found)
    return found


def _told_apart(search: Search, rest: Sequence[Candidate]) -> tuple[str, ...]:
    """The keys of supply, case, drive and graphics card; where the cards are alike any of them makes the
    same way."""
    return tuple(c.key for c in (rest if search.cards is None else rest[:-1]))


def check_remembered(found: Screened, every: list[Draft]) -> None:
    """The remembered refusals (asked of few parts, told by kinds) refuse no plan."""
    everything = frozenset(SLOTS) - {"cooler"}
    for draft in every:
        for read in (
            frozenset({"board", "cpu"}),
            frozenset({"board", "memory"}),
            everything - {"psu"},
            everything,
        ):
            assert found.quick.least(draft.parts, read) < FAR, draft.parts.keys


def check_all(problem: Problem) -> None:
    both = known(problem)
    if both is not None:
        check_screening(*both)
        needed = check_rows(*both)
        # As many rows are asked: by arrays, with the deliveries of all of them bounded at once.
        with patch.object(row_rules, "FEW", 0), patch.object(ways, "MANY", 0):
            at_once = check_rows(*both)
        assert at_once.items() <= needed.items(), "a closer bound refuses more, and rules say the same"
        check_remembered(*both)


@MANY
@given(SMALL)
def test_no_bound_lies_above_a_plan(instance: Instance) -> None:
    check_all(instance.problem())


@MANY
@given(adversarial(most=2), st.sampled_from(["400.00", "95.00"]))
def test_no_bound_lies_above_a_hard_plan(instance: Instance, budget: str) -> None:
    check_all(instance.problem(budget=budget, min_speedup=None))


@settings(max_examples=25 if FULL else 5)
@given(adversarial(most=3))
def test_no_bound_of_a_row_lies_above_one_of_many_hard_plans(instance: Instance) -> None:
    both = known(instance.problem(budget="400.00", min_speedup=None))
    if both is not None:
        check_rows(*both)


@MANY
@given(st.lists(st.integers(10, 60), min_size=8, max_size=8))
def test_the_least_cost_of_a_processor_is_no_more_than_its_cheapest_plan(prices: list[int]) -> None:
    """Two kinds of memory, two boards and two kits of each: the least is over all of them, and here, where
    nothing else is bought and no delivery counts, it is the cost of the cheapest plan itself (by hand)."""
    ddr3 = {"memory_generation": "ddr3", "memory_max_rate_mts": 1600}
    boards = [replace(BOARD, id=f"board-{n}", name=f"Board {n}", **(ddr3 if n % 2 else {})) for n in range(4)]
    old = {"generation": "ddr3", "rate_mts": 1600, "voltage_mv": 1500}
    kits = [replace(KIT, id=f"kit-{n}", name=f"Kit {n}", **(old if n % 2 else {})) for n in range(4)]
    cpu = replace(CPU, memory_rates=(("ddr3", 1600), ("ddr4", 2666)))
    offers = [Offer(p.id, "shop", 100 * n) for p, n in zip([*boards, *kits], prices, strict=True)]
    problem = make_problem(
        make_survey(memory=()),
        boards=boards,
        cpus=[cpu],
        memory=kits,
        coolers=(),
        offers=[*offers, Offer(cpu.id, "shop", 900)],
    )
    found = screened(problem, all_rules())
    assert found is not None
    columns = Search(found.pool, found.quick, found.most_time, found.most_cost).columns
    (number,) = [i for i, c in enumerate(columns.cpus) if c.id is not None]
    kinds = (slice(0, 4, 2), slice(1, 4, 2))
    cheapest = min(min(prices[:4][kind]) + min(prices[4:][kind]) for kind in kinds)
    assert columns.least_cost(number) == 900 + 100 * cheapest


@MANY
@given(instances(most=3))
def test_rows_are_the_same_however_many_are_compared_at_once(instance: Instance) -> None:
    found = screened(instance.problem(), all_rules())
    if found is None:
        return
    whole = Columns(found.pool).rows_within(FAR, FAR)
    with patch("partsolver.search.rows.MOST_COMPARED", 1), patch("partsolver.search.rows.MOST_AT_ONCE", 2):
        pieces = Columns(found.pool).rows_within(FAR, FAR)
    assert whole is not None and pieces is not None and len(whole)
    assert whole.keys == pieces.keys
    assert whole.time_ppm.tolist() == pieces.time_ppm.tolist()
    assert whole.cost.tolist() == pieces.cost.tolist()
