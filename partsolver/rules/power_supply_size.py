"""The supply goes into the case's bay.

Direct, with a plate that fills the difference (SFX in an ATX bay), or only if the depth allows it (measure
first). The present supply sits in the present case. Not checked: depths above nominal (measure the bay).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.plugs import all_kept, question
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fails, fits, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.standards.supplies import bay_fit

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.supply_size"
STATEMENT = "The supply's size and mounting suit the case's bay."
SOURCE = "lists of supply form factors (medium confidence)"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("psu", "case")
READS: Reads = {"psu": ("form",), "case": ("psu_form",)}
SURVEY: tuple[str, ...] = ()


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    form, bay = parts.psu.form, parts.case.psu_form
    ids = (parts.psu.id, parts.case.id)
    if all_kept(parts, SLOTS):
        return (fits(ID, ids, form, today="yes"),)
    if form is None:
        return (unknown(ID, question(parts.candidate("psu"), "form"), ids),)
    if bay is None:
        return (unknown(ID, question(parts.candidate("case"), "psu_form"), ids),)
    how = bay_fit(bay, form)
    return (fails(ID, ids, form, bay),) if how is None else (fits(ID, ids, form, bay=bay, how=how),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    picks.support(
        ("psu", "case"),
        ("power.supply_size", "power.supply_size"),
        (lambda c: (c.part.form, c.kept), lambda c: (c.part.psu_form, c.kept)),
        lambda psu, case: (
            (psu[1] and case[1]) or None in (psu[0], case[0]) or bay_fit(case[0], psu[0]) is not None
        ),
        on,
    )
