"""Steps of the resolution: how far a plan's time lies above the least one, as far as anybody can notice."""

from __future__ import annotations

from fractions import Fraction
from math import ceil
from typing import Any

import numpy as np


def step_of(time_ppm: int, least_ppm: int, resolution: Fraction) -> int:
    """Step of a time, not below the least one, above it (plain statement)."""
    if resolution == 0:
        return time_ppm - least_ppm
    return 100 * (time_ppm - least_ppm) * resolution.denominator // (resolution.numerator * least_ppm)


def step_end(least_ppm: int, resolution: Fraction, step: int) -> int:
    """The longest time that is of a step or an earlier one (a step narrower than a millionth may hold none)."""
    if resolution == 0:
        return least_ppm + step
    # Where the next step begins is of that step.
    return least_ppm + ceil((step + 1) * resolution * least_ppm / 100) - 1


def steps_of(times: Any, least_ppm: int, resolution: Fraction) -> Any:
    """Step of every time (those below the least one count 0)."""
    values, place = np.unique(times, return_inverse=True)
    steps = [step_of(max(int(value), least_ppm), least_ppm, resolution) for value in values]
    return np.array(steps, dtype=np.int64)[place]
