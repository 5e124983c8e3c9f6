"""What a speed-up is made of: where the gain comes from, what holds the new PC back, how fast programs
start."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from partsolver.performance.interval import speedup
from partsolver.performance.law import law_of
from partsolver.performance.present import as_today, present_parts, present_time_ppm
from partsolver.performance.time import TERM_NAMES, terms_ppm
from partsolver.plan.outcome import Account
from partsolver.problem.candidates import Parts
from partsolver.problem.problem import Problem
from partsolver.wishes.uses import COLD_START

# What a person pays for, and the terms that it moves.
PAID_FOR: Mapping[str, tuple[str, ...]] = {
    "processor": ("serial", "parallel"),
    "memory_speed": ("memory",),
    "memory_size": ("capacity",),
    "drive": ("waiting", "streaming"),
    "graphics": ("graphics",),
}


def account_of(problem: Problem, parts: Parts) -> Account | None:
    """The account of some parts against the PC as it is; None where no processor has a score."""
    if present_time_ppm(problem) is None:
        return None
    old, new = terms_ppm(as_today(problem), present_parts(problem)), terms_ppm(problem, parts)
    gain = sum(old.values()) - sum(new.values())
    by_resource = {name: _percent(old[name] - new[name], gain) for name in TERM_NAMES} if gain > 0 else {}
    by_part = (
        {name: _percent(sum(old[k] - new[k] for k in moved), gain) for name, moved in PAID_FOR.items()}
        if gain > 0
        else {}
    )
    # The first in the order of every report where two are equal.
    held_back_by = max((name for name in TERM_NAMES if name != "other"), key=lambda name: new[name])
    start = speedup(problem, parts, replace(law_of(problem), use=COLD_START))
    assert start is not None
    return Account(
        held_back_by=held_back_by,
        held_back_percent=_percent(new[held_back_by], sum(new.values())),
        gain_by_resource={name: share for name, share in by_resource.items() if share},
        gain_by_part={name: share for name, share in by_part.items() if share},
        program_start=start,
    )


def _percent(part: int, whole: int) -> int:
    """Whole per cent, halves away from zero."""
    sign = 1 if part >= 0 else -1
    return sign * ((200 * abs(part) + whole) // (2 * whole))
