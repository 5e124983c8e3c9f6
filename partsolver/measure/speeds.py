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
from partsolver.performance.law import MOST_DISK_READS, lacking_ppm
from partsolver.standards.settings import value_of
from partsolver.wishes.uses import Use

# resource -> the reading that stands for it. Graphics is not measured; of the reads here and there only a
# part is felt (``felt``).
READING_OF: Mapping[str, str] = {
    "serial": "serial",
    "parallel": "parallel",
    "memory": "memory",
    "waiting": "storage_random",
    "streaming": "storage_sequential",
}
# Readings that are compared besides: as they were read, and what people feel.
ALSO_COMPARED = ("storage_random", "launch")
REFERENCE_MEMORY_MBS = 34133  # 2 x 8 B x 2133.33 MT/s


def reference_speeds() -> dict[str, float]:
    """Reading of the reference machine by resource."""
    sustained = REFERENCE_MEMORY_MBS * value_of("memory_sustained_percent") / 100
    return {
        "serial": 1000.0,
        "parallel": 4000.0,
        "memory": sustained,
        "waiting": float(value_of("random_reads_reference")),
        "streaming": 500.0,
    }


def felt_exponent(resource: str, settings: Mapping[str, int] | None = None) -> float:
    """How much of a ratio of readings is felt in a resource, as an exponent: all of it, but for reads here
    and there (the law's ``random_reads_exponent_percent``)."""
    return value_of("random_reads_exponent_percent", settings) / 100 if resource == "waiting" else 1.0


def reads_its_cache(measured: Measurement) -> bool:
    """Whether a disk seems to have read the file of the measurement out of its own cache (``MOST_DISK_READS``)."""
    reading = measured.reading("storage_random")
    return reading is not None and measured.drive.rotational is True and reading.median > MOST_DISK_READS


def relative_speeds(measured: Measurement, settings: Mapping[str, int] | None = None) -> dict[str, float]:
    """Speed relative to the reference machine by measured resource."""
    found: dict[str, float] = {}
    for resource, reference in reference_speeds().items():
        reading = measured.reading(READING_OF[resource])
        if reading is not None and not (resource == "waiting" and reads_its_cache(measured)):
            found[resource] = (reading.median / reference) ** felt_exponent(resource, settings)
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
    before: Measurement,
    after: Measurement,
    name: str,
    settings: Mapping[str, int] | None = None,
    exponent: float = 1.0,
) -> Ratio | None:
    """Speed ratio of a reading in two runs (to a power: what is felt of it), or None where one of them
    lacks it. Two runs that scatter alike give the interval that `measure` states for another run
    (``repeat.bounds``)."""
    first, second = before.reading(name), after.reading(name)
    if first is None or second is None:
        return None
    reach = own_reach(second, after, settings).plus(own_reach(first, before, settings).flipped())
    expected = second.median / first.median
    if name in LOWER_IS_BETTER:
        expected, reach = 1 / expected, reach.flipped()
    return Ratio(name, first.unit, first.median, second.median, expected**exponent, reach.scaled(exponent))


def ratios(
    before: Measurement, after: Measurement, settings: Mapping[str, int] | None = None
) -> dict[str, Ratio]:
    """Ratios by resource (READING_OF) and of the readings compared besides."""
    found = {
        name: ratio(before, after, reading, settings, felt_exponent(name, settings))
        for name, reading in READING_OF.items()
    }
    if reads_its_cache(before) or reads_its_cache(after):
        del found["waiting"]
    found |= {name: ratio(before, after, name, settings) for name in ALSO_COMPARED}
    return {name: made for name, made in found.items() if made is not None}


def installed_mib(measured: Measurement) -> int:
    """Installed memory: what the system sees, rounded up to whole GiB, because firmware and kernel keep some
    (common practice); 0 when it is not known."""
    return -(-(measured.conditions.memory_mib or 0) // 1024) * 1024


def lacking_share(use: Use, measured: Measurement, settings: Mapping[str, int] | None = None) -> float | None:
    """Time added by too little memory, in shares of the reference time (the law's own term). None when the
    capacity is not known."""
    if measured.conditions.memory_mib is None:
        return None
    kind = {True: "disk", False: "ssd", None: "unknown"}[measured.drive.rotational]
    cost = value_of(f"capacity_cost_{kind}_percent", settings) * use.capacity_percent // 100
    knee = value_of("capacity_knee_percent", settings)
    return lacking_ppm(cost, knee, installed_mib(measured), use.working_set_mib) / 1e6
