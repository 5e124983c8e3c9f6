"""os.tpm. Outside: the 2021 desktop generation needs TPM 2.0 (windows-itpro-docs commit 00ef75cd); on Linux a
platform module is optional (common practice)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import BOARD, OLD_BOARD, agree, findings, make_problem, make_survey, needs_of, pick, plain_draft

from partsolver.catalog.records import Extra
from partsolver.rules import os_tpm as rule
from partsolver.survey.model import OperatingSystem
from partsolver.wishes.brief import Brief

MODULE = Extra(id="tpm-2", name="TPM 2.0", kind="tpm-module", takes=("header",), gives=("2.0",))
OLDER = Extra(id="tpm-1", name="TPM 1.2", kind="tpm-module", takes=("header",), gives=("1.2",))


def _problem(
    tpm="header", family="desktop-2021", extras=(MODULE,), want=None, keep=True, old=OLD_BOARD, **tables
):
    survey = make_survey(os=OperatingSystem(family=family, licence="retail", keep=keep), board=old)
    boards = tables.pop("boards", [replace(BOARD, tpm=tpm)])
    return make_problem(survey, Brief(budget="10000.00", os=want), boards=boards, extras=extras, **tables)


@pytest.mark.parametrize(
    ("tpm", "verdict", "value"),
    [
        ("2.0", "fits", "2.0"),
        ("header", "fits", "header"),
        ("1.2", "fails", "1.2"),
        ("none", "fails", "none"),
        (None, "unknown", None),
    ],
)
def test_table(tpm, verdict, value):
    (found,) = findings(rule, _problem(tpm))
    assert (found.verdict, found.value) == (verdict, value)


def test_module_is_bought_once():
    problem = _problem()
    draft = plain_draft(rule, problem, pick(problem))
    line = draft.bought_for("os.tpm", "module")
    assert (line.item, line.quantity) == ("tpm-2", 1)
    (found,) = rule.admits(draft, problem)
    assert (found.parts, found.facts) == (("board-a", "tpm-2"), (("version", "2.0"),))
    assert needs_of(rule, pick(problem), problem)[0].facts == (("version", "2.0"),)


def test_header_without_a_fitting_module_fails():
    problem = _problem(extras=(OLDER,))
    (need,) = needs_of(rule, pick(problem), problem)
    assert need.options == ()
    (found,) = findings(rule, problem)
    assert (found.verdict, found.value, found.limit, found.parts) == ("fails", "header", "2.0", ("board-a",))


@pytest.mark.parametrize(
    ("family", "keep"), [("linux-x86-64-v3", True), ("desktop-2015", True), ("desktop-2021", False)]
)
def test_irrelevant(family, keep):
    problem = _problem("none", family, keep=keep)
    assert findings(rule, problem) == () and needs_of(rule, pick(problem), problem) == ()


def test_question_and_present_board():
    (found,) = findings(rule, _problem(None))
    assert (found.question, found.admits) == ("board:board-a.tpm", True)
    problem = _problem("none")
    (found,) = findings(rule, problem, problem.present())
    assert (found.verdict, found.fact("short"), found.value) == ("fits", "yes", "none")


@pytest.mark.parametrize("want", [None, "desktop-2021"])
@pytest.mark.parametrize("extras", [(MODULE, OLDER), (OLDER,)])
@pytest.mark.parametrize("old", ["none", "header"])
def test_agreement(want, extras, old):
    boards = [replace(BOARD, id=f"board-{tpm}", tpm=tpm) for tpm in ("none", "header", "1.2", "2.0")]
    problem = _problem(
        family="desktop-2015" if want else "desktop-2021",
        want=want,
        extras=extras,
        old=replace(OLD_BOARD, tpm=old),
        boards=[*boards, replace(BOARD, id="board-u", tpm=None)],
        memory=(),
        coolers=(),
    )
    admitted, refused = agree(rule, problem)
    assert admitted > 0 and refused > 0
