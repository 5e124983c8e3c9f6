"""memory.capacity: rule for the most memory = min(board limit, processor limit) (memory reference, 1.3; by
hand)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support import (
    BOARD,
    CPU,
    KIT,
    MEMORY,
    OLD_BOARD,
    OLD_CPU,
    agree,
    findings,
    make_problem,
    make_survey,
    pick,
)

from partsolver.rules import memory_capacity as rule


@pytest.mark.parametrize(
    ("board_mib", "cpu_mib", "verdicts", "margins"),
    [
        (8192, 8192, ("fits", "fits"), (0, 0)),
        (8191, 8192, ("fails", "fits"), (-1, 0)),
        (8192, 8191, ("fits", "fails"), (0, -1)),
        (65536, 32768, ("fits", "fits"), (57344, 24576)),
    ],
)
def test_around_the_limits(board_mib, cpu_mib, verdicts, margins):
    problem = make_problem(
        boards=[replace(BOARD, memory_max_mib=board_mib)], cpus=[replace(CPU, memory_max_mib=cpu_mib)]
    )
    found = findings(rule, problem)  # 2 x 4096
    assert tuple(f.verdict for f in found) == verdicts
    assert tuple(f.margin for f in found) == margins
    assert [f.value for f in found] == [8192, 8192] and [f.limit for f in found] == [board_mib, cpu_mib]
    assert [f.facts for f in found] == [(("by", "board"),), (("by", "processor"),)]
    assert [f.parts for f in found] == [("kit-a", "board-a"), ("kit-a", "cpu-a")]


def test_unknown_limits():
    problem = make_problem(
        boards=[replace(BOARD, memory_max_mib=None)], cpus=[replace(CPU, memory_max_mib=None)]
    )
    found = findings(rule, problem)
    assert [f.question for f in found] == ["board:board-a.memory_max_mib", "cpu:cpu-a.memory_max_mib"]
    assert all(f.admits and f.fact("total_mib") == 8192 for f in found)


def test_known_part_of_the_modules_can_refuse():
    kept = MEMORY.model_copy(update={"generation": "ddr4", "capacity_mib": None})
    problem = make_problem(make_survey(memory=(kept,)), boards=[replace(BOARD, memory_max_mib=8192)])
    board, _ = findings(rule, problem, pick(problem, memory="kit-a*1+kept-memory"))
    assert (board.verdict, board.question) == ("unknown", "memory.capacity_mib")
    board, _ = findings(rule, problem, pick(problem, memory="kit-a*2"))
    assert (board.verdict, board.value) == ("fails", 16384)


def test_present_parts_are_irrelevant():
    survey = make_survey(
        board=replace(OLD_BOARD, memory_max_mib=1024), cpu=replace(OLD_CPU, memory_max_mib=None)
    )
    problem = make_problem(survey)
    assert [f.verdict for f in findings(rule, problem, problem.present())] == ["fits", "fits"]


def test_present_modules_may_be_too_much_for_a_new_board():
    """2 x 2048 MiB work on the present board, and are one MiB too much for the new one."""
    problem = make_problem(boards=[replace(BOARD, memory_max_mib=4095)], cpus=(), memory=(), coolers=())
    assert agree(rule, problem) == (1, 1)


@settings(max_examples=4, deadline=None)
@given(limit=st.sampled_from([None, 2048, 6144]), capacity=st.sampled_from([None, 2048]))
def test_agreement(limit, capacity):
    problem = make_problem(
        make_survey(
            memory=(MEMORY.model_copy(update={"capacity_mib": capacity}),),
            cpu=replace(OLD_CPU, memory_max_mib=limit),
        ),
        boards=[replace(BOARD, memory_max_mib=16383), replace(BOARD, id="board-u", memory_max_mib=None)],
        cpus=[replace(CPU, memory_max_mib=8192)],
        memory=[replace(KIT, generation="ddr3")],
        coolers=(),
    )
    assert all(agree(rule, problem))
