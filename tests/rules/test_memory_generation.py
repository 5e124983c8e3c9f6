"""memory.generation. Outside fact: a controller drives one generation at a time (Intel 12th-gen datasheet
vol. 1, ID 655258, "Memory Controller"); DDR3 modules do not serve a DDR4 board (common practice, other
notch)."""

from __future__ import annotations

from dataclasses import replace

import pytest
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

from partsolver.rules import memory_generation as rule

DDR3_BOARD = replace(BOARD, id="board-3", memory_generation="ddr3")
DDR3_KIT = replace(KIT, id="kit-3", generation="ddr3", rate_mts=1600)
BOTH = replace(CPU, id="cpu-both", memory_rates=(("ddr3", 1600), ("ddr4", 2133)))


def test_same_generation_fits_exactly():
    modules, processor = findings(rule, make_problem())
    assert (modules.verdict, modules.value, modules.parts, modules.facts) == (
        "fits",
        "ddr4",
        ("kit-a", "board-a"),
        (),
    )
    assert (processor.verdict, processor.value, processor.parts) == ("fits", "ddr4", ("cpu-a", "board-a"))


@pytest.mark.parametrize(
    ("board", "cpu", "kit", "verdicts"),
    [
        (BOARD, CPU, DDR3_KIT, ("fails", "fits")),
        (DDR3_BOARD, CPU, DDR3_KIT, ("fits", "fails")),
        (DDR3_BOARD, BOTH, DDR3_KIT, ("fits", "fits")),
        (DDR3_BOARD, CPU, KIT, ("fails", "fails")),
        (replace(BOARD, memory_generation=None), CPU, DDR3_KIT, ("unknown", "fails")),
        (replace(BOARD, memory_generation=None), CPU, KIT, ("unknown", "fits")),
        (BOARD, replace(CPU, memory_rates=None), KIT, ("fits", "unknown")),
        (BOARD, replace(CPU, memory_rates=()), KIT, ("fits", "fails")),
    ],
)
def test_table(board, cpu, kit, verdicts):
    assert (
        tuple(f.verdict for f in findings(rule, make_problem(boards=[board], cpus=[cpu], memory=[kit])))
        == verdicts
    )


def test_outside_facts():
    modules, processor = findings(rule, make_problem(boards=[DDR3_BOARD]))
    assert (modules.value, modules.limit) == ("ddr4", "ddr3")
    assert (processor.value, processor.limit, processor.fact("processor")) == ("ddr3", "ddr4", "yes")
    question = findings(rule, make_problem(boards=[replace(BOARD, memory_generation=None)]))[0]
    assert question.question == "board:board-a.memory_generation" and not question.blocks


def test_present_parts_are_irrelevant():
    # Even where the survey knows nothing, the PC as it is works.
    survey = make_survey(
        board=replace(OLD_BOARD, memory_generation=None),
        cpu=replace(OLD_CPU, memory_rates=None),
        memory=(MEMORY.model_copy(update={"generation": None}),),
    )
    problem = make_problem(survey)
    found = findings(rule, problem, problem.present())
    assert [f.verdict for f in found] == ["fits", "fits"]


@pytest.mark.parametrize(
    ("slots", "modules", "said"), [("ddr3", None, "ddr3"), (None, "ddr3", "ddr3"), (None, None, None)]
)
def test_what_runs_today_is_of_the_generation_that_either_states(slots, modules, said):
    survey = make_survey(
        board=replace(OLD_BOARD, memory_generation=slots),
        memory=(MEMORY.model_copy(update={"generation": modules}),),
    )
    problem = make_problem(survey)
    of_modules, of_processor = findings(rule, problem, problem.present())
    assert (of_modules.value, of_processor.value) == (said, said)


@pytest.mark.parametrize("generation", ["ddr3", None])
def test_agreement(generation):
    survey = make_survey(board=replace(OLD_BOARD, memory_generation=generation))
    problem = make_problem(
        survey,
        boards=[BOARD, DDR3_BOARD, replace(BOARD, id="board-u", memory_generation=None)],
        cpus=[CPU, BOTH, replace(CPU, id="cpu-u", memory_rates=None)],
        memory=[replace(KIT, modules=4), replace(DDR3_KIT, modules=4)],
        coolers=(),
    )
    admitted, refused = agree(rule, problem)
    assert admitted > 0 and refused > 0
    assert findings(
        rule, problem, pick(problem, board="kept-board", cpu="kept-cpu", memory="kit-3*1+kept-memory")
    )
