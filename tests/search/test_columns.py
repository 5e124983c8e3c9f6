"""Bounds of single parts and of rows, as exact numbers: every row of small worlds against the plain law and plain loops,
whatever the limits; and what is dropped where a limit is one unit lower."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import product
from typing import Any

import numpy as np
import pytest
from search.tiny import board, cpu, keys, kit, left, priced, problem_of, screened_of
from support import BOARD, GRAPHICS, PSU, make_problem, make_survey

from partsolver.catalog.records import DrivePart
from partsolver.performance.law import bandwidth_kbs, law_of
from partsolver.performance.time import time_ppm
from partsolver.problem.candidates import SLOTS, Candidate, Parts
from partsolver.problem.problem import Problem
from partsolver.search import rows as module
from partsolver.search.bounds import Figures, any_card, graphics_count
from partsolver.search.pool import FAR, MAIN, REST, Pool
from partsolver.search.rows import Columns, Row, Rows
from partsolver.survey.model import Card
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
    """Everything of a world, at the prices of its offers."""
    problem = world(name)
    price = {
        c: min((o.price for o in c.offers), default=0) * c.quantity for s in SLOTS for c in problem.slot(s)
    }
    listed = {slot: list(problem.slot(slot)) for slot in SLOTS}
    return Pool(problem, listed, price, dict(price), {}, **more)


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


def test_a_drive_that_is_fast_enough_is_paid_for() -> None:
    """Within the least time the fast drive is needed: its price above that of the kept one counts."""
    pool = pool_of("drives")
    columns = Columns(pool)
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
                expected[key] = cost + min(extra for extra, _ in own)
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
    pool.cost[pool.left["psu"][0]] = 77
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
                if fewer.cpu_bound[number] < FAR:
                    costs = [v[1] for k, v in left_of.items() if k[1] == number]
                    assert min(FAR, fewer.least_cost(number)) == min(costs, default=FAR)
    assert told(columns.rows_within(FAR, FAR)) == every


def test_pairs_that_the_rules_refuse_have_no_row() -> None:
    pool = pool_of("plain")
    columns = Columns(pool)
    every = told(columns.rows_within(FAR, FAR))
    asked: list[tuple[int, int]] = []

    def admitted(boards: Any, cpus: Any) -> Any:
        asked.extend(zip(boards.tolist(), cpus.tolist(), strict=True))
        return (boards + cpus) % 2 == 0

    found = told(columns.rows_within(FAR, FAR, admitted))
    assert found == {k: v for k, v in every.items() if (k[0] + k[1]) % 2 == 0}
    assert len(asked) == len(set(asked)) and set(asked) == {k[:2] for k in every}
    columns.together = lambda boards, memory: (boards + memory) % 2 == 0
    assert told(columns.rows_within(FAR, FAR)) == {k: v for k, v in every.items() if (k[0] + k[2]) % 2 == 0}


def test_boards_beyond_the_money_are_not_asked() -> None:
    """A board goes with a processor only where the money also pays for the cheapest memory that goes with it."""
    pool = pool_of("plain")
    columns = Columns(pool)
    every = told(columns.rows_within(FAR, FAR))
    asked: set[tuple[int, int]] = set()

    def admitted(boards: Any, cpus: Any) -> Any:
        asked.update(zip(boards.tolist(), cpus.tolist(), strict=True))
        return boards >= 0

    for most in sorted({cost for _, cost in every.values()})[::5]:
        asked.clear()
        columns.rows_within(FAR, most, admitted)
        assert asked == {k[:2] for k, (_, cost) in every.items() if cost <= most}


@pytest.mark.parametrize("name, number", [("MOST_ROWS", 0), ("MOST_PAIRS", 1)])
def test_too_many_are_told(name: str, number: int, monkeypatch: pytest.MonkeyPatch) -> None:
    columns = Columns(pool_of("plain"))

    def admitted(boards: Any, cpus: Any) -> Any:
        return boards >= 0

    every = columns.rows_within(FAR, FAR, admitted)
    assert every is not None
    count = len(every) if name == "MOST_ROWS" else len({k[:2] for k in every.keys})
    for most, found in ((count, True), (count - 1, False)):
        monkeypatch.setattr(module, name, most)
        assert (columns.rows_within(FAR, FAR, admitted) is not None) is found
        monkeypatch.setattr(module, "MOST_AT_ONCE", 3)
        assert (columns.rows_within(FAR, FAR, admitted) is not None) is found
        monkeypatch.setattr(module, "MOST_AT_ONCE", 200_000)
        assert (
            columns.rows_of(range(len(columns.cpus)), FAR, FAR, admitted) is not None
        )  # no limit is asked for


def test_rows_are_columns() -> None:
    numbers = np.arange(3)
    rows = Rows(numbers, numbers + 10, numbers + 20, numbers + 30, numbers + 40)
    assert len(rows) == 3 and rows.keys == [(0, 10, 20), (1, 11, 21), (2, 12, 22)]
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
    assert terms.board_score == 250 or terms.board_score >= 60
    assert (terms.best_score(500), terms.best_score(None), terms.best_score(0)) == (
        500,
        None,
        terms.board_score,
    )
    assert graphics_count(pool_of("games")) and any_card(pool_of("games"))
    assert not any_card(pool_of("games without a card")) and not graphics_count(pool_of("plain"))


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
    figures.cut({"board": np.array([0, 9, 0, 0, 0, 0])}, 8)
    figures.drop()
    assert keys(pool.left["board"]) == ["board-a", "board-c", "kept-board"]
    figures.cut({"psu": np.array([9])}, 8)
    assert not figures.any_in_all
