"""memory.slots: as many slots as modules (common practice; hand-counted)."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st
from support import BOARD, KIT, MEMORY, OLD_BOARD, agree, findings, make_problem, make_survey, pick

from partsolver.rules import memory_slots as rule
from partsolver.survey.model import MemoryModule


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


def _modules(capacity_mib: int | None) -> MemoryModule:
    return MEMORY.model_copy(update={"capacity_mib": capacity_mib})


def test_best_modules_are_kept_on_a_board_with_fewer_slots() -> None:
    """Four present modules on boards with two, three and four slots: two, three and all stay (common
    practice: the largest are kept)."""
    small, large = _modules(2048), _modules(4096)
    boards = [
        replace(BOARD, id=f"board-{n}", memory_slots=n, memory_generation="ddr3", memory_channels=1)
        for n in (2, 3, 4)
    ]
    problem = make_problem(
        make_survey(memory=(small, large), board=replace(OLD_BOARD, memory_slots=4)),
        boards=boards,
        memory=[replace(KIT, generation="ddr3", modules=1)],
    )
    kept = {c.key: c.part for c in problem.slot("memory") if c.part.kit is None}
    assert {key: part.module_mib for key, part in kept.items()} == {
        "kept-memory": (4096, 4096, 2048, 2048),
        "kept-memory*2": (4096, 4096),
        "kept-memory*3": (4096, 4096, 2048),
    }
    beside = {c.key for c in problem.slot("memory") if c.part.mixed and c.part.kits == 1}
    assert beside == {f"kit-a*1+kept-memory{n}" for n in ("", "*1", "*2", "*3")}
    fitting = {
        (board.id, key)
        for board in boards
        for key in kept
        if all(f.admits for f in findings(rule, problem, pick(problem, board=board.id, memory=key)))
    }
    assert fitting == {("board-2", "kept-memory*2"), ("board-3", "kept-memory*3"), ("board-4", "kept-memory")}
    said = {
        (board, memory): dict(findings(rule, problem, pick(problem, board=board, memory=memory))[0].facts)
        for board in ("board-2", "board-4")
        for memory in ("kept-memory*2", "kept-memory")
    }
    assert said == {
        ("board-2", "kept-memory*2"): {"left_out": 2},
        ("board-2", "kept-memory"): {},
        ("board-4", "kept-memory*2"): {"needless": 2},
        ("board-4", "kept-memory"): {},
    }
    agree(rule, problem)


def test_modules_of_unknown_size_are_kept_together() -> None:
    """Which are the largest is not known: no choice is made among them."""
    problem = make_problem(
        make_survey(memory=(_modules(None), MEMORY)),
        boards=[replace(BOARD, memory_slots=2, memory_generation="ddr3")],
    )
    assert not [c for c in problem.slot("memory") if c.part.left_out]
