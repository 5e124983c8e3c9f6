"""memory.module_capacity. Outside fact: many DDR3 platforms before 2014 take 4 Gbit chips only, hence 8 GiB
modules (encyclopaedia text, memory reference 1.3): the setting ddr3_usual_module_mib."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support import BOARD, KIT, MEMORY, OLD_BOARD, agree, findings, make_problem, make_survey, pick

from partsolver.rules import memory_module_capacity as rule

DDR3 = replace(BOARD, id="board-3", memory_generation="ddr3", memory_max_module_mib=None)


@pytest.mark.parametrize(
    ("mib", "verdict", "margin"), [(16384, "fits", 0), (16385, "fails", -1), (4096, "fits", 12288)]
)
def test_around_the_limit(mib, verdict, margin):
    (found,) = findings(rule, make_problem(memory=[replace(KIT, module_mib=mib)]))
    assert (found.verdict, found.value, found.limit, found.margin, found.unit) == (
        verdict,
        mib,
        16384,
        margin,
        "MiB",
    )
    assert found.parts == ("kit-a", "board-a")


def test_usual_size_is_taken_for_granted():
    (found,) = findings(
        rule, make_problem(boards=[DDR3], memory=[replace(KIT, generation="ddr3", module_mib=8192)])
    )
    assert (found.verdict, found.limit, found.fact("basis")) == ("fits", 8192, "usual")
    (found,) = findings(
        rule, make_problem(boards=[DDR3], memory=[replace(KIT, generation="ddr3", module_mib=16384)])
    )
    assert (found.verdict, found.question) == ("unknown", "board:board-3.memory_max_module_mib")


def test_one_known_module_is_enough_to_refuse():
    kept = MEMORY.model_copy(update={"generation": "ddr4", "capacity_mib": None})
    problem = make_problem(
        make_survey(memory=(kept,)), memory=[KIT, replace(KIT, id="kit-big", module_mib=32768)]
    )
    assert findings(rule, problem, pick(problem, memory="kit-big*1+kept-memory"))[0].verdict == "fails"
    (found,) = findings(rule, problem, pick(problem, memory="kit-a*1+kept-memory"))
    assert (found.verdict, found.question) == ("unknown", "memory.capacity_mib")


def test_present_modules_on_the_present_board_are_irrelevant():
    survey = make_survey(board=replace(OLD_BOARD, memory_max_module_mib=1024))
    problem = make_problem(survey, memory=[replace(KIT, generation="ddr3", module_mib=1024)])
    assert findings(rule, problem, problem.present())[0].verdict == "fits"
    (found,) = findings(rule, problem, pick(problem, board="kept-board", memory="kit-a*1+kept-memory"))
    assert (found.verdict, found.value) == ("fits", 1024)
    # One of the two stays out, for boards with one slot: what stays works on this board too.
    problem = make_problem(survey, boards=[replace(BOARD, memory_slots=1)])
    (found,) = findings(rule, problem, pick(problem, board="kept-board", memory="kept-memory*1"))
    assert (found.verdict, found.value, found.fact("today")) == ("fits", None, "yes")


def test_both_statements_on_the_present_board():
    """It takes 1 GiB modules and has two of 2 GiB in it, which work; a kit has to fit all the same."""
    survey = make_survey(board=replace(OLD_BOARD, memory_max_module_mib=1024))
    kits = [
        replace(KIT, id=f"kit-{mib}", generation="ddr3", module_mib=mib, modules=1) for mib in (1024, 1025)
    ]
    low = replace(BOARD, memory_generation="ddr3", memory_max_module_mib=1024)
    problem = make_problem(survey, boards=[low], memory=kits, cpus=(), coolers=())
    for board, memory, verdict, value in (
        ("kept-board", "kit-1024*1+kept-memory", "fits", 1024),
        ("kept-board", "kit-1025*1+kept-memory", "fails", 1025),
        ("board-a", "kit-1024*1+kept-memory", "fails", 2048),
        ("board-a", "kit-1024*1", "fits", 1024),
        ("board-a", "kept-memory", "fails", 2048),
    ):
        (found,) = findings(rule, problem, pick(problem, board=board, cpu="kept-cpu", memory=memory))
        assert (found.verdict, found.value, found.limit) == (verdict, value, 1024)
    agree(rule, problem)


@settings(max_examples=6, deadline=None)
@given(limit=st.sampled_from([None, 1024, 4096]), capacity=st.sampled_from([None, 2048, 8192]))
def test_agreement(limit, capacity):
    kept = MEMORY.model_copy(update={"capacity_mib": capacity})
    problem = make_problem(
        make_survey(memory=(kept,), board=replace(OLD_BOARD, memory_max_module_mib=limit)),
        boards=[BOARD, DDR3, replace(BOARD, id="board-4", memory_max_module_mib=4095)],
        memory=[replace(KIT, generation="ddr3", modules=4)],
        cpus=(),
        coolers=(),
    )
    assert all(agree(rule, problem))
