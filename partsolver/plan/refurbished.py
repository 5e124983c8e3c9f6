"""Complete (refurbished) PCs of the catalogue, judged by the same time model: they compete with every plan.

A complete PC brings its own case and supply, so no rule of fit applies; what counts is price with delivery,
arrival, expected time, and what is a condition of the finished PC: the memory that is wanted, and the system
that is asked for. What its bundle does not name (a drive, say) is taken to be as in the present PC; a graphics
card that it names makes the picture in place of the present PC's.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from partsolver.assembly.system import other_system
from partsolver.catalog.records import Bundle
from partsolver.performance.estimate import with_estimates_beside
from partsolver.performance.interval import speedup
from partsolver.performance.present import present_parts
from partsolver.performance.time import time_ppm
from partsolver.plan.complete import admitted
from partsolver.plan.delivery import cost_alone
from partsolver.plan.draft import Draft
from partsolver.plan.outcome import CompletePc
from partsolver.problem.candidates import (
    SLOTS,
    TABLE_OF_SLOT,
    Candidate,
    CoolerChoice,
    DriveChoice,
    GraphicsChoice,
    Parts,
    SlotName,
)
from partsolver.problem.graphics_choices import as_card
from partsolver.problem.memory_choices import new_memory
from partsolver.problem.problem import Problem
from partsolver.rules import buying_minimums, os_disk, os_firmware, os_memory, os_processor, os_tpm
from partsolver.rules.base import Rule

_SLOT_OF_TABLE: dict[str, SlotName] = {table: slot for slot, table in TABLE_OF_SLOT.items()}  # type: ignore[misc]


#: What a system asks of the PC it runs on.
_OF_THE_SYSTEM = (os_processor.ID, os_firmware.ID, os_memory.ID, os_tpm.ID, os_disk.ID)


def complete_pcs(problem: Problem, rules: Sequence[Rule]) -> tuple[CompletePc, ...]:
    """Complete PCs within the budget that the buying rules allow, fastest first, then cheapest."""
    allowed = [rule.allows_bundle for rule in rules]
    found = []
    for bundle in problem.complete_pcs:
        seller = problem.sellers[bundle.seller]
        cost = cost_alone(seller, [bundle.price])
        if (problem.budget is not None and cost > problem.budget) or not all(
            allows(problem, bundle) for allows in allowed
        ):
            continue
        parts = _parts(problem, bundle)
        if parts is not None and _is_wanted(problem, parts, rules):
            found.append(
                CompletePc(
                    bundle, cost, time_ppm(problem, parts), speedup(problem, parts), problem.arrival(bundle)
                )
            )
    return tuple(sorted(found, key=lambda pc: (pc.time_ppm, pc.cost, pc.bundle.id)))


def _is_wanted(problem: Problem, parts: Parts, rules: Sequence[Rule]) -> bool:
    """Whether a complete PC has the memory that is wanted and runs the system that is asked for."""
    if not buying_minimums.allows_candidate(problem, parts.candidate("memory")):
        return False
    if not other_system(problem):
        return True
    bare = Draft(parts, (), (), 0, 0)
    asked = [rule for rule in rules if rule.ID in _OF_THE_SYSTEM]
    return admitted(problem, bare, asked)


def _parts(problem: Problem, bundle: Bundle) -> Parts | None:
    """The bundle's parts as picks; None when it names no board or processor (then no time can be
    expected)."""
    picked = {c.slot: c for c in present_parts(problem).picked}
    catalog = problem.source
    for item, count in bundle.items:
        slot = _SLOT_OF_TABLE.get(catalog.table_of[item])
        if slot is not None:
            picked[slot] = Candidate(slot, item, _part(problem, slot, item, count), item, count, (), False)
    named = {catalog.table_of[item] for item, _ in bundle.items}
    if not {"boards", "cpus"} <= named:
        return None
    return Parts(tuple(picked[slot] for slot in SLOTS))


def _part(problem: Problem, slot: SlotName, item: str, count: int) -> Any:
    """A part of the bundle as a candidate of its slot holds it."""
    catalog = problem.source
    part: Any = catalog.part(item)
    if slot == "cpu":
        return with_estimates_beside(problem.survey, catalog.info, catalog.tables["cpus"])[item]
    if slot == "memory":
        return new_memory(part, count)
    if slot == "drive":
        return DriveChoice(item, None, part)
    if slot == "cooler":
        return CoolerChoice(item, part)
    if slot == "graphics":
        return GraphicsChoice(item, part, as_card(part), part.graphics_score)
    return part
