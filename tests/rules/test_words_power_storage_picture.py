"""Every finding, need and question of the power, storage and picture rules has words; none leaves a hole in a
sentence."""

from __future__ import annotations

from dataclasses import replace
from importlib import import_module
from types import ModuleType

import pytest
from support import BOARD, CASE, CPU, PSU, SYSTEM_DRIVE, combinations, make_problem, make_survey, needs_of

from partsolver.catalog.records import DrivePart, Extra
from partsolver.plan.complete import draft_of
from partsolver.problem.problem import Problem
from partsolver.report.page import thousandths_text
from partsolver.report.words import picture as words_picture
from partsolver.report.words import power as words_power
from partsolver.report.words import storage as words_storage
from partsolver.report.words.record import Names
from partsolver.survey.model import Card, Display, Drive
from partsolver.wishes.brief import Brief

MODULES = (
    "power_pinout",
    "power_condition",
    "power_main_plug",
    "power_cpu_plug",
    "power_cpu_current",
    "power_rail_12v",
    "power_rails_12v",
    "power_rails_low",
    "power_startup",
    "power_standby",
    "power_total",
    "power_card_plugs",
    "power_drive_plugs",
    "power_leads",
    "power_lead_reach",
    "power_low_load",
    "power_supply_size",
    "storage_sata",
    "storage_pata",
    "storage_m2",
    "storage_floppy",
    "storage_link",
    "storage_start",
    "storage_capacity",
    "storage_accessories",
    "storage_raid_set",
    "storage_encryption",
    "picture_source",
    "picture_displays",
)
WORDS = {**words_power.WORDS, **words_storage.WORDS, **words_picture.WORDS}
QUESTIONS = {**words_power.QUESTIONS, **words_storage.QUESTIONS, **words_picture.QUESTIONS}


def rules() -> list[ModuleType]:
    return [import_module(f"partsolver.rules.{name}") for name in MODULES]


def known() -> Problem:
    extras = [
        Extra(
            id="cpu4", name="c", kind="cpu-plug-adapter", takes=("peripheral",), gives=("4",), limit_ma=12000
        ),
        Extra(id="card6", name="c", kind="card-plug-adapter", takes=("peripheral",), gives=("6",)),
        Extra(id="split", name="s", kind="sata-power-splitter", takes=("sata",), gives=("sata",)),
        Extra(id="bridge", name="b", kind="pata-drive-adapter", takes=("sata",), gives=("pata",)),
        Extra(id="floppy", name="f", kind="usb-floppy", takes=("usb",), gives=("floppy",)),
        Extra(
            id="vga",
            name="v",
            kind="display-adapter",
            takes=("hdmi",),
            gives=("vga",),
            active=True,
            limit_khz=165_000,
        ),
    ]
    drives = (
        SYSTEM_DRIVE.model_copy(update={"start_mode": "legacy", "storage_mode": "ide", "encrypted": True}),
        Drive(name="disk", kind="hdd35", interface="sata", raid="1"),
        Drive(name="old", kind="hdd35", interface="pata"),
        Drive(name="floppy", kind="floppy", interface="floppy"),
    )
    survey = make_survey(
        psu=replace(
            PSU,
            cpu_plugs=("4",),
            sata_plugs=1,
            card_plugs=(),
            year=2010,
            condition="noisy",
            main_plug="20",
            cpu_lead_mm=300,
            main_lead_mm=250,
        ),
        drives=drives,
        cards=(
            Card(name="g", kind="graphics", bus="pcie", lanes=16, power_plugs=("6",), outputs=("hdmi-1.4",)),
        ),
        displays=(
            Display(name="d", inputs=("vga",), width_px=1680, height_px=1050),
            Display(name="e", inputs=("hdmi-1.4",)),
        ),
    )
    boards = [
        replace(BOARD, cpu_plugs=("8", "4")),
        replace(
            BOARD,
            id="b-uefi",
            firmware_modes=("uefi",),
            outputs=(),
            slots=(),
            m2_slots=(),
            storage_modes=("ahci",),
        ),
    ]
    psus = [
        replace(PSU, id="psu-none", cpu_plugs=(), form="sfx"),
        replace(PSU, id="psu-rails", rail_12v_ma=(8000, 12000), combined_12v_ma=18000, sata_plugs=4),
        replace(
            PSU, id="psu-own", pinout="own", main_plug="own", form="tfx", condition="bulged", peak_12v_ma=9000
        ),
    ]
    modules = [DrivePart(id="nvme", name="m", kind="ssd", interface="m2-nvme", read_mbs=2000)]
    cpus = [replace(CPU, power_limit_w=150), replace(CPU, id="cpu-dark", graphics_score=0, power_limit_w=250)]
    brief = Brief(budget="10000.00", replace=("psu", "drive"))
    return make_problem(
        survey,
        brief,
        boards=boards,
        psus=psus,
        drives=modules,
        cpus=cpus,
        extras=extras,
        memory=[],
        coolers=[],
    )


def bare() -> Problem:
    """Nothing known of what the rules ask."""
    kept = Drive(name="ssd", kind="ssd", interface="sata", system=True)
    survey = make_survey(
        psu=replace(
            PSU,
            **dict.fromkeys(
                (
                    "form",
                    "pinout",
                    "rated_w",
                    "year",
                    "main_plug",
                    "cpu_plugs",
                    "cpu_lead_mm",
                    "card_plugs",
                    "sata_plugs",
                    "peripheral_plugs",
                    "rail_12v_ma",
                    "combined_12v_ma",
                    "rail_5v_ma",
                    "rail_3v3_ma",
                    "combined_5v_3v3_mw",
                    "zero_load_12v",
                    "condition",
                )
            ),
        ),
        drives=(
            kept,
            Drive(name="old", kind="optical", interface="pata"),
            Drive(name="floppy", kind="floppy", interface="floppy"),
            Drive(name="module", kind="ssd", interface="m2-nvme", raid="0"),
        ),
        cards=(Card(name="g", kind="graphics", bus="pcie", lanes=16, power_plugs=("6",)),),
        displays=(Display(name="d"),),
    )
    facts = (
        "main_plug",
        "cpu_plugs",
        "pata_channels",
        "m2_slots",
        "floppy_headers",
        "firmware_modes",
        "nvme_boot",
        "outputs",
        "sata_6g_ports",
        "sata_3g_ports",
        "sata_1g5_ports",
    )
    blank = replace(BOARD, **dict.fromkeys(facts))
    boards = [blank, replace(blank, id="b-no-slot", slots=()), replace(BOARD, id="b-plain", slots=()), BOARD]
    cpus = [replace(CPU, tdp_w=None, power_limit_w=None, graphics_score=None, year=None)]
    cases = [replace(CASE, id="case-u", psu_form=None)]
    brief = Brief(budget="10000.00", replace=("psu", "case"))
    return make_problem(
        survey,
        brief,
        boards=boards,
        cpus=cpus,
        cases=cases,
        psus=[replace(PSU, id="psu-b", cpu_plugs=("8",))],
        memory=[],
        coolers=[],
    )


@pytest.mark.parametrize("make", [known, bare])
def test_every_finding_need_and_question_has_words(make: object) -> None:
    problem = make()  # type: ignore[operator]
    names = Names(problem.names)
    seen: set[str] = set()
    for parts in combinations(problem):
        for rule in rules():
            for need in needs_of(rule, parts, problem):  # type: ignore[arg-type]
                words = WORDS[rule.ID].need
                assert words is not None and "None" not in words(need, names)
            for finding in rule.admits(draft_of(problem, parts, [rule]), problem):  # type: ignore[list-item]
                words = WORDS[rule.ID].sentence(finding, names)
                assert (
                    words.endswith(".")
                    and (words[0].isupper() or words[0].isdigit())
                    and "None" not in words
                    and "  " not in words
                ), (finding, words)
                caution = WORDS[rule.ID].caution
                if caution is not None:
                    assert caution(finding, names) != ""
                seen.add(rule.ID)
                if finding.question is not None:
                    kind, _, fact = finding.question.partition(".")
                    assert f"{kind.partition(':')[0]}.{fact}" in QUESTIONS, finding.question
    # Of a supply of which nothing is known no rails and no leads are known; no drive with a capacity is
    # bought here (the words of storage.capacity: case new-drive-too-small-for-what-is-in-use).
    silent = {"storage.capacity"} | (
        {"power.rails_12v", "power.leads", "power.lead_reach"} if make is bare else set()
    )
    assert seen == {rule.ID for rule in rules()} - silent
    assert all(1 <= len(words.title.split()) <= 4 for words in WORDS.values()) and set(WORDS) == seen | silent


@pytest.mark.parametrize("make", [known, bare])
def test_buying_nothing_is_always_possible(make: object) -> None:
    """What the PC has now works today: no rule fails, blocks or wants anything, however little is known of
    it."""
    problem = make()  # type: ignore[operator]
    present = problem.present()
    assert present is not None
    for rule in rules():
        assert needs_of(rule, present, problem) == ()  # type: ignore[arg-type]
        assert all(f.admits for f in rule.admits(draft_of(problem, present, [rule]), problem)), rule.ID  # type: ignore[list-item]


@pytest.mark.parametrize(
    ("value", "places", "text"),
    [
        (4550, 1, "4.6"),
        (4549, 1, "4.5"),
        (21450, 1, "21.5"),
        (-4550, 1, "-4.6"),
        (-40, 1, "0.0"),
        (500, 0, "1"),
    ],
)
def test_a_current_reads_alike_wherever_it_stands(value: int, places: int, text: str) -> None:
    """Halves away from zero (a float of 4.55 is written 4.5): the sheet's picture and its sentence said 4.6 A and
    4.5 A of one current."""
    assert thousandths_text(value, places) == text
