"""An early supply may trip when a later processor idles. A remark with advice, never a refusal.

Processors first sold from 2013 on draw next to nothing at 12 V in their deepest idle states; supplies made
before that with common regulation of their rails may drift out of tolerance. Cure: switch these states off in
the firmware.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.plugs import all_kept, question
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fits, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.standards.rails import is_low_load_risk

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.low_load"
STATEMENT = (
    "A supply of before mid-2013 with a processor of 2013 or later may need deep idle states switched off."
)
SOURCE = "press of 2013 quoting a processor maker (0.05 A on 12V2); power reference section 9; case C03"
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("cpu", "psu")
READS: Reads = {"cpu": ("year",), "psu": ("year", "zero_load_12v")}
SURVEY: tuple[str, ...] = ()
REFUSES = False


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    psu, cpu = parts.psu, parts.cpu
    ids = (psu.id, cpu.id)
    if all_kept(parts, SLOTS):
        return (fits(ID, ids, risk="no", today="yes"),)
    risk = is_low_load_risk(psu.year, cpu.year, psu.zero_load_12v, problem.settings)
    if risk is False:
        return (fits(ID, ids, risk="no"),)
    if psu.year is None or cpu.year is None:
        slot: SlotName = "psu" if psu.year is None else "cpu"
        return (unknown(ID, question(parts.candidate(slot), "year"), ids),)
    return (fits(ID, ids, psu.year, risk="yes", psu_year=psu.year, cpu_year=cpu.year),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    """Nothing is refused."""
