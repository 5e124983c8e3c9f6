"""storage.capacity: what is in use goes onto the new drive; an MBR table tells 2^32 sectors of 512 bytes."""

from __future__ import annotations

from typing import Any

import pytest
from support import SYSTEM_DRIVE, agree, findings, make_problem, make_survey, pick

from partsolver.catalog.records import DrivePart
from partsolver.problem.problem import Problem
from partsolver.rules import storage_capacity as rule
from partsolver.survey.model import OperatingSystem
from partsolver.wishes.brief import Brief

SYSTEM = OperatingSystem(family="desktop-2015", licence="retail")


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
