"""The cooler carries away the processor's heat.

Compared are the cooler's rated heat and the processor's rated heat (not its short-time power). The cooler in
the box serves its own processor. A present cooler without a rating serves a processor of at most the present
one's heat: it does that today; above that it is an open question, for a processor that gets too hot slows
down and is not destroyed (common practice). Not checked: noise, dust, air through the case.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.plugs import all_kept, question
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_least, fits, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "fit.cooler_power"
STATEMENT = "The cooler carries away the processor's rated heat."
SOURCE = "data sheets of cooler and processor; boxed coolers and present cooler: common practice"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("cpu", "cooler")
READS: Reads = {"cpu": ("boxed_cooler", "tdp_w"), "cooler": ("boxed", "cooler.rated_w")}
SURVEY: tuple[str, ...] = ("cpu",)


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    cpu, cooler = draft.parts.candidate("cpu"), draft.parts.candidate("cooler")
    found = _heat(draft, problem)
    if not cpu.kept and not cooler.kept and draft.parts.cpu.boxed_cooler is None:
        # Nobody said whether a cooler comes along: one is counted, and the answer may save its price.
        return (*found, unknown(ID, question(cpu, "boxed_cooler"), (draft.parts.cpu.id,), box="unknown"))
    return found


def _heat(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    choice, heat = parts.cooler, parts.cpu.tdp_w
    ids = (choice.id, parts.cpu.id)
    if all_kept(parts, ("cpu", "cooler")):
        return (fits(ID, ids, today="yes"),)
    if choice.boxed:
        return (fits(ID, ids, boxed="yes"),)
    if heat is None:
        return (unknown(ID, question(parts.candidate("cpu"), "tdp_w"), ids),)
    rated = None if choice.cooler is None else choice.cooler.rated_w
    if rated is not None:
        return (at_least(ID, rated, heat, "W", ids),)
    present = problem.survey.cpu.tdp_w
    if parts.candidate("cooler").kept and present is not None and heat <= present:
        return (at_least(ID, present, heat, "W", ids, basis="present processor"),)
    return (unknown(ID, question(parts.candidate("cooler"), "rated_w"), ids, heat_w=heat),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    picks.support(
        ("cpu", "cooler"),
        ("fit.cooler_power", "fit.cooler_power"),
        (
            lambda c: (c.part.tdp_w, c.kept),
            # The boxed cooler has no record: its rating is that of its processor.
            lambda c: (c.part.cooler.rated_w if c.part.cooler is not None else None, c.kept),
        ),
        lambda cpu, cooler: (cpu[1] and cooler[1]) or None in (cpu[0], cooler[0]) or cpu[0] <= cooler[0],
        on,
    )
