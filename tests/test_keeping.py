"""The kept-or-new account: expected prices, masses and risks are worked out by hand beside each case."""

from __future__ import annotations

import datetime
from dataclasses import replace
from typing import Any

import pytest
from support import CASE, COOLER, PSU, SYSTEM_DRIVE, make_problem, make_survey, pick

from partsolver.catalog.records import Cooler, DrivePart, Extra, Offer
from partsolver.plan.complete import draft_of
from partsolver.plan.keeping import MOST_TRIED, keeping
from partsolver.plan.make import make_plan
from partsolver.plan.outcome import Keeping, KeptPart
from partsolver.report.json import plan_document
from partsolver.report.keeping import keeping_lines, kilograms
from partsolver.report.text import names_of, recommendation
from partsolver.rules import all_rules
from partsolver.solve.answer import answer
from partsolver.standards.settings import SETTINGS
from partsolver.survey.model import Drive
from partsolver.wishes.brief import Brief

NEW_PSU = replace(PSU, id="psu-new", name="New supply", year=2026, mass_g=1700)
NEW_CASE = replace(CASE, id="case-new", name="New case", mass_g=4500)
SSD = DrivePart("ssd-240", "Drive 240", None, "ssd", "sata", 60, None, None, None, None, 520, 240, 45)
DISK = Drive(
    name="archive disk",
    kind="hdd35",
    interface="sata",
    sata_gbps10=30,
    capacity_gb=500,
    power_plug="sata",
    year=2012,
)
BURNER = Drive(name="burner", kind="optical", interface="sata", power_plug="sata", year=2012)
BASE = (Offer("board-a", "shop", 4000), Offer("cpu-a", "shop", 5000), Offer("kit-a", "shop", 2000))
BRIEF = Brief(budget="500.00")


def account(
    survey: Any = None, offers: Any = (), brief: Brief = BRIEF, keys: Any = None, **tables: Any
) -> Keeping:
    """The account of new board, processor and memory in the base PC (today: 2026-11-20)."""
    problem = make_problem(survey or make_survey(), brief, offers=[*BASE, *offers], **tables)
    rules = all_rules()
    plan = make_plan(problem, draft_of(problem, pick(problem, **(keys or {})), rules), rules, 1, 0, None)
    return keeping(problem, plan)


def part(found: Keeping, slot: str) -> KeptPart:
    return next(p for p in found.parts if p.slot == slot)


def replacement(found: Keeping, slot: str) -> tuple[str, int] | None:
    new = part(found, slot).replacement
    return None if new is None else (new.id, new.price)


def test_sums_by_hand() -> None:
    """Case 35.00, supply 29.00, drive 25.00: 89.00. Waste: 6000 + 1500 + 60 g, the typical masses of the
    settings."""
    offers = [Offer("case-new", "shop", 3500), Offer("psu-new", "shop", 2900), Offer("ssd-240", "shop", 2500)]
    found = account(offers=offers, psus=[NEW_PSU], cases=[NEW_CASE], drives=[SSD])
    assert [p.slot for p in found.parts] == ["case", "psu", "drive"]
    assert [replacement(found, slot) for slot in ("case", "psu", "drive")] == [
        ("case-new", 3500),
        ("psu-new", 2900),
        ("ssd-240", 2500),
    ]
    assert (found.saves, found.waste_g, found.stated) == (8900, 7560, False)
    assert [p.replacement.mass_g for p in found.parts if p.replacement] == [4500, 1700, 45]
    assert {p.mass_basis for p in found.parts} == {"from memory"}  # of low confidence, and it says so


def test_stated_masses_go_first_and_settings_change_the_typical_ones() -> None:
    survey = make_survey(case=replace(CASE, mass_g=5100), psu=replace(PSU, mass_g=1400))
    found = account(survey, brief=Brief(budget="500.00", settings={"typical_ssd_g": 70}))
    assert (found.waste_g, found.stated) == (5100 + 1400 + 70, True)
    assert found.saves == 0 and all(p.replacement is None and p.searched for p in found.parts)


@pytest.mark.parametrize(
    ("name", "grams"),
    # Mass on the scales of common parts, from memory, wide bounds: a 3.5-inch disk 400 to 800 g, an ATX
    # supply 1 to 2.5 kg ...
    [
        ("hdd35", (400, 800)),
        ("hdd25", (70, 180)),
        ("ssd", (30, 100)),
        ("psu", (1000, 2500)),
        ("case", (3000, 10000)),
        ("module", (15, 60)),
    ],
)
def test_typical_masses_are_of_the_right_size(name: str, grams: tuple[int, int]) -> None:
    setting = SETTINGS[f"typical_{name}_g"]
    assert grams[0] <= setting.value <= grams[1] and setting.basis == "from memory" and setting.unit == "g"


def test_the_cheapest_that_serves_this_plan() -> None:
    """Six cheaper ones do not: too weak (100 W), no plug for the processor, sold out, damaged, late,
    unwanted."""
    psus = [
        replace(NEW_PSU, id="weak", rated_w=100, rail_12v_ma=(6000,), combined_12v_ma=6000),
        replace(NEW_PSU, id="no-plug", cpu_plugs=()),
        replace(NEW_PSU, id="sold-out"),
        replace(NEW_PSU, id="late"),
        replace(NEW_PSU, id="unwanted"),
        replace(NEW_PSU, id="bulged", condition="bulged"),
        NEW_PSU,
        replace(NEW_PSU, id="dear"),
    ]
    offers = [
        Offer("weak", "shop", 900),
        Offer("no-plug", "shop", 950),
        Offer("sold-out", "shop", 1000, stock=0),
        Offer("bulged", "shop", 1050),
        Offer("late", "shop", 1100, available_on=datetime.date(2027, 5, 1)),
        Offer("unwanted", "shop", 1200),
        Offer("psu-new", "shop", 3000),
        Offer("psu-new", "shop", 2800),
        Offer("dear", "shop", 4000),
    ]
    brief = Brief(budget="500.00", need_by=datetime.date(2026, 12, 24), without=("unwanted",))
    assert replacement(account(offers=offers, brief=brief, psus=psus), "psu") == ("psu-new", 2800)


def test_what_needs_something_else_bought_does_not_count() -> None:
    """A supply with two SATA plugs for three SATA drives would need a splitter: its price is not the whole
    price."""
    drives = (SYSTEM_DRIVE, DISK, BURNER)
    two = replace(NEW_PSU, id="two-plugs", sata_plugs=2)
    splitter = Extra(
        "split", "Splitter", kind="sata-power-splitter", takes=("sata",), gives=("sata",), count=2
    )
    offers = [Offer("two-plugs", "shop", 1500), Offer("psu-new", "shop", 2900), Offer("split", "shop", 300)]
    assert replacement(
        account(make_survey(drives=drives), offers, psus=[two, NEW_PSU], extras=[splitter]), "psu"
    ) == ("psu-new", 2900)
    # Where nothing is missing, or the plan buys a splitter with the present supply as well.
    own = replace(PSU, sata_plugs=2)
    for survey in (make_survey(), make_survey(drives=drives, psu=own)):
        found = account(survey, offers, psus=[two, NEW_PSU], extras=[splitter])
        assert replacement(found, "psu") == ("two-plugs", 1500)


def test_what_another_rule_refuses_is_no_fault_of_a_supply() -> None:
    """A new kit that the present board does not take: the plan is refused, and the supply would serve it all the
    same."""
    offers = [Offer("psu-new", "shop", 2900)]
    keys = {"board": "kept-board", "cpu": "kept-cpu", "memory": "kit-a*1", "cooler": "kept-cooler"}
    assert replacement(account(offers=offers, keys=keys, psus=[NEW_PSU]), "psu") == ("psu-new", 2900)


def test_a_drive_that_is_replaced_is_not_kept() -> None:
    brief = Brief(budget="500.00", replace=("drive",))
    offers = [Offer("ssd-240", "shop", 2500)]
    found = account(offers=offers, brief=brief, keys={"drive": "ssd-240"}, drives=[SSD])
    assert [p.slot for p in found.parts] == ["case", "psu"]


def test_a_cooler_without_paste_needs_paste() -> None:
    """Nothing is bought, so no paste either: the cooler of 10.00 that comes without it is not all that had to
    be paid."""
    survey = make_survey(cpu=replace(make_survey().cpu, tdp_w=65, power_limit_w=65))
    coolers = [
        replace(COOLER, id="bare", sockets=("sock-0",), paste_included=False),
        replace(COOLER, id="whole", sockets=("sock-0",)),
    ]
    offers = [Offer("bare", "shop", 1000), Offer("whole", "shop", 1500), Offer("paste", "shop", 400)]
    keys = {"board": "kept-board", "cpu": "kept-cpu", "memory": "kept-memory", "cooler": "kept-cooler"}
    paste = [Extra("paste", "Paste", kind="thermal-paste")]
    assert replacement(account(survey, offers, keys=keys, coolers=coolers, extras=paste), "cooler") == (
        "whole",
        1500,
    )


def test_a_case_must_take_the_board_and_the_kept_supply() -> None:
    """The board is 220 mm deep; an SFX bay does not take the kept ATX supply."""
    cases = [
        replace(NEW_CASE, id="short", max_board_depth_mm=200),
        replace(NEW_CASE, id="small-bay", psu_form="sfx"),
        NEW_CASE,
    ]
    offers = [Offer("short", "shop", 1000), Offer("small-bay", "shop", 1100), Offer("case-new", "shop", 3500)]
    assert replacement(account(offers=offers, cases=cases), "case") == ("case-new", 3500)


def test_drives_hold_as_much_and_are_no_step_back() -> None:
    """The system drive is an SSD of 240 GB; the archive is a 3.5-inch disk of 500 GB; nothing on sale burns
    discs."""
    drives = [
        SSD,
        replace(SSD, id="ssd-120", capacity_gb=120),
        replace(SSD, id="ssd-480", capacity_gb=480),
        replace(SSD, id="ssd-960", capacity_gb=960),
        replace(SSD, id="nvme-500", interface="m2-nvme", capacity_gb=500),
        replace(SSD, id="disk-1000", kind="hdd35", capacity_gb=1000),
        replace(SSD, id="disk-250", kind="hdd35", capacity_gb=250),
        replace(SSD, id="small-500", kind="hdd25", capacity_gb=500),
    ]
    prices = {
        "ssd-120": 900,
        "small-500": 1000,
        "disk-250": 1100,
        "ssd-480": 2000,
        "ssd-240": 2500,
        "nvme-500": 2600,
        "disk-1000": 3600,
        "ssd-960": 5000,
    }
    found = account(
        make_survey(drives=(SYSTEM_DRIVE, DISK, BURNER)),
        [Offer(i, "shop", p) for i, p in prices.items()],
        drives=drives,
    )
    # The roomier drive is the cheaper one: it serves.
    assert replacement(found, "drive") == ("ssd-480", 2000)
    # A 2.5-inch disk is another size and 250 GB too small: the 3.5-inch disk of 1000 GB.
    others = [p for p in found.parts if p.slot == "other-drive"]
    assert [(p.name, p.replacement.id if p.replacement else None) for p in others] == [
        ("archive disk", "disk-1000"),
        ("burner", None),
    ]
    assert (found.saves, found.waste_g) == (2000 + 3600, 6000 + 1500 + 60 + 600 + 700)


def test_a_new_drive_has_to_find_a_power_plug() -> None:
    """An old disk on a peripheral plug; the supply has no SATA plug left, so no SATA drive takes its
    place."""
    drive, found = replace(SSD, id="disk-1000", kind="hdd35", capacity_gb=1000), ("disk-1000", 3600)
    for plugs, plug, expected in ((1, "peripheral", None), (2, "peripheral", found), (2, "sata", found)):
        old = DISK.model_copy(update={"power_plug": plug})
        survey = make_survey(drives=(SYSTEM_DRIVE, old), psu=replace(PSU, sata_plugs=plugs))
        assert (
            replacement(account(survey, [Offer("disk-1000", "shop", 3600)], drives=[drive]), "other-drive")
            == expected
        )


def test_a_kept_cooler_is_in_the_account_and_a_replaced_part_is_not() -> None:
    """The present processor, 80 W, on a board of its socket: the present cooler (70 W rated) stays only below
    that."""
    survey = make_survey(
        cpu=replace(make_survey().cpu, tdp_w=65, power_limit_w=65),
        cooler=Cooler("kept-cooler", "old cooler", sockets=("sock-0",), height_mm=60, rated_w=70, mass_g=350),
    )
    coolers = [
        replace(COOLER, id="wrong-socket"),
        replace(COOLER, id="weak", sockets=("sock-0",), rated_w=50),
        replace(COOLER, id="good", sockets=("sock-0",)),
    ]
    offers = [Offer("wrong-socket", "shop", 500), Offer("weak", "shop", 600), Offer("good", "shop", 1500)]
    keys = {"board": "kept-board", "cpu": "kept-cpu", "memory": "kept-memory", "cooler": "kept-cooler"}
    found = account(survey, offers, coolers=coolers, keys=keys)
    assert replacement(found, "cooler") == ("good", 1500) and part(found, "cooler").mass_g == 350
    with_case = account(
        survey,
        [*offers, Offer("case-new", "shop", 3500)],
        Brief(budget="500.00", replace=("case",)),
        {"case": "case-new"},
        coolers=coolers,
        cases=[NEW_CASE],
    )
    assert [p.slot for p in with_case.parts] == [
        "psu",
        "drive",
    ]  # new board and processor: its cooler is in the box


@pytest.mark.parametrize(
    ("changes", "risks", "words"),
    [
        # 2026 - 2018 = 8 years: 80 % of the label (setting psu_trust_upto8_percent).
        ({}, [("age", 8), ("trusted", 80)], "8 years old, trusted with 80 % of its label"),
        ({"year": 2025}, [("age", 1), ("trusted", 85)], "1 year old"),
        ({"year": 2026}, [("age", 0), ("trusted", 85)], "trusted with 85 %"),
        # Supplies from 1999 to 2007 are to be inspected (settings faulty_capacitor_*).
        ({"year": 1998}, [("age", 28), ("trusted", 65)], "28 years old"),
        ({"year": 1999}, [("age", 27), ("trusted", 65), ("capacitor-years", 1999)], "27 years old"),
        ({"year": 2007}, [("age", 19), ("trusted", 65), ("capacitor-years", 2007)], "19 years old"),
        ({"year": 2008}, [("age", 18), ("trusted", 65)], "18 years old"),
        ({"year": 2012}, [("age", 14), ("trusted", 65)], "14 years old, trusted with 65 %"),
        ({"year": None}, [("age-unknown", None), ("trusted", 65)], "of unknown age"),
        (
            {"condition": None},
            [("age", 8), ("trusted", 80), ("condition-unknown", None)],
            "its state not looked at",
        ),
        ({"condition": "noisy"}, [("age", 8), ("trusted", 80), ("condition", "noisy")], "it is noisy"),
        (
            {"year": 2004, "condition": "bulged"},
            [("age", 22), ("trusted", 65), ("condition", "bulged"), ("capacitor-years", 2004)],
            "bulged capacitors",
        ),
    ],
)
def test_risks_of_the_supply(changes: dict[str, Any], risks: list[Any], words: str) -> None:
    found = account(
        make_survey(psu=replace(PSU, **changes)),
        keys={"board": "kept-board", "cpu": "kept-cpu", "memory": "kept-memory", "cooler": "kept-cooler"},
    )
    assert [(r.kind, r.value) for r in part(found, "psu").risks] == risks
    said = " ".join(keeping_lines(found, names_of(make_problem())))
    assert words in said
    assert "open" not in said.replace("open question", ""), "nobody is led to open a supply"


def test_a_supply_that_runs_day_and_night_ages_faster() -> None:
    """Over 7 years day and night counts as the oldest class (common practice): 65 %."""
    survey = make_survey(pc=make_survey().pc.model_copy(update={"always_on": True}))
    assert ("trusted", 65) in [(r.kind, r.value) for r in part(account(survey), "psu").risks]


def test_the_age_of_a_disk() -> None:
    later = DISK.model_copy(update={"name": "new disk", "year": 2027})  # a survey of another day
    found = account(make_survey(drives=(SYSTEM_DRIVE, DISK, later)))
    assert [(p.name, [(r.kind, r.value) for r in p.risks]) for p in found.parts if "drive" in p.slot] == [
        ("ssd", []),
        ("archive disk", [("age", 14)]),
        ("new disk", [("age", 0)]),
    ]
    assert "archive disk 14 years old" in " ".join(keeping_lines(found, names_of(make_problem())))


def test_a_search_that_was_cut_short_says_so() -> None:
    weak = [replace(NEW_PSU, id=f"weak-{i:02}", cpu_plugs=()) for i in range(MOST_TRIED + 1)]
    found = account(offers=[Offer(p.id, "shop", 1000 + i) for i, p in enumerate(weak)], psus=weak)
    assert part(found, "psu").replacement is None and not part(found, "psu").searched
    assert part(account(offers=[Offer(p.id, "shop", 1000) for p in weak[1:]], psus=weak), "psu").searched


def test_in_text_and_json() -> None:
    problem = make_problem(
        brief=Brief(budget="500.00", alternatives=1),
        psus=[NEW_PSU],
        offers=[*BASE, Offer("psu-new", "shop", 2900)],
    )
    outcome = answer(problem)
    text = " ".join(recommendation(outcome, problem).split())
    assert (
        "Keeping them saves 29.00 EUR at the cheapest offers (supply 29.00; none on offer that fits: case,"
        " system drive), and about 7.6 kg of waste" in text
    )
    found = plan_document(outcome.plans[0], problem)["kept_or_new"]
    assert found["saves"] == "29.00" and found["waste_g"] == 7560 and found["mass_stated"] is False
    assert found["parts"][1]["replacement"] == {
        "id": "psu-new",
        "name": problem.names["psu-new"],
        "price": "29.00",
        "mass_g": 1700,
    }
    # Nothing of it changes what is recommended: no replacement is a candidate of the problem.
    assert {c.id for c in problem.slot("psu")} == {None}


@pytest.mark.parametrize(
    ("grams", "words"), [(60, "60 g"), (999, "999 g"), (1000, "1.0 kg"), (7549, "7.5 kg"), (7550, "7.6 kg")]
)
def test_kilograms(grams: int, words: str) -> None:
    assert kilograms(grams) == words


def test_on_the_bench_sheet() -> None:
    """Beside each kept part what would replace it, its mass and its risk; the sums below; in HTML and on the
    terminal."""
    from partsolver.report.sheet_html import sheet_html
    from partsolver.report.sheet_text import sheet_text
    from partsolver.report.sheet_view import view
    from partsolver.sheet.context import Context, Origin

    survey = make_survey(drives=(SYSTEM_DRIVE, DISK), psu=replace(PSU, mass_g=1400))
    problem = make_problem(survey, BRIEF, psus=[NEW_PSU], offers=[*BASE, Offer("psu-new", "shop", 2900)])
    rules = all_rules()
    context = Context(
        problem,
        make_plan(problem, draft_of(problem, pick(problem), rules), rules, 1, 0, None),
        Origin("plan.json"),
    )
    kept = dict(view(context).kept)
    assert (
        kept["supply"]
        == "old supply (replacing it: New supply, 29.00 EUR; 1.4 kg of waste saved; 8 years old, trusted with"
        " 80 % of its label)"
    )
    assert kept["case"] == "old case (nothing on offer would replace it; about 6.0 kg of waste saved)"
    assert kept["other drives"].startswith(
        "archive disk (nothing on offer would replace it; about 600 g of waste saved; 14 years old)"
    )
    # 1400 + 6000 + 60 + 600 g
    total = (
        "saves 29.00 EUR at the cheapest offers, without delivery, and about 8.1 kg of waste (typical masses)"
    )
    assert kept["keeping instead of new"] == total
    assert total in sheet_html(context) and total in " ".join(sheet_text(context).split())
