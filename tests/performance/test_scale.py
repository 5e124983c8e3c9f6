"""Measured scores on the scale of a catalogue, by hand. Reference machines: 1000 and 4000 points by convention (`measure/compute.py`)."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import CPU, make_catalog

from partsolver.performance.scale import is_on_scale, on_scale_of

INFO = make_catalog().info
OWN = replace(CPU, serial_score=500, parallel_score=2001, score_scale="stick-1", score_error_percent=3)


def info(serial: int = 2600, parallel: int = 9000, origin: str = "reviews") -> Any:
    return replace(
        INFO, origin=origin, reference=replace(INFO.reference, serial_score=serial, parallel_score=parallel)
    )


@pytest.mark.parametrize(
    ("origin", "same"),
    [
        ("yardstick stick-1", True),
        ("measured with yardstick stick-1, 2026", True),
        ("yardstick stick-10", False),
        ("a yardstick stick-2", False),
        ("nayardstick stick-1", False),
        ("yardstick stickx1", False),
        ("", False),
    ],
)
def test_a_catalogue_of_the_same_yardstick(origin: str, same: bool) -> None:
    assert is_on_scale(origin, "stick-1") is same
    found = on_scale_of(info(origin=origin), OWN)
    assert found.score_scale is None
    assert (found.serial_score == 500, found.score_error_percent == 3) == (same, same)


def test_scores_of_no_yardstick_stay() -> None:
    plain = replace(OWN, score_scale=None)
    assert on_scale_of(info(), plain) is plain


@pytest.mark.parametrize(
    ("serial", "parallel", "error", "turned"),
    [
        (500, 2001, 3, (1300, 4502, 21)),  # 2001 x 9000 / 4000 = 4502.25; (3^2 + 20^2)^0.5 = 20.2, up
        (500, 2002, 0, (1300, 4505, 20)),  # 4504.5, halves up
        (1, 1, 15, (3, 2, 25)),  # 2.6 and 2.25; 3-4-5
        (None, 4000, None, (None, 9000, 20)),
        (1000, None, 48, (2600, None, 52)),  # 5-12-13
    ],
)
def test_the_two_reference_machines_stand_for_each_other(
    serial: int | None, parallel: int | None, error: int | None, turned: tuple[int | None, ...]
) -> None:
    found = on_scale_of(
        info(), replace(OWN, serial_score=serial, parallel_score=parallel, score_error_percent=error)
    )
    assert (found.serial_score, found.parallel_score, found.score_error_percent) == turned
    assert found.score_scale is None


def test_never_less_than_a_point() -> None:
    found = on_scale_of(info(1, 1), replace(OWN, serial_score=1, parallel_score=1))
    assert (found.serial_score, found.parallel_score) == (1, 1)
