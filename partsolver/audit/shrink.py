"""Make a counter-example small: leave out parts and changes, as many at once as still break the law."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TypeVar

from partsolver.audit.trial import Trial

T = TypeVar("T")


def smaller(trial: Trial, all_parts: Sequence[str], breaks: Callable[[Trial], bool]) -> Trial:
    """A trial that breaks its law still, of which no single change or part can be left out (as far as
    ``breaks`` goes on answering: once it says no to everything, what was reached is returned)."""
    while True:
        before = trial
        kept = _fewest(trial.changes, lambda some: breaks(replace(before, changes=tuple(some))))
        trial = replace(trial, changes=tuple(kept))
        changed = trial
        parts = sorted(all_parts) if trial.parts is None else sorted(trial.parts)
        left = _fewest(
            [part for part in parts if part != trial.part],
            lambda some: breaks(replace(changed, parts=_parts_with(some, changed.part))),
        )
        if len(left) < len(parts) - (trial.part in parts):
            trial = replace(trial, parts=_parts_with(left, trial.part))
        if trial == before:
            return trial


def _parts_with(parts: Sequence[str], part: str | None) -> frozenset[str]:
    return frozenset(parts if part is None else (*parts, part))


def _fewest(items: Sequence[T], breaks: Callable[[Sequence[T]], bool]) -> list[T]:
    """Items without as many runs of them as can be left out: halves first, single ones last."""
    kept = list(items)
    size = len(kept)
    while size:
        start = 0
        while start < len(kept):
            fewer = kept[:start] + kept[start + size :]
            if breaks(fewer):
                kept = fewer
            else:
                start += size
        size //= 2
    return kept
