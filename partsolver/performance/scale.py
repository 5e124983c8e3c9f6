"""Scores of a survey that were measured with a yardstick, on the scale of a catalogue.

A catalogue whose scores were measured with the same yardstick says so in its ``origin`` with the words
``yardstick NAME``. For any other the two reference machines stand for each other: both are a midrange desktop
of about 2016 with four cores, the yardstick's of 1000 and 4000 points by convention (``measure/compute.py``).
That is no measured factor: its error is added. ``survey import --scale-by FACTOR`` states a better one.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace
from fractions import Fraction

from partsolver.base.quantities import round_half_up
from partsolver.catalog.records import CatalogInfo, Cpu

# Points of the yardstick's reference machine.
YARDSTICK_SERIAL, YARDSTICK_PARALLEL = 1000, 4000
# How far two machines called a midrange desktop of about 2016 may differ, per cent (judgement).
REFERENCE_ERROR_PERCENT = 20


def is_on_scale(origin: str, scale: str) -> bool:
    """Whether a catalogue says that its scores were measured with a yardstick."""
    return re.search(rf"\byardstick {re.escape(scale)}\b", origin) is not None


def on_scale_of(info: CatalogInfo, cpu: Cpu) -> Cpu:
    """A processor with its scores on the scale of a catalogue."""
    if cpu.score_scale is None:
        return cpu
    if is_on_scale(info.origin, cpu.score_scale):
        return replace(cpu, score_scale=None)
    reference = info.reference
    error = math.hypot(cpu.score_error_percent or 0, REFERENCE_ERROR_PERCENT)

    def turned(points: int | None, own: int, theirs: int) -> int | None:
        return None if points is None else max(1, round_half_up(Fraction(points * theirs, own)))

    return replace(
        cpu,
        serial_score=turned(cpu.serial_score, YARDSTICK_SERIAL, reference.serial_score),
        parallel_score=turned(cpu.parallel_score, YARDSTICK_PARALLEL, reference.parallel_score),
        score_error_percent=math.ceil(error),
        score_scale=None,
    )
