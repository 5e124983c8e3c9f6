"""Every finding of the memory, system and port rules has a plain sentence, every question a way to answer
it."""

from __future__ import annotations

from dataclasses import replace
from importlib import import_module

import pytest
from support import (
    BOARD,
    CASE,
    CPU,
    KIT,
    MEMORY,
    combinations,
    make_problem,
    make_survey,
    needs_of,
    plain_draft,
)

from partsolver.catalog.records import Extra
from partsolver.report.words import memory as words_memory
from partsolver.report.words import os as words_os
from partsolver.report.words import ports as words_ports
from partsolver.report.words.record import Names
from partsolver.rules.base import needs_nothing
from partsolver.survey.model import Device, OperatingSystem
from partsolver.wishes.brief import Brief

MODULES = (
    "memory_generation",
    "memory_module",
    "memory_buffering",
    "memory_slots",
    "memory_module_capacity",
    "memory_organisation",
    "memory_voltage",
    "memory_capacity",
    "memory_rate",
    "memory_channels",
    "memory_mixing",
    "memory_os_limit",
    "os_processor",
    "os_firmware",
    "os_start",
    "os_tpm",
    "os_memory",
    "os_disk",
    "os_licence",
    "os_usb_driver",
    "ports_devices",
    "ports_front_usb",
    "ports_front_audio",
    "ports_fans",
    "ports_front_panel",
)
RULES = [import_module(f"partsolver.rules.{name}") for name in MODULES]
WORDS = words_memory.WORDS | words_os.WORDS | words_ports.WORDS
QUESTIONS = words_memory.QUESTIONS | words_os.QUESTIONS | words_ports.QUESTIONS
EXTRAS = [
    Extra(id="tpm", name="module", kind="tpm-module", gives=("2.0",)),
    Extra(id="licence", name="licence", kind="os-licence", gives=("desktop-2021",)),
    Extra(id="lead", name="lead", kind="usb-ps2", gives=("ps2",)),
    Extra(id="bracket", name="bracket", kind="serial-bracket", gives=("serial",)),
]
BLANK = replace(
    BOARD,
    id="board-u",
    **dict.fromkeys(
        f for f in BOARD.__dataclass_fields__ if f.startswith(("memory", "usb", "serial", "ps2"))
    ),
    tpm=None,
    firmware_modes=None,
    secure_boot=None,
    front_audio=None,
    fan_headers=None,
)
HEADER = replace(
    BOARD, id="board-h", tpm="header", memory_ecc="tolerated", ps2_ports=0, front_audio="none", fan_headers=1
)
POOR = replace(
    BOARD,
    id="board-p",
    memory_slots=1,
    memory_max_mib=2048,
    memory_max_module_mib=1024,
    firmware_modes=("legacy",),
    secure_boot=False,
    tpm="none",
    memory_registered=False,
    usb_rear_ports=0,
    memory_two_per_channel_rate_mts=2133,
    memory_module="so-dimm",
)
KITS = [
    KIT,
    replace(KIT, id="kit-e", ecc=True, modules=1),
    replace(KIT, id="kit-r", registered=True),
    replace(KIT, id="kit-u", module_mib=None),
]


def _problem(family, licence, panel, present):
    survey = make_survey(
        os=OperatingSystem(family=family, licence=licence, tied_software=("accounts",)),
        case=replace(
            CASE, front_panel=panel, front_usb3_plugs=2, front_audio="ac97" if panel else None, fans=3
        ),
        devices=(
            Device(name="keyboard", port="ps2"),
            Device(name="scale", port="serial"),
            Device(name="box"),
            *([Device(name="plotter", port="parallel")] if panel else []),
        ),
        memory=(MEMORY.model_copy(update=present),),
    )
    return make_problem(
        survey,
        Brief(budget="10000.00", secure_boot=True),
        boards=[BOARD, BLANK, HEADER, POOR],
        memory=KITS,
        coolers=(),
        extras=EXTRAS,
        cpus=[
            CPU,
            replace(CPU, id="cpu-u", memory_rates=None, x86_level=None, memory_max_mib=None),
            replace(CPU, id="cpu-1", x86_level=1),
        ],
    )


@pytest.mark.parametrize(
    ("family", "licence", "panel", "present"),
    [
        ("desktop-2021", "oem", "own", {"generation": "ddr4", "capacity_mib": None, "rate_mts": None}),
        ("desktop-2021", None, None, {"generation": None, "registered": None, "ecc": None}),
        ("desktop-2009-32bit", "upgraded", "block", {"capacity_mib": 256}),
        ("desktop-2015", "retail", "separate", {"module": None}),
    ],
)
def test_every_finding_has_a_sentence(family, licence, panel, present):
    problem = _problem(family, licence, panel, present)
    names = Names(problem.names)
    seen = set()
    for parts in combinations(problem):
        if parts.cooler.boxed:
            continue
        for rule in RULES:
            needs = needs_of(rule, parts, problem)
            for need in needs:
                assert WORDS[rule.ID].need(need, names)
            draft = plain_draft(rule, problem, parts)
            for finding in rule.admits(draft, problem):
                text = WORDS[rule.ID].sentence(finding, names)
                assert text.endswith((".", ").")) and "None" not in text and "  " not in text, (finding, text)
                seen.add((rule.ID, finding.verdict))
                if finding.question is not None:
                    table, _, fact = finding.question.partition(".")
                    assert f"{table.partition(':')[0]}.{fact}" in QUESTIONS, finding.question
    assert {verdict for _, verdict in seen} == {"fits", "fails", "unknown"}


def test_every_rule_has_words_and_short_titles():
    assert set(WORDS) == {rule.ID for rule in RULES}
    assert all(1 <= len(words.title.split()) <= 4 for words in WORDS.values())
    assert len({words.title for words in WORDS.values()}) == len(WORDS)
    assert all((WORDS[rule.ID].need is not None) == (rule.needs is not needs_nothing) for rule in RULES)
