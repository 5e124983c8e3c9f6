"""The core problem: the part of a problem that a matrix of numbers can state, for comparing solvers on equal
terms.

Left out on both sides: kept parts, coolers, extras, bundles, delivery charges, buffered and ECC modules. Each
part has its cheapest usable offer. What stays: one board, processor and kit each; socket, processor list,
memory generation, kind, slots, capacities; data rate as the least of all limits; budget; least time, then
least cost within one step.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from partsolver.problem.store import Store

CORE_RULES = (
    "platform.socket",
    "platform.support",
    "memory.generation",
    "memory.module",
    "memory.slots",
    "memory.module_capacity",
    "memory.capacity",
    "buying.budget",
)


def core_rules() -> tuple[Any, ...]:
    """The rules of the core problem, in report order."""
    from partsolver.rules import all_rules

    return tuple(rule for rule in all_rules() if rule.ID.replace("-", "_") in CORE_RULES)


def core_problem(problem: Any) -> Any:
    """The core of a problem."""
    from partsolver.plan.complete import allowed_by
    from partsolver.rules import all_rules

    allowed = allowed_by(problem, all_rules())
    candidates = dict(problem.candidates)
    for slot in ("board", "cpu", "memory"):
        kept = []
        for candidate in problem.slot(slot):
            offers = [o for o in candidate.offers if allowed.offer(o, candidate.quantity)]
            if candidate.kept or not offers:
                continue
            part = candidate.part
            if slot == "memory" and (part.with_kept or part.registered or part.ecc):
                continue
            kept.append(replace(candidate, offers=(min(offers, key=lambda o: (o.price, o.seller)),)))
        candidates[slot] = tuple(kept)
    candidates["cooler"] = tuple(c for c in problem.slot("cooler") if c.kept)
    sellers = {
        name: replace(seller, delivery=0, free_from=None, minimum_order=0)
        for name, seller in problem.sellers.items()
    }
    brief = problem.brief.model_copy(update={"alternatives": 1})
    return replace(problem, candidates=candidates, sellers=sellers, bundles=(), brief=brief, store=Store())
