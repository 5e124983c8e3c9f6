"""The power of the PC at full load stays within what the supply is trusted with, or carries today.

Power is what the supply delivers (DC): the sum of the network's currents at nominal voltage, processors at
their short-term level. For supplies made for 5 V loads the 12 V current is the sharper limit
(power.rail_12v).
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

ID = "power.total"
STATEMENT = (
    "The usual power of the PC at full load is at most the share of the rating that the supply is trusted with, or"
    " what it delivers today."
)
SOURCE = "shares by age: common practice (loads reference section 8); the rating of a supply is its continuous DC output"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "memory", "psu", "case", "drive", "graphics")
READS: Reads = {
    **loads.LOAD_READS,
    "board": PLAN_LOAD_BOARD_READS,
    "case": tuple(sorted({*loads.LOAD_READS["case"], *devices.CASE_READS})),
    "drive": tuple(sorted({*loads.LOAD_READS["drive"], *DRIVE_READS})),
}
SURVEY: tuple[str, ...] = (*loads.TODAY_SURVEY, "os")
SUMS: tuple[str, ...] = ("power",)


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    load = plan_load(problem, parts)
    if all_kept(parts, SLOTS):
        return (fits(ID, (parts.psu.id,), load.mw, today="yes"),)
    return supplied(ID, problem, parts, load, "total", "rated_w", rated_w=parts.psu.rated_w or 0)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    from partsolver.model.currents import post_supplied

    post_supplied(picks, problem, "total", SLOTS, on, blocks=False)
