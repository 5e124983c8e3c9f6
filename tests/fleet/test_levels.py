"""The worst-off first in levels, and what a better choice may hold.

Leximin itself is checked against brute force of every assignment (test_joint.py).
"""

from __future__ import annotations

from collections.abc import Sequence

from fleets import answer, fleet_of

from partsolver.fleet.prices import SCALE
from partsolver.fleet.records import Column, StageResult
from partsolver.fleet.work import Answer
from partsolver.report.words.fleet import no_more_words, speedup_words, stage_words
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


def test_what_is_not_proven_is_told_as_such() -> None:
    """ "nothing more of this goal" was said of a search that had been cut off; "1 PCs" of one."""
    outcome = answer(fleet_of(1, "most-pcs", 4000, (1, 1)))
    assert no_more_words([StageResult("pcs", 2, 2)]) == "nothing more of this goal"
    assert "not excluded" in no_more_words([StageResult("speed>=71", 6, 6), StageResult("speed>=72", 5, 6)])
    assert stage_words(StageResult("pcs", 1, 1), outcome) == "1 PC at least 1.25 times as fast: proven best"
    assert stage_words(StageResult("pcs", 1, 2), outcome).endswith(
        "perhaps not the best, but more than 2 is not possible"
    )
    assert stage_words(StageResult("cost", 500, 400), outcome) == (
        "for 5.00: perhaps not the cheapest, but less than 4.00 is not possible"
    )
    assert stage_words(StageResult("speed>=85", 0, 2), outcome) == (
        "no PC at 85 per cent or more was found; 2 PCs may be possible"
    )
    assert all(" as it was" not in speedup_words(one, outcome) for one in outcome.pcs)
