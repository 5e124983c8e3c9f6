"""Likely reasons why a PC is not as fast as expected, each tied to a reading.

A cause is *read* when the system itself states it (the negotiated link rate, counted throttle events, a
governor, the number of threads), and *inferred* when a figure fits it. The bounds are engineering judgement
around facts of the trade: one channel of two gives half the bandwidth (MT/s x 8 B x channels, JESD79-3), a 3
Gb/s link gives a solid-state drive 250-290 MB/s (300 MB/s after 8b/10b; measured 285/275 MB/s in a drive
maker's support article).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Literal

from partsolver.base.records import record
from partsolver.measure.judge import LEAST_ROUNDS, sagging_permille
from partsolver.measure.promise import Promise
from partsolver.measure.records import Measurement
from partsolver.measure.speeds import Ratio
from partsolver.standards.storage import SATA_MBS

# Share of the expected figure, per cent: below this something is the matter (beyond ordinary differences).
AS_EXPECTED_PERCENT = 90
# The upper bound of the measured interval must lie below this share of what was expected.
CERTAIN_SHARE = 0.97
HALF_PERCENT = (40, 60)
# What a link carries of its 8b/10b-limited rate: 250 to 294 of 300 MB/s.
LINK_SHARE_PERCENT = (83, 98)
HOT_C = (
    95  # processors of desktop PCs slow down at 95 to 105 degrees C (common practice; the data sheet decides)
)
CLOCK_DROP_PERCENT = 70  # all-thread clock below this share of the one-thread clock


@record
class Cause:
    """code; resource concerned; certainty; facts for the wording (name, value)."""

    code: str
    resource: str
    certainty: Literal["read", "inferred"]
    facts: tuple[tuple[str, int | str], ...]

    def fact(self, name: str) -> int | str | None:
        return dict(self.facts).get(name)


def find_causes(
    before: Measurement,
    after: Measurement,
    ratios: Mapping[str, Ratio],
    promise: Promise | None,
    promised: Mapping[str, float],
) -> tuple[Cause, ...]:
    """All causes that the readings support: runs that seem exchanged, then memory, storage, processor, the runs
    themselves."""
    days = (("before", before.date), ("after", after.date))
    return (
        *((Cause("exchanged", "run", "read", days),) if after.date < before.date else ()),
        *_memory(after, ratios, promise, promised),
        *_storage(after, ratios, promise, promised),
        *_processor(after, ratios, promise, promised),
        *(
            Cause(
                "noisy_run",
                "run",
                "read",
                (("run", name), ("reasons", len(run.reasons)), ("first", run.reasons[0].code)),
            )
            for name, run in (("before", before), ("after", after))
            if run.verdict == "noisy"
        ),
    )


def _percent_of_promise(name: str, ratios: Mapping[str, Ratio], promised: Mapping[str, float]) -> int | None:
    """Measured ratio in per cent of the promised one; of 1 (not slower than before) without a promise.

    None when it was not measured, or so coarsely that it may be as expected: nothing is inferred from that.
    """
    if name not in ratios:
        return None
    found, wanted = ratios[name], promised.get(name, 1.0)
    percent = round(100 * found.expected / wanted)
    return None if percent < AS_EXPECTED_PERCENT and found.high >= wanted * CERTAIN_SHARE else percent


def _memory(
    after: Measurement, ratios: Mapping[str, Ratio], promise: Promise | None, promised: Mapping[str, float]
) -> Iterator[Cause]:
    detail = None if promise is None else promise.detail
    percent = _percent_of_promise("memory", ratios, promised)
    if percent is not None and percent < AS_EXPECTED_PERCENT:
        measured = ratios["memory"].after
        facts: tuple[tuple[str, int | str], ...] = (
            ("percent", percent),
            ("measured_mbs", measured),
            ("against", _basis("memory", promised)),
        )
        peak = None if detail is None else detail.memory_mbs
        two = detail is None or detail.channels_milli >= 1500
        if peak is not None:
            facts += (("peak_mbs", peak),)
        # More than one channel can carry disproves "one channel only", whatever the ratio says.
        possible = peak is None or detail is None or measured * detail.channels_milli <= peak * 1000
        if HALF_PERCENT[0] <= percent <= HALF_PERCENT[1] and two and possible:
            yield Cause("one_channel", "memory", "inferred", facts)
        elif percent > HALF_PERCENT[0]:
            yield Cause("memory_rate", "memory", "inferred", facts)
    if detail is not None and detail.memory_mib is not None and after.conditions.memory_mib is not None:
        # Integrated graphics and firmware may keep up to 2 GiB (common practice): only more is a missing
        # module.
        seen = after.conditions.memory_mib
        if seen < detail.memory_mib - 2048 or seen * 100 < detail.memory_mib * 75:
            yield Cause(
                "memory_missing", "memory", "read", (("seen_mib", seen), ("expected_mib", detail.memory_mib))
            )


def _basis(name: str, promised: Mapping[str, float]) -> str:
    return "plan" if name in promised else "before"


def _storage(
    after: Measurement, ratios: Mapping[str, Ratio], promise: Promise | None, promised: Mapping[str, float]
) -> Iterator[Cause]:
    reading, drive = after.reading("storage_sequential"), after.drive
    if reading is None or drive.rotational or drive.interface not in ("sata", None):
        return  # a disk does not fill such a link; other links have other rates
    detail = None if promise is None else promise.detail
    expected = None if detail is None else detail.storage_mbs
    percent = _percent_of_promise("streaming", ratios, promised)
    for rate in (30, 15):
        low, high = (SATA_MBS[rate] * share // 100 for share in LINK_SHARE_PERCENT)
        # Worth saying only where more was to be had: the plan counts on more, or nothing says that it does
        # not.
        slower = expected is None or expected * AS_EXPECTED_PERCENT // 100 > reading.median
        facts: tuple[tuple[str, int | str], ...] = (("link_gbps10", rate), ("measured_mbs", reading.median))
        if expected is not None:
            facts += (("expected_mbs", expected),)
        if drive.link_gbps10 == rate and slower:
            yield Cause("drive_link", "streaming", "read", (*facts, ("port_gbps10", drive.port_gbps10 or 0)))
            return
        # An unknown drive that reads 125-147 MB/s is more likely a disk: only a known solid-state drive
        # counts.
        likely = rate == 30 or drive.rotational is False
        if drive.link_gbps10 is None and low <= reading.median <= high and slower and likely:
            yield Cause("drive_link", "streaming", "inferred", facts)
            return
    if (
        percent is not None
        and percent < AS_EXPECTED_PERCENT
        and expected is not None
        and reading.median < expected * AS_EXPECTED_PERCENT // 100
    ):
        yield Cause(
            "drive_slow",
            "streaming",
            "inferred",
            (("percent", percent), ("measured_mbs", reading.median), ("expected_mbs", expected)),
        )


def _processor(
    after: Measurement, ratios: Mapping[str, Ratio], promise: Promise | None, promised: Mapping[str, float]
) -> Iterator[Cause]:
    detail = None if promise is None else promise.detail
    state = after.conditions
    serial = _percent_of_promise("serial", ratios, promised) or 100
    parallel = _percent_of_promise("parallel", ratios, promised) or 100
    fewer = detail is not None and detail.threads is not None and state.threads < detail.threads
    if fewer and detail is not None and detail.threads is not None:
        yield Cause(
            "fewer_threads", "parallel", "read", (("seen", state.threads), ("expected", detail.threads))
        )
    if state.governor == "powersave" and min(serial, parallel) < AS_EXPECTED_PERCENT:
        yield Cause("governor", "serial", "inferred", (("governor", state.governor),))
    facts = tuple(_throttle_facts(after))
    low = parallel < AS_EXPECTED_PERCENT
    if facts and (low or any(name in ("throttle_events", "later_permille") for name, _ in facts)):
        read = any(name == "throttle_events" for name, _ in facts)
        yield Cause("throttling", "parallel", "read" if read else "inferred", (("percent", parallel), *facts))
    elif low and not fewer and parallel < serial * 85 // 100:
        basis = _basis("parallel", promised)
        yield Cause(
            "all_thread_low",
            "parallel",
            "inferred",
            (("percent", parallel), ("serial_percent", serial), ("against", basis)),
        )


def _throttle_facts(after: Measurement) -> Iterator[tuple[str, int | str]]:
    state = after.conditions
    if state.throttle_events:
        yield ("throttle_events", state.throttle_events)
    if state.temperature_most_c is not None and state.temperature_most_c >= HOT_C:
        yield ("temperature_c", state.temperature_most_c)
    one, every = state.clock_one_thread_mhz, state.clock_all_threads_mhz
    if one is not None and every is not None and every * 100 < one * CLOCK_DROP_PERCENT:
        yield ("clock_one_mhz", one)
        yield ("clock_all_mhz", every)
    reading = after.reading("parallel")
    if reading is not None and len(reading.values) >= LEAST_ROUNDS:
        later = sagging_permille(reading)
        if later is not None:
            yield ("later_permille", later)
