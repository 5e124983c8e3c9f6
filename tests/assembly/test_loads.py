"""The load of a whole PC, by hand: 12 V, 5 V and 3.3 V with round settings of this test's own (`rules/test_power_loads.py` has the parts)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import (
    BOARD,
    CASE,
    CPU,
    MEMORY,
    OLD_BOARD,
    OLD_CPU,
    SYSTEM_DRIVE,
    make_problem,
    make_survey,
    pick,
)

from partsolver.assembly import loads
from partsolver.assembly.currents import NOTHING, Load, load_of_currents, times_load
from partsolver.catalog.records import DrivePart
from partsolver.catalog.sockets import Slot
from partsolver.problem.candidates import KEPT_GRAPHICS, DriveChoice, GraphicsChoice
from partsolver.problem.problem import Problem
from partsolver.survey.model import Card, Device, Drive
from partsolver.wishes.brief import Brief

OWN = GraphicsChoice(KEPT_GRAPHICS, None, None)
DISK = Drive(name="disk", kind="hdd35", interface="sata")
NET = Card(name="net", kind="network", bus="pcie", lanes=1, load_mw=3300)
PCI = Card(name="pci", kind="sound", bus="pci", load_mw=1000)
S = {
    "board_later_12v_ma": 100, "board_later_5v_ma": 200, "board_later_3v3_ma": 300,
    "board_later_12v_most_ma": 110, "board_later_5v_most_ma": 220, "board_later_3v3_most_ma": 330,
    "ddr4_module_mw": 2000, "ddr4_module_most_mw": 4000, "ddr3_module_mw": 1000, "ddr3_module_most_mw": 3000,
    "cpu_fan_12v_ma": 300, "cpu_fan_most_12v_ma": 1200, "case_fan_12v_ma": 10, "case_fan_most_12v_ma": 20,
    "ssd_sata_5v_ma": 50, "ssd_sata_most_5v_ma": 70, "usb_device_ma": 5, "usb2_port_mw": 2500,
    "ps2_device_ma": 3, "ps2_device_most_ma": 4, "hdd35_12v_ma": 1000, "hdd35_5v_ma": 600,
    "hdd35_most_12v_ma": 1100, "hdd35_most_5v_ma": 700, "hdd35_start_12v_ma": 2000, "hdd35_start_5v_ma": 800,
    "nvme_mw": 3300, "nvme3_mw": 6600, "nvme4_mw": 9900,
}  # fmt: skip


def pc(boards: Any = (), brief: Brief | None = None, **survey: Any) -> Problem:
    board = replace(BOARD, load_mw=None, year=2018)
    tables = {
        "drives": (SYSTEM_DRIVE, DISK),
        "devices": (Device(name="a", port="usb"), Device(name="b", port="ps2")),
        "cards": (NET,),
        "board": replace(OLD_BOARD, load_mw=None),
        **survey,
    }
    module = DrivePart("drive-a", "Module", kind="ssd", interface="m2-nvme", pcie_gen=4)
    problem = make_problem(
        make_survey(**tables), brief or Brief(replace=("drive",)), boards=boards or [board], drives=[module]
    )
    return replace(problem, settings={**problem.settings, **S})


def processor(problem: Problem, cpu: Any = CPU) -> Load:
    return loads.cpu_load(cpu, problem.settings)


# Board, two modules of 2 and 4 W at 5 V, both fans, SSD, disk, USB and PS/2 device, 1 A at 3.3 V for the card.
REST = Load(
    ma_12v=100 + 300 + 10 + 1000,
    ma_5v=200 + 2 * 400 + 50 + 600 + 5 + 3,
    ma_3v3=300 + 1000,
    most_12v=110 + 1200 + 20 + 1100,
    most_5v=220 + 2 * 800 + 70 + 700 + 500 + 4,
    most_3v3=330 + 1000,
    start_12v=100 + 1200 + 20 + 2000,
    start_5v=200 + 2 * 400 + 50 + 800 + 5 + 3,
    mw=1410 * 12 + 1658 * 5 + 990 + 3300,
    most_mw=2430 * 12 + 3094 * 5 + 1089 + 3300,
)


def test_a_whole_pc() -> None:
    problem = pc()
    parts = pick(problem)
    assert loads.total_load(problem, parts) == REST + processor(problem)
    assert loads.total_load(problem, parts) is loads.total_load(problem, parts)
    # The next parts asked for are other parts.
    two = pick(problem, memory="kit-a*2")
    more = loads.total_load(problem, two)
    assert more.ma_5v == REST.ma_5v + 800 and more.most_5v == REST.most_5v + 1600
    assert loads.total_load(problem, parts) == REST + processor(problem)


def test_the_drive_that_is_chosen() -> None:
    """A module of generation 4 in the place of the SSD: 1 A usually, 3 A at most from 3.3 V."""
    problem = pc()
    found = loads.total_load(problem, pick(problem, drive="drive-a"))
    assert (found.ma_5v, found.ma_3v3) == (REST.ma_5v - 50, REST.ma_3v3 + 1000)
    assert (found.most_5v, found.most_3v3) == (REST.most_5v - 70, REST.most_3v3 + 3000)
    assert loads.system_drive_load(DriveChoice("none", None, None), problem.settings) == NOTHING
    assert loads.bought_drive_load(DriveChoice("none", None, None), problem.settings) == NOTHING


def test_cards_with_a_place_draw() -> None:
    problem = pc(cards=(NET, PCI))
    load = loads.cards_load(problem, BOARD, CASE, OWN)
    assert (load.slot, load.plugs, load.known) == (load_of_currents((0, 0, 1000)), NOTHING, True)
    assert loads.cards_load(problem, BOARD, CASE, OWN) is load
    both = loads.cards_load(problem, replace(BOARD, slots=(Slot("x1", 1), Slot("pci", 0))), CASE, OWN)
    assert both.slot == load_of_currents((0, 200, 1000))
    assert loads.sum_of_cards((NET, PCI), problem.settings) == both


def test_the_pc_as_it_is() -> None:
    """Two modules of 1 W, and all that the brief leaves out of the next PC."""
    spare = Drive(name="spare", kind="hdd35", interface="sata", required=False)
    problem = pc(brief=Brief(leave_out=("spare",)), drives=(SYSTEM_DRIVE, DISK, spare))
    found = loads.today_load(problem)
    own = REST + processor(problem, OLD_CPU)
    disk = loads.drive_load(DISK, problem.settings)
    modules = times_load(load_of_currents((0, 200, 0), (0, 600, 0)), MEMORY.count)
    new = times_load(load_of_currents((0, 400, 0), (0, 800, 0)), 2)
    board = load_of_currents((100, 200, 300), (110, 220, 330))
    old_board = loads.board_load(problem.survey.board, problem.settings)
    assert found + new + board == own + disk + modules + old_board
    assert loads.today_load(problem) is found
    assert loads.fixed_load(problem).ma_12v == 300 + 1000 and loads.fixed_load(problem) is loads.fixed_load(
        problem
    )


@pytest.mark.parametrize(
    ("year", "era"),
    [
        (None, "later"),
        (2010, "later"),
        (2009, "to2009"),
        (2006, "to2009"),
        (2005, "to2005"),
        (1999, "to2005"),
    ],
)
def test_which_boards_a_board_is_like(year: int | None, era: str) -> None:
    assert loads.board_era(year) == era


def test_a_board_that_is_said_to_draw_nothing() -> None:
    nothing = dict.fromkeys(("board_later_12v_ma", "board_later_5v_ma", "board_later_3v3_ma"), 0)
    assert loads.board_load(replace(BOARD, load_mw=5000, year=2018), {**S, **nothing}) == NOTHING
    assert loads.board_load(replace(BOARD, load_mw=0, year=2018), S) == NOTHING
