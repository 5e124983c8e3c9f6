"""A supply that shows damage or makes noise feeds nothing new.

Bulged capacitors, a failed start or noise mean that it may fail under load and take other parts along: it is
trusted with nothing (table ``CONDITION_FACTOR_PERCENT``). It is replaced, never opened. "Buy nothing" stands,
with a caution.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.plugs import all_kept, question
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fails, fits, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.standards.rails import CONDITION_FACTOR_PERCENT

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.condition"
STATEMENT = (
    "A supply with bulged capacitors, failed starts or noise is replaced before anything new hangs on it."
)
SOURCE = "states of a supply: common practice; cases A49 and B31"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "memory", "psu", "drive", "graphics")
READS: Reads = {"board": (), "cpu": (), "memory": (), "psu": ("condition",), "drive": (), "graphics": ()}
SURVEY: tuple[str, ...] = ()


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    psu = draft.parts.psu
    ids = (psu.id,)
    if psu.condition is None:
        return (unknown(ID, question(draft.parts.candidate("psu"), "condition"), ids),)
    if CONDITION_FACTOR_PERCENT[psu.condition] > 0:
        return (fits(ID, ids, psu.condition),)
    if not all_kept(draft.parts, SLOTS):
        return (fails(ID, ids, psu.condition),)
    return (fits(ID, ids, psu.condition, caution=psu.condition),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    supplies = picks.classes(
        "psu",
        "power.condition",
        lambda c: (c.part.condition in ("noisy", "bulged", "failed-start"), c.kept),
    )
    for (damaged, kept), supply in supplies.items():
        if not damaged:
            continue
        for slot in ("board", "cpu", "memory", "drive", "graphics"):
            new = picks.classes(slot, "kept", lambda c: c.kept).get(False)
            if new is not None:
                picks.never_together(supply, new, on)
        if not kept:
            picks.clause([~supply], on)
