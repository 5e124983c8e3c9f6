"""Scores that nobody published, estimated from the catalogue's own processors and marked as estimated.

serial = boost clock x points per MHz of the micro-architecture class (median of the scored processors of that
class; of the nearest year where the class has none); parallel = serial x cores x parallel efficiency (median
over scored processors with as many threads per core). Medians of exact fractions: deterministic, and not
moved by one odd row.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace
from fractions import Fraction

from partsolver.base.quantities import round_half_up
from partsolver.catalog.records import Cpu

Ratio = tuple[int, int]


def median(ratios: Iterable[Ratio]) -> Fraction | None:
    """Lower median of (numerator, denominator), exact; None of nothing."""
    # Two ratios of numbers of at most 24 digits (a cell has twelve at most) differ by more than 1 / 2^160.
    ordered = sorted(ratios, key=lambda ratio: (ratio[0] << 160) // ratio[1])
    return Fraction(*ordered[(len(ordered) - 1) // 2]) if ordered else None


def with_estimates(cpus: Iterable[Cpu]) -> Mapping[str, Cpu]:
    """All processors by id; missing scores filled in and ``score_origin`` set to ``estimated`` for those."""
    listed = sorted(cpus, key=lambda c: c.id)
    if all(c.serial_score is not None and c.parallel_score is not None for c in listed):
        return {c.id: c for c in listed}
    per_mhz: dict[str, list[Ratio]] = defaultdict(list)
    per_year: dict[int, list[Ratio]] = defaultdict(list)
    efficiency: dict[bool, list[Ratio]] = defaultdict(list)
    for cpu in listed:
        clock = cpu.boost_mhz or cpu.base_mhz
        if cpu.serial_score is not None and clock:
            points = (cpu.serial_score, clock)
            if cpu.architecture_class:
                per_mhz[cpu.architecture_class].append(points)
            if cpu.year:
                per_year[cpu.year].append(points)
        if cpu.serial_score and cpu.parallel_score and cpu.cores:
            efficiency[_smt(cpu)].append((cpu.parallel_score, cpu.serial_score * cpu.cores))
    class_points = {name: median(values) for name, values in per_mhz.items()}
    year_points = {year: median(values) for year, values in per_year.items()}
    shares = {smt: median(values) for smt, values in efficiency.items()}
    return {cpu.id: _filled(cpu, class_points, year_points, shares) for cpu in listed}


def _smt(cpu: Cpu) -> bool:
    return (cpu.threads or 0) > (cpu.cores or 0)


def _filled(
    cpu: Cpu,
    class_points: Mapping[str, Fraction | None],
    year_points: Mapping[int, Fraction | None],
    shares: Mapping[bool, Fraction | None],
) -> Cpu:
    """One processor with its missing scores filled in from the medians by class, year and threads per
    core."""
    serial, parallel = cpu.serial_score, cpu.parallel_score
    clock = cpu.boost_mhz or cpu.base_mhz
    if serial is None and clock:
        points = class_points.get(cpu.architecture_class or "")
        if points is None and cpu.year is not None and year_points:
            near = min(year_points, key=lambda year: (abs(year - (cpu.year or 0)), year))
            points = year_points[near]
        serial = None if points is None else max(1, round_half_up(points * clock))
    if parallel is None and serial is not None and cpu.cores:
        share = shares.get(_smt(cpu)) or shares.get(False) or Fraction(1)
        parallel = max(1, round_half_up(share * serial * cpu.cores))
    if (serial, parallel) == (cpu.serial_score, cpu.parallel_score):
        return cpu
    return replace(cpu, serial_score=serial, parallel_score=parallel, score_origin="estimated")
