"""Parts that the brief excludes are not used, and parts it demands are.

"kept-…" ids name what the PC has now: demanding ``kept-board`` keeps the board, excluding it replaces it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from partsolver.catalog.records import Bundle, Offer
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fails, fits
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "buying.excluded"
STATEMENT = "No excluded part is used and every demanded part is."
SOURCE = "the brief"
KIND: Kind = "buying"
NATURE: Nature = "wish"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "memory", "cooler", "psu", "case", "drive", "graphics")
READS: Reads = {}
SURVEY: tuple[str, ...] = ()


def ids_of(candidate: Candidate) -> tuple[str, ...]:
    """Catalogue and survey ids a candidate stands for (memory may be a kit together with the kept
    modules)."""
    ids = [candidate.id] if candidate.id is not None else [candidate.key]
    if candidate.slot == "memory" and candidate.part.with_kept:  # type: ignore[union-attr]
        ids.append("kept-memory")
    return tuple(dict.fromkeys(ids))


def idle(problem: Problem) -> bool:
    return not problem.brief.without and not problem.brief.including


def allows_offer(problem: Problem, offer: Offer, quantity: int) -> bool:
    return offer.part not in problem.brief.without


def allows_bundle(problem: Problem, bundle: Bundle) -> bool:
    return bundle.id not in problem.brief.without


def allows_candidate(problem: Problem, candidate: Candidate) -> bool:
    """Whether a cooler may be taken: not excluded, and the demanded one where one is demanded."""
    without, including = problem.brief.without, problem.brief.including
    if not without and not including:
        return True
    ids = ids_of(candidate)
    if any(part in without for part in ids):
        return False
    demanded = (
        any(part in including for c in problem.slot(candidate.slot) for part in ids_of(c))
        if including
        else False
    )
    return not demanded or any(part in including for part in ids)


def _used(draft: Draft) -> set[str]:
    used = {part for candidate in draft.parts.picked for part in ids_of(candidate)}
    return used | {line.item for line in draft.lines}


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    used = _used(draft)
    found = [fails(ID, (part,), part, "excluded") for part in problem.brief.without if part in used]
    for part in problem.brief.including:
        found.append(fits(ID, (part,), part) if part in used else fails(ID, (part,), "absent", part))
    return tuple(found)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    without, including = set(problem.brief.without), problem.brief.including
    wanted: dict[str, list[Any]] = {part: [] for part in including}
    for part, literal in _taken_by(picks):
        if part in without:
            picks.clause([~literal], on)
        if part in wanted:
            wanted[part].append(literal)
    for literals in wanted.values():
        picks.clause(literals, on)


def _taken_by(picks: Picks) -> Iterator[tuple[str, BoolVar]]:
    """Every id of the catalogue with each literal that takes it: picks, purchases, bundles."""
    for slot in SLOTS:
        for candidate, literal in picks.candidates(slot):
            for part in ids_of(candidate):
                yield part, literal
    for purchase in picks.purchases:
        yield purchase.item, purchase.literal
    for bought in picks.bundles:
        yield bought.bundle.id, bought.literal
