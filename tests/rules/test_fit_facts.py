"""Fit facts: what is not known of the basic fit bars the purchase, and what runs today bounds it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import (
    BOARD,
    CASE,
    GRAPHICS,
    KIT,
    MEMORY,
    OLD_BOARD,
    PSU,
    SYSTEM_DRIVE,
    agree,
    findings,
    make_problem,
    make_survey,
    pick,
)

from partsolver.catalog.records import DrivePart
from partsolver.explain.hoped import hoped_plan
from partsolver.rules import fit_facts as rule
from partsolver.solve.answer import answer
from partsolver.survey.bounds import possible_generations
from partsolver.survey.load import parse_survey
from partsolver.survey.model import Card, Display, Survey
from partsolver.wishes.brief import Brief

SSD = DrivePart(
    id="drive-a", name="", kind="ssd", interface="sata", sata_gbps10=60, read_mbs=500, capacity_gb=480
)
M2 = replace(SSD, id="drive-m", interface="m2-nvme", m2_key="m", m2_length_mm=80, pcie_gen=3, pcie_lanes=4)
CARD = Card(name="card", kind="network", bus="pcie", lanes=1)
OLD_KIT = replace(KIT, id="kit-old", generation="ddr3", rate_mts=1333)


def blocked(problem, **keys: str) -> set[str]:  # type: ignore[no-untyped-def]
    found = findings(rule, problem, pick(problem, **keys))
    assert all(f.blocks == (f.verdict == "unknown") for f in found)
    return {f.question for f in found if f.blocks}


@pytest.mark.parametrize(
    ("board", "kit", "asked"),
    [
        ({"memory_generation": None}, {}, "board:board-a.memory_generation"),
        ({"memory_module": None}, {}, "board:board-a.memory_module"),
        ({"memory_slots": None}, {}, "board:board-a.memory_slots"),
        ({"form_factor": None}, {}, "board:board-a.form_factor"),
        ({"width_mm": None}, {}, "board:board-a.width_mm"),
        ({"depth_mm": None}, {}, "board:board-a.depth_mm"),
        ({}, {"generation": None}, "memory:kit-a.generation"),
        ({}, {"module": None}, "memory:kit-a.module"),
        ({}, {"registered": None}, "memory:kit-a.registered"),
        ({"memory_registered": None}, {"registered": True}, "board:board-a.memory_registered"),
        ({"memory_registered": None}, {}, None),  # plain modules are what a desktop board takes
        ({}, {"ecc": None}, None),  # an open question of the plan, no bar
    ],
)
def test_one_unknown_of_board_or_modules(board: dict, kit: dict, asked: str | None) -> None:
    problem = make_problem(
        boards=[replace(BOARD, **board), replace(BOARD, id="board-b")],
        memory=[replace(KIT, **kit), replace(KIT, id="kit-b")],
    )
    assert blocked(problem) == ({asked} if asked else set())
    agree(rule, problem)


def test_a_board_without_known_slots_only_where_cards_stay() -> None:
    dark = replace(BOARD, slots=None)
    assert blocked(make_problem(boards=[dark])) == set()
    problem = make_problem(make_survey(cards=(CARD,)), boards=[dark, replace(BOARD, id="board-b")])
    assert blocked(problem) == {"board:board-a.slots"}
    (found,) = findings(rule, problem)
    assert (found.parts, found.fact("slots")) == (("board-a",), "board")
    agree(rule, problem)


def test_what_runs_today_bounds() -> None:
    """The PC of 2010 whose slots nobody looked at: as many modules as sit in it go in again, one more may
    not."""
    survey = make_survey(board=replace(OLD_BOARD, memory_slots=None))
    problem = make_problem(survey, memory=[OLD_KIT], boards=[])
    assert blocked(problem, board="kept-board", cpu="kept-cpu", memory="kit-old*1") == set()
    for more in ("kit-old*1+kept-memory", "kit-old*2"):
        assert blocked(problem, board="kept-board", cpu="kept-cpu", memory=more) == {"board.memory_slots"}
    agree(rule, problem)
    assert findings(rule, problem, problem.present()) == ()


def test_supplies_cases_and_drives() -> None:
    brief = Brief(budget="10000.00", replace=("psu", "case", "drive"))
    new = {
        "psus": [replace(PSU, id="psu-a", form=None), replace(PSU, id="psu-b")],
        "cases": [replace(CASE, id="case-a")],
    }
    problem = make_problem(
        make_survey(), brief, drives=[SSD, M2], boards=[replace(BOARD, m2_slots=None)], **new
    )
    assert blocked(problem, psu="psu-a") == {"psu:psu-a.form"}
    assert blocked(problem, psu="psu-b", case="case-a") == set()
    assert blocked(problem, drive="drive-m") == {"board:board-a.m2_slots"}
    assert blocked(problem, drive="drive-a") == set()
    agree(rule, problem)
    # A drive on sale whose plug nobody stated is not bought on a guess, on no board.
    silent = replace(SSD, id="drive-q", interface=None)
    problem = make_problem(make_survey(), brief, drives=[SSD, silent], memory=[], cpus=[], coolers=[])
    assert blocked(problem, drive="drive-q") == {"drive:drive-q.interface"}
    assert blocked(problem, board="kept-board", drive="drive-q") == {"drive:drive-q.interface"}
    admitted, refused = agree(rule, problem)
    assert admitted and refused
    # The present drive's port takes a drive like it; of another kind nobody knows.
    dark = replace(OLD_BOARD, sata_6g_ports=None, sata_3g_ports=None, m2_slots=None)
    problem = make_problem(make_survey(board=dark), brief, drives=[SSD, M2], boards=[])
    assert (
        blocked(problem, board="kept-board", cpu="kept-cpu", memory="kept-memory", drive="drive-a") == set()
    )
    assert blocked(problem, board="kept-board", cpu="kept-cpu", memory="kept-memory", drive="drive-m") == {
        "board.m2_slots"
    }
    pata = SYSTEM_DRIVE.model_copy(update={"interface": "pata"})
    problem = make_problem(make_survey(board=dark, drives=(pata,)), brief, drives=[SSD], boards=[])
    assert blocked(problem, board="kept-board", cpu="kept-cpu", memory="kept-memory", drive="drive-a") == {
        "board.sata_6g_ports"
    }
    agree(rule, problem)


BUY_ALL = Brief(budget="10000.00", replace=("psu", "case", "graphics", "drive"))
STAY = {"board": "kept-board", "cpu": "kept-cpu", "memory": "kept-memory", "cooler": "kept-cooler"}


@pytest.mark.parametrize("kept_board", [{}, {"form_factor": None}, {"width_mm": None}, {"depth_mm": None}])
@pytest.mark.parametrize("kept_case", [{}, {"form_factor": None}, {"psu_form": None}])
@pytest.mark.parametrize("kept_psu", [{}, {"form": None}])
def test_two_that_have_to_fit_are_both_known_or_both_stay(
    kept_board: dict, kept_case: dict, kept_psu: dict
) -> None:
    """Board and case, supply and case: whatever is bought of them, nothing of the other is a guess."""
    survey = make_survey(
        board=replace(OLD_BOARD, **kept_board), case=replace(CASE, **kept_case), psu=replace(PSU, **kept_psu)
    )
    new_case, new_psu = replace(CASE, id="case-a"), replace(PSU, id="psu-a")
    problem = make_problem(
        survey,
        BUY_ALL,
        boards=[],
        cpus=[],
        memory=[],
        cases=[new_case, replace(new_case, id="case-b", form_factor=None)],
        psus=[new_psu, replace(new_psu, id="psu-b", form=None)],
    )
    board = {f"board.{fact}" for fact in kept_board}
    supply = {f"psu.{fact}" for fact in kept_psu}
    case_of_board, case_of_psu = (
        {f"case.{fact}"} & {f"case.{name}" for name in kept_case} for fact in ("form_factor", "psu_form")
    )
    assert findings(rule, problem, problem.present()) == ()
    assert blocked(problem, **STAY, case="case-a") == board | supply
    assert blocked(problem, **STAY, case="case-b") == board | supply | {"case:case-b.form_factor"}
    assert blocked(problem, **STAY, psu="psu-a") == case_of_psu
    assert blocked(problem, **STAY, psu="psu-b") == case_of_psu | {"psu:psu-b.form"}
    assert blocked(problem, **STAY, case="case-a", psu="psu-a") == board
    assert case_of_board <= {"case.form_factor"}
    agree(rule, problem)
    bought = make_problem(survey, boards=[BOARD], cpus=[], memory=[], coolers=[])
    assert blocked(bought, board="board-a") == case_of_board
    agree(rule, bought)


@pytest.mark.parametrize(
    ("facts", "slots", "shown", "asked"),
    [
        ({}, BOARD.slots, True, set()),
        ({"power_plugs": None}, BOARD.slots, False, {"graphics:graphics-a.power_plugs"}),
        ({"outputs": None}, BOARD.slots, False, set()),  # nobody looks at it
        ({"outputs": None}, BOARD.slots, True, {"graphics:graphics-a.outputs"}),
        ({}, None, False, {"board.slots"}),
        (
            {"outputs": None, "power_plugs": None},
            None,
            True,
            {"board.slots", "graphics:graphics-a.power_plugs", "graphics:graphics-a.outputs"},
        ),
    ],
)
def test_a_graphics_card_for_slots_plugs_and_displays(
    facts: dict, slots: tuple | None, shown: bool, asked: set
) -> None:
    survey = make_survey(
        board=replace(OLD_BOARD, slots=slots),
        displays=(
            Display(name="display", inputs=("hdmi-1.4",), width_px=1920, height_px=1080, required=shown),
        ),
    )
    problem = make_problem(
        survey, BUY_ALL, boards=[], cpus=[], memory=[], graphics=[replace(GRAPHICS, **facts)]
    )
    assert blocked(problem, **STAY, graphics="graphics-a") == asked
    assert findings(rule, problem, problem.present()) == ()
    assert (agree(rule, problem)[1] > 0) == bool(asked)


@pytest.mark.parametrize(
    ("interface", "ports", "m2", "asked"),
    [
        ("sata", (None, None, None), (), "sata_6g_ports"),
        ("sata", (0, None, None), (), "sata_3g_ports"),
        ("sata", (0, 0, None), (), "sata_1g5_ports"),
        ("sata", (0, 0, 0), None, None),  # known to have none: storage.sata refuses it
        ("sata", (None, 2, None), None, None),  # one kind is known to be there
        ("sata", (None, None, 1), None, None),
        ("m2-nvme", (None, None, None), None, "m2_slots"),
        ("m2-nvme", (None, None, None), (), None),
        ("m2-sata", (4, 0, 0), None, "m2_slots"),
        ("usb", (None, None, None), None, None),
        ("pata", (None, None, None), None, None),
    ],
)
def test_the_port_of_a_drive_that_is_bought(
    interface: str, ports: tuple, m2: tuple | None, asked: str | None
) -> None:
    facts = dict(zip(("sata_6g_ports", "sata_3g_ports", "sata_1g5_ports"), ports, strict=True))
    board = replace(BOARD, m2_slots=m2, **facts)
    drive = replace(SSD, interface=interface)
    problem = make_problem(None, BUY_ALL, drives=[drive], boards=[board], cpus=[], memory=[], coolers=[])
    assert blocked(problem, board="board-a", drive="drive-a") == (
        {f"board:board-a.{asked}"} if asked else set()
    )
    assert (agree(rule, problem)[1] > 0) == (asked is not None)
    # Nobody knows the present board's ports; the port of today's drive, of SATA, is one.
    old = make_survey(board=replace(OLD_BOARD, m2_slots=m2, **facts))
    problem = make_problem(old, BUY_ALL, drives=[drive], boards=[], cpus=[], memory=[])
    asks = asked is not None and interface != "sata"
    assert blocked(problem, **STAY, drive="drive-a") == ({f"board.{asked}"} if asks else set())
    assert (agree(rule, problem)[1] > 0) == asks


@pytest.mark.parametrize(
    ("kept", "known", "buffered", "takes", "sockets", "modules", "good"),
    [
        (True, False, None, None, None, 1, False),  # generation and form are not known
        (True, True, None, None, None, 1, False),  # buffered or not
        (True, True, True, None, 2, 1, False),
        (True, True, True, False, 2, 1, True),
        (True, True, False, None, None, 1, True),  # as many as sit in it today
        (True, True, False, None, None, 2, True),
        (True, True, False, None, None, 3, False),
        (True, True, False, None, 2, 3, True),  # too many: memory.slots refuses them
        (False, True, False, None, None, 1, False),
        (False, True, False, None, 4, 1, True),
    ],
)
def test_modules_for_a_board(
    kept: bool,
    known: bool,
    buffered: bool | None,
    takes: bool | None,
    sockets: int | None,
    modules: int,
    good: bool,
) -> None:
    facts = {"memory_registered": takes, "memory_slots": sockets}
    if not known:
        facts["memory_generation"] = None
    board = replace(OLD_BOARD if kept else BOARD, **facts)
    kit = replace(KIT, generation="ddr3", modules=modules, registered=buffered)
    survey = make_survey(board=board) if kept else make_survey()
    problem = make_problem(survey, boards=[] if kept else [board], cpus=[], memory=[kit], coolers=[])
    parts = {"board": board.id, "memory": "kit-a*1"} | ({"cpu": "kept-cpu"} if kept else {})
    assert (blocked(problem, **parts) == set()) == good
    agree(rule, problem)


def pc_of_2010(**board: object) -> Survey:
    """Generation, form and number of the slots not known; modules that nobody read."""
    dark = replace(
        OLD_BOARD, memory_generation=None, memory_module=None, memory_slots=None, year=2010, **board
    )
    silent = MEMORY.model_copy(update={"generation": None, "module": None})
    return make_survey(board=dark, memory=(silent,))


def test_no_memory_alone_for_slots_that_nobody_looked_at() -> None:
    """The first question is the generation, with what is at stake; the hoped plan shows what hangs on it."""
    survey = pc_of_2010()
    kits = [OLD_KIT, replace(KIT, id="kit-new", generation="ddr5", rate_mts=4800)]
    problem = make_problem(survey, Brief(budget="40.00"), boards=[], cpus=[], memory=kits)
    outcome = answer(problem)
    assert [plan.parts.unchanged for plan in outcome.plans] == [True]  # nothing is bought on a guess
    assert outcome.hoped is not None
    wished, looks = outcome.hoped.plan, {look.question: look for look in outcome.hoped.looks}
    assert (
        wished.parts.memory.kit is not None and wished.parts.memory.kit.id == "kit-old"
    )  # never DDR5 in 2010
    assert looks["board.memory_generation"].hoped == "ddr3"
    assert looks["board.memory_generation"].at_stake == wished.draft.cost
    assert not wished.admitted and "board.memory_generation" in wished.open_questions


def test_nothing_is_hoped_where_nothing_is_barred() -> None:
    problem = make_problem()
    outcome = answer(problem)
    assert outcome.hoped is None and hoped_plan(problem, outcome.plans[0]) is None


@pytest.mark.parametrize(
    ("board", "cpu", "possible"),
    [
        (
            {"year": 2010},
            {},
            ("sdr", "ddr", "ddr2", "ddr3"),
        ),  # DDR4 since 2014, DDR5 since 2021: common practice
        ({"socket": "AM4"}, {}, ("ddr4",)),
        ({"socket": "lga775", "year": 2006}, {}, ("ddr", "ddr2")),
        ({}, {"memory_rates": "ddr3:1333 ddr2:800"}, ("ddr2", "ddr3")),
        ({"memory_generation": "ddr4"}, {}, ("ddr4",)),
    ],
)
def test_bounds_of_the_generation(board: dict, cpu: dict, possible: tuple[str, ...]) -> None:
    survey, _ = parse_survey({"case": {}, "psu": {}, "board": board, "cpu": cpu}, "pc.toml")
    assert possible_generations(survey) == possible


def test_modules_that_sit_in_the_slots_tell_their_generation() -> None:
    survey, _ = parse_survey(
        {"case": {}, "psu": {}, "memory": [{"generation": "ddr2"}, {"count": 1}]}, "pc.toml"
    )
    assert survey.board.memory_generation == "ddr2" and survey.memory[1].generation == "ddr2"
    assert ("board.memory_generation", "memory.generation") in survey.inferred
