"""The plan reaches what the brief demands at least: speed-up and memory.

Speed-up = expected time of the PC as it is / expected time of the plan. Memory counts as far as the system
uses it.
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import TYPE_CHECKING

from partsolver.assembly.modules import memory_question, module_sets
from partsolver.performance.law import usable_mib
from partsolver.performance.present import present_time_ppm
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_least, unknown
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "buying.minimums"
STATEMENT = "The expected speed-up and the memory reach the brief's minimums."
SOURCE = "the brief; expected times by a generalised Amdahl's law (guide, page answer)"
KIND: Kind = "buying"
NATURE: Nature = "wish"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "memory", "case", "drive", "graphics")
READS: Reads = {}
SURVEY: tuple[str, ...] = ()
SUMS: tuple[str, ...] = ("time",)


def most_time_ppm(problem: Problem) -> int | None:
    """Longest time that still reaches the wanted speed-up; None when none is wanted or nothing can be
    said."""
    now, wanted = present_time_ppm(problem), Fraction(problem.brief.min_speedup or 0)
    # now / time >= wanted, hence time <= now / wanted, rounded down.
    return now // wanted if wanted and now is not None else None


def idle(problem: Problem) -> bool:
    return problem.brief.min_memory_gb is None


def allows_candidate(problem: Problem, candidate: Candidate) -> bool:
    """Whether a memory choice may be taken: not known to be smaller than wanted."""
    if candidate.slot != "memory" or problem.brief.min_memory_gb is None:
        return True
    usable = usable_mib(candidate.part, problem.memory_limit_mib)  # type: ignore[arg-type]
    return usable is None or usable >= problem.brief.min_memory_gb * 1024


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    found: list[Finding] = []
    now = present_time_ppm(problem)
    if problem.brief.min_speedup is not None:
        if now is None:
            found.append(unknown(ID, "cpu.serial_score"))
        else:
            wanted = Fraction(problem.brief.min_speedup)
            reached = Fraction(now, draft.time_ppm)
            milli, limit = math.floor(reached * 1000), math.ceil(wanted * 1000)
            margin = milli - limit if reached < wanted else max(0, milli - limit)
            found.append(
                Finding(ID, "fits" if reached >= wanted else "fails", milli, limit, margin, "speed-up/1000")
            )
    if problem.brief.min_memory_gb is not None:
        usable = usable_mib(draft.parts.memory, problem.memory_limit_mib)
        if usable is None:
            sets = module_sets(draft.parts.memory, problem)
            kept = next((s.kept for s in sets if s.capacity_mib is None), None)
            asked = memory_question(draft.parts.memory, "capacity_mib", kept)
            found.append(unknown(ID, asked, (draft.parts.memory.id,)))
        else:
            found.append(
                at_least(ID, usable, problem.brief.min_memory_gb * 1024, "MiB", (draft.parts.memory.id,))
            )
    return tuple(found)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    most = most_time_ppm(problem)
    if most is not None:
        picks.require(picks.time <= most, on)
    least = problem.brief.min_memory_gb
    if least is not None:
        limit = problem.memory_limit_mib
        capacities = picks.classes("memory", "usable MiB", lambda c: usable_mib(c.part, limit))
        for mib, literal in capacities.items():
            if mib is not None and mib < least * 1024:
                picks.clause([~literal], on)
