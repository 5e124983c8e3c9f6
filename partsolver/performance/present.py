"""The PC as it is: its expected time, the measure of every speed-up."""

from __future__ import annotations

from dataclasses import replace

from partsolver.performance.estimate import with_estimates_beside
from partsolver.performance.time import time_ppm
from partsolver.problem.candidates import SLOTS, Candidate, MemoryChoice, Parts, SlotName
from partsolver.problem.memory_choices import kept_memory
from partsolver.problem.problem import Problem
from partsolver.problem.store import Store


def present_parts(problem: Problem) -> Parts:
    """What is in the PC, also where a part is broken and no candidate any more (it is what the speed-up is
    against)."""
    found = problem.store.present_parts
    if found is None:
        kept = {c.slot: c for slot in SLOTS for c in problem.slot(slot) if c.kept}
        found = Parts(tuple(kept.get(slot) or _broken(problem, slot) for slot in SLOTS))
        problem.store.present_parts = found
    return found


def store_of_fewer(problem: Problem) -> Store:
    """What the problem remembers that holds with fewer candidates; what the PC has now is found before."""
    present_parts(problem)
    return problem.store.fewer()


def as_today(problem: Problem) -> Problem:
    """The problem with all cards and drives of the PC in use: what its time of today is read from."""
    if not problem.brief.leave_out:
        return problem
    brief = problem.brief.model_copy(update={"leave_out": ()})
    return replace(problem, brief=brief, store=Store())


def _broken(problem: Problem, slot: SlotName) -> Candidate:
    survey = problem.survey
    if slot == "board":
        part: object = survey.board
    elif slot == "cpu":
        part = with_estimates_beside(survey, problem.catalog, (c.part for c in problem.slot("cpu")))[
            survey.cpu.id
        ]
    else:
        worn = survey.model_copy(update={"pc": survey.pc.model_copy(update={"memory_works": True})})
        part = kept_memory(worn) or MemoryChoice(
            "kept-memory", None, 0, True, None, None, None, None, None, None, 1
        )
    return Candidate(slot, f"kept-{slot}", part, None, 0, (), True)  # type: ignore[arg-type]


def present_time_ppm(problem: Problem) -> int | None:
    """Expected time of the PC as it is; None when its processor has no score and none can be estimated."""
    found = problem.store.present_time_ppm
    if found is None:
        parts = present_parts(problem)
        problem_today = as_today(problem)
        known = parts.cpu.serial_score is not None and parts.cpu.parallel_score is not None
        found = problem.store.present_time_ppm = (time_ppm(problem_today, parts) if known else None,)
    return found[0]
