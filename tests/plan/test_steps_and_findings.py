"""Steps of the resolution, findings with a margin, and loads that are a range: each on both sides of its edge."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsolver.plan.findings import Finding, Verdict, at_least, at_most, fails, fits, unknown
from partsolver.plan.ranges import within
from partsolver.plan.steps import step_end, step_of, steps_of


@pytest.mark.parametrize(
    ("time_ppm", "least_ppm", "resolution", "step"),
    [
        # Steps of 5 % of 1.000000: 50,000 millionths each; the first starts at the least time itself.
        (1_000_000, 1_000_000, Fraction(5), 0),
        (1_049_999, 1_000_000, Fraction(5), 0),
        (1_050_000, 1_000_000, Fraction(5), 1),
        (1_099_999, 1_000_000, Fraction(5), 1),
        (1_100_000, 1_000_000, Fraction(5), 2),
        # Of a third of a per cent of 900,000: 3,000.
        (902_999, 900_000, Fraction(1, 3), 0),
        (903_000, 900_000, Fraction(1, 3), 1),
        # No resolution: every millionth is a step.
        (1_000_007, 1_000_000, Fraction(0), 7),
    ],
)
def test_the_step_of_a_time(time_ppm: int, least_ppm: int, resolution: Fraction, step: int) -> None:
    assert step_of(time_ppm, least_ppm, resolution) == step
    assert list(steps_of([time_ppm, least_ppm, least_ppm - 5], least_ppm, resolution)) == [step, 0, 0]


@pytest.mark.parametrize(
    ("least_ppm", "resolution", "step", "end"),
    [
        # Steps of 10: 100 to 109, 110 to 119; 110 begins the second.
        (100, Fraction(10), 0, 109),
        (100, Fraction(10), 1, 119),
        # Of 10.1: 101 to 111, 112 (from 111.1) to 121 (121.2 is the next).
        (101, Fraction(10), 0, 111),
        (101, Fraction(10), 1, 121),
        # Of a third: three begin before the next millionth; two of them hold no time.
        (100, Fraction(1, 3), 0, 100),
        (100, Fraction(1, 3), 2, 100),
        (100, Fraction(1, 3), 3, 101),
        (100, Fraction(0), 7, 107),
    ],
)
def test_the_longest_time_of_a_step(least_ppm: int, resolution: Fraction, step: int, end: int) -> None:
    assert step_end(least_ppm, resolution, step) == end
    assert type(step_end(least_ppm, resolution, step)) is int


@given(
    least=st.integers(1, 10**7),
    beyond=st.integers(0, 10**7),
    resolution=st.fractions(0, 30, max_denominator=40),
)
def test_a_step_ends_where_the_next_begins(least: int, beyond: int, resolution: Fraction) -> None:
    """The last time of a step that holds one is of it; what follows is of a later one."""
    step = step_of(least + beyond, least, resolution)
    end = step_end(least, resolution, step)
    assert least + beyond <= end
    assert step_of(end, least, resolution) == step < step_of(end + 1, least, resolution)


def test_steps_keep_the_order_of_the_times() -> None:
    found = steps_of(np.array([1_100_000, 1_000_000, 1_050_000, 1_100_000]), 1_000_000, Fraction(5))
    assert found.tolist() == [2, 0, 1, 2] and found.dtype == np.int64


@pytest.mark.parametrize(
    ("compared", "value", "verdict", "margin"),
    [
        (at_most, 4, "fits", 1),
        (at_most, 5, "fits", 0),
        (at_most, 6, "fails", -1),
        (at_least, 6, "fits", 1),
        (at_least, 5, "fits", 0),
        (at_least, 4, "fails", -1),
    ],
)
def test_compared_with_a_limit(
    compared: Callable[..., Finding], value: int, verdict: Verdict, margin: int
) -> None:
    found = compared("rule.id", value, 5, "mm", ("part",), slot="b", bay=1)
    facts = (("bay", 1), ("slot", "b"))
    assert found == Finding("rule.id", verdict, value, 5, margin, "mm", ("part",), facts, False, None)
    assert found.admits is (verdict == "fits")
    assert (found.fact("bay"), found.fact("slot"), found.fact("other")) == (1, "b", None)


def test_findings_without_a_margin() -> None:
    assert fits("r", ("p",), "v", b=2, a=1) == Finding(
        "r", "fits", "v", parts=("p",), facts=(("a", 1), ("b", 2))
    )
    assert fails("r", ("p",), 1, 2, b=2, a=1) == Finding(
        "r", "fails", 1, 2, parts=("p",), facts=(("a", 1), ("b", 2))
    )
    open_, blocked = unknown("r", "psu.year", b=2, a=1), unknown("r", "psu.year", blocks=True)
    assert open_ == Finding("r", "unknown", facts=(("a", 1), ("b", 2)), question="psu.year")
    assert (fits("r").admits, fails("r").admits, open_.admits, blocked.admits) == (True, False, True, False)


# A usual load of 80 and a highest of 100 against a limit, in this order: verdicts, margins, what is warned of.
@pytest.mark.parametrize(
    ("limit", "settles", "unknown_load", "carried", "found"),
    [
        (100, "psu.label", None, 0, [("fits", 20, None, None)]),
        (99, None, None, 0, [("fits", 19, "highest load", None)]),
        (99, "psu.label", None, 0, [("fits", 19, "highest load", None), ("unknown", None, None, 1)]),
        (80, "psu.label", None, 0, [("fits", 0, "highest load", None), ("unknown", None, None, 20)]),
        # What is known to be carried today is carried.
        (80, "psu.label", None, 100, [("fits", 0, None, None)]),
        (80, "psu.label", None, 99, [("fits", 0, "highest load", None), ("unknown", None, None, 20)]),
        (79, "psu.label", None, 0, [("fails", -1, None, None)]),
        # A load that nobody stated is asked for before anything is connected.
        (79, "psu.label", "card.load", 0, [("unknown", -1, None, None)]),
        (80, None, "card.load", 0, [("fits", 0, "highest load", None)]),
    ],
)
def test_a_load_that_is_a_range(
    limit: int, settles: str | None, unknown_load: str | None, carried: int, found: list[tuple[object, ...]]
) -> None:
    told = within("r", 80, 100, limit, "mA", ("psu",), settles, unknown_load, carried)
    assert [(f.verdict, f.margin, f.fact("warning"), f.fact("narrows")) for f in told] == found
    first = told[0]
    assert (first.rule, first.value, first.limit, first.unit, first.parts) == ("r", 80, limit, "mA", ("psu",))
    assert first.fact("most") == 100
    blocked = first.verdict == "unknown"
    assert (first.blocks, first.question) == (blocked, "card.load" if blocked else None)
    assert all((f.question, f.blocks, f.fact("unit")) == ("psu.label", False, "mA") for f in told[1:])
