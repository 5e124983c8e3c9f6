"""Which bought coolers stay, each by hand: what serves no more and never costs less is left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import product
from typing import Any

import pytest
from search.tiny import Told, cpu, left, priced, screened_of
from support import BOARD, COOLER, KIT, make_problem

from partsolver.catalog.records import Bundle, Extra, Offer, Seller
from partsolver.problem.candidates import BOXED_COOLER
from partsolver.rules import rule
from partsolver.search.coolers import _covering, _Serves, _Sets, drop_coolers
from partsolver.search.rule_memory import Quick
from partsolver.wishes.brief import Brief

PRICES = {"board-a": 4000, "cpu-a": 3000, "kit-a": 1000}
# A shop that takes any order and delivers for nothing.
COSTS = {"dear": 1500, "cheap": 900}


def cooler_of(name: str, **facts: Any) -> Any:
    return replace(COOLER, id=name, name=name, **facts)


def left_of(
    costs: dict[str, int],
    *rules: Any,
    boxed: bool = False,
    coolers: Sequence[Any] | None = None,
    without: Sequence[str] = ("kept-cooler",),
    **more: Any,
) -> list[str]:
    """Bought coolers that stay beside the PC's own processor and a new one with no cooler (``boxed``: with one);
    ``without``: candidates that are gone before, else the PC's own cooler, which costs nothing."""
    # Of different heights: what is said of one is not said of its twins.
    plain = [cooler_of(name, height_mm=100 + n) for n, name in enumerate(costs)]
    listed = plain if coolers is None else coolers
    offers = more.pop("offers", priced(PRICES | costs))
    cpus = more.pop("cpus", [cpu("a", boxed_cooler=boxed)])
    problem = make_problem(
        coolers=listed, cpus=cpus, offers=offers, brief=more.pop("brief", Brief(budget="900.00")), **more
    )
    pool = screened_of(problem, ["buying.stock"]).pool
    for slot, own in pool.left.items():
        pool.left[slot] = [c for c in own if c.key not in without]
    drop_coolers(pool, Quick(problem, [*rules, rule("buying.stock")]))
    return sorted(c.key for c in pool.left["cooler"] if c.id is not None)


def admits_only(slot: str, cooler: str, *others: str) -> Told:
    """A rule by which a cooler goes with these candidates of a slot alone, by their ids; every other with all."""
    return Told(
        f"x.{slot}",
        {slot: ("id",), "cooler": ("cooler.id",)},
        lambda p: p.candidate("cooler").id != cooler or p.candidate(slot).key in others,
    )


def test_of_coolers_that_serve_the_same_the_cheapest_stays() -> None:
    assert left_of(COSTS) == ["cheap"]
    # At equal cost the one whose key comes first.
    assert left_of({"b": 900, "a": 900}) == ["a"]
    assert left_of({"a": 901, "b": 900}) == ["b"]
    assert left_of({"a": 900, "b": 901, "c": 902}) == ["a"]


@pytest.mark.parametrize("slot, other", [("board", "kept-board"), ("cpu", "kept-cpu")])
def test_one_that_serves_more_stays(slot: str, other: str) -> None:
    """The cheap one goes with what is bought or with what is kept only; where the dear one does, it goes."""
    new = f"{slot}-a"
    assert left_of(COSTS, admits_only(slot, "cheap", new)) == ["cheap", "dear"]
    assert left_of(COSTS, admits_only(slot, "cheap", other)) == ["cheap", "dear"]
    assert left_of(COSTS, admits_only(slot, "dear", new)) == ["cheap"]
    assert left_of(COSTS, admits_only(slot, "dear", other)) == ["cheap"]
    # Each serves what the other does not.
    both = (admits_only(slot, "cheap", new), admits_only(slot, "dear", other))
    both[1].ID = "x.second"
    assert left_of(COSTS, *both) == ["cheap", "dear"]
    # What a candidate that is gone would make of it does not count.
    assert left_of(COSTS, admits_only(slot, "cheap", new), without=["kept-cooler", other]) == ["cheap"]


@pytest.mark.parametrize("slot", ["board", "case", "cpu"])
def test_one_that_serves_nothing_of_a_slot_goes(slot: str) -> None:
    """Also where it is the cheapest, and where it is the only one."""
    assert left_of(COSTS, admits_only(slot, "cheap")) == ["dear"]
    assert left_of({"cheap": 900}, admits_only(slot, "cheap")) == []


@pytest.mark.parametrize("pair", [*product(("board-a", "kept-board"), ("cpu-a", "kept-cpu"))])
def test_a_rule_of_several_slots_tells_them_apart(pair: tuple[str, str]) -> None:
    """The cheap one stays away from one pair of board and processor only."""
    says = Told(
        "x.several",
        {"board": ("id",), "cpu": ("id",), "cooler": ("cooler.id",)},
        lambda p: (
            p.candidate("cooler").id != "cheap" or (p.candidate("board").key, p.candidate("cpu").key) != pair
        ),
    )
    assert left_of(COSTS, says) == ["cheap", "dear"]
    # Where its processor is gone, nothing is left that the cheap one does not serve.
    without = {"cpu-a": "kept-cpu", "kept-cpu": "cpu-a"}
    assert left_of(COSTS, says, without=["kept-cooler", without[pair[1]]]) == ["cheap", "dear"]
    assert left_of(COSTS, says, without=["kept-cooler", pair[1]]) == ["cheap"]
    assert left_of({"cheap": 1500, "dear": 900}, says) == ["dear"]


def test_a_demanded_one_and_one_in_a_set_stay() -> None:
    assert left_of(COSTS, brief=Brief(budget="900.00", including=("dear",))) == ["cheap", "dear"]
    pair = Bundle("set", "Set", "parts", (("dear", 1), ("cpu-a", 1)), "shop", 9000)
    assert left_of(COSTS, bundles=(pair,)) == ["cheap", "dear"]
    # Also where it serves nothing.
    assert left_of(COSTS, admits_only("case", "dear"), bundles=(pair,)) == ["cheap", "dear"]


def test_paste_that_has_to_be_bought_counts() -> None:
    """Without paste a cooler serves as one with paste does only where that needs as much."""
    extras = [Extra("paste", "Paste", kind="thermal-paste")]

    def with_paste(cheap: bool, dear: bool) -> list[str]:
        coolers = [cooler_of("cheap", paste_included=cheap), cooler_of("dear", paste_included=dear)]
        offers = [*priced(PRICES | COSTS), Offer("paste", "shop", 300)]
        return left_of(COSTS, rule("fit.paste"), coolers=coolers, extras=extras, offers=offers)

    assert with_paste(cheap=True, dear=True) == ["cheap"]
    assert with_paste(cheap=False, dear=False) == ["cheap"]
    assert with_paste(cheap=True, dear=False) == ["cheap"]
    assert with_paste(cheap=False, dear=True) == ["cheap", "dear"]


def test_beside_processors_with_a_cooler_of_their_own_only_what_pays_stays() -> None:
    """No cooler has to be bought: one stays only where it lifts an order to free delivery."""

    def at_shop(delivery: int, free_from: int | None, costs: dict[str, int]) -> list[str]:
        shop = Seller("shop", "Shop", delivery, free_from)
        return left_of(costs, boxed=True, sellers=[shop], without=["kept-cooler", "kept-cpu"])

    assert at_shop(0, None, COSTS) == []
    assert at_shop(490, None, COSTS) == []
    assert at_shop(490, 9000, {"a": 489}) == ["a"]
    assert at_shop(490, 9000, {"a": 491}) == []
    # As much as it saves: buying nothing comes first.
    assert at_shop(490, 9000, {"a": 490}) == []


def test_where_the_box_is_gone_its_processor_needs_a_cooler() -> None:
    """Its own one is no candidate any more: then the cheapest that is bought stays, beside it too."""
    gone = ["kept-cooler", "kept-cpu"]
    assert left_of(COSTS, boxed=True, without=gone) == []
    assert left_of(COSTS, boxed=True, without=[*gone, BOXED_COOLER]) == ["cheap"]


def test_a_rival_need_not_serve_what_has_a_cooler_of_its_own() -> None:
    """The dear one serves the processor with one in its box as well, beside which nothing is bought."""
    says = admits_only("cpu", "cheap", "kept-cpu")
    assert left_of(COSTS, says, boxed=True) == ["cheap"]
    assert left_of(COSTS, says, boxed=False) == ["cheap", "dear"]


def test_the_kept_cooler_wants_paste_beside_a_bought_board() -> None:
    """So one that brings its own may cost less; where no rule asks for paste, the kept one does."""
    extras = [Extra("paste", "Paste", kind="thermal-paste")]
    offers = [*priced(PRICES | {"cheap": 200}), Offer("paste", "shop", 300)]
    found: dict[str, Any] = {"offers": offers, "extras": extras, "cpus": [], "without": []}
    assert left_of({"cheap": 200}, rule("fit.paste"), **found) == ["cheap"]
    assert left_of({"cheap": 200}, **found) == []


def test_a_socket_is_seen_on_the_board_and_a_mount_on_the_cooler() -> None:
    """The dear one mounts on the socket of the new board, the cheap one on none that is left."""
    coolers = [cooler_of("cheap", sockets=("sock-9",)), cooler_of("dear", sockets=("sock-1",))]
    assert left_of(COSTS, rule("fit.cooler_mount"), coolers=coolers) == ["dear"]


def test_the_kept_cooler_and_the_one_in_the_box_stay() -> None:
    problem = make_problem(
        coolers=[cooler_of(name) for name in COSTS], offers=priced(PRICES | COSTS), boards=[BOARD], memory=[KIT],
    )  # fmt: skip
    pool = screened_of(problem, ["buying.stock"]).pool
    drop_coolers(pool, Quick(problem, [rule("buying.stock")]))
    (stay,) = left(pool, "cooler")
    assert (
        BOXED_COOLER in stay and "kept-cooler" in stay and not {"cheap", "dear"} & {*stay}
    )  # the kept one serves as they do


# -- sets --------------------------------------------------------------------------------------------------------------


def test_which_sets_hold_all_of_one() -> None:
    sets = _Sets([frozenset(own) for own in ("ab", "a", "", "abc", "b", "ba")])
    assert [sets.holding(place).tolist() for place in range(6)] == [
        [True, False, False, True, False, True],
        [True, True, False, True, False, True],
        [True] * 6,
        [False, False, False, True, False, False],
        [True, False, False, True, True, True],
        [True, False, False, True, False, True],
    ]


def test_who_covers_whom() -> None:
    """By boards, cases, processors, what several rules admit, and paste; processors in a box count elsewhere."""
    one = frozenset([1])
    both = frozenset([1, 2])
    plain = _Serves(one, one, one, one, (one,), 0)
    changed: list[dict[str, Any]] = [
        {}, {"boards": both}, {"cases": both}, {"cpus": both}, {"boxed": both}, {"together": (both,)}, {"paste": 300},
        {"paste": 200},
    ]  # fmt: skip
    groups = [
        _Serves(**{**{f: getattr(plain, f) for f in _Serves.__dataclass_fields__}, **more})
        for more in changed
    ]
    covering = [mask.tolist() for mask in _covering(groups)]
    free = [True] * 6 + [False] * 2
    assert covering[0] == covering[4] == free
    for place in (1, 2, 3, 5):
        assert covering[place] == [n == place for n in range(8)]
    assert covering[6] == [True] * 7 + [False]
    assert covering[7] == [True] * 6 + [False, True]
