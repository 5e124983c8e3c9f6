"""Which system the rules go by, and what is excused because it works today."""

from __future__ import annotations

import pytest
from support import make_problem, make_survey, pick

from partsolver.assembly.system import excused, kept_system, other_system, same_system
from partsolver.problem.problem import Problem
from partsolver.survey.model import OperatingSystem
from partsolver.wishes.brief import Brief


def asked(family: str | None, wanted: str | None = None, keep: bool = True) -> Problem:
    survey = make_survey(os=OperatingSystem(family=family, licence="none-needed", keep=keep))
    return make_problem(survey, Brief(os=wanted))


@pytest.mark.parametrize(
    ("family", "wanted", "keep", "system", "same", "other"),
    [
        ("linux-32bit", None, True, "linux-32bit", True, False),
        ("linux-32bit", None, False, None, True, False),  # it goes: its requirements do not count
        ("linux-32bit", "linux-32bit", False, "linux-32bit", True, False),
        ("linux-32bit", "desktop-2015", True, "desktop-2015", False, True),
        ("linux-32bit", "desktop-2015", False, "desktop-2015", False, True),
        (None, None, True, None, False, False),
        ("none", None, True, None, False, False),
        (None, "desktop-2015", True, "desktop-2015", False, True),
    ],
)
def test_which_system(
    family: str | None, wanted: str | None, keep: bool, system: str | None, same: bool, other: bool
) -> None:
    problem = asked(family, wanted, keep)
    found = kept_system(problem)
    assert (None if found is None else found.id) == system
    assert (same_system(problem), other_system(problem)) == (same, other)


@pytest.mark.parametrize(
    ("wanted", "keys", "slot", "free"),
    [
        (None, {"board": "kept-board", "cpu": "kept-cpu"}, "memory", True),  # nothing changes
        (None, {"board": "kept-board", "cpu": "cpu-a"}, "memory", False),
        (None, {"board": "board-a", "cpu": "kept-cpu"}, "memory", False),
        (None, {"board": "board-a", "cpu": "kept-cpu"}, "cpu", True),  # it runs this system today
        (None, {"board": "board-a", "cpu": "cpu-a"}, "cpu", False),
        # Another system is asked for: a condition of the finished PC, kept parts included.
        ("desktop-2015", {"board": "kept-board", "cpu": "kept-cpu"}, "memory", False),
        ("desktop-2015", {"board": "board-a", "cpu": "kept-cpu"}, "cpu", False),
    ],
)
def test_what_is_excused(wanted: str | None, keys: dict[str, str], slot: str, free: bool) -> None:
    problem = asked("linux-32bit", wanted)
    assert excused(pick(problem, **keys), problem, slot) is free  # type: ignore[arg-type]


def test_a_kept_part_is_not_excused_where_nobody_knows_todays_system() -> None:
    problem = asked(None)
    assert not excused(pick(problem, board="board-a", cpu="kept-cpu"), problem, "cpu")
    assert excused(pick(problem, board="kept-board", cpu="kept-cpu"), problem, "cpu")
