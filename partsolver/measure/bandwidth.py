"""Memory bandwidth by STREAM's triad a[i] = b[i] + s c[i], counted as STREAM counts.

STREAM (John D. McCalpin, "Memory bandwidth and machine balance in current high performance computers", IEEE
TCCA newsletter, December 1995, and the run rules on the STREAM web page, from memory): every array has at
least four times the size of the sum of all last-level caches used, or one million elements, whichever is
larger; triad counts 24 bytes per element of 8 bytes: two reads and one write, as the program asks for them. A
write allocate that the hardware adds is not counted. The first repetition is not counted.

numpy has no fused triad: ``multiply`` then ``add`` over whole arrays would pass through memory twice and move
40 bytes per element. Here both run on blocks of 64 KiB whose intermediate result stays in the inner cache, so
memory sees the same 24 bytes as with STREAM. One process per thread works on its share of the arrays, because
one core alone does not fill two channels. Different from STREAM: the rate over a fixed time is reported, and
the median of the rounds, not the best repetition (every value is kept in the file); so this is not a STREAM
result to publish.
"""

from __future__ import annotations

import time
from collections.abc import Callable

WORD_BYTES = 8
BYTES_PER_ELEMENT = 3 * WORD_BYTES
# What numpy would move without blocks: read c, write a; read a, read b, write a.
BYTES_PER_ELEMENT_UNBLOCKED = 5 * WORD_BYTES
CACHE_MULTIPLE = 4
LEAST_ELEMENTS = 1_000_000
BLOCK_ELEMENTS = 64 * 1024 // WORD_BYTES
# Share of the free memory that the three arrays may take, per cent.
MOST_MEMORY_PERCENT = 40
# Assumed when the caches cannot be read: more than most desktop processors have (judgement).
ASSUMED_CACHE_KIB = 64 * 1024
SCALAR = 3.0  # STREAM's


def array_elements(cache_kib: int | None) -> int:
    """Elements of each whole array by STREAM's rule, for the sum of the last-level caches in KiB."""
    cache_bytes = (ASSUMED_CACHE_KIB if cache_kib is None else cache_kib) * 1024
    return max(LEAST_ELEMENTS, -(-CACHE_MULTIPLE * cache_bytes // WORD_BYTES))


def usable_elements(cache_kib: int | None, free_mib: int | None) -> tuple[int, bool]:
    """Elements of each array that the free memory allows, and whether STREAM's rule is met with them."""
    wanted = array_elements(cache_kib)
    if free_mib is None:
        return wanted, True
    most = free_mib * 1024 * 1024 * MOST_MEMORY_PERCENT // 100 // BYTES_PER_ELEMENT
    return max(1, min(wanted, most)), wanted <= most


def triad_bytes(elements: int, repetitions: int) -> int:
    """Bytes of so many repetitions of the triad, as STREAM counts them."""
    return BYTES_PER_ELEMENT * elements * repetitions


def triad(elements: int) -> Callable[[], None]:
    """One repetition of the triad over arrays of that size, ready to call (arrays are made and touched
    here)."""
    import numpy as np

    # STREAM's start values; every page is written, so that it exists before the clock runs.
    a, b, c = np.full(elements, 1.0), np.full(elements, 2.0), np.full(elements, 0.5)
    part = np.empty(min(BLOCK_ELEMENTS, elements))
    edges = [(start, min(start + BLOCK_ELEMENTS, elements)) for start in range(0, elements, BLOCK_ELEMENTS)]
    blocks = [(a[low:high], b[low:high], c[low:high], part[: high - low]) for low, high in edges]
    multiply, add = np.multiply, np.add

    def once() -> None:
        for to, first, second, between in blocks:
            multiply(second, SCALAR, out=between)
            add(first, between, out=to)

    once.check = lambda: float(a.min()) == float(a.max()) == 2.0 + SCALAR * 0.5  # type: ignore[attr-defined]
    return once


def repeat(work: Callable[[], object], seconds: float) -> tuple[int, int]:
    """Repeat for at least so long: (repetitions, nanoseconds). A first repetition is made and not counted."""
    work()
    count, start = 0, time.perf_counter_ns()
    end = start + int(seconds * 1e9)
    while True:
        work()
        count += 1
        now = time.perf_counter_ns()
        if now >= end:
            return count, now - start
