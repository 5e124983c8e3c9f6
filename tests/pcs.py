"""Three PCs for properties over every fact: the demo's, the base PC of the tests, and one with more of
everything."""

from __future__ import annotations

from functools import cache

from support import MEMORY, SYSTEM_DRIVE, make_problem, make_survey

from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.load import load_catalog
from partsolver.problem.join import join
from partsolver.problem.problem import Problem
from partsolver.survey.load import load_survey
from partsolver.survey.model import Card, Device, Display, Drive


def demo() -> Problem:
    """The demo's PC and catalogue."""
    survey, brief = load_survey(data_folder() / "demo-survey.toml")
    return join(survey, load_catalog(data_folder() / "demo"), brief)


def plain() -> Problem:
    """The base PC of the tests."""
    return make_problem()


def crowded() -> Problem:
    """A PC with more of everything: two kinds of modules, drives of three kinds, cards, a display,
    devices."""
    return make_problem(
        survey=make_survey(
            memory=(MEMORY, MEMORY.model_copy(update={"capacity_mib": 1024, "count": 1})),
            drives=(
                SYSTEM_DRIVE,
                Drive(name="second", kind="hdd35", interface="sata", sata_gbps10=30, power_plug="sata"),
                Drive(name="old", kind="hdd35", interface="pata", power_plug="peripheral"),
                Drive(name="disc", kind="optical", interface="sata", sata_gbps10=15, power_plug="sata"),
            ),
            cards=(
                Card(
                    name="pictures",
                    kind="graphics",
                    bus="pcie",
                    lanes=16,
                    height="full",
                    width_slots=2,
                    length_mm=200,
                    power_plugs=("6",),
                    load_mw=60000,
                    graphics_score=300,
                    outputs=("vga", "dvi-d"),
                    uefi=True,
                ),
                Card(
                    name="sound",
                    kind="sound",
                    bus="pcie",
                    lanes=1,
                    height="full",
                    width_slots=1,
                    length_mm=100,
                ),
            ),
            displays=(
                Display(name="monitor", inputs=("vga",), width_px=1680, height_px=1050, refresh_hz=60),
            ),
            devices=(Device(name="keyboard", port="ps2"), Device(name="scale", port="serial")),
        )
    )


WORLDS = {"demo": demo, "plain": plain, "crowded": crowded}


@cache
def world(name: str) -> Problem:
    """One of ``WORLDS`` (made once)."""
    return WORLDS[name]()
