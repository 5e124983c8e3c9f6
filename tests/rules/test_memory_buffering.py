"""memory.buffering. Outside facts: registered modules in a slot for unbuffered ones do not work, mixing is
not allowed (server manuals, memory reference 1.4); unbuffered ECC may keep a board without ECC support from
starting (case B19)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import BOARD, KIT, MEMORY, OLD_BOARD, agree, findings, make_problem, make_survey, pick

from partsolver.rules import memory_buffering as rule

REG = replace(KIT, id="kit-r", registered=True, ecc=True)
ECC = replace(KIT, id="kit-e", ecc=True)
SERVER = replace(BOARD, id="board-s", memory_registered=True, memory_ecc="yes")
TOLERANT = replace(BOARD, id="board-t", memory_ecc="tolerated")


@pytest.mark.parametrize(
    ("board", "kit", "verdict", "value"),
    [
        (BOARD, KIT, "fits", "unbuffered"),
        (BOARD, REG, "fails", "registered"),
        (SERVER, REG, "fits", "registered"),
        (BOARD, ECC, "fails", "ecc"),
        (TOLERANT, ECC, "fits", "unbuffered"),
        (TOLERANT, REG, "fails", "registered"),
        (SERVER, ECC, "fits", "unbuffered"),
        (SERVER, replace(KIT, registered=None), "fits", "unbuffered"),
    ],
)
def test_table(board, kit, verdict, value):
    (found,) = findings(rule, make_problem(boards=[board], memory=[kit]))
    assert (found.verdict, found.value) == (verdict, value)
    # A board for plain modules only.
    assert found.limit == (
        {"registered": "unbuffered", "ecc": "no ecc"}[value] if verdict == "fails" else None
    )
    assert found.parts == (kit.id, board.id)


@pytest.mark.parametrize(
    ("board", "kit", "question"),
    [
        (replace(BOARD, memory_registered=None), REG, "board:board-a.memory_registered"),
        (replace(BOARD, memory_ecc=None), ECC, "board:board-a.memory_ecc"),
        (BOARD, replace(KIT, registered=None), "memory:kit-a.registered"),
        (BOARD, replace(KIT, ecc=None), "memory:kit-a.ecc"),
    ],
)
def test_unknown_lets_the_plan_stand(board, kit, question):
    (found,) = findings(rule, make_problem(boards=[board], memory=[kit]))
    assert (found.verdict, found.question, found.admits) == ("unknown", question, True)


def test_ecc_idle_is_a_fact():
    """A board that tolerates ECC modules makes no use of them; one for ECC does, and plain ones have none."""
    for board, kit, facts in ((TOLERANT, ECC, (("ecc", "idle"),)), (SERVER, ECC, ()), (TOLERANT, KIT, ())):
        (found,) = findings(rule, make_problem(boards=[board], memory=[kit]))
        assert found.facts == facts


def test_mixed_kinds_fail_even_on_a_server_board():
    kept = MEMORY.model_copy(update={"generation": "ddr4", "registered": True})
    problem = make_problem(make_survey(memory=(kept,)), boards=[SERVER])
    (found,) = findings(rule, problem, pick(problem, memory="kit-a*1+kept-memory"))
    assert (found.verdict, found.value, found.parts) == (
        "fails",
        "mixed",
        ("kit-a", "kept-memory", "board-s"),
    )
    unsure = make_problem(
        make_survey(memory=(kept.model_copy(update={"registered": None}),)), boards=[SERVER], memory=[REG]
    )
    (found,) = findings(rule, unsure, pick(unsure, memory="kit-r*1+kept-memory"))
    assert (found.verdict, found.question) == ("unknown", "memory.registered")


def test_present_modules_on_the_present_board_are_irrelevant():
    kept = MEMORY.model_copy(update={"registered": True, "ecc": True})
    problem = make_problem(make_survey(memory=(kept,)))
    assert findings(rule, problem, problem.present())[0].verdict == "fits"
    # ECC modules that run on the present board stay without question when plain ones come along.
    kept = MEMORY.model_copy(update={"ecc": True})
    problem = make_problem(make_survey(memory=(kept,)), memory=[replace(KIT, generation="ddr3")])
    (found,) = findings(rule, problem, pick(problem, board="kept-board", memory="kit-a*1+kept-memory"))
    assert found.verdict == "fits"


@pytest.mark.parametrize(("registered", "ecc"), [(True, True), (False, True), (None, None), (False, None)])
def test_agreement(registered, ecc):
    kept = MEMORY.model_copy(update={"generation": None, "registered": registered, "ecc": ecc})
    survey = make_survey(memory=(kept,), board=replace(OLD_BOARD, memory_ecc="no"))
    problem = make_problem(
        survey,
        boards=[
            BOARD,
            SERVER,
            TOLERANT,
            replace(BOARD, id="board-u", memory_registered=None, memory_ecc=None),
        ],
        memory=[replace(k, modules=4) for k in (KIT, REG, ECC, replace(KIT, id="kit-u", registered=None))],
        coolers=(),
        cpus=(),
    )
    assert all(agree(rule, problem))
