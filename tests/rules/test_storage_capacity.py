"""storage.capacity: what is in use goes onto the new drive; an MBR table tells 2^32 sectors of 512 bytes."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, SYSTEM_DRIVE, agree, findings, make_problem, make_survey, pick

from partsolver.catalog.records import DrivePart
from partsolver.problem.problem import Problem
from partsolver.rules import storage_capacity as rule
from partsolver.survey.model import OperatingSystem
from partsolver.wishes.brief import Brief

SYSTEM = OperatingSystem(family="desktop-2015", licence="retail")
LARGE = DrivePart(id="drive-4000", name="", kind="ssd", interface="sata", read_mbs=500, capacity_gb=4000)


def _problem(sizes: tuple[int, ...], keep: bool = True, **drive: Any) -> Problem:
    drives = [
        DrivePart(
            id=f"drive-{size}", name=f"{size}", kind="ssd", interface="sata", read_mbs=500, capacity_gb=size
        )
        for size in sizes
    ]
    survey = make_survey(
        drives=(SYSTEM_DRIVE.model_copy(update=drive),), os=SYSTEM.model_copy(update={"keep": keep})
    )
    return make_problem(survey, Brief(replace=("drive",)), drives=drives)


def _of(problem: Problem, size: int) -> Any:
    return findings(rule, problem, pick(problem, drive=f"drive-{size}"))


def test_the_used_space_decides() -> None:
    """Just inside and just outside: 240 GB in use (common practice: a copy needs the used space)."""
    problem = _problem((239, 240, 500), used_gb=240, capacity_gb=1000)
    told = {size: _of(problem, size)[0] for size in (239, 240, 500)}
    assert {size: f.verdict for size, f in told.items()} == {239: "fails", 240: "fits", 500: "fits"}
    assert (told[239].value, told[239].limit, told[239].margin, told[239].unit) == (239, 240, -1, "GB")
    admitted, refused = agree(rule, problem)
    assert admitted and refused


def test_the_present_drive_asks_nothing() -> None:
    problem = _problem((240,), used_gb=500, capacity_gb=1000)
    assert findings(rule, problem, pick(problem, drive="kept-drive")) == ()


def test_unknown_use_is_asked_only_for_a_smaller_drive() -> None:
    problem = _problem((240, 500), capacity_gb=500)
    (small,), (large,) = _of(problem, 240), _of(problem, 500)
    assert (small.verdict, small.question, small.admits) == ("unknown", "drive.used_gb", True)
    assert large.verdict == "fits"
    agree(rule, problem)


def test_nothing_is_copied_for_a_fresh_system() -> None:
    (found,) = _of(_problem((120,), keep=False, used_gb=500), 120)
    assert (found.verdict, found.fact("fresh")) == ("fits", "yes")


@pytest.mark.parametrize(("used", "verdict"), [(2199, "fits"), (2200, "fails")])
def test_mbr_ends_at_2_tib(used: int, verdict: str) -> None:
    """2^32 x 512 bytes = 2199.02 GB (UEFI specification, section 5.2.1: 32-bit sector numbers of an MBR)."""
    problem = _problem((4000,), used_gb=used, capacity_gb=4000, start_mode="legacy", partition_table="mbr")
    (found,) = _of(problem, 4000)
    assert (found.verdict, found.value, found.fact("usable_gb")) == (verdict, 2199, 2199)
    agree(rule, problem)
    (free,) = _of(_problem((4000,), used_gb=used, capacity_gb=4000), 4000)
    assert (free.verdict, free.value, free.fact("usable_gb")) == ("fits", 4000, None)


@pytest.mark.parametrize(
    ("modes", "start", "used", "verdict", "holds"),
    [
        (("legacy",), "uefi", 2199, "fits", 2199),  # the board starts nothing but an MBR
        (("legacy",), "uefi", 2200, "fails", 2199),
        (("legacy",), None, 2200, "fails", 2199),
        (("legacy", "uefi"), "uefi", 2200, "fits", 4000),
        (("uefi",), "uefi", 2200, "fits", 4000),
        (None, "uefi", 2200, "fits", 4000),
        (("uefi",), "legacy", 2200, "fails", 2199),  # the copied installation has an MBR
        (("uefi",), "legacy", 2199, "fits", 2199),
    ],
)
def test_what_starts_from_an_mbr_only(
    modes: tuple[str, ...] | None, start: str | None, used: int, verdict: str, holds: int
) -> None:
    drive = SYSTEM_DRIVE.model_copy(update={"used_gb": used, "capacity_gb": 4000, "start_mode": start})
    sizes = (used - 1, 4000, None)
    drives = [replace(LARGE, id=f"drive-{size}", capacity_gb=size) for size in sizes]
    problem = make_problem(
        make_survey(drives=(drive,), os=SYSTEM),
        Brief(replace=("drive",)),
        drives=drives,
        boards=[replace(BOARD, firmware_modes=modes), replace(BOARD, id="board-b", firmware_modes=("uefi",))],
        cpus=[],
        memory=[],
        coolers=[],
    )
    (found,) = _of(problem, 4000)
    assert (found.verdict, found.value, found.limit) == (verdict, holds, used)
    assert found.fact("usable_gb") == (None if holds == 4000 else 2199)
    (small,) = _of(problem, used - 1)
    assert (small.verdict, small.margin) == ("fails", -1)
    # Nobody says how large it is: not asked here (fit of the drive's other facts is asked elsewhere).
    assert findings(rule, problem, pick(problem, drive="drive-None")) == ()
    admitted, refused = agree(rule, problem)
    assert admitted and refused


@pytest.mark.parametrize(
    ("family", "keep", "drive", "modes", "holds"),
    [
        # The table says it where nobody saw the start.
        ("desktop-2015", True, {"partition_table": "mbr", "start_mode": None}, None, 2199),
        # A 32-bit commercial system starts the old way on every board, also installed afresh.
        ("desktop-2015-32bit", True, {"start_mode": None, "partition_table": None}, ("legacy", "uefi"), 2199),
        # Linux starts from a GPT on legacy firmware (start reference, section 5: a BIOS boot partition).
        ("linux-x86-64-v1", True, {"start_mode": "legacy"}, ("legacy",), 4000),
        ("linux-32bit", True, {"start_mode": "legacy"}, ("legacy", "uefi"), 4000),
        ("linux-x86-64-v1", False, {"start_mode": "legacy"}, ("legacy",), 4000),
        ("linux-x86-64-v1", True, {"start_mode": "legacy", "partition_table": "mbr"}, ("legacy",), 2199),
        ("linux-x86-64-v1", True, {"start_mode": "legacy", "partition_table": None}, ("legacy",), 2199),
    ],
)
def test_the_table_decides_and_the_system(
    family: str, keep: bool, drive: dict[str, Any], modes: Any, holds: int
) -> None:
    """Memory reference, section 2.1: more than 2 TiB to start from need GPT and UEFI for the commercial family."""
    for used in (100, 2200):
        present = SYSTEM_DRIVE.model_copy(update={"used_gb": used, "capacity_gb": 4000, **drive})
        problem = make_problem(
            make_survey(drives=(present,), os=OperatingSystem(family=family, licence="retail", keep=keep)),
            Brief(replace=("drive",), os=None if keep else family),
            drives=[LARGE],
            boards=[replace(BOARD, firmware_modes=modes)],
        )
        (found,) = _of(problem, 4000)
        assert found.value == holds and found.fact("usable_gb") == (None if holds == 4000 else 2199)
        assert found.admits is (holds >= used or not keep)
        agree(rule, problem)


def test_unknown_use_and_a_fresh_system_under_an_mbr() -> None:
    """A drive that holds 2,199 GB of its 4,000 there takes what a drive of 2,199 GB can have in use, not of 2,200."""
    for capacity, verdict in ((2199, "fits"), (2200, "unknown")):
        (found,) = _of(_problem((4000,), capacity_gb=capacity, start_mode="legacy", used_gb=None), 4000)
        assert (found.verdict, found.question) == (verdict, None if verdict == "fits" else "drive.used_gb")
    (found,) = _of(_problem((4000,), keep=False, start_mode="legacy"), 4000)
    assert (found.value, found.fact("usable_gb"), found.fact("fresh")) == (4000, None, "yes")
    assert _of(_problem((2199,), start_mode="legacy"), 2199)[0].fact("usable_gb") is None
