"""memory.voltage and memory.organisation. Outside: JEDEC JESD79-3 (1.5 V) and its addendum (1.35 V);
limits of the 4-series, LGA1155 and LGA775 boards from Intel DG43GT technical product specification p. 16
and DZ77BH-55K table 4; LGA1151 with DDR3 from press reports of 2015; an unbuffered 64-bit module of 16
chips in one rank has 4-bit chips (JEDEC widths 4, 8, 16)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, KIT, MEMORY, OLD_BOARD, SELLER, agree, findings, make_problem, make_survey, pick

from partsolver.problem.problem import Problem
from partsolver.rules import memory_mixing, memory_organisation, memory_voltage
from partsolver.rules.memory_organisation import sizes_mbit
from partsolver.standards.memory import chip_width_bits

GIB = 1024


def ddr3(board: dict[str, Any], kit: dict[str, Any], **kept: Any) -> Problem:
    """A DDR3 board, a DDR3 kit, two present DDR3 modules."""
    return make_problem(
        make_survey(memory=(MEMORY.model_copy(update=kept),)),
        boards=[replace(BOARD, memory_generation="ddr3", **board)],
        memory=[replace(KIT, generation="ddr3", rate_mts=1600, **kit)],
        coolers=(),
    )


@pytest.mark.parametrize(
    "board, voltage_mv, verdict, raised",
    [
        ({"socket": "lga1151"}, 1350, "fits", None),
        ({"socket": "lga1151"}, 1351, "fails", None),
        ({"socket": "lga1151"}, 1500, "fails", None),
        ({"socket": "lga1151"}, 1650, "fails", None),
        ({"socket": "lga1151"}, None, "unknown", None),
        ({"memory_voltage_mv": 1350}, 1500, "fails", None),  # stated by the board
        ({"socket": "lga1151", "memory_voltage_mv": 1500}, 1500, "fits", None),  # the board's own word counts
        ({"socket": "lga1150"}, 1350, "fits", None),  # runs at 1.5 V too
        ({"socket": "lga1150"}, 1500, "fits", None),
        ({"socket": "lga1150"}, 1650, "fits", "yes"),  # its standard profile
        ({"memory_voltage_mv": 1500}, 1650, "fits", "yes"),
        ({"memory_voltage_mv": 1650}, 1650, "fits", "yes"),  # more than the standard is no limit below it
    ],
)
def test_voltage(board: dict[str, Any], voltage_mv: int | None, verdict: str, raised: str | None) -> None:
    problem = ddr3(board, {"voltage_mv": voltage_mv})
    (found,) = findings(memory_voltage, problem, pick(problem, memory="kit-a*1"))
    assert (found.verdict, found.fact("raised"), found.blocks) == (verdict, raised, False)
    assert found.question == ("memory:kit-a.voltage_mv" if verdict == "unknown" else None)
    if verdict == "fails":
        assert (found.limit, found.margin, found.unit) == (1350, 1350 - (voltage_mv or 0), "mV")
    agree(memory_voltage, problem)


def test_voltage_not_stated_is_no_question_on_ordinary_slots() -> None:
    problem = ddr3({"socket": "lga1150"}, {"voltage_mv": None})
    assert findings(memory_voltage, problem, pick(problem, memory="kit-a*1")) == ()
    ddr4 = make_problem(boards=[replace(BOARD, socket="lga1151")])
    assert findings(memory_voltage, ddr4)[0].verdict == "fits"  # 1.2 V, and no limit for DDR4


@pytest.mark.parametrize(("slots", "modules"), [(None, "ddr3"), ("ddr3", None)])
def test_who_states_a_generation_says_the_voltage(slots: str | None, modules: str | None) -> None:
    """Slots for DDR3 on LGA1151, or modules of DDR3: 1.35 V, whoever of the two states nothing."""
    problem = make_problem(
        boards=[replace(BOARD, socket="lga1151", memory_generation=slots)],
        memory=[replace(KIT, generation=modules, voltage_mv=1500)],
        coolers=(),
    )
    (found,) = findings(memory_voltage, problem, pick(problem, memory="kit-a*1"))
    assert (found.verdict, found.value, found.limit) == ("fails", 1500, 1350)
    assert min(agree(memory_voltage, problem)) > 0


def test_kept_modules_on_low_voltage_slots() -> None:
    """Asked with the words of the label; on the present board they work today."""
    for voltage_mv, verdict in ((None, "unknown"), (1500, "fails"), (1350, "fits")):
        problem = ddr3({"socket": "lga1151"}, {"voltage_mv": 1350}, voltage_mv=voltage_mv)
        (found,) = findings(memory_voltage, problem, pick(problem, memory="kept-memory"))
        assert found.verdict == verdict
        assert found.question == ("memory.voltage_mv" if voltage_mv is None else None)
        (both,) = findings(memory_voltage, problem, pick(problem, memory="kit-a*1+kept-memory"))
        assert both.verdict == verdict
        today = pick(problem, board="kept-board", cpu="kept-cpu", memory="kept-memory")
        assert findings(memory_voltage, problem, today) == ()
        assert min(agree(memory_voltage, problem)) > 0 or voltage_mv != 1500


@pytest.mark.parametrize(
    ("kept_mv", "kit_mv", "alone", "both", "elsewhere"),
    [
        (
            1500,
            1350,
            "fits",
            "fits",
            "fails",
        ),  # what runs in it today stays, and goes into no other such board
        (1500, 1500, "fails", "fails", "fails"),
        (1500, None, "unknown", "unknown", "fails"),
        (None, 1350, "fits", "fits", "unknown"),
        (None, 1500, "fails", "fails", "fails"),
        (1350, 1351, "fails", "fails", "fails"),
    ],
)
def test_modules_beside_those_of_the_present_low_voltage_board(
    kept_mv: int | None, kit_mv: int | None, alone: str, both: str, elsewhere: str
) -> None:
    """Both boards take 1.35 V only, as they state; the kit's word counts on each, the present modules' on the new one."""
    low = {"memory_voltage_mv": 1350, "memory_generation": "ddr3", "memory_slots": 4}
    problem = make_problem(
        make_survey(
            board=replace(OLD_BOARD, **low), memory=(MEMORY.model_copy(update={"voltage_mv": kept_mv}),)
        ),
        boards=[replace(BOARD, **low)],
        memory=[replace(KIT, generation="ddr3", rate_mts=1333, voltage_mv=kit_mv)],
        coolers=[],
        cpus=[],
    )
    stays = {"board": "kept-board", "cpu": "kept-cpu"}
    asked = [
        (pick(problem, **stays, memory="kit-a*1"), alone, "memory:kit-a.voltage_mv"),
        (pick(problem, **stays, memory="kit-a*1+kept-memory"), both, "memory:kit-a.voltage_mv"),
        (pick(problem, memory="kit-a*1+kept-memory"), elsewhere, "memory.voltage_mv"),
    ]
    for parts, verdict, question in asked:
        (found,) = findings(memory_voltage, problem, parts)
        assert (found.verdict, found.question) == (verdict, question if verdict == "unknown" else None)
    assert findings(memory_voltage, problem, pick(problem, **stays, memory="kept-memory")) == ()
    agree(memory_voltage, problem)


@pytest.mark.parametrize(
    "board, mib, chips, verdict, question",
    [
        # 4 GiB on a board of the 4-series: 16 chips of 2 Gbit are the only way (Intel DG43GT: 2 Gbit)
        ({"memory_max_chip_mbit": 2048}, 4 * GIB, 16, "fits", None),
        ({"memory_max_chip_mbit": 2048}, 4 * GIB, 8, "fails", None),
        ({"memory_max_chip_mbit": 2048}, 4 * GIB, None, "unknown", "memory:kit-a.chips"),
        ({"memory_max_chip_mbit": 2048}, 8 * GIB, None, "fails", None),  # not even with 16
        ({"memory_max_chip_mbit": 2048}, 2 * GIB, None, "fits", None),  # even with 8
        ({"memory_max_chip_mbit": 2048}, GIB, None, "fits", None),
        ({"memory_max_chip_mbit": 2047}, 2 * GIB, 8, "fails", None),
        ({"socket": "lga775"}, 4 * GIB, 16, "fits", None),
        ({"socket": "lga775"}, 4 * GIB, 8, "unknown", "board:board-a.memory_max_chip_mbit"),
        ({"socket": "lga775"}, 4 * GIB, None, "unknown", "memory:kit-a.chips"),
        ({"socket": "lga1155"}, 8 * GIB, 16, "fits", None),  # DZ77BH-55K: 4 Gbit, 8 GB
        # None of 25,806 modules with LGA1155 and LGA1150 has 16 GB (start reference, section 4.2): no question.
        ({"socket": "lga1155"}, 16 * GIB, 16, "fails", None),
        ({"socket": "lga1156"}, 8 * GIB, 16, "unknown", "board:board-a.memory_max_chip_mbit"),
    ],
)
def test_size_of_the_chips(
    board: dict[str, Any], mib: int, chips: int | None, verdict: str, question: str | None
) -> None:
    problem = ddr3(board, {"module_mib": mib, "chips": chips, "ranks": None})
    (found,) = findings(memory_organisation, problem, pick(problem, memory="kit-a*1"))
    assert (found.verdict, found.question, found.blocks) == (verdict, question, False)
    if verdict == "fails":
        assert found.margin == found.limit - found.value < 0 and found.unit == "Mbit"
    agree(memory_organisation, problem)


def test_the_present_board_takes_its_own_modules_and_refuses_others_like_any_board() -> None:
    """Chips of 4 Gbit on a board of 2 Gbit (Intel DG43GT: 2 Gbit): those that run in it today run in it tomorrow."""
    old = replace(OLD_BOARD, memory_max_chip_mbit=2048)
    survey = make_survey(board=old, memory=(MEMORY.model_copy(update={"capacity_mib": 4 * GIB, "chips": 8}),))
    kit = replace(KIT, generation="ddr3", rate_mts=1333, modules=1, module_mib=4 * GIB, chips=8, ranks=None)
    problem = make_problem(survey, boards=[], memory=[kit], coolers=[])
    for processor in ("kept-cpu", "cpu-a"):
        stays = {"board": "kept-board", "cpu": processor, "cooler": "kept-cooler"}
        assert findings(memory_organisation, problem, pick(problem, **stays, memory="kept-memory")) == ()
        for memory in ("kit-a*1", "kit-a*1+kept-memory"):
            (found,) = findings(memory_organisation, problem, pick(problem, **stays, memory=memory))
            assert (found.verdict, found.value, found.limit) == ("fails", 4096, 2048)
    admitted, refused = agree(memory_organisation, problem)
    assert admitted and refused


def test_sizes_of_the_chips_are_whole_numbers() -> None:
    """4 GiB are 32,768 Mbit; nine chips are eight and one for error correction: 3,640.9."""
    assert [repr(sizes_mbit(4 * GIB, chips)) for chips in (8, 9, None)] == [
        "(4096, 4096)",
        "(3640, 3640)",
        "(2048, 4096)",
    ]


@pytest.mark.parametrize("slots, modules", [("ddr3", "ddr3"), (None, "ddr3"), ("ddr3", None)])
@pytest.mark.parametrize("chips, good", [(16, True), (8, False)])
def test_the_generation_that_either_states_has_a_largest_chip(
    slots: str | None, modules: str | None, chips: int, good: bool
) -> None:
    """8 GiB of 8 or 16 chips on LGA1155, which takes chips of 4 Gbit (DZ77BH-55K, table 4)."""
    problem = make_problem(
        boards=[replace(BOARD, socket="lga1155", memory_generation=slots)],
        memory=[replace(KIT, generation=modules, module_mib=8 * GIB, chips=chips, ranks=None)],
        cpus=(),
        coolers=(),
    )
    (found,) = findings(memory_organisation, problem, pick(problem, memory="kit-a*1"))
    assert (found.verdict, found.limit) == ("fits" if good else "fails", 4096)
    agree(memory_organisation, problem)


def test_modules_whose_size_nobody_read_hide_no_others() -> None:
    """Beside them 4 GiB of 8 chips, 4 Gbit each, on a board of 2 Gbit (Intel DG43GT)."""
    known = MEMORY.model_copy(update={"capacity_mib": 4 * GIB, "chips": 8, "count": 1})
    unread = known.model_copy(update={"capacity_mib": None})
    problem = make_problem(
        make_survey(memory=(unread, known)),
        boards=[replace(BOARD, memory_generation="ddr3", memory_max_chip_mbit=2048)],
        memory=[],
        cpus=[],
        coolers=[],
    )
    (found,) = findings(memory_organisation, problem, pick(problem, memory="kept-memory"))
    assert (found.verdict, found.value, found.limit) == ("fails", 4096, 2048)


def test_boards_of_which_nothing_is_known_ask_nothing() -> None:
    problem = ddr3({}, {"module_mib": 16 * GIB, "chips": None})
    assert findings(memory_organisation, problem, pick(problem, memory="kit-a*1")) == ()


@pytest.mark.parametrize(
    "socket, ranks, chips, registered, good",
    [
        ("lga1155", 1, 16, False, False),  # 4-bit chips, unbuffered
        ("lga1155", 1, 16, True, True),
        ("lga1155", 2, 16, False, True),  # two ranks of 8-bit chips
        ("am3", 1, 16, False, True),  # sold for such boards
        ("lga775", 2, 8, False, False),  # two-sided, 16-bit chips
        ("am2", 2, 8, False, False),
        ("am2", 1, 8, False, True),
        ("lga1155", 2, 8, False, True),
        ("lga775", 1, 4, False, True),  # one-sided, 16-bit chips
        ("lga775", None, 8, False, True),
        ("lga775", 2, 16, False, True),  # two-sided, 8-bit chips
        # Of neither 4, 8 nor 16 bits: miscounted, and nothing follows from it.
        ("lga775", 2, 4, False, True),
        ("lga1155", 1, 32, False, True),
    ],
)
def test_width_of_the_chips(socket: str, ranks: int | None, chips: int, registered: bool, good: bool) -> None:
    made = {"ranks": ranks, "chips": chips, "registered": registered, "module_mib": GIB}
    problem = ddr3({"socket": socket}, made)
    found = findings(memory_organisation, problem, pick(problem, memory="kit-a*1"))
    assert all(f.admits for f in found) == good
    if not good:
        assert found[0].value == 64 * (ranks or 0) // chips
    agree(memory_organisation, problem)


def test_width() -> None:
    assert [chip_width_bits(r, c) for r, c in ((1, 8), (2, 16), (1, 16), (1, 4), (2, 8), (1, 9))] == [
        8,
        8,
        4,
        16,
        16,
        None,
    ]


def test_two_kits_of_one_kind_get_the_caution() -> None:
    problem = make_problem(memory=[KIT], sellers=[replace(SELLER, returns_days=30)], coolers=())
    (found,) = findings(memory_mixing, problem, pick(problem, memory="kit-a*2"))
    assert found.facts == (("kits", 2), ("new", 4), ("returns_days", 30), ("two_per_channel", "yes"))
    assert found.admits and findings(memory_mixing, problem, pick(problem, memory="kit-a*1")) == ()
