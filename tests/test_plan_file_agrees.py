"""A plan file that was changed by hand in one place: each field of an order line that says the same as another part of
the file, or follows from it, is refused by name where it does not agree."""

from __future__ import annotations

import copy
import datetime
import json
from collections.abc import Callable, Iterator
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from support import BOARD, COOLER, CPU, KIT, TODAY, make_catalog, make_survey

from partsolver.base.errors import InputRefused
from partsolver.catalog.records import Bundle, Extra, Offer, Seller
from partsolver.planfile.plan_file import joined, plan_document
from partsolver.problem.join import join
from partsolver.solve.recommend import recommend
from partsolver.survey.model import OperatingSystem
from partsolver.wishes.brief import Brief

SELLERS = [
    Seller("shop", "Shop", delivery=500, delivery_days=2),
    Seller("corner", "Corner Shop", delivery=300, delivery_days=5),
]
LICENCE = Extra("lic-a", "Licence A", kind="os-licence", gives=("desktop-2015",))
WAIT = TODAY + datetime.timedelta(days=6)
# Board 40.00, processor 50.00 (from a later day on), two kits of 20.00, a licence of 9.00 elsewhere, 5.00 and 3.00
# for delivery.
OFFERS = [
    Offer("board-a", "shop", 4000, condition="used"),
    Offer("cpu-a", "shop", 5000, available_on=WAIT),
    Offer("kit-a", "shop", 2000, available_on=WAIT),
    Offer("lic-a", "corner", 900, available_on=WAIT),
    Offer("cooler-a", "shop", 1000),
]
SET = Bundle("set-a", "Set A", "parts", (("board-a", 1), ("cpu-a", 1)), "corner", 6000)
SURVEY = make_survey(os=OperatingSystem(family="desktop-2015", licence="oem"))
# 0: all bought singly; 1: board and processor, which comes without a cooler, in a set.
CATALOGS = [
    make_catalog(
        boards=[BOARD],
        cpus=[replace(CPU, boxed_cooler=not bundles)],
        memory=[KIT],
        coolers=[COOLER],
        extras=[LICENCE],
        sellers=SELLERS,
        offers=OFFERS,
        bundles=bundles,
    )
    for bundles in ((), (SET,))
]
BRIEF = Brief(budget="200.00", alternatives=1, min_memory_gb=16)


@pytest.fixture(scope="module")
def documents() -> list[dict[str, Any]]:
    made = []
    for catalog in CATALOGS:
        problem = join(SURVEY, catalog, BRIEF)
        text = json.dumps(plan_document(recommend(problem), problem, 1, "", "demo"))
        made.append(json.loads(text, parse_float=Decimal))
    totals = [document["plans"][0]["cost"]["total"] for document in made]
    assert totals == ["147.00", "127.00"]  # 40 + 50 + 2 * 20 + 9 + 5 + 3; 60 + 2 * 20 + 10 + 9 + 5 + 3
    return made


def check(document: dict[str, Any], nth: int) -> None:
    joined("plan.json", document, SURVEY, CATALOGS[nth], BRIEF)


def test_what_nobody_changed_is_read(documents: list[dict[str, Any]]) -> None:
    for nth, document in enumerate(documents):
        check(document, nth)
        without = copy.deepcopy(document)
        del without["source"]["rows"]
        check(without, nth)


def moved(day: str, days: int) -> str:
    return (datetime.date.fromisoformat(day) + datetime.timedelta(days)).isoformat()


def others(line: dict[str, Any], lines: list[dict[str, Any]], field: str) -> Iterator[Any]:
    """What somebody might write into a field of an order line in its place."""
    yield from {other[field] for other in lines} - {line[field]}
    if field == "count":
        yield from (line["count"] + 1, line["count"] + 10)
    elif field == "amount":
        yield from (f"{Decimal(line['amount']) + step:.2f}" for step in (Decimal("0.01"), 10))
    elif field == "arrival" and line["arrival"]:
        yield from (moved(line["arrival"], -1), moved(line["arrival"], 1))
    else:
        yield "another"


@pytest.mark.parametrize(
    "field",
    [
        "id",
        "name",
        "count",
        "amount",
        "seller",
        "seller_name",
        "bundle",
        "condition",
        "arrival",
        "needed_by_rule",
    ],
)
def test_a_field_that_was_changed_is_refused_by_name(field: str, documents: list[dict[str, Any]]) -> None:
    tried = 0
    for nth, document in enumerate(documents):
        lines = document["plans"][0]["cost"]["lines"]
        for number, line in enumerate(lines):
            for value in others(line, lines, field):
                changed = copy.deepcopy(document)
                cost = changed["plans"][0]["cost"]
                cost["lines"][number][field] = value
                if field == "amount":
                    cost["total"] = str(sum(Decimal(one["amount"]) for one in cost["lines"]))
                if field == "seller":
                    names = {one["seller"]: one["seller_name"] for one in lines}
                    cost["lines"][number]["seller_name"] = names.get(value, value)
                with pytest.raises(InputRefused) as refused:
                    check(changed, nth)
                (fault,) = refused.value.faults
                assert fault.where.startswith("plan.json plans."), fault
                # Of two places that contradict each other either may be named.
                here = f"entry {number + 1}." in fault.where
                other = fault.where.endswith((".arrival", ".lines", ".bundle"))
                assert here or other or str(value) in str(fault), (line, value, fault)
                tried += 1
    assert tried >= 20


Change = Callable[[dict[str, Any], list[dict[str, Any]]], object]


@pytest.mark.parametrize(
    ("nth", "change", "told"),
    [
        # Lines in order: board, processor, kits, licence, delivery of corner, delivery of shop.
        (0, lambda d, p: p["cost"]["lines"][0].update(count=2, amount="80.00"), r"total: is not the sum"),
        (
            0,
            lambda d, p: (p["cost"]["lines"][0].update(count=2, amount="80.00"), p["cost"].update(total="187.00")),
            r"entry 1\.count: is not how many of board-a.*found '2'.*expected 1",
        ),
        (0, lambda d, p: p["parts"]["memory"][0].update(count=1), r"entry 3\.count: is not how many of kit-a.*found '2'"),
        (
            0,
            lambda d, p: (p["parts"]["memory"][0].update(count=1), p["cost"]["lines"][2].update(count=1)),
            r"entry 3\.amount: is not 1 times the price.*40\.00.*20\.00 each",
        ),
        (0, lambda d, p: p["parts"]["extras"][0].update(count=2), r"parts\.extras: are not those of plans\.extras"),
        (
            0,
            lambda d, p: (p["parts"].update(extras=[]), p.update(extras=[])),
            r"entry 4\.id: is no part of this plan.*lic-a",
        ),
        (
            0,
            lambda d, p: (p["cost"]["lines"].pop(3), p["cost"]["lines"].pop(3), p["cost"].update(total="135.00")),
            r"cost\.lines: lacks a part of the plan.*lic-a",
        ),
        (
            0,
            lambda d, p: (p["cost"]["lines"].pop(5), p["cost"].update(total="142.00")),
            r"cost\.lines: lacks a delivery.*delivery:shop",
        ),
        (0, lambda d, p: p.update(arrival=moved(p["arrival"], -1)), r"plans\.arrival: is not the day on which the last"),
        (0, lambda d, p: p.update(arrival=moved(p["arrival"], 1)), r"plans\.arrival: is not the day on which the last"),
        (0, lambda d, p: d["provenance"].update(order_date="2026-01-01"), r"entry 1\.arrival"),
        (
            0,
            lambda d, p: (p["cost"]["lines"].append(p["cost"]["lines"][5]), p["cost"].update(total="152.00")),
            r"entry 7\.id: this seller charges no such delivery",
        ),
        # Lines in order: set, board, processor, kits, cooler, licence, deliveries.
        (
            1,
            lambda d, p: (p["cost"]["lines"].pop(0), p["cost"].update(total="67.00")),
            r"entry 1\.bundle: is no bundle of this order",
        ),
        (
            1,
            lambda d, p: [at.update(extras=[e for e in at["extras"] if e["id"] != "cooler-a"]) for at in (p, p["parts"])],
            r"plans\.extras: lacks the cooler of the plan.*cooler-a",
        ),
        (0, lambda d, p: p["parts"].update(board_name="Board B"), r"parts\.board_name: is not what the file calls board-a"),
        (0, lambda d, p: p["parts"].update(board_variant="board-b"), r"parts\.board_variant: is no state of the part"),
        (0, lambda d, p: p["parts"].update(board_variant="board-a"), r"board_variant: is not the state in which .*unknown"),
        (0, lambda d, p: p["extras"][0].update(name="Licence B"), r"plans\.extras\.name: is not what .* lic-a"),
        (0, lambda d, p: d["source"]["rows"]["offers"][1].update(price=4500), r"entry 2\.amount.*50\.00.*45\.00 each"),
        (0, lambda d, p: d["source"]["rows"]["sellers"][0].update(delivery=0), r"delivery:corner"),
        (0, lambda d, p: d["source"]["rows"]["sellers"][0].update(delivery_days=9), r"entry \d\.arrival"),
        (0, lambda d, p: p["cost"]["lines"][1].update(seller=["shop"]), r"entry 2\.seller: cannot be read"),
        (0, lambda d, p: p.update(extras=[{"id": "lic-a"}]), r"plans\.extras: cannot be read"),
        (1, lambda d, p: d["source"]["rows"]["bundles"][0].update(price=5500), r"entry 1\.amount.*60\.00.*55\.00 each"),
        (1, lambda d, p: d["source"]["rows"].update(bundles=[]), r"entry 1\.id: nobody offers it.*set-a"),
    ],
)  # fmt: skip
def test_what_does_not_follow_is_refused_by_name(
    nth: int, change: Change, told: str, documents: list[dict[str, Any]]
) -> None:
    changed = copy.deepcopy(documents[nth])
    change(changed, changed["plans"][0])
    with pytest.raises(InputRefused, match=told):
        check(changed, nth)


def test_a_file_orders_on_one_day(documents: list[dict[str, Any]]) -> None:
    with pytest.raises(InputRefused, match=r"provenance\.order_date: is not the day of brief\.today"):
        joined("plan.json", documents[0], SURVEY, CATALOGS[0], BRIEF.model_copy(update={"today": WAIT}))
