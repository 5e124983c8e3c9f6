"""An interview of the questions whose answers are worth most, computed anew with the answers so far.

First come the questions that the case may stay closed for, then those that are needed before anything new can be
recommended, then the others by their value. What a person doesn't know stays unknown: nothing is supposed for it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from partsolver.explain.questions import Worth
from partsolver.problem import Problem
from partsolver.survey.interview import BY_PATH, Interview, interview_path
from partsolver.survey.interview.questions import OPEN_CASE

Progress = Callable[[int], None]


def rounds(interview: Interview, given: Mapping[str, Any], problem: Callable[[], Problem], progress: Progress = lambda done: None) -> Iterator[None]:
    """Choose what to ask next, again and again: after each step the interview is to be run.

    ``given``: the survey file without the answers; ``problem``: the problem with the answers so far; ``progress`` hears how
    many questions are solved in a round.
    """

    def askable(path: str) -> bool:
        own = interview_path(path, given)
        return own is not None and interview.unasked(own)

    def paths(found: tuple[str, ...]) -> list[str]:
        return [own for path in found if (own := interview_path(path, given)) is not None]

    closed = not interview.inside
    while room := interview.room:
        worth = Worth(problem(), askable=askable)
        if closed:
            first = paths(worth.first(room, progress))
            chosen = [path for path in first if not _inside(path)]
            interview.choose(chosen, len(first) - len(chosen))
            closed = False
        else:
            chosen = paths(worth.group[:room] or worth.first(room, progress))
            interview.choose(chosen)
            if not chosen:
                return
        yield


def _inside(path: str) -> bool:
    """Whether a question needs the case open."""
    table, dot, key = path.rpartition(".")
    return BY_PATH[f"{table.partition('[')[0]}{dot}{key}"].section in OPEN_CASE
