"""Loads that are a range against what a supply is trusted with or carries today, by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, PSU, make_problem, make_survey, pick

from partsolver.assembly.currents import Load
from partsolver.assembly.loads import today_load
from partsolver.assembly.supply import carried_today
from partsolver.plan.findings import Finding
from partsolver.plan.ranges import supplied
from partsolver.problem.problem import Problem
from partsolver.wishes.brief import Brief

LABEL = {"year": 2018, "rail_5v_ma": 20_000, "rated_w": 400}  # trusted with 80 %: 16 A, 320 W


def pc(**facts: Any) -> Problem:
    survey = make_survey(psu=replace(PSU, **{**LABEL, **facts}))
    return make_problem(
        survey, Brief(replace=("psu",)), psus=[replace(PSU, id="psu-new", **{**LABEL, **facts})]
    )


def load(usual: int, most: int, start: int = 0) -> Load:
    return Load(ma_5v=usual, most_5v=most, start_5v=start, mw=usual * 20, most_mw=most * 20)


def told(
    problem: Problem, usual: int, most: int, quantity: Any = "5v", start: int = 0, **keys: str
) -> Finding:
    found = supplied(
        "r", problem, pick(problem, **keys), load(usual, most, start), quantity, "rail_5v_ma", extra=7
    )
    assert len(found) == 1
    return found[0]


@pytest.mark.parametrize(
    ("usual", "most", "verdict", "warned"),
    [
        (15_999, 15_999, "fits", False),
        (16_000, 16_000, "fits", False),
        (16_000, 16_001, "fits", True),
        (16_001, 16_001, "fails", False),
    ],
)
def test_the_trusted_share(usual: int, most: int, verdict: str, warned: bool) -> None:
    for keys in ({}, {"psu": "psu-new"}):
        found = told(pc(), usual, most, **keys)
        assert (found.verdict, found.value, found.limit, found.unit) == (verdict, usual, 16_000, "mA")
        assert (found.fact("warning") == "highest load", found.fact("most")) == (warned, most)
        assert (found.fact("label"), found.fact("trust_percent"), found.fact("basis")) == (
            20_000,
            80,
            "label",
        )
        assert found.fact("extra") == 7 and found.parts == (keys.get("psu", "kept-psu"),)


def test_powers_are_told_in_milliwatt() -> None:
    assert (told(pc(), 16_000, 16_000, "total").unit, told(pc(), 16_000, 16_000, "total").limit) == (
        "mW",
        320_000,
    )
    assert told(pc(), 1, 1, "5v+3v3").unit == "mW" and told(pc(), 1, 1, "3v3").unit == "mA"
    assert told(pc(), 16_001, 16_001, "total").verdict == "fails"


def test_a_label_that_nobody_knows() -> None:
    problem = pc(rail_5v_ma=None)
    today = carried_today(problem, "5v")
    assert (
        told(problem, today, today).verdict == "fits"
        and told(problem, today, today).fact("today") == "no more"
    )
    more = told(problem, today + 1, today + 1)
    assert (more.verdict, more.question, more.fact("load"), more.blocks) == (
        "unknown",
        "psu.rail_5v_ma",
        today + 1,
        False,
    )
    new = told(problem, 1, 1, psu="psu-new")
    assert (new.verdict, new.question) == ("unknown", "psu:psu-new.rail_5v_ma")
    blocked = supplied("r", problem, pick(problem), load(today + 1, today + 1), "5v", "rail_5v_ma", True)
    assert blocked[0].blocks and not blocked[0].admits


def test_disks_that_start_today_on_this_board() -> None:
    """Board and supply stay: what starts today starts tomorrow; on another board the label decides."""
    problem = pc(rail_5v_ma=100)
    today = carried_today(problem, "start 5v")
    work = carried_today(problem, "5v")
    assert today_load(problem).start_5v > today_load(problem).ma_5v or today > 0
    kept = {"board": "kept-board"}
    limit = told(problem, 0, 0, "start 5v", today, **kept).limit
    assert limit == max(today, work)
    assert told(problem, 0, 0, "start 5v", 1).limit == work
    assert told(problem, 0, 0, "start 5v", 1, psu="psu-new").limit == 80


def test_what_stays_may_draw_its_highest_today() -> None:
    """Board, processor, supply and cards stay: a highest load as of today is no news."""
    problem = pc(rail_5v_ma=100)
    highest = carried_today(problem, "5v", highest=True)
    usual = carried_today(problem, "5v")
    assert highest > usual
    stays = {"board": "kept-board", "cpu": "kept-cpu"}
    for keys, most, warned in ((stays, highest, False), (stays, highest + 1, True), ({}, highest, True)):
        found = supplied("r", problem, pick(problem, **keys), load(usual, most), "5v", "rail_5v_ma")
        assert (found[0].fact("warning") is not None) is warned, (keys, most)


def test_what_would_settle_it_is_asked() -> None:
    """Of a board whose power nobody stated, where only its highest load is too much."""
    survey = make_survey(psu=replace(PSU, **LABEL))
    problem = make_problem(survey, boards=[replace(BOARD, load_mw=None)])
    found = supplied("r", problem, pick(problem), load(16_000, 16_250), "5v", "rail_5v_ma")
    assert [f.verdict for f in found] == ["fits", "unknown"]
    assert (found[1].question, found[1].fact("narrows"), found[1].fact("unit")) == (
        "board:board-a.load_mw",
        250,
        "mA",
    )
    assert len(supplied("r", problem, pick(problem), load(16_000, 16_000), "5v", "rail_5v_ma")) == 1
