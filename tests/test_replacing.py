"""`recommend --replace`: a plan says what replacing a kept part lets in, against the best plan that keeps
it."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, CASE, CPU, PSU, SYSTEM_DRIVE, make_problem, make_survey

from partsolver.catalog.records import DrivePart, Offer
from partsolver.plan.outcome import Outcome
from partsolver.problem.join import changed
from partsolver.problem.problem import Problem
from partsolver.report.json import plan_document
from partsolver.report.text import recommendation
from partsolver.solve.answer import answer
from partsolver.solve.recommend import recommend
from partsolver.wishes.brief import Brief

# A supply with 10 A at 12 V, 8 years old, is trusted with 80 %: 8 A. Processor A takes 80 W from it, 80 / (12
# V x 90 %) = 7.4 A, and board and fans 1.3 A: too much (today: 6.7 A). Processor B takes 35 W: 3.2 A.
WEAK = replace(PSU, combined_12v_ma=10000, rail_12v_ma=(10000,))
GOOD = replace(PSU, id="psu-a", name="Supply A", year=2026)
BOARD_B = replace(BOARD, id="board-b", name="Board B", socket="sock-2", chipset="chip-2")
SLOW = replace(
    CPU,
    id="cpu-b",
    name="Processor B",
    socket="sock-2",
    serial_score=1200,
    parallel_score=3000,
    tdp_w=35,
    power_limit_w=35,
)
PRICES = {
    "board-a": 6000,
    "board-b": 4000,
    "cpu-a": 9000,
    "cpu-b": 5000,
    "kit-a": 3000,
    "psu-a": 4000,
    "case-a": 3500,
    "ssd-a": 3000,
}


def problem(
    replaceable: tuple[Any, ...], alternatives: int = 1, budget: str = "500.00", **tables: Any
) -> Problem:
    survey = tables.pop("survey", None) or make_survey(psu=WEAK)
    parts = {"boards": [BOARD, BOARD_B], "cpus": [CPU, SLOW], "psus": [GOOD], **tables}
    ids = {p.id for rows in parts.values() for p in rows} | {"kit-a"}
    offers = [Offer(part, "shop", price) for part, price in PRICES.items() if part in ids]
    return make_problem(
        survey, Brief(budget=budget, replace=replaceable, alternatives=alternatives), offers=offers, **parts
    )


def said(outcome: Outcome, asked: Problem) -> str:
    return " ".join(recommendation(outcome, asked, tuple(range(1, 9))).split())


def test_a_new_supply_lets_the_better_board_in() -> None:
    """60 + 90 + 30 + 40 = 220.00 with it; 40 + 50 + 30 = 120.00 is the best that keeps the weak one."""
    asked = problem(("psu",))
    outcome = answer(asked)
    plan = outcome.plans[0]
    assert plan.draft.cost == 22000 and [item.slot for item in plan.replaced] == ["psu"]
    (item,) = plan.replaced
    assert item.keeping is not None and item.keeping.draft.cost == 12000 and item.proven and item.rank is None
    assert "power.rail_12v" in {f.rule for f in item.refused}
    # The same as asking without leave to replace it.
    alone = recommend(changed(asked, replace=()))
    assert alone.plans[0].parts.keys == item.keeping.parts.keys
    text = said(outcome, asked)
    assert "replacing the supply lets a better board in, Board A: " in text
    assert (
        "of the best plan that keeps it (Board B + Processor B + Kit A), for 100.00 EUR more. With the"
        " present supply these parts do not fit:" in text
    )
    found = plan_document(plan, asked)["replaced"]
    assert [(f["slot"], f["best_keeping_it"]["cost"], f["proven"]) for f in found] == [
        ("psu", "120.00", True)
    ]


def test_only_the_processor_is_better() -> None:
    one = problem(("psu",), boards=[BOARD], cpus=[CPU, replace(SLOW, socket="sock-1")])
    assert "replacing the supply lets a better processor in, Processor A: " in said(answer(one), one)


def test_kept_all_the_same() -> None:
    """A good supply stays: leave to replace it brings nothing, and that is said."""
    asked = problem(("psu", "cooler"), survey=make_survey())
    outcome = answer(asked)
    assert outcome.plans[0].replaced == ()
    assert "May be replaced, and no plan gets better by it: supply, cooler." in said(outcome, asked)
    assert "May be replaced" not in said(answer(problem(())), problem(()))


def test_a_listed_plan_that_keeps_it_is_named() -> None:
    """The case is replaced only as another choice: plan 1 keeps it."""
    asked = problem(
        ("case",), alternatives=8, survey=make_survey(), cases=[replace(CASE, id="case-a", name="Case A")]
    )
    outcome = answer(asked)
    replaced = [p for p in outcome.plans if p.replaced]
    assert replaced and all(item.rank == 1 and item.refused == () for p in replaced for item in p.replaced)
    assert "replacing the case brings nothing better: plan 1 keeps it" in said(outcome, asked)


def test_a_drive_brings_speed_without_letting_anything_in() -> None:
    """A disk of 60 MB/s against a solid-state drive of 520 MB/s; every part would fit with the disk as
    well."""
    slow = SYSTEM_DRIVE.model_copy(update={"kind": "hdd35", "read_mbs": 60})
    drive = DrivePart("ssd-a", "Drive A", None, "ssd", "sata", 60, None, None, None, None, 520, 240, None)
    asked = problem(("drive",), survey=make_survey(drives=(slow,)), drives=[drive])
    outcome = answer(asked)
    (item,) = outcome.plans[0].replaced
    assert item.slot == "drive" and item.refused == () and item.keeping is not None
    assert "replacing the system drive brings " in said(outcome, asked)


def test_without_it_there_is_no_plan() -> None:
    """A damaged supply feeds nothing new, and the wish for speed rules out buying nothing."""
    asked = changed(
        problem(("psu",), survey=make_survey(psu=replace(WEAK, condition="bulged"))), min_speedup="1.2"
    )
    outcome = answer(asked)
    (item,) = outcome.plans[0].replaced
    assert item.keeping is None and item.proven
    assert "replacing the supply makes this plan possible: without it there is no plan." in said(
        outcome, asked
    )


@pytest.mark.parametrize("replaceable", [("psu",), ("case",), ("psu", "case"), ("cooler", "psu")])
def test_the_best_that_keeps_it_is_what_recommend_finds_without_leave(replaceable: tuple[Any, ...]) -> None:
    """Against the same problem in which that part may not be replaced, for every plan of the list."""
    asked = problem(replaceable, alternatives=4, cases=[replace(CASE, id="case-a", name="Case A")])
    for plan in answer(asked).plans:
        for item in plan.replaced:
            if item.slot == "cooler":
                continue  # coolers are candidates with and without leave
            alone = recommend(
                changed(asked, replace=tuple(s for s in replaceable if s != item.slot), alternatives=1)
            )
            assert item.keeping is not None and alone.plans[0].parts.keys == item.keeping.parts.keys
