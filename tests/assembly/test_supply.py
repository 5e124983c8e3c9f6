"""What a supply is trusted with, by hand (loads reference sections 5a, 5d, 6, 8; ATX12V design guide 2.0, tables 3 and 6)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import PSU, make_problem, make_survey, pick

from partsolver.assembly.currents import Load
from partsolver.assembly.loads import today_load
from partsolver.assembly.supply import (
    Circuit,
    Limit,
    amount,
    carried_today,
    early_standby,
    label_12v_ma,
    label_low_mw,
    label_of,
    label_start_ma,
    limit_of,
    made_for_5v,
    mains_mw,
    rail_limits_ma,
    rail_mappings,
    supply_trust_percent,
    trusted,
    with_slack,
)
from partsolver.problem.problem import Problem
from partsolver.survey.model import Pc
from partsolver.wishes.brief import Brief

S = {
    "psu_12v_share_percent": 88,
    "psu_12v_share_early_percent": 60,
    "psu_low_share_percent": 45,
    "rail_peak_extra_ma": 2000,
    "rail_240va_ma": 18_000,
}


def psu(**facts: Any) -> Any:
    return replace(PSU, **facts)


def pc(always_on: bool | None = False, brief: Brief | None = None, **facts: Any) -> Problem:
    survey = make_survey(psu=psu(**facts), pc=Pc(name="p", always_on=always_on))
    return make_problem(survey, brief or Brief(replace=("psu",)), psus=[psu(**{**facts, "id": "psu-new"})])


@pytest.mark.parametrize(
    ("year", "always_on", "percent"),
    [
        (2026, False, 85),
        (2027, False, 85),  # ahead of today: new
        (2021, False, 85),
        (2020, False, 80),
        (2018, False, 80),
        (2017, False, 75),
        (2014, False, 75),
        (2013, False, 65),
        (None, False, 65),
        (2019, True, 80),  # seven years day and night: not yet
        (2018, True, 65),
        (2010, True, 65),
        (2018, None, 80),
        (None, True, 65),
    ],
)
def test_the_share_of_the_label(year: int | None, always_on: bool | None, percent: int) -> None:
    """Today is 2026: 85 % to five years, 80 % to eight, 75 % to twelve, then 65 % (loads reference section 8)."""
    problem = pc(always_on, year=year)
    assert supply_trust_percent(problem, problem.survey.psu) == percent


@pytest.mark.parametrize(
    ("facts", "load_mw", "drawn"),
    [
        ({"rated_w": 400, "efficiency": "bronze"}, 80_000, 94_118),  # 85 % at a fifth
        ({"rated_w": 400, "efficiency": "bronze"}, 200_000, 227_273),  # 88 % at a half
        ({"rated_w": 400, "efficiency": "bronze"}, 79_000, 92_942),  # 19.75 %, taken as 20
        ({"rated_w": 400, "efficiency": "bronze"}, 76_000, None),
        ({"rated_w": 400, "efficiency": "none"}, 200_000, None),
        ({"rated_w": 400, "efficiency": None}, 200_000, None),
        ({"rated_w": None, "efficiency": "bronze"}, 200_000, None),
        ({"rated_w": 0, "efficiency": "bronze"}, 200_000, None),
    ],
)
def test_power_from_the_mains(facts: Any, load_mw: int, drawn: int | None) -> None:
    """80 PLUS bronze at 230 V (its published table)."""
    assert mains_mw(psu(**facts), load_mw) == drawn


@pytest.mark.parametrize(
    ("facts", "early"),
    [
        ({"year": 2004}, True),
        ({"year": 2005}, False),
        ({"year": None, "main_plug": "20"}, True),
        ({"year": None, "main_plug": "24"}, False),
        ({"year": 2005, "main_plug": "20"}, False),
        ({"year": 2004, "cpu_plugs": ("4",)}, False),
        ({"year": 2004, "cpu_plugs": None}, False),
        ({"year": 2004, "cpu_plugs": ("4",), "rail_5v_ma": 28_000, "rated_w": 450}, True),
        ({"year": 2004, "cpu_plugs": ("4",), "rail_5v_ma": 27_999, "rated_w": 450}, False),
        ({"year": 2004, "cpu_plugs": ("4",), "rail_5v_ma": 28_000, "rated_w": 451}, False),
        ({"year": 2004, "cpu_plugs": ("4",), "rail_5v_ma": 28_000, "rated_w": 300}, True),
        ({"year": 2004, "cpu_plugs": ("4",), "rail_5v_ma": 28_000, "rated_w": None}, False),
        ({"year": 2004, "cpu_plugs": ("4",), "rail_5v_ma": None, "rated_w": 450}, False),
        ({"year": 2005, "cpu_plugs": ("4",), "rail_5v_ma": 30_000, "rated_w": 300}, False),
    ],
)
def test_supplies_made_for_5v(facts: Any, early: bool) -> None:
    assert made_for_5v(psu(**{"cpu_plugs": (), "rail_5v_ma": 20_000, **facts})) is early


@pytest.mark.parametrize(
    ("year", "plug", "early"),
    [(2003, "24", True), (2004, "20", False), (None, "20", True), (None, "24", False), (None, None, False)],
)
def test_weak_standby_outputs(year: int | None, plug: str | None, early: bool) -> None:
    assert early_standby(psu(year=year, main_plug=plug)) is early


@pytest.mark.parametrize(
    ("facts", "lasting", "start"),
    [
        ({"combined_12v_ma": 25_000}, 25_000, 25_000),
        ({"combined_12v_ma": 25_000, "rail_12v_ma": (18_000, 18_000)}, 25_000, 27_000),
        ({"combined_12v_ma": 25_000, "rail_12v_ma": (18_000, 18_000), "peak_12v_ma": 26_000}, 25_000, 26_000),
        ({"rail_12v_ma": None}, None, None),
        ({"rail_12v_ma": ()}, None, None),
        ({"rail_12v_ma": None, "peak_12v_ma": 9000}, None, 9000),
        ({"rail_12v_ma": (20_000,)}, 20_000, 20_000),
        ({"rail_12v_ma": (20_000,), "rated_w": 100}, 20_000, 20_000),
        ({"rail_12v_ma": (10_000, 9_000), "rated_w": 400}, 19_000, 21_000),
        ({"rail_12v_ma": (20_000, 20_000), "rated_w": 400}, 29_333, 31_333),  # 88 % of 400 W
        ({"rail_12v_ma": (20_000, 20_000), "rated_w": None}, 40_000, 42_000),
        ({"rail_12v_ma": (20_000, 20_000), "rated_w": 300, "year": 2004, "cpu_plugs": ()}, 15_000, 17_000),
        ({"combined_12v_ma": 25_000, "rail_12v_ma": None}, 25_000, 25_000),
    ],
)
def test_the_label_at_12v(facts: Any, lasting: int | None, start: int | None) -> None:
    supply = psu(**{"combined_12v_ma": None, "rail_12v_ma": (30_000,), "peak_12v_ma": None, **facts})
    assert (label_12v_ma(supply, S), label_start_ma(supply, S)) == (lasting, start)


@pytest.mark.parametrize(
    ("combined", "rated", "low"),
    [(110_000, 400, 110_000), (None, 400, 180_000), (None, None, None), (110_000, None, 110_000)],
)
def test_the_low_rails_together(combined: int | None, rated: int | None, low: int | None) -> None:
    assert label_low_mw(psu(combined_5v_3v3_mw=combined, rated_w=rated), S) == low


LABEL = {
    "combined_12v_ma": 30_000,
    "rail_5v_ma": 20_000,
    "rail_3v3_ma": 18_000,
    "combined_5v_3v3_mw": 110_000,
    "rated_w": 400,
    "peak_12v_ma": 33_000,
}
QUANTITIES = {
    "12v": 30_000,
    "5v": 20_000,
    "3v3": 18_000,
    "5v+3v3": 110_000,
    "total": 400_000,
    "start 12v": 33_000,
    "start 5v": 20_000,
}


def test_labels_by_quantity() -> None:
    supply = psu(**LABEL)
    assert {name: label_of(supply, name, S) for name in QUANTITIES} == QUANTITIES  # type: ignore[arg-type]
    nothing = psu(**dict.fromkeys([*LABEL, "rail_12v_ma"]))
    assert {label_of(nothing, name, S) for name in QUANTITIES} == {None}  # type: ignore[arg-type]
    problem = pc(year=2018, **LABEL)  # 80 %
    found = {name: trusted(problem, problem.survey.psu, name) for name in QUANTITIES}  # type: ignore[arg-type]
    assert found == {name: label * 80 // 100 for name, label in QUANTITIES.items()}
    assert trusted(problem, nothing, "total") is None
    assert trusted(problem, psu(year=2018, rail_5v_ma=3), "5v") == 2  # 2.4, rounded down


def test_amounts_of_a_load() -> None:
    """12 V 1 and 2 A, 5 V 3 and 4 A, 3.3 V 5 and 6 A; starting 7 and 8 A."""
    load = Load(1000, 3000, 5000, 2000, 4000, 6000, 7000, 8000, 43_500, 63_800)
    usual = {"12v": 1000, "5v": 3000, "3v3": 5000, "total": 43_500, "5v+3v3": 31_500}
    highest = {"12v": 2000, "5v": 4000, "3v3": 6000, "total": 63_800, "5v+3v3": 39_800}
    start = {"start 12v": 7000, "start 5v": 8000}
    for name, value in {**usual, **start}.items():
        assert amount(load, name) == value  # type: ignore[arg-type]
    for name, value in {**highest, **start}.items():
        assert amount(load, name, highest=True) == value  # type: ignore[arg-type]


def test_what_it_carries_today() -> None:
    problem = replace(pc(), settings={**make_problem().settings, "today_slack_percent": 3})
    assert [with_slack(problem, value) for value in (1000, 33, 0)] == [1030, 33, 0]
    now = today_load(problem)
    assert carried_today(problem, "12v") == now.ma_12v * 103 // 100
    assert (
        carried_today(problem, "12v", highest=True)
        == now.most_12v * 103 // 100
        > carried_today(problem, "12v")
    )


def test_the_limit_is_the_higher_of_share_and_today() -> None:
    """A label of 1 A is trusted with 0.8 A at most: the kept supply carries more today, a bought one does not."""
    weak = pc(**{**LABEL, "combined_12v_ma": 1000, "rail_5v_ma": 100, "peak_12v_ma": None, "year": 2018})
    parts = pick(weak)
    kept = parts.candidate("psu")
    new = next(c for c in weak.slot("psu") if not c.kept)
    today = carried_today(weak, "12v")
    assert today > 800 and kept.kept
    assert limit_of(weak, kept, "12v") == Limit(today, "today")
    assert limit_of(weak, new, "12v") == Limit(800, "label")
    # While the disks start only what it carries at work is known of today.
    assert limit_of(weak, kept, "start 12v") == Limit(today, "today")
    assert limit_of(weak, kept, "start 5v") == Limit(carried_today(weak, "5v"), "today")
    assert today_load(weak).start_12v != today_load(weak).ma_12v
    strong = pc(**{**LABEL, "year": 2018})
    assert limit_of(strong, pick(strong).candidate("psu"), "12v") == Limit(24_000, "label")
    unknown = pc(**{**LABEL, "rail_3v3_ma": None})
    assert limit_of(unknown, pick(unknown).candidate("psu"), "3v3") is None


def test_of_equal_limits_the_label_is_named() -> None:
    problem = pc(**LABEL)
    kept = pick(problem).candidate("psu")
    today = carried_today(problem, "5v")
    percent = 100
    settings = {**problem.settings, "psu_trust_upto8_percent": percent}
    for label, basis in ((today, "label"), (today - 1, "today"), (today + 1, "label")):
        here = replace(pc(**{**LABEL, "rail_5v_ma": label, "year": 2018}), settings=settings)
        limit = limit_of(here, pick(here).candidate("psu"), "5v")
        assert limit == Limit(max(label, today), basis), (label, kept.key)  # type: ignore[arg-type]


# -- rails ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("facts", "limits"),
    [
        ({"rail_12v_ma": (8000, 14_000)}, (8000, 14_000)),
        ({"rail_12v_ma": (30_000,)}, ()),
        ({"rail_12v_ma": None}, ()),
        ({"rail_12v_ma": (8000, 14_000), "cpu_rail": 0}, ()),  # found out: no limits of their own inside
        ({"rail_12v_ma": (8000, 14_000), "cpu_rail": 1}, (8000, 14_000)),
        # 240 VA: circuits of their own up to 2007.
        ({"rail_12v_ma": (22_000, 14_000), "year": 2007}, (18_000, 14_000)),
        ({"rail_12v_ma": (22_000, 14_000), "year": 2008}, (22_000, 14_000)),
        ({"rail_12v_ma": (22_000, 14_000), "year": None}, (22_000, 14_000)),
    ],
)
def test_limits_of_single_rails(facts: Any, limits: tuple[int, ...]) -> None:
    assert rail_limits_ma(psu(**{"year": 2018, "cpu_rail": None, **facts}), S) == limits


def two_rails(cpu: int, rest: int) -> list[tuple[Circuit, ...]]:
    def circuit(limit: int, *groups: str) -> Circuit:
        return Circuit(groups, limit, limit + 2000)

    return [
        (circuit(cpu, "cpu"), circuit(rest, "main", "drives", "card")),
        (circuit(cpu, "cpu", "drives"), circuit(rest, "main", "card")),
        (circuit(cpu, "cpu", "card"), circuit(rest, "main", "drives")),
    ]


def test_ways_the_plugs_may_hang_on_two_rails() -> None:
    supply = psu(rail_12v_ma=(8000, 14_000), cpu_rail=None)
    second, first = two_rails(14_000, 8000), two_rails(8000, 14_000)
    assert rail_mappings(supply, S) == (*second, *first)  # the design guide's before the others
    assert rail_mappings(replace(supply, cpu_rail=2), S) == tuple(second)
    assert rail_mappings(replace(supply, cpu_rail=1), S) == tuple(first)
    assert rail_mappings(replace(supply, cpu_rail=3), S) == tuple(second)  # no third: the last
    assert rail_mappings(replace(supply, cpu_rail=0), S) == ()
    assert rail_mappings(replace(supply, rail_12v_ma=(9000, 9000)), S) == tuple(two_rails(9000, 9000))


def test_ways_the_plugs_may_hang_on_more_rails() -> None:
    """The third and fourth feed the card plugs."""

    def way(cpu: int, main: int, card: int) -> tuple[Circuit, ...]:
        return (
            Circuit(("cpu",), cpu, cpu + 2000),
            Circuit(("main", "drives"), main, main + 2000),
            Circuit(("card",), card, card + 2000),
        )

    four = psu(rail_12v_ma=(18_000, 16_000, 14_000, 12_000), cpu_rail=None)
    assert rail_mappings(four, S) == (way(16_000, 18_000, 26_000), way(18_000, 16_000, 26_000))
    assert rail_mappings(replace(four, cpu_rail=4), S) == (way(12_000, 18_000, 30_000),)
    assert rail_mappings(replace(four, cpu_rail=3), S) == (way(14_000, 18_000, 28_000),)
    assert rail_mappings(replace(four, rail_12v_ma=(18_000, 16_000, 14_000), cpu_rail=2), S) == (
        way(16_000, 18_000, 14_000),
    )
