"""Bounds of single parts and of rows, as exact numbers: every row of small worlds against the plain law and plain loops,
whatever the limits; and what is dropped where a limit is one unit lower."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import FrozenInstanceError, replace
from functools import cache
from itertools import product
from types import SimpleNamespace
from typing import Any
from unittest.mock import patch

import numpy as np
import pytest
from search.tiny import board, cpu, keys, kit, left, priced, problem_of, screened_of
from support import BOARD, GRAPHICS, OLD_BOARD, OLD_CPU, PSU, make_problem, make_survey

from partsolver.assembly.pictures import drawing_card
from partsolver.base.quantities import FAR
from partsolver.catalog.records import DrivePart
from partsolver.performance.law import bandwidth_kbs, law_of
from partsolver.performance.time import time_ppm
from partsolver.problem.candidates import SLOTS, Candidate, Parts
from partsolver.problem.problem import Problem
from partsolver.search import rows as module
from partsolver.search.bounds import Figures, any_card, graphics_count
from partsolver.search.pool import MAIN, REST, Pool
from partsolver.search.rows import Columns, Row, Rows
from partsolver.survey.model import Card, MemoryModule
from partsolver.wishes.brief import Brief

DDR3: dict[str, Any] = {"generation": "ddr3", "rate_mts": 1600, "voltage_mv": 1500}
SLOW = DrivePart(
    "slow", "slow", kind="hdd35", interface="sata", sata_gbps10=30, read_mbs=150, capacity_gb=900
)
FAST = DrivePart("fast", "fast", None, "ssd", "m2-nvme", None, 3, 4, "m", 80, 2400, 500)
OLD_CARD = Card(
    name="old", kind="graphics", bus="pcie", lanes=16, height="low", width_slots=1, length_mm=160,
    graphics_score=120, outputs=("vga",), uefi=True, legacy_video=True,
)  # fmt: skip


def several(**more: Any) -> Problem:
    """Boards of two sockets and generations (one not known), processors and kits for them."""
    boards = [
        board("a"),
        board("b", memory_generation="ddr3", memory_max_rate_mts=1600),
        board("c", socket="sock-2", memory_channels=1, sata_6g_ports=0, sata_3g_ports=4, m2_slots=()),
        board("d", socket=None),
        board("e", memory_generation=None),
    ]
    cpus = [
        cpu("a"),
        cpu("b", socket="sock-2", serial_score=2000, memory_rates=(("ddr4", 2133),)),
        cpu("c", socket=None),
        cpu("d", socket="sock-3"),
    ]
    kits = [
        kit("a"),
        kit("b", **DDR3),
        kit("c", generation=None, rate_mts=None),
        kit("d", module_mib=1024, modules=1),
    ]
    parts = [*boards, *cpus, *kits]
    prices = {part.id: 1000 + 137 * n for n, part in enumerate(parts)}
    return make_problem(
        **{"boards": boards, "cpus": cpus, "memory": kits, "coolers": (), "offers": priced(prices), **more}
    )


WORLDS: dict[str, Any] = {
    "plain": several,
    # What is in the PC goes together whatever is written of it.
    "present parts of two sockets": lambda: several(
        survey=make_survey(board=replace(OLD_BOARD, socket="sock-9", memory_generation="ddr2"))
    ),
    "drives": lambda: several(
        brief=Brief(budget="900.00", replace=("drive", "psu")),
        drives=[SLOW, FAST],
        psus=[replace(PSU, id="psu-b", name="B")],
        offers=[*several().source.tables["offers"], *priced({"slow": 2000, "fast": 4000, "psu-b": 500})],
    ),
    "games": lambda: several(
        survey=make_survey(cards=(OLD_CARD,)),
        brief=Brief(budget="900.00", use="games", replace=("graphics",)),
        graphics=[GRAPHICS],
        cpus=[cpu("a"), cpu("n", graphics_score=0), cpu("u", graphics_score=None)],
        boards=[board("a"), board("g", graphics_score=60), board("n", graphics_score=0, slots=())],
        offers=priced(
            {"board-a": 4000, "board-g": 3500, "board-n": 3000, "cpu-a": 3000, "cpu-n": 2000, "cpu-u": 2500,
             "kit-a": 900, "kit-b": 800, "kit-c": 700, "kit-d": 600, "graphics-a": 5000}
        ),
    ),
    "games without a card": lambda: several(
        brief=Brief(budget="900.00", use="games"),
        cpus=[cpu("a"), cpu("n", graphics_score=0), cpu("u", graphics_score=None)],
        boards=[board("a"), board("g", graphics_score=60), board("n", graphics_score=0), board("y", year=2009)],
        offers=priced(
            {"board-a": 4000, "board-g": 3500, "board-n": 3000, "board-y": 10, "cpu-a": 3000, "cpu-n": 2000,
             "cpu-u": 2500, "kit-a": 900, "kit-b": 800, "kit-c": 700, "kit-d": 600}
        ),
    ),
}  # fmt: skip


@cache
def world(name: str) -> Problem:
    problem: Problem = WORLDS[name]()
    return problem


def pool_of(name: str, **more: Any) -> Pool:
    """Everything of a world, at the prices of its offers; what any supply needs bought costs 0.77."""
    problem = world(name)
    price = {
        c: min((o.price for o in c.offers), default=0) * c.quantity for s in SLOTS for c in problem.slot(s)
    }
    listed = {slot: list(problem.slot(slot)) for slot in SLOTS}
    cost = {c: value + 77 * (c.slot == "psu") for c, value in price.items()}
    return Pool(problem, listed, price, cost, {}, **more)


def together(pool: Pool, b: Candidate, c: Candidate, m: Candidate) -> bool:
    """As the docstrings of the pool say it: sockets that are known and agree, generations that agree or are not
    known; what is kept stays together."""
    sockets, generations = (pool.socket(b), pool.socket(c)), (pool.generation(b), pool.generation(m))
    return ((None not in sockets and sockets[0] == sockets[1]) or (b.kept and c.kept)) and (
        None in generations or generations[0] == generations[1] or (b.kept and m.kept)
    )


def plain_rows(pool: Pool) -> Iterator[tuple[tuple[int, int, int], int, int]]:
    """Key, least time over the other slots, and cost beside the cheapest of those."""
    rest_cost = sum(min(pool.cost[c] for c in pool.left[slot]) for slot in REST)
    rest = list(product(*(pool.left[slot] for slot in REST)))
    for key in product(*(range(len(pool.left[slot])) for slot in MAIN)):
        main = [pool.left[slot][number] for slot, number in zip(MAIN, key, strict=True)]
        if together(pool, *main):
            time = min(time_ppm(pool.problem, Parts((*main, *others))) for others in rest)
            yield key, time, sum(pool.cost[c] for c in main) + rest_cost  # type: ignore[misc]


def told(rows: Rows | None) -> dict[tuple[int, int, int], tuple[int, int]]:
    assert rows is not None and len(rows) == len(rows.keys) == len(set(rows.keys))
    return dict(zip(rows.keys, zip(rows.time_ppm.tolist(), rows.cost.tolist(), strict=True), strict=True))


@pytest.mark.parametrize("socket, generation", [(True, True), (False, True), (True, False)])
@pytest.mark.parametrize("name", ["plain", "games without a card"])
def test_rows_are_exact_where_nothing_else_is_open(name: str, socket: bool, generation: bool) -> None:
    pool = pool_of(name, by_socket=socket, by_generation=generation)
    columns = Columns(pool)
    expected = {key: (time, cost) for key, time, cost in plain_rows(pool)}
    assert columns.times_are_exact and told(columns.rows_within(FAR, FAR)) == expected
    times, costs = sorted({t for t, _ in expected.values()}), sorted({c for _, c in expected.values()})
    for most_time, most_cost in product(
        (times[0], times[len(times) // 2], FAR), (costs[0], costs[len(costs) // 2], FAR)
    ):
        within = {k: v for k, v in expected.items() if v[0] <= most_time and v[1] <= most_cost}
        assert told(columns.rows_within(most_time, most_cost)) == within
    assert told(columns.rows_within(times[0] - 1, FAR)) == {} == told(columns.rows_within(FAR, costs[0] - 1))
    least = int(columns.cpu_bound.min())
    assert columns.cheapest(FAR) == costs[0] and columns.cheapest(least - 1) == FAR
    first = [n for n, bound in enumerate(columns.cpu_bound.tolist()) if bound == least]
    assert columns.cheapest(least) == min(columns.least_cost(n) for n in first)


@pytest.mark.parametrize("name", ["drives", "games"])
def test_rows_are_bounded_by_the_best_of_what_is_open(name: str) -> None:
    """The least over supplies, drives and cards, reached where one of them is best beside every board."""
    pool = pool_of(name)
    columns = Columns(pool)
    expected = {key: (time, cost) for key, time, cost in plain_rows(pool)}
    found = told(columns.rows_within(FAR, FAR))
    assert found.keys() == expected.keys() and not columns.times_are_exact
    assert columns.cards_count is (name == "games")
    assert all(found[key][0] <= time and found[key][1] == cost for key, (time, cost) in expected.items())
    if name == "drives":
        assert found == expected


@pytest.mark.parametrize("gone", [[], ["kept-board"], ["kept-cpu"], ["kept-memory"]])
def test_the_present_parts_go_together_while_they_are_left(gone: list[str]) -> None:
    pool = pool_of("present parts of two sockets")
    pool.keep(MAIN, lambda c: c.key not in gone)
    expected = {key: (time, cost) for key, time, cost in plain_rows(pool)}
    assert told(Columns(pool).rows_within(FAR, FAR)) == expected
    present = [
        key for key in expected if all(pool.left[slot][n].kept for slot, n in zip(MAIN, key, strict=True))
    ]
    assert len(present) == (not gone)


@pytest.mark.parametrize("raised", [[0] * 6, [0, 3999, 4000, 4001, 5000, 700]])
def test_a_drive_that_is_fast_enough_is_paid_for(raised: list[int]) -> None:
    """Within the least time the fast drive is needed: its price above that of the kept one counts, or what the other
    slots cost beside the board, where that is more (it may be the drive)."""
    pool = pool_of("drives")
    columns = Columns(pool)
    columns.raise_boards(raised)
    expected = {}
    drives = pool.left["drive"]
    least = min(pool.cost[d] for d in drives)
    every = list(plain_rows(pool))
    times = sorted(t for _, t, _ in every)
    for most in (times[0], times[len(times) // 2]):
        for key, _, cost in every:
            main = [pool.left[slot][n] for slot, n in zip(MAIN, key, strict=True)]
            own = [
                (pool.cost[d] - least, t)
                for d in drives
                if (
                    t := time_ppm(
                        pool.problem,
                        Parts((*main, *(pool.left[s][0] for s in REST[:3]), d, pool.left["graphics"][0])),
                    )
                )
                <= most
            ]
            if own:
                expected[key] = cost + max(raised[key[0]], min(extra for extra, _ in own))
        found = columns.rows_within(most, FAR)
        assert {k: c for k, (_, c) in told(found).items()} == expected
        expected = {}


@pytest.mark.parametrize("name", WORLDS)
def test_the_least_of_a_processor(name: str) -> None:
    pool = pool_of(name)
    columns = Columns(pool)
    every = list(plain_rows(pool))
    for number in range(len(columns.cpus)):
        own = [(t, c) for key, t, c in every if key[1] == number]
        assert min(FAR, columns.least_cost(number)) == min((c for _, c in own), default=FAR)
        assert all(int(columns.cpu_bound[number]) <= t for t, _ in own)
        assert told(columns.rows_of([number], FAR, FAR)).keys() == {k for k, _, _ in every if k[1] == number}


def test_the_time_of_a_processor_by_hand() -> None:
    """Office: one kit that is as fast as any, one board: the bound is the time of the row itself."""
    pool = screened_of(problem_of({"board-a": 1, "cpu-a": 1, "kit-a": 1}, survey=make_survey(memory=()))).pool
    columns = Columns(pool)
    rows = columns.rows_within(FAR, FAR)
    assert rows is not None
    number = keys(columns.cpus).index("cpu-a")
    times = [t for k, t in zip(rows.keys, rows.time_ppm.tolist(), strict=True) if k[1] == number]
    assert int(columns.cpu_bound[number]) == min(times)
    fastest = columns.rows_within(min(times), FAR)
    assert fastest is not None and set(fastest.time_ppm.tolist()) == {min(times)}


def test_the_time_of_a_processor_with_graphics() -> None:
    """Its own terms, its graphics (the board's where it has none) beside the fastest memory, and the least terms of
    memory and board."""
    pool = pool_of("games without a card")
    law, columns, terms = law_of(pool.problem), Columns(pool), Figures(pool).terms()
    fastest = int(terms.bandwidth_kbs.max())
    assert len(set(terms.bandwidth_kbs.tolist())) > 2
    scores = {"cpu-a": 500, "cpu-n": terms.board_score, "cpu-u": None, "kept-cpu": 150}
    assert columns.cpu_bound.tolist() == [
        law.compute_ppm(c.part)  # type: ignore[arg-type]
        + law.other_ppm
        + law.integrated_ppm(scores[c.key], fastest)
        + int(terms.memory.min())
        + int(terms.storage.min())
        for c in columns.cpus
    ]


def test_boards_are_raised_by_what_the_other_slots_cost_beside_them() -> None:
    pool = pool_of("plain")
    columns = Columns(pool)
    expected = {key: cost for key, _, cost in plain_rows(pool)}
    raised = [0, 500, 90, 3, 2 * FAR, 0]
    columns.raise_boards(raised)
    rows = columns.rows_within(FAR, FAR - 1)
    wanted = {k: c + raised[k[0]] for k, c in expected.items() if raised[k[0]] < FAR}
    assert rows is not None and dict(zip(rows.keys, rows.cost.tolist(), strict=True)) == wanted
    assert dict(zip(rows.keys, columns.plain_cost(rows).tolist(), strict=True)) == {
        k: expected[k] for k in wanted
    }
    assert columns.least_cost(0) == min(c for k, c in wanted.items() if k[1] == 0)
    columns.raise_boards([0] * 6)
    assert columns.least_cost(0) == min(c for k, c in expected.items() if k[1] == 0)


def test_goods_and_prices_of_rows() -> None:
    pool = pool_of("plain")
    for number, c in enumerate(pool.left["memory"]):
        pool.cost[c] += 10 * number
    columns = Columns(pool)
    rows = columns.rows_within(FAR, FAR)
    assert rows is not None
    for value, known, more in (
        (columns.least_of_goods, pool.cost, 0),
        (columns.least_prices, pool.price, 0),
        (columns.plain_cost, pool.cost, 77),
    ):
        assert value(rows).tolist() == [
            sum(known[pool.left[slot][n]] for slot, n in zip(MAIN, key, strict=True)) + more
            for key in rows.keys
        ]


def test_without_a_part_no_row_holds_it() -> None:
    pool = pool_of("plain")
    columns = Columns(pool)
    every = told(columns.rows_within(FAR, FAR))
    for slot, place in (("board", 0), ("cpu", 1), ("memory", 2)):
        for part in {c.id for c in pool.left[slot] if c.id}:  # type: ignore[index]
            fewer = columns.columns_without(part)
            gone = {n for n, c in enumerate(pool.left[slot]) if c.id == part}  # type: ignore[index]
            left_of = {key: v for key, v in every.items() if key[place] not in gone}
            assert told(fewer.rows_within(FAR, FAR)) == left_of, part
            again = fewer.columns_without("cpu-a")
            assert told(again.rows_within(FAR, FAR)) == {
                k: v for k, v in left_of.items() if columns.cpus[k[1]].id != "cpu-a"
            }
            for number in range(len(columns.cpus)):
                # What is gone lies beyond any limit, also beyond none (FAR); the others stay where they were.
                own = 2 * FAR if slot == "cpu" and number in gone else int(columns.cpu_bound[number])
                assert int(fewer.cpu_bound[number]) == own
                if fewer.cpu_bound[number] < FAR:
                    costs = [v[1] for k, v in left_of.items() if k[1] == number]
                    assert min(FAR, fewer.least_cost(number)) == min(costs, default=FAR)
    assert told(columns.rows_within(FAR, FAR)) == every


def test_pairs_that_the_rules_refuse_have_no_row() -> None:
    pool = pool_of("plain")
    columns = Columns(pool)
    every = told(columns.rows_within(FAR, FAR))
    asked: list[tuple[int, int]] = []

    def above(boards: Any, cpus: Any) -> Any:
        asked.extend(zip(boards.tolist(), cpus.tolist(), strict=True))
        return np.where((boards + cpus) % 2 == 0, 0, FAR)

    found = told(columns.rows_within(FAR, FAR, above))
    assert found == {k: v for k, v in every.items() if (k[0] + k[1]) % 2 == 0}
    assert len(asked) == len(set(asked)) and set(asked) == {k[:2] for k in every}
    columns.together = lambda boards, memory: (boards + memory) % 2 == 0
    assert told(columns.rows_within(FAR, FAR)) == {k: v for k, v in every.items() if (k[0] + k[2]) % 2 == 0}


def test_what_a_pair_costs_above_the_rest_is_part_of_its_rows() -> None:
    columns = Columns(pool_of("plain"))
    every = {
        k: (time, cost + 7 * k[0] + k[1]) for k, (time, cost) in told(columns.rows_within(FAR, FAR)).items()
    }
    for most in [*sorted({cost for _, cost in every.values()})[::3], FAR]:
        found = columns.rows_within(FAR, most, lambda boards, cpus: 7 * boards + cpus)
        assert told(found) == {k: v for k, v in every.items() if v[1] <= most}


def test_boards_beyond_the_money_are_not_asked() -> None:
    """A board goes with a processor only where the money also pays for the cheapest memory that goes with it."""
    pool = pool_of("plain")
    columns = Columns(pool)
    every = told(columns.rows_within(FAR, FAR))
    asked: set[tuple[int, int]] = set()

    def above(boards: Any, cpus: Any) -> Any:
        asked.update(zip(boards.tolist(), cpus.tolist(), strict=True))
        return 0 * boards

    pairs = {key[:2] for key in every}
    least = {min(cost for key, (_, cost) in every.items() if key[:2] == pair) for pair in pairs}
    for most in sorted({cost - less for cost in least for less in (0, 1)}):
        asked.clear()
        columns.rows_within(FAR, most, above)
        assert asked == {k[:2] for k, (_, cost) in every.items() if cost <= most}


@pytest.mark.parametrize("name, number", [("MOST_ROWS", 0), ("MOST_PAIRS", 1)])
def test_too_many_are_told(name: str, number: int, monkeypatch: pytest.MonkeyPatch) -> None:
    columns = Columns(pool_of("plain"))

    def above(boards: Any, cpus: Any) -> Any:
        return 0 * boards

    every = columns.rows_within(FAR, FAR, above)
    assert every is not None
    count = len(every) if name == "MOST_ROWS" else len({k[:2] for k in every.keys})
    for most, found in ((count, True), (count - 1, False)):
        monkeypatch.setattr(module, name, most)
        assert (columns.rows_within(FAR, FAR, above) is not None) is found
        monkeypatch.setattr(module, "MOST_AT_ONCE", 3)
        assert (columns.rows_within(FAR, FAR, above) is not None) is found
        monkeypatch.setattr(module, "MOST_AT_ONCE", 200_000)
        assert columns.rows_of(range(len(columns.cpus)), FAR, FAR, above) is not None  # no limit is asked for


def test_a_limit_of_rows_is_kept_however_often_they_are_put_by() -> None:
    """As many as wanted are rows, one more are none; and then no further processor is looked at."""
    columns = Columns(pool_of("plain"))
    every = columns.rows_within(FAR, FAR)
    assert every is not None
    numbers = range(len(columns.cpus))
    with patch.object(module, "MOST_AT_ONCE", 0):
        assert told(columns.rows_of(numbers, FAR, FAR, None, len(every))) == told(every)
        assert columns.rows_of(numbers, FAR, FAR, None, len(every) - 1) is None
        with looked_at(columns) as (beside, _):
            assert columns.rows_of(numbers, FAR, FAR, None, 0) is None
        assert len(beside) == 1
    assert told(columns.rows_of([], FAR, FAR)) == {}


@contextmanager
def looked_at(columns: Columns) -> Iterator[tuple[list[tuple[int, int, int]], list[int]]]:
    """What is compared at once (boards, memory choices, rows made of them), and the rows that are closed at once."""
    beside, closed = list[tuple[int, int, int]](), list[int]()
    plain_beside, plain_close = columns._rows_beside, columns._close

    def rows_beside(number: int, boards: Any, costs: Any, memory: Any, *limits: int) -> Any:
        made = plain_beside(number, boards, costs, memory, *limits)
        beside.append((len(boards), len(memory), len(made[0])))
        return made

    def close(made: Any, *limits: int) -> Any:
        closed.append(sum(len(own[0]) for own in made))
        return plain_close(made, *limits)

    with patch.object(columns, "_rows_beside", rows_beside), patch.object(columns, "_close", close):
        yield beside, closed


@pytest.mark.parametrize(
    "most, boards", [(40, [5]), (34, [3, 2]), (20, [3, 2]), (17, [2, 2, 1]), (10, [2, 1, 1, 1]), (1, [1] * 5)]
)
def test_so_many_numbers_are_compared_at_once(most: int, boards: list[int]) -> None:
    """Five boards and seven memory choices, 35 numbers: cut into one piece more than they hold the most, of one board at
    least."""
    pool = pool_of("plain", by_socket=False, by_generation=False)
    pool.keep(["board"], lambda c: not c.kept)
    pool.left["memory"] = pool.left["memory"][:7]
    columns = Columns(pool)
    every = told(columns.rows_of([0], FAR, FAR))
    with patch.object(module, "MOST_COMPARED", most), looked_at(columns) as (beside, _):
        assert told(columns.rows_of([0], FAR, FAR)) == every and len(every) == 35
    assert beside == [(count, 7, 7 * count) for count in boards]


def test_so_many_rows_are_held_before_they_are_closed() -> None:
    columns = Columns(pool_of("plain"))
    with looked_at(columns) as (beside, closed):
        columns.rows_within(FAR, FAR)
    sizes = [made for *_, made in beside]
    assert closed == [sum(sizes)] and len(sizes) > 4
    for most in {sum(sizes[:some]) - less for some in range(1, len(sizes) + 1) for less in (0, 1)}:
        with patch.object(module, "MOST_AT_ONCE", most), looked_at(columns) as (_, closed):
            columns.rows_within(FAR, FAR)
        expected = [0]
        for made in sizes:
            if expected[-1] > most:
                expected.append(0)
            expected[-1] += made
        assert closed == expected, most


@pytest.mark.parametrize("name, places", [("plain", (2, 4)), ("games without a card", (1, 4))])
def test_rows_beside_a_processor(name: str, places: tuple[int, int]) -> None:
    """Of two boards and all memory those within both limits; memory that is beyond one of them with the best board is
    compared with none."""
    pool = pool_of(name, by_socket=False, by_generation=False)
    columns, terms = Columns(pool), Figures(pool).terms()
    boards, costs, memory = np.array(places), np.array([40, 900]), np.arange(len(columns.memory))
    assert len(set(terms.storage[boards].tolist())) == 2
    number = 1
    score = terms.best_score(columns.cpus[number].part.graphics_score)  # type: ignore[union-attr]
    cells = {
        (b, m): (
            int(terms.compute[number] + terms.memory[m] + terms.storage[b])
            + terms.graphics(score, int(terms.bandwidth_kbs[m])),
            own + pool.cost[columns.cpus[number]] + pool.cost[columns.memory[m]] + 77,
        )
        for b, own in zip(boards.tolist(), costs.tolist(), strict=True)
        for m in memory.tolist()
    }
    times, prices = (sorted({cell[place] for cell in cells.values()}) for place in (0, 1))
    compared: list[tuple[int, ...]] = []

    class Numpy:
        """numpy, with the shape of each table of truths noted."""

        def __getattr__(self, name: str) -> Any:
            return getattr(np, name)

        def nonzero(self, mask: Any) -> Any:
            compared.append(mask.shape)
            return np.nonzero(mask)

    for most_time, most_cost in product([*times[::3], FAR], [*prices[::3], FAR]):
        compared.clear()
        with patch.object(module, "np", Numpy()):
            made = columns._rows_beside(number, boards, costs, memory, most_time, most_cost)
        found = {(b, m): cost for b, _, m, cost in zip(*(own.tolist() for own in made), strict=True)}
        assert set(made[1].tolist()) <= {number}
        assert found == {k: c for k, (t, c) in cells.items() if t <= most_time and c <= most_cost}
        within = [
            m
            for m in memory.tolist()
            if min(cells[b, m][0] for b in boards.tolist()) <= most_time
            and min(cells[b, m][1] for b in boards.tolist()) <= most_cost
        ]
        assert compared == [(2, len(within))]


@pytest.mark.parametrize("most_cost", [FAR, FAR - 1])
def test_a_pair_that_costs_nearly_any_amount_is_one(most_cost: int) -> None:
    """FAR is what is refused: of all other costs the money decides."""
    pool = pool_of("plain", by_socket=False, by_generation=False)
    pool.cost = dict.fromkeys(pool.cost, 0)
    columns = Columns(pool)
    for above, there in ((FAR - 2, True), (FAR - 1, True), (FAR, False), (FAR + 1, False)):
        rows = columns.rows_of([0], FAR, most_cost, lambda boards, cpus, above=above: 0 * boards + above)
        assert bool(told(rows)) is there


def test_rows_are_columns() -> None:
    numbers = np.arange(3)
    rows = Rows(numbers, numbers + 10, numbers + 20, numbers + 30, numbers + 40)
    assert len(rows) == 3 and rows.keys == [(0, 10, 20), (1, 11, 21), (2, 12, 22)]
    with pytest.raises(FrozenInstanceError):
        rows.cost = numbers  # type: ignore[misc]  # several hold the same rows
    some = rows.selected(np.array([2, 0]))
    assert some.keys == [(2, 12, 22), (0, 10, 20)]
    assert some.time_ppm.tolist() == [32, 30] and some.cost.tolist() == [42, 40]
    assert rows.selected(numbers > 0).keys == rows.keys[1:]
    assert Row((1, 2, 3), 4, 5, 6, 7)._fields == ("key", "time_ppm", "cost", "needed", "floor")


def test_drives_that_are_faster_than_all_cheaper_ones_on_some_board() -> None:
    pool = pool_of("drives")
    terms = Figures(pool).terms()
    assert keys(pool.left["drive"]) == ["kept-drive", "fast", "slow"]
    assert [extra for extra, _ in module._useful_drives(pool, terms)] == [0, 4000]
    slow = pool.left["drive"][2]
    pool.cost[slow] = -100  # the cheapest one counts whatever it is
    assert [extra for extra, _ in module._useful_drives(pool, terms)] == [0, 100, 4100]
    pool.cost[slow] = 0  # of equal cost the first key
    assert [extra for extra, _ in module._useful_drives(pool, terms)] == [0, 4000]


# -- bounds of single parts --------------------------------------------------------------------------------------------


def plain_bounds(pool: Pool, alive: Any) -> dict[str, dict[str, tuple[int, int]]]:
    """Least cost and time of any combination with each candidate in play."""
    found: dict[str, dict[str, tuple[int, int]]] = {}
    numbers = [[n for n, on in enumerate(alive[slot]) if on] for slot in MAIN]
    rest = [[c for c, on in zip(pool.left[s], alive[s], strict=True) if on] for s in REST]
    cheapest = [min(pool.cost[c] for c in own) for own in rest]
    for key in product(*numbers):
        main = [pool.left[slot][n] for slot, n in zip(MAIN, key, strict=True)]
        if not together(pool, *main):
            continue
        goods = sum(pool.cost[c] for c in main)
        for slot, c, cost in [
            *((s, c, goods + sum(cheapest)) for s, c in zip(MAIN, main, strict=True)),
            *(
                (s, c, goods + sum(cheapest) - low + pool.cost[c])
                for s, own, low in zip(REST, rest, cheapest, strict=True)
                for c in own
            ),
        ]:
            old = found.setdefault(slot, {}).get(c.key, (FAR, FAR))
            found[slot][c.key] = (min(old[0], cost), 0)
    return found


@pytest.mark.parametrize("socket, generation", [(True, True), (False, True), (True, False)])
@pytest.mark.parametrize("name", ["plain", "drives"])
def test_the_least_cost_with_each_part_is_that_of_the_cheapest_partners(
    name: str, socket: bool, generation: bool
) -> None:
    pool = pool_of(name, by_socket=socket, by_generation=generation)
    figures = Figures(pool)
    figures.partners()
    bounds, expected = figures.cost_bounds(), plain_bounds(pool, figures.alive)
    for slot in SLOTS:
        own = {
            c.key: int(bound)
            for c, bound, on in zip(
                pool.left[slot], bounds[slot].tolist(), figures.alive[slot].tolist(), strict=True
            )
            if on
        }
        assert own.keys() == expected[slot].keys(), slot
        assert all(own[key] <= least for key, (least, _) in expected[slot].items()), slot
        if slot in ("board", *REST):
            # Of a processor or memory the partner's own partner is not looked at twice.
            assert own == {key: least for key, (least, _) in expected[slot].items()}, slot


def test_the_least_cost_by_hand() -> None:
    """Board 40.00, processor 30.00, kit 10.00; the present parts go together for nothing."""
    pool = screened_of(problem_of({"board-a": 4000, "cpu-a": 3000, "kit-a": 1000})).pool
    bounds = {slot: bound.tolist() for slot, bound in Figures(pool).cost_bounds().items()}
    assert bounds["board"] == [8000, 0] and bounds["cpu"] == [8000, 0]
    assert bounds["memory"] == [0, 8000, 9000] and bounds["psu"] == [0]


def masks(pool: Pool, seed: int, share: float = 0.75) -> Figures:
    """Figures of which only a share of the candidates is in play (one that is alone in its slot stays), and every part
    has another cost."""
    drawn = np.random.default_rng(seed)
    for c in pool.cost:
        pool.cost[c] = int(drawn.integers(0, 4000))
    figures = Figures(pool)
    for slot, listed in pool.left.items():
        figures.alive[slot] = (drawn.random(len(listed)) < share) | (len(listed) == 1)
    return figures


def in_play(pool: Pool, figures: Figures) -> dict[Any, list[Candidate]]:
    return {s: [c for c, on in zip(pool.left[s], figures.alive[s], strict=True) if on] for s in SLOTS}


def shares_socket(pool: Pool, b: Candidate, c: Candidate) -> bool:
    return pool.socket(b) is not None and pool.socket(b) == pool.socket(c)


def shares_generation(pool: Pool, b: Candidate, m: Candidate) -> bool:
    return None in (pool.generation(b), pool.generation(m)) or pool.generation(b) == pool.generation(m)


KINDS_OF_POOLS = pytest.mark.parametrize(
    "name, socket, generation",
    [(name, *kind) for name in WORLDS for kind in ((True, True), (False, True), (True, False))],
)


@KINDS_OF_POOLS
def test_partners_by_plain_loops(name: str, socket: bool, generation: bool) -> None:
    """Boards with a processor and memory in play (what is kept stays together; of the present board, and of one whose
    generation is not known, no memory is asked), processors and memory with a board; over again until nothing goes."""
    for seed in range(25):
        pool = pool_of(name, by_socket=socket, by_generation=generation)
        figures = masks(pool, seed, (0.75, 0.3)[seed % 2])
        left_in = in_play(pool, figures)
        while True:
            boards, cpus, memory = (left_in[slot] for slot in MAIN)
            left_in["board"] = [
                b
                for b in boards
                if any(shares_socket(pool, b, c) or (b.kept and c.kept) for c in cpus)
                and (
                    b.kept or pool.generation(b) is None or any(shares_generation(pool, b, m) for m in memory)
                )
            ]
            left_in["cpu"] = [
                c
                for c in cpus
                if any(shares_socket(pool, b, c) or (b.kept and c.kept) for b in left_in["board"])
            ]
            left_in["memory"] = [
                m
                for m in memory
                if pool.generation(m) is None
                or any(shares_generation(pool, b, m) or (b.kept and m.kept) for b in left_in["board"])
            ]
            if [boards, cpus, memory] == [left_in[slot] for slot in MAIN]:
                break
        figures.partners()
        assert in_play(pool, figures) == left_in, seed
        assert figures.size == sum(map(len, left_in.values()))
        assert figures.any_in_all is all(left_in.values())


@KINDS_OF_POOLS
def test_the_least_cost_with_each_part_by_plain_loops(name: str, socket: bool, generation: bool) -> None:
    """A board with the cheapest processor and memory for it; a processor with the cheapest board and memory for that;
    memory with the cheapest board and processor for that. The present board has its processor for nothing while that is
    in play, and may have any memory while its own is; the present processor has the present board for nothing."""
    compared = 0
    for seed in range(25):
        pool = pool_of(name, by_socket=socket, by_generation=generation)
        figures = masks(pool, seed)
        figures.partners()
        if not figures.any_in_all:
            continue
        left_in, cost = in_play(pool, figures), pool.cost
        boards, cpus, memory = (left_in[slot] for slot in MAIN)
        rest = sum(min(cost[c] for c in left_in[slot]) for slot in REST)
        own_memory, own_cpu = any(m.kept for m in memory), any(c.kept for c in cpus)

        def for_board(b: Candidate) -> int:
            return min(cost[m] for m in memory if shares_generation(pool, b, m) or (b.kept and own_memory))

        def with_cpu(b: Candidate) -> int:
            if b.kept and own_cpu:
                return cost[b]
            return cost[b] + min(cost[c] for c in cpus if shares_socket(pool, b, c))

        expected = {
            "board": [with_cpu(b) + for_board(b) + rest for b in boards],
            "cpu": [
                cost[c]
                + rest
                + min(
                    [cost[b] + for_board(b) for b in boards if shares_socket(pool, b, c)]
                    + [for_board(b) for b in boards if b.kept and c.kept]
                )
                for c in cpus
            ],
            "memory": [
                cost[m] + rest + min(with_cpu(b) for b in boards if shares_generation(pool, b, m) or m.kept)
                for m in memory
            ],
        }
        least = min(min(values) for values in expected.values())
        for slot in REST:
            others = min(cost[c] for c in left_in[slot])
            expected[slot] = [least - others + cost[c] for c in left_in[slot]]
        bounds = figures.cost_bounds()
        assert {slot: bounds[slot][figures.alive[slot]].tolist() for slot in SLOTS} == expected, seed
        assert figures.cost_bounds()["board"].tolist() == bounds["board"].tolist()
        compared += 1
    assert compared > 5


@pytest.mark.parametrize("name", WORLDS)
def test_the_least_time_with_each_part_by_plain_loops(name: str) -> None:
    """Graphics are bounded beside the fastest memory in play; every part with the least of the others in play."""
    seen = set()
    for seed in range(30):
        pool = pool_of(name)
        figures = masks(pool, seed, 0.35)
        if not figures.any_in_all:
            continue
        terms = figures.terms()
        kbs = max(int(v) for v, on in zip(terms.bandwidth_kbs, figures.alive["memory"], strict=True) if on)
        own = {
            "board": terms.storage.tolist(),
            "cpu": [
                int(compute) + terms.graphics(terms.best_score(c.part.graphics_score), kbs)  # type: ignore[union-attr]
                for compute, c in zip(terms.compute, pool.left["cpu"], strict=True)
            ],
            "memory": terms.memory.tolist(),
        }
        least = {s: min(v for v, on in zip(own[s], figures.alive[s], strict=True) if on) for s in MAIN}
        expected = {s: [v + sum(least.values()) - least[s] for v in own[s]] for s in MAIN}
        assert {slot: bound.tolist() for slot, bound in figures.time_bounds().items()} == expected
        seen.add(kbs)
    assert len(seen) > 1


@pytest.mark.parametrize("boards", [None, ["board-a", "board-g"], ["board-n"]])
@pytest.mark.parametrize("cards", [None, ["graphics-a"], ["kept-graphics"]])
def test_the_least_time_of_graphics_by_the_law(boards: Any, cards: Any) -> None:
    """The best of all cards that draw on some board that is left (in its slots) and of graphics without a card, where
    some board has none. Where nothing is asked of graphics all is one."""
    pool = pool_of("games")
    pool.keep(["board"], lambda c: boards is None or c.key in boards)
    pool.keep(["graphics"], lambda c: cards is None or c.key in cards)
    law, terms = law_of(pool.problem), Figures(pool).terms()
    drawing = [
        drawing_card(pool.problem, b.part, case.part, g.part)  # type: ignore[arg-type]
        for b, case, g in product(*(pool.left[s] for s in ("board", "case", "graphics")))  # type: ignore[index]
    ]
    assert (None in drawing) is (boards != ["board-a", "board-g"] or cards == ["none"])
    for score, kbs in product((None, 0, 120, 5000), (10_000_000, 40_000_000)):
        assert terms.graphics(score, kbs) == min(law.graphics_ppm(card, score, kbs) for card in drawing)


@pytest.mark.parametrize(
    "boards, kbs",
    [
        # One channel; two; two at the rate that only two modules of it reach; any rate where none is known.
        ([{"memory_channels": 1}], 2400 * 8 * 1000),
        ([{"memory_channels": None}], 2400 * 8 * 1000),
        ([{"memory_channels": 1}, {"memory_channels": 2}], 2400 * 8 * 2000),
        ([{"memory_max_rate_mts": 1866}], 1866 * 8 * 2000),
        ([{"memory_max_rate_mts": 1866}, {"memory_max_rate_mts": 2133}], 2133 * 8 * 2000),
        ([{"memory_max_rate_mts": 1866, "memory_two_per_channel_rate_mts": 2000}], 2000 * 8 * 2000),
        ([{"memory_max_rate_mts": None, "memory_two_per_channel_rate_mts": 1600}], 2400 * 8 * 2000),
        ([{"memory_slots": None}], 2400 * 8 * 2000),
    ],
)
def test_how_fast_memory_is_at_best(boards: list[dict[str, Any]], kbs: int) -> None:
    """Two modules at 2400 MT/s, eight bytes each time and channel (JESD79-4: 64 data lines)."""
    listed = [board(f"x{n}", year=2010 + n, **facts) for n, facts in enumerate(boards)]
    problem = problem_of({b.id: 1 for b in listed} | {"cpu-a": 1, "kit-a": 1}, boards=listed)
    pool = pool_from(problem)
    pool.keep(["board"], lambda c: not c.kept)
    terms = Figures(pool).terms()
    number = keys(pool.left["memory"]).index("kit-a*1")
    assert int(terms.bandwidth_kbs[number]) == kbs


@pytest.mark.parametrize("slots, milli", [(4, 2000), (3, 2000), (2, 2000), (None, 2000)])
def test_slots_for_modules_of_different_size(slots: int | None, milli: int) -> None:
    """4 GiB beside twice 2 GiB, each half of the bandwidth: the modules stand in the PC, so there are slots for them."""
    own = tuple(
        MemoryModule(generation="ddr3", capacity_mib=mib, rate_mts=1333) for mib in (4096, 2048, 2048)
    )
    problem = problem_of(
        {"board-a": 1, "cpu-a": 1, "kit-a": 1},
        boards=[replace(BOARD, memory_slots=slots)],
        survey=make_survey(memory=own),
    )
    pool = pool_from(problem)
    pool.keep(["board"], lambda c: not c.kept)
    terms = Figures(pool).terms()
    assert int(terms.bandwidth_kbs[keys(pool.left["memory"]).index("kept-memory")]) == 1333 * 8 * milli


@pytest.mark.parametrize(
    "boards, score", [(["board-n"], 0), (["board-g", "board-n"], 60), (["kept-board"], 0)]
)
def test_the_best_graphics_of_a_chipset(boards: list[str], score: int) -> None:
    pool = pool_of("games without a card")
    pool.keep(["board"], lambda c: c.key in boards)
    assert Figures(pool).terms().board_score == score


def test_the_present_board_proves_that_it_makes_the_picture() -> None:
    """Where neither card nor processor does: 8 % of the reference's 1000, since nobody stated the score."""
    survey = make_survey(cpu=replace(OLD_CPU, graphics_score=0))
    pool = pool_from(several(survey=survey, brief=Brief(budget="900.00", use="games")))
    assert pool.problem.settings["board_graphics_percent"] == 8
    assert Figures(pool).terms().board_score == 80
    assert [own for own in module._own_scores(pool) if own] == [80]


@pytest.mark.parametrize("name", WORLDS)
def test_the_least_time_with_each_part(name: str) -> None:
    """Own term and the least of the others; no more than any row's, and that of the best row for the best parts."""
    pool = pool_of(name)
    figures = Figures(pool)
    bounds = figures.time_bounds()
    rows = told(Columns(pool).rows_within(FAR, FAR))
    assert set(bounds) == set(MAIN)
    for place, slot in enumerate(MAIN):
        for key, (time, _) in rows.items():
            assert int(bounds[slot][key[place]]) <= time
    assert len({int(bounds[slot].min()) for slot in MAIN}) == 1
    terms = figures.terms()
    assert figures.terms() is terms
    assert int(bounds["board"].min()) == int(
        terms.compute.min() + terms.memory.min() + terms.storage.min()
    ) + (int((bounds["cpu"] - terms.compute).min() - terms.memory.min() - terms.storage.min()))
    # The difference between two parts of a slot is that of their own terms.
    assert (bounds["board"] - bounds["board"].min()).tolist() == (
        terms.storage - terms.storage.min()
    ).tolist()
    assert (bounds["memory"] - bounds["memory"].min()).tolist() == (
        terms.memory - terms.memory.min()
    ).tolist()


def test_the_least_terms_by_the_law() -> None:
    """Each term against the law at the best that the boards let: two channels at 2666 MT/s."""
    pool = pool_of("plain")
    law, terms = law_of(pool.problem), Figures(pool).terms()
    drive = pool.left["drive"][0].part
    assert terms.compute.tolist() == [law.compute_ppm(c.part) + law.other_ppm for c in pool.left["cpu"]]  # type: ignore[arg-type]
    assert terms.storage.tolist() == [law.drive_ppm(b.part, drive) for b in pool.left["board"]]  # type: ignore[arg-type]
    assert terms.capacity.tolist() == [law.capacity_ppm(m.part, drive) for m in pool.left["memory"]]  # type: ignore[arg-type]
    single = [n for n, m in enumerate(pool.left["memory"]) if not m.part.mixed]  # type: ignore[union-attr]
    rates = {"kept-memory": 1333, "kit-a": 2400, "kit-b": 1600, "kit-c": 2666, "kit-d": 2400}
    for n in single:
        m = pool.left["memory"][n]
        channels = 1000 if m.part.modules == 1 else 1500 if m.part.modules == 3 else 2000  # type: ignore[union-attr]
        value = bandwidth_kbs(rates[m.key.partition("*")[0]], channels)
        assert int(terms.bandwidth_kbs[n]) == value, m.key
        assert int(terms.memory[n]) == law.memory_ppm(value) + int(terms.capacity[n])
    kbs = terms.bandwidth_kbs.tolist()
    assert len(single) >= 8
    assert [own.tolist() for own in terms.drives] == [terms.storage.tolist()] and terms.board_score == 0
    assert terms.memory_term(kbs[0]) == law.memory_ppm(kbs[0]) and terms.graphics(500, kbs[0]) == 0


def test_the_best_graphics_of_a_processor() -> None:
    terms = Figures(pool_of("games without a card")).terms()
    assert (terms.best_score(500), terms.best_score(None), terms.best_score(0)) == (
        500,
        None,
        terms.board_score,
    )
    assert graphics_count(pool_of("games")) and any_card(pool_of("games"))
    assert not any_card(pool_of("games without a card")) and not graphics_count(pool_of("plain"))


@pytest.mark.parametrize("share, counts", [(0, False), (1, True), (600, True)])
def test_graphics_count_where_the_use_has_any_work_for_them(share: int, counts: bool) -> None:
    pool: Any = SimpleNamespace(problem=SimpleNamespace(use=SimpleNamespace(share=lambda name: share)))
    assert graphics_count(pool) is counts


@pytest.mark.parametrize("kind, found", [("graphics", True), ("capture", False), ("usb", False)])
def test_a_card_of_another_kind_draws_nothing(kind: str, found: bool) -> None:
    survey = SimpleNamespace(cards=[SimpleNamespace(kind=kind)])
    pool: Any = SimpleNamespace(problem=SimpleNamespace(survey=survey), left={"graphics": []})
    assert any_card(pool) is found


def test_partners_are_dropped_until_nothing_changes() -> None:
    """board-d and cpu-c (socket not known) and cpu-d (no board) go; then what only they held in play."""
    pool = pool_of("plain")
    figures = Figures(pool)
    before = figures.size
    assert before == pool.size and figures.any_in_all
    figures.partners()
    figures.drop()
    assert left(pool, "board", "cpu") == [
        ["board-a", "board-b", "board-c", "board-e", "kept-board"],
        ["cpu-a", "cpu-b", "kept-cpu"],
    ]
    assert figures.size == before - 3 and len(pool.left["memory"]) == len(world("plain").slot("memory"))


def test_partners_go_in_a_chain() -> None:
    """Without the kit of ddr3 the board of ddr3 goes, with it its processor, and its other board stays."""
    boards = [board("a"), board("b", socket="sock-2", memory_generation="ddr3")]
    problem = problem_of(
        {"board-a": 1, "board-b": 1, "cpu-a": 1, "cpu-b": 1, "kit-a": 1},
        boards=boards,
        cpus=[cpu("a"), cpu("b", socket="sock-2")],
        survey=make_survey(memory=()),
    )
    listed = {slot: list(problem.slot(slot)) for slot in SLOTS}
    pool = Pool(problem, listed, {}, dict.fromkeys([c for s in SLOTS for c in problem.slot(s)], 0))
    figures = Figures(pool)
    figures.partners()
    figures.drop()
    assert left(pool, "board", "cpu", "memory") == [["board-a"], ["cpu-a"], ["kit-a*1", "kit-a*2"]] or (
        "board-b" not in keys(pool.left["board"]) and "cpu-b" not in keys(pool.left["cpu"])
    )


def test_the_present_parts_stay_together_whatever_their_facts() -> None:
    survey = make_survey(
        board=replace(BOARD, id="kept-board", name="old", socket="x", memory_generation="ddr2")
    )
    pool = pool_from(make_problem(survey, coolers=()))
    figures = Figures(pool)
    figures.partners()
    assert all(mask.all() for mask in figures.alive.values())
    figures.alive["cpu"] = np.array([True, False])
    figures.partners()
    assert figures.alive["board"].tolist() == [True, False]  # without its processor the present board goes
    assert figures.alive["memory"].tolist() == [False, True, True]


def pool_from(problem: Problem) -> Pool:
    every = [c for s in SLOTS for c in problem.slot(s)]
    return Pool(
        problem, {s: list(problem.slot(s)) for s in SLOTS}, dict.fromkeys(every, 0), dict.fromkeys(every, 0)
    )


def test_cut_and_drop() -> None:
    pool = pool_of("plain")
    figures = Figures(pool)
    figures.cut({"board": np.array([5, 6, 7, 8, 9, 0])}, 7)
    assert figures.alive["board"].tolist() == [True, True, True, False, False, True]
    assert figures.alive["board"].dtype == bool  # a mask, not places
    figures.cut({"board": np.array([0, 9, 0, 0, 0, 0])}, 8)
    figures.drop()
    assert keys(pool.left["board"]) == ["board-a", "board-c", "kept-board"]
    figures.cut({"psu": np.array([9])}, 8)
    assert not figures.any_in_all
