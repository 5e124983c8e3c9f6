"""The words of the steps of the bench sheet: their shape, small helpers, and the titles of the phases.

A step's words: the instruction, why or how to be careful (``note``), and a label for what is read and written
down (``reading``). Each is a text or a function of the step's facts. The words themselves:
words_steps_before, _work, _start.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from partsolver.base.records import record
from partsolver.report.page import shortest_text
from partsolver.sheet.context import Facts

Words = str | Callable[[Facts], str | None] | None


PHASE_TITLES = {
    "before": "While the PC still runs",
    "prepare": "A place to work",
    "bench": "Outside the case: the new board on the table",
    "off": "Switching off and opening the case",
    "out": "Taking out",
    "case": "The case: tray and shield",
    "assemble": "Parts on the board",
    "fit": "Fitting",
    "connect": "Connecting",
    "start": "First start",
    "rest": "After a good first start: the rest, one after another",
    "system": "The system",
    "checks": "Checks, with readings",
    "after": "Afterwards",
}


def phase_title(phase: str, runs: bool) -> str:
    """The title of a phase for a PC that starts today, or does not."""
    return (
        PHASE_TITLES[phase]
        if runs or phase != "before"
        else "Before the PC is opened: it does not start today"
    )


@record
class StepWords:
    """Words of one step."""

    text: Words
    note: Words = None
    reading: Words = None


def said(words: Words, facts: Facts) -> str | None:
    """Words with the facts put in; None where there is nothing to say."""
    return words(facts) if callable(words) else words


def listed(items: Iterable[Any]) -> str:
    """ "a", "a and b", "a, b and c"."""
    words = [str(item) for item in items]
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + (" and " + words[-1] if words else "")


def gib(mib: int) -> str:
    return f"{shortest_text(mib / 1024)} GB"


def contacts(plug: object) -> str:
    return f"{plug}-contact"
