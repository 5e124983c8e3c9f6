"""How a system starts on another board (start reference, sections 1.2 and 2.2)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, CASE, CPU, OLD_BOARD, SYSTEM_DRIVE, make_problem, make_survey

from partsolver.assembly.start import (
    copy_starts,
    keeps_installation,
    legacy_by_installation,
    legacy_by_system,
    legacy_card,
    picture_is_processors,
    start_mode,
)
from partsolver.catalog.records import DrivePart
from partsolver.problem.candidates import KEPT_GRAPHICS, DriveChoice, GraphicsChoice
from partsolver.problem.problem import Problem
from partsolver.survey.model import Card, Drive, OperatingSystem
from partsolver.wishes.brief import Brief

NO_CARD = GraphicsChoice(KEPT_GRAPHICS, None, None)
SATA = DriveChoice("new", None, DrivePart("new", "New", kind="ssd", interface="sata"))
NVME = DriveChoice("nvme", None, DrivePart("nvme", "Module", kind="ssd", interface="m2-nvme"))


def asked(
    family: str | None = "linux-x86-64-v1",
    keep: bool = True,
    wanted: str | None = None,
    drive: dict[str, Any] | None = None,
    cards: tuple[Card, ...] = (),
) -> Problem:
    drives = () if drive is None else (SYSTEM_DRIVE.model_copy(update=drive),)
    system = OperatingSystem(family=family, licence="none-needed", keep=keep)
    return make_problem(make_survey(os=system, drives=drives, cards=cards), Brief(os=wanted))


@pytest.mark.parametrize(
    ("keep", "wanted", "kept"),
    [
        (True, None, True),
        (True, "linux-x86-64-v1", True),
        (True, "linux-x86-64-v2", False),
        (False, None, False),
        (False, "linux-x86-64-v1", False),
    ],
)
def test_whether_the_installation_is_to_run_on(keep: bool, wanted: str | None, kept: bool) -> None:
    assert keeps_installation(asked(keep=keep, wanted=wanted, drive={})) is kept


BOTH, OLD = ("legacy", "uefi"), ("legacy",)


@pytest.mark.parametrize(
    ("family", "modes", "mode", "table", "found"),
    [
        ("desktop-2015", BOTH, "uefi", "mbr", "uefi"),
        ("desktop-2015", BOTH, "legacy", "gpt", "legacy"),
        ("desktop-2015", BOTH, None, "gpt", "uefi"),
        (None, None, None, "gpt", "uefi"),
        ("desktop-2015", BOTH, None, "mbr", "legacy"),
        ("desktop-2015", BOTH, None, None, None),
        # Linux starts from a GPT in both ways: with a BIOS boot partition the old one (start reference, section 5).
        ("linux-x86-64-v1", BOTH, None, "gpt", None),
        ("linux-x86-64-v1", None, None, "gpt", None),
        ("linux-x86-64-v1", BOTH, None, "mbr", "legacy"),
        # The board that it runs on knows one way only.
        ("linux-x86-64-v1", OLD, None, "gpt", "legacy"),
        ("linux-x86-64-v1", OLD, None, None, "legacy"),
        ("linux-x86-64-v1", ("uefi",), None, "gpt", "uefi"),
        ("desktop-2015", OLD, "uefi", "gpt", "uefi"),  # as surveyed
    ],
)
def test_how_an_installation_starts(family: Any, modes: Any, mode: Any, table: Any, found: Any) -> None:
    """A partition table of the old kind is started the old way, a GPT by UEFI (common practice)."""
    survey = make_survey(os=OperatingSystem(family=family), board=replace(OLD_BOARD, firmware_modes=modes))
    drive = Drive(name="d", start_mode=mode, partition_table=table)
    assert start_mode(make_problem(survey), drive) == found


@pytest.mark.parametrize(
    ("family", "keep", "wanted", "legacy"),
    [
        ("linux-x86-64-v1", True, None, False),
        ("linux-32bit", True, None, True),  # no UEFI start at all
        ("desktop-2009", True, None, True),  # UEFI with the legacy picture only
        ("linux-32bit", False, None, False),
        ("linux-32bit", False, "linux-32bit", True),
        ("linux-32bit", True, "linux-x86-64-v1", False),
        ("none", True, None, False),
    ],
)
def test_systems_that_start_the_old_way(family: str, keep: bool, wanted: str | None, legacy: bool) -> None:
    assert legacy_by_system(asked(family, keep, wanted, {})) is legacy


@pytest.mark.parametrize(
    ("drive", "keep", "legacy"),
    [
        ({"start_mode": "legacy"}, True, True),
        ({"start_mode": "uefi"}, True, False),
        ({"start_mode": None, "partition_table": None}, True, False),
        ({"start_mode": "legacy"}, False, False),
    ],
)
def test_installations_that_start_the_old_way(drive: dict[str, Any], keep: bool, legacy: bool) -> None:
    problem = asked(keep=keep, drive=drive)
    kept = DriveChoice("kept", problem.survey.drives[0], None)
    assert legacy_by_installation(problem, kept) is legacy
    assert legacy_by_installation(problem, SATA) is False  # a bought drive is installed anew or copied


@pytest.mark.parametrize(
    ("legacy_video", "score", "by_card", "by_processor"),
    [(True, 500, True, False), (None, 500, True, False), (False, 500, False, True), (False, 0, False, False)],
)
def test_who_makes_the_picture_at_a_legacy_start(
    legacy_video: bool | None, score: int, by_card: bool, by_processor: bool
) -> None:
    card = Card(name="card", kind="graphics", bus="pcie", lanes=16, legacy_video=legacy_video)
    problem, cpu = asked(cards=(card,)), replace(CPU, graphics_score=score)
    assert legacy_card(problem, BOARD, CASE, NO_CARD) is by_card
    assert picture_is_processors(problem, BOARD, cpu, CASE, NO_CARD) is by_processor
    bare = asked()
    assert legacy_card(bare, BOARD, CASE, NO_CARD) is False
    assert picture_is_processors(bare, BOARD, cpu, CASE, NO_CARD) is (score != 0)


UEFI, LEGACY = {"start_mode": "uefi"}, {"start_mode": "legacy"}


@pytest.mark.parametrize(
    ("wishes", "board", "choice", "starts"),
    [
        ({"drive": UEFI}, {}, SATA, True),
        ({"drive": None}, {}, SATA, False),  # nothing is there to be copied
        ({"drive": UEFI, "keep": False}, {}, SATA, False),
        ({"drive": UEFI}, {"firmware_modes": ("legacy",)}, SATA, False),
        ({"drive": LEGACY}, {"firmware_modes": ("uefi",)}, SATA, False),
        ({"drive": LEGACY}, {"firmware_modes": None}, SATA, True),
        ({"drive": LEGACY}, {}, NVME, False),  # never from NVMe
        ({"drive": LEGACY}, {"firmware_modes": None}, NVME, False),
        ({"drive": UEFI}, {}, NVME, True),
        ({"drive": {"start_mode": None, "partition_table": None}}, {}, NVME, True),
        ({"drive": {"start_mode": None, "partition_table": None}}, {"firmware_modes": ("uefi",)}, SATA, True),
        ({"drive": UEFI, "family": None}, {}, NVME, True),  # nobody knows the system: it may
        ({"drive": LEGACY, "family": None}, {"firmware_modes": ("uefi",)}, SATA, False),
        # A system that does not start by UEFI alone needs the legacy mode.
        ({"drive": UEFI, "family": "desktop-2009"}, {"firmware_modes": ("uefi",)}, SATA, False),
        ({"drive": UEFI, "family": "desktop-2009"}, {"firmware_modes": ("uefi", "legacy")}, SATA, True),
        ({"drive": UEFI, "family": "desktop-2009"}, {"firmware_modes": None}, SATA, True),
        # Without a driver for the controller.
        ({"drive": UEFI, "family": "desktop-2009"}, {}, NVME, False),
        ({"drive": LEGACY, "family": "desktop-2001-32bit"}, {"storage_modes": ("ahci",)}, SATA, False),
        ({"drive": LEGACY, "family": "desktop-2001-32bit"}, {"storage_modes": ("ahci", "ide")}, SATA, True),
        ({"drive": LEGACY, "family": "desktop-2001-32bit"}, {"storage_modes": None}, SATA, True),
        ({"drive": UEFI}, {"storage_modes": ("ahci",)}, SATA, True),
    ],
)
def test_whether_a_copy_starts(
    wishes: dict[str, Any], board: dict[str, Any], choice: DriveChoice, starts: bool
) -> None:
    assert copy_starts(asked(**wishes), replace(BOARD, **board), choice) is starts
