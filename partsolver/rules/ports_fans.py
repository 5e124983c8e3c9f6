"""Case fans and the board's fan headers. Never refuses: a fan can also hang on a splitter or on the supply.

The processor's fan has a header of its own, which is not counted. A fan with 3 contacts on a header made for
4 runs at full speed unless the header regulates by voltage. Not checked: the fans' own currents and contacts
(a header carries about 1 A in all).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.modules import part_question, together_today
from partsolver.base.quantities import ceil_div
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "ports.fans"
STATEMENT = "There is a fan header for every case fan."
SOURCE = (
    "Intel 4-wire PWM controlled fans specification, section 2; common practice (boards reference,"
    " section 11)"
)
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("board", "cooler", "case")
READS: Reads = {"board": ("fan_headers",), "cooler": ("cooler.fan_pins",), "case": ("fans",)}
SURVEY: tuple[str, ...] = ()
REFUSES = False


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    fans, headers = parts.case.fans, parts.board.fan_headers
    ids = (parts.board.id, parts.case.id)
    if together_today(parts, "board", "case", "cooler"):
        return () if not fans else (Finding(ID, "fits", fans, fans, None, "fans", ids, (("today", "yes"),)),)
    cooler = parts.cooler.cooler
    facts: dict[str, int | str] = {}
    if cooler is not None and cooler.fan_pins == 3:
        facts["cooler_fan_pins"] = 3
    if fans is None:
        return (unknown(ID, part_question(parts.candidate("case"), "fans"), ids, False, **facts),)
    if headers is None:
        return (unknown(ID, part_question(parts.candidate("board"), "fan_headers"), ids, False, **facts),)
    missing = 0 if together_today(parts, "board", "case") else max(0, fans - headers)
    if missing:
        facts["missing"] = missing
        splitter = next(problem.extras_of("fan-splitter"), None)
        if splitter is not None and headers:
            facts["splitter"] = splitter.id
            facts["splitters"] = ceil_div(missing, splitter.count)
    if not fans and not facts:
        return ()
    return (Finding(ID, "fits", fans - missing, fans, None, "fans", ids, tuple(sorted(facts.items()))),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    """Nothing to refuse and nothing bought: a splitter is a suggestion."""
