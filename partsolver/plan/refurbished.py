"""Complete (refurbished) PCs of the catalogue, judged by the same time model: they compete with every plan.

A complete PC brings its own case and supply, so no rule of fit applies; what counts is price with delivery,
arrival and expected time. What its bundle does not name (a drive, say) is taken to be as in the present PC.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from partsolver.catalog.records import Bundle
from partsolver.performance.estimate import with_estimates_beside
from partsolver.performance.interval import speedup
from partsolver.performance.present import present_parts
from partsolver.performance.time import time_ppm
from partsolver.plan.delivery import cost_alone
from partsolver.plan.outcome import CompletePc
from partsolver.problem.candidates import SLOTS, Candidate, DriveChoice, Parts
from partsolver.problem.memory_choices import new_memory
from partsolver.problem.problem import Problem
from partsolver.rules.base import Rule

_SLOT_OF_TABLE = {
    "boards": "board",
    "cpus": "cpu",
    "memory": "memory",
    "drives": "drive",
    "psus": "psu",
    "cases": "case",
}


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
        if parts is not None:
            found.append(
                CompletePc(
                    bundle, cost, time_ppm(problem, parts), speedup(problem, parts), problem.arrival(bundle)
                )
            )
    return tuple(sorted(found, key=lambda pc: (pc.time_ppm, pc.cost, pc.bundle.id)))


def _parts(problem: Problem, bundle: Bundle) -> Parts | None:
    """The bundle's parts as picks; None when it names no board or processor (then no time can be
    expected)."""
    picked = {c.slot: c for c in present_parts(problem).picked}
    catalog = problem.source
    for item, count in bundle.items:
        slot = _SLOT_OF_TABLE.get(catalog.table_of[item])
        part: Any = catalog.part(item)
        if slot == "cpu":
            part = with_estimates_beside(problem.survey, catalog.info, catalog.tables["cpus"])[item]
        elif slot == "memory":
            part = new_memory(part, count)
        elif slot == "drive":
            part = DriveChoice(item, None, part)
        if slot is not None:
            picked[slot] = Candidate(slot, item, part, item, count, (), False)  # type: ignore[arg-type, index]
    named = {catalog.table_of[item] for item, _ in bundle.items}
    if not {"boards", "cpus"} <= named:
        return None
    return Parts(tuple(picked[slot] for slot in SLOTS))
