"""The ordered registry of steps. A new step is one entry in a steps_ module, its words in report/, and a
test."""

from __future__ import annotations

from partsolver.sheet.context import Context
from partsolver.sheet.step import PHASES, Phase, Step
from partsolver.sheet.steps_before import ASSEMBLE, BEFORE, BENCH, OFF
from partsolver.sheet.steps_connect import CONNECT, LEADS
from partsolver.sheet.steps_start import AFTER, CHECKS, LATER, REST, SEEN, START, SYSTEM
from partsolver.sheet.steps_work import CASE, FIT, OUT

STEPS: tuple[Step, ...] = (
    *BEFORE,
    *BENCH,
    *OFF,
    *OUT,
    *CASE,
    *ASSEMBLE,
    *FIT,
    LATER,
    *CONNECT,
    *START,
    *REST,
    *LEADS,
    *SEEN,
    *SYSTEM,
    *CHECKS,
    *AFTER,
)


def steps_of(context: Context) -> tuple[Step, ...]:
    """The steps that a plan calls for, in the order of the work."""
    return tuple(step for step in STEPS if step.applies(context))


def by_phase(context: Context) -> tuple[tuple[Phase, tuple[Step, ...]], ...]:
    """The same by phase, empty phases left out."""
    chosen = steps_of(context)
    grouped = ((phase, tuple(s for s in chosen if s.phase == phase)) for phase in PHASES)
    return tuple((phase, steps) for phase, steps in grouped if steps)


__all__ = ["PHASES", "STEPS", "Phase", "Step", "by_phase", "steps_of"]
