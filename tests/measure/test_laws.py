"""Amdahl's law, means and effective access time against textbooks; STREAM's counting and array rule."""

from __future__ import annotations

import pytest

from partsolver.measure import stats
from partsolver.measure.bandwidth import (
    BLOCK_ELEMENTS,
    BYTES_PER_ELEMENT,
    BYTES_PER_ELEMENT_UNBLOCKED,
    array_elements,
    triad,
    triad_bytes,
    usable_elements,
)

INF = 1e12


@pytest.mark.parametrize(
    ("shares", "speeds", "expected"),
    [
        # Hennessy & Patterson, Computer Architecture, 5th ed., section 1.9, worked examples (1.56, 1.22,
        # 1.23)
        ((0.4,), (10,), 1.5625),
        ((0.2,), (10,), 1.2195),
        ((0.5,), (1.6,), 1.2308),
        ((0.5,), (2,), 1.3333),  # lecture notes on the same section
        # Bryant & O'Hallaron, Computer Systems, chapter 1: 60 % three times as fast; without limit 2.5
        ((0.6,), (3,), 1.6667),
        ((0.6,), (INF,), 2.5),
        # Patterson & Hennessy, Computer Organization and Design: 80 s of 100 s, 16 times -> 4 times
        ((0.8,), (16,), 4.0),
        ((0.8,), (INF,), 5.0),
        ((0.95,), (100,), 16.807),  # encyclopaedia text (17 and 20)
        ((0.95,), (10000,), 19.962),
        # Computer Systems Architecture textbook p. 140: 9.2 % against 6.5 %
        ((0.93,), (1.1,), 1.0924),
        ((0.07,), (8,), 1.0652),
        ((100 / 140,), (4,), 2.154),  # same page: 20 s + 100 s + 20 s on 4 cores
        ((0.3,), (5,), 1.3158),  # lecture notes
        ((0.7,), (20,), 2.985),  # exercise page
        # "Performance models" text: 10 s, 80 % parallel -> 6.0, 3.0, 2.08 s
        ((0.8,), (2,), 10 / 6.0),
        ((0.8,), (8,), 10 / 3.0),
        ((0.8,), (100,), 10 / 2.08),
        ((0.99888,), (100,), 90.0),  # Patterson & Hennessy, 90 times on 100 processors (from memory)
        # generalised: widely used example of four parts (from memory): 2.19
        ((0.11, 0.18, 0.23, 0.48), (1, 5, 20, 1.6), 2.1858),
        # Hennessy & Patterson exercise, three enhancements, overall 10 (from memory)
        ((0.3, 0.3, 0.3611), (30, 20, 10), 10.0),
        ((0.25, 0.35, 0.10), (30, 20, 10), 2.9777),
        # Hill & Marty, IEEE Computer 2008, f = 0.975, n = 256: dynamic 186.2; asymmetric r = 66: 125.0 (from
        # memory) serial and parallel part each with its own speed
    ],
)
def test_amdahl(shares: tuple[float, ...], speeds: tuple[float, ...], expected: float) -> None:
    parts = {str(index): share for index, share in enumerate(shares)}
    rest = 1 - sum(shares)
    found = stats.amdahl({**parts, "rest": rest}, {str(index): speed for index, speed in enumerate(speeds)})
    assert found == pytest.approx(expected, rel=1.5e-3)


@pytest.mark.parametrize(
    ("parallel_speed", "serial_speed", "expected"),
    [(256, 16, 186.2), (66**0.5 + 190, 66**0.5, 125.0), (7**0.5 * 256 / 7, 7**0.5, 51.2)],
)
def test_amdahl_two_speeds(parallel_speed: float, serial_speed: float, expected: float) -> None:
    """Hill & Marty, "Amdahl's law in the multicore era", IEEE Computer 41(7), 2008: f = 0.975, n = 256 (from
    memory)."""
    found = stats.amdahl(
        {"serial": 0.025, "parallel": 0.975}, {"serial": serial_speed, "parallel": parallel_speed}
    )
    assert found == pytest.approx(expected, rel=2e-3)


def test_amdahl_by_cycles() -> None:
    """Hennessy & Patterson, section 1.9: 25 % floating point at 4.0 cycles, others at 1.33; FPSQR 2 % from 20
    to 2 cycles gives 1.22, all floating point from 4.0 to 2.5 gives 1.23."""
    cpi = 0.25 * 4.0 + 0.75 * 1.33
    assert stats.amdahl({"sqrt": 0.02 * 20 / cpi, "rest": 1 - 0.4 / cpi}, {"sqrt": 10}) == pytest.approx(
        1.22, abs=0.005
    )
    assert stats.amdahl({"fp": 1 / cpi, "rest": 1 - 1 / cpi}, {"fp": 1.6}) == pytest.approx(1.23, abs=0.005)


@pytest.mark.parametrize(
    ("memory_ns", "fault_ns", "p", "effective_ns"),
    [
        # Silberschatz, Galvin, Gagne, Operating System Concepts, demand paging: 200 ns, 8 ms, 1 in 1000 ->
        # 8.2 us
        (200, 8e6, 1e-3, 8199.8),
        (1e3, 1e7, 1e-3, 10999.0),  # lecture page: 1 us, 10 ms, 0.001 -> 11 us
        (100, 1e5, 1e-3, 199.9),  # the same formula for a solid-state drive
        (200, 8e6, 2.5e-6, 219.9995),  # same book: 10 % slower needs p < 0.0000025
    ],
)
def test_effective_access_time(memory_ns: float, fault_ns: float, p: float, effective_ns: float) -> None:
    """(1 - p) ma + p fault is the generalised law with a 'speed' below 1 for the accesses that fault."""
    slowdown = 1 / stats.amdahl({"hit": 1 - p, "fault": p}, {"fault": memory_ns / fault_ns})
    assert memory_ns * slowdown == pytest.approx(effective_ns, rel=1e-6)


def test_means() -> None:
    # University course slide: SPEC ratios 8660/400 and 8500/1000, geometric mean 13.57
    assert stats.geometric_mean([8660 / 400, 8500 / 1000]) == pytest.approx(13.57, abs=0.005)
    # El-Rewini & Abd-El-Barr p. 27: times 50, 500, 5000 and 10, 100, 1000: geometric means 500 and 100
    assert stats.geometric_mean([50, 500, 5000]) == pytest.approx(500)
    assert stats.geometric_mean([10, 100, 1000]) == pytest.approx(100)
    # Smith, CACM 1988 (type of example, from memory): two 100-MFLOP programs; only the harmonic mean ranks
    # like time
    times = ((1, 1000), (10, 100), (20, 20))
    found = [stats.harmonic_mean([100 / t for t in pair]) for pair in times]
    assert found == pytest.approx([0.1998, 1.818, 5.0], rel=1e-3)
    # weights = shares of the old time: the harmonic mean of speed-ups is Amdahl's law over workloads
    assert stats.harmonic_mean([10, 1], [0.4, 0.6]) == pytest.approx(1.5625)


def test_geometric_mean_does_not_depend_on_the_reference() -> None:
    """Fleming & Wallace, CACM 29(3), 1986: data of machines R, M, Z (from memory)."""
    r, m, z = (417, 83, 66, 39449, 772), (244, 70, 153, 33527, 368), (134, 70, 135, 66000, 369)
    to_r = [stats.geometric_mean([a / b for a, b in zip(x, r, strict=True)]) for x in (r, m, z)]
    to_m = [stats.geometric_mean([a / b for a, b in zip(x, m, strict=True)]) for x in (r, m, z)]
    assert to_r == pytest.approx([1, 0.86, 0.85], abs=0.01)
    assert to_m == pytest.approx([1.17, 1, 0.99], abs=0.01)
    assert to_r[2] / to_r[1] == pytest.approx(to_m[2] / to_m[1])


def test_spread_is_that_of_scipy() -> None:
    import numpy as np
    from scipy.stats import median_abs_deviation  # scale="normal" is 1.4826 MAD

    values = [10.0, 11.0, 9.0, 10.5, 30.0, 9.5, 10.2]
    assert stats.spread(values) == pytest.approx(
        median_abs_deviation(values, scale="normal") / np.median(values), rel=1e-4
    )
    assert [stats.quantile(values, q) for q in (0.1, 0.5, 0.9)] == pytest.approx(
        list(np.quantile(values, (0.1, 0.5, 0.9)))
    )


def test_stream_counts_bytes() -> None:
    """STREAM's table: triad counts 24 bytes per iteration of 8-byte words; default N = 10 000 000 gives 240
    MB."""
    assert BYTES_PER_ELEMENT == 24
    assert triad_bytes(10_000_000, 1) == 240_000_000
    assert BYTES_PER_ELEMENT_UNBLOCKED == 40  # multiply: read c, write a; add: read a, read b, write a


@pytest.mark.parametrize(
    ("cache_kib", "elements"),
    # STREAM run rules (J. D. McCalpin, from memory): 4 x the sum of last-level caches, or 1 million elements
    [
        (8192, 4 * 8192 * 1024 // 8),
        (1, 1_000_000),
        (1953, 1_000_000),
        (2 * 32768, 4 * 2 * 32768 * 1024 // 8),
        (None, 4 * 65536 * 1024 // 8),
    ],
)
def test_stream_array_rule(cache_kib: int | None, elements: int) -> None:
    assert array_elements(cache_kib) == elements
    assert usable_elements(cache_kib, 100_000) == (elements, True)


def test_arrays_leave_memory_free() -> None:
    elements, met = usable_elements(32768, 256)
    assert not met and elements * 24 <= 256 * 1024 * 1024 * 0.4 < (elements + 1) * 24


@pytest.mark.parametrize("elements", [1, 7, BLOCK_ELEMENTS, 3 * BLOCK_ELEMENTS + 5])
def test_triad_computes_every_element(elements: int) -> None:
    once = triad(elements)
    assert not once.check()  # type: ignore[attr-defined]
    once()
    assert once.check()  # type: ignore[attr-defined]
