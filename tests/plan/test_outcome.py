"""An outcome as a table and a plan's own figures, by hand; thousandths of a speed-up, watts rounded up."""

from __future__ import annotations

import datetime
from dataclasses import replace
from typing import Any

from support import make_problem, pick

from partsolver.assembly.network import Node
from partsolver.plan.choices import Choice, Choices
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding
from partsolver.plan.outcome import Exposure, Interval, Outcome, Plan, Provenance

PROBLEM = make_problem()
SOURCE = Provenance("0" * 16, "2026-11-20", "solver", 1, 2, 3.0, None, None)


def plan(**facts: Any) -> Plan:
    given = {
        "rank": 1,
        "draft": Draft(pick(PROBLEM, cooler="cooler-a"), (), (), 12_345, 800_000),
        "step": 0,
        "power_mw": 150_000,
        "narrowest": None,
        "speedup": Interval(1350, 1200, 1499),
        "findings": (),
        "stand_ins": (),
        "cautions": (),
        "open_questions": (),
        "equal_to_previous": False,
        "arrival": datetime.date(2026, 11, 23),
    }
    return Plan(**{**given, **facts})


def test_as_a_table() -> None:
    second = plan(rank=2, speedup=None, power_mw=150_001, arrival=None)
    frame = Outcome("optimal", (plan(), second), 1_000_000, None, SOURCE).frame()
    bought = {"board": "board-a", "cpu": "cpu-a", "memory": "kit-a", "cooler": "cooler-a"}
    kept = dict.fromkeys(("psu", "case", "drive", "graphics"))
    assert list(frame.columns) == [
        "rank", "cost_minor", "speedup", "speedup_low", "speedup_high", "power_w", "arrival", *bought, *kept,
    ]  # fmt: skip
    first = frame.iloc[0].to_dict()
    figures = {"rank": 1, "cost_minor": 12_345, "speedup": 1.35, "speedup_low": 1.2, "speedup_high": 1.499}
    assert first == {**figures, "power_w": 150, "arrival": datetime.date(2026, 11, 23), **bought, **kept}
    assert frame["power_w"].tolist() == [150, 151]
    assert frame["speedup"].isna().tolist() == [False, True] and frame.iloc[1]["arrival"] is None
    assert plan(power_mw=1).power_mw == 1
    for power_mw, power_w in ((1, 1), (999, 1), (1000, 1), (1001, 2), (0, 0)):
        one = Outcome("optimal", (plan(power_mw=power_mw),), None, None, SOURCE).frame()
        assert one["power_w"].tolist() == [power_w]
    empty = Outcome("impossible", (), None, None, SOURCE).frame()
    assert len(empty) == 0 and list(empty.columns) == list(frame.columns)


def test_the_figures_of_a_plan() -> None:
    assert plan().parts is plan().draft.parts or plan().parts == plan().draft.parts
    assert plan().power_margin_mw is None
    narrow = Node("rail", "5v", "5v", 1000, 2000, 1000, 3000)
    assert plan(narrowest=narrow).power_margin_mw == 10_000
    gone = [
        Exposure(name, None, None, None, None, fragile)
        for name, fragile in (("a", True), ("b", False), ("c", True))
    ]
    assert plan(exposure=tuple(gone)).fragile == ("a", "c") and plan().fragile == ()
    good, bad = Finding("r", "fits"), Finding("r", "fails")
    assert plan(findings=(good, good)).admitted and plan().admitted
    assert not plan(findings=(good, bad)).admitted
    assert not plan(findings=(replace(good, verdict="unknown", blocks=True),)).admitted
    assert plan(findings=(replace(good, verdict="unknown"),)).admitted
    assert SOURCE.proof.by == () and SOURCE.proof.combinations is None and not SOURCE.interrupted
    assert plan().exposure == plan().second_orders == plan().replaced == ()


def test_a_short_answer_is_proven_where_each_of_its_plans_is() -> None:
    proven, open_one = (Choice(("first",), plan(), proven) for proven in (True, False))
    assert Choices((proven, proven)).proven is True and Choices(()).proven is True
    assert Choices((proven, open_one)).proven is False
    assert (Choices(()).pc_rank, Choices(()).complete_pc) == (0, None)  # no complete PC stands beside them
