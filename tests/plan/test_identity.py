"""When two plans are the same choice, fact by fact."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, CASE, COOLER, CPU, GRAPHICS, KIT, PSU, make_problem, pick

from partsolver.catalog.records import DrivePart, Extra
from partsolver.plan.identity import facts_of, identity, kind_of, memory_size, named_parts, replaced
from partsolver.problem.candidates import Candidate
from partsolver.problem.problem import Problem
from partsolver.wishes.brief import Brief

DRIVE = DrivePart("drive-a", "Drive A", kind="ssd", interface="sata", read_mbs=500, capacity_gb=240)
ALL: tuple[Any, ...] = ("psu", "case", "drive", "graphics")
TABLES: dict[str, Any] = {
    "boards": BOARD, "cpus": CPU, "memory": KIT, "coolers": COOLER, "psus": replace(PSU, id="psu-a"),
    "cases": replace(CASE, id="case-a"), "drives": DRIVE, "graphics": GRAPHICS,
}  # fmt: skip
SLOT_OF = {
    "boards": "board",
    "cpus": "cpu",
    "coolers": "cooler",
    "psus": "psu",
    "cases": "case",
    "drives": "drive",
}


def two(table: str, use: str = "office", **facts: Any) -> tuple[Problem, Candidate, Candidate]:
    """A part, and another that differs in these facts, as candidates."""
    first = TABLES[table]
    other = replace(first, id="other", name="Other", **facts)
    problem = make_problem(
        brief=Brief(replace=ALL, use=use),
        **{name: [row] for name, row in TABLES.items() if name != table},
        **{table: [first, other]},
    )
    slot: Any = SLOT_OF.get(table, table)
    a, b = (next(c for c in problem.slot(slot) if c.id == part) for part in (first.id, "other"))
    return problem, a, b


@pytest.mark.parametrize(
    ("table", "facts", "twins"),
    [
        ("boards", {"mass_g": 1, "maker": "m", "source": "s", "revision": "r"}, True),
        ("boards", {"year": 2017}, False),
        ("boards", {"shield": "missing"}, False),
        ("boards", {"firmware_shipped": "1.11"}, False),
        ("boards", {"holes": ("C",)}, False),
        ("boards", {"fan_headers": 9}, False),
        ("cpus", {"serial_score": 1, "parallel_score": 1, "score_origin": "estimated", "base_mhz": 1}, True),
        ("cpus", {"boost_mhz": 1, "score_error_percent": 1, "score_scale": "x", "mass_g": 1}, True),
        ("cpus", {"tdp_w": 66}, False),
        ("memory", {"module_height_mm": 50, "mass_g": 9}, True),
        ("memory", {"ranks": 2}, False),
        ("coolers", {"mass_g": 1, "memory_clearance_mm": 3, "maker": "m"}, True),
        ("coolers", {"fan_pins": 3}, False),
        ("coolers", {"height_mm": 121}, False),
        ("psus", {"main_lead_mm": 1, "mass_g": 4}, True),
        ("psus", {"sata_plugs": 9}, False),
        ("cases", {"mass_g": 1}, True),
        ("cases", {"fans": 4}, False),
        ("drives", {"read_mbs": 1, "mass_g": 1}, True),
        ("drives", {"capacity_gb": 1}, False),
        ("graphics", {"mass_g": 1}, True),
        ("graphics", {"graphics_score": 1}, False),
    ],
)
def test_twins(table: str, facts: dict[str, Any], twins: bool) -> None:
    """Whom every rule about parts treats alike."""
    problem, a, b = two(table, **facts)
    assert (facts_of(a, frozenset()) == facts_of(b, frozenset())) is twins
    assert (kind_of(problem, a) == kind_of(problem, b)) is twins
    assert kind_of(problem, a) == kind_of(problem, a)
    assert len(problem.store.kinds.by_facts) == 2 - twins


def test_a_board_that_an_extra_is_made_for_is_like_no_other() -> None:
    problem, a, b = two("boards")
    assert facts_of(a, frozenset({"board-a"})) != facts_of(b, frozenset({"board-a"}))
    assert facts_of(a, frozenset({"another"})) == facts_of(b, frozenset({"another"}))
    shield = Extra("shield", "Shield", kind="shield", takes=("board-a", "x1"))
    named = make_problem(extras=[shield, Extra("plug", "Plug", takes=("x4",))])
    assert named_parts(named) == {"board-a", "x1", "x4"} and named_parts(named) is named_parts(named)
    assert named_parts(problem) == frozenset()


def test_what_is_kept_is_like_nothing_that_is_bought() -> None:
    problem, *_ = two("drives")
    for slot in ("board", "cpu", "memory", "cooler", "psu", "case", "drive", "graphics"):
        kept = next(c for c in problem.slot(slot) if c.kept)  # type: ignore[arg-type]
        others = [c for c in problem.slot(slot) if not c.kept]  # type: ignore[arg-type]
        facts = facts_of(kept, frozenset())
        assert others and facts[0] is True
        assert all(facts_of(c, frozenset())[0] is False for c in others)
    drive = next(c for c in problem.slot("drive") if c.kept)
    assert facts_of(drive, frozenset()) == (True, drive.part.kept)
    card = next(c for c in problem.slot("graphics") if c.kept)
    assert facts_of(card, frozenset()) == (True,)


def test_modules_beside_the_present_ones_tell_their_own_facts() -> None:
    kits = [replace(KIT, generation="ddr3"), replace(KIT, id="other", generation="ddr3", ranks=2)]
    problem = make_problem(memory=kits)
    a, b = (
        next(c for c in problem.slot("memory") if c.key == f"{k}*1+kept-memory") for k in ("kit-a", "other")
    )
    assert facts_of(a, frozenset()) != facts_of(b, frozenset())
    kept = next(c for c in problem.slot("memory") if c.kept)
    assert facts_of(kept, frozenset())[-1] is None


@pytest.mark.parametrize(
    ("table", "facts", "same"),
    [
        ("boards", {"year": 1999, "shield": "missing", "firmware_shipped": "9", "holes": ("C",)}, True),
        ("boards", {"fan_headers": 9}, False),
        ("cpus", {}, False),  # another processor is another choice
        ("memory", {"ranks": 2}, True),
        ("memory", {"module_mib": 8192}, False),
        ("memory", {"rate_mts": 2133}, False),
        ("memory", {"rate_mts": 3200}, False),
        ("coolers", {"height_mm": 1}, True),
        ("psus", {"rated_w": 900}, True),
        ("cases", {"fans": 9}, True),
        ("drives", {"m2_length_mm": 80}, True),
        ("drives", {"read_mbs": 501}, False),
        ("drives", {"capacity_gb": 241}, False),
        ("drives", {"interface": "m2-sata"}, False),
        ("graphics", {"graphics_score": 800}, True),  # the use pays for no graphics
    ],
)
def test_the_same_choice(table: str, facts: dict[str, Any], same: bool) -> None:
    problem, a, b = two(table, **facts)
    bought = {slot: next(c.key for c in problem.slot(slot) if not c.kept) for slot in problem.candidates}  # type: ignore[arg-type]
    one, other = (pick(problem, **{**bought, a.slot: c.key}) for c in (a, b))
    assert (identity(one) == identity(other)) is same


def test_which_kept_part_is_replaced() -> None:
    problem, *_ = two("drives")
    base = pick(problem)
    for slot in ("psu", "case", "drive"):
        changed = pick(problem, **{slot: next(c.key for c in problem.slot(slot) if not c.kept)})  # type: ignore[arg-type]
        assert identity(changed) != identity(base)
    assert [replaced(c) for c in problem.slot("psu")] == [c.kept for c in problem.slot("psu")]
    assert {replaced(c) for c in problem.slot("drive")} == {True, ("sata", 500, 240)}
    assert [memory_size(c) for c in problem.slot("memory") if c.key == "kit-a*1"] == [8192]


def test_an_unknown_rate_counts_as_the_fallback() -> None:
    problem = make_problem(
        boards=[replace(BOARD, memory_max_rate_mts=None)],
        cpus=[replace(CPU, memory_rates=None)],
        memory=[
            replace(KIT, rate_mts=None),
            replace(KIT, id="kit-b", rate_mts=800),
            replace(KIT, id="kit-c", rate_mts=801),
        ],
    )
    unknown, same, other = (identity(pick(problem, memory=f"kit-{n}*1")) for n in "abc")
    assert unknown[-1] == 800 and unknown == same and unknown != other
