"""Tall memory modules beside a cooler that reaches over their slots. Never refuses.

Whether a cooler reaches over the slots depends on board and cooler together, which nobody states; so a height
above what the cooler leaves is a thing to look at before ordering, not a refusal. Asked is only where one of
the two heights says that there is something to look at: a module with a tall heat spreader, or a cooler that
leaves less than a plain module needs. Not checked: which slots lie under the cooler.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.modules import memory_ids, memory_question, together_today
from partsolver.assembly.plugs import question
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, unknown
from partsolver.problem.candidates import MemoryChoice, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "fit.cooler_memory"
STATEMENT = "Modules are no higher than the cooler leaves where it reaches over their slots."
SOURCE = (
    "cooler makers' clearance over the memory slots; modules of 30.0 and 31.25 mm: JEDEC MO-269 and MO-309"
    " (from memory); common practice"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "memory", "cooler")
READS: Reads = {
    "board": (),
    "memory": ("kit.module_height_mm", "present", "with_kept"),
    "cooler": ("cooler.memory_clearance_mm",),
}
SURVEY: tuple[str, ...] = ()
REFUSES = False


def _heights(memory: MemoryChoice) -> list[tuple[bool, int | None]]:
    """(kept, height in mm) of the sets of modules, new ones first."""
    new = [] if memory.kit is None else [(False, memory.kit.module_height_mm)]
    return [*new, *((True, row.module_height_mm) for row in (memory.present if memory.with_kept else ()))]


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    cooler, memory = parts.cooler.cooler, parts.memory
    if cooler is None or together_today(parts, "board", "memory", "cooler"):
        return ()
    ids = (parts.cooler.id, *memory_ids(memory))
    sets, plain = _heights(memory), problem.settings["plain_module_height_mm"]
    highest = max((height for _, height in sets if height is not None), default=None)
    clearance = cooler.memory_clearance_mm
    if clearance is None:
        if highest is None or highest <= plain:
            return ()
        return (
            unknown(
                ID, question(parts.candidate("cooler"), "memory_clearance_mm"), ids, False, height_mm=highest
            ),
        )
    if highest is not None and highest > clearance:
        asked = question(parts.candidate("cooler"), "over_memory")
        return (unknown(ID, asked, ids, False, height_mm=highest, clearance_mm=clearance),)
    missing = next((kept for kept, height in sets if height is None), None)
    if missing is not None and clearance < plain:
        asked = memory_question(memory, "module_height_mm", missing)
        return (unknown(ID, asked, ids, False, clearance_mm=clearance),)
    if highest is None:
        return ()
    return (Finding(ID, "fits", highest, clearance, clearance - highest, "mm", ids),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    """Nothing to refuse: whether the cooler reaches over the slots is looked at."""
