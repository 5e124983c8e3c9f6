"""An interview of the questions whose answers are worth most, computed anew with the answers so far.

First come the questions that the case may stay closed for, then those that are needed before anything new can
be recommended, then the others by their value. What a person doesn't know stays unknown: nothing is supposed
for it. That board, processor and memory work is taken as true, since the PC printed what is known of it: few
questions are not spent on that.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from partsolver.explain.questions import Worth
from partsolver.problem.problem import Problem
from partsolver.survey.interview.questions import BY_PATH, OPEN_CASE
from partsolver.survey.interview.session import Interview, interview_path

Progress = Callable[[int], None]


def rounds(
    interview: Interview,
    given: Mapping[str, Any],
    problem: Callable[[], Problem],
    progress: Progress = lambda done: None,
) -> Iterator[None]:
    """Choose what to ask next, again and again: after each step the interview is to be run.

    ``given``: the survey file without the answers; ``problem``: the problem with the answers so far;
    ``progress`` hears how many questions are solved in a round.
    """

    def own(found: tuple[str, ...]) -> list[str]:
        return [path for name in found if (path := interview_path(name, given)) is not None]

    closed = not interview.inside
    while room := interview.room:
        now, left = problem(), interview.askable()
        worth = Worth(now, askable=_open(left - {*now.survey.assumed}, given))
        first = own(worth.first_paths(room, progress)) if closed else []
        outside = [path for path in first if not _inside(path)]
        closed = False
        if outside:
            interview.choose(outside, len(first) - len(outside))
        else:
            chosen = own(worth.group[:room]) or first or own(worth.first_paths(room, progress))
            if not chosen:
                return
            interview.choose(chosen)
        yield


def _open(left: frozenset[str], given: Mapping[str, Any]) -> Callable[[str], bool]:
    return lambda name: interview_path(name, given) in left


def _inside(path: str) -> bool:
    """Whether a question needs the case open."""
    table, dot, key = path.rpartition(".")
    return BY_PATH[f"{table.partition('[')[0]}{dot}{key}"].section in OPEN_CASE
