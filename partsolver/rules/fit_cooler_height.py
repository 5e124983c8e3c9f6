"""The cooler is no higher than the case allows.

The case's highest cooler is a free height that somebody measured or its maker states; a margin below the
setting ``cpu_cooler_clearance_mm`` is stated as tight. The height of the cooler in a processor's box is in no
catalogue: it stays below a full-height card (common practice), so a case that takes such cards, or as high a
cooler, takes it; in a lower case it is a question. Where nobody measured the present case, the height of the
present cooler is certain. Not checked: width, memory and plugs beside the cooler.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.plugs import all_kept, question
from partsolver.base.quantities import ceil_div
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_most, fits, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.standards.boards import CARD_HEIGHT_UM

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "fit.cooler_height"
STATEMENT = "The cooler is no higher than the highest cooler of the case."
SOURCE = (
    "case maker's data sheet or a measurement; full-height card 106.68 mm: PCI (boards reference, section 4);"
    " boxed coolers: common practice"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("cooler", "case")
READS: Reads = {"cooler": ("boxed", "cooler.height_mm"), "case": ("max_cooler_height_mm", "slot_height")}
SURVEY: tuple[str, ...] = ("cooler",)
BOXED_AT_MOST_MM = ceil_div(CARD_HEIGHT_UM["full"], 1000)


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    choice, case = parts.cooler, parts.case
    ids = (choice.id, case.id)
    limit = case.max_cooler_height_mm
    if all_kept(parts, ("cooler", "case")):
        return (fits(ID, ids, today="yes"),)
    if choice.boxed:
        if case.slot_height == "full" or (limit is not None and limit >= BOXED_AT_MOST_MM):
            return (fits(ID, ids, boxed="yes"),)
        return (
            unknown(
                ID, "cooler.boxed_height_mm", ids, False, **({} if limit is None else {"limit_mm": limit})
            ),
        )
    height = None if choice.cooler is None else choice.cooler.height_mm
    if height is None:
        return (unknown(ID, question(parts.candidate("cooler"), "height_mm"), ids),)
    if limit is None:
        present = problem.survey.cooler.height_mm if problem.survey.cooler is not None else None
        if parts.candidate("case").kept and present is not None and height <= present:
            return (at_most(ID, height, present, "mm", ids, basis="present cooler"),)
        return (
            unknown(ID, question(parts.candidate("case"), "max_cooler_height_mm"), ids, height_mm=height),
        )
    tight = {"tight": "yes"} if 0 <= limit - height < problem.settings["cpu_cooler_clearance_mm"] else {}
    return (at_most(ID, height, limit, "mm", ids, **tight),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    picks.support(
        ("cooler", "case"),
        ("fit.cooler_height", "fit.cooler_height"),
        (
            lambda c: (c.part.cooler and c.part.cooler.height_mm, c.kept),  # the boxed one has no record
            lambda c: (c.part.max_cooler_height_mm, c.kept),
        ),
        lambda cooler, case: (
            (cooler[1] and case[1]) or cooler[0] is None or case[0] is None or cooler[0] <= case[0]
        ),
        on,
    )
