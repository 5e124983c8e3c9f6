"""A changed problem (``changed``: what still holds is carried over) answers as one that is joined afresh.

More than sixty wishes and facts, each changed after the first problem was solved (so that everything it
remembers is there to be carried over wrongly), some after one another, and drawn ones.
"""

from __future__ import annotations

import datetime
from dataclasses import replace
from typing import Any

import pytest
from conftest import FULL
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import (
    BOARD_GROUPS,
    COOLER_GROUPS,
    CPU_GROUPS,
    EXTRAS,
    KIT_GROUPS,
    SURVEY_GROUPS,
    Instance,
    briefs,
    facts,
    instances,
)
from support import BOARD, CASE, COOLER, CPU, KIT, PSU, TODAY, make_catalog, make_survey

from partsolver.catalog.load import Catalog
from partsolver.catalog.records import Bundle, DrivePart, Offer, Seller
from partsolver.plan.outcome import Outcome
from partsolver.problem.join import changed, join
from partsolver.problem.problem import Problem
from partsolver.solve.recommend import recommend
from partsolver.survey.model import Device, Display, OperatingSystem, Survey
from partsolver.wishes.brief import Brief

MONITOR = Display(name="monitor", inputs=("vga", "hdmi-1.4"), width_px=1920, height_px=1080, refresh_hz=60)
SURVEY = make_survey(
    os=OperatingSystem(family="desktop-2015", licence="oem", keep=True),
    displays=(MONITOR,),
    devices=(Device(name="keyboard", port="ps2"),),
)
BRIEF = Brief(budget="160.00", alternatives=3)


def varied(base: Any, stem: str, groups: list[list[dict[str, Any]]], count: int) -> list[Any]:
    """The base part and others, each changed in one matter."""
    rows = [replace(base, id=f"{stem}-0", name=f"{stem} 0")]
    for number in range(1, count):
        group = groups[number % len(groups)]
        rows.append(
            replace(base, id=f"{stem}-{number}", name=f"{stem} {number}", **group[number % len(group)])
        )
    return rows


def catalog() -> Catalog:
    """A shop near with dear parts at once and one far with cheap ones later; every kind of extra; a set."""
    tables: dict[str, Any] = {
        "boards": varied(BOARD, "board", BOARD_GROUPS, 6),
        "cpus": varied(CPU, "cpu", CPU_GROUPS, 5),
        "memory": varied(KIT, "kit", KIT_GROUPS, 3),
        "coolers": varied(COOLER, "cooler", COOLER_GROUPS, 3),
        "extras": EXTRAS,
        "psus": [replace(PSU, id="psu-0", name="psu 0", rated_w=450, cpu_plugs=("8", "4"), year=2026)],
        "cases": [replace(CASE, id="case-0", name="case 0", max_cooler_height_mm=165)],
        "drives": [DrivePart("drive-0", "drive 0", None, "ssd", "m2-nvme", None, 3, 4, "m", 80, 2400, 500)],
    }
    sellers = [Seller("far", "Far", 0, None, 0, 9), Seller("near", "Near", 490, 9000, 0, 1)]
    offers = []
    for table, rows in tables.items():
        for number, row in enumerate(rows):
            price = {"boards": 4000, "cpus": 3000, "memory": 1500, "psus": 2500}.get(
                table, 700
            ) + 130 * number
            offers += [
                Offer(row.id, "near", price + 300),
                Offer(row.id, "far", price, valid_until=TODAY + datetime.timedelta(days=number)),
            ]
    bundle = Bundle("set-0", "set 0", "parts", (("board-0", 1), ("cpu-0", 1)), "far", 6500, 1)
    return make_catalog(**tables, sellers=sellers, offers=offers, bundles=[bundle])


SHOP = catalog()
DAY = datetime.timedelta(days=1)
WISHES: list[dict[str, Any]] = [
    *({"budget": amount} for amount in (None, "0.00", "60.00", "85.00", "95.00", "400.00")),
    *({"use": use} for use in ("programming", "games", "server", "photo")),
    {"goal": "cost"},
    *({"min_speedup": value} for value in ("1.2", "1.6", "1.9")),
    *({"min_memory_gb": value} for value in (8, 16, 64)),
    *({"resolution_percent": value} for value in ("0", "5")),
    *({"alternatives": value} for value in (1, 5)),
    *({"need_by": TODAY + days * DAY} for days in (0, 1, 5, 9)),
    *({"today": TODAY + days * DAY} for days in (1, 3)),
    {"today": TODAY + DAY, "need_by": TODAY + 2 * DAY},
    *(
        {"without": (part,)}
        for part in (
            "board-0",
            "cpu-0",
            "cpu-2",
            "kit-0",
            "cooler-0",
            "set-0",
            "extra-licence",
            "extra-flash",
            "extra-paste",
        )
    ),
    *({"including": (part,)} for part in ("board-1", "cpu-1", "kit-1", "cooler-1", "set-0", "extra-licence")),
    *({"replace": what} for what in (("psu",), ("case",), ("drive",), ("psu", "case", "drive"), ("cooler",))),
    *({"os": family} for family in ("none", "desktop-2021")),
    {"secure_boot": True},
    {"secure_boot": True, "os": "desktop-2021"},
    *(
        {"settings": {name: value}}
        for name, value in (("psu_trust_upto8_percent", 50), ("psu_trust_older_percent", 40))
    ),
    {"hours_per_year": 100, "tariff_per_kwh": "0.30"},
]
FACTS: list[dict[str, Any]] = [option for group in SURVEY_GROUPS for option in group]


def told(outcome: Outcome) -> Any:
    """All that an outcome says, but for records of the candidates themselves."""
    return (
        outcome.status,
        outcome.present_time_ppm,
        outcome.provenance.least_time_ppm,
        [
            (
                p.parts.keys,
                p.draft.cost,
                p.draft.lines,
                p.draft.deliveries,
                p.draft.time_ppm,
                p.step,
                p.findings,
                p.stand_ins,
                p.exposure,
                p.cautions,
                p.arrival,
                p.power_mw,
                p.speedup,
            )
            for p in outcome.plans
        ],
    )


def check(problem: Problem, survey: Survey | None = None, expose: bool = False, **wishes: Any) -> Problem:
    """The changed problem, compared with a fresh join of the same."""
    other = changed(problem, survey, **wishes)
    fresh = join(survey or problem.survey, problem.source, problem.brief.model_copy(update=wishes))
    assert told(recommend(other, expose=expose)) == told(recommend(fresh, expose=expose))
    return other


@pytest.fixture(scope="module")
def solved() -> Problem:
    problem = join(SURVEY, SHOP, BRIEF)
    assert len(recommend(problem, expose=True).plans) == 3
    return problem


def test_enough_wishes_and_facts_are_changed() -> None:
    assert len(WISHES) + len(FACTS) >= 60 and len(WISHES) >= 40


@pytest.mark.parametrize("wishes", WISHES, ids=str)
def test_a_changed_wish_is_answered_as_afresh(solved: Problem, wishes: dict[str, Any]) -> None:
    check(solved, **wishes)


@pytest.mark.parametrize("number", range(len(FACTS)))
def test_a_changed_fact_is_answered_as_afresh(solved: Problem, number: int) -> None:
    check(solved, SURVEY.model_copy(update=FACTS[number]))


def test_the_changes_matter(solved: Problem) -> None:
    """Most of them change the answer: else nothing could be carried over wrongly."""
    before = told(recommend(solved))
    others = [told(recommend(changed(solved, **wishes))) != before for wishes in WISHES[::3]]
    assert sum(others) >= len(others) // 2


def test_changes_after_one_another(solved: Problem) -> None:
    problem = solved
    for wishes in (
        {"need_by": TODAY + DAY},
        {"need_by": None, "budget": "90.00"},
        {"os": "desktop-2021"},
        {"os": None, "replace": ("psu",)},
        {"without": ("board-0",)},
        {"without": (), "replace": (), "budget": "160.00"},
    ):
        problem = check(problem, **wishes)
    assert told(recommend(problem)) == told(recommend(solved))


@settings(max_examples=60 if FULL else 15)
@given(instances(most=2), st.data())
def test_drawn_changes_are_answered_as_afresh(instance: Instance, data: st.DataObject) -> None:
    problem = instance.problem()
    recommend(problem, expose=True)
    wishes = data.draw(briefs(instance.parts()))
    survey = instance.survey.model_copy(update=data.draw(facts(SURVEY_GROUPS, 1)))
    fields = data.draw(st.lists(st.sampled_from(sorted(Brief.model_fields)), max_size=3, unique=True))
    if {"without", "including"} & set(fields):
        fields = sorted({*fields, "without", "including"})
    check(problem, survey, True, **{name: getattr(wishes, name) for name in fields})
