"""From readings to speeds: each resource relative to the yardstick's reference machine, and ratios of two runs.

The reference machine of the yardstick is that of a catalogue measured with it (``into.py``): 1000 and 4000 points,
two channels of 2133 MT/s of which memory sustains ``memory_sustained_percent``, 500 MB/s of storage. It only serves
to turn shares of a use, which are shares of the reference machine's time, into shares of the measured PC's time.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from partsolver.measure.records import LOWER_IS_BETTER, Measurement, Reading
from partsolver.measure.stats import NORMAL_95
from partsolver.performance.uses import Use
from partsolver.standards.settings import value_of

# resource -> the reading that stands for it. Graphics is not measured.
READING_OF: Mapping[str, str] = {
    "serial": "serial", "parallel": "parallel", "memory": "memory", "storage": "storage_sequential",
}  # fmt: skip
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


@dataclass(frozen=True, slots=True)
class Ratio:
    """How much faster the second run is in one reading: expected and its 95 % interval; error: of ln(ratio)."""

    name: str
    unit: str
    before: int
    after: int
    expected: float
    error: float

    @property
    def low(self) -> float:
        return self.expected * math.exp(-NORMAL_95 * self.error)

    @property
    def high(self) -> float:
        return self.expected * math.exp(NORMAL_95 * self.error)


def ratio(before: Reading, after: Reading) -> Ratio:
    """Speed ratio of two readings of the same name; errors add in quadrature (GUM, JCGM 100:2008, 5.1.2)."""
    expected = after.median / before.median
    if before.name in LOWER_IS_BETTER:
        expected = 1 / expected
    return Ratio(before.name, before.unit, before.median, after.median, expected, math.hypot(before.error, after.error))


def ratios(before: Measurement, after: Measurement) -> dict[str, Ratio]:
    """Ratios by resource (serial, parallel, memory, storage) and of the readings compared besides."""
    found: dict[str, Ratio] = {}
    for name, reading in (*READING_OF.items(), *((name, name) for name in ALSO_COMPARED)):
        first, second = before.reading(reading), after.reading(reading)
        if first is not None and second is not None:
            found[name] = ratio(first, second)
    return found


def installed_mib(measured: Measurement) -> int:
    """Installed memory: what the system sees, rounded up to whole GiB, because firmware and kernel keep some (common
    practice); 0 when it is not known."""
    return -(-(measured.conditions.memory_mib or 0) // 1024) * 1024


def paging_share(use: Use, measured: Measurement) -> float | None:
    """Time added by too little memory, in shares of the reference time (the form of ``performance.time``): share x
    (working set - capacity) / working set x latency ratio of the drive. None when the capacity is not known."""
    if measured.conditions.memory_mib is None:
        return None
    missing = max(0, use.working_set_mib - installed_mib(measured))
    if missing == 0:
        return 0.0
    latency = value_of("paging_ratio_disk" if measured.drive.rotational else "paging_ratio_ssd")
    return use.paging_permille / 1000 * missing / use.working_set_mib * latency
