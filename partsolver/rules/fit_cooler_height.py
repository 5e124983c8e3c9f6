"""The cooler is no higher than the case allows.

The case's highest cooler is a free height that somebody measured or its maker states; a margin below the
setting ``cpu_cooler_clearance_mm`` is stated as tight. The height of the cooler in a processor's box is
rarely stated: it stays below a full-height card (common practice), so a case that takes such cards and whose
free height nobody measured, or one with that much room, takes it; a measured height counts for it too: below
the setting ``boxed_cooler_least_mm`` no such cooler goes in, in between it is a question. Where nobody
measured the present case, the height of the present cooler is certain. A supply that sits over the board (a
flat case, or a small tower) leaves less: the lesser of both counts, and where the room under it is not
known it is asked. Not checked: width and plugs beside the cooler.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.plugs import all_kept, question
from partsolver.base.quantities import ceil_div
from partsolver.catalog.records import Case
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_most, fits, unknown
from partsolver.problem.candidates import Parts, SlotName
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
SLOTS: tuple[SlotName, ...] = ("cpu", "cooler", "case")
READS: Reads = {
    "cpu": ("boxed_cooler_mm",),
    "cooler": ("boxed", "cooler.height_mm"),
    "case": ("height_under_psu_mm", "max_cooler_height_mm", "psu_place", "slot_height"),
}
SURVEY: tuple[str, ...] = ("cooler",)
BOXED_AT_MOST_MM = ceil_div(CARD_HEIGHT_UM["full"], 1000)


def _room(case: Case) -> tuple[int | None, str]:
    """Free height above the processor, as far as it is known, and the fact that is missing ("" for none)."""
    known = [
        room for room in (case.max_cooler_height_mm, case.height_under_psu_mm or None) if room is not None
    ]
    under = case.psu_place == "over-board" and case.height_under_psu_mm is None
    missing = "height_under_psu_mm" if under else "" if known else "max_cooler_height_mm"
    return min(known, default=None), missing


def _boxed(parts: Parts, problem: Problem) -> Finding:
    """The cooler in the processor's box: its stated height, else what such coolers are known to need."""
    ids = (parts.cooler.id, parts.case.id)
    limit, missing = _room(parts.case)
    height = parts.cpu.boxed_cooler_mm
    least = problem.settings["boxed_cooler_least_mm"] if height is None else height
    if missing == "height_under_psu_mm" and not (limit is not None and limit < least):
        return unknown(ID, question(parts.candidate("case"), missing), ids, boxed="yes")
    if limit is None:
        if parts.case.slot_height == "full":
            return fits(ID, ids, boxed="yes")
        return unknown(ID, question(parts.candidate("case"), "max_cooler_height_mm"), ids, boxed="yes")
    if height is not None:
        return at_most(ID, height, limit, "mm", ids, boxed="yes")
    if limit < least:
        return at_most(ID, least, limit, "mm", ids, boxed="least")
    if limit >= BOXED_AT_MOST_MM:
        return fits(ID, ids, boxed="yes")
    return unknown(ID, question(parts.candidate("cpu"), "boxed_cooler_mm"), ids, False, limit_mm=limit)


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    choice, case = parts.cooler, parts.case
    ids = (choice.id, case.id)
    limit, missing = _room(case)
    if all_kept(parts, ("cooler", "case")):
        return (fits(ID, ids, today="yes"),)
    if choice.boxed:
        return (_boxed(parts, problem),)
    height = None if choice.cooler is None else choice.cooler.height_mm
    if height is None:
        return (unknown(ID, question(parts.candidate("cooler"), "height_mm"), ids),)
    if missing and (limit is None or height <= limit):
        present = problem.survey.cooler.height_mm if problem.survey.cooler is not None else None
        if parts.candidate("case").kept and present is not None and height <= present:
            return (at_most(ID, height, present, "mm", ids, basis="present cooler"),)
        return (unknown(ID, question(parts.candidate("case"), missing), ids, height_mm=height),)
    assert limit is not None  # nothing is missing, or the room is too low
    tight = {"tight": "yes"} if 0 <= limit - height < problem.settings["cpu_cooler_clearance_mm"] else {}
    return (at_most(ID, height, limit, "mm", ids, **tight),)


def _heights(case: Case) -> tuple[int, ...]:
    """What limits the height above the processor: side panel, and a supply over the board."""
    rooms = [case.max_cooler_height_mm] if case.max_cooler_height_mm is not None else []
    return (*rooms, *((case.height_under_psu_mm,) if case.height_under_psu_mm else ()))


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    picks.support(
        ("cooler", "case"),
        ("fit.cooler_height", "fit.cooler_height"),
        (
            lambda c: (c.part.cooler and c.part.cooler.height_mm, c.kept),  # the boxed one has no record
            lambda c: (_heights(c.part), c.kept),
        ),
        lambda cooler, case: (
            (cooler[1] and case[1]) or cooler[0] is None or all(cooler[0] <= room for room in case[0])
        ),
        on,
    )
    heights = picks.classes("case", "room for a cooler", lambda c: _heights(c.part))
    boxes = picks.classes("cpu", "boxed cooler height", lambda c: c.part.boxed_cooler_mm)
    boxed = picks.classes("cooler", "boxed", lambda c: c.part.boxed).get(True)
    if boxed is None:
        return
    for room, case in heights.items():
        for height, cpu in boxes.items():
            needed = problem.settings["boxed_cooler_least_mm"] if height is None else height
            if any(high < needed for high in room):
                picks.clause([~boxed, ~case, ~cpu], on)
