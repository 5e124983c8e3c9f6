"""What the first step and the twins' step leave, each by hand: which candidates stay, and what they cost at least."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest
from search.tiny import Told, board, keys, kit, left, need, priced, problem_of, screened_of
from support import make_problem

from partsolver.base.quantities import FAR
from partsolver.catalog.records import Bundle, Extra, Offer
from partsolver.problem.candidates import SLOTS
from partsolver.rules import rule
from partsolver.search import prune
from partsolver.search.bounds import Figures
from partsolver.search.prune import Screened, drop_dominated, screened
from partsolver.search.rule_memory import Quick
from partsolver.search.search import Search
from partsolver.wishes.brief import Brief

BOARDS = [board(name) for name in "abc"]
KITS = [kit(name) for name in "abc"]
PRICES = {f"board-{n}": 4000 + 100 * i for i, n in enumerate("abc")} | {"cpu-a": 3000}
PRICES |= {f"kit-{n}": 1000 + 100 * i for i, n in enumerate("abc")}


def twins(**more: Any) -> Any:
    """Three boards and three kits that differ in nothing but price, at a shop without delivery."""
    return problem_of(PRICES, boards=BOARDS, memory=KITS, **more)


def left_of_twins(problem: Any, times: int = 1, trips: bool = False) -> list[list[str]]:
    found = screened_of(problem, ["buying.stock"])
    pool, allowed = found.pool.copy(), found.quick.allowed
    if trips:
        allowed.allows_trip = lambda *_: True
    drop_dominated(pool, allowed, times)
    boards, memory = left(pool, "board", "memory")
    return [
        sorted(key for key in boards if key != "kept-board"),
        sorted(key for key in memory if key.endswith("*1")),
    ]


@pytest.mark.parametrize("times, names", [(1, "a"), (2, "ab"), (3, "abc"), (4, "abc")])
def test_so_many_twins_stay(times: int, names: str) -> None:
    assert left_of_twins(twins(), times) == [[f"board-{n}" for n in names], [f"kit-{n}*1" for n in names]]


def test_what_is_kept_stays_beside_twins() -> None:
    found = screened_of(twins(), ["buying.stock"])
    drop_dominated(found.pool, found.quick.allowed)
    boards, memory = left(found.pool, "board", "memory")
    assert sorted(boards) == ["board-a", "kept-board"]
    assert {"kept-memory", "kit-a*1", "kit-a*2"} <= set(memory)


def test_a_demanded_twin_and_one_in_a_set_stay() -> None:
    demanded = twins(brief=Brief(budget="900.00", including=("board-c", "kit-b")))
    assert left_of_twins(demanded) == [["board-a", "board-c"], ["kit-a*1", "kit-b*1"]]
    pair = Bundle("set", "Set", "parts", (("board-b", 1), ("kit-c", 1)), "shop", 9000)
    assert left_of_twins(twins(bundles=(pair,))) == [["board-a", "board-b"], ["kit-a*1", "kit-c*1"]]


def test_boards_that_may_be_sent_in_are_no_twins() -> None:
    """The dearer one may be the one that is back in time; memory is sent nowhere."""
    assert left_of_twins(twins(), trips=True) == [["board-a", "board-b", "board-c"], ["kit-a*1"]]


# -- few choices -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("counts, small", [((10, 10, 20), True), ((10, 10, 21), False), ((41, 0, 0), False)])
def test_forty_choices_are_few(counts: tuple[int, ...], small: bool) -> None:
    """Boards, processors and memory count; the other slots do not."""
    sizes = dict.fromkeys(SLOTS, 90) | dict(zip(("board", "cpu", "memory"), counts, strict=True))
    pool: Any = SimpleNamespace(left={slot: [None] * size for slot, size in sizes.items()})
    assert Screened(pool, None, 0, 0).small is small  # type: ignore[arg-type]


# -- sets: the share of each ------------------------------------------------------------------------------------------


def least(prices: dict[str, int], *bundles: Bundle) -> dict[str, int]:
    """The least price of the board and the processor that can be bought, by key."""
    found = screened(problem_of(prices, bundles=bundles), [rule("buying.stock")])
    assert found is not None
    return {c.key: found.pool.price[c] for slot in ("board", "cpu") for c in found.pool.left[slot] if c.id}


def pair_for(price: int, name: str = "set") -> Bundle:
    return Bundle(name, name, "parts", (("board-a", 1), ("cpu-a", 1)), "shop", price)


@pytest.mark.parametrize(
    "own, prices, least_prices",
    [
        ((4000, 3000), (3500,), (2000, 1500)),
        # 3501 * 4 / 7 = 2000.57, 3501 * 3 / 7 = 1500.43: rounded down.
        ((4000, 3000), (3501,), (2000, 1500)),
        # Alone they are cheaper.
        ((4000, 3000), (7700,), (4000, 3000)),
        # Of two sets the cheaper counts, whichever is listed first.
        ((4000, 3000), (3500, 2800), (1600, 1200)),
        ((4000, 3000), (2800, 3500), (1600, 1200)),
        ((1, 0), (10,), (1, 0)),
        ((0, 0), (10,), (0, 0)),
    ],
)
def test_the_price_of_a_set_is_divided_as_the_prices_alone_are(
    own: tuple[int, int], prices: tuple[int, ...], least_prices: tuple[int, int]
) -> None:
    found = least(
        {"board-a": own[0], "cpu-a": own[1], "kit-a": 1000},
        *(pair_for(price, f"set-{n}") for n, price in enumerate(prices)),
    )
    assert found == {"board-a": least_prices[0], "cpu-a": least_prices[1]}


def test_what_is_sold_in_a_set_only_takes_its_whole_price() -> None:
    assert least({"board-a": 4000, "kit-a": 1000}, pair_for(3500)) == {"board-a": 0, "cpu-a": 3500}
    assert least({"kit-a": 1000}, pair_for(3501)) == {"board-a": 1750, "cpu-a": 1750}
    assert least({"board-a": 4000, "kit-a": 1000}) == {"board-a": 4000}


def test_a_set_that_cannot_be_bought_has_no_share() -> None:
    """None of it is in stock; the one listed behind it counts all the same."""
    gone = replace(pair_for(700, "set-0"), stock=0)
    assert least({"board-a": 4000, "cpu-a": 3000, "kit-a": 1000}, gone, pair_for(3500, "set-1")) == {
        "board-a": 2000,
        "cpu-a": 1500,
    }


# -- many twins of memory ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("more_than_listed, names", [(0, "ab"), (1, "abc")])
def test_many_memory_choices(more_than_listed: int, names: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """From so many on, the third of three that differ by 1.00 each, without a delivery, is asked nothing."""
    problem = twins()
    monkeypatch.setattr(prune, "MANY_MEMORY", len(problem.slot("memory")) + more_than_listed)
    (memory,) = left(screened_of(problem, ["buying.stock"]).pool, "memory")
    assert sorted(k for k in memory if k.endswith("*1")) == [f"kit-{n}*1" for n in names]
    assert sorted(k for k in memory if k.endswith("*2")) == [f"kit-{n}*2" for n in names]
    assert "kept-memory" in memory


def test_memory_of_another_kind_is_beaten_by_none(monkeypatch: pytest.MonkeyPatch) -> None:
    """A slower kit is the dearest: only the third of the three twins goes."""
    monkeypatch.setattr(prune, "MANY_MEMORY", 0)
    kits = [*KITS, kit("d", rate_mts=2133)]
    problem = problem_of(PRICES | {"kit-d": 5000}, boards=BOARDS, memory=kits)
    (memory,) = left(screened_of(problem, ["buying.stock"]).pool, "memory")
    assert sorted(k for k in memory if k.endswith("*1")) == ["kit-a*1", "kit-b*1", "kit-d*1"]


# -- what a rule says whatever the rest ---------------------------------------------------------------------------------


def test_what_is_refused_goes_and_what_is_needed_is_paid_once() -> None:
    """One board is refused, one needs paste for 3.00. The rule sees the supply too, of which there is one: it is paid
    with the board, not with the supply again."""
    problem = make_problem(
        coolers=(), boards=BOARDS, extras=[Extra("paste", "Paste", kind="thermal-paste")],
        offers=[*priced(PRICES | {"kit-a": 1000}), Offer("paste", "shop", 300)],
    )  # fmt: skip
    says = Told(
        "x.board",
        {"board": ("id",), "psu": ("id",)},
        lambda p: p.board.id != "board-b" and (need(("paste", 1)) if p.board.id == "board-c" else True),
    )
    found = screened_of(problem, ["buying.stock"])
    pool, quick = found.pool, Quick(problem, [says, rule("buying.stock")])
    assert prune._screen(pool, quick)
    assert sorted(left(pool, "board")[0]) == ["board-a", "board-c", "kept-board"]
    costs = {c.key: pool.cost[c] for c in pool.left["board"]}
    assert costs == {"board-a": 4000, "board-c": 4500, "kept-board": 0}
    assert [pool.cost[c] for c in pool.left["psu"]] == [0]


def refuses(slot: str) -> Any:
    return Told("x.none", {slot: ("id",)}, lambda p: False)


def test_a_slot_that_a_rule_leaves_empty_ends_it() -> None:
    problem = twins()
    pool = screened_of(problem, ["buying.stock"]).pool
    assert not prune._screen(pool, Quick(problem, [refuses("cpu")]))
    assert screened(problem, [refuses("psu")]) is None


# -- money ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "budget, names",
    [("80.00", "a"), ("80.99", "a"), ("81.00", "ab"), ("82.00", "abc")],
)
def test_memory_beyond_the_budget_with_the_cheapest_partners_goes(budget: str, names: str) -> None:
    """A kit of its generation wants the board for 40.00 and with it the processor for 30.00."""
    rules = ["buying.budget", "buying.stock", "platform.socket", "memory.generation"]
    found = screened_of(twins(brief=Brief(budget=budget)), rules)
    assert found.most_cost == round(float(budget) * 100) and found.most_time == FAR
    (memory,) = left(found.pool, "memory")
    assert sorted(k for k in memory if k != "kept-memory") == [f"kit-{n}*1" for n in names]
    assert screened_of(twins(brief=Brief(budget=budget)), rules[1:]).most_cost == FAR


@pytest.mark.parametrize("speedup, boards", [("1.01", 4), ("0.5", 4), ("50", 0)])
def test_a_speed_that_nothing_reaches_leaves_nothing(speedup: str, boards: int) -> None:
    """Only the rule about the least speed makes a limit of it."""
    brief = Brief(budget="900.00", min_speedup=speedup)
    problem = twins(brief=brief)
    found = screened(problem, [rule("buying.minimums"), rule("buying.stock")])
    if not boards:
        assert found is None
    else:
        assert found is not None and len(found.pool.left["board"]) == boards and found.most_time < FAR
        assert found.most_cost == FAR
    without = screened_of(problem, ["buying.stock"])
    assert without.most_time == FAR and len(without.pool.left["board"]) == 4


def test_a_rule_about_buying_chooses_candidates() -> None:
    """One that refuses a board by itself: it is not among the candidates, nor has it a price."""
    says: Any = Told("x.choice", {"board": ("id",)}, lambda p: True)
    says.allows_candidate = lambda problem, candidate: candidate.key != "board-b"
    says.idle = lambda problem: False
    found = screened(twins(), [says, rule("buying.stock")])
    assert found is not None
    assert sorted(left(found.pool, "board")[0]) == ["board-a", "board-c", "kept-board"]
    assert "board-b" not in {candidate.key for candidate in found.pool.price}


def test_a_search_is_among_what_one_twin_does_not_beat() -> None:
    found = screened_of(twins(), ["buying.stock"])
    assert [sorted(left(own.pool, "board")[0]) for own in (found.search(), found.search(2))] == [
        ["board-a", "kept-board"],
        ["board-a", "board-b", "kept-board"],
    ]
    assert type(found.search()) is Search and len(found.pool.left["board"]) == 4


def test_what_no_offer_allowed_sells_is_no_candidate() -> None:
    """Sold out at the only shop that has it: it has no price, however much money there is."""
    offers = [o if o.part != "board-b" else replace(o, stock=0) for o in priced(PRICES)]
    pool = screened_of(problem_of(PRICES, boards=BOARDS, memory=KITS, offers=offers), ["buying.stock"]).pool
    assert sorted(left(pool, "board")[0]) == ["board-a", "board-c", "kept-board"]
    assert "board-b" not in {candidate.key for candidate in pool.price}


def test_what_a_refusal_makes_dearer_is_compared_with_the_budget_again() -> None:
    """Without the board for 40.00 the kit for 11.00 wants the one for 41.00: 82.00 with a processor, of 81.99."""
    brief = Brief(budget="81.99")
    names = ["buying.budget", "buying.stock", "platform.socket", "memory.generation"]
    rules: list[Any] = [rule(name) for name in names]
    says = Told("x.board", {"board": ("id",)}, lambda p: p.board.id != "board-a")
    for more, kits in (([], ["kit-a*1", "kit-b*1"]), ([says], ["kit-a*1"])):
        found = screened(twins(brief=brief), [*rules, *more])
        assert found is not None
        assert [k for k in left(found.pool, "memory")[0] if k != "kept-memory"] == kits


def test_without_a_limit_nothing_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    """The bounds of a hundred thousand candidates are made where there is a budget, or a speed, to compare with."""
    made: list[str] = []
    for name in ("cost_bounds", "time_bounds"):
        plain = getattr(Figures, name)
        monkeypatch.setattr(
            Figures, name, lambda self, name=name, plain=plain: made.append(name) or plain(self)
        )
    screened_of(twins(), ["buying.stock"])
    assert made == []
    screened_of(twins(), ["buying.stock", "buying.budget"])
    assert set(made) == {"cost_bounds"}
    made.clear()
    screened_of(twins(brief=Brief(budget="900.00", min_speedup="1.01")), ["buying.stock", "buying.minimums"])
    assert set(made) == {"time_bounds"}


def test_what_can_be_bought_is_told_once() -> None:
    """The next question about the same list of candidates takes what is known; one with fewer of them does not, nor
    does one that wants every twin."""
    problem = twins()
    first = screened_of(problem, ["buying.stock"])
    allowed = first.quick.allowed

    def bought(own: Any, every_twin: bool = False) -> Any:
        return prune._buyable(own, [rule("buying.stock")], allowed, every_twin).left["board"]

    assert bought(problem) is bought(problem) and bought(problem, True) is not bought(problem)
    pool = first.pool.copy()
    pool.keep(["board"], lambda c: c.key != "board-b")
    assert keys(bought(pool.restricted())) == keys(pool.left["board"])
    assert sorted(keys(bought(problem))) == ["board-a", "board-b", "board-c", "kept-board"]


def test_a_slot_that_is_left_empty_is_bounded_by_nothing() -> None:
    """Boards and memory that no processor is left for: they go, and then there is no least of them."""
    found = screened_of(twins(), ["buying.stock", "platform.socket"])
    pool = found.pool.copy()
    pool.keep(["cpu"], lambda c: False)
    for most_time, most_cost in ((FAR, FAR), (FAR, 9000), (9000, FAR)):
        assert not prune._narrow(Screened(pool, found.quick, most_time, most_cost))
    pool = found.pool.copy()
    pool.keep(["cpu", "board"], lambda c: c.key in ("cpu-a", "kept-board"))
    for most_time, most_cost in ((FAR, FAR), (FAR, 9000), (9000, FAR)):
        assert not prune._narrow(Screened(pool, found.quick, most_time, most_cost))


# -- a rule of several open slots ------------------------------------------------------------------------------------


def together(say: Any, few: int = 12, most: int = 20_000) -> list[list[str]]:
    """Boards and processors left where one rule says something of both: 4 boards, 2 processors, one of each kept."""
    says: Any = Told("x.both", {"board": ("id",), "cpu": ("id",)}, say)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(prune, "FEW_BESIDE", few)
        patch.setattr(prune, "MOST_TOGETHER", most)
        found = screened(twins(), [rule("buying.stock"), says])
    return [["none"]] if found is None else [sorted(own) for own in left(found.pool, "board", "cpu")]


BOTH = [["board-a", "board-b", "board-c", "kept-board"], ["cpu-a", "kept-cpu"]]


def stands(*pairs: str) -> Any:
    """A rule that lets these pairs of a board and a processor through."""
    return lambda p: f"{p.candidate('board').key} {p.candidate('cpu').key}" in pairs


def test_what_a_rule_refuses_beside_each_of_few_others_goes() -> None:
    assert together(lambda p: True) == BOTH
    assert together(lambda p: p.board.id != "board-a") == [BOTH[0][1:], BOTH[1]]
    # One pair that stands keeps both.
    assert together(stands("board-b cpu-a", "board-c cpu-a")) == [["board-b", "board-c"], ["cpu-a"]]
    assert together(stands("board-b cpu-a", "kept-board kept-cpu")) == [["board-b", "kept-board"], BOTH[1]]
    assert together(stands()) == [["none"]]


def test_many_others_are_not_asked_beside_each() -> None:
    """4 boards beside 2 processors, and 2 processors beside 4 boards, are 8 questions each."""
    only = stands("board-b cpu-a", "board-b kept-cpu", "board-c cpu-a")
    assert together(only, 4, 8) == together(only, 2, 8) == [["board-b", "board-c"], BOTH[1]]
    assert together(only, 1, 8) == together(only, 4, 7) == BOTH
    # One board is left: beside it each processor is asked.
    assert together(stands("board-b cpu-a"), 2, 8) == [["board-b"], ["cpu-a"]]
