"""How the cheapest cooler is looked for: how many are tried at once, when the search ends, what may end it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, COOLER, CPU, SELLER, make_problem, pick

from partsolver.base.quantities import FAR
from partsolver.catalog.records import Bundle, Extra, Offer
from partsolver.plan import cooler_choice
from partsolver.plan.complete import allowed_by, complete
from partsolver.plan.cooler_choice import CheapestCooler, Serving
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.wishes.brief import Brief

RULES = all_rules()
SHOP = replace(SELLER, delivery=500)
BASE = [Offer("board-a", "shop", 6000), Offer("cpu-a", "shop", 8000), Offer("kit-a", "shop", 3000)]
REST = 17_500  # what all but the cooler costs, with the delivery


def pc(
    *prices: int, box: bool = False, changes: dict[int, dict[str, Any]] | None = None, **tables: Any
) -> Problem:
    """Coolers cooler-00, cooler-01 ... at these prices; the present one does not go on the new socket."""
    coolers = [replace(COOLER, id=f"cooler-{n:02}", **(changes or {}).get(n, {})) for n in range(len(prices))]
    offers = [Offer(c.id, "shop", price) for c, price in zip(coolers, prices, strict=True)]
    offers += tables.pop("more", [])
    cpus = [replace(CPU, boxed_cooler=box)]
    return make_problem(coolers=coolers, cpus=cpus, offers=[*BASE, *offers], sellers=[SHOP], **tables)


def search(problem: Problem, below: int = FAR, **keys: str) -> CheapestCooler:
    return CheapestCooler(problem, pick(problem, **keys), RULES, allowed_by(problem, RULES), below)


def settled(problem: Problem, monkeypatch: pytest.MonkeyPatch) -> list[list[str]]:
    """The coolers that are tried together, where none turns out to be any good."""
    rounds: list[list[str]] = []
    monkeypatch.setattr(
        CheapestCooler, "_settle", lambda _, alike: rounds.append([one.cooler.key for one in alike])
    )
    assert search(problem).purchase() is None
    return rounds


def test_one_first_then_eight_times_as_many(monkeypatch: pytest.MonkeyPatch) -> None:
    rounds = settled(pc(*range(1000, 1080)), monkeypatch)
    assert [len(one) for one in rounds] == [1, 8, 64, 7]
    assert [key for one in rounds for key in one] == [f"cooler-{n:02}" for n in range(80)]


def test_what_is_not_bought_is_tried_at_once_and_counts_in_no_round(monkeypatch: pytest.MonkeyPatch) -> None:
    rounds = settled(pc(*range(1000, 1010), box=True), monkeypatch)
    assert [len(one) for one in rounds] == [1, 1, 8, 1]
    assert rounds[0] == ["boxed-cooler"] and rounds[1] == ["cooler-00"]


def test_those_that_need_the_same_are_tried_together(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of nine the odd ones have no paste: two groups in the second round."""
    without = {n: {"paste_included": False} for n in range(1, 9, 2)}
    paste = Extra("paste", "Paste", kind="thermal-paste")
    problem = pc(*range(1000, 1009), changes=without, extras=[paste], more=[Offer("paste", "shop", 500)])
    rounds = settled(problem, monkeypatch)
    assert [sorted(one) for one in rounds] == [
        ["cooler-00"],
        [f"cooler-{n:02}" for n in (1, 3, 5, 7)],
        [f"cooler-{n:02}" for n in (2, 4, 6, 8)],
    ]


def asked(problem: Problem, monkeypatch: pytest.MonkeyPatch, below: int = FAR) -> list[str]:
    """The coolers that were looked at before the search ended."""
    seen: list[str] = []
    own = cooler_choice._serving

    def counting(*given: Any) -> Iterator[Serving]:
        for serving in own(*given):
            seen.append(serving.cooler.key)
            yield serving

    monkeypatch.setattr(cooler_choice, "_serving", counting)
    found = search(problem, below).purchase()
    assert found is None or found[1].cooler.id == "cooler-00"
    return seen


def test_the_search_ends_where_nothing_can_be_cheaper(monkeypatch: pytest.MonkeyPatch) -> None:
    assert asked(pc(1000, 1001, 1002), monkeypatch) == ["cooler-00", "cooler-01"]


def test_at_equal_cost_only_an_earlier_place_is_better(monkeypatch: pytest.MonkeyPatch) -> None:
    assert asked(pc(1000, 1000, 1000), monkeypatch) == ["cooler-00", "cooler-01"]


@pytest.mark.parametrize(("below", "seen"), [(REST + 1000, 1), (REST + 1001, 2), (REST, 1)])
def test_nothing_is_looked_at_that_is_too_dear(
    monkeypatch: pytest.MonkeyPatch, below: int, seen: int
) -> None:
    assert len(asked(pc(1000, 1001, 1002), monkeypatch, below)) == seen


def test_the_floor_is_raised_below_a_known_cost_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without any purchase there is nothing to be below of; then up to the best, which an earlier place betters at equal cost."""
    bounds: list[tuple[int, int]] = []
    own = cooler_choice.least_beside_cooler

    def recorded(problem: Any, parts: Any, needs: Any, allowed: Any, below: int, beside: int) -> int:
        bounds.append((below, beside))
        return own(problem, parts, needs, allowed, below, beside)

    monkeypatch.setattr(cooler_choice, "least_beside_cooler", recorded)
    assert search(pc(1000, 1001)).purchase() is not None
    # 17000 without a delivery; then 17500 with it, which stays.
    assert bounds == [(REST + 1001, 1501), (REST + 1001, 1001)]
    assert search(pc(1000, 1001), 17_000).purchase() is None and len(bounds) == 2
    assert search(pc(1000, 1001), 16_000).purchase() is None and len(bounds) == 2


def test_a_rule_about_other_parts_refuses_no_cooler() -> None:
    """A board of another socket than the processor's: the purchase is the same, another rule refuses the plan."""
    problem = pc(1000, boards=[replace(BOARD, memory_generation="ddr3")])
    draft = complete(problem, pick(problem), RULES)
    assert draft is not None and (draft.parts.cooler.id, draft.cost) == ("cooler-00", REST + 1000)


def test_a_cooler_of_a_set_is_tried_in_the_set_alone() -> None:
    """For 7000 with the board: 7000 + 8000 + 3000 + 500; alone it costs the least."""
    kit = Bundle("set", "Set", "parts", (("board-a", 1), ("cooler-01", 1)), "shop", 7000)
    problem = pc(1200, 1100, bundles=[kit])
    draft = complete(problem, pick(problem), RULES)
    assert draft is not None and (draft.parts.cooler.id, draft.cost) == ("cooler-01", 18_500)
    dear = replace(kit, price=7101)  # then alone
    problem = pc(1200, 1100, bundles=[dear])
    draft = complete(problem, pick(problem), RULES)
    assert draft is not None and (draft.parts.cooler.id, draft.cost) == ("cooler-01", 18_600)


def test_a_cooler_of_a_set_hides_none_after_it() -> None:
    """cooler-00 costs 900 and 300 elsewhere, and lies in a dear set; cooler-01 costs 1001 with what is ordered anyway."""
    coolers = [replace(COOLER, id=f"cooler-{n:02}") for n in range(2)]
    offers = [Offer("cooler-00", "other", 900), Offer("cooler-01", "shop", 1001)]
    kit = Bundle("set", "Set", "parts", (("board-a", 1), ("cooler-00", 1)), "shop", 20_000)
    problem = make_problem(
        coolers=coolers,
        cpus=[replace(CPU, boxed_cooler=False)],
        offers=[*BASE, *offers],
        sellers=[SHOP, replace(SHOP, id="other", delivery=300)],
        bundles=[kit],
    )
    draft = complete(problem, pick(problem), RULES)
    assert draft is not None and (draft.parts.cooler.id, draft.cost) == ("cooler-01", REST + 1001)


def test_a_cooler_that_must_be_bought_or_must_not() -> None:
    for wish, chosen in (
        ({"including": ("cooler-01",)}, "cooler-01"),
        ({"without": ("cooler-00",)}, "cooler-01"),
    ):
        problem = pc(1000, 1100, 1200, brief=Brief(budget="10000.00", **wish))
        draft = complete(problem, pick(problem), RULES)
        assert draft is not None and (draft.parts.cooler.id, draft.cost) == (chosen, REST + 1100)


def test_what_the_parts_and_what_the_cooler_need_is_bought_once_each() -> None:
    """A shield for the board, 300, and paste for the cooler, 500."""
    extras = [Extra("paste", "Paste", kind="thermal-paste"),
              Extra("shield", "Shield", kind="io-shield", takes=("board-a",))]  # fmt: skip
    problem = pc(
        1000,
        changes={0: {"paste_included": False}},
        boards=[replace(BOARD, shield="missing")],
        extras=extras,
        more=[Offer("paste", "shop", 500), Offer("shield", "shop", 300)],
    )
    draft = complete(problem, pick(problem), RULES)
    assert draft is not None and draft.cost == REST + 1000 + 300 + 500
    assert sorted(line.item for line in draft.lines if line.need is not None) == ["paste", "shield"]


def test_other_processors_have_coolers_of_their_own() -> None:
    """One after the other on one problem: with the new board another cooler than with the present one, which has no
    socket for it."""
    problem = pc(1000)
    for keys, cooler in (
        ({}, "cooler-00"),
        ({"board": "kept-board", "cpu": "kept-cpu"}, "kept-cooler"),
        ({}, "cooler-00"),
    ):
        draft = complete(problem, pick(problem, **keys), RULES)
        assert draft is not None and draft.parts.cooler.id == cooler


def test_alike_ones_are_bought_in_one_search(monkeypatch: pytest.MonkeyPatch) -> None:
    """cooler-00 from elsewhere for 900 and 300: 18700. Then the other two together, of which one costs 18500."""
    tried: list[list[int]] = []
    own = cooler_choice.cheapest_cooler

    def recorded(problem: Any, parts: Any, coolers: Any, needs: Any, allowed: Any, best: Any) -> Any:
        tried.append([place for place, _ in coolers])
        assert best == (18_700, 2)
        return own(problem, parts, coolers, needs, allowed, best)

    monkeypatch.setattr(cooler_choice, "cheapest_cooler", recorded)
    coolers = [replace(COOLER, id=f"cooler-{n:02}") for n in range(3)]
    offers = [
        Offer("cooler-00", "other", 900),
        Offer("cooler-01", "shop", 1001),
        Offer("cooler-02", "shop", 1000),
    ]
    problem = make_problem(
        coolers=coolers,
        cpus=[replace(CPU, boxed_cooler=False)],
        offers=[*BASE, *offers],
        sellers=[SHOP, replace(SHOP, id="other", delivery=300)],
    )
    draft = complete(problem, pick(problem), RULES)
    assert draft is not None and (draft.parts.cooler.id, draft.cost) == ("cooler-02", 18_500)
    assert [len(one) for one in tried] == [2]


@pytest.mark.parametrize("prices", [(1200, 1100, 1100), (1100, 1200, 1100), (1100, 1100, 1200)])
def test_of_equally_cheap_ones_the_first(prices: tuple[int, ...]) -> None:
    problem = pc(*prices)
    draft = complete(problem, pick(problem), RULES)
    assert draft is not None and draft.parts.cooler.id == f"cooler-{prices.index(1100):02}"


def test_the_boxed_cooler_is_no_choice_beside_the_present_processor() -> None:
    problem = pc(1000, box=True)
    kept = pick(problem, board="kept-board", cpu="kept-cpu", memory="kept-memory")
    draft = complete(problem, kept, RULES)
    assert draft is not None and draft.parts.cooler.id == "kept-cooler" and draft.cost == 0
    new = complete(problem, pick(problem), RULES)
    assert new is not None and new.parts.cooler.boxed and new.cost == REST
