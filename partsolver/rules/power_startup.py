"""The supply stands the moment in which all disks start.

Disks start at once unless a controller staggers them; board, fans and cards run beside them, the processor at
half of its full current (setting startup_processor_percent). Limit at 12 V: the short peak of the label, or
its continuous value where no peak is stated; at 5 V the rail; both times the share that the supply is trusted
with. Optical drives count at work: they look for a disc at that moment.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly import bought_devices as devices
from partsolver.assembly import loads
from partsolver.assembly.bought_cards import DRIVE_READS, PLAN_LOAD_BOARD_READS, plan_load
from partsolver.assembly.plugs import all_kept
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fits
from partsolver.plan.ranges import supplied
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.startup"
STATEMENT = (
    "The currents at 12 V and 5 V while the disks start are at most the trusted share of the label's peak, or what the"
    " supply carries today."
)
SOURCE = (
    "disk product manuals of two makers (start-up current); ATX12V design guide 2.0 (peak up to 17 s); power"
    " reference section 10"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "memory", "psu", "case", "drive", "graphics")
READS: Reads = {
    "board": PLAN_LOAD_BOARD_READS,
    "cpu": loads.CPU_READS,
    "memory": ("generation", "modules"),
    "psu": (*loads.SUPPLY_READS, "peak_12v_ma"),
    "case": tuple(sorted({*loads.LOAD_READS["case"], *devices.CASE_READS})),
    "drive": tuple(sorted({*loads.LOAD_READS["drive"], *DRIVE_READS})),
    "graphics": ("card",),
}
SURVEY: tuple[str, ...] = (*loads.TODAY_SURVEY, "os")


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    load = plan_load(problem, parts)
    if all_kept(parts, SLOTS):
        return (fits(ID, (parts.psu.id,), load.start_12v, today="yes"),)
    stated = "peak" if parts.psu.peak_12v_ma is not None else "continuous"
    at_12v = supplied(ID, problem, parts, load, "start 12v", "rail_12v_ma", rail="12v", stated=stated)
    if parts.psu.rail_5v_ma is None:
        return at_12v  # power.rails_low asks for that rail
    return (
        *at_12v,
        *supplied(ID, problem, parts, load, "start 5v", "rail_5v_ma", rail="5v", stated="continuous"),
    )


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    from partsolver.model.currents import post_supplied

    post_supplied(picks, problem, "start 12v", SLOTS, on, blocks=False)
    post_supplied(picks, problem, "start 5v", SLOTS, on, blocks=False)
