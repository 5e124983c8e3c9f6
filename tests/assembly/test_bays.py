"""Bays by the size of the drive (SFF-8301, 8201, 8551; a USB floppy or a module takes none)."""

from __future__ import annotations

import pytest
from support import SYSTEM_DRIVE, make_problem, make_survey

from partsolver.assembly.bays import BaysTaken, bay_of, bays_taken, bays_taken_today
from partsolver.catalog.records import DrivePart
from partsolver.problem.candidates import DriveChoice
from partsolver.survey.model import Drive
from partsolver.wishes.brief import Brief


@pytest.mark.parametrize(
    ("facts", "bay"),
    [
        ({"kind": "hdd35", "interface": "sata"}, "3.5"),
        ({"kind": "hdd25", "interface": "sata"}, "2.5"),
        ({"kind": "ssd", "interface": "sata"}, "2.5"),
        ({"kind": "optical", "interface": "pata"}, "5.25"),
        ({"kind": "floppy", "interface": "floppy"}, "3.5"),
        ({"kind": "floppy", "interface": "floppy", "bay": "5.25"}, "5.25"),
        ({"kind": "ssd", "interface": "sata", "bay": "3.5"}, "3.5"),
        ({"kind": "ssd", "interface": "m2-nvme"}, None),
        ({"kind": "ssd", "interface": "m2-sata"}, None),
        ({"kind": "hdd35", "interface": "usb", "bay": "3.5"}, None),
        ({"kind": None, "interface": "sata"}, None),
        ({"kind": "hdd35", "interface": None}, "3.5"),
    ],
)
def test_the_bay_of_a_drive(facts: dict[str, str | None], bay: str | None) -> None:
    assert bay_of(Drive(name="d", **facts)) == bay  # type: ignore[arg-type]
    if "bay" not in facts:
        assert bay_of(DrivePart("d", "D", **facts)) == bay  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("mine", "others", "fits"),
    [
        ((1, 2, 9), (1, 2, 0), True),  # small drives find room anywhere
        ((2, 2, 0), (1, 2, 0), False),
        ((1, 3, 0), (1, 2, 0), False),
        ((0, 0, 0), (1, 2, 0), True),
        ((2, 1, 0), (1, 2, 0), False),
    ],
)
def test_no_more_than(mine: tuple[int, int, int], others: tuple[int, int, int], fits: bool) -> None:
    assert BaysTaken(*mine).no_more_than(BaysTaken(*others)) is fits


def test_bays_of_a_plan_and_of_today() -> None:
    """Today: all that is there. A plan: the system drive chosen and what the owner needs connected."""
    disk = Drive(name="disk", kind="hdd35", interface="sata")
    spare = Drive(name="spare", kind="hdd35", interface="pata", required=False)
    disc = Drive(name="disc", kind="optical", interface="sata")
    survey = make_survey(drives=(SYSTEM_DRIVE, disk, spare, disc))
    problem = make_problem(survey, Brief(leave_out=("spare",)))
    assert bays_taken_today(problem) == BaysTaken(large=1, middle=2, small=1)
    kept = DriveChoice("kept", SYSTEM_DRIVE, None)
    assert bays_taken(kept, problem) == BaysTaken(large=1, middle=1, small=1)
    bought = DriveChoice("new", None, DrivePart("new", "New", kind="hdd35", interface="sata"))
    assert bays_taken(bought, problem) == BaysTaken(large=1, middle=2, small=0)
