"""The 5 V and 3.3 V rails carry board, memory, drives, cards and USB devices, each and together.

Limits as for 12 V. Without a combined value on the label a usual share of the rating counts. The board's own
currents are settings by its time (boards made up to 2009 take much more from these rails than later ones).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly import bought_devices as devices
from partsolver.assembly import loads
from partsolver.assembly.bought_cards import DRIVE_READS, PLAN_LOAD_BOARD_READS, plan_load
from partsolver.assembly.plugs import all_kept
from partsolver.assembly.supply import Quantity, amount
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fits
from partsolver.plan.ranges import supplied
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.rails_low"
STATEMENT = (
    "The usual currents at 5 V and at 3.3 V and their common power stay within the trusted share of the label, or within"
    " what the supply carries today."
)
SOURCE = (
    "ATX12V design guide 2.0, tables 3 to 6 (combined limit of 5 V and 3.3 V); shares by age: common practice"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "memory", "psu", "case", "drive", "graphics")
READS: Reads = {
    "board": PLAN_LOAD_BOARD_READS,
    "cpu": loads.CPU_READS,
    "memory": ("generation", "modules"),
    "psu": (*loads.SUPPLY_READS, "rail_3v3_ma"),
    "case": tuple(sorted({*loads.LOAD_READS["case"], *devices.CASE_READS})),
    "drive": (*DRIVE_READS, "part.pcie_gen"),
    "graphics": ("card",),
}
SURVEY: tuple[str, ...] = (*loads.TODAY_SURVEY, "os")

_FACTS: tuple[tuple[Quantity, str], ...] = (
    ("5v", "rail_5v_ma"),
    ("3v3", "rail_3v3_ma"),
    ("5v+3v3", "combined_5v_3v3_mw"),
)


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    load = plan_load(problem, parts)
    if all_kept(parts, SLOTS):
        return (fits(ID, (parts.psu.id,), amount(load, "5v+3v3"), today="yes"),)
    return tuple(
        finding
        for quantity, fact in _FACTS
        for finding in supplied(ID, problem, parts, load, quantity, fact, rail=fact)
    )


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    from partsolver.model.currents import post_supplied

    post_supplied(picks, problem, "5v", SLOTS, on, blocks=False)
    post_supplied(picks, problem, "3v3", SLOTS, on, blocks=False)
    post_supplied(picks, problem, "5v+3v3", SLOTS, on, blocks=False)
