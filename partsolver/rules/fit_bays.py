"""Every drive that is fastened finds a bay in a case that is new, and a drive that is new in the case that
stays.

A 3.5-inch drive goes into a 5.25-inch bay with a frame, a 2.5-inch one into a 3.5-inch bay with one; a
solid-state drive may also be fastened anywhere else, since nothing in it moves. Frames are named as a thing
to buy, with one on sale. Refused is only what the stated bays cannot hold even so; where nobody counted it is
asked, and only where a larger drive than today's has to find room. What is in the case today has its place.
Not checked: bays behind a closed front, rails of a maker's own.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.bays import BaysTaken, bays_taken, bays_taken_today
from partsolver.assembly.plugs import all_kept, question
from partsolver.catalog.records import Case
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_least, fits, unknown
from partsolver.problem.candidates import DriveChoice, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "fit.bays"
STATEMENT = "Every drive that needs a bay has one, directly or with a frame."
SOURCE = "bay sizes 5.25, 3.5 and 2.5 inches: SFF-8551, SFF-8301, SFF-8201; frames: common practice"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("case", "drive")
READS: Reads = {
    "case": ("bays_25", "bays_35", "bays_525"),
    "drive": ("kept", "part.interface", "part.kind"),
}
SURVEY: tuple[str, ...] = ("drives",)


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    if all_kept(parts, SLOTS):
        return ()
    place, case = parts.candidate("case"), parts.case
    ids = (case.id,)
    taken = bays_taken(parts.drive, problem)
    if place.kept and taken.no_more_than(bays_taken_today(problem)):
        return _small_drives(case, taken, problem, ids)
    if taken.large:
        if case.bays_525 is None:
            return (unknown(ID, question(place, "bays_525"), ids, size="5.25"),)
        if taken.large > case.bays_525:
            return (at_least(ID, case.bays_525, taken.large, "bays", ids, size="5.25"),)
    if taken.middle:
        if case.bays_35 is None:
            return (unknown(ID, question(place, "bays_35"), ids, size="3.5"),)
        room = case.bays_35 + (case.bays_525 or 0) - taken.large
        if taken.middle > room and case.bays_525 is None:
            return (unknown(ID, question(place, "bays_525"), ids, size="3.5"),)
        if taken.middle > room:
            return (at_least(ID, room, taken.middle, "bays", ids, size="3.5"),)
        framed = max(0, taken.middle - case.bays_35)
        if framed:
            frame = _frame(problem, "5.25", "3.5", framed)
            return (fits(ID, ids, taken.middle, size="3.5", framed=framed, **frame),)
    return _small_drives(case, taken, problem, ids)


def _small_drives(
    case: Case, taken: BaysTaken, problem: Problem, ids: tuple[str, ...]
) -> tuple[Finding, ...]:
    """2.5-inch drives that lack a bay of their size: how many take a frame, how many are fastened
    elsewhere."""
    if not taken.small or case.bays_25 is None or taken.small <= case.bays_25:
        return ()
    lacking = taken.small - case.bays_25
    free = max(0, case.bays_35 - taken.middle) if case.bays_35 is not None else lacking
    framed = min(lacking, free)
    facts: dict[str, str | int] = {"framed": framed} if framed else {}
    if loose := lacking - framed:
        facts["loose"] = loose
    return (fits(ID, ids, taken.small, size="2.5", **facts, **_frame(problem, "3.5", "2.5", framed)),)


def _frame(problem: Problem, bay: str, drive: str, count: int) -> dict[str, str | int]:
    """A frame on sale from a bay to a drive's size, and what so many cost, as facts."""
    found = problem.cheapest_of("drive-frame", lambda e: bay in e.takes and drive in e.gives)
    return {} if found is None or not count else {"frame": found[0].id, "minor": count * found[1]}


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    today = bays_taken_today(problem)

    def needed(candidate: Any) -> tuple[int, int, bool]:
        choice: DriveChoice = candidate.part
        taken = bays_taken(choice, problem)
        return taken.large, taken.middle, candidate.kept

    cases = picks.classes("case", f"{ID} bays", lambda c: (c.part.bays_525, c.part.bays_35, c.kept))
    for (large, middle, drive_kept), drive in picks.classes("drive", f"{ID} drives", needed).items():
        for (bays_525, bays_35, case_kept), case in cases.items():
            if case_kept and (drive_kept or (large <= today.large and middle <= today.middle)):
                continue
            short = bays_525 is not None and large > bays_525
            counted = not (large and bays_525 is None) and bays_525 is not None and bays_35 is not None
            if short or (counted and large + middle > bays_525 + bays_35):
                picks.never_together(drive, case, on)
