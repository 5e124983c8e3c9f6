"""What a plan throws away, in grams: stated masses, else typical ones (from memory: `standards/setting_rows_masses.py`)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import (
    CASE,
    GRAPHICS,
    KIT,
    MEMORY,
    OLD_BOARD,
    OLD_COOLER,
    OLD_CPU,
    PSU,
    make_problem,
    make_survey,
    pick,
)

from partsolver.assembly.waste import Mass, discarded_g, drive_mass, typical
from partsolver.catalog.records import DrivePart
from partsolver.survey.model import Card, Drive
from partsolver.wishes.brief import Brief


def test_stated_else_typical() -> None:
    problem = make_problem(brief=Brief(settings={"typical_psu_g": 1501}))
    assert typical(problem, "board", 777) == Mass(777, "stated")
    assert typical(problem, "board", 0) == Mass(0, "stated")
    assert typical(problem, "board") == Mass(600, "from memory")
    assert typical(problem, "psu") == Mass(1501, "stated")  # the brief states it
    assert Mass(1, "stated").stated and not Mass(1, "from memory").stated


@pytest.mark.parametrize(
    ("kind", "interface", "grams"),
    [
        ("ssd", "sata", 60),
        ("ssd", "m2-sata", 8),
        ("ssd", "m2-nvme", 8),
        ("hdd35", "sata", 600),
        ("hdd25", "m2-sata", 100),
        ("optical", "pata", 700),
        ("floppy", "floppy", 400),
        (None, "sata", 600),
        (None, "m2-nvme", 600),
    ],
)
def test_drives(kind: Any, interface: Any, grams: int) -> None:
    drive = Drive(name="d", kind=kind, interface=interface)
    assert drive_mass(make_problem(), drive) == Mass(grams, "from memory")


CARD = Card(name="card", kind="graphics", bus="pcie", lanes=16)
SOUND = Card(name="sound", kind="sound", bus="pci")
CONTROLLER = Card(name="controller", kind="controller", bus="pci")
SURVEY = make_survey(
    board=replace(OLD_BOARD, mass_g=700),
    cpu=replace(OLD_CPU, mass_g=31),
    cooler=replace(OLD_COOLER, mass_g=401),
    psu=replace(PSU, mass_g=1701),
    case=replace(CASE, mass_g=5001),
    memory=(MEMORY, MEMORY.model_copy(update={"count": 1})),
    cards=(CARD, SOUND, CONTROLLER),
)
PROBLEM = make_problem(
    SURVEY,
    Brief(replace=("psu", "case", "drive", "graphics")),
    psus=[replace(PSU, id="psu-a")],
    cases=[replace(CASE, id="case-a")],
    drives=[DrivePart("drive-a", "Drive A", kind="ssd", interface="sata", capacity_gb=500)],
    graphics=[GRAPHICS],
    memory=[replace(KIT, generation="ddr3")],
)
KEPT = {slot: next(c.key for c in PROBLEM.slot(slot) if c.kept) for slot in PROBLEM.candidates}  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("new", "grams", "stated"),
    [
        ({}, 0, True),
        ({"board": "board-a"}, 700, True),
        ({"cpu": "cpu-a"}, 31, True),
        ({"cooler": "cooler-a"}, 401, True),
        ({"psu": "psu-a"}, 1701, True),
        ({"case": "case-a"}, 5001, True),
        ({"memory": "kit-a*1"}, 90, False),  # three modules of 30 g
        ({"memory": "kit-a*1+kept-memory"}, 0, True),
        ({"drive": "drive-a"}, 60, False),
        ({"graphics": "graphics-a"}, 500, False),  # the sound card stays
        ({"board": "board-a", "cpu": "cpu-a", "memory": "kit-a*1"}, 821, False),
    ],
)
def test_what_is_thrown_away(new: dict[str, str], grams: int, stated: bool) -> None:
    assert discarded_g(pick(PROBLEM, **{**KEPT, **new}), PROBLEM) == (grams, stated)


def test_modules_that_stay_out_and_what_was_never_there() -> None:
    survey = make_survey(cooler=None, drives=(), memory=(MEMORY.model_copy(update={"count": 4}),))
    problem = make_problem(survey, Brief(replace=("drive",)), boards=[replace(OLD_BOARD, id="board-a")])
    partly = next(c.key for c in problem.slot("memory") if c.part.left_out == 2)
    kept = {slot: next((c.key for c in problem.slot(slot) if c.kept), None) for slot in problem.candidates}  # type: ignore[arg-type]
    keys = {slot: key for slot, key in kept.items() if key is not None} | {"memory": partly}
    keys["cooler"] = next(c.key for c in problem.slot("cooler") if not c.kept)
    assert discarded_g(pick(problem, **keys), problem) == (60, False)
