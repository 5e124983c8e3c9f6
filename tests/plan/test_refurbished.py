"""Complete PCs are judged by what is in them: with a graphics card and a cooler of their own too."""

from __future__ import annotations

import datetime
from dataclasses import replace

import pytest
from support import BOARD, CASE, COOLER, CPU, GRAPHICS, KIT, PSU, SELLER, TODAY, make_problem, make_survey

from partsolver.catalog.records import Bundle
from partsolver.plan.refurbished import complete_pcs
from partsolver.rules import all_rules
from partsolver.survey.model import Card
from partsolver.wishes.brief import Brief

OWN = Card(
    name="own card",
    kind="graphics",
    bus="pcie",
    outputs=("vga",),
    graphics_score=90,
    uefi=True,
    power_plugs=(),
)
CPU_PLAIN = replace(CPU, graphics_score=0)


def time_of(*more: str, score: int = 900) -> int:
    """Expected time of games on a complete PC with these parts beside board, processor and memory."""
    items = tuple((part, 1) for part in ("board-a", "cpu-a", "kit-a", "case-x", *more))
    bundle = Bundle("whole", "Whole PC", "complete-pc", items, "shop", 20000, condition="refurbished")
    problem = make_problem(
        make_survey(cards=(OWN,)),
        Brief(use="games"),
        boards=(BOARD,),
        cpus=(CPU_PLAIN,),
        memory=(KIT,),
        coolers=(COOLER,),
        cases=(replace(CASE, id="case-x"),),
        psus=(replace(PSU, id="psu-x"),),
        graphics=(replace(GRAPHICS, graphics_score=score),),
        bundles=(bundle,),
    )
    (found,) = complete_pcs(problem, all_rules())
    return found.time_ppm


def test_its_own_graphics_card_draws() -> None:
    # Time law: the share of graphics is reference score / score; the PC's own card has a tenth of it.
    assert time_of("graphics-a") < time_of()
    assert time_of("graphics-a", score=90) == time_of()


@pytest.mark.parametrize("other", ["cooler-a", "psu-x"])
def test_what_adds_no_time_changes_none(other: str) -> None:
    assert time_of(other) == time_of()


def whole(name: str, price: int, *items: str, **facts: object) -> Bundle:
    """A complete PC of these parts."""
    made = {"condition": "refurbished"} | facts
    return Bundle(name, name, "complete-pc", tuple((i, 1) for i in items), "shop", price, **made)  # type: ignore[arg-type]


PARTS = ("board-a", "cpu-a", "kit-a")


def listed(brief: Brief, *bundles: Bundle, delivery: int = 500) -> list[tuple[str, int]]:
    problem = make_problem(
        None,
        brief,
        cpus=(CPU, replace(CPU, id="cpu-fast", serial_score=2 * (CPU.serial_score or 0))),
        memory=(KIT, replace(KIT, id="kit-small", module_mib=2048)),
        sellers=(replace(SELLER, delivery=delivery),),
        bundles=bundles,
    )
    return [(pc.bundle.id, pc.cost) for pc in complete_pcs(problem, all_rules())]


@pytest.mark.parametrize(("budget", "found"), [("205.00", [("pc", 20500)]), ("204.99", [])])
def test_the_delivery_is_in_the_budget(budget: str, found: list[tuple[str, int]]) -> None:
    assert listed(Brief(budget=budget), whole("pc", 20000, *PARTS)) == found


def test_without_a_budget_all_are_listed_fastest_first_then_the_cheapest() -> None:
    dear, cheap = whole("dear", 30000, *PARTS), whole("cheap", 20000, *PARTS)
    fast = whole("fast", 40000, "board-a", "cpu-fast", "kit-a")
    twin = whole("a-twin", 30000, *PARTS)
    found = listed(Brief(), dear, cheap, fast, twin, delivery=0)
    assert [name for name, _ in found] == ["fast", "cheap", "a-twin", "dear"]


@pytest.mark.parametrize("items", [("cpu-a", "kit-a"), ("board-a", "kit-a"), ("kit-a",)])
def test_one_that_names_no_board_or_processor_has_no_expected_time(items: tuple[str, ...]) -> None:
    assert listed(Brief(), whole("pc", 20000, *items)) == []


def test_the_memory_that_is_wanted() -> None:
    """KIT: two modules of 8 GiB; the small one two of 2 GiB."""
    small, large = whole("small", 20000, "board-a", "cpu-a", "kit-small"), whole("large", 30000, *PARTS)
    total = (KIT.module_mib or 0) * KIT.modules // 1024
    assert {name for name, _ in listed(Brief(min_memory_gb=total), small, large)} == {"large"}
    assert listed(Brief(min_memory_gb=total + 1), small, large) == []
    assert {name for name, _ in listed(Brief(min_memory_gb=4), small, large)} == {"small", "large"}


def test_what_the_buying_rules_refuse_is_not_listed() -> None:
    """Its price has ended, or it comes too late."""
    ended = whole("ended", 20000, *PARTS, valid_until=TODAY - datetime.timedelta(days=1))
    last_day = whole("last-day", 20000, *PARTS, valid_until=TODAY)
    assert [name for name, _ in listed(Brief(), ended, last_day)] == ["last-day"]
    arrival = TODAY + datetime.timedelta(days=SELLER.delivery_days)
    plain = whole("pc", 20000, *PARTS)
    assert listed(Brief(need_by=arrival), plain) == [("pc", 20500)]
    assert listed(Brief(need_by=arrival - datetime.timedelta(days=1)), plain) == []
