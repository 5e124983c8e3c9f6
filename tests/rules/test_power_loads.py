"""What each part draws, by hand: with round settings of this test's own, so that each sum can be done in the head.

P = 12 U12 + 5 U5 + 3.3 U3.3 in mW of mA; milliampere are rounded up. A load: usual, highest and starting currents.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, CASE, CPU, KIT, MEMORY, SYSTEM_DRIVE, make_problem, make_survey

from partsolver.assembly import loads
from partsolver.assembly.currents import NOTHING, Load, load_of_currents, power_of_currents_mw, times_load
from partsolver.catalog.records import DrivePart
from partsolver.problem.candidates import DriveChoice
from partsolver.problem.memory_choices import new_memory
from partsolver.standards.processors import ProcessorPower
from partsolver.survey.model import Card, Device, Drive

S = {
    "usb_drive_ma": 501, "usb3_port_mw": 4500, "usb2_port_mw": 2500, "usb_device_ma": 100,
    "ps2_device_ma": 40, "ps2_device_most_ma": 200,
    "nvme_mw": 5000, "nvme3_mw": 8000, "nvme4_mw": 10000, "nvme5_mw": 14000,
    "ssd_sata_5v_ma": 330, "ssd_sata_most_5v_ma": 1000,
    "hdd35_12v_ma": 450, "hdd35_5v_ma": 600, "hdd35_most_12v_ma": 900, "hdd35_most_5v_ma": 910,
    "hdd35_start_12v_ma": 2800, "hdd35_start_5v_ma": 800, "hdd25_5v_ma": 500, "hdd25_start_5v_ma": 1000,
    "optical_idle_12v_ma": 200, "optical_idle_5v_ma": 510, "optical_12v_ma": 1000, "optical_5v_ma": 920,
    "floppy_5v_ma": 700, "vrm_typical_percent": 90, "vrm_efficiency_percent": 85, "cpu_supply_mv": 11400,
    "startup_processor_percent": 50, "startup_card_percent": 60,
    "ddr3_module_mw": 3000, "ddr3_module_most_mw": 5000, "ddr4_module_mw": 2001, "ddr4_module_most_mw": 4002,
    "cpu_fan_12v_ma": 300, "cpu_fan_most_12v_ma": 1200, "case_fan_12v_ma": 110, "case_fan_most_12v_ma": 310,
    "board_to2005_12v_ma": 1, "board_to2005_5v_ma": 2, "board_to2005_3v3_ma": 3,
    "board_to2005_12v_most_ma": 4, "board_to2005_5v_most_ma": 5, "board_to2005_3v3_most_ma": 6,
    "board_to2009_12v_ma": 11, "board_to2009_5v_ma": 12, "board_to2009_3v3_ma": 13,
    "board_to2009_12v_most_ma": 14, "board_to2009_5v_most_ma": 15, "board_to2009_3v3_most_ma": 16,
    "board_later_12v_ma": 1000, "board_later_5v_ma": 2000, "board_later_3v3_ma": 1000,
    "board_later_12v_most_ma": 1001, "board_later_5v_most_ma": 2001, "board_later_3v3_most_ma": 1002,
}  # fmt: skip


def drive(**facts: Any) -> Drive:
    return Drive(name="drive", **facts)


def test_power_of_three_currents() -> None:
    assert power_of_currents_mw(1000, 1000, 1000) == 20300
    assert power_of_currents_mw(0, 0, 1) == 4  # 3.3, rounded up


def test_loads_add_place_by_place() -> None:
    first, second = Load(*range(1, 11)), Load(*range(100, 1100, 100))
    assert first + second == Load(*(101 * n for n in range(1, 11)))
    assert first + NOTHING == first and Load(*[0] * 10) == NOTHING
    assert load_of_currents((1, 2, 3)) == Load(1, 2, 3, 1, 2, 3, 1, 2, 32, 32)
    assert load_of_currents((1, 2, 3), (4, 5, 6), (7, 8), 10) == Load(
        10, 20, 30, 40, 50, 60, 70, 80, 319, 928
    )
    assert times_load(load_of_currents((1, 2, 3), (4, 5, 6), (7, 8)), 10) == load_of_currents(
        (10, 20, 30), (40, 50, 60), (70, 80)
    )


@pytest.mark.parametrize(
    ("facts", "usual", "most", "start"),
    [
        ({"kind": "ssd", "interface": "usb"}, (0, 501, 0), (0, 900, 0), (0, 501)),  # a USB 3 port's 4.5 W
        ({"kind": "hdd35", "interface": "sata"}, (450, 600, 0), (900, 910, 0), (2800, 800)),
        ({"kind": "hdd35", "interface": "pata"}, (450, 600, 0), (900, 910, 0), (2800, 800)),
        ({"interface": "sata"}, (450, 600, 0), (900, 910, 0), (2800, 800)),  # unknown: as the largest
        ({"kind": "hdd35", "start_12v_ma": 2000}, (450, 600, 0), (900, 910, 0), (2000, 800)),
        ({"kind": "hdd35", "start_12v_ma": 449}, (450, 600, 0), (900, 910, 0), (450, 800)),
        ({"kind": "hdd25", "interface": "sata"}, (0, 500, 0), (0, 1000, 0), (0, 1000)),
        ({"kind": "ssd", "interface": "sata"}, (0, 330, 0), (0, 1000, 0), (0, 330)),
        ({"kind": "ssd", "interface": "m2-sata"}, (0, 0, 500), (0, 0, 1516), (0, 0)),  # 330 x 5 / 3.3; 1515.2
        ({"kind": "ssd", "interface": "m2-nvme", "pcie_gen": 3}, (0, 0, 1516), (0, 0, 2425), (0, 0)),
        ({"kind": "ssd", "interface": "m2-nvme"}, (0, 0, 1516), (0, 0, 2425), (0, 0)),
        ({"kind": "ssd", "interface": "m2-nvme", "pcie_gen": 2}, (0, 0, 1516), (0, 0, 2425), (0, 0)),
        ({"kind": "ssd", "interface": "m2-nvme", "pcie_gen": 4}, (0, 0, 1516), (0, 0, 3031), (0, 0)),
        ({"kind": "ssd", "interface": "m2-nvme", "pcie_gen": 5}, (0, 0, 1516), (0, 0, 4243), (0, 0)),
        ({"kind": "optical", "interface": "sata"}, (200, 510, 0), (1000, 920, 0), (1000, 920)),
        ({"kind": "floppy", "interface": "floppy"}, (0, 0, 0), (0, 700, 0), (0, 0)),
    ],
)
def test_drives(
    facts: dict[str, Any], usual: tuple[int, int, int], most: tuple[int, int, int], start: tuple[int, int]
) -> None:
    assert loads.drive_load(drive(**facts), S) == load_of_currents(usual, most, start)


def test_settings_that_turn_an_order_round() -> None:
    """The highest is never below the usual, and nothing starts on less than it runs on."""
    usb = loads.drive_load(drive(kind="ssd", interface="usb"), S | {"usb_drive_ma": 950})
    assert (usb.ma_5v, usb.most_5v) == (950, 950)
    nvme = loads.drive_load(drive(kind="ssd", interface="m2-nvme"), S | {"nvme_mw": 9000})
    assert (nvme.ma_3v3, nvme.most_3v3) == (2425, 2425)
    small = loads.drive_load(drive(kind="hdd25", interface="sata"), S | {"hdd25_start_5v_ma": 400})
    assert (small.most_5v, small.start_5v) == (500, 500)
    large = loads.drive_load(drive(kind="hdd35", interface="sata"), S | {"hdd35_start_5v_ma": 500})
    assert large.start_5v == 600


def test_a_bought_system_drive_is_a_drive() -> None:
    kept = DriveChoice("kept", SYSTEM_DRIVE, None)
    assert loads.system_drive_load(kept, S) == load_of_currents((0, 330, 0), (0, 1000, 0))
    part = DrivePart("d", "drive", kind="ssd", interface="m2-nvme", pcie_gen=5)
    assert loads.system_drive_load(DriveChoice("d", None, part), S) == load_of_currents(
        (0, 0, 1516), (0, 0, 4243)
    )
    assert loads.system_drive_load(DriveChoice("d", None, None), S) == NOTHING


@pytest.mark.parametrize(
    ("power", "usual", "most", "start"),
    [
        # 90 W / 0.90 / 12 V = 8333.3 mA; 120 W / 0.85 / 11.4 V = 12383.9 mA; half of the usual while the disks start.
        ({"typical_w": 90, "short_most_w": 120, "at_plug": False}, 8334, 12384, 4167),
        # Measured at the plug: 90 W / 12 V.
        ({"typical_w": 90, "short_most_w": 120, "at_plug": True}, 7500, 12384, 3750),
        # Never below the usual.
        ({"typical_w": 90, "short_most_w": 10, "at_plug": False}, 8334, 8334, 4167),
    ],
)
def test_processor(
    monkeypatch: pytest.MonkeyPatch, power: dict[str, Any], usual: int, most: int, start: int
) -> None:
    fields = dict.fromkeys(ProcessorPower.__dataclass_fields__, 0) | power
    monkeypatch.setattr(loads, "processor_power", lambda *_: ProcessorPower(**fields))
    assert loads.cpu_load(CPU, S) == load_of_currents((usual, 0, 0), (most, 0, 0), (start, 0))
    candidate = type("Candidate", (), {"part": CPU})
    assert loads.highest_where_adapted(True, S)(candidate) == most
    assert loads.highest_where_adapted(False, S)(candidate) == 0


def test_a_processor_of_which_nothing_is_stated() -> None:
    nothing = replace(CPU, tdp_w=None, power_limit_w=None, socket=None, year=None, cores=None)
    assert loads.cpu_load(nothing, S) == NOTHING


@pytest.mark.parametrize(
    ("year", "usual", "most"),
    [
        (2005, (1, 2, 3), (4, 5, 6)),
        (2006, (11, 12, 13), (14, 15, 16)),
        (2009, (11, 12, 13), (14, 15, 16)),
        (2010, (1000, 2000, 1000), (1001, 2001, 1002)),
        (None, (1000, 2000, 1000), (14, 15, 16)),  # the worst that it may be
    ],
)
def test_board(year: int | None, usual: tuple[int, int, int], most: tuple[int, int, int]) -> None:
    assert loads.board_load(replace(BOARD, year=year, load_mw=None), S) == load_of_currents(usual, most)


@pytest.mark.parametrize(
    ("load_mw", "currents"),
    [(25300, (1000, 2000, 1000)), (50600, (2000, 4000, 2000)), (25301, (1001, 2001, 1001))],
)
def test_a_boards_stated_power_is_spread_over_the_rails(load_mw: int, currents: tuple[int, int, int]) -> None:
    """12 V 1 A, 5 V 2 A, 3.3 V 1 A are 25.3 W; what is stated is usual and highest."""
    assert loads.board_load(replace(BOARD, year=2015, load_mw=load_mw), S) == load_of_currents(currents)


def test_memory() -> None:
    """3 W and 5 W at 5 V; 2.001 W and 4.002 W rounded up; an unknown generation as DDR4."""
    assert loads.module_load("ddr3", S) == load_of_currents((0, 600, 0), (0, 1000, 0))
    for generation in ("ddr4", "ddr9", None):
        assert loads.module_load(generation, S) == load_of_currents((0, 401, 0), (0, 801, 0))
    four = new_memory(replace(KIT, generation="ddr3", modules=2), 2)
    assert loads.memory_load(four, S) == load_of_currents((0, 2400, 0), (0, 4000, 0))
    rows = (MEMORY, MEMORY.model_copy(update={"generation": "ddr4", "count": 1}))
    assert loads.today_modules_load(rows, S) == load_of_currents((0, 1601, 0), (0, 2801, 0))


@pytest.mark.parametrize(("fans", "counted"), [(0, 0), (1, 1), (3, 3), (None, 1)])
def test_fans(fans: int | None, counted: int) -> None:
    assert loads.case_load(replace(CASE, fans=fans), S) == load_of_currents(
        (110 * counted, 0, 0), (310 * counted, 0, 0), (310 * counted, 0)
    )
    assert loads.cpu_fan_load(S) == load_of_currents((300, 0, 0), (1200, 0, 0), (1200, 0))


def test_what_stays_whatever_is_chosen() -> None:
    """The processor's fan, two devices on USB, one on PS/2, and the drive beside the system drive."""
    devices = tuple(Device(name=f"d{n}", port=port) for n, port in enumerate(("usb", "ps2", "usb", "serial")))  # type: ignore[arg-type]
    survey = make_survey(devices=devices, drives=(SYSTEM_DRIVE, drive(kind="hdd25", interface="sata")))
    problem = replace(make_problem(survey), settings=S)
    assert loads.usb_devices_load(problem) == load_of_currents((0, 200, 0), (0, 1000, 0))
    assert loads.ps2_devices_load(problem) == load_of_currents((0, 40, 0), (0, 200, 0))
    assert loads.fixed_load(problem) == load_of_currents((300, 740, 0), (1200, 2200, 0), (1200, 1240))


@pytest.mark.parametrize(("kind", "start"), [("graphics", 600), ("other", 1000)])
def test_a_graphics_card_starts_on_less(monkeypatch: pytest.MonkeyPatch, kind: str, start: int) -> None:
    """60 % of its usual current at 12 V while the disks start; another card all of it."""
    draw = loads.CardDraw((1000, 20, 30), 2000)
    most = loads.CardDraw((1500, 50, 60), 2500)
    monkeypatch.setattr(loads, "card_draw", lambda *_: (draw, most))
    card = Card(name="card", kind=kind, bus="pcie", power_plugs=("6",))  # type: ignore[arg-type]
    found = loads.card_load(card, S)
    assert found.slot == load_of_currents((1000, 20, 30), (1500, 50, 60), (start, 20))
    assert found.plugs == load_of_currents((2000, 0, 0), (2500, 0, 0), (2 * start, 0))
    assert not found.known
    for facts in ({"load_mw": 9000}, {"power_plugs": ()}):
        assert loads.card_load(card.model_copy(update=facts), S).known
    both = loads.sum_of_cards((card, card.model_copy(update={"load_mw": 9000})), S)
    assert (both.slot, both.plugs, both.known) == (found.slot + found.slot, found.plugs + found.plugs, False)
    assert loads.sum_of_cards((), S) == loads.CardLoad(NOTHING, NOTHING, True)
