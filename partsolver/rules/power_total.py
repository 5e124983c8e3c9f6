"""The continuous power of the PC stays within the aged rating of the supply.

Power is what the supply delivers (DC). For supplies of before about 2005 the 12 V current is the sharper
limit (power.rail_12v): much of their rating was meant for 5 V.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly import loads
from partsolver.assembly.plugs import all_kept, question, supply_factor_percent, usable
from partsolver.catalog.records import Psu
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_most, fits, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.total"
STATEMENT = (
    "The continuous power of the PC is at most rating x age factor x the share of a rating that may be used."
)
SOURCE = "common practice (power reference section 14); the rating of a supply is its continuous DC output"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "memory", "psu", "case", "drive")
READS: Reads = loads.LOAD_READS
SURVEY: tuple[str, ...] = ("cards", "drives", "pc")
SUMS: tuple[str, ...] = ("power",)


def limit_mw(problem: Problem, psu: Psu) -> int | None:
    """Usable power of a supply; None when its rating is not known."""
    return usable(problem, psu, None if psu.rated_w is None else psu.rated_w * 1000)


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    load = loads.total_load(problem, parts).mw
    ids = (parts.psu.id,)
    if all_kept(parts, SLOTS):
        return (fits(ID, ids, load, today="yes"),)
    limit = limit_mw(problem, parts.psu)
    if limit is None:
        return (unknown(ID, question(parts.candidate("psu"), "rated_w"), ids, load_mw=load),)
    factor = supply_factor_percent(problem, parts.psu)
    return (at_most(ID, load, limit, "mW", ids, rated_w=parts.psu.rated_w or 0, factor_percent=factor),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    new = [picks.classes(slot, "kept", lambda c: c.kept).get(False) for slot in SLOTS]
    present = [literal for literal in new if literal is not None]
    if not present:
        return
    anything_new = picks.any_of(present)
    for limit, supply in picks.classes("psu", "power.total", lambda c: limit_mw(problem, c.part)).items():
        if limit is not None:
            picks.require(picks.power <= limit, picks.both(on, supply, anything_new))
