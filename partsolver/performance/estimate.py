"""Scores that nobody published, estimated from the scored processors around, with an error that says how far
they are.

One thread: clock x points per MHz. Points per MHz are those of the scored processors of the same class; where
the class has none, of classes whose work per clock is published (``standards/processor_classes.py``); else
they follow the trend over the years (robust line through the classes: P. K. Sen, J. Am. Stat. Assoc. 63
(1968) 1379-1389, median of pairwise slopes), with an error that grows with the distance beyond the scored
years. An unknown year is the middle of the years in which processors for the socket came on sale. An unknown
clock counts as that of the class (of the socket, of the years around), with their spread as error: a class's
range is an answer.

All threads: one thread x cores x efficiency (median of scored processors with as many threads per core, of
the same class where it has any, otherwise of the nearest number of cores), less where a stated power limit
holds the all-thread clock near the base clock. Unknown cores: all : one thread of the class.

``score_error_percent`` of an estimate is the standard error of its one-thread score.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from statistics import median, median_low
from typing import Any

from partsolver.base.records import exchanged
from partsolver.catalog.records import CatalogInfo, Cpu
from partsolver.performance.scale import on_scale_of
from partsolver.standards.processor_classes import CLASS_STEP_ERROR, PER_CLOCK, SOCKET_YEARS
from partsolver.survey.model import Survey

# Standard errors, ln; judgement checked by leaving out every scored processor of the demo
# (tests/performance).
SAME_CLASS_ERROR = 0.06  # several scored processors of the class
ONE_OF_CLASS_ERROR = 0.10  # one only
TREND_ERROR = 0.20  # least error of another class within the scored years
TREND_ERROR_PER_YEAR = 0.03  # growth of points per MHz differs by maker and decade: 4-7 % a year
NO_YEAR_ERROR = 0.35
LEAST_CLOCK_ERROR = 0.12
# Growth of points per MHz a year where the catalogue's own span is too short: 1.6 in 7 years, then 1.3 in 7
# (the sources of standards/processor_classes.py).
USUAL_GROWTH = math.log(1.6 * 1.3) / 14
LEAST_SPAN_YEARS = 4
# Integer throughput of two threads per core: +11 to +37 % (SPEC CPU2006, 2- and 4-core parts of 2010-2013).
TWO_THREADS_GAIN = 1.2
# Share of the way from base to highest clock that all threads keep when the power limit is no more than the
# rated heat.
KEPT_CLOCK = 0.5
FREE_HEADROOM = 0.25


def with_estimates(cpus: Iterable[Cpu], years: Mapping[str, int | None] | None = None) -> Mapping[str, Cpu]:
    """All processors by id; missing scores filled in and ``score_origin`` set to ``estimated`` for those.
    ``years``: a year for those that have none (that of the board they sit in). Scores stay unknown only
    where nobody has any."""
    listed = sorted(cpus, key=lambda c: c.id)
    if all(c.serial_score is not None and c.parallel_score is not None for c in listed):
        return {c.id: c for c in listed}
    scored = _Scored(listed)
    return {cpu.id: scored.filled(cpu, usual_year(cpu) or (years or {}).get(cpu.id)) for cpu in listed}


def usual_year(cpu: Cpu) -> int | None:
    """The year of a processor; where it is not known, the middle of its socket's years."""
    years = SOCKET_YEARS.get((cpu.socket or "").upper())
    return cpu.year if cpu.year is not None or years is None else sum(years) // 2


def with_estimates_beside(survey: Survey, info: CatalogInfo, cpus: Iterable[Cpu]) -> Mapping[str, Cpu]:
    """Processors of a catalogue and that of a survey with their scores, on the catalogue's scale; a
    present processor of unknown year is as old as its board."""
    present = on_scale_of(info, survey.cpu)
    return with_estimates((*cpus, present), {present.id: survey.board.year})


def class_of(cpu: Cpu) -> str | None:
    """What groups processors of like work per clock: the class, else the family."""
    return cpu.architecture_class or cpu.family


def two_threads(cpu: Cpu) -> bool:
    """Whether a core runs two threads."""
    cores, threads = cpu.cores, cpu.threads
    return cores is not None and threads is not None and threads > cores


def kept_clock(cpu: Cpu) -> float:
    """Clock with all threads over the highest clock, as far as a stated power limit decides it (else 1)."""
    if not (cpu.power_limit_w and cpu.tdp_w and cpu.base_mhz and cpu.boost_mhz):
        return 1.0
    headroom = min(1.0, max(0.0, (cpu.power_limit_w / cpu.tdp_w - 1) / FREE_HEADROOM))
    kept = KEPT_CLOCK + (1 - KEPT_CLOCK) * headroom
    return (cpu.base_mhz + kept * (cpu.boost_mhz - cpu.base_mhz)) / cpu.boost_mhz


def clock_mhz(cpu: Cpu) -> int | None:
    """Highest clock that is stated."""
    return cpu.boost_mhz or cpu.base_mhz


def _spread(values: Sequence[float]) -> float:
    """Standard deviation of logarithms around their median."""
    middle = median(values)
    return math.sqrt(math.fsum((v - middle) ** 2 for v in values) / len(values))


Estimate = tuple[float, float]  # ln value, standard error of it


class _Scored:
    """The scored processors, and what they say about others."""

    def __init__(self, cpus: Sequence[Cpu]) -> None:
        self._cpus = cpus
        # (processor, ln points per MHz) and (processor, ln efficiency of a core with all threads).
        self._per_mhz = [
            (c, math.log(c.serial_score / clock)) for c in cpus if c.serial_score and (clock := clock_mhz(c))
        ]
        self._both = [c for c in cpus if c.serial_score and c.parallel_score]
        self._efficiency = [
            (c, math.log(c.parallel_score / (c.serial_score * c.cores * kept_clock(c))))  # type: ignore[operator]
            for c in self._both
            if c.cores
        ]
        # The same by what they are asked for: a class's points, the efficiencies by threads and class.
        self._points_of: dict[str | None, list[float]] = {}
        for c, value in self._per_mhz:
            self._points_of.setdefault(class_of(c), []).append(value)
        self._alike: dict[Hashable, list[tuple[Cpu, float]]] = {}
        for pair in self._efficiency:
            smt, name = two_threads(pair[0]), class_of(pair[0])
            self._alike.setdefault(smt, []).append(pair)
            self._alike.setdefault((smt, name), []).append(pair)
        self._known: dict[Hashable, Any] = {}
        self._classes = self._by_class()

    def filled(self, cpu: Cpu, year: int | None) -> Cpu:
        """One processor with its missing scores."""
        serial, parallel = cpu.serial_score, cpu.parallel_score
        error = cpu.score_error_percent
        if serial is not None and parallel is not None:
            return cpu
        if serial is None and parallel is not None:
            serial, error = self._serial_from_parallel(cpu, parallel, year)
        elif serial is None:
            found = self._serial(cpu, year)
            if found is not None:
                serial, error = _points(found[0]), _percent(found[1])
        if parallel is None and serial is not None:
            parallel = _points(math.log(serial) + self._all_threads(cpu, year))
        if serial is None or parallel is None:
            return cpu
        return exchanged(
            cpu,
            {
                "serial_score": serial,
                "parallel_score": parallel,
                "score_origin": "estimated",
                "score_error_percent": error,
            },
        )

    # -- one thread ------------------------------------------------------------------------------------------

    def _serial(self, cpu: Cpu, year: int | None) -> Estimate | None:
        points = self._once(
            ("per MHz", class_of(cpu), year), lambda: self._points_per_mhz(class_of(cpu), year)
        )
        if points is None:
            return None
        clock = clock_mhz(cpu)
        speed = (
            self._once(("clock", class_of(cpu), cpu.socket, year), lambda: self._usual_clock(cpu, year))
            if clock is None
            else (math.log(clock), 0.0)
        )
        return points[0] + speed[0], math.hypot(points[1], speed[1])

    def _serial_from_parallel(self, cpu: Cpu, parallel: int, year: int | None) -> tuple[int, int]:
        found = math.log(parallel) - self._all_threads(cpu, year)
        return _points(found), _percent(0.15 if cpu.cores else 0.4)

    def _points_per_mhz(self, name: str | None, year: int | None) -> Estimate | None:
        """ln points per MHz of a class and year."""
        if not self._per_mhz:
            return None
        own = self._points_of.get(name, []) if name is not None else []
        if own:
            return median(own), SAME_CLASS_ERROR if len(own) > 1 else ONE_OF_CLASS_ERROR
        if name in PER_CLOCK:
            steps = [
                value + math.log(PER_CLOCK[name] / PER_CLOCK[other])
                for other, (_, value) in self._classes.items()
                if other in PER_CLOCK
            ]
            if steps:
                return median(steps), CLASS_STEP_ERROR
        if year is not None and any(y is not None for y, _ in self._classes.values()):
            return self._trend(year)
        values = [value for _, value in self._classes.values()]
        return median(values), max(NO_YEAR_ERROR, _spread(values))

    def _by_class(self) -> dict[Hashable, tuple[int | None, float]]:
        """Year and ln points per MHz of every scored class: classes weigh alike, however many processors they
        have."""
        groups: dict[Hashable, list[tuple[Cpu, float]]] = {}
        for cpu, value in self._per_mhz:
            groups.setdefault(class_of(cpu) or ("year", cpu.year), []).append((cpu, value))
        found: dict[Hashable, tuple[int | None, float]] = {}
        for name, members in groups.items():
            years = sorted(c.year for c, _ in members if c.year is not None)
            found[name] = (median_low(years) if years else None, median(v for _, v in members))
        return found

    def _trend(self, year: int) -> Estimate:
        """ln points per MHz of a year by the trend over the years of the scored classes."""
        dated = sorted((y, value) for y, value in self._classes.values() if y is not None)
        first, last = dated[0][0], dated[-1][0]
        growth = USUAL_GROWTH
        if last - first >= LEAST_SPAN_YEARS and len(dated) > 2:
            slopes = [
                (b - a) / (v - u) for i, (u, a) in enumerate(dated) for v, b in dated[i + 1 :] if v != u
            ]
            growth = min(2 * USUAL_GROWTH, max(0.0, median(slopes)))
        levels = [value + growth * (year - y) for y, value in dated]
        beyond = max(0, first - year, year - last)
        error = max(TREND_ERROR, _spread(levels))
        return median(levels), math.hypot(error, TREND_ERROR_PER_YEAR * beyond)

    def _usual_clock(self, cpu: Cpu, year: int | None) -> Estimate:
        """ln of the clock of processors like this one, with their spread."""
        near = self._like(cpu, year, [c for c in self._cpus if clock_mhz(c)])
        clocks = [math.log(mhz) for c in near if (mhz := clock_mhz(c))]
        return median(clocks), max(LEAST_CLOCK_ERROR, _spread(clocks))

    # -- all threads -----------------------------------------------------------------------------------------

    def _all_threads(self, cpu: Cpu, year: int | None) -> float:
        """ln of all threads over one thread."""
        if cpu.cores is None:
            like = self._like(cpu, year, self._both)
            return median(math.log(c.parallel_score / c.serial_score) for c in like) if like else 0.0  # type: ignore[operator]
        key = ("efficiency", class_of(cpu), cpu.cores, two_threads(cpu))
        cores = cpu.cores
        per_core: float = self._once(key, lambda: self._core_efficiency(cpu, cores))
        return math.log(cores * kept_clock(cpu)) + per_core

    def _core_efficiency(self, cpu: Cpu, cores: int) -> float:
        smt = two_threads(cpu)
        alike = self._alike.get(smt, [])
        own = self._alike.get((smt, class_of(cpu)), []) if class_of(cpu) is not None else []
        step = 0.0
        if not alike:
            alike = self._efficiency
            own = self._alike.get((not smt, class_of(cpu)), []) if class_of(cpu) is not None else []
            step = math.log(TWO_THREADS_GAIN) * (1 if smt else -1)
        if not alike:
            return 0.0

        def distance(c: Cpu) -> float:
            return abs(math.log(c.cores / cores))  # type: ignore[operator]

        nearest = min(distance(c) for c, _ in own or alike)
        return step + median(value for c, value in own or alike if distance(c) <= nearest + 1e-9)

    # -- who is like whom ------------------------------------------------------------------------------------

    @staticmethod
    def _like(cpu: Cpu, year: int | None, among: Sequence[Cpu]) -> Sequence[Cpu]:
        """Those of the class, else of the socket, else of the years around, else all."""
        ways: tuple[Callable[[Cpu], bool], ...] = (
            lambda c: class_of(cpu) is not None and class_of(c) == class_of(cpu),
            lambda c: cpu.socket is not None and c.socket == cpu.socket,
            lambda c: year is not None and c.year is not None and abs(c.year - year) <= 2,
        )
        for way in ways:
            found = [c for c in among if way(c)]
            if found:
                return found
        return among

    def _once(self, key: Hashable, value: Callable[[], Any]) -> Any:
        if key not in self._known:
            self._known[key] = value()
        return self._known[key]


def _points(value: float) -> int:
    return max(1, math.floor(math.exp(value) + 0.5))


def _percent(error: float) -> int:
    return max(1, math.ceil(100 * error))
