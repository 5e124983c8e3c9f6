"""The system that is to run after the upgrade, and what it runs on today."""

from __future__ import annotations

from partsolver.problem.candidates import Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.standards.operating_systems import OperatingSystem


def kept_system(problem: Problem) -> OperatingSystem | None:
    """Requirements of the system that stays (or that the brief wants instead); None when the rules do not
    apply."""
    return problem.os if problem.survey.os.keep or problem.brief.os is not None else None


def same_system(problem: Problem) -> bool:
    """Whether the system that is to run is the one that runs today."""
    return problem.os is not None and problem.os.id == problem.survey.os.family


def other_system(problem: Problem) -> bool:
    """Whether a system is asked for that does not run today: then it is a condition of the finished PC, kept
    parts included."""
    return problem.brief.os is not None and problem.brief.os != problem.survey.os.family


def excused(parts: Parts, problem: Problem, slot: SlotName) -> bool:
    """Whether a rule that reads this slot must not refuse.

    Board and processor stay, so nothing changes; or the part stays and runs the same system today. Nothing is
    excused where another system is asked for.
    """
    if other_system(problem):
        return False
    if parts.board_kept and parts.candidate("cpu").kept:
        return True
    return same_system(problem) and parts.candidate(slot).kept
