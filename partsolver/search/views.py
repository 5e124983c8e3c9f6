"""What a rule sees of a candidate: the facts it reads (its READS), so that what it said of one is known of
all that look the same to it."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from functools import partial
from operator import attrgetter
from typing import Any

import numpy as np

from partsolver.plan.identity import named_parts
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Rule

# The record inside the choice of a slot: which facts of it are read stands behind its name and a dot.
_INNER: dict[SlotName, str] = {"memory": "kit", "cooler": "cooler", "drive": "part"}


class View:
    """Numbers the candidates of a slot: equal for those that look the same."""

    def __init__(self, look: Callable[[Candidate], Hashable]) -> None:
        self.look = look
        self._numbers: dict[Hashable, int] = {}
        self._known: dict[Candidate, int] = {}

    def number(self, candidate: Candidate) -> int:
        found = self._known.get(candidate)
        if found is None:
            found = self._known[candidate] = self._numbers.setdefault(
                self.look(candidate), len(self._numbers)
            )
        return found

    def numbers(self, listed: Iterable[Candidate]) -> Any:
        """The number of every candidate, as an array."""
        known, numbers, look = self._known, self._numbers, self.look
        found = []
        for candidate in listed:  # as `number`, for a whole catalogue
            number = known.get(candidate)
            if number is None:
                number = known[candidate] = numbers.setdefault(look(candidate), len(numbers))
            found.append(number)
        return np.array(found, dtype=np.int64)


def views(problem: Problem, rule: Rule) -> tuple[View, ...]:
    """What a rule about parts sees of each slot that it reads, in the order of its slots; kept with the
    problem."""
    return tuple(_view(problem, slot, rule.READS[slot]) for slot in rule.SLOTS)


def _view(problem: Problem, slot: SlotName, paths: tuple[str, ...]) -> View:
    found = problem.store.views.get((slot, paths))
    if found is None:
        found = problem.store.views[slot, paths] = View(looking(slot, paths, named_parts(problem)))
    return found


def looking(slot: SlotName, paths: tuple[str, ...], named: frozenset[str]) -> Callable[[Candidate], Hashable]:
    """The facts of a candidate at some paths, and whether it is kept."""
    inner = _INNER.get(slot)
    outside = [path for path in paths if "." not in path and path != "named"]
    inside = [path.partition(".")[2] for path in paths if "." in path]
    if not inside and "named" not in paths:
        return attrgetter("kept", *(f"part.{path}" for path in outside))
    return partial(
        _look, _getter(outside), inner, _getter(inside), named if "named" in paths else frozenset()
    )


def _getter(names: list[str]) -> Callable[[Any], Any]:
    return attrgetter(*names) if names else _nothing


def _nothing(part: Any) -> None:
    """Where no fact is read."""


def _look(
    outside: Callable[[Any], Any],
    inner: str | None,
    inside: Callable[[Any], Any],
    named: frozenset[str],
    candidate: Candidate,
) -> Hashable:
    part: Any = candidate.part
    record = None if inner is None else getattr(part, inner)
    own = part.id if named and part.id in named else ""
    return candidate.kept, outside(part), record is None, None if record is None else inside(record), own
