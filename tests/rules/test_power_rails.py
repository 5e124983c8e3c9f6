"""Rails, start-up, standby, total power, low load, size of the supply.

Shares of the label 85 / 80 / 75 / 65 % (up to 5, 8, 12 years, older; day-and-night use beyond 7 years as the
oldest), all margins in them: loads reference section 8 (common practice). Loads of the base plan by hand:
board of 20 W stated, spread as usual for boards from 2010 on (600 / 2000 / 800 mA = 19.84 W): 605 mA at 12 V;
processor 80 W usual through 0.90 x 12 V = 7408 mA, highest 0.85 x 11.4 V = 8256 mA; its fan 500 and 1200 mA,
case fan 150 and 300 mA.
"""

from __future__ import annotations

import itertools
from dataclasses import replace
from unittest.mock import patch

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support import (
    BOARD,
    CPU,
    OLD_BOARD,
    OLD_CPU,
    PSU,
    SYSTEM_DRIVE,
    agree,
    findings,
    make_problem,
    make_survey,
    pick,
)

from partsolver.assembly.network import consumers
from partsolver.assembly.supply import (
    Circuit,
    label_12v_ma,
    label_of,
    mains_mw,
    rail_mappings,
    supply_trust_percent,
)
from partsolver.catalog.records import Case, DrivePart, Extra, Offer, Psu
from partsolver.plan.findings import Finding
from partsolver.problem.join import sold_as_new
from partsolver.problem.problem import Problem
from partsolver.rules import (
    power_low_load,
    power_rail_12v,
    power_rails_12v,
    power_rails_low,
    power_standby,
    power_startup,
    power_supply_size,
    power_total,
)
from partsolver.standards.settings import defaults
from partsolver.survey.model import Card, Device, Drive, Pc
from partsolver.wishes.brief import Brief

REPLACE = Brief(budget="10000.00", replace=("psu",))
USUAL_12V_MA = 605 + 7408 + 500 + 150
MOST_12V_MA = 605 + 8256 + 1200 + 300
NEW_PSU = replace(PSU, id="psu-new", name="new supply", year=2026)
# A board of today that draws little, and a processor of which nothing is known: today's load decides nothing.
OLD = replace(OLD_BOARD, load_mw=1000)
NO_CPU_TODAY = replace(OLD_CPU, tdp_w=None, power_limit_w=None)


def with_psu(brief: Brief | None = None, always_on: bool = False, **changes: object) -> Problem:
    survey = make_survey(
        psu=replace(PSU, **changes),  # type: ignore[arg-type]
        pc=Pc(name="p", brand=False, always_on=always_on),
        cpu=NO_CPU_TODAY,
        board=OLD,
    )
    return make_problem(survey, brief)


def disks(count: int, start_ma: int | None = None) -> tuple[Drive, ...]:
    return tuple(
        Drive(name=f"disk {i}", kind="hdd35", interface="sata", start_12v_ma=start_ma) for i in range(count)
    )


@pytest.mark.parametrize(
    "year, always_on, changes, share",
    [
        (2021, False, {}, 85),
        (2020, False, {}, 80),
        (2018, False, {}, 80),
        (2017, False, {}, 75),
        (2014, False, {}, 75),
        (2013, False, {}, 65),
        (2019, True, {}, 80),  # seven years day and night: not yet
        (2018, True, {}, 65),
        (None, False, {}, 65),  # not known: as the oldest
        (2027, False, {}, 85),  # the catalogue is of the year before (problem/test_years.py: 2028)
        (2026, False, {"combined_12v_ma": None, "combined_5v_3v3_mw": None}, 85),  # no second factor on top
        (2013, False, {"main_plug": "20"}, 65),
    ],
)
def test_share_of_the_label(
    year: int | None, always_on: bool, changes: dict[str, object], share: int
) -> None:
    problem = with_psu(always_on=always_on, year=year, **changes)
    assert supply_trust_percent(problem, problem.survey.psu) == share


@pytest.mark.parametrize(
    "changes, label",
    [
        ({}, 30000),
        # No combined line: the share of the rating at 12 V. ATX12V 2.0 totals of the loads reference, section
        # 5d: 250 W 18 A, 300 W 22 A, 350 W 25 A, 400 W 29 A, 450 W 33 A, 500 W 36 A.
        ({"combined_12v_ma": None, "rail_12v_ma": (8000, 14000), "rated_w": 250}, 18333),
        ({"combined_12v_ma": None, "rail_12v_ma": (8000, 14000), "rated_w": 300}, 22000),
        ({"combined_12v_ma": None, "rail_12v_ma": (16000, 16000), "rated_w": 350}, 25666),
        ({"combined_12v_ma": None, "rail_12v_ma": (14000, 15000), "rated_w": 400}, 29000),
        ({"combined_12v_ma": None, "rail_12v_ma": (18000, 18000), "rated_w": 450}, 33000),
        ({"combined_12v_ma": None, "rail_12v_ma": (20000, 20000), "rated_w": 500}, 36666),
        # Made for 5 V loads (retail of about 2003: 52 to 62 % of the rating at 12 V).
        (
            {
                "combined_12v_ma": None,
                "rail_12v_ma": (10000, 10000),
                "rated_w": 330,
                "rail_5v_ma": 30000,
                "year": 2003,
            },
            16500,
        ),
        (
            {"combined_12v_ma": None, "rail_12v_ma": (18000,), "rated_w": 250},
            18000,
        ),  # one rail is its own limit
        ({"combined_12v_ma": None, "rail_12v_ma": None}, None),
    ],
)
def test_label_at_12v(changes: dict[str, object], label: int | None) -> None:
    assert label_12v_ma(replace(PSU, **changes), defaults()) == label  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "label_ma, verdict, warned",
    [(10190, "fails", False), (10192, "fits", True), (12187, "fits", True), (12190, "fits", False)],
)
def test_rail_12v_edges(label_ma: int, verdict: str, warned: bool) -> None:
    """85 % of 10190 mA is 8661, of 10192 mA 8663 = the usual load; of 12190 mA 10361 = the highest."""
    found = findings(power_rail_12v, with_psu(year=2026, combined_12v_ma=label_ma))[0]
    assert (found.value, found.fact("most"), found.limit) == (USUAL_12V_MA, MOST_12V_MA, label_ma * 85 // 100)
    assert (found.verdict, found.fact("warning") is not None) == (verdict, warned)
    assert found.margin == label_ma * 85 // 100 - USUAL_12V_MA
    assert (found.fact("label"), found.fact("trust_percent"), found.fact("basis")) == (label_ma, 85, "label")


def test_a_warning_names_what_would_settle_it() -> None:
    survey = make_survey(psu=replace(PSU, year=2026, combined_12v_ma=13000), cpu=NO_CPU_TODAY)
    cpus = [replace(CPU, power_limit_w=None, year=2022)]  # 88 to 224 W by its class
    warned, asked = findings(power_rail_12v, make_problem(survey, cpus=cpus))
    assert (warned.verdict, warned.fact("warning")) == ("fits", "highest load")
    assert (asked.verdict, asked.question, asked.blocks) == ("unknown", "cpu:cpu-a.power_limit_w", False)


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
    assert found[0].limit == 30000 * 65 // 100


@pytest.mark.parametrize("conditions, year", [(("new",), 2026), (("new", "used"), None), ((), None)])
def test_a_supply_sold_new_without_a_year_is_new(conditions: tuple[str, ...], year: int | None) -> None:
    offers = [Offer(part="p", seller="shop", price=1, condition=condition) for condition in conditions]
    assert sold_as_new(replace(PSU, id="p", year=None), offers, 2026).year == year
    assert sold_as_new(replace(PSU, id="p", year=2020), offers, 2026).year == 2020


# -- no more than today -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("watts, verdict", [(80, "fits"), (84, "fits"), (86, "fails")])
def test_what_the_supply_carries_today_it_carries_tomorrow(watts: int, verdict: str) -> None:
    """A label that is far too low by the share; the present PC of the same load works on it, with 5 % of
    slack."""
    today = replace(OLD_CPU, year=2018, tdp_w=65, power_limit_w=80)
    survey = make_survey(psu=replace(PSU, combined_12v_ma=6000, rated_w=100), cpu=today)
    cpus = [replace(CPU, power_limit_w=watts)]
    problem = make_problem(survey, cpus=cpus)
    for rule in (power_rail_12v, power_total):
        found = findings(rule, problem)[0]
        assert (found.verdict, found.fact("basis")) == (verdict, "today")
    assert (
        min(
            agree(power_rail_12v, make_problem(survey, cpus=[*cpus, replace(CPU, id="c2", power_limit_w=95)]))
        )
        > 0
    )


def test_today_counts_only_for_the_kept_supply() -> None:
    survey = make_survey(psu=replace(PSU, combined_12v_ma=6000, rated_w=100))
    problem = make_problem(survey, REPLACE, psus=[replace(NEW_PSU, combined_12v_ma=6000, rated_w=100)])
    assert findings(power_rail_12v, problem, pick(problem, psu="psu-new"))[0].verdict == "fails"
    assert findings(power_rail_12v, problem)[0].fact("basis") == "today"


@settings(max_examples=12, deadline=None)
@given(label=st.integers(7000, 16000), power=st.integers(20, 120), today=st.integers(20, 120))
def test_rail_12v_and_total_agree(label: int, power: int, today: int) -> None:
    survey = make_survey(
        psu=replace(PSU, combined_12v_ma=label, rated_w=label * 12 // 1000),
        cpu=replace(OLD_CPU, year=2018, power_limit_w=today),
    )
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


def test_total_is_the_sum_of_the_rails() -> None:
    """12 V 8663 mA; 5 V: board 2017, two modules of 2 W 800, SSD 600 mA; 3.3 V: board 807 mA. 103.956 +
    17.085 + 2.6631 W."""
    load_mw = 8663 * 12 + (2017 + 800 + 600) * 5 + 2664
    for rated_w, verdict in ((145, "fails"), (146, "fits")):  # 145.53 W x 0.85 = 123.7 W
        found = findings(power_total, with_psu(year=2026, rated_w=rated_w))[0]
        assert (found.value, found.limit, found.verdict) == (load_mw, rated_w * 850, verdict)
    (found,) = findings(power_total, with_psu(rated_w=None))
    assert (found.verdict, found.question, found.blocks) == ("unknown", "psu.rated_w", False)


def test_a_supply_of_350_w_serves_an_entry_board() -> None:
    """Common practice: about 350 W serve an entry board with integrated graphics, even at eleven years."""
    (found,) = findings(power_total, with_psu(year=2015, rated_w=350))
    assert found.verdict == "fits" and found.fact("warning") is None


# -- single rails -------------------------------------------------------------------------------------------------


def test_mappings_of_a_label() -> None:
    """Guide: 12V1 main plug and drives, 12V2 processor, 12V3 cards; others as opened units had them
    (section 5a)."""
    two = replace(PSU, rail_12v_ma=(8000, 14000))
    # While the disks start: the guide's own peaks, 10 of 8 A and 16 of 14 A (ATX12V 2.0, tables 3 and 6).
    assert rail_mappings(two, defaults())[0] == (
        Circuit(("cpu",), 14000, 16000),
        Circuit(("main", "drives", "card"), 8000, 10000),
    )
    assert len(rail_mappings(two, defaults())) == 6
    assert len(rail_mappings(replace(two, cpu_rail=2), defaults())) == 3
    assert rail_mappings(replace(two, cpu_rail=0), defaults()) == ()  # no separate limits inside
    assert rail_mappings(replace(PSU, rail_12v_ma=(30000,)), defaults()) == ()
    three = replace(PSU, rail_12v_ma=(18000, 16000, 12000))
    assert rail_mappings(three, defaults())[0] == (
        Circuit(("cpu",), 16000, 18000),
        Circuit(("main", "drives"), 18000, 20000),
        Circuit(("card",), 12000, 14000),
    )
    # 240 VA: circuits of their own up to 2007, 18 A each (guide 2.0; Intel 336521 v2.0 table 2-1 note 1).
    wide = replace(PSU, rail_12v_ma=(22000, 22000), year=2006)
    assert [circuit.work_ma for circuit in rail_mappings(wide, defaults())[0]] == [18000, 18000]


def split_psu(**changes: object) -> Psu:
    return replace(PSU, rail_12v_ma=(8000, 18000), combined_12v_ma=25000, year=2020, **changes)  # type: ignore[arg-type]


SLOT_CARD = Card(name="g", kind="graphics", bus="pcie", lanes=16, load_mw=70_000, power_plugs=())


def test_only_some_mappings_fit() -> None:
    """Label 12V1 8 A, 12V2 18 A (turn-2 case 3): slot 5.5 A, three disks 2.25 A, board and fans 1.26 A on
    12V1 are 9 A."""
    survey = make_survey(
        psu=split_psu(), cards=(SLOT_CARD,), drives=(SYSTEM_DRIVE, *disks(3)), cpu=NO_CPU_TODAY, board=OLD
    )
    (found,) = findings(power_rails_12v, make_problem(survey))
    assert (found.verdict, found.question, found.admits) == ("unknown", "psu.cpu_rail", True)
    assert (found.fact("current"), found.fact("limit"), found.fact("guide")) == (
        605 + 500 + 150 + 5500 + 2250,
        8000,
        "yes",
    )
    known = make_survey(
        psu=split_psu(cpu_rail=2),
        cards=(SLOT_CARD,),
        drives=(SYSTEM_DRIVE, *disks(3)),
        cpu=NO_CPU_TODAY,
        board=OLD,
    )
    (found,) = findings(power_rails_12v, make_problem(known))
    # The processor's rail is found out: that the drives may hang there too is said, nothing is asked again.
    assert (found.verdict, found.question, found.value, found.limit) == ("fits", None, 6755, 8000)
    assert (found.fact("warning"), found.fact("current"), found.fact("other_limit")) == (
        "other rail",
        9005,
        8000,
    )


@pytest.mark.parametrize(
    ("worst", "verdict", "told"),
    [
        (
            [(10_000, 18_000, False), (9_000, 9_500, False)],
            "fits",
            (9_000, 9_500),
        ),  # the least room, not the most current
        ([(9_000, 9_500, False), (10_000, 18_000, False)], "fits", (9_000, 9_500)),
        (
            [(9_000, 9_500, False), (17_500, 18_000, True)],
            "fits",
            (17_500, 18_000),
        ),  # as much room: the greater current
        ([(17_500, 18_000, True), (9_000, 9_500, False)], "fits", (17_500, 18_000)),
        # None fits: 500 mA too much is nearer than 1000, and of equals the smaller current is told.
        ([(10_000, 9_000, False), (18_500, 18_000, False)], "fails", (18_500, 18_000)),
        ([(18_500, 18_000, False), (10_000, 9_000, False)], "fails", (18_500, 18_000)),
        ([(18_500, 18_000, False), (9_500, 9_000, False)], "fails", (9_500, 9_000)),
        ([(9_500, 9_000, False), (18_500, 18_000, False)], "fails", (9_500, 9_000)),
    ],
)
def test_of_several_mappings_the_one_with_the_least_room_or_lack_is_told(
    worst: list[tuple[int, int, bool]], verdict: str, told: tuple[int, int]
) -> None:
    problem = make_problem(brief=REPLACE, psus=[split_psu(id="psu-new")])
    with patch.object(power_rails_12v, "most_loaded", side_effect=itertools.cycle(worst)):
        (found,) = findings(power_rails_12v, problem, pick(problem, psu="psu-new"))
    assert (found.verdict, found.value, found.limit, found.fact("rails")) == (verdict, *told, "8000+18000")


def test_a_card_of_which_nobody_knows_the_load_is_asked_for_where_no_mapping_fits() -> None:
    """A plug of 8 contacts is made for 150 W, 12.5 A (Intel 336521, table 3-5), and a rail of 5 A carries no such card
    as it is counted; what it really draws nobody told: the plan waits."""
    card = Card(name="g", kind="graphics", bus="pcie", lanes=16, power_plugs=("8",), load_mw=None)
    problem = make_problem(
        make_survey(psu=split_psu(), cards=(card,)),
        REPLACE,
        psus=[replace(split_psu(), id="psu-new", rail_12v_ma=(5000, 5000))],
        cpus=[],
        memory=[],
        coolers=[],
    )
    (found,) = findings(power_rails_12v, problem, pick(problem, psu="psu-new"))
    assert (found.verdict, found.question, found.blocks) == ("unknown", "card:g.load_mw", True)


def test_no_mapping_fits() -> None:
    """22 A on an 18 A rail: a processor of 240 W on a label of 18 + 18 A."""
    psu = replace(PSU, rail_12v_ma=(18000, 18000), combined_12v_ma=34000, year=2024)
    cpus = [replace(CPU, power_limit_w=240)]
    (found,) = findings(power_rails_12v, make_problem(make_survey(psu=psu, cpu=NO_CPU_TODAY), cpus=cpus))
    assert (found.verdict, found.value, found.limit) == ("fails", 22223, 18000)
    single = make_survey(psu=replace(psu, cpu_rail=0), cpu=NO_CPU_TODAY)
    assert findings(power_rails_12v, make_problem(single, cpus=cpus)) == ()
    assert findings(power_rails_12v, make_problem(cpus=cpus)) == ()  # one rail


def test_disks_start_on_one_rail() -> None:
    """Guide 2.0, 300 W: 12V1 8 A (peak 10) for board and drives, 12V2 14 A (peak 16) for a processor of 95
    W. Three disks at once: 9.4 A and more on 12V1 (loads reference section 11: serves, with a warning);
    five fit nowhere."""
    psu = replace(PSU, rail_12v_ma=(8000, 14000), combined_12v_ma=22000, year=2024, cpu_rail=2)
    cpus = [replace(CPU, power_limit_w=95)]

    def found(count: int) -> Finding:
        survey = make_survey(psu=psu, drives=(SYSTEM_DRIVE, *disks(count)), cpu=NO_CPU_TODAY, board=OLD)
        return findings(power_rails_12v, make_problem(survey, cpus=cpus))[0]

    assert [found(count).verdict for count in (2, 3, 4, 5)] == ["fits", "fits", "fits", "fails"]
    assert [found(count).fact("warning") for count in (2, 3, 4)] == [None, "other rail", "other rail"]
    assert (found(3).fact("current"), found(3).fact("other_limit")) == (605 + 1200 + 300 + 3 * 2800, 10000)
    assert found(3).fact("other_starting") == "yes"
    five = found(5)
    assert (five.fact("starting"), five.value, five.limit) == ("yes", 5 * 2800 + 8797 // 2, 16000)


@pytest.mark.parametrize("cpu_rail", [None, 1, 2])
@pytest.mark.parametrize("cpu_plugs", [("8",), ()])
def test_rails_12v_agree(cpu_rail: int | None, cpu_plugs: tuple[str, ...]) -> None:
    brief = Brief(budget="10000.00", replace=("psu",))
    card = SLOT_CARD.model_copy(update={"power_plugs": ("6",), "load_mw": 110_000})
    psus = [
        replace(NEW_PSU, rail_12v_ma=(8000, 12000), cpu_rail=cpu_rail, cpu_plugs=cpu_plugs),
        replace(NEW_PSU, id="psu-3", rail_12v_ma=(9000, 9000, 5000), cpu_rail=cpu_rail),
    ]
    survey = make_survey(
        psu=replace(PSU, rail_12v_ma=(8000, 9000), cpu_rail=cpu_rail),
        cards=(card,),
        drives=(SYSTEM_DRIVE, *disks(1)),
    )
    boards = [
        BOARD,
        replace(BOARD, id="board-0", cpu_plugs=()),
        replace(BOARD, id="board-x", slots=(), cpu_plugs=None),
    ]
    cpus = [replace(CPU, boxed_cooler=False), replace(CPU, id="cpu-h", power_limit_w=125, boxed_cooler=False)]
    problem = make_problem(survey, brief, boards=boards, cpus=cpus, psus=psus, memory=[], coolers=[])
    assert min(agree(power_rails_12v, problem)) > 0


# -- low rails, standby, start ------------------------------------------------------------------------------------


def test_rails_low() -> None:
    """5 V: board 2017, modules 800, SSD 600; 3.3 V: board 807 mA; together 17.085 + 2.664 W."""
    found = findings(power_rails_low, with_psu(year=2026))
    assert [(f.value, f.limit, f.unit, f.fact("rail")) for f in found] == [
        (3417, 17000, "mA", "rail_5v_ma"),
        (807, 17000, "mA", "rail_3v3_ma"),
        (19749, 93500, "mW", "combined_5v_3v3_mw"),
    ]
    for label, verdict in ((4018, "fails"), (4020, "fits")):
        assert findings(power_rails_low, with_psu(year=2026, rail_5v_ma=label))[0].verdict == verdict
    found = findings(power_rails_low, with_psu(rail_3v3_ma=None))
    assert [f.question for f in found if f.verdict == "unknown"] in ([], ["psu.rail_3v3_ma"])
    # No combined value on the label: 45 % of the rating.
    found = findings(power_rails_low, with_psu(year=2026, combined_5v_3v3_mw=None, rated_w=300))
    assert found[2].limit == 300 * 450 * 85 // 100


@pytest.mark.parametrize(
    "card, ma_5v, ma_3v3",
    [
        (Card(name="s", kind="sound", bus="pci"), 500, 500),  # a test house's planning values of 2003
        (Card(name="s", kind="sound", bus="pci", load_mw=2500), 500, 0),
        (Card(name="n", kind="network", bus="pcie", lanes=1, load_mw=3000), 0, 910),
        (
            Card(name="a", kind="graphics", bus="agp", load_mw=20_000),
            0,
            6000,
        ),  # AGP 3.0 table 47: 6 A at 3.3 V
    ],
)
def test_cards_and_devices_draw_from_the_low_rails(card: Card, ma_5v: int, ma_3v3: int) -> None:
    slots = (
        *BOARD.slots,
        replace(BOARD.slots[0], kind=card.bus, lanes=0) if card.bus != "pcie" else BOARD.slots[1],
    )
    devices = (Device(name="keyboard", port="usb"), Device(name="mouse", port="usb"))
    problem = make_problem(
        make_survey(cards=(card,), devices=devices, cpu=NO_CPU_TODAY, psu=replace(PSU, year=2026)),
        boards=[replace(BOARD, slots=slots)],
    )
    found = findings(power_rails_low, problem)
    assert (found[0].value, found[1].value) == (3417 + 200 + ma_5v, 807 + ma_3v3)


@pytest.mark.parametrize("fact", ["rail_5v_ma", "rail_3v3_ma", "combined_5v_3v3_mw"])
def test_a_low_rail_of_which_the_label_says_nothing_is_asked_and_does_not_block(fact: str) -> None:
    """Neither the value nor a rating, on the supply that stays and on a new one."""
    nothing: dict[str, None] = {fact: None, "rated_w": None}
    psus = [replace(NEW_PSU, **nothing)]  # type: ignore[arg-type]
    problem = make_problem(
        make_survey(psu=replace(PSU, **nothing), cpu=NO_CPU_TODAY, board=OLD),  # type: ignore[arg-type]
        REPLACE,
        psus=psus,
    )
    for psu in ("kept-psu", "psu-new"):
        asked = [
            f for f in findings(power_rails_low, problem, pick(problem, psu=psu)) if f.verdict == "unknown"
        ]
        assert [(f.question.rpartition(".")[2], f.admits) for f in asked] == [(fact, True)]
    assert agree(power_rails_low, problem)[1] == 0


def test_rails_low_agree() -> None:
    brief = Brief(budget="10000.00", replace=("psu", "drive"))
    weak = replace(NEW_PSU, rail_5v_ma=3600)
    drives = [DrivePart(id="nvme", name="module", kind="ssd", interface="m2-nvme", read_mbs=2000)]
    problem = make_problem(brief=brief, psus=[weak], drives=drives, memory=[], cpus=[], coolers=[])
    assert min(agree(power_rails_low, problem)) > 0
    survey = make_survey(psu=replace(PSU, rail_3v3_ma=1000))
    problem = make_problem(survey, brief, drives=drives, memory=[], cpus=[], coolers=[])
    assert min(agree(power_rails_low, problem)) > 0


@pytest.mark.parametrize("count, share", [(0, 85), (1, 85), (3, 85), (4, 65)])
def test_startup(count: int, share: int) -> None:
    """Board 605, half of the processor 3704, fans at their highest 1500 mA; each disk 2.8 A. Trusted share
    of the peak."""
    survey = make_survey(
        drives=(SYSTEM_DRIVE, *disks(count)),
        psu=replace(PSU, peak_12v_ma=16000, year=2026 if share == 85 else 2012),
        cpu=NO_CPU_TODAY,
        board=OLD,
    )
    found = findings(power_startup, make_problem(survey))[0]
    surge = 605 + 3704 + 1200 + 300 + count * 2800
    limit = 16000 * share // 100
    assert (found.value, found.limit, found.verdict) == (surge, limit, "fits" if surge <= limit else "fails")
    assert (found.fact("stated"), found.fact("rail")) == ("peak", "12v")


@pytest.mark.parametrize(("label", "verdict"), [(5902, "fails"), (5903, "fits"), (None, None)])
def test_startup_at_5v(label: int | None, verdict: str | None) -> None:
    """3417 mA as above and 0.8 A for each of two disks (disk manuals); 85 % of 5902 mA is 5016, of 5903 5017. Without
    a label power.rails_low asks."""
    survey = make_survey(
        drives=(SYSTEM_DRIVE, *disks(2)),
        psu=replace(PSU, year=2026, rail_5v_ma=label),
        cpu=NO_CPU_TODAY,
        board=OLD,
    )
    at_12v, *rest = findings(power_startup, make_problem(survey))
    assert at_12v.fact("rail") == "12v"
    assert [(f.verdict, f.value, f.fact("rail"), f.fact("stated")) for f in rest] == (
        [] if verdict is None else [(verdict, 3417 + 2 * 800, "5v", "continuous")]
    )


def test_startup_uses_the_disk_label_and_the_continuous_value() -> None:
    survey = make_survey(drives=(SYSTEM_DRIVE, *disks(2, 2000)))
    found = findings(power_startup, make_problem(survey))[0]
    assert (found.value, found.limit, found.fact("stated")) == (5809 + 4000, 24000, "continuous")
    unknown = make_survey(psu=replace(PSU, combined_12v_ma=None, rail_12v_ma=None), cpu=NO_CPU_TODAY)
    assert findings(power_startup, make_problem(unknown))[0].question == "psu.rail_12v_ma"


def test_fewer_disks_start_than_today() -> None:
    """Three disks start on an old supply today; a solid-state drive in place of the system disk is less,
    on the same board."""
    system = SYSTEM_DRIVE.model_copy(update={"kind": "hdd35"})
    survey = make_survey(
        psu=replace(PSU, year=2008, rail_12v_ma=(12000,), combined_12v_ma=12000), drives=(system, *disks(2))
    )
    ssd = DrivePart(id="ssd-n", name="new ssd", kind="ssd", interface="sata", read_mbs=500)
    brief = Brief(budget="10000.00", replace=("drive",))
    problem = make_problem(survey, brief, drives=[ssd], memory=[], cpus=[], coolers=[])
    same = pick(problem, board="kept-board", cpu="kept-cpu", memory="kept-memory", drive="ssd-n")
    assert findings(power_startup, problem, same)[0].verdict == "fits"
    # On another board nothing is proved: 2 x 2.8 A, board, fans and half the processor against 65 % of 12 A.
    assert (
        findings(power_startup, problem, pick(problem, drive="ssd-n", cpu="kept-cpu", memory="kept-memory"))[
            0
        ].verdict
        == "fails"
    )
    assert min(agree(power_startup, problem)) > 0


def test_a_label_of_several_rails_has_the_peak_of_the_guide() -> None:
    """ATX12V 2.0, tables 3 and 6: 8 A with a peak of 10, 14 A with a peak of 16: 2 A more for the start of
    disks."""
    label = replace(PSU, rail_12v_ma=(8000, 14000), combined_12v_ma=22000, peak_12v_ma=None)
    assert label_of(label, "start 12v", defaults()) == 24000
    assert label_of(replace(label, rail_12v_ma=(22000,)), "start 12v", defaults()) == 22000
    assert label_of(replace(label, peak_12v_ma=26000), "start 12v", defaults()) == 26000


def test_a_label_without_any_figure_refuses_nothing_at_the_start() -> None:
    """Whether anything may hang on such a supply at all is asked by power.rail_12v."""
    bare = {"rated_w": None, "rail_12v_ma": None, "combined_12v_ma": None, "rail_5v_ma": None}
    survey = make_survey(
        psu=replace(PSU, **bare), cpu=NO_CPU_TODAY, board=OLD, drives=(SYSTEM_DRIVE, *disks(2))
    )
    problem = make_problem(survey, REPLACE, psus=[replace(NEW_PSU, **bare)], memory=[], coolers=[])
    for psu in ("kept-psu", "psu-new"):
        (found,) = findings(power_startup, problem, pick(problem, psu=psu))
        assert (found.verdict, found.blocks) == ("unknown", False)
    assert agree(power_startup, problem)[1] == 0


def test_startup_agrees() -> None:
    brief = Brief(budget="10000.00", replace=("psu", "drive"))
    survey = make_survey(drives=(SYSTEM_DRIVE, *disks(2)), psu=replace(PSU, peak_12v_ma=9000))
    drives = [DrivePart(id="hdd", name="disk", kind="hdd35", interface="sata", read_mbs=150)]
    problem = make_problem(
        survey,
        brief,
        psus=[replace(NEW_PSU, combined_12v_ma=13000)],
        drives=drives,
        memory=[],
        cpus=[],
        coolers=[],
    )
    assert min(agree(power_startup, problem)) > 0


@pytest.mark.parametrize(
    "label, year, verdict, warned",
    [
        (2000, 2018, "fits", False),  # 80 % of 2 A; asleep 0.8 + 2 x 0.1 A
        (1000, 2018, "fits", True),  # 0.8 A: starts, sleep needs 1.0 A
        (600, 2018, "fails", False),  # 0.48 A
        (None, 2003, "fits", True),  # before 2004: 1 A, 65 % of it
        (None, 2010, "fits", False),  # guide 2.0: 2 A
        (None, None, "unknown", False),
    ],
)
def test_standby(label: int | None, year: int | None, verdict: str, warned: bool) -> None:
    found = findings(power_standby, with_psu(rail_5vsb_ma=label, year=year))
    assert (found[0].verdict, found[0].fact("warning") is not None, found[0].blocks) == (
        verdict,
        warned,
        False,
    )
    if verdict == "unknown" or (warned and label is None):
        assert found[-1].question == "psu.rail_5vsb_ma"


@pytest.mark.parametrize(("year", "asked"), [(2003, True), (2004, False), (2010, False)])
def test_standby_is_early_by_the_year_whatever_the_settings_say(year: int, asked: bool) -> None:
    """A later supply is not asked for its label because somebody set its current as low as an early one's."""
    brief = Brief(budget="10000.00", settings={"standby_early_ma": 1000, "standby_later_ma": 1000})
    found = findings(power_standby, with_psu(brief=brief, rail_5vsb_ma=None, year=year))
    assert (found[-1].question == "psu.rail_5vsb_ma") == asked


def test_standby_agrees() -> None:
    psus = [replace(NEW_PSU, rail_5vsb_ma=500), replace(NEW_PSU, id="psu-b", rail_5vsb_ma=2500)]
    survey = make_survey(psu=replace(PSU, rail_5vsb_ma=500))
    assert min(agree(power_standby, make_problem(survey, REPLACE, psus=psus, cpus=[], coolers=[]))) > 0


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
    if risk == "yes":
        assert (found.value, found.fact("psu_year"), found.fact("cpu_year")) == (year, year, cpu_year)
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


def test_a_bought_controller_card_draws_too() -> None:
    """Three SATA disks on a board with two ports and a card for two more on sale: 4 W (setting
    card_small_mw) are 1213 mA at 3.3 V through the board; the slot gives at most 3 A there (PCI Express
    card electromechanical specification 1.1)."""
    card = Extra(
        "sata-card",
        "SATA card",
        kind="sata-controller",
        takes=("x1",),
        gives=("sata",),
        count=2,
        low_profile=True,
    )
    disks = tuple(Drive(name=f"disk {n}", kind="hdd35", interface="sata") for n in range(2))
    few = replace(BOARD, id="board-few", sata_6g_ports=2)

    def problem(label_ma: int, extras: tuple[Extra, ...] = (card,)) -> Problem:
        psu = replace(PSU, year=2026, rail_3v3_ma=label_ma)
        survey = make_survey(drives=(SYSTEM_DRIVE, *disks), cpu=NO_CPU_TODAY, board=OLD, psu=psu)
        return make_problem(survey, boards=[BOARD, few], extras=extras)

    needed = 807 + 1213
    for label_ma, good in ((needed * 100 // 85 + 1, True), (needed * 100 // 85 - 1, False)):
        here = problem(label_ma)
        found = findings(power_rails_low, here, pick(here, board="board-few"))[1]
        assert (found.value, found.fact("most"), found.admits) == (needed, 807 + 3000, good)
        assert findings(power_rails_low, here, pick(here, board="board-a"))[1].value == 807
        assert agree(power_rails_low, here)[1] >= (0 if good else 1)
        agree(power_total, here)
    # Where nobody sells such a card none is counted (the drives find no port: another rule's matter).
    here = problem(20_000, ())
    assert findings(power_rails_low, here, pick(here, board="board-few"))[1].value == 807


def small_extra(name: str, kind: str, count: int = 1, gives: tuple[str, ...] = ()) -> Extra:
    return Extra(name, name, kind=kind, count=count, gives=gives)


SMALL = (
    small_extra("lead", "usb-serial", gives=("serial",)),
    small_extra("ps2-lead", "usb-ps2", 2, ("ps2",)),
    small_extra("hub", "usb-hub", 4),
    small_extra("module", "tpm-module", gives=("2.0",)),
)


@pytest.mark.parametrize(
    ("changes", "devices", "ma_5v", "ma_3v3"),
    [
        # A scanner on the board's serial port draws nothing there; without the port a lead draws 0.1 A.
        ({"serial_ports": 1}, {"serial": 1}, 0, 0),
        ({"serial_ports": 0}, {"serial": 1}, 100, 0),
        # One lead gives two PS/2 ports and counts for each.
        # (keyboard and mouse themselves: 0.1 A each)
        ({"ps2_ports": 2}, {"ps2": 2}, 200, 0),
        ({"ps2_ports": 0}, {"ps2": 2}, 400, 0),
        # Three ports short: one hub of four ports (it takes the port it hangs on), 0.1 A itself.
        ({"usb_rear_ports": 4, "usb2_headers": 0, "usb3_headers": 0}, {"usb": 7}, 800, 0),
        # Four short: two hubs.
        ({"usb_rear_ports": 4, "usb2_headers": 0, "usb3_headers": 0}, {"usb": 8}, 1000, 0),
        ({"tpm": "header"}, {}, 0, 50),
        ({"tpm": "2.0"}, {}, 0, 0),
    ],
)
def test_bought_leads_hubs_and_platform_modules_draw_too(
    changes: dict[str, object], devices: dict[str, int], ma_5v: int, ma_3v3: int
) -> None:
    """USB or PS/2 device 0.1 A, hub 0.1 A (USB 2.0, 7.2.1.1: one unit load), module 0.05 A at 3.3 V (loads
    reference section 3)."""
    listed = tuple(
        Device(name=f"{port} {n}", port=port, direct_hardware_access=False)  # type: ignore[arg-type]
        for port, number in devices.items()
        for n in range(number)
    )
    survey = make_survey(devices=listed, cpu=NO_CPU_TODAY, board=OLD, psu=replace(PSU, year=2026))
    board = replace(BOARD, **{"serial_headers": 0, "parallel_headers": 0, **changes})  # type: ignore[arg-type]
    brief = Brief(budget="10000.00", os="desktop-2021")
    problem = make_problem(survey, brief, boards=[board], extras=SMALL)
    parts = pick(problem)
    found = findings(power_rails_low, problem, parts)
    assert (found[0].value, found[1].value) == (3417 + ma_5v, 807 + ma_3v3)
    own = 100 * (devices.get("usb", 0) + devices.get("ps2", 0))
    names = [name for _, name, _ in consumers(problem, parts)]
    assert ("bought adapters, hubs and modules" in names) == (ma_5v + ma_3v3 > own)
    for rule in (power_rails_low, power_total, power_startup):
        agree(rule, problem)
    # Where nobody sells such things none is counted.
    bare = make_problem(survey, brief, boards=[board])
    assert findings(power_rails_low, bare, pick(bare))[0].value == 3417 + own


def test_the_last_milliampere_of_a_bought_lead_decides() -> None:
    """A serial lead is what the 5 V rail does not carry any more: both statements, one step on either side."""
    scanner = Device(name="scanner", port="serial", direct_hardware_access=False)
    for label_ma, good in (((3517 * 100) // 85 + 1, True), ((3517 * 100) // 85 - 1, False)):
        psu = replace(PSU, year=2026, rail_5v_ma=label_ma)
        survey = make_survey(devices=(scanner,), cpu=NO_CPU_TODAY, board=OLD, psu=psu)
        without = replace(BOARD, id="board-without", serial_ports=0, serial_headers=0)
        own = replace(BOARD, serial_ports=1)
        problem = make_problem(survey, boards=[own, without], extras=SMALL)
        fits = {
            key: findings(power_rails_low, problem, pick(problem, board=key))[0].admits
            for key in ("board-a", "board-without")
        }
        assert fits == {"board-a": True, "board-without": good}
        assert agree(power_rails_low, problem)[1] >= (0 if good else 1)


def test_power_from_the_mains() -> None:
    """80 PLUS at 230 V: bronze guarantees 85, 88, 85 % at 20, 50 and 100 %, nothing below a fifth of the
    rating."""
    bronze = replace(PSU, rated_w=400, efficiency="bronze")
    assert mains_mw(bronze, 80_000) == -(-80_000 * 100 // 85)
    assert mains_mw(bronze, 200_000) == -(-200_000 * 100 // 88)
    assert mains_mw(bronze, 60_000) is None
    assert mains_mw(replace(bronze, efficiency="none"), 200_000) is None
    assert mains_mw(replace(bronze, efficiency=None), 200_000) is None
    assert mains_mw(replace(bronze, rated_w=None), 200_000) is None
