"""The 12 V current of the whole PC stays within what the supply is trusted with, or carries today.

Limit = 12 V current of the label (combined; one rail's own; else the sum of the rails, at most the usual
share of the rating) x the one share for age and use. An unknown year counts as old. Refused by the usual load
(processors at their short-term level, half a minute is continuous for a supply), warned of by the highest.
Single rails: power.rails_12v.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly import loads
from partsolver.assembly.plugs import all_kept, question
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fits, unknown
from partsolver.plan.ranges import supplied
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.rail_12v"
STATEMENT = (
    "The usual 12 V current of the PC is at most the share of the label that the supply is trusted with, or what it"
    " carries today."
)
SOURCE = (
    "ATX12V design guide 2.0 (combined limits, peaks up to 17 s); shares by age: common practice (loads reference"
    " section 8)"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "memory", "psu", "case", "drive", "graphics")
READS: Reads = loads.LOAD_READS
SURVEY: tuple[str, ...] = loads.TODAY_SURVEY


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    psu = parts.psu
    load = loads.total_load(problem, parts)
    if all_kept(parts, SLOTS):
        return (fits(ID, (psu.id,), load.ma_12v, today="yes"),)
    # Without rails and without a rating nothing at all is known of its strength.
    found = supplied(ID, problem, parts, load, "12v", "rail_12v_ma", blocks=psu.rated_w is None)
    if psu.year is None:
        return (*found, unknown(ID, question(parts.candidate("psu"), "year"), (psu.id,)))
    return found


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    from partsolver.model.currents import post_supplied

    post_supplied(picks, problem, "12v", SLOTS, on, blocks=True)
