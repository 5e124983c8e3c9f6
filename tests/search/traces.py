"""What a search looks at, step by step: for small shops every question in its order, with its answer.

`test_traces.py` compares each with `traces.txt`. The answers are proven elsewhere (by brute force, `test_search.py`,
`test_bounds.py`); here the order of looking and the effort are held: a needless look, a bound that lets more through, a
window that is wider or narrower shows as a line. Where a change of effort is meant:

    PYTHONPATH=.:tests python -m search.traces > tests/search/traces.txt

and the difference is read line by line before it is committed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from fractions import Fraction
from functools import cache
from typing import Any
from unittest.mock import patch

from search.tiny import board, cpu, kit, priced
from support import CASE, COOLER, GRAPHICS, PSU, make_problem, make_survey

from partsolver.base.quantities import FAR
from partsolver.catalog.records import Bundle, DrivePart, Extra, Offer, Seller
from partsolver.plan.draft import Draft
from partsolver.problem.candidates import SLOTS, Candidate
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.search import prune, window
from partsolver.search.bounds import Figures
from partsolver.search.coolers import drop_coolers
from partsolver.search.pool import MAIN, Pool
from partsolver.search.prune import Screened, drop_dominated, screened
from partsolver.search.search import Search, Walk
from partsolver.search.shortlist import Found
from partsolver.search.ways import Ways
from partsolver.search.window import Window
from partsolver.wishes.brief import Brief

FAST = DrivePart("fast", "fast", None, "ssd", "m2-nvme", None, 3, 4, "m", 80, 2400, 500)
DISK = DrivePart("disk", "disk", kind="ssd", interface="sata", sata_gbps10=60, read_mbs=500, capacity_gb=400)
SHOPS = [Seller("near", "Near", 490, 9000), Seller("far", "Far", 300, None, 0, 9)]
PASTE = Extra("paste", "paste", kind="thermal-paste")


def parts(**more: Any) -> dict[str, Any]:
    return {
        "boards": [board("a"), board("b", sata_6g_ports=6), board("c", socket="sock-2", memory_channels=1)],
        "cpus": [
            cpu("a"),
            cpu("b", serial_score=1700, parallel_score=7000),
            cpu("c", serial_score=2100, parallel_score=9000, socket="sock-2"),
            cpu("d", serial_score=900, parallel_score=3000, boxed_cooler=False),
        ],
        "memory": [kit("a"), kit("b", module_mib=2048, modules=1)],
        "coolers": [COOLER, replace(COOLER, id="cooler-b", name="B", height_mm=140, paste_included=False)],
        "extras": [PASTE],
        "sellers": SHOPS,
        **more,
    }


PRICES = {
    "board-a": 4000, "board-b": 4350, "board-c": 5200, "cpu-a": 3000, "cpu-b": 4100, "cpu-c": 6900, "cpu-d": 1500,
    "kit-a": 1200, "kit-b": 700, "cooler-a": 900, "cooler-b": 600, "paste": 250, "fast": 2600, "disk": 1900,
    "psu-a": 1500, "psu-b": 1100, "case-a": 800, "graphics-a": 5500, "graphics-b": 3000,
}  # fmt: skip


def offered(tables: Mapping[str, Any]) -> list[Offer]:
    """Everything near; processors and kits far as well, a little cheaper."""
    ids = [part.id for name, table in tables.items() if name != "sellers" for part in table]
    near = priced({part: PRICES[part] for part in ids}, "near")
    return near + [Offer(part, "far", PRICES[part] - 130) for part in ids if part[:3] in ("cpu", "kit")]


def shop(brief: Brief, survey: Any = None, bundles: Sequence[Bundle] = (), **more: Any) -> Problem:
    tables = parts(**more)
    return make_problem(survey or make_survey(), brief, offers=offered(tables), bundles=bundles, **tables)


OTHERS: dict[str, Any] = {
    "psus": [replace(PSU, id="psu-a", name="A", year=2026), replace(PSU, id="psu-b", name="B", rated_w=350, year=2026)],
    "cases": [replace(CASE, id="case-a", name="A", max_cooler_height_mm=130)],
    "drives": [FAST, DISK],
}  # fmt: skip
CARDS = [GRAPHICS, replace(GRAPHICS, id="graphics-b", name="B", graphics_score=700, load_mw=20000)]
EVERYTHING: Any = ("psu", "case", "drive")
PAIR = Bundle("set", "Set", "parts", (("board-a", 1), ("cpu-b", 1)), "far", 7300)
WORLDS: dict[str, Callable[[], Problem]] = {
    "plain": lambda: shop(Brief(budget="300.00")),
    "little money": lambda: shop(Brief(budget="89.00", resolution_percent="5")),
    "fast enough": lambda: shop(Brief(budget="250.00", min_speedup="2.2")),
    "choices": lambda: shop(Brief(budget="200.00", replace=EVERYTHING), **OTHERS),
    "set": lambda: shop(Brief(budget="300.00", including=("board-b",)), bundles=[PAIR]),
    "games": lambda: shop(Brief(budget="300.00", use="games", replace=("graphics",)), graphics=CARDS),
    "cards alike": lambda: shop(Brief(budget="300.00", replace=("graphics",)), graphics=CARDS),
}


@cache
def left(name: str) -> Screened:
    found = screened(WORLDS[name](), all_rules())
    assert found is not None
    return found


def short(candidate: Candidate) -> str:
    """A key, shorter; what is kept as a dot."""
    return (
        "." if candidate.kept else candidate.key.replace("board-", "").replace("cpu-", "").replace("kit-", "")
    )


def listed(candidates: Sequence[Candidate]) -> str:
    return " ".join(short(c) for c in candidates)


def number(value: int) -> str:
    return "any" if value >= FAR - 1 else str(value)


def plan(draft: Draft | None) -> str:
    return "none" if draft is None else f"{listed(draft.parts.picked)} for {draft.cost} in {draft.time_ppm}"


@contextmanager
def watched(lines: list[str]) -> Iterator[None]:
    """Note what is asked of rows and ways while it goes on."""
    asked, found, bought, rows_within = Ways.asked, Ways._find_way, Ways._bought, Ways.rows_within

    def ask(self: Ways, rows: Any) -> Any:
        told = asked(self, rows)
        lines.append(f"ask {len(rows)}: " + " ".join(f"{''.join(map(str, r.key))}={r.cost}" for r in told))
        return told

    def find(self: Ways, row: Any, rest: Any) -> Any:
        way = found(self, row, rest)
        cost = "no" if way is None else f"{way[0]} in {way[1]} of {number(way[3])}"
        lines.append(f"way {''.join(map(str, row.key))} {listed(rest)}: {cost}")
        return way

    def buy(self: Ways, own: Any, below: int) -> Any:
        draft = bought(self, own, below)
        lines.append(
            f"buy {listed(own.picked)} below {number(below)}: {'no' if draft is None else draft.cost}"
        )
        return draft

    def within(self: Ways, most_time: int, most_cost: int) -> Any:
        rows = rows_within(self, most_time, most_cost)
        count = "too many" if rows is None else len(rows)
        lines.append(f"rows in {number(most_time)} for {number(most_cost)}: {count}")
        return rows

    with (
        patch.object(Ways, "asked", ask),
        patch.object(Ways, "_find_way", find),
        patch.object(Ways, "_bought", buy),
        patch.object(Ways, "rows_within", within),
    ):
        yield


def told(found: Found) -> list[str]:
    return [*(f"plan {plan(d)}" for d in found.drafts), "exhausted" if found.exhausted else "spent"]


def fresh(name: str) -> Search:
    return left(name).search()


@cache
def least(name: str) -> Draft:
    found = fresh(name).fastest().first
    assert found is not None
    return found


@cache
def cheapest(name: str) -> Draft:
    found = fresh(name).cheap(1).first
    assert found is not None
    return found


def searched(name: str, ask: Callable[[Search], Found]) -> list[str]:
    least(name), cheapest(name)  # known from here on: their own search is no part of this one
    search, lines = fresh(name), list[str]()
    with watched(lines):
        found = ask(search)
    return [*lines, *told(found), f"{search.drafted} bought, {search.looked} looked at, {search.tried} tried"]


def walked(name: str, factor: int) -> list[str]:
    """Points each of which takes so many percent of the time of the one before at most."""
    search, lines = fresh(name), list[str]()
    with watched(lines):
        walk, most = Walk(search), search.most_time
        for _ in range(4):
            point = walk.next_point(most)
            first = point.found.first
            keys = [sorted(rows.keys) for rows in point.rows]
            lines += [
                f"point within {number(most)} for {number(point.most_cost)}",
                *told(point.found),
                f"open {keys}",
            ]
            if first is None:
                break
            most = min(first.time_ppm - 1, first.time_ppm * factor // 100)
    return lines


def pool_lines(pool: Pool) -> list[str]:
    return [f"{slot}: {listed(pool.left[slot])}" for slot in SLOTS]


def window_lines(found: Window) -> list[str]:
    enough = number(found.enough_from)
    return [*pool_lines(found.pool), f"combinations {found.combinations}, enough from {enough}"]


def screened_lines(name: str, **more: Any) -> list[str]:
    found = screened(WORLDS[name](), all_rules(), **more)
    if found is None:
        return ["nothing"]
    pool = found.pool
    lines = [
        f"{slot}: " + " ".join(f"{short(c)}={pool.price[c]}/{pool.cost[c]}" for c in pool.left[slot])
        for slot in SLOTS
    ]
    small = "small" if found.small else "large"
    return [*lines, f"{small}, within {number(found.most_time)} for {number(found.most_cost)}"]


def dominated_lines(name: str, times: int) -> list[str]:
    found = left(name)
    pool = found.pool.copy()
    drop_dominated(pool, found.quick.allowed, times)
    drop_coolers(pool, found.quick)
    return pool_lines(pool)


def windows(name: str, wanted: int) -> list[str]:
    """All kinds of windows around the known plans."""
    found, fast, cheap = left(name), least(name), cheapest(name)
    lines: list[str] = []

    def add(title: str, one: Window) -> None:
        lines.extend([f"-- {title}", *window_lines(one)])

    middle = (fast.time_ppm + cheap.time_ppm) // 2
    for most_time, most_cost in ((FAR, cheap.cost + 500), (middle, fast.cost), (fast.time_ppm, fast.cost)):
        own = window.window_within(found, fresh(name), most_time, most_cost, wanted)
        add(f"within {number(most_time)} for {most_cost}", own)
    add("faster", window.window_faster_than(found, fresh(name), cheap if wanted else fast, wanted))
    worst = (1, fast.cost)
    limits = window.limits_of_ranks(found, worst, fast.time_ppm, Fraction(5))
    lines.append(f"limits {[number(one) for one in limits]}")
    add(
        "ranks", window.window_of_ranks(found, fresh(name), limits, worst, fast.time_ppm, Fraction(5), wanted)
    )
    return lines


def points_window(name: str) -> list[str]:
    search = fresh(name)
    walk, points, most = Walk(search), [], search.most_time
    for _ in range(2):
        points.append(walk.next_point(most))
        first = points[-1].found.first
        if first is None:
            break
        most = first.time_ppm - 1
    return window_lines(window.window_of_points(left(name), search, points))


def single_bounds(name: str) -> list[str]:
    """Where there are too many rows."""
    found, fast = left(name), least(name)
    with patch("partsolver.search.rows.MOST_ROWS", 0):
        return window_lines(window.window_within(found, fresh(name), fast.time_ppm * 3 // 2, fast.cost, 1))


def short_window(name: str, each: int, wanted: int) -> list[str]:
    """With fewer combinations wanted for each plan."""
    least(name), cheapest(name)
    with patch.object(window, "LEAST_EACH", each):
        return windows(name, wanted)


def without(name: str, part: str) -> list[str]:
    search = fresh(name)
    search.cheap(5)
    fewer = search.search_without(part, search.pool.problem)
    lines = [f"bought {plan(d)}" for d in fewer.bought()]
    with watched(lines):
        found = fewer.fastest()
    return [*lines, *told(found)]


def limited(name: str, limit: str, most: int, ask: Callable[[Search], Found]) -> list[str]:
    least(name), cheapest(name)
    with patch(f"partsolver.search.ways.{limit}", most):
        return searched(name, ask)


def bounds_lines(name: str) -> list[str]:
    found = left(name)
    figures = Figures(found.pool.copy())
    cost, time = figures.cost_bounds(), figures.time_bounds()
    return [f"{slot}: {cost[slot].tolist()} {time[slot].tolist() if slot in time else ''}" for slot in SLOTS]


def nearest(name: str, most: int) -> list[str]:
    with patch.object(window, "MOST_NEAREST", most):
        return window_lines(window.nearest_window(WORLDS[name](), all_rules()))


TWIN_PRICES = {
    "board-a": 4000, "board-b": 4100, "board-c": 4600, "board-d": 4700, "cpu-a": 3000, "cpu-b": 3100, "kit-a": 1200,
    "kit-b": 1300, "kit-c": 1500, "kit-d": 2000, "kit-e": 2100, "cooler-a": 900, "cooler-b": 600, "cooler-c": 1500,
    "cooler-d": 500, "cooler-e": 400, "cooler-f": 950, "paste": 250,
}  # fmt: skip


@cache
def twins() -> Problem:
    """Twins of boards and kits, one demanded, one in a set; a processor that is sold in a set only; coolers that serve
    as much for more, less for less, or nothing."""
    low = replace(COOLER, name="C", height_mm=90, rated_w=65)
    tables: dict[str, Any] = {
        "boards": [board(n) for n in "abcd"],
        "cpus": [cpu("a", boxed_cooler=False), cpu("b"), cpu("c", tdp_w=35)],
        "memory": [kit(n) for n in "abcde"],
        "coolers": [
            COOLER,
            replace(COOLER, id="cooler-b", paste_included=False),
            replace(low, id="cooler-c"),
            replace(COOLER, id="cooler-d", height_mm=190),
            replace(COOLER, id="cooler-e", sockets=("sock-9",)),
            replace(low, id="cooler-f", paste_included=False),
        ],
        "extras": [PASTE],
        "sellers": [Seller("near", "Near", 0)],
    }
    sets = [
        Bundle("pair", "Pair", "parts", (("board-d", 1), ("kit-d", 1)), "near", 6600),
        Bundle("only", "Only", "parts", (("board-c", 1), ("cpu-c", 1)), "near", 5000),
        Bundle("cool", "Cool", "parts", (("cpu-a", 1), ("cooler-c", 1)), "near", 4000),
    ]
    brief = Brief(budget="400.00", including=("kit-c",))
    return make_problem(brief=brief, offers=priced(TWIN_PRICES, "near"), bundles=sets, **tables)


def twin_lines(times: int, every_twin: bool, demanded: bool) -> list[str]:
    """What the first step and what always beats others leave of twins, however few there are."""
    problem = twins()
    if not demanded:
        problem = make_problem(
            brief=Brief(budget="400.00"),
            offers=priced(TWIN_PRICES, "near"),
            **{
                name: problem.source.tables[name]
                for name in ("boards", "cpus", "memory", "coolers", "extras", "sellers")
            },
        )
    with patch.object(prune, "MANY_MEMORY", 0):
        found = screened(problem, all_rules(), every_twin)
    assert found is not None
    pool = found.pool.copy()
    lines = [
        f"{slot}: " + " ".join(f"{c.key}={pool.price[c]}/{pool.cost[c]}" for c in pool.left[slot])
        for slot in MAIN
    ]
    drop_dominated(pool, found.quick.allowed, times)
    lines += ["-- beaten", *pool_lines(pool)]
    drop_coolers(pool, found.quick)
    return [*lines, f"coolers: {listed(pool.left['cooler'])}"]


def every_trace() -> dict[str, Callable[[], list[str]]]:
    """By name what makes the lines."""
    found: dict[str, Callable[[], list[str]]] = {}

    def add(title: str, make: Callable[..., list[str]], *args: Any, **named: Any) -> None:
        found[title] = lambda: make(*args, **named)

    for name in WORLDS:
        add(f"{name}: screened", screened_lines, name)
        add(f"{name}: bounds", bounds_lines, name)
        add(f"{name}: beaten", dominated_lines, name, 1)
        add(f"{name}: beaten twice", dominated_lines, name, 2)
        add(f"{name}: anything", searched, name, lambda s: Found((d,) if (d := s.anything()) else (), False))
        add(f"{name}: fastest", searched, name, lambda s: s.fastest())
        add(f"{name}: faster than the cheapest", searched, name, lambda s, n=name: s.fastest(cheapest(n)))
        add(f"{name}: cheapest", searched, name, lambda s: s.cheap(1))
        add(f"{name}: five cheap ones", searched, name, lambda s: s.cheap(5))
        for resolution, wanted in (("0", 1), ("5", 2), ("40", 4)):
            add(
                f"{name}: best {wanted} at {resolution} %",
                searched,
                name,
                lambda s, n=name, r=resolution, w=wanted: s.best(least(n).time_ppm, Fraction(r), w),
            )
        add(f"{name}: walk", walked, name, 90)
        for wanted in (0, 1):
            add(f"{name}: windows of {wanted}", windows, name, wanted)
        add(f"{name}: windows of few", short_window, name, 3, 2)
        add(f"{name}: window of points", points_window, name)
        add(f"{name}: single bounds", single_bounds, name)
        add(f"{name}: nearest", nearest, name, 2)
        add(f"{name}: without a processor", without, name, "cpu-b")
    for times in (1, 2):
        for every_twin in (False, True):
            for demanded in (False, True):
                title = f"twins: beaten {times}, every {every_twin}, demanded {demanded}"
                add(title, twin_lines, times, every_twin, demanded)
    for limit, most in (("MOST_DRAFTS", 1), ("MOST_LOOKS", 2), ("MOST_TRIED", 3)):
        add(f"plain: {limit} {most}", limited, "plain", limit, most, lambda s: s.cheap(4))
        add(f"choices: {limit} {most}", limited, "choices", limit, most, lambda s: s.fastest())
    return found


def main() -> None:
    for title, make in every_trace().items():
        print("\n".join([f"== {title}", *make(), ""]))


if __name__ == "__main__":
    main()
