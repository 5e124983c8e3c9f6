"""memory.slots: as many slots as modules (common practice; hand-counted)."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st
from support import BOARD, KIT, OLD_BOARD, agree, findings, make_problem, make_survey, pick

from partsolver.rules import memory_slots as rule


def test_just_inside():
    (found,) = findings(rule, make_problem(boards=[replace(BOARD, memory_slots=2)]))
    assert (found.verdict, found.value, found.limit, found.margin, found.unit) == ("fits", 2, 2, 0, "modules")
    assert found.parts == ("kit-a", "board-a")


def test_just_outside():
    problem = make_problem(boards=[replace(BOARD, memory_slots=3)])
    (found,) = findings(rule, problem, pick(problem, memory="kit-a*2"))
    assert (found.verdict, found.value, found.limit, found.margin) == ("fails", 4, 3, -1)


def test_kept_modules_count_with_new_ones():
    problem = make_problem(boards=[], memory=[replace(KIT, generation="ddr3", modules=1)])
    (found,) = findings(rule, problem, pick(problem, board="kept-board", memory="kit-a*1+kept-memory"))
    assert (found.verdict, found.value, found.margin) == (
        "fails",
        3,
        -1,
    )  # two present + one new in two slots


def test_unknown():
    (found,) = findings(rule, make_problem(boards=[replace(BOARD, memory_slots=None)]))
    assert (found.verdict, found.question, found.fact("modules")) == (
        "unknown",
        "board:board-a.memory_slots",
        2,
    )


def test_present_pair_is_irrelevant():
    problem = make_problem(make_survey(board=replace(OLD_BOARD, memory_slots=1)))
    assert findings(rule, problem, problem.present())[0].verdict == "fits"


@settings(max_examples=6, deadline=None)
@given(
    slots=st.sampled_from([None, 1, 2, 4]),
    modules=st.integers(1, 4),
    kept_slots=st.sampled_from([None, 2, 4]),
)
def test_agreement(slots, modules, kept_slots):
    problem = make_problem(
        make_survey(board=replace(OLD_BOARD, memory_slots=kept_slots)),
        boards=[replace(BOARD, memory_slots=slots), replace(BOARD, id="board-1", memory_slots=1)],
        memory=[replace(KIT, generation="ddr3", modules=modules)],
        cpus=(),
        coolers=(),
    )
    admitted, refused = agree(rule, problem)
    assert admitted > 0 and refused > 0
