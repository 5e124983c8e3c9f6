"""Whether a run may be called good: limits of spread, of other work, of heat. A pure function of what was
read."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

from partsolver.measure.records import Conditions, Measurement, Reading, Reason, read_measurement
from partsolver.measure.stats import falling_chance, sag

# Limits of a good run: engineering judgement. Spread of the repetitions by reading, permille.
MOST_SPREAD_PERMILLE = {
    "serial": 40,
    "parallel": 50,
    "memory": 80,
    "storage_sequential": 120,
    "storage_random": 200,
    "launch": 150,
}
LEAST_ROUNDS = 5
MOST_BUSY_PERMILLE = 100  # used by other programs before the run, or during it
MOST_STOLEN_PERMILLE = 20  # taken by the host of a virtual machine
LEAST_SAG_PERMILLE = 930  # later against first rounds
MOST_FALLING_CHANCE = (
    0.025  # a fall that noise gives more often than this is not called one (one side of 95 %)
)


def judge(readings: Iterable[Reading], conditions: Conditions, rounds: int) -> tuple[Reason, ...]:
    """Reasons not to call a run good; empty when it is."""
    found: list[Reason] = []

    def over(code: str, value: Any, limit: int, unit: str, about: str = "") -> None:
        if value is not None and value > limit:
            found.append(Reason(code=code, about=about, value=value, limit=limit, unit=unit))

    if rounds < LEAST_ROUNDS:
        found.append(Reason(code="few_rounds", value=rounds, limit=LEAST_ROUNDS, unit="rounds"))
    over("busy", conditions.busy_permille, MOST_BUSY_PERMILLE, "permille")
    over("others", conditions.others_permille, MOST_BUSY_PERMILLE, "permille")
    over("stolen", conditions.stolen_permille, MOST_STOLEN_PERMILLE, "permille")
    if conditions.power == "battery":
        found.append(Reason(code="battery"))
    over("throttled", conditions.throttle_events, 0, "events")
    for reading in readings:
        if reading.name in MOST_SPREAD_PERMILLE:
            over(
                "spread",
                reading.spread_permille,
                MOST_SPREAD_PERMILLE[reading.name],
                "permille",
                reading.name,
            )
        if reading.name in ("serial", "parallel") and len(reading.values) >= LEAST_ROUNDS:
            share = sagging_permille(reading)
            if share is not None:
                found.append(
                    Reason(
                        code="sag", about=reading.name, value=share, limit=LEAST_SAG_PERMILLE, unit="permille"
                    )
                )
    return tuple(found)


def sagging_permille(reading: Reading) -> int | None:
    """Later against first rounds where they fall too far, and more steadily than noise does; None
    otherwise."""
    share = round(1000 * sag(reading.values))
    return (
        share
        if share < LEAST_SAG_PERMILLE and falling_chance(reading.values) <= MOST_FALLING_CHANCE
        else None
    )


def read_run(path: Path) -> Measurement:
    """Read a measurement file and judge it by this version's limits, whatever version wrote it. Raises
    InputRefused."""
    stored = read_measurement(path)
    reasons = judge(stored.readings, stored.conditions, stored.rounds)
    return stored.model_copy(update={"reasons": reasons, "verdict": "noisy" if reasons else "good"})
