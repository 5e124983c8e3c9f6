"""The shape of a step of the work order. Adding one: an entry here in a steps_ module, its words, a test."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from partsolver.base.records import record
from partsolver.problem.candidates import SlotName
from partsolver.sheet.context import Context, Facts

Phase = Literal[
    "before",
    "prepare",
    "bench",
    "off",
    "out",
    "case",
    "assemble",
    "fit",
    "connect",
    "start",
    "rest",
    "system",
    "checks",
    "after",
]
#: Phases in the order of the work. The new board is put together while the old PC still runs: it is down for
#: less time, and the paste under its cooler is still warm when the cooler comes off.
PHASES: tuple[Phase, ...] = (
    "before",
    "prepare",
    "bench",
    "off",
    "out",
    "case",
    "assemble",
    "fit",
    "connect",
    "start",
    "rest",
    "system",
    "checks",
    "after",
)


# Whether a plan calls for a step, and the facts for its words.
Applies = Callable[[Context], bool]
FactsOf = Callable[[Context], Facts]


def no_facts(context: Context) -> Facts:
    return {}


@record
class Step:
    """One step: permanent id (``phase.name``), phase, whether a plan calls for it, facts for its words."""

    id: str
    phase: Phase
    applies: Applies
    facts: FactsOf = no_facts


def when(*slots: SlotName) -> Applies:
    """A step applies when any of these slots gets a new part."""

    def applies(context: Context) -> bool:
        return context.new(*slots)

    return applies
