"""What a fleet is asked to reach: measures of what is done with one PC, and their order by goal.

Every measure is a whole number of one PC's expected time and never rises with it:

- ``pcs``: 1 where the speed-up reaches the stated minimum;
- ``gain``: per cent of the time that the owner's use takes now which is saved, rounded down: what nobody can
  notice is not bought. A PC that does not run, or is taken apart, counts -100: all of its work is lost;
- ``fine``: the same in thousandths, the last goal among equals;
- ``speed``: 1 where the speed reaches so many per cent of the reference machine's (0: does not run);
- ``kept``: PCs that keep the plan they have (of a fleet that is planned again): counted by the joint choice
  itself, nothing of it depends on the time.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Any, Literal

import numpy as np

from partsolver.base.records import record
from partsolver.fleet.prices import SCALE
from partsolver.fleet.records import Column
from partsolver.search.bounds import Array

Measure = Literal["pcs", "gain", "fine", "speed", "kept"]
# A measure and its parameter (per cent for ``speed``, else 0).
Measured = tuple[Measure, int]
PERCENT, PERMILLE = 100, 1000
# The last goal among equals.
FINE: Measured = ("fine", 0)
# The first goal of a fleet that is planned again.
KEPT: Measured = ("kept", 0)


@record
class ClassFigures:
    """present_ppm: expected time now (as if it ran, where it does not; None when nothing can be said); runs;
    least_speedup: the stated minimum."""

    present_ppm: int | None
    runs: bool
    least_speedup: str

    @property
    def most_ppm(self) -> int:
        """The longest time that reaches the stated minimum."""
        return int(Fraction(self.present_ppm or 0) / Fraction(self.least_speedup))

    def measure(self, measured: Measured, times: Any) -> Any:
        """The measure of a plan of an expected time (ppm), or of each of an array of them."""
        name, parameter = measured
        if name == "kept":
            return 0 * times
        if name == "pcs":
            return 1 * (times <= self.most_ppm)
        if name == "speed":
            return 1 * (speed_percent(times) >= parameter)
        now, parts = self.present_ppm or 1, PERCENT if name == "gain" else PERMILLE
        # What never ran is better off with any plan.
        return np.maximum(1 - parts, parts * (now - times) // now)

    def of_column(self, measured: Measured, column: Column) -> int:
        """The measure of what is done with one PC."""
        name, parameter = measured
        if column.kind == "plan":
            return int(self.measure(measured, column.time_ppm))
        if name in ("pcs", "kept"):
            return 0
        if name == "speed":
            return int(column.time_ppm is not None and speed_percent(column.time_ppm) >= parameter)
        if column.time_ppm is not None:
            return 0
        return -PERCENT if name == "gain" else -PERMILLE


def speed_percent(time_ppm: Any) -> Any:
    """Speed in per cent of the reference machine's, rounded down."""
    return 100_000_000 // time_ppm


@record
class Worth:
    """The worth of an expected time (SCALE): measures with their factors (units of the goal)."""

    terms: tuple[tuple[Measured, float], ...]

    def measured(self, figures: ClassFigures, times: Array) -> Array:
        total = np.zeros(len(times), dtype=np.float64)
        for measured, factor in self.terms:
            total += factor * SCALE * figures.measure(measured, times)
        return np.rint(total).astype(np.int64)
