"""Rails, start-up, total power, low load, size of the supply.

Age factors 1.00 / 0.90 / 0.80 / 0.70 (up to 5, 8, 12 years, older; day-and-night use beyond 7 years as the
oldest),
0.80 more without combined limits on the label, use of a rating 0.85: power reference section 14 (common
practice). Start-up "board 4 A + disks 2.8 A each": sections 10 and 15. Loads of the base plan by hand: board
4000 mA (section 9, simple desktop), processor 80 W / (0.85 x 11.4 V) = 8256 mA and its fan 500 mA (section
10), case fan 250 mA.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support import BOARD, CPU, OLD_CPU, PSU, SYSTEM_DRIVE, agree, findings, make_problem, make_survey, pick

from partsolver.assembly.plugs import supply_factor_percent
from partsolver.catalog.records import Case, DrivePart, Psu
from partsolver.problem.problem import Problem
from partsolver.rules import (
    power_low_load,
    power_rail_12v,
    power_rails_low,
    power_startup,
    power_supply_size,
    power_total,
)
from partsolver.survey.model import Card, Drive, Pc
from partsolver.wishes.brief import Brief

REPLACE = Brief(budget="10000.00", replace=("psu",))
BASE_12V_MA = 4000 + 8256 + 500 + 250
NEW_PSU = replace(PSU, id="psu-new", name="new supply", year=2026)


def with_psu(brief: Brief | None = None, always_on: bool = False, **changes: object) -> Problem:
    survey = make_survey(psu=replace(PSU, **changes), pc=Pc(name="p", brand=False, always_on=always_on))  # type: ignore[arg-type]
    return make_problem(survey, brief)


def disks(count: int, start_ma: int | None = None) -> tuple[Drive, ...]:
    return tuple(
        Drive(name=f"disk {i}", kind="hdd35", interface="sata", start_12v_ma=start_ma) for i in range(count)
    )


@pytest.mark.parametrize(
    "year, always_on, changes, factor",
    [
        (2021, False, {}, 100),
        (2020, False, {}, 90),
        (2018, False, {}, 90),
        (2017, False, {}, 80),
        (2014, False, {}, 80),
        (2013, False, {}, 70),
        (2019, True, {}, 90),  # seven years day and night: not yet
        (2018, True, {}, 70),
        (None, False, {}, 70),  # not known: as the oldest
        (2030, False, {}, 100),  # a year ahead of today counts as new
        (2026, False, {"combined_12v_ma": None, "combined_5v_3v3_mw": None}, 80),
        (2026, False, {"combined_12v_ma": None}, 100),  # one rail: its own current is the limit
        (2026, False, {"combined_12v_ma": None, "rail_12v_ma": (16000, 14000)}, 80),
        (2026, False, {"main_plug": "20"}, 80),
        (2013, False, {"main_plug": "20"}, 56),
    ],
)
def test_factor(year: int | None, always_on: bool, changes: dict[str, object], factor: int) -> None:
    problem = with_psu(always_on=always_on, year=year, **changes)
    assert supply_factor_percent(problem, problem.survey.psu) == factor


@pytest.mark.parametrize("label_ma, limit_ma", [(15301, 13005), (15302, 13006), (15300, 13005)])
def test_rail_12v_edges(label_ma: int, limit_ma: int) -> None:
    (found,) = findings(power_rail_12v, with_psu(year=2026, combined_12v_ma=label_ma))
    assert (found.value, found.limit, found.margin, found.unit) == (
        BASE_12V_MA,
        limit_ma,
        limit_ma - BASE_12V_MA,
        "mA",
    )
    assert found.verdict == ("fits" if limit_ma >= 13006 else "fails")
    assert found.facts == (("factor_percent", 100), ("label_ma", label_ma), ("use_percent", 85))


def test_rail_12v_uses_the_sum_of_rails_without_a_combined_limit() -> None:
    (found,) = findings(power_rail_12v, with_psu(year=2026, combined_12v_ma=None, rail_12v_ma=(16000, 14000)))
    assert (found.fact("label_ma"), found.limit) == (30000, 20400)  # 30000 x 0.80 x 0.85


@pytest.mark.parametrize("rated_w, blocks", [(400, False), (None, True)])
def test_rail_12v_unknown(rated_w: int | None, blocks: bool) -> None:
    problem = with_psu(combined_12v_ma=None, rail_12v_ma=None, rated_w=rated_w)
    (found,) = findings(power_rail_12v, problem)
    assert (found.verdict, found.question, found.blocks) == ("unknown", "psu.rail_12v_ma", blocks)
    present = problem.present()
    assert present is not None and findings(power_rail_12v, problem, present)[0].verdict == "fits"


def test_rail_12v_unknown_year_is_asked() -> None:
    found = findings(power_rail_12v, with_psu(year=None))
    assert [(f.verdict, f.question) for f in found] == [("fits", None), ("unknown", "psu.year")]
    assert found[0].limit == 30000 * 70 * 85 // 10000


@settings(max_examples=12, deadline=None)
@given(label=st.integers(9000, 22000), power=st.integers(20, 120))
def test_rail_12v_and_total_agree(label: int, power: int) -> None:
    survey = make_survey(psu=replace(PSU, combined_12v_ma=label, rated_w=label * 12 // 1000))
    cpus = [replace(CPU, power_limit_w=power, boxed_cooler=False)]
    problem = make_problem(survey, cpus=cpus, memory=[], coolers=[])
    agree(power_rail_12v, problem)
    agree(power_total, problem)


def test_rail_12v_and_total_agree_with_everything_replaced() -> None:
    brief = Brief(budget="10000.00", replace=("psu", "drive"))
    card = Card(name="graphics", kind="graphics", bus="pcie", lanes=16, load_mw=60000)
    psus = [
        replace(NEW_PSU, rated_w=120, combined_12v_ma=10000),
        replace(NEW_PSU, id="psu-u", rail_12v_ma=None, combined_12v_ma=None, rated_w=None),
    ]
    drives = [DrivePart(id="hdd", name="disk", kind="hdd35", interface="sata", read_mbs=150)]
    boards = [BOARD, replace(BOARD, id="board-none", slots=())]
    survey = make_survey(cards=(card,), psu=replace(PSU, year=2010, combined_12v_ma=20000, rated_w=250))
    problem = make_problem(
        survey,
        brief,
        boards=boards,
        psus=psus,
        drives=drives,
        memory=[],
        coolers=[],
        cpus=[replace(CPU, boxed_cooler=False)],
    )
    assert min(agree(power_rail_12v, problem)) > 0
    assert min(agree(power_total, problem)) > 0


def test_total_edges() -> None:
    """Base plan: board 20 W, processor 80 W / 0.85 = 94.118 W and fan 6 W, 2 modules 10 W, drive 5 W, case
    fan 3 W."""
    load_mw = 20000 + 94118 + 6000 + 10000 + 5000 + 3000
    for rated_w, verdict in ((162, "fails"), (163, "fits")):  # 162.49 W x 0.85 = 138.118 W
        (found,) = findings(power_total, with_psu(year=2026, rated_w=rated_w))
        assert (found.value, found.limit, found.verdict) == (load_mw, rated_w * 850, verdict)
        assert found.facts == (("factor_percent", 100), ("rated_w", rated_w))
    (found,) = findings(power_total, with_psu(rated_w=None))
    assert (found.verdict, found.question, found.blocks) == ("unknown", "psu.rated_w", False)


def test_a_supply_of_350_w_serves_an_entry_board() -> None:
    """Common practice: about 350 W serve an entry board with integrated graphics, even at eleven years."""
    (found,) = findings(power_total, with_psu(year=2015, rated_w=350))
    assert found.verdict == "fits"


def test_rails_low() -> None:
    """Board 3 A each (settings), SSD 1 A at 5 V: 4 A and 3 A, 20 W + 9.9 W."""
    found = findings(power_rails_low, with_psu(year=2026))
    assert [(f.value, f.limit, f.unit, f.fact("rail")) for f in found] == [
        (4000, 17000, "mA", "rail_5v_ma"),
        (3000, 17000, "mA", "rail_3v3_ma"),
        (29900, 93500, "mW", "combined_5v_3v3_mw"),
    ]
    for label, verdict in ((4705, "fails"), (4706, "fits")):
        assert findings(power_rails_low, with_psu(year=2026, rail_5v_ma=label))[0].verdict == verdict
    found = findings(power_rails_low, with_psu(rail_3v3_ma=None))
    assert [f.question for f in found] == [None, "psu.rail_3v3_ma", None] and all(f.admits for f in found)


def test_rails_low_agree() -> None:
    brief = Brief(budget="10000.00", replace=("psu", "drive"))
    weak = replace(NEW_PSU, rail_5v_ma=4200)
    drives = [DrivePart(id="nvme", name="module", kind="ssd", interface="m2-nvme", read_mbs=2000)]
    problem = make_problem(brief=brief, psus=[weak], drives=drives, memory=[], cpus=[], coolers=[])
    assert min(agree(power_rails_low, problem)) > 0
    survey = make_survey(psu=replace(PSU, rail_3v3_ma=1000))
    for replaced in (brief, None):  # a new drive or a new board alone ends what works today
        problem = make_problem(survey, replaced, drives=drives, memory=[], cpus=[], coolers=[])
        assert min(agree(power_rails_low, problem)) > 0


@pytest.mark.parametrize("count, surge_ma", [(0, 4000), (1, 6800), (3, 12400)])
def test_startup(count: int, surge_ma: int) -> None:
    survey = make_survey(drives=(SYSTEM_DRIVE, *disks(count)), psu=replace(PSU, peak_12v_ma=12399))
    (found,) = findings(power_startup, make_problem(survey))
    assert (found.value, found.limit, found.verdict) == (
        surge_ma,
        12399,
        "fits" if surge_ma <= 12399 else "fails",
    )
    assert found.facts == (("stated", "peak"),)


def test_startup_uses_the_disk_label_and_the_continuous_value() -> None:
    survey = make_survey(drives=(SYSTEM_DRIVE, *disks(2, 2000)))
    (found,) = findings(power_startup, make_problem(survey))
    assert (found.value, found.limit, found.fact("stated")) == (8000, 30000, "continuous")
    unknown = make_survey(psu=replace(PSU, combined_12v_ma=None, rail_12v_ma=None))
    assert findings(power_startup, make_problem(unknown))[0].question == "psu.rail_12v_ma"


def test_startup_agrees() -> None:
    brief = Brief(budget="10000.00", replace=("psu", "drive"))
    survey = make_survey(drives=(SYSTEM_DRIVE, *disks(2)), psu=replace(PSU, peak_12v_ma=9000))
    drives = [DrivePart(id="hdd", name="disk", kind="hdd35", interface="sata", read_mbs=150)]
    problem = make_problem(
        survey,
        brief,
        psus=[replace(NEW_PSU, combined_12v_ma=11000)],
        drives=drives,
        memory=[],
        cpus=[],
        coolers=[],
    )
    assert min(agree(power_startup, problem)) > 0


@pytest.mark.parametrize(
    "year, zero_load, cpu_year, verdict, risk",
    [
        (2012, None, 2018, "fits", "yes"),
        (2012, True, 2018, "fits", "no"),  # DC-DC design
        (2012, False, 2012, "fits", "no"),
        (2014, None, 2018, "fits", "no"),
        (None, None, 2018, "unknown", None),
        (2012, None, None, "unknown", None),
    ],
)
def test_low_load_is_a_remark(
    year: int | None, zero_load: bool | None, cpu_year: int | None, verdict: str, risk: str | None
) -> None:
    survey = make_survey(psu=replace(PSU, year=year, zero_load_12v=zero_load))
    problem = make_problem(survey, cpus=[replace(CPU, year=cpu_year)])
    (found,) = findings(power_low_load, problem)
    assert (found.verdict, found.fact("risk"), found.admits) == (verdict, risk, True)
    assert (
        found.question == {"fits": None, "unknown": "psu.year" if year is None else "cpu:cpu-a.year"}[verdict]
    )
    assert (
        agree(
            power_low_load, make_problem(survey, memory=[], coolers=[], cpus=[replace(OLD_CPU, id="cpu-b")])
        )[1]
        == 0
    )


@pytest.mark.parametrize(
    "form, verdict, how",
    [
        ("atx", "fits", "direct"),
        ("sfx", "fits", "plate"),
        ("tfx", "fails", None),
        ("own", "fails", None),
        (None, "unknown", None),
    ],
)
def test_supply_size(form: str | None, verdict: str, how: str | None) -> None:
    problem = make_problem(brief=REPLACE, psus=[replace(NEW_PSU, form=form)])
    (found,) = findings(power_supply_size, problem, pick(problem, psu="psu-new"))
    assert (found.verdict, found.fact("how"), found.admits) == (verdict, how, verdict != "fails")
    assert findings(power_supply_size, problem)[0].facts == (("today", "yes"),)


def test_supply_size_agrees() -> None:
    brief = Brief(budget="10000.00", replace=("psu", "case"))
    psus: list[Psu] = [
        NEW_PSU,
        replace(NEW_PSU, id="psu-tfx", form="tfx"),
        replace(NEW_PSU, id="psu-u", form=None),
    ]
    cases = [
        Case(id="case-sfx", name="small case", form_factor="mini-itx", psu_form="sfx"),
        Case(id="case-u", name="case", psu_form=None),
    ]
    problem = make_problem(brief=brief, psus=psus, cases=cases, boards=[], cpus=[], memory=[], coolers=[])
    assert min(agree(power_supply_size, problem)) > 0
