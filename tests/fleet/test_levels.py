"""The worst-off first in levels, and what a better choice may hold.

Leximin itself is checked against brute force of every assignment (test_joint.py).
"""

from __future__ import annotations

from collections.abc import Sequence
from types import SimpleNamespace as Some
from typing import Any, cast

import pytest
from fleets import answer, fleet_of

from partsolver.fleet.prices import SCALE
from partsolver.fleet.records import Column, StageResult
from partsolver.fleet.work import Answer
from partsolver.report.words.fleet import circle_words, no_more_words, speedup_words, stage_words
from partsolver.solve.fleet.close import plans_within


def _plan(name: str) -> Column:
    return Column("plan", (name,), 1_000_000, (), (), ())


def test_each_level_is_named_once_with_fewer_pcs_each_time() -> None:
    """Each step of one per cent was a line of its own ("6 PCs at 52", "6 PCs at 53", ...)."""
    outcome = answer(fleet_of(0, "worst-first", 5000, (2, 2), few=True))
    levels = [(int(s.name.split(">=")[1]), s.value) for s in outcome.stages if s.name.startswith("speed")]
    speeds = sorted(100_000_000 // (one.result.column.time_ppm or 10**9) for one in outcome.pcs)
    now = min(100_000_000 // (one.present_ppm or 1) for one in outcome.pcs)
    assert levels == [(speed, sum(s >= speed for s in speeds)) for speed in sorted({*speeds}) if speed > now]
    assert stage_words(outcome.stages[0], outcome).startswith(
        f"{levels[0][1]} PCs at {levels[0][0]} per cent"
    )


def test_plans_that_a_better_choice_may_hold_are_asked_for_by_what_the_prices_prove() -> None:
    """A relaxation of 10 whose best plan is worth 3 more than its class, for two PCs, proves 16, not 10: a choice
    worth 9 or more, better than 8, may hold a plan that loses up to 7."""
    asked: list[int] = []

    def ask(allowance: int) -> Sequence[Answer]:
        asked.append(allowance // SCALE)
        return [(((5 * SCALE, _plan("a")), *(((2 * SCALE - allowance), _plan("b")),)), True)]

    plans_within(ask, [2 * SCALE], [2], 10.0, 10.0, 8)
    assert asked == [1, 7]
    asked.clear()
    # A better bound from elsewhere is not what these prices prove, and where none is worth more, once is enough.
    plans_within(lambda allowance: asked.append(allowance // SCALE) or [((), True)], [0], [2], 10.0, 12.0, 8)  # type: ignore[func-returns-value]
    assert asked == [3]


def _told(*times: int | None) -> Any:
    """An answer with PCs of these times."""
    wishes = Some(goal="most-pcs", least_speedup="1.25")
    fleet = Some(wishes=wishes, catalog=Some(info=Some(digits=2)))
    pcs = [Some(result=Some(column=Some(time_ppm=time)), why=None) for time in times]
    return Some(fleet=fleet, pcs=pcs)


@pytest.mark.parametrize(
    ("stage", "said"),
    [
        (("pcs", 1, 1), "1 PC at least 1.25 times as fast: proven best"),
        (
            ("pcs", 2, 3),
            "2 PCs at least 1.25 times as fast: perhaps not the best, but more than 3 is not possible",
        ),
        (("cost", 500, 500), "for 5.00: proven best"),
        (("cost", 500, 400), "for 5.00: perhaps not the cheapest, but less than 4.00 is not possible"),
        (("speed>=77", 5, 5), "5 PCs at 77 per cent of the reference speed or more: proven best"),
        (("speed>=85", 0, 2), "no PC at 85 per cent or more was found; 2 PCs may be possible"),
        (("kept", 1, 1), "1 PC keeps the plan it had: proven best"),
        (("kept", 2, 2), "2 PCs keep the plan they had: proven best"),
        (("gain", 75, 75), "75 per cent less time, added up over all PCs: proven best"),
        (("fine", 751, 751), "75.1 per cent less time, added up over all PCs to the tenth: proven best"),
    ],
)
def test_how_far_a_goal_is_reached_and_proven(stage: tuple[str, int, int], said: str) -> None:
    assert stage_words(StageResult(*stage), _told(900_000)) == said


def test_pcs_that_will_not_run_are_told_with_the_gain() -> None:
    """ "-25.0 per cent less time" said nobody what had happened."""
    assert stage_words(StageResult("gain", -25, -25), _told(900_000, None)) == (
        "-25 per cent less time, added up over all PCs (1 PC that will not run: -100 each): proven best"
    )


def test_nothing_more_is_only_said_where_it_is_proven() -> None:
    """ "nothing more of this goal" was said of a search that had been cut off."""
    assert no_more_words([StageResult("pcs", 2, 2)]) == "nothing more of this goal"
    assert no_more_words([StageResult("speed>=71", 6, 6), StageResult("speed>=72", 5, 6)]) == (
        "nothing more of this goal was found; it is not excluded"
    )


def test_a_pc_that_does_not_run_now_runs_again_and_circles_are_told() -> None:
    problems = {0: Some(present=lambda: None), 1: Some(present=lambda: 1)}
    outcome: Any = Some(problems=problems)
    dead, alive = (Some(speedup_milli=1390, result=Some(number=number)) for number in (0, 1))
    assert speedup_words(cast(Any, dead), outcome) == "runs again, 1.39 times as fast as it was"
    assert speedup_words(cast(Any, alive), outcome) == "1.39 times as fast"
    results = [
        Some(pc=pc, donors=frozenset({other}), column=Some(kind="plan"))
        for pc, other in (("a", "b"), ("b", "a"))
    ]
    assert circle_words(cast(Any, Some(pcs=[Some(result=one) for one in results]))) == [
        "a and b get parts out of one another: take the parts out of all of them before anything goes in, and label"
        " each with the PC it came from."
    ]
