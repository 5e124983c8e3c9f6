"""os.firmware. Outside: the 2021 desktop generation needs UEFI, Secure-Boot capable (windows-itpro-docs
commit 00ef75cd); a drive with MBR has to be converted before Secure Boot (case A39); on Linux both are
optional (common practice)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import BOARD, CPU, OLD_BOARD, SYSTEM_DRIVE, agree, findings, make_problem, make_survey, pick

from partsolver.rules import os_firmware as rule
from partsolver.survey.model import OperatingSystem
from partsolver.wishes.brief import Brief

LEGACY = replace(BOARD, id="board-l", firmware_modes=("legacy",), secure_boot=False)


def _problem(
    family="desktop-2021",
    secure=False,
    boards=(BOARD,),
    old=OLD_BOARD,
    want=None,
    table="gpt",
    keep=True,
    **tables,
):
    survey = make_survey(
        os=OperatingSystem(family=family, licence="retail", keep=keep),
        board=old,
        drives=(SYSTEM_DRIVE.model_copy(update={"partition_table": table}),),
    )
    return make_problem(
        survey, Brief(budget="10000.00", secure_boot=secure, os=want), boards=boards, **tables
    )


@pytest.mark.parametrize(
    ("changes", "verdicts"),
    [
        ({}, ("fits", "fits")),
        ({"firmware_modes": ("uefi",)}, ("fits", "fits")),
        ({"firmware_modes": ("legacy",)}, ("fails", "fits")),
        ({"secure_boot": False}, ("fits", "fails")),
        ({"firmware_modes": None, "secure_boot": None}, ("unknown", "unknown")),
    ],
)
def test_table(changes, verdicts):
    found = findings(rule, _problem(boards=[replace(BOARD, **changes)]))
    assert tuple(f.verdict for f in found) == verdicts
    assert all(f.parts == ("board-a",) and f.fact("family") == "desktop-2021" for f in found)


def test_facts_of_failure():
    uefi, secure = findings(rule, _problem(boards=[LEGACY]))
    assert (uefi.value, uefi.limit) == ("legacy", "uefi")
    assert (secure.value, secure.limit, secure.facts) == ("no", "secure-boot", (("family", "desktop-2021"),))


def test_questions():
    found = findings(rule, _problem(boards=[replace(BOARD, firmware_modes=None, secure_boot=None)]))
    assert [f.question for f in found] == ["board:board-a.firmware_modes", "board:board-a.secure_boot"]


@pytest.mark.parametrize("family", ["linux-x86-64-v2", "none"])
def test_irrelevant(family):
    assert findings(rule, _problem(family, boards=[LEGACY])) == ()
    assert findings(rule, _problem(keep=False, boards=[LEGACY])) == ()


@pytest.mark.parametrize(("table", "convert"), [("gpt", None), ("mbr", "yes"), (None, "maybe")])
def test_wish_for_secure_boot_asks_for_conversion(table, convert):
    _, secure = findings(rule, _problem("linux-x86-64-v2", True, table=table))
    assert (secure.verdict, secure.value, secure.fact("convert")) == ("fits", "secure-boot", convert)


@pytest.mark.parametrize("table", ["gpt", "mbr", None])
def test_a_system_that_wants_the_firmware_able_asks_for_no_conversion(table):
    """Secure Boot stays off where nobody wishes it: the drive starts as it does today."""
    assert all(
        f.verdict == "fits" and f.fact("convert") is None for f in findings(rule, _problem(table=table))
    )


def test_wish_for_secure_boot_refuses_a_board_without():
    _, secure = findings(rule, _problem("linux-x86-64-v2", True, boards=[replace(BOARD, secure_boot=False)]))
    assert secure.verdict == "fails"


def test_present_board():
    old = replace(OLD_BOARD, firmware_modes=("legacy",), secure_boot=False)
    problem = _problem(old=old)
    assert [f.fact("short") for f in findings(rule, problem, problem.present())] == ["yes", "yes"]
    problem = _problem("desktop-2015", old=old, want="desktop-2021")
    # A system that is asked for is a condition of the finished PC, kept or new.
    for parts in (problem.present(), pick(problem, board="kept-board")):
        assert all(f.verdict == "fails" for f in findings(rule, problem, parts))


@pytest.mark.parametrize("cpus", [(CPU,), ()])
def test_a_board_that_cannot_stays_with_its_processor(cpus):
    """Nobody knows what runs today, Secure Boot is wished: nothing changes where board and processor stay."""
    old = replace(OLD_BOARD, firmware_modes=("legacy",), secure_boot=False, socket=CPU.socket)
    problem = _problem("none", True, old=old, boards=(LEGACY,), cpus=cpus, memory=(), coolers=())
    for board, cpu, good in (
        ("kept-board", "kept-cpu", True),
        *((board, "cpu-a", False) for board in ("kept-board", "board-l") if cpus),
    ):
        parts = pick(problem, board=board, cpu=cpu, memory="kept-memory")
        assert all(f.admits for f in findings(rule, problem, parts)) == good
    agree(rule, problem)


@pytest.mark.parametrize("want", [None, "desktop-2021"])
@pytest.mark.parametrize("secure", [True, False])
def test_agreement(want, secure):
    problem = _problem(
        "linux-x86-64-v1" if want else "desktop-2021",
        secure,
        want=want,
        old=replace(OLD_BOARD, firmware_modes=("legacy",)),
        boards=[
            BOARD,
            LEGACY,
            replace(BOARD, id="board-n", secure_boot=False),
            replace(BOARD, id="board-u", secure_boot=None),
        ],
        coolers=(),
    )
    admitted, refused = agree(rule, problem)
    assert admitted > 0 and refused > 0
