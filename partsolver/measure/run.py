"""One measurement: rounds of every test in turn, medians and spreads, conditions, and the verdict.

The tests take turns (every round has each of them once) instead of being repeated one after the other: a
disturbance that lasts some seconds then touches one repetition of each, which the median drops, and a slow
change during the run shows as spread. The clock, progress and date are the caller's or the system's; nothing
is kept on disk.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from partsolver.base.errors import InternalFault
from partsolver.base.records import record
from partsolver.measure.bandwidth import WORD_BYTES, usable_elements
from partsolver.measure.compute import TASKS, points
from partsolver.measure.conditions import SystemFiles, others_permille, software, stolen_permille
from partsolver.measure.judge import judge
from partsolver.measure.launch import COLD_PERMILLE, Application
from partsolver.measure.records import YARDSTICK, Conditions, Measurement, MemoryFacts, Reading, Reason
from partsolver.measure.storage import LEAST_MIB, MIB, TestFile, default_folder
from partsolver.measure.worker import Crew

Progress = Callable[[float, str], None]


@record
class Effort:
    """How much is done. Times in seconds; ``rounds_most`` rounds, fewer (not below ``rounds_least``) when
    ``budget_s`` is used up; launch: whether an application is started."""

    rounds_least: int
    rounds_most: int
    budget_s: float
    task_s: float
    triad_s: float
    file_mib: int
    sequential_s: float
    random_s: float
    idle_s: float
    launch: bool = True


FULL = Effort(5, 15, 165, 0.5, 1.0, 512, 3.0, 1.0, 2.0)  # about three minutes
QUICK = Effort(3, 3, 20, 0.12, 0.3, 64, 0.5, 0.3, 0.5)  # 10 to 20 s
# For the survey of an old PC: a small file, no start of an application, little heat; 10 to 25 s.
FIRST_LOOK = Effort(3, 3, 10, 0.12, 0.3, 32, 0.5, 0.3, 0.5, launch=False)

UNITS = {
    "serial": "points",
    "parallel": "points",
    "memory": "MB/s",
    "storage_sequential": "MB/s",
    "storage_random": "reads/s",
    "launch": "ms",
}


def measure(
    date: str,
    quick: bool = False,
    folder: Path | None = None,
    progress: Progress = lambda share, step: None,
    effort: Effort | None = None,
    system: SystemFiles | None = None,
) -> Measurement:
    """Measure this PC.

    date: ISO day for the record; folder: where the file for the storage test goes (default: a folder on the
    system drive); progress: called with the share done (0 to 1) and the step's code. Raises InputRefused when
    the folder cannot be used.
    """
    asked = effort or (QUICK if quick else FULL)
    files = system or SystemFiles()
    started = time.monotonic()
    progress(0.0, "idle")
    busy, load = files.busy_permille(asked.idle_s), files.load_milli()
    cache_kib = files.last_level_cache_kib()
    elements, rule_met = usable_elements(cache_kib, files.free_mib())
    processes = files.threads()
    values: dict[str, list[float]] = {}
    with TestFile(
        folder or default_folder(), asked.file_mib, lambda share: progress(0.05 * share, "file")
    ) as file:
        progress(0.05, "start")
        application = _application() if asked.launch else None
        stayed = None if application is None else application.stayed_permille()
        cold = stayed is not None and stayed <= COLD_PERMILLE
        reads = file.cache in ("direct", "dropped")
        ticks, own = files.ticks(), _own_seconds()
        with Crew(processes) as crew:
            temperatures = [files.temperature_c()]
            throttled = files.throttle_count()
            clocks: dict[str, list[int]] = {"one": [], "all": []}
            first = time.monotonic()
            rounds = 0
            while rounds < asked.rounds_most and (
                rounds < asked.rounds_least or time.monotonic() - first < asked.budget_s
            ):

                def step(code: str, part: float, rounds: int = rounds) -> None:
                    by_time = (
                        (time.monotonic() - first) / asked.budget_s if rounds >= asked.rounds_least else 0.0
                    )
                    done = max((rounds + part) / asked.rounds_most, by_time)
                    progress(0.1 + 0.9 * min(0.99, done), code)

                step("serial", 0.0)
                _compute(crew, "serial", asked, values)
                _note(clocks["one"], files.clock_mhz())
                step("parallel", 0.25)
                _compute(crew, "parallel", asked, values)
                _note(clocks["all"], files.clock_median_mhz())
                temperatures.append(files.temperature_c())
                if rule_met:
                    step("memory", 0.5)
                    values.setdefault("memory", []).append(crew.triad_mbs(elements, asked.triad_s))
                if reads:
                    step("storage", 0.65)
                    values.setdefault("storage_sequential", []).append(
                        file.sequential_mbs(asked.sequential_s)
                    )
                    values.setdefault("storage_random", []).append(
                        file.random_reads_per_s(asked.random_s, rounds)
                    )
                if application is not None and cold:
                    step("launch", 0.85)
                    application.drop()
                    values.setdefault("launch", []).append(application.start_ms())
                rounds += 1
            throttled_after = files.throttle_count()
        # The workers have ended: their time counts as this process's own.
        ticks_after, own_after = files.ticks(), _own_seconds()
        facts = file.facts()
    conditions = Conditions(
        cpu_model=files.cpu_model(),
        threads=processes,
        cores=files.cores(),
        memory_mib=files.memory_mib(),
        virtual=files.virtual(),
        governor=files.governor(),
        power=files.power(),  # type: ignore[arg-type]
        busy_permille=busy,
        others_permille=others_permille(ticks, ticks_after, own_after - own),
        stolen_permille=stolen_permille(ticks, ticks_after),
        load_milli=load,
        temperature_start_c=temperatures[0],
        temperature_most_c=max((t for t in temperatures if t is not None), default=None),
        clock_one_thread_mhz=_middle(clocks["one"]),
        clock_all_threads_mhz=_middle(clocks["all"]),
        throttle_events=None if throttled is None or throttled_after is None else throttled_after - throttled,
    )
    readings = tuple(
        Reading.of_values(name, UNITS.get(name, "units per 1000 s"), made) for name, made in values.items()
    )
    missing = []
    if not rule_met:
        missing.append(
            Reason(code="memory_short", about="memory", value=elements * WORD_BYTES * 3 // MIB, unit="MiB")
        )
    if not reads:
        missing.append(
            Reason(
                code=f"cache_{facts.cache}",
                about="storage",
                value=facts.file_system,
                limit=LEAST_MIB,
                unit="MiB",
            )
        )
    if not cold:
        missing.append(
            Reason(code="not_cold", about="launch", value=stayed, limit=COLD_PERMILLE, unit="permille")
            if asked.launch
            else Reason(code="left_out", about="launch")
        )
    reasons = judge(readings, conditions, rounds)
    progress(1.0, "done")
    return Measurement(
        schema="partsolver.measurement/1",
        yardstick=YARDSTICK,
        date=date,
        quick=quick,
        rounds=rounds,
        seconds=max(1, round(time.monotonic() - started)),
        verdict="noisy" if reasons else "good",
        reasons=reasons,
        missing=tuple(missing),
        readings=readings,
        conditions=conditions,
        software=software(),
        drive=facts,
        memory=MemoryFacts(
            last_level_cache_kib=cache_kib,
            array_kib=max(1, elements * WORD_BYTES // 1024),
            rule_met=rule_met,
            processes=processes,
        ),
    )


def _application() -> Application | None:
    with suppress(InternalFault):
        return Application()
    return None


def _own_seconds() -> float:
    """Processor time of this process and its ended children."""
    spent = os.times()
    return spent.user + spent.system + spent.children_user + spent.children_system


def _compute(crew: Crew, name: str, effort: Effort, values: dict[str, list[float]]) -> None:
    """One round of the mix: the score, and the rate of each task in units per 1000 s."""
    rates = {task: crew.rate(task, effort.task_s, name == "parallel") for task in TASKS}
    values.setdefault(name, []).append(points(rates))
    for task, rate in rates.items():
        values.setdefault(f"{name}.{task}", []).append(rate * 1000)


def _note(found: list[int], value: int | None) -> None:
    if value is not None:
        found.append(value)


def _middle(found: list[int]) -> int | None:
    return sorted(found)[len(found) // 2] if found else None
