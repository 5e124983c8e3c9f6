"""The small decisions of the memory rules, every row of them.

Registered modules start on no board for plain ones and the other way round; ECC modules run without use where they are
tolerated (memory reference, section 1.2; common practice).
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import BOARD, CPU, KIT, MEMORY, OLD_BOARD, OLD_CPU, findings, make_problem, make_survey

from partsolver.assembly.modules import module_sets
from partsolver.rules import memory_buffering, memory_capacity, memory_channels, memory_slots

# What a board says of ECC:        yes           tolerated       no              nothing
PLAIN_OR_ECC = {
    False: ("ok", "ok", "ok", "ok"),
    True: ("ok", "idle", "ecc", "?memory_ecc"),
    None: ("ok", "ok", "?ecc", "?ecc"),
}
UNTOLD = {  # nobody knows whether the modules are registered: fine where both kinds run
    True: ("ok", "ok", "?registered", "?registered"),
    False: ("?registered",) * 4,
    None: ("?registered",) * 4,
}
REGISTERED = {True: "ok", False: "registered", None: "?memory_registered"}


@pytest.mark.parametrize("number, board_ecc", list(enumerate(("yes", "tolerated", "no", None))))
@pytest.mark.parametrize("takes", [True, False, None])
@pytest.mark.parametrize("ecc", [True, False, None])
def test_modules_by_buffering_and_ecc(
    number: int, board_ecc: str | None, takes: bool | None, ecc: bool | None
) -> None:
    board = replace(BOARD, memory_registered=takes, memory_ecc=board_ecc)
    expected = {True: REGISTERED[takes], False: PLAIN_OR_ECC[ecc][number], None: UNTOLD[takes][number]}
    for registered, judged in expected.items():
        problem = make_problem(memory=[replace(KIT, registered=registered, ecc=ecc)])
        (modules,) = module_sets(next(c.part for c in problem.slot("memory") if c.key == "kit-a*1"), problem)
        assert memory_buffering._judge(modules, board) == judged
        assert memory_buffering._wish(modules) == (
            ("registered",) if registered else ("ecc",) if registered is False and ecc else ()
        )
    (candidate,) = (c for c in make_problem(boards=[board]).slot("board") if not c.kept)
    given = {*(() if takes is False else ("registered",)), *(() if board_ecc == "no" else ("ecc",))}
    assert memory_buffering._given(candidate) == (False, given)


@pytest.mark.parametrize(
    ("modules", "left_out", "kept", "slots", "board_kept", "today", "room"),
    [
        (2, 0, True, 1, True, 2, True),  # they sit in it
        (2, 0, True, 1, False, 0, False),
        (2, 0, False, 1, True, 2, False),
        (2, 0, False, 2, False, 0, True),
        (2, 0, False, 3, False, 0, True),
        (2, 1, False, 3, False, 0, False),  # one stays out though there is a slot for it
        (3, 1, False, 3, False, 0, True),
        (2, 0, False, None, False, 0, True),  # asked
        (2, 1, False, None, False, 0, True),
        (2, 1, False, None, True, 3, False),  # three sit in it today
        (3, 1, False, None, True, 3, True),
        (9, 0, False, None, True, 3, True),
    ],
)
def test_slots_for_modules(
    modules: int, left_out: int, kept: bool, slots: int | None, board_kept: bool, today: int, room: bool
) -> None:
    assert memory_slots._has_room((modules, left_out, kept), (slots, board_kept, today)) is room


def test_modules_that_sit_in_the_board_today() -> None:
    problem = make_problem(make_survey(memory=(MEMORY, MEMORY.model_copy(update={"count": 1}))))
    assert memory_slots._sit_today(problem, True) == 3 and memory_slots._sit_today(problem, False) == 0
    for slots, limit in ((None, 3), (2, 3), (3, 3), (4, 4)):
        problem = make_problem(
            make_survey(memory=problem.survey.memory, board=replace(OLD_BOARD, memory_slots=slots))
        )
        (found,) = findings(memory_slots, problem, problem.present())
        assert (found.verdict, found.value, found.limit, found.fact("today")) == ("fits", 3, limit, "yes")


@pytest.mark.parametrize(
    ("limit", "capacity", "value", "shown"),
    [(1024, 2048, 4096, 4096), (8192, 2048, 4096, 8192), (None, 2048, None, None), (8192, None, None, None)],
)
def test_memory_of_today(
    limit: int | None, capacity: int | None, value: int | None, shown: int | None
) -> None:
    """Two modules that run are within every limit, whatever the papers say."""
    survey = make_survey(
        memory=(MEMORY.model_copy(update={"capacity_mib": capacity}),),
        board=replace(OLD_BOARD, memory_max_mib=limit),
        cpu=replace(OLD_CPU, memory_max_mib=limit),
    )
    problem = make_problem(survey)
    for found, by in zip(
        findings(memory_capacity, problem, problem.present()), ("board", "processor"), strict=True
    ):
        assert (found.verdict, found.value, found.limit) == ("fits", value, shown)
        assert dict(found.facts) == {"by": by, "today": "yes"}


@pytest.mark.parametrize(
    ("modules", "channels", "slots", "filled", "milli", "half"),
    [
        (2, 2, 1, 1, None, None),  # no room for the second
        (2, 2, None, 2, 2000, None),
        (3, 2, None, 2, 1500, None),
        (1, 2, None, 1, 1000, "yes"),
        (1, 3, 3, 1, 1000, None),
        (2, 1, 2, 1, 1000, None),
    ],
)
def test_channels_that_are_filled(
    modules: int, channels: int, slots: int | None, filled: int, milli: int | None, half: str | None
) -> None:
    problem = make_problem(
        boards=[replace(BOARD, memory_channels=channels, memory_slots=slots)],
        cpus=[replace(CPU, memory_channels=channels)],
        memory=[replace(KIT, modules=modules)],
    )
    (found,) = findings(memory_channels, problem)
    assert (found.value, found.limit, found.fact("half_bandwidth")) == (filled, channels, half)
    assert milli is None or found.fact("milli_channels") == milli
