"""From readings to speeds: each resource relative to the yardstick's reference machine, and ratios of two
runs.

The reference machine of the yardstick is that of a catalogue measured with it (``into.py``): 1000 and 4000
points, two channels of 2133 MT/s of which memory sustains ``memory_sustained_percent``, 500 MB/s of storage.
It only serves to turn shares of a use, which are shares of the reference machine's time, into shares of the
measured PC's time.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from partsolver.base.records import record
from partsolver.measure.records import LOWER_IS_BETTER, Measurement
from partsolver.measure.repeat import Reach, own_reach
from partsolver.standards.settings import value_of
from partsolver.wishes.uses import Use

# resource -> the reading that stands for it. Graphics is not measured.
READING_OF: Mapping[str, str] = {
    "serial": "serial",
    "parallel": "parallel",
    "memory": "memory",
    "storage": "storage_sequential",
}
# Readings that are compared besides: what people feel, but no resource of the time model.
ALSO_COMPARED = ("storage_random", "launch")
REFERENCE_MEMORY_MBS = 34133  # 2 x 8 B x 2133.33 MT/s


def reference_speeds() -> dict[str, float]:
    """Reading of the reference machine by resource."""
    sustained = REFERENCE_MEMORY_MBS * value_of("memory_sustained_percent") / 100
    return {"serial": 1000.0, "parallel": 4000.0, "memory": sustained, "storage": 500.0}


def relative_speeds(measured: Measurement) -> dict[str, float]:
    """Speed relative to the reference machine by measured resource."""
    found: dict[str, float] = {}
    for resource, reference in reference_speeds().items():
        reading = measured.reading(READING_OF[resource])
        if reading is not None:
            found[resource] = reading.median / reference
    return found


@record
class Ratio:
    """How much faster the second run is in one reading: expected and the reach of its 95 % interval."""

    name: str
    unit: str
    before: int
    after: int
    expected: float
    reach: Reach

    @property
    def low(self) -> float:
        return self.expected * math.exp(-self.reach.low)

    @property
    def high(self) -> float:
        return self.expected * math.exp(self.reach.high)

    @property
    def shown(self) -> bool:
        """Whether the runs show a change: 1 lies outside the interval."""
        return not self.low <= 1 <= self.high


def ratio(
    before: Measurement, after: Measurement, name: str, settings: Mapping[str, int] | None = None
) -> Ratio | None:
    """Speed ratio of a reading in two runs, or None where one of them lacks it. Two runs that scatter alike
    give the interval that `measure` states for another run (``repeat.bounds``)."""
    first, second = before.reading(name), after.reading(name)
    if first is None or second is None:
        return None
    reach = own_reach(second, after, settings).plus(own_reach(first, before, settings).flipped())
    expected = second.median / first.median
    if name in LOWER_IS_BETTER:
        expected, reach = 1 / expected, reach.flipped()
    return Ratio(name, first.unit, first.median, second.median, expected, reach)


def ratios(
    before: Measurement, after: Measurement, settings: Mapping[str, int] | None = None
) -> dict[str, Ratio]:
    """Ratios by resource (serial, parallel, memory, storage) and of the readings compared besides."""
    pairs = (*READING_OF.items(), *((name, name) for name in ALSO_COMPARED))
    found = {name: ratio(before, after, reading, settings) for name, reading in pairs}
    return {name: made for name, made in found.items() if made is not None}


def installed_mib(measured: Measurement) -> int:
    """Installed memory: what the system sees, rounded up to whole GiB, because firmware and kernel keep some
    (common practice); 0 when it is not known."""
    return -(-(measured.conditions.memory_mib or 0) // 1024) * 1024


def paging_share(use: Use, measured: Measurement) -> float | None:
    """Time added by too little memory, in shares of the reference time (the form of ``performance.time``):
    share x (working set - capacity) / working set x latency ratio of the drive. None when the capacity is not
    known."""
    if measured.conditions.memory_mib is None:
        return None
    missing = max(0, use.working_set_mib - installed_mib(measured))
    if missing == 0:
        return 0.0
    latency = value_of("paging_ratio_disk" if measured.drive.rotational else "paging_ratio_ssd")
    return use.paging_permille / 1000 * missing / use.working_set_mib * latency
