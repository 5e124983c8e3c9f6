"""Whether the leads of the supply reach the headers of the board. Never refuses: an extension lead cures it.

Where the supply sits below the board's lower edge its leads run up behind the tray and have to be longer; the
leads of supplies made for the top of a case often are not. Said where a length is known and falls short, of
the main plug everywhere, of the processor plug where the supply sits at the bottom (at the top
power.cpu_plug says it). What stays together today reaches. Not checked: the way of each lead through the case.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.plugs import all_kept
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fits
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.lead_reach"
STATEMENT = "The leads of main and processor plug reach their headers where the supply sits."
SOURCE = (
    "ATX12V design guide 2.0 (280 mm processor lead, 250 mm others, recommended least: loads reference, lead"
    " lengths); lengths needed: common practice"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "psu", "case")
READS: Reads = {"board": (), "psu": ("cpu_lead_mm", "main_lead_mm"), "case": ("psu_place",)}
SURVEY: tuple[str, ...] = ()
REFUSES = False


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts, settings = draft.parts, problem.settings
    if all_kept(parts, SLOTS):
        return ()
    psu, bottom = parts.psu, parts.case.psu_place == "bottom"
    more = settings["bottom_lead_more_mm"] if bottom else 0
    needed = {"main": settings["main_lead_needed_mm"] + more}
    if bottom:
        needed["cpu"] = settings["cpu_lead_needed_mm"] + more
    lengths = {"main": psu.main_lead_mm, "cpu": psu.cpu_lead_mm}
    return tuple(
        fits(
            ID,
            (psu.id, parts.case.id),
            length,
            lead=lead,
            short_of_mm=needed[lead],
            **({"bottom": "yes"} if bottom else {}),
        )
        for lead, length in lengths.items()
        if length is not None and lead in needed and length < needed[lead]
    )


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    """Nothing to refuse: a lead that is too short is lengthened."""
