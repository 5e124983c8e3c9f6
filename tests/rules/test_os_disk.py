"""Room for the system: 64 GB asked for by the desktop system of 2021 (vendor's requirements page [D21])."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import OLD_BOARD, OLD_CPU, SYSTEM_DRIVE, agree, findings, make_problem, make_survey, pick

from partsolver.catalog.records import DrivePart
from partsolver.problem.problem import Problem
from partsolver.rules import os_disk as rule
from partsolver.survey.model import OperatingSystem
from partsolver.wishes.brief import Brief

SMALL = DrivePart(
    id="drive-32", name="", kind="ssd", interface="sata", sata_gbps10=60, read_mbs=500, capacity_gb=32
)
LARGE = replace(SMALL, id="drive-64", capacity_gb=64)
SILENT = replace(SMALL, id="drive-x", capacity_gb=None)


def problem_of(
    capacity: int | None, family: str = "desktop-2015", want: str | None = "desktop-2021"
) -> Problem:
    survey = make_survey(
        drives=(SYSTEM_DRIVE.model_copy(update={"capacity_gb": capacity}),),
        os=OperatingSystem(family=family, licence="retail"),
        board=OLD_BOARD,
        cpu=OLD_CPU,
    )
    brief = Brief(budget="10000.00", replace=("drive",), os=want)
    return make_problem(survey, brief, drives=[SMALL, LARGE, SILENT], memory=(), coolers=())


@pytest.mark.parametrize(("capacity", "verdict"), [(63, "fails"), (64, "fits"), (None, "unknown")])
def test_kept_drive_is_no_exception_for_another_system(capacity: int | None, verdict: str) -> None:
    problem = problem_of(capacity)
    (found,) = findings(rule, problem, problem.present())
    assert found.verdict == verdict
    assert found.question == ("drive.capacity_gb" if verdict == "unknown" else None)


@pytest.mark.parametrize(
    ("drive", "verdict"), [("drive-32", "fails"), ("drive-64", "fits"), ("drive-x", "unknown")]
)
def test_bought_drive(drive: str, verdict: str) -> None:
    problem = problem_of(240)
    (found,) = findings(rule, problem, pick(problem, drive=drive))
    assert found.verdict == verdict
    assert found.question == ("drive:drive-x.capacity_gb" if verdict == "unknown" else None)


def test_what_runs_today_is_excused() -> None:
    problem = problem_of(32, "desktop-2021", None)
    (found,) = findings(rule, problem, pick(problem))
    assert (found.verdict, found.fact("short")) == ("fits", "yes")
    assert findings(rule, problem_of(32, "none", None), problem.present()) == ()  # asks for no size


@pytest.mark.parametrize("want", [None, "desktop-2021"])
@pytest.mark.parametrize("family", ["none", "desktop-2015", "desktop-2021"])
@pytest.mark.parametrize("capacity", [32, 64, None])
def test_agreement(want: str | None, family: str, capacity: int | None) -> None:
    admitted, refused = agree(rule, problem_of(capacity, family, want))
    assert admitted and (refused or want is None)
