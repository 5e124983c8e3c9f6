"""The rules about buying, each on drafts made by hand: what may be taken, and what is said of it.

Ordered on 20 November 2026 (`support.TODAY`), on the way for the seller's days; "until" a day includes that day (common
practice). The statements posted for the solver: `test_agreement.py`, `properties/test_sellers.py`.
"""

from __future__ import annotations

import datetime
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from support import (
    BOARD,
    COOLER,
    CPU,
    KIT,
    OLD_BOARD,
    SELLER,
    TODAY,
    agree,
    findings,
    make_problem,
    make_survey,
    pick,
)

from partsolver.catalog.records import Bundle, Extra, Offer
from partsolver.model.build import build
from partsolver.model.solve import Limits, solve
from partsolver.plan.draft import Draft, Line, Need
from partsolver.problem.problem import Problem
from partsolver.rules import (
    all_rules,
    buying_arrival,
    buying_budget,
    buying_excluded,
    buying_minimums,
    buying_order,
    buying_stock,
    buying_valid,
    fit_paste,
    platform_firmware,
)
from partsolver.survey.model import Pc
from partsolver.wishes.brief import Brief

ONE, TWO = replace(SELLER, delivery_days=3), replace(SELLER, id="two", name="Two", delivery_days=5)
SET = Bundle("set", "set", "parts", ((BOARD.id, 1), (CPU.id, 1)), "two", 3000)
SERVICE = Extra(id="service", name="service", kind="firmware-update")


def day(days: int) -> datetime.date:
    return TODAY + datetime.timedelta(days=days)


def shop(**brief: Any) -> Problem:
    """Both sellers sell, the second one a set of board and processor too."""
    all_rules()
    return make_problem(
        brief=Brief(**{"budget": "10000.00", **brief}),
        sellers=[ONE, TWO],
        bundles=[SET],
        extras=[SERVICE],
        coolers=(),
    )


def draft_of(problem: Problem, *lines: Line, cost: int = 0, time_ppm: int = 1) -> Draft:
    return Draft(pick(problem), lines, (), cost, time_ppm)


def line(part: str, seller: str = "shop", quantity: int = 1, slot: Any = None, **offer: Any) -> Line:
    return Line(part, quantity, 1000 * quantity, slot, offer=Offer(part, seller, 1000, **offer))


def told(rule: Any, draft: Draft, problem: Problem) -> list[tuple[Any, ...]]:
    return [
        (f.verdict, f.value, f.limit, f.margin, f.unit, f.parts, dict(f.facts))
        for f in rule.admits(draft, problem)
    ]


def test_which_of_them_are_idle() -> None:
    plain = shop()
    for rule in (buying_arrival, buying_excluded, buying_minimums):
        assert rule.idle(plain)
    assert not buying_arrival.idle(shop(need_by=TODAY)) and not buying_minimums.idle(shop(min_memory_gb=8))
    assert not buying_excluded.idle(shop(without=("cpu-a",))) and not buying_excluded.idle(
        shop(including=("cpu-a",))
    )
    for rule in (buying_arrival, buying_excluded, buying_minimums, buying_valid, buying_stock, buying_order):
        assert rule.admits(draft_of(plain), plain) == ()


@pytest.mark.parametrize(
    ("by", "available", "offer", "bundle"),
    [
        (3, None, True, False),
        (2, None, False, False),
        (5, None, True, True),
        (4, 2, False, False),
        (5, 2, True, False),
        (8, 3, True, True),
    ],
)
def test_what_arrives_in_time(by: int, available: int | None, offer: bool, bundle: bool) -> None:
    """Three days from the first seller, five from the second."""
    problem = shop(need_by=day(by))
    on = None if available is None else day(available)
    assert buying_arrival.allows_offer(problem, Offer("cpu-a", "shop", 1, available_on=on), 1) is offer
    assert buying_arrival.allows_bundle(problem, replace(SET, available_on=on)) is bundle
    plain = shop()
    assert buying_arrival.allows_offer(plain, Offer("cpu-a", "shop", 1, available_on=on), 1) is True
    assert buying_arrival.allows_bundle(plain, SET) is True


def test_days_of_arrival_are_said_line_by_line() -> None:
    problem = shop(need_by=day(4))
    lines = (
        Line("gift", 1, 0),
        line("cpu-a"),
        line("kit-a", "two"),
        Line("set", 1, 3000, bundle=replace(SET, seller="shop", available_on=day(1))),
    )
    assert told(buying_arrival, draft_of(problem, *lines), problem) == [
        ("fits", "2026-11-23", "2026-11-24", 1, "days", ("cpu-a",), {"seller": "shop"}),
        ("fails", "2026-11-25", "2026-11-24", -1, "days", ("kit-a",), {"seller": "two"}),
        ("fits", "2026-11-24", "2026-11-24", 0, "days", ("set",), {"seller": "shop"}),
    ]


@pytest.mark.parametrize(
    ("board_from", "by", "back"),
    [("two", 3, 3), ("two", 11, 11), ("shop", 3, 3), (None, 10, 6)],
)
def test_a_board_that_is_sent_in(board_from: str | None, by: int, back: int) -> None:
    """Three days to the first seller and three back, from when the board is there (five days from the second)."""
    problem = shop(need_by=day(by))
    need = Need("platform.firmware", "update", "firmware-update", (("service", 1),))
    service = Line("service", 1, 1000, need=need, offer=Offer("service", "shop", 1000))
    lines = (service,) if board_from is None else (line("board-a", board_from, slot="board"), service)
    expected = {"two": 11, "shop": 3, None: 6}[board_from]
    found = told(buying_arrival, draft_of(problem, *lines), problem)[-1]
    assert found[1:4] == (day(expected).isoformat(), day(by).isoformat(), by - expected)
    assert found[0] == ("fits" if by >= expected else "fails")
    assert found[6] == {"seller": "shop"} | ({} if board_from == "shop" else {"sent_in": "yes"})
    source = None if board_from is None else Offer("board-a", board_from, 1000)
    assert buying_arrival.allows_trip(problem, source, Offer("service", "shop", 1000)) is (
        board_from == "shop" or by >= expected
    )
    assert buying_arrival.allows_trip(shop(), source, Offer("service", "shop", 1000)) is True


@pytest.mark.parametrize(("by", "good"), [(5, True), (4, False)])
def test_only_a_service_has_the_board_sent_in(by: int, good: bool) -> None:
    """Paste of one seller for a board of the other: each comes on its own day, the board on the fifth."""
    problem = make_problem(
        brief=Brief(budget="10000.00", need_by=day(by)),
        sellers=[ONE, TWO],
        coolers=[replace(COOLER, paste_included=False)],
        extras=[Extra(id="paste", name="paste", kind="thermal-paste")],
        offers=[
            Offer(part, "two" if part == "board-a" else "shop", 1000)
            for part in ("board-a", "cpu-a", "kit-a", "cooler-a", "paste")
        ],
    )
    built = build(problem, [fit_paste, buying_arrival])
    for candidate in pick(problem, cooler="cooler-a").picked:
        built.model.add(built.picks.literal(candidate.slot, candidate.key) == 1)
    assert solve(built.model, Limits()).found is good


@pytest.mark.parametrize(("board_from", "by"), [("aa", 11), ("mm", 3), ("zz", 11), (None, 6)])
def test_the_solver_sends_a_board_in_only_where_it_is_back_in_time(board_from: str | None, by: int) -> None:
    """The service is that of "mm": three days there and three back, for the present board from today, for a board of
    another seller from the fifth day, when it is there. A board of its own, there on the third day, comes updated."""
    sellers = [
        replace(SELLER, id=id, name=id, delivery_days=3 if id == "mm" else 5) for id in ("aa", "mm", "zz")
    ]
    families = {"cpu_families": (("fam-1", "2.00"),), "firmware_shipped": "1.10"}
    old = replace(OLD_BOARD, **families, socket=CPU.socket)
    for days, good in ((by, True), (by - 1, False)):
        problem = make_problem(
            make_survey(board=old, pc=Pc(cpu_works=False)),  # none that could start it for the update
            Brief(budget="10000.00", need_by=day(days)),
            sellers=sellers,
            boards=[replace(BOARD, **families)] if board_from else [],
            memory=[],
            coolers=[],
            extras=[SERVICE],
            offers=[
                Offer("cpu-a", "mm", 1000),
                Offer("service", "mm", 1000),
                *([Offer("board-a", board_from, 1000)] if board_from else []),
            ],
        )
        built = build(problem, [platform_firmware, buying_arrival])
        for slot, key in (("board", "board-a" if board_from else "kept-board"), ("cpu", "cpu-a")):
            built.model.add(built.picks.literal(slot, key) == 1)
        assert solve(built.model, Limits()).found is good


@pytest.mark.parametrize(
    ("cost", "verdict", "margin"), [(999, "fits", 1), (1000, "fits", 0), (1001, "fails", -1)]
)
def test_budget(cost: int, verdict: str, margin: int) -> None:
    problem = shop(budget="10.00")
    assert told(buying_budget, draft_of(problem, cost=cost), problem) == [
        (verdict, cost, 1000, margin, "money", (), {})
    ]
    assert buying_budget.admits(draft_of(problem, cost=cost), shop(budget=None)) == ()


@pytest.mark.parametrize(("days", "good"), [(-1, False), (0, True), (1, True), (None, True)])
def test_offers_that_end(days: int | None, good: bool) -> None:
    problem = shop()
    until = None if days is None else day(days)
    assert buying_valid.allows_offer(problem, Offer("cpu-a", "shop", 1, valid_until=until), 1) is good
    assert buying_valid.allows_bundle(problem, replace(SET, valid_until=until)) is good
    lines = (
        Line("gift", 1, 0),
        line("cpu-a", valid_until=until),
        Line("set", 1, 3000, bundle=replace(SET, valid_until=until)),
    )
    said = (
        "fits" if good else "fails",
        "2026-11-20",
        None if until is None else until.isoformat(),
        days,
        "days",
    )
    assert told(buying_valid, draft_of(problem, *lines), problem) == (
        []
        if days is None
        else [(*said, ("cpu-a",), {"seller": "shop"}), (*said, ("set",), {"seller": "two"})]
    )


def test_stock_of_what_is_ordered_more_than_once() -> None:
    """Lines of one offer add up; what a bundle covers is in the bundle's own line."""
    problem = shop()
    bundle = replace(SET, stock=1)
    lines = (
        line("kit-a", quantity=2, stock=3),
        line("kit-a", quantity=2, stock=3),
        line("cpu-a"),
        Line("set", 1, 3000, bundle=bundle),
        Line("board-a", 1, 0, "board", bundle=bundle),
        Line("gift", 1, 0),
    )
    assert told(buying_stock, draft_of(problem, *lines), problem) == [
        ("fails", 3, 4, -1, "pieces", ("kit-a",), {"seller": "shop"}),
        ("fits", 1, 1, 0, "pieces", ("set",), {"seller": "two"}),
    ]
    for stock, most in ((None, 9), (0, 0), (2, 2)):
        offer = Offer("kit-a", "shop", 1, stock)
        allowed = [buying_stock.allows_offer(problem, offer, quantity) for quantity in (1, 2, 3)]
        assert allowed == [quantity <= most for quantity in (1, 2, 3)]
        assert buying_stock.allows_bundle(problem, replace(SET, stock=stock)) is (most > 0)


def test_least_order_of_each_seller() -> None:
    problem = make_problem(
        sellers=[
            replace(ONE, minimum_order=3000),
            replace(TWO, minimum_order=3001),
            replace(ONE, id="free", name="Free", minimum_order=0),
            replace(ONE, id="idle", name="Idle", minimum_order=9),
        ]
    )
    lines = (
        line("cpu-a"),
        line("kit-a", quantity=2),
        line("x", "free"),
        Line("set", 1, 3000, bundle=SET),
        Line("board-a", 1, 0, "board", bundle=SET),
        Line("gift", 1, 0),
    )
    assert told(buying_order, draft_of(problem, *lines), problem) == [
        ("fits", 3000, 3000, 0, "money", (), {"seller": "shop"}),
        ("fails", 3000, 3001, -1, "money", (), {"seller": "two"}),
    ]


def test_what_must_and_must_not_be_used() -> None:
    problem = shop(without=("cpu-a", "set", "kept-memory"), including=("kit-a", "board-a", "kept-psu"))
    assert told(buying_excluded, draft_of(problem, line("cpu-a")), problem) == [
        ("fails", "cpu-a", "excluded", None, "", ("cpu-a",), {}),
        *(("fits", part, None, None, "", (part,), {}) for part in ("kit-a", "board-a", "kept-psu")),
    ]
    present = problem.present()
    assert present is not None
    kept = told(buying_excluded, Draft(present, (Line("set", 1, 1, bundle=SET),), (), 0, 1), problem)
    assert [found[:3] for found in kept] == [
        ("fails", "set", "excluded"),
        ("fails", "kept-memory", "excluded"),
        ("fails", "absent", "kit-a"),
        ("fails", "absent", "board-a"),
        ("fits", "kept-psu", None),
    ]
    assert buying_excluded.allows_offer(problem, Offer("cpu-a", "shop", 1), 1) is False
    assert buying_excluded.allows_offer(problem, Offer("kit-a", "shop", 1), 1) is True
    assert buying_excluded.allows_bundle(problem, SET) is False
    assert buying_excluded.allows_bundle(problem, replace(SET, id="other")) is True


def test_a_demanded_paste_is_bought_where_one_is_needed() -> None:
    """What small things are bought counts for the solver too: a cooler with paste in its box brings none of the paste
    that is asked for."""
    coolers = [replace(COOLER, paste_included=False), replace(COOLER, id="cooler-b", paste_included=True)]
    paste = Extra(id="paste", name="paste", kind="thermal-paste")
    problem = make_problem(
        brief=Brief(budget="10000.00", including=("paste",)), coolers=coolers, extras=[paste]
    )
    built = build(problem, [fit_paste, buying_excluded])
    for cooler, good in (("cooler-a", True), ("cooler-b", False)):
        trial = built.model.clone()
        for candidate in pick(problem, cooler=cooler).picked:
            trial.add(built.picks.literal(candidate.slot, candidate.key) == 1)
        assert solve(trial, Limits()).found is good


def test_a_demanded_set_is_bought() -> None:
    problem = shop(including=("set",))
    built = build(problem, [buying_excluded])
    for keys, good in (({}, True), ({"cpu": "kept-cpu"}, False)):  # the set is of board and processor
        trial = built.model.clone()
        for candidate in pick(problem, **keys).picked:
            trial.add(built.picks.literal(candidate.slot, candidate.key) == 1)
        assert solve(trial, Limits()).found is good


def test_which_candidates_may_be_taken() -> None:
    def allowed(slot: Any, **brief: Any) -> set[str]:
        problem = shop(**brief)
        return {c.key for c in problem.slot(slot) if buying_excluded.allows_candidate(problem, c)}

    every = {"kept-memory", "kit-a*1", "kit-a*2", "kit-a*1+kept-memory"}
    assert allowed("memory") >= {"kept-memory", "kit-a*1"}
    assert allowed("memory", without=("kept-memory",)) == allowed("memory") - {
        "kept-memory",
        "kit-a*1+kept-memory",
    }
    assert allowed("memory", without=("kit-a",)) == {"kept-memory"}
    assert allowed("memory", without=("cpu-a",)) == allowed("memory") >= every & allowed("memory")
    assert allowed("memory", including=("kit-a",)) == allowed("memory") - {"kept-memory"}
    # Nothing of this slot is demanded: any of it.
    assert allowed("cpu", including=("kit-a",)) == allowed("cpu") == {"kept-cpu", "cpu-a"}
    assert allowed("cpu", including=("kit-a",), without=("cpu-a",)) == {"kept-cpu"}


FASTER = 1_300_000  # what the PC takes today


@pytest.mark.parametrize(
    ("wanted", "time_ppm", "verdict", "milli", "limit", "margin"),
    [
        ("1.3", 1_000_000, "fits", 1300, 1300, 0),
        ("1.3", 1_000_001, "fails", 1299, 1300, -1),
        ("1.3", 650_000, "fits", 2000, 1300, 700),
        ("1.2999", 1_000_050, "fits", 1299, 1300, 0),  # enough, though the thousandths shown are one short
        ("1.2999", 1_000_100, "fails", 1299, 1300, -1),
        ("2", 1_300_000, "fails", 1000, 2000, -1000),
    ],
)
def test_the_wanted_speed_up(
    wanted: str, time_ppm: int, verdict: str, milli: int, limit: int, margin: int
) -> None:
    """Today's time over that of the plan; shown in thousandths, reached rounded down, wanted up."""
    problem = shop(min_speedup=wanted)
    problem.store.present_time_ppm = (FASTER,)
    assert told(buying_minimums, draft_of(problem, time_ppm=time_ppm), problem) == [
        (verdict, milli, limit, margin, "speed-up/1000", (), {})
    ]
    most = buying_minimums.most_time_ppm(problem)
    assert most == int(FASTER / Fraction(wanted)) and (time_ppm <= most) == (verdict == "fits")


def test_no_wanted_speed_up_and_none_that_can_be_told() -> None:
    assert buying_minimums.most_time_ppm(shop()) is None
    zero = shop(min_speedup="0")
    assert buying_minimums.most_time_ppm(zero) is None
    assert [f.verdict for f in buying_minimums.admits(draft_of(zero), zero)] == ["fits"]
    problem = shop(min_speedup="1.3")
    problem.store.present_time_ppm = (None,)  # a processor without a score
    assert buying_minimums.most_time_ppm(problem) is None
    (found,) = buying_minimums.admits(draft_of(problem), problem)
    assert (found.verdict, found.question, found.admits) == ("unknown", "cpu.serial_score", True)


@pytest.mark.parametrize(("wanted", "verdict"), [(7, "fits"), (8, "fits"), (9, "fails")])
def test_the_wanted_memory(wanted: int, verdict: str) -> None:
    """Two modules of 4 GiB; 1 GB of memory = 1024 MiB (JEDEC's use of the prefix)."""
    problem = shop(min_memory_gb=wanted)
    (found,) = findings(buying_minimums, problem, pick(problem, memory="kit-a*1"))
    assert (found.verdict, found.value, found.limit, found.unit, found.parts) == (
        verdict,
        8192,
        1024 * wanted,
        "MiB",
        ("kit-a*1",),
    )
    kit = next(c for c in problem.slot("memory") if c.key == "kit-a*1")
    assert buying_minimums.allows_candidate(problem, kit) is (verdict == "fits")
    assert buying_minimums.allows_candidate(problem, problem.slot("cpu")[0]) is True
    assert buying_minimums.allows_candidate(shop(), kit) is True
    agree(buying_minimums, problem)


def test_memory_whose_size_nobody_knows_is_asked() -> None:
    memory = tuple(m.model_copy(update={"capacity_mib": None}) for m in make_survey().memory)
    problem = make_problem(
        make_survey(memory=memory), Brief(budget="10000.00", min_memory_gb=64), memory=[KIT]
    )
    found = buying_minimums.admits(Draft(problem.present(), (), (), 0, 1), problem)  # type: ignore[arg-type]
    assert [(f.verdict, f.question) for f in found] == [("unknown", "memory.capacity_mib")]
    kept = next(c for c in problem.slot("memory") if c.kept)
    assert buying_minimums.allows_candidate(problem, kept) is True


@pytest.mark.parametrize(
    ("kept_mib", "kit_mib", "question"),
    [(2048, None, "memory:kit-a.module_mib"), (None, 4096, "memory.capacity_mib")],
)
def test_of_modules_side_by_side_those_are_asked_that_nobody_knows(
    kept_mib: int | None, kit_mib: int | None, question: str
) -> None:
    memory = tuple(m.model_copy(update={"capacity_mib": kept_mib}) for m in make_survey().memory)
    problem = make_problem(
        make_survey(memory=memory),
        Brief(budget="10000.00", min_memory_gb=8),
        memory=[replace(KIT, generation="ddr3", module_mib=kit_mib)],
    )
    (found,) = findings(buying_minimums, problem, pick(problem, memory="kit-a*1+kept-memory"))
    assert (found.verdict, found.question) == ("unknown", question)
