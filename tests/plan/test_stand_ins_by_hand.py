"""Stand-ins of tiny plans, worked out by hand: same time, same needs, all rules hold, cheapest first."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, COOLER, CPU, GRAPHICS, KIT, PSU, SELLER, make_problem, pick

from partsolver.catalog.records import Bundle, DrivePart, Extra, Offer, Seller
from partsolver.plan.allowed import Allowed
from partsolver.plan.complete import draft_of, judge
from partsolver.plan.draft import Need
from partsolver.plan.outcome import StandIn
from partsolver.plan.stand_ins import (
    MOST_STAND_INS,
    MOST_TRIED,
    _alike,
    _by_price,
    _keys,
    _similar,
    stand_ins,
)
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.wishes.brief import Brief

RULES = all_rules()
PRICES = {"board-a": 6000, "cpu-a": 8000, "kit-a": 3000, "cooler-a": 1200}


def pc(more: dict[str, int] | None = None, brief: Brief | None = None, **tables: Any) -> Problem:
    offers = [Offer(part, "shop", price) for part, price in {**PRICES, **(more or {})}.items()]
    offers += tables.pop("offered", [])
    sellers = tables.pop("sellers", (SELLER,))
    return make_problem(brief=brief or Brief(budget="10000.00"), sellers=sellers, offers=offers, **tables)


def found(problem: Problem, **keys: str) -> list[tuple[str, str, int, int]]:
    draft = draft_of(problem, pick(problem, **keys), RULES, exact_cooler="cooler" in keys)
    listed = stand_ins(problem, draft, RULES, judge(problem, draft, RULES))
    return [(s.replaces, s.id, s.count, s.difference) for s in listed]


def boards(*changes: dict[str, Any]) -> dict[str, Any]:
    others = [
        replace(BOARD, id=f"board-z{n}", name=f"Board {n}", **change) for n, change in enumerate(changes)
    ]
    return {"boards": [BOARD, *others]}


@pytest.mark.parametrize(
    ("change", "stands_in"),
    [
        ({}, True),
        ({"mass_g": 1, "fan_headers": 3}, True),
        ({"form_factor": "mini-itx"}, False),
        ({"socket": "sock-2"}, False),
        ({"memory_generation": "ddr3"}, False),
        ({"memory_channels": 1}, False),  # slower memory: another time
        ({"sata_6g_ports": 0, "sata_3g_ports": 4}, False),  # a slower link
        ({"outputs": ()}, False),  # no picture
        ({"memory_max_module_mib": 2048}, False),  # a rule refuses
    ],
)
def test_boards(change: dict[str, Any], stands_in: bool) -> None:
    problem = pc({"board-z0": 6100}, **boards(change))
    right = [("board-a", "board-z0", 1, 100)] if stands_in else []
    assert [s for s in found(problem) if s[0] == "board-a"] == right


def test_three_at_most_cheapest_first() -> None:
    more = {"board-z0": 6300, "board-z1": 6100, "board-z2": 5900, "board-z3": 6200}
    problem = pc(more, **boards({}, {}, {}, {}))
    assert MOST_STAND_INS == 3 and MOST_TRIED == 12
    assert [(s[1], s[3]) for s in found(problem)] == [
        ("board-z2", -100),
        ("board-z1", 100),
        ("board-z3", 200),
    ]
    # Of equal ones by id; another plan for the same board is none.
    even = pc({f"board-z{n}": 6000 for n in range(4)}, **boards({}, {}, {}, {}))
    assert [s[1] for s in found(even)] == ["board-z0", "board-z1", "board-z2"]


def test_the_search_ends_after_twelve() -> None:
    """Thirteen cheaper ones that do not fit hide the fourteenth that would."""
    short = [{"memory_max_module_mib": 2048}] * 12
    more = {f"board-z{n}": 100 + n for n in range(12)} | {"board-z12": 5000}
    assert found(pc(more, **boards(*short, {}))) == []
    fewer = {f"board-z{n}": 100 + n for n in range(11)} | {"board-z11": 5000}
    assert found(pc(fewer, **boards(*short[1:], {}))) == [("board-a", "board-z11", 1, -1000)]


def test_the_budget_cuts_what_is_dearer() -> None:
    for budget, right in (("170.99", []), ("171.00", ["board-z0"])):
        problem = pc({"board-z0": 6100}, Brief(budget=budget), **boards({}))
        assert [s[1] for s in found(problem)] == right


def test_a_processor_has_none_and_kept_parts_neither() -> None:
    problem = pc(
        {"cpu-b": 8000, "psu-a": 4000},
        Brief(replace=("psu",)),
        cpus=[CPU, replace(CPU, id="cpu-b")],
        psus=[replace(PSU, id="psu-a")],
    )
    assert found(problem) == []
    assert [s[0] for s in found(problem, psu="psu-a")] == []


@pytest.mark.parametrize(
    ("change", "stands_in"),
    [
        ({}, True),
        ({"ranks": 2}, True),
        ({"module_mib": 8192}, False),
        ({"rate_mts": 2133}, False),
        ({"rate_mts": 2666}, False),
    ],
)
def test_kits(change: dict[str, Any], stands_in: bool) -> None:
    problem = pc({"kit-b": 2500}, memory=[KIT, replace(KIT, id="kit-b", **change)])
    assert found(problem) == ([("kit-a", "kit-b", 1, -500)] if stands_in else [])
    # Two kits by two kits.
    two = [s for s in found(problem, memory="kit-a*2") if s[1] == "kit-b"]
    assert two == ([("kit-a", "kit-b", 2, -1000)] if stands_in else [])


def test_single_modules_for_a_pair() -> None:
    problem = pc({"kit-b": 1600}, memory=[KIT, replace(KIT, id="kit-b", modules=1)])
    assert found(problem) == [("kit-a", "kit-b", 2, 200)]


def test_a_rate_that_is_not_known_is_another() -> None:
    """800 MT/s are assumed where nothing is known (`law.py`): the time is the same, the kit is not."""
    board = replace(BOARD, memory_max_rate_mts=None)
    cpu = replace(CPU, memory_rates=None)
    for rate, right in ((None, [("kit-a", "kit-b", 1, -500)]), (800, [])):
        kits = [replace(KIT, rate_mts=None), replace(KIT, id="kit-b", rate_mts=rate)]
        assert found(pc({"kit-b": 2500}, boards=[board], cpus=[cpu], memory=kits)) == right


def test_drives_and_cards() -> None:
    """As fast only: of three drives the one of its kind, of two cards the one of its score."""
    ssd = DrivePart("drive-a", "A", None, "ssd", "sata", 60, None, None, None, None, 520, 240)
    disk = DrivePart(
        "drive-c", "C", kind="hdd35", interface="sata", sata_gbps10=30, read_mbs=150, capacity_gb=900
    )
    more = {
        "drive-a": 3000,
        "drive-b": 3100,
        "drive-c": 2000,
        "graphics-a": 5000,
        "graphics-b": 5200,
        "graphics-c": 5100,
    }
    problem = pc(
        more,
        Brief(budget="10000.00", use="games", replace=("drive", "graphics")),
        drives=[ssd, replace(ssd, id="drive-b"), disk],
        graphics=[GRAPHICS, replace(GRAPHICS, id="graphics-b"),
                  replace(GRAPHICS, id="graphics-c", graphics_score=GRAPHICS.graphics_score // 2)],
    )  # fmt: skip
    listed = found(problem, drive="drive-a", graphics="graphics-a")
    assert listed == [("drive-a", "drive-b", 1, 100), ("graphics-a", "graphics-b", 1, 200)]


def test_what_needs_more_or_less_is_no_stand_in() -> None:
    """One board comes without its shield, which is bought: the other is not the same with it in its place."""
    for missing in (0, 1):
        pair = [
            replace(BOARD, id=f"board-{n}", shield="missing" if n == missing else "included") for n in (0, 1)
        ]
        offers = [Offer(part, "shop", 100) for part in ("board-0", "board-1", "cpu-a", "kit-a", "shield")]
        shield = Extra("shield", "Shield", kind="io-shield", takes=("board-0", "board-1"))
        problem = make_problem(offers=offers, boards=pair, extras=[shield])
        assert found(problem, board="board-0") == []


def test_what_is_sold_in_a_set_only_is_no_stand_in() -> None:
    kit = Bundle("set", "Set", "parts", (("board-z0", 1), ("kit-a", 1)), "shop", 9000)
    assert found(pc(**boards({}), bundles=(kit,))) == []


def test_coolers() -> None:
    coolers = [COOLER, replace(COOLER, id="cooler-b"), replace(COOLER, id="cooler-c", sockets=("sock-9",))]
    problem = pc({"cooler-b": 1300, "cooler-c": 100}, coolers=coolers)
    assert found(problem, cooler="cooler-a") == [("cooler-a", "cooler-b", 1, 100)]


# -- extras ---------------------------------------------------------------------------------------------------------

SHIELDS = [Extra(f"shield-{n}", f"Shield {n}", kind="io-shield", takes=("board-a",)) for n in "abcdef"]


def extras(prices: tuple[int, ...], sellers: Any = (SELLER,), where: tuple[str, ...] = ()) -> Problem:
    offers = [Offer(part, "shop", price) for part, price in PRICES.items()]
    for number, price in enumerate(prices):
        seller = where[number] if where else "shop"
        offers.append(Offer(SHIELDS[number].id, seller, price))
    return make_problem(
        brief=Brief(budget="10000.00"),
        sellers=sellers,
        offers=offers,
        boards=[replace(BOARD, shield="missing")],
        extras=SHIELDS[: len(prices)],
    )


def test_extras_that_serve_the_same_need() -> None:
    problem = extras((300, 200, 250, 400, 201))
    listed = found(problem)
    assert listed == [
        ("shield-b", "shield-e", 1, 1),
        ("shield-b", "shield-c", 1, 50),
        ("shield-b", "shield-a", 1, 100),
    ]


def test_the_whole_order_is_bought_again() -> None:
    """Another seller's delivery comes on top: 210 at the shop is nearer than 150 elsewhere."""
    other = Seller("other", "Other", delivery=90)
    problem = extras((200, 150, 210, 400), (SELLER, other), ("shop", "other", "shop", "shop"))
    assert found(problem) == [
        ("shield-a", "shield-c", 1, 10),
        ("shield-a", "shield-b", 1, 40),
        ("shield-a", "shield-d", 1, 200),
    ]


def test_a_dearer_one_of_the_same_order_comes_before_one_with_a_delivery() -> None:
    """Elsewhere 90 come on top: 215 there cost 305 and 220 cost 310. 240 at the shop come between, and 310 there are
    as dear as the third and come before it by their id."""
    other = Seller("other", "Other", delivery=90)
    where = ("shop", "shop", "other", "shop", "other", "other")
    for fourth, right in (
        (240, [("b", 10), ("d", 40), ("c", 105)]),
        (310, [("b", 10), ("c", 105), ("d", 110)]),
        (311, [("b", 10), ("c", 105), ("e", 110)]),
    ):
        # The last, 315 with its delivery, is passed over, and those after it are not.
        listed = found(extras((200, 210, 215, fourth, 220, 225), (SELLER, other), where))
        assert listed == [("shield-a", f"shield-{name}", 1, more) for name, more in right]


def test_another_need_is_bought_as_before() -> None:
    """A board without its shield and a cooler without paste: for each need the other extra, 50 and 70 dearer."""
    pastes = [Extra(f"paste-{n}", f"Paste {n}", kind="thermal-paste") for n in "ab"]
    prices = {**PRICES, "shield-a": 300, "shield-b": 350, "paste-a": 400, "paste-b": 470}
    problem = make_problem(
        brief=Brief(budget="10000.00"),
        offers=[Offer(part, "shop", price) for part, price in prices.items()],
        boards=[replace(BOARD, shield="missing")],
        coolers=[replace(COOLER, paste_included=False)],
        extras=[*SHIELDS[:2], *pastes],
    )
    listed = found(problem, cooler="cooler-a")
    assert sorted(listed) == [("paste-a", "paste-b", 1, 70), ("shield-a", "shield-b", 1, 50)]


def test_what_must_be_bought_has_no_stand_in() -> None:
    """The board is wished for by name; the kit is not."""
    kits = [KIT, replace(KIT, id="kit-b")]
    problem = pc({"board-z0": 6100, "kit-b": 3100}, Brief(including=("board-a",)), **boards({}), memory=kits)
    assert found(problem) == [("kit-a", "kit-b", 1, 100)]


@pytest.mark.parametrize(
    ("rule", "hidden"),
    [("power.total", {"cooler-a"}), ("fit.cooler_mount", {"kit-a"}), ("buying.budget", set())],
)
def test_what_is_refused_wherever_a_slot_is_filled(rule: str, hidden: set[str]) -> None:
    """As if the supply were refused, which no cooler sees, or the cooler, which no kit sees: another in the slot
    would be refused too. The budget is asked of each stand-in anew."""
    problem = pc(
        {"cooler-b": 1300, "kit-b": 3100},
        coolers=[COOLER, replace(COOLER, id="cooler-b")],
        memory=[KIT, replace(KIT, id="kit-b")],
    )
    draft = draft_of(problem, pick(problem, cooler="cooler-a"), RULES, exact_cooler=True)
    own = judge(problem, draft, RULES)
    assert {s.replaces for s in stand_ins(problem, draft, RULES, own)} == {"cooler-a", "kit-a"}
    assert any(finding.rule == rule for finding in own)
    spoilt = [replace(finding, verdict="fails") if finding.rule == rule else finding for finding in own]
    assert {s.replaces for s in stand_ins(problem, draft, RULES, spoilt)} == {"cooler-a", "kit-a"} - hidden


def test_prices_of_what_serves() -> None:
    problem = extras((300, 200))
    allowed = Allowed(lambda offer, quantity: offer.price * quantity < 900, lambda _: True)
    need = Need("r", "k", "io-shield", (("shield-a", 2), ("shield-b", 3)))
    assert _by_price(problem, need, allowed) == [(600, "shield-a", 2), (600, "shield-b", 3)]
    assert _by_price(problem, replace(need, options=(("shield-a", 3),)), allowed) == []
    assert _keys([need, replace(need, rule="a"), replace(need, key="a")]) == (
        ("a", "k"),
        ("r", "a"),
        ("r", "k"),
    )


def test_who_is_alike() -> None:
    problem = pc({"board-z0": 5000, "board-z1": 7000}, **boards({}, {"socket": "sock-2"}))
    draft = draft_of(problem, pick(problem), RULES)
    assert [c.id for c in _similar(problem, draft, "board")] == ["board-z0"]
    assert [c.id for c in _similar(problem, draft, "board")] == ["board-z0"]
    assert [c.id for c in _similar(problem, draft, "cooler")] == ["cooler-a"]
    # By all their pieces at the cheapest offer: two single modules for 32.00 come after a pair for 25.00.
    kits = [KIT, replace(KIT, id="kit-b", modules=1), replace(KIT, id="kit-c")]
    kitted = pc({"kit-b": 1600, "kit-c": 2500}, memory=kits, offered=[Offer("kit-c", "shop", 9000)])
    draft = draft_of(kitted, pick(kitted), RULES)
    assert [c.key for c in _similar(kitted, draft, "memory")] == ["kit-c*1", "kit-b*2"]
    memory = next(c for c in problem.slot("memory") if c.key == "kit-a*1")
    assert _alike(memory) == ((4096, 4096), False, "ddr4")
    assert _alike(problem.slot("psu")[0]) is None
    assert StandIn("a", "b", 1, 0).count == 1
