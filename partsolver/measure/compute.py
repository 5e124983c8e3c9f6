"""A fixed mix of real work: compression, hashing, sorting, numbers. The yardstick of the processor scores.

Every task is a unit of work that is always the same (same data from a fixed seed), repeated until its time is
up; rate = units / seconds. Score of a run = 1000 x geometric mean over the tasks of rate / REFERENCE_RATES,
so no task rules the score and the ratio of two scores does not depend on the reference rates (Fleming &
Wallace 1986). The all-thread score is the same with the rates of one process per thread added up, on the same
scale: four perfect cores of 1000 points each have 4000. REFERENCE_RATES are round numbers, chosen so that a
midrange desktop of about 2016 comes near 1000: a convention, not a measured machine. Scores of a survey and
of a catalogue must be on the same scale: see ``into.py``.

Chosen so that the result means the processor: data fit the inner caches; BLAKE2b (RFC 7693) and not SHA-2,
which some processors have special instructions for; numpy's FFT and element-wise loops, which use one thread
(its matrix products may use all).
"""

from __future__ import annotations

import hashlib
import lzma
import random
import zlib
from collections.abc import Callable, Mapping
from functools import cache
from typing import Any

from partsolver.measure.stats import geometric_mean

# Units per second that count as 1000 points.
REFERENCE_RATES: Mapping[str, float] = {
    "zlib": 80.0,
    "lzma": 60.0,
    "blake2b": 1600.0,
    "sort": 75.0,
    "numeric": 500.0,
}
TASKS = tuple(REFERENCE_RATES)
POINTS = 1000

TEXT_BYTES = 256 * 1024
LZMA_BYTES = 64 * 1024
SORT_ITEMS = 20_000
VECTOR = 32_768
# sha256 of the work's data: a changed Python that made other data would make other work.
DATA_DIGEST = "8660c53016a1356bec8c91b6adc2ce29417c207155635d064b751ea94e59223d"


@cache
def data() -> tuple[bytes, tuple[str, ...], tuple[float, ...]]:
    """Text, its first words, and numbers. Only ``random()`` is drawn from: its sequence for a seed is
    guaranteed not to change (Python library reference, random, "Notes on Reproducibility")."""
    draw = random.Random(5).random
    words = ["".join(chr(97 + int(draw() * 26)) for _ in range(2 + int(draw() * 9))) for _ in range(4000)]
    picked: list[str] = []
    size = 0
    while size < TEXT_BYTES:
        word = words[int(len(words) * draw() ** 3)]  # few words often, most seldom, as in a language
        picked.append(word)
        size += len(word) + 1
    return (
        " ".join(picked).encode()[:TEXT_BYTES],
        tuple(picked[:SORT_ITEMS]),
        tuple(draw() for _ in range(VECTOR)),
    )


def digest() -> str:
    """sha256 of the data, for DATA_DIGEST."""
    text, words, numbers = data()
    return hashlib.sha256(text + " ".join(words).encode() + repr(numbers).encode()).hexdigest()


def task(name: str) -> Callable[[], object]:
    """One unit of work of a task, ready to call. Raises KeyError for an unknown name."""
    text, words, numbers = data()
    short = text[:LZMA_BYTES]
    unsorted = list(numbers[:SORT_ITEMS])

    def sort() -> object:
        counts: dict[str, int] = {}
        for word in words:
            counts[word] = counts.get(word, 0) + 1
        return sorted(unsorted), sorted(counts.items(), key=lambda item: (-item[1], item[0]))

    return {
        "zlib": lambda: zlib.compress(text, 6),
        "lzma": lambda: lzma.compress(short, preset=1),
        "blake2b": lambda: hashlib.blake2b(text).digest(),
        "sort": sort,
        "numeric": _numeric(numbers),
    }[name]


def _numeric(numbers: tuple[float, ...]) -> Callable[[], object]:
    import numpy as np

    signal: Any = np.array(numbers)

    def numeric() -> object:
        spectrum = np.fft.rfft(signal)
        smooth = np.fft.irfft(spectrum * spectrum.conj())
        return float(np.cumsum(np.sqrt(np.abs(smooth)) + np.exp(-signal))[-1])

    return numeric


def points(rates: Mapping[str, float]) -> float:
    """Score of a full set of rates (units per second by task)."""
    return POINTS * geometric_mean([rates[name] / REFERENCE_RATES[name] for name in TASKS])
