"""Exceptions. Outcomes ("no plan exists") are values; exceptions are for broken input and for bugs.

PartsolverError
├── InputRefused        a file, cell, option or name the user gave cannot be used (exit code 2)
├── NotDecided          a question inside an answer met the limit on the work: nothing is claimed (exit code 3)
└── InternalFault       the program contradicts itself; carries its evidence (a bug, never the user's fault)
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping, Sequence

from partsolver.base.controls import controls_escaped
from partsolver.base.records import record


@record
class Fault:
    """One thing wrong with the input: where it stands, the value, what was expected and what to do."""

    where: str
    problem: str
    value: str | None = None
    expected: str | None = None
    hint: str | None = None

    def __str__(self) -> str:
        text = f"{controls_escaped(self.where)}: {self.problem}"
        if self.value is not None:
            text += f" (found {self.value!r})"
        if self.expected:
            text += f"; expected {self.expected}"
        if self.hint:
            text += f". {self.hint}"
        return controls_escaped(text, lines=True)


class PartsolverError(Exception):
    """Base of all exceptions of this package."""


class InputRefused(PartsolverError):
    """All faults found in one input, reported together."""

    def __init__(self, faults: Sequence[Fault] | Fault) -> None:
        self.faults: tuple[Fault, ...] = (faults,) if isinstance(faults, Fault) else tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class NotDecided(PartsolverError):
    """A question that an answer rests on was not decided within the limits. The message says which."""


class InternalFault(PartsolverError):
    """Two independent computations disagree. The message holds both values."""


def refuse(
    where: str, problem: str, value: object = None, expected: str | None = None, hint: str | None = None
) -> InputRefused:
    """An InputRefused with a single fault, ready to raise."""
    shown = None if value is None else str(value)
    return InputRefused(Fault(where, problem, shown, expected, hint))


def nearest(word: str, choices: Iterable[str]) -> str | None:
    """A hint naming the nearest right spelling, or None when nothing is near."""
    near = difflib.get_close_matches(word, list(choices), n=1, cutoff=0.6)
    return f"Did you mean {near[0]!r}?" if near else None


def nearest_part(word: str, names: Mapping[str, str]) -> str | None:
    """A hint for a part that was named by its name, by a piece of it, or with a slip; names: id -> name."""
    said = word.strip().lower()
    same = sorted(part for part, name in names.items() if name.lower() == said)
    held = sorted(part for part, name in names.items() if len(said) > 2 and said in name.lower())
    found = same or held[:3]
    if found:
        shown = " or ".join(f"{part!r} ({names[part]})" for part in found)
        return f"Did you mean {shown}?"
    return nearest(word, names)
