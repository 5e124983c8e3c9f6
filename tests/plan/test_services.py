"""A firmware update by the seller of the board, or by another one: then the board is sent in."""

from __future__ import annotations

import datetime
from dataclasses import replace

import pytest
from support import BOARD, CPU, KIT, TODAY, findings, make_problem, pick

from partsolver.catalog.records import Extra, Offer, Seller
from partsolver.plan.complete import draft_of
from partsolver.plan.make import make_plan
from partsolver.plan.outcome import Plan
from partsolver.plan.services import sent_in
from partsolver.problem.join import changed
from partsolver.problem.problem import Problem
from partsolver.report.sheet_view import STEP_WORDS
from partsolver.report.text import names_of
from partsolver.report.words.lookup import sentence
from partsolver.report.words.steps import said
from partsolver.rules import all_rules, buying_arrival, platform_firmware
from partsolver.sheet.context import Context, Origin
from partsolver.sheet.steps import steps_of

SERVICE = Extra(id="update", name="Firmware update", kind="firmware-update")
SELLERS = (
    Seller(id="shop", name="Shop", delivery_days=2),
    Seller(id="workshop", name="Workshop", delivery_days=4, kind="workshop"),
)
OLD = replace(BOARD, cpu_families=(("fam-1", "2.00"),), firmware_shipped="1.10", flash_without_cpu=False)


def problem_of(seller: str) -> Problem:
    """The board from the shop, its update from the seller."""
    parts = [("board-a", "shop"), ("cpu-a", "shop"), ("kit-a", "shop"), ("update", seller)]
    offers = [Offer(part=part, seller=who, price=1000) for part, who in parts]
    return make_problem(
        boards=[OLD], cpus=[CPU], memory=[KIT], coolers=(), extras=[SERVICE], sellers=SELLERS, offers=offers
    )


def plan_of(problem: Problem) -> Plan:
    rules = all_rules()
    return make_plan(problem, draft_of(problem, pick(problem), rules), rules, 1, 0, None, False)


@pytest.mark.parametrize(("seller", "days"), [("shop", None), ("workshop", 8)])
def test_who_sells_the_board_updates_it_and_anybody_else_needs_it(seller: str, days: int | None) -> None:
    problem = problem_of(seller)
    plan = plan_of(problem)
    trip = sent_in(plan.draft, problem)
    finding = next(f for f in plan.findings if f.rule == platform_firmware.ID)
    words = sentence(finding, names_of(problem))
    if days is None:
        assert trip is None and finding.fact("send_to") is None and "send it in" not in words
        assert plan.arrival == TODAY + datetime.timedelta(days=2)
        return
    # Two days until the board is there, four to the workshop and four back.
    assert trip is not None and (trip.seller, trip.days) == (seller, days)
    assert trip.back == TODAY + datetime.timedelta(days=2 + days) == plan.arrival
    assert (finding.fact("send_to"), finding.fact("send_days")) == (seller, days)
    assert "send it in to Workshop, about 8 days" in words


def test_the_sheet_has_the_step_only_where_the_board_travels() -> None:
    for seller, there in (("shop", False), ("workshop", True)):
        problem = problem_of(seller)
        context = Context(problem, plan_of(problem), Origin("plan.json"))
        steps = {step.id: step for step in steps_of(context)}
        assert ("before.send-in" in steps) == there
        if there:
            facts = steps["before.send-in"].facts(context)
            text = said(STEP_WORDS["before.send-in"].text, facts) or ""
            assert "Ask Workshop" in text and "2026-11-30" in text


def test_a_trip_that_ends_after_the_wished_day_is_refused() -> None:
    problem = problem_of("workshop")
    for day, late in (
        (TODAY + datetime.timedelta(days=10), False),
        (TODAY + datetime.timedelta(days=9), True),
    ):
        wished = changed(problem, need_by=day)
        plan = plan_of(wished)
        finding = next(f for f in plan.findings if f.rule == buying_arrival.ID and f.fact("sent_in"))
        assert finding.admits == (not late) == plan.admitted
        words = "The board is back from Workshop (Firmware update) on 2026-11-30, "
        assert sentence(finding, names_of(wished)).startswith(words)
        assert (finding.margin, finding.unit) == (-1 if late else 0, "days")


def test_nothing_is_sent_in_where_nothing_is_updated() -> None:
    problem = make_problem(boards=[BOARD])
    assert sent_in(plan_of(problem).draft, problem) is None
    assert findings(platform_firmware, problem)[0].fact("send_to") is None
