"""memory.module. Outside fact: DIMM and SO-DIMM have other contact counts in each generation (JEDEC outlines,
240/204, 288/260, 288/262), so they never exchange."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import BOARD, KIT, MEMORY, OLD_BOARD, agree, findings, make_problem, make_survey

from partsolver.rules import memory_module as rule
from partsolver.standards.memory import CONTACTS

SMALL_BOARD = replace(BOARD, id="board-s", memory_module="so-dimm")
SMALL_KIT = replace(KIT, id="kit-s", module="so-dimm")


def test_outside_contacts():
    assert all(CONTACTS[g, "dimm"] != CONTACTS[g, "so-dimm"] for g in ("ddr2", "ddr3", "ddr4", "ddr5"))


@pytest.mark.parametrize(
    ("board", "kit", "verdict"),
    [
        (BOARD, KIT, "fits"),
        (SMALL_BOARD, SMALL_KIT, "fits"),
        (BOARD, SMALL_KIT, "fails"),
        (SMALL_BOARD, KIT, "fails"),
        (replace(BOARD, memory_module=None), SMALL_KIT, "unknown"),
        (BOARD, replace(KIT, module=None), "unknown"),
    ],
)
def test_table(board, kit, verdict):
    (found,) = findings(rule, make_problem(boards=[board], memory=[kit]))
    assert found.verdict == verdict and not found.blocks


def test_facts_of_failure():
    (found,) = findings(rule, make_problem(memory=[SMALL_KIT]))
    assert (found.value, found.limit, found.parts, found.margin) == (
        "so-dimm",
        "dimm",
        ("kit-s", "board-a"),
        None,
    )


def test_questions():
    (found,) = findings(rule, make_problem(memory=[replace(KIT, module=None)]))
    assert found.question == "memory:kit-a.module"
    (found,) = findings(rule, make_problem(boards=[replace(BOARD, memory_module=None)]))
    assert found.question == "board:board-a.memory_module"


@pytest.mark.parametrize(
    ("board", "modules", "told"),
    [("so-dimm", "dimm", "dimm"), (None, "dimm", "dimm"), ("so-dimm", None, "so-dimm")],
)
def test_present_pair_is_irrelevant(board, modules, told):
    """Told: what the modules are, else what the slots are for."""
    survey = make_survey(
        board=replace(OLD_BOARD, memory_module=board),
        memory=(MEMORY.model_copy(update={"module": modules}),),
    )
    problem = make_problem(survey)
    (found,) = findings(rule, problem, problem.present())
    assert (found.verdict, found.value) == ("fits", told)


def test_agreement():
    problem = make_problem(
        boards=[BOARD, SMALL_BOARD, replace(BOARD, id="board-u", memory_module=None)],
        memory=[replace(KIT, modules=4), replace(SMALL_KIT, modules=4)],
        coolers=(),
    )
    assert all(agree(rule, problem))
