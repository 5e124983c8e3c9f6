"""Pin order, condition, main plug, processor plug and current.

Expected values: 4-contact plug 12 A usual and 16 A at most, 8-contact 24 A and 28 A (power reference section
6: Intel 336521 section 2.2.1, 6 A a contact; Upgrading and Repairing PCs p. 925, 8 A a contact); one 12 V
contact of a 20-contact plug 6 A (same handbook pp. 918, 1142); adapter from one peripheral plug and its lead
9 A (AMP catalogue 82181, 18 AWG). Highest processor current I = P / (0.85 x 11.4 V), the worked row of the
loads reference section 1c: 65 W 6.7 A, 154 W 15.9 A, 180 W 18.6 A; usual I = P / (0.90 x 12 V), its second
row: 65 W 6.0, 117 W 10.8, 154 W 14.3, 180 W 16.7, 219 W 20.3 A; of parts up to 2016 P / 12 V (measured at the
plug, section 1b).
"""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from support import BOARD, CPU, OLD_BOARD, OLD_CPU, PSU, agree, findings, make_problem, make_survey, pick

from partsolver.assembly.loads import cpu_load
from partsolver.assembly.plugs import feeding_plugs, first_header
from partsolver.catalog.records import Extra
from partsolver.catalog.sockets import Slot
from partsolver.plan.draft import Draft
from partsolver.problem.candidates import Parts
from partsolver.problem.problem import Problem
from partsolver.report.words.power_currents import WORDS
from partsolver.report.words.record import Names
from partsolver.rules import power_condition, power_cpu_current, power_cpu_plug, power_main_plug, power_pinout
from partsolver.rules.power_cpu_current import contact_ma
from partsolver.survey.model import Card, Drive, Pc
from partsolver.wishes.brief import Brief

REPLACE = Brief(budget="10000.00", replace=("psu",))
NEW_PSU = replace(PSU, id="psu-new", name="new supply")
ADAPTER = Extra(
    id="cpu4-lead",
    name="lead",
    kind="cpu-plug-adapter",
    takes=("peripheral",),
    gives=("4",),
    count=2,
    limit_ma=12000,
)
GRAPHICS = Card(
    name="graphics", kind="graphics", bus="pcie", lanes=16, height="full", width_slots=1, load_mw=48000
)


def with_psu(brand: bool | None = False, brief: Brief | None = None, **changes: object) -> Problem:
    survey = make_survey(psu=replace(PSU, **changes), pc=Pc(name="test PC", brand=brand))  # type: ignore[arg-type]
    return make_problem(survey, brief)


def unchanged(problem: Problem) -> Parts:
    present = problem.present()
    assert present is not None
    return present


@pytest.mark.parametrize(
    "pinout, brand, verdict, blocks",
    [
        ("atx", None, "fits", False),  # irrelevant: stated, whoever sold the PC
        ("own", False, "fails", False),
        (None, False, "unknown", False),  # shop-assembled: taken as standard, still asked
        (None, True, "unknown", True),  # case C01
        (None, None, "unknown", True),
    ],
)
def test_pinout(pinout: str | None, brand: bool | None, verdict: str, blocks: bool) -> None:
    problem = with_psu(brand, pinout=pinout)
    (found,) = findings(power_pinout, problem)
    assert (found.verdict, found.blocks) == (verdict, blocks)
    assert found.question == ("psu.pinout" if verdict == "unknown" else None)
    (today,) = findings(power_pinout, problem, unchanged(problem))
    assert today.verdict == "fits"


@pytest.mark.parametrize("pinout", ["atx", "own", None])
@pytest.mark.parametrize("brand", [True, False])
def test_pinout_of_a_new_supply(pinout: str | None, brand: bool) -> None:
    """A kept board of a maker wants its own supply's pin order; a standard supply on it destroys as well."""
    survey = make_survey(psu=replace(PSU, pinout=pinout), pc=Pc(name="p", brand=brand))
    problem = make_problem(survey, REPLACE, psus=[NEW_PSU], cpus=[], memory=[])
    admitted, refused = agree(power_pinout, problem)
    assert admitted > 0 and (refused > 0) == (pinout == "own" or (pinout is None and brand))


def test_a_new_supply_of_unknown_pinout_blocks() -> None:
    problem = make_problem(brief=REPLACE, psus=[replace(NEW_PSU, pinout=None)])
    (found,) = findings(power_pinout, problem, pick(problem, psu="psu-new"))
    assert (found.verdict, found.blocks, found.question) == ("unknown", True, "psu:psu-new.pinout")


@pytest.mark.parametrize(
    "condition, verdict, caution",
    [
        ("good", "fits", None),
        ("noisy", "fails", None),  # the table of states says 0: trusted with nothing
        ("bulged", "fails", None),
        ("failed-start", "fails", None),
    ],
)
def test_condition(condition: str, verdict: str, caution: str | None) -> None:
    problem = with_psu(condition=condition)
    (found,) = findings(power_condition, problem)
    assert (found.verdict, found.value, found.fact("caution"), found.parts) == (
        verdict,
        condition,
        caution,
        ("kept-psu",),
    )


def test_condition_buy_nothing_stands_and_replacing_cures() -> None:
    survey = make_survey(psu=replace(PSU, condition="bulged"))
    problem = make_problem(
        survey, REPLACE, psus=[NEW_PSU, replace(NEW_PSU, id="psu-bad", condition="bulged")]
    )
    (found,) = findings(power_condition, problem, unchanged(problem))
    assert (found.verdict, found.fact("caution")) == ("fits", "bulged")
    assert findings(power_condition, problem, pick(problem, psu="psu-new"))[0].verdict == "fits"
    assert findings(power_condition, problem, pick(problem, psu="psu-bad"))[0].verdict == "fails"
    assert (
        min(agree(power_condition, make_problem(survey, REPLACE, psus=[NEW_PSU], coolers=[], memory=[]))) > 0
    )
    bad = [replace(NEW_PSU, id="psu-bad", condition="failed-start")]
    assert (
        min(
            agree(
                power_condition,
                make_problem(brief=REPLACE, psus=bad, boards=[], cpus=[], coolers=[], memory=[]),
            )
        )
        > 0
    )


def test_condition_unknown_is_asked() -> None:
    (found,) = findings(power_condition, with_psu(condition=None))
    assert (found.verdict, found.blocks, found.question) == ("unknown", False, "psu.condition")


@pytest.mark.parametrize(
    "plug, header, verdict",
    [
        ("24", "24", "fits"),
        ("24", "20", "fits"),
        ("20", "20", "fits"),
        ("own", "24", "fails"),
        ("24", "own", "fails"),
    ],
)
def test_main_plug_shapes(plug: str, header: str, verdict: str) -> None:
    problem = make_problem(
        make_survey(psu=replace(PSU, main_plug=plug)), boards=[replace(BOARD, main_plug=header)]
    )
    (found,) = findings(power_main_plug, problem)
    assert found.verdict == verdict
    assert findings(power_main_plug, problem, unchanged(problem))[0].verdict == "fits"


# Board of 20 W stated: 12 V share 600 mA of its usual 19.84 W (settings board_later_*) = 605 mA; fans 500 +
# 150 mA.
BOARD_12V_MA = 605 + 500 + 150


@pytest.mark.parametrize(
    "load_mw, slot_ma, verdict",
    [
        (12_000, 1000, "fits"),
        (56_940, 4745, "fits"),  # 6.0 A: the contact's limit
        (60_000, 5000, "over"),  # a working case (loads reference section 10a): a tenth more is a warning
        (64_140, 5345, "over"),
        (64_152, 5346, "fails"),
        (100_000, 5500, "fails"),  # slot at most 5.5 A (CEM)
    ],
)
def test_twenty_contacts_carry_six_amperes(load_mw: int, slot_ma: int, verdict: str) -> None:
    card = GRAPHICS.model_copy(update={"load_mw": load_mw, "power_plugs": ()})
    # Which header the plug feeds today is not known: what it carries today proves nothing.
    unseen = replace(OLD_BOARD, main_plug=None)
    survey = make_survey(psu=replace(PSU, main_plug="20"), cards=(card,), board=unseen)
    (found,) = findings(power_main_plug, make_problem(survey))
    drawn, limit = BOARD_12V_MA + slot_ma, 6600 if verdict == "over" else 6000
    assert (found.value, found.limit, found.margin, found.unit) == (drawn, limit, limit - drawn, "mA")
    assert found.verdict == ("fails" if verdict == "fails" else "fits")
    said = WORDS[power_main_plug.ID].sentence(found, {})
    assert ("feel after an hour" in said) == (verdict == "over" or found.fact("warning") is not None)
    assert (found.fact("header"), found.fact("plug"), found.fact("processor")) == ("24", "20", "no")


def test_the_main_plug_carries_what_it_carries_today() -> None:
    """A card of 75 W hangs on the one 12 V contact of a 20-contact plug today, and hangs there tomorrow."""
    card = GRAPHICS.model_copy(update={"load_mw": 75_000, "power_plugs": ()})
    board = replace(OLD_BOARD, main_plug="24", load_mw=20000)
    survey = make_survey(psu=replace(PSU, main_plug="20"), cards=(card,), board=board)
    today = make_problem(survey)
    (found,) = findings(power_main_plug, today)
    assert found.verdict == "fits" and found.value == BOARD_12V_MA + 5500
    agree(power_main_plug, today)
    # A bought supply with such a plug has proved nothing, nor have two contacts for one.
    brief = Brief(budget="10000.00", replace=("psu",))
    other = replace(PSU, id="psu-n", name="other", main_plug="20")
    before = replace(other, id="psu-m", main_plug="own")
    problem = make_problem(survey, brief, psus=[before, other])
    new = pick(problem, psu="psu-n")
    assert findings(power_main_plug, problem, new)[0].verdict == "fails"
    assert min(agree(power_main_plug, problem)) > 0
    wide = make_survey(cards=(card,), board=board)
    (found,) = findings(power_main_plug, make_problem(wide, boards=[replace(BOARD, main_plug="20")]))
    assert found.verdict == "fails"


@pytest.mark.parametrize(
    "plug, header, watts, verdict",
    [
        ("20", "20", 40, "fits"),  # 3.70 + 1.26 A
        (
            "20",
            "20",
            125,
            "fails",
        ),  # the processor's current runs through the main plug: 11.6 A and more on 6 A
        ("24", "20", 65, "fails"),  # one contact mates, whichever side has two
        ("24", "24", 65, "fits"),  # 6.02 + 1.26 A on 12 A
        ("24", "24", 115, "fits"),  # 10.65 + 1.26 A
        ("24", "24", 125, "fails"),  # 11.57 + 1.26 A: no tenth more for what lasts
    ],
)
def test_a_board_without_a_processor_header_feeds_it_through_the_main_plug(
    plug: str, header: str, watts: int, verdict: str
) -> None:
    problem = make_problem(
        make_survey(psu=replace(PSU, main_plug=plug)),
        boards=[replace(BOARD, main_plug=header, cpu_plugs=())],
        cpus=[replace(CPU, tdp_w=watts, power_limit_w=watts)],
    )
    (found,) = findings(power_main_plug, problem)
    assert found.verdict == verdict and found.fact("processor") == "yes"
    assert found.value == BOARD_12V_MA + -(-watts * 100_000 // (90 * 12))


def test_main_plug_agrees_on_boards_without_a_header() -> None:
    boards = [replace(BOARD, main_plug="20", cpu_plugs=()), replace(BOARD, id="board-b", cpu_plugs=())]
    cpus = [
        replace(CPU, boxed_cooler=False),
        replace(CPU, id="cpu-s", tdp_w=30, power_limit_w=30, boxed_cooler=False),
    ]
    survey = make_survey(psu=replace(PSU, main_plug="20"))
    problem = make_problem(survey, REPLACE, boards=boards, cpus=cpus, psus=[NEW_PSU], memory=[], coolers=[])
    assert min(agree(power_main_plug, problem)) > 0


@pytest.mark.parametrize(
    ("plug", "header", "feeds", "most"),
    [
        ("20", "20", False, 6600),  # one contact of 6 A, a tenth more with a warning
        ("20", "24", False, 6600),
        ("24", "20", False, 6600),
        ("24", "24", False, 13200),  # two of them
        ("20", "20", True, 6000),  # the processor's current never lets go: nothing over
        ("24", "24", True, 12000),
        ("own", "24", False, None),
        ("24", "own", False, None),
        (None, "24", False, None),
        ("24", None, True, None),
    ],
)
def test_what_the_main_contacts_carry(plug: str, header: str, feeds: bool, most: int | None) -> None:
    """Upgrading and Repairing PCs pp. 918, 1142: 6 A a contact; the tenth is judgement (tests/README.md)."""
    settings = make_problem().settings
    assert power_main_plug._contacts_ma(plug, header, settings, feeds) == most


@pytest.mark.parametrize(
    ("bus", "psu", "said"), [("isa", "psu-n", "control"), ("isa", "kept-psu", None), ("pci", "psu-n", None)]
)
def test_a_new_supply_may_lack_the_5_v_below_zero_of_an_isa_card(
    bus: str, psu: str, said: str | None
) -> None:
    """-5 V: optional from 2002-2003, later removed; only old ISA cards need it (boards reference, section 5)."""
    card = Card(name="control", kind="other", bus=bus, height="full", width_slots=1)  # type: ignore[arg-type]
    board = replace(OLD_BOARD, slots=(Slot("isa", 0), Slot("pci", 0)))
    problem = make_problem(
        make_survey(board=board, cards=(card,)),
        Brief(budget="10000.00", replace=("psu",)),
        psus=[replace(PSU, id="psu-n", name="new supply")],
    )
    keys = {"board": "kept-board", "cpu": "kept-cpu", "memory": "kit-a*1"}
    (found,) = findings(power_main_plug, problem, pick(problem, psu=psu, **keys))
    assert (found.verdict, found.fact("isa")) == ("fits", said)


def test_main_plug_unknown_blocks_and_agrees() -> None:
    (found,) = findings(power_main_plug, with_psu(main_plug=None))
    assert (found.verdict, found.blocks, found.question) == ("unknown", True, "psu.main_plug")
    (found,) = findings(power_main_plug, make_problem(boards=[replace(BOARD, main_plug=None)]))
    assert (found.blocks, found.question) == (True, "board:board-a.main_plug")
    survey = make_survey(psu=replace(PSU, main_plug="20"), cards=(GRAPHICS,))
    boards = [
        BOARD,
        replace(BOARD, id="board-20", main_plug="20"),
        replace(BOARD, id="board-b", slots=(Slot("x1", 1),)),
    ]
    boards += [replace(BOARD, id="board-u", main_plug=None)]
    psus = [NEW_PSU, replace(NEW_PSU, id="psu-own", main_plug="own")]
    assert (
        min(
            agree(
                power_main_plug,
                make_problem(survey, REPLACE, boards=boards, psus=psus, cpus=[], memory=[], coolers=[]),
            )
        )
        > 0
    )


@pytest.mark.parametrize(
    "headers, plugs, fed",
    [
        (("8",), ("8",), ("8",)),
        (("8",), ("4",), ("4",)),  # one half of the header
        (("4",), ("8",), ("4",)),  # one half of a divisible plug
        (("8", "4"), ("8",), ("8",)),  # the second stays empty
        (("8", "4"), ("4", "8"), ("8", "4")),
        (("8", "8"), ("8", "4"), ("8", "4")),
        (("8",), ("4", "4"), ("8",)),  # two loose plugs side by side
        (("8", "4"), ("4", "4", "4"), ("8", "4")),
        (("8",), (), ()),
        ((), ("8",), ()),
    ],
)
def test_feeding_plugs(headers: tuple[str, ...], plugs: tuple[str, ...], fed: tuple[str, ...]) -> None:
    assert feeding_plugs(headers, plugs) == fed


@pytest.mark.parametrize(("headers", "first"), [(("4", "8"), "4"), (("8",), "8"), ((), ""), (None, None)])
def test_first_header(headers: tuple[str, ...] | None, first: str | None) -> None:
    assert first_header(replace(BOARD, cpu_plugs=headers)) == first


@pytest.mark.parametrize(
    "headers, plugs, facts",
    [
        (("4",), ("4",), {}),
        (("8",), ("4",), {"half": "yes"}),
        (("4",), ("8",), {"divisible": "yes"}),
        (("8",), ("4", "4"), {"two_loose": "yes"}),
        (("8", "4"), ("8",), {"empty_headers": 1}),
    ],
)
def test_cpu_plug_facts(headers: tuple[str, ...], plugs: tuple[str, ...], facts: dict[str, object]) -> None:
    problem = make_problem(
        make_survey(psu=replace(PSU, cpu_plugs=plugs)), boards=[replace(BOARD, cpu_plugs=headers)]
    )
    (found,) = findings(power_cpu_plug, problem)
    assert found.verdict == "fits"
    assert dict(found.facts) == {"header": headers[0], "plugs": "+".join(plugs), **facts}


@pytest.mark.parametrize("lead_mm, fact", [(449, 449), (450, None), (None, None)])
def test_cpu_lead_is_a_remark(lead_mm: int | None, fact: int | None) -> None:
    found = findings(power_cpu_plug, with_psu(cpu_lead_mm=lead_mm))
    assert all(f.admits for f in found) and found[0].fact("lead_mm") == fact
    assert [f.question for f in found[1:]] == (["psu.cpu_lead_mm"] if lead_mm is None else [])


@pytest.mark.parametrize(
    "peripherals, drives, power_w, leads, verdict",
    [
        (2, 0, 80, 1, "fits"),
        (3, 1, 79, 1, "fits"),  # 8.15 A and the disk's 0.75 A on one lead
        (3, 1, 80, 1, "fails"),  # 8.26 + 0.75 A on 9 A
        (3, 1, 80, 2, "fits"),  # two leads: half of it each
        (1, 0, 80, 1, "fails"),  # the adapter takes two
        (2, 1, 80, 2, "fails"),  # a disk has one of them
        (None, 0, 80, 1, "fits"),  # not counted: asked
        (2, 0, 87, None, "fits"),  # 87 W / 9.69 V = 8.98 A
        (2, 0, 88, 1, "fails"),  # 9.08 A
        (2, 0, 88, None, "unknown"),  # on two leads it would do: asked, and blocked until then
        (2, 0, 117, 2, "fails"),  # 12.07 A: more than the adapter's own 12 A
    ],
)
def test_cpu_plug_adapter(
    peripherals: int | None, drives: int, power_w: int, leads: int | None, verdict: str
) -> None:
    disks = tuple(Drive(name=f"disk {i}", kind="hdd35", interface="pata") for i in range(drives))
    psu = replace(PSU, cpu_plugs=(), peripheral_plugs=peripherals, peripheral_leads=leads)
    survey = make_survey(psu=psu, drives=disks)
    # The second header stays empty: the adapter is for the first.
    boards = [replace(BOARD, cpu_plugs=("4", "8"))]
    problem = make_problem(
        survey, boards=boards, cpus=[replace(CPU, power_limit_w=power_w)], extras=[ADAPTER]
    )
    parts = pick(problem)
    found = (
        findings(power_cpu_plug, problem)
        if verdict == "fits"
        else power_cpu_plug.admits(Draft(parts, (), (), 0, 0), problem)
    )
    assert found[0].verdict == verdict and found[0].admits == (verdict == "fits")
    if verdict == "fits":
        assert [f.question for f in found[1:]] == (["psu.peripheral_plugs"] if peripherals is None else [])
        assert (found[0].fact("adapter"), found[0].fact("peripheral_plugs")) == ("cpu4-lead", 2)
        assert (found[0].value, found[0].fact("header")) == ("4", "4")
    if verdict == "fails":
        assert (found[0].value, found[0].limit) == ("none", "4")
    if verdict == "unknown":
        assert found[0].question == "psu.peripheral_leads"
    assert (power_cpu_plug.needs(parts, problem)[0].options != ()) == (verdict == "fits")


def test_cpu_plug_unknown_blocks_and_today_works() -> None:
    problem = with_psu(cpu_plugs=None)
    (found,) = findings(power_cpu_plug, problem)
    assert (found.verdict, found.blocks, found.question) == ("unknown", True, "psu.cpu_plugs")
    assert findings(power_cpu_plug, problem, unchanged(problem))[0].admits
    for plugs, said in ((("8", "4"), "8+4"), ((), None), (None, None)):
        problem = with_psu(cpu_plugs=plugs)
        assert findings(power_cpu_plug, problem, unchanged(problem))[0].value == said


def test_cpu_plug_and_current_agree() -> None:
    boards = [
        BOARD,
        replace(BOARD, id="board-8", cpu_plugs=("8", "4")),
        replace(BOARD, id="board-0", cpu_plugs=()),
    ]
    cpus = [CPU, replace(CPU, id="cpu-hot", tdp_w=181, power_limit_w=181)]
    psus = [
        replace(NEW_PSU, cpu_plugs=()),
        replace(NEW_PSU, id="psu-u", cpu_plugs=None),
        replace(NEW_PSU, id="psu-4", cpu_plugs=("4",)),
    ]
    problem = make_problem(
        brief=REPLACE, boards=boards, cpus=cpus, psus=psus, coolers=[], memory=[], extras=[ADAPTER]
    )
    assert min(agree(power_cpu_plug, problem)) > 0
    assert min(agree(power_cpu_current, problem)) > 0
    bare = make_problem(make_survey(psu=replace(PSU, cpu_plugs=())), coolers=[], memory=[])
    assert min(agree(power_cpu_plug, bare)) > 0


@pytest.mark.parametrize(
    "headers, plugs, watts, verdict, blocks",
    [  # mA / W: 1000 / (11.4 V x 0.85); 16 A for one plug of four contacts, 28 A for eight
        (("4",), None, 155, "unknown", False),  # 15,996 mA
        (("4",), None, 156, "fails", False),
        (("8",), None, 155, "unknown", False),
        (("8",), None, 156, "unknown", True),  # through one half of a plug it would be too much
        (("8",), None, 271, "unknown", True),
        (("8",), None, 272, "fails", False),  # 28,070 mA
        (None, ("8",), 155, "unknown", False),
        (None, ("8",), 156, "unknown", True),
        (("4",), (), 87, "unknown", False),  # through an adapter that nobody described: 8,978 mA
        (("4",), (), 88, "unknown", True),  # 9,082 mA are too much for one peripheral plug
        (("4",), (), 155, "unknown", True),
        (("4",), (), 156, "fails", False),
        (("8",), (), 87, "unknown", False),
        (("8",), (), 271, "unknown", True),
    ],
)
def test_a_hotter_processor_on_plugs_that_nobody_saw(
    headers: tuple[str, ...] | None, plugs: tuple[str, ...] | None, watts: int, verdict: str, blocks: bool
) -> None:
    """The kept supply feeds the kept board in a way that is not known: least one plug of four contacts
    (Intel 336521, table 5-8: there is no smaller one), 16 A (Upgrading and Repairing PCs, p. 925); through an adapter
    one peripheral plug, 9 A (AMP catalogue 82181)."""
    survey = make_survey(
        psu=replace(PSU, cpu_plugs=plugs),
        board=replace(OLD_BOARD, cpu_plugs=headers, socket=CPU.socket),
    )
    problem = make_problem(survey, cpus=[replace(CPU, power_limit_w=watts)])
    parts = pick(problem, board="kept-board", cpu="cpu-a")
    (found,) = findings(power_cpu_current, problem, parts)
    assert (found.verdict, found.blocks) == (verdict, blocks)
    assert found.question == (
        None if verdict == "fails" else f"{'board' if headers is None else 'psu'}.cpu_plugs"
    )
    agree(power_cpu_current, problem)
    assert findings(power_cpu_current, problem, unchanged(problem))[0].admits


def test_unseen_plugs_carry_what_they_carry_today() -> None:
    """A hot processor runs on them: another one of as much does too, one of more is asked about."""
    now = replace(OLD_CPU, tdp_w=195, power_limit_w=None, socket="lga1700", year=2022, cores=99)
    survey = make_survey(
        cpu=now,
        psu=replace(PSU, cpu_plugs=None),
        board=replace(OLD_BOARD, cpu_plugs=("8",), socket="lga1700"),
    )
    cpus = [replace(now, id="cpu-new"), replace(now, id="cpu-hot", tdp_w=230)]
    problem = make_problem(survey, cpus=cpus)
    for cpu, admitted in (("cpu-new", True), ("cpu-hot", False)):
        (found,) = findings(power_cpu_current, problem, pick(problem, board="kept-board", cpu=cpu))
        assert (found.verdict, found.admits) == ("unknown", admitted)
    assert WORDS[power_cpu_current.ID].sentence(found, Names(problem.names)) == (
        "The processor would draw 21.3 A at 12 V. How the supply feeds the board is not known:"
        " up to 19.0 A is safe."
    )
    assert min(agree(power_cpu_current, problem)) > 0


@pytest.mark.parametrize(
    "plugs, watts, current_ma, limit_ma, verdict, warning",
    [
        (("4",), 65, 6708, 12000, "fits", None),
        (("4",), 116, 11972, 12000, "fits", None),
        (("4",), 142, 14655, 16000, "fits", "over usual"),
        (("4",), 155, 15996, 16000, "fits", "over usual"),
        (
            ("4",),
            156,
            16100,
            16000,
            "fails",
            None,
        ),  # a strong processor through a 4-contact plug (common practice)
        (("4", "4"), 156, 16100, 24000, "fits", None),  # two loose plugs fill the header
        (("8",), 181, 18680, 24000, "fits", None),
    ],
)
def test_cpu_current(
    plugs: tuple[str, ...], watts: int, current_ma: int, limit_ma: int, verdict: str, warning: str | None
) -> None:
    """What the maker states is drawn, and through a poor regulator: heat in a contact does not forgive."""
    survey = make_survey(psu=replace(PSU, cpu_plugs=plugs))
    cpus = [replace(CPU, power_limit_w=watts)]
    problem = make_problem(survey, boards=[replace(BOARD, cpu_plugs=("8",))], cpus=cpus)
    (found,) = findings(power_cpu_current, problem)
    assert (found.value, found.limit, found.unit) == (current_ma, limit_ma, "mA")
    assert (found.verdict, found.fact("warning"), found.parts) == (
        verdict,
        warning,
        ("cpu-a", "board-a", "kept-psu"),
    )
    assert found.margin == limit_ma - current_ma


@pytest.mark.parametrize(
    "settings, watts, verdict",
    [
        ({"cpu_plug_4pin_hard_ma": 8000}, 77, "fits"),  # 7947 mA; 12 A carries it without remark
        ({"cpu_plug_4pin_hard_ma": 8000}, 78, "fails"),  # 8050 mA
        ({"cpu_plug_4pin_ma": 20000}, 155, "fits"),  # 15,996 mA
        ({"cpu_plug_4pin_ma": 20000}, 156, "fails"),  # 16,100 mA
    ],
)
def test_what_is_never_to_be_exceeded_is_not_whatever_is_usual(
    settings: dict[str, int], watts: int, verdict: str
) -> None:
    """Somebody sets the one limit and leaves the other: worn contacts, or a usual one that is too much."""
    limit = settings.get("cpu_plug_4pin_hard_ma", 16000)
    problem = make_problem(
        brief=Brief(budget="10000.00", settings=settings), cpus=[replace(CPU, power_limit_w=watts)]
    )
    (found,) = findings(power_cpu_current, problem)
    assert (found.verdict, found.limit, found.fact("warning")) == (verdict, limit, None)
    assert (agree(power_cpu_current, problem)[1] > 0) == (verdict == "fails")


def test_parts_measured_at_the_plug_count_as_measured() -> None:
    """A 125 W quad of 2008 draws at most 125 W at the plug (loads reference section 1b): 10.4 A on four
    contacts."""
    cpus = [replace(CPU, socket="LGA775", year=2008, tdp_w=125, power_limit_w=None)]
    survey = make_survey(psu=replace(PSU, cpu_plugs=("4",)))
    problem = make_problem(survey, boards=[replace(BOARD, cpu_plugs=("8",))], cpus=cpus)
    found = findings(power_cpu_current, problem)
    assert (found[0].value, found[0].fact("most"), found[0].verdict) == (10417, 12900, "fits")


def test_an_unstated_limit_is_asked_where_the_highest_load_is_too_much() -> None:
    """Six cores of 65 W of 2022: 117 W published; of socket LGA1200 134 to 154 W (loads reference section
    1a)."""
    cpu = replace(CPU, socket="LGA1200", year=2021, cores=6, tdp_w=65, power_limit_w=None)
    survey = make_survey(psu=replace(PSU, cpu_plugs=("4",)))
    problem = make_problem(survey, boards=[replace(BOARD, cpu_plugs=("8",))], cpus=[cpu])
    found = findings(power_cpu_current, problem)
    assert [(f.verdict, f.question) for f in found] == [
        ("fits", None),
        ("unknown", "cpu:cpu-a.power_limit_w"),
    ]
    assert (found[0].value, found[0].fact("most")) == (10834, 15893)


def test_cpu_current_of_an_unknown_processor_is_asked() -> None:
    (found,) = findings(power_cpu_current, make_problem(cpus=[replace(CPU, power_limit_w=None, tdp_w=None)]))
    assert (found.verdict, found.blocks, found.question) == ("unknown", False, "cpu:cpu-a.tdp_w")


def test_contacts_of_the_kept_supply_carry_what_they_carry_today() -> None:
    """A PC whose processor draws 18.2 A through its 4-contact plug today (195 W x 1 / 0.90 x 12 V, 18,056
    mA, and the slack of the estimate) takes another one of as much on a new board, not one of more, and
    not on another supply; 16 A are the limit else (Upgrading and Repairing PCs, p. 925)."""
    now = replace(OLD_CPU, tdp_w=195, power_limit_w=None, socket="lga1700", year=2022, cores=99)
    base = make_problem(make_survey(cpu=now, psu=replace(PSU, cpu_plugs=("4",))))
    today = contact_ma(now, cpu_load(now, base.settings))
    assert today > 16_000
    slack = base.settings["today_slack_percent"]
    for board_plugs, supply_plugs, kept, good in (
        (("4",), ("4",), True, True),
        (("8",), ("4",), True, True),  # in one half
        (("4",), ("4",), False, False),
    ):
        survey = make_survey(
            cpu=now,
            psu=replace(PSU, cpu_plugs=supply_plugs),
            board=replace(OLD_BOARD, cpu_plugs=("4",)),
        )
        problem = make_problem(
            survey,
            REPLACE,
            boards=[replace(BOARD, cpu_plugs=board_plugs)],
            cpus=[replace(now, id="cpu-new")],
            psus=[replace(NEW_PSU, cpu_plugs=supply_plugs)],
        )
        parts = pick(problem, cpu="cpu-new", psu="kept-psu" if kept else "psu-new")
        found = findings(power_cpu_current, problem, parts)[0]
        assert found.admits == good, found
        if good:
            assert found.limit == today * (100 + slack) // 100
    # Today none of its plugs carries it, the board has no header for them: nothing was tried.
    survey = make_survey(cpu=now, psu=replace(PSU, cpu_plugs=("4",)), board=replace(OLD_BOARD, cpu_plugs=()))
    problem = make_problem(
        survey,
        boards=[replace(BOARD, cpu_plugs=("4",))],
        cpus=[replace(now, id="cpu-new"), replace(now, id="cpu-cool", tdp_w=65)],
    )
    (found, *_) = findings(power_cpu_current, problem, pick(problem, cpu="cpu-new"))
    assert (found.admits, found.limit) == (False, 16_000)
    assert power_cpu_current.today_ma(problem, ("4",)) == 0
    assert min(agree(power_cpu_current, problem)) > 0
    # Today two halves carry it: one half alone was never tried.
    survey = make_survey(
        cpu=now, psu=replace(PSU, cpu_plugs=("8",)), board=replace(OLD_BOARD, cpu_plugs=("8",))
    )
    problem = make_problem(
        survey, boards=[replace(BOARD, cpu_plugs=("4",))], cpus=[replace(now, id="cpu-new")]
    )
    assert not findings(power_cpu_current, problem, pick(problem, cpu="cpu-new"))[0].admits
    for board_plugs, supply_plugs in product((("4",), ("8",), ("8", "4")), (("4",), ("8",), ("4", "4"))):
        survey = make_survey(
            cpu=now, psu=replace(PSU, cpu_plugs=supply_plugs), board=replace(OLD_BOARD, cpu_plugs=("8",))
        )
        agree(
            power_cpu_current,
            make_problem(
                survey,
                REPLACE,
                boards=[replace(BOARD, cpu_plugs=board_plugs)],
                cpus=[replace(now, id="cpu-new"), replace(now, id="cpu-hot", tdp_w=230)],
                psus=[replace(NEW_PSU, cpu_plugs=supply_plugs)],
            ),
        )
