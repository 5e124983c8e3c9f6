"""memory.rate. Outside: all modules run at the lowest rate the configuration supports (Intel Core
i7-9700K-era datasheet vol. 1, 2.1.4); 2400 MT/s modules on a 2666 MT/s platform run at 2400 (common
practice)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support import BOARD, CPU, KIT, MEMORY, agree, findings, make_problem, make_survey, pick

from partsolver.rules import memory_rate as rule

TWO = replace(BOARD, id="board-2", memory_two_per_channel_rate_mts=2133)


@pytest.mark.parametrize(
    ("board", "cpu", "rated", "memory", "rate", "by"),
    [
        (BOARD, 2666, 2400, "kit-a*1", 2400, "module"),
        (BOARD, 2666, 3200, "kit-a*1", 2666, "processor"),
        (BOARD, 2933, 3200, "kit-a*1", 2666, "board"),
        (BOARD, 2666, 2666, "kit-a*1", 2666, "module"),
        (TWO, 2666, 2400, "kit-a*1", 2400, "module"),
        (TWO, 2666, 2400, "kit-a*2", 2133, "two-per-channel"),
    ],
)
def test_lowest_limit(board, cpu, rated, memory, rate, by):
    problem = make_problem(
        boards=[board],
        cpus=[replace(CPU, memory_rates=(("ddr4", cpu),))],
        memory=[replace(KIT, rate_mts=rated)],
    )
    (found,) = findings(rule, problem, pick(problem, memory=memory))
    assert (found.verdict, found.value, found.limit, found.unit, found.fact("by")) == (
        "fits",
        rate,
        rated,
        "MT/s",
        by,
    )
    assert found.margin is None and found.parts == ("kit-a", board.id, "cpu-a")


def test_facts_exactly():
    problem = make_problem(boards=[TWO])
    (found,) = findings(rule, problem, pick(problem, memory="kit-a*2"))
    assert found.facts == (
        ("board_mts", 2666),
        ("by", "two-per-channel"),
        ("module_mts", 2400),
        ("processor_mts", 2666),
        ("two_per_channel_mts", 2133),
    )
    (one,) = findings(rule, problem, pick(problem, memory="kit-a*1"))  # one module on each channel
    assert one.facts == (("board_mts", 2666), ("by", "module"), ("module_mts", 2400), ("processor_mts", 2666))


@pytest.mark.parametrize(
    ("tables", "question", "rate"),
    [
        ({"memory": [replace(KIT, rate_mts=None)]}, "memory:kit-a.rate_mts", 2666),
        ({"boards": [replace(BOARD, memory_max_rate_mts=None)]}, "board:board-a.memory_max_rate_mts", 2400),
        ({"cpus": [replace(CPU, memory_rates=None)]}, "cpu:cpu-a.memory_rates", 2400),
    ],
)
def test_unknown_limits_leave_the_lowest_known(tables, question, rate):
    (found,) = findings(rule, make_problem(**tables))
    assert (found.verdict, found.question, found.value, found.admits) == ("unknown", question, rate, True)


def test_nothing_known():
    problem = make_problem(
        boards=[replace(BOARD, memory_max_rate_mts=None)],
        cpus=[replace(CPU, memory_rates=())],
        memory=[replace(KIT, rate_mts=None)],
    )
    (found,) = findings(rule, problem)
    assert (found.verdict, found.value, found.fact("by")) == ("unknown", None, None)


def test_unrated_present_modules_are_a_question():
    kept = MEMORY.model_copy(update={"generation": "ddr4", "rate_mts": None})
    problem = make_problem(make_survey(memory=(kept,)))
    (found,) = findings(rule, problem, pick(problem, memory="kit-a*1+kept-memory"))
    assert (found.question, found.value) == ("memory.rate_mts", 2400)


@given(st.tuples(*[st.integers(800, 6400)] * 4), st.sampled_from(["kit-a*1", "kit-a*2"]))
def test_never_above_any_limit_and_equal_to_one(rates, memory):
    board, two, cpu, rated = rates
    problem = make_problem(
        boards=[replace(BOARD, memory_max_rate_mts=board, memory_two_per_channel_rate_mts=two)],
        cpus=[replace(CPU, memory_rates=(("ddr4", cpu),))],
        memory=[replace(KIT, rate_mts=rated)],
    )
    (found,) = findings(rule, problem, pick(problem, memory=memory))
    limits = [board, cpu, rated] + ([two] if memory == "kit-a*2" else [])
    assert found.value == min(limits)


def test_never_refuses():
    problem = make_problem(
        boards=[BOARD, TWO], memory=[KIT, replace(KIT, id="kit-b", rate_mts=None)], coolers=()
    )
    admitted, refused = agree(rule, problem)
    assert admitted > 0 and refused == 0
