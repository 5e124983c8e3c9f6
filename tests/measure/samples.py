"""Made-up measurements for tests: every figure can be set; the repetitions are quiet unless they are
given."""

from __future__ import annotations

from typing import Any

from partsolver.measure.judge import judge
from partsolver.measure.promise import Detail, Promise
from partsolver.measure.records import Conditions, DriveFacts, Measurement, MemoryFacts, Reading, Software
from partsolver.measure.run import UNITS
from partsolver.plan.outcome import Interval
from partsolver.wishes.uses import USES

QUIET = (0.995, 1.0, 1.005, 0.998, 1.002)
FIGURES = {
    "serial": 1000.0,
    "parallel": 3800.0,
    "memory": 20000.0,
    "storage_sequential": 520.0,
    "storage_random": 9000.0,
    "launch": 900.0,
}
STATE: dict[str, Any] = {
    "cpu_model": "Invented 4c",
    "threads": 4,
    "cores": 4,
    "memory_mib": 7900,
    "virtual": False,
    "governor": "schedutil",
    "power": "no battery listed",
    "busy_permille": 10,
    "others_permille": 10,
    "stolen_permille": 0,
    "load_milli": 100,
    "temperature_start_c": 40,
    "temperature_most_c": 70,
    "clock_one_thread_mhz": 3600,
    "clock_all_threads_mhz": 3400,
    "throttle_events": 0,
}


def sample(
    drive: dict[str, Any] | None = None,
    state: dict[str, Any] | None = None,
    shape: Any = QUIET,
    **figures: Any,
) -> Measurement:
    """A measurement; a figure of None leaves the reading out, a tuple gives the repetitions themselves."""
    readings = []
    for name, value in {**FIGURES, **figures}.items():
        if value is not None:
            made = list(value) if isinstance(value, tuple) else [value * factor for factor in shape]
            readings.append(Reading.of_values(name, UNITS[name], made))
    conditions = Conditions(**{**STATE, **(state or {})})
    reasons = judge(readings, conditions, len(readings[0].values))
    return Measurement(
        schema="partsolver.measurement/1",
        yardstick="partsolver-1",
        date="2026-11-20",
        quick=False,
        rounds=len(readings[0].values),
        seconds=170,
        verdict="noisy" if reasons else "good",
        reasons=reasons,
        missing=(),
        readings=tuple(readings),
        conditions=conditions,
        memory=MemoryFacts(last_level_cache_kib=8192, array_kib=32768, rule_met=True, processes=4),
        drive=DriveFacts(
            **{
                "cache": "direct",
                "file_system": "ext4",
                "rotational": False,
                "interface": "sata",
                "link_gbps10": None,
                "file_mib": 512,
                **(drive or {}),
            }
        ),
        software=Software(python="3.11.7", numpy="2.4.6", zlib="1.2.13", system="Linux x86_64"),
    )


def promise(
    before: dict[str, int] | None = None,
    after: dict[str, int] | None = None,
    interval: tuple[int, int, int] = (2000, 1800, 2200),
    **detail: Any,
) -> Promise:
    """A promise for office work: every resource twice as fast unless terms (ppm) are given."""
    old = {
        "serial": 560000,
        "parallel": 140000,
        "memory": 60000,
        "waiting": 0,
        "streaming": 200000,
        "graphics": 40000,
        "capacity": 0,
        **(before or {}),
    }
    new = {**{name: value // 2 for name, value in old.items()}, **(after or {})}
    facts: dict[str, Any] = {
        "memory_mbs": 51200,
        "channels_milli": 2000,
        "storage_mbs": 510,
        "threads": 4,
        "memory_mib": 8192,
        **detail,
    }
    return Promise(USES["office"], Interval(*interval), 1, Detail(old, new, **facts))
