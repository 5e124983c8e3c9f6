"""Everything arrives by the wanted day.

Arrival = the later of today and the offer's day of availability, plus the seller's delivery days. A seller's
promise is not a guarantee; private sellers least of all (common practice).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.catalog.records import Bundle, Offer
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, Verdict
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "buying.arrival"
STATEMENT = "Every ordered part arrives by the wanted day."
SOURCE = "the brief; the sellers' stated delivery times"
KIND: Kind = "buying"
NATURE: Nature = "wish"
SLOTS: tuple[SlotName, ...] = ()
READS: Reads = {}
SURVEY: tuple[str, ...] = ()


def idle(problem: Problem) -> bool:
    return problem.brief.need_by is None


def allows_offer(problem: Problem, offer: Offer, quantity: int) -> bool:
    return problem.brief.need_by is None or problem.arrival(offer) <= problem.brief.need_by


def allows_bundle(problem: Problem, bundle: Bundle) -> bool:
    return problem.brief.need_by is None or problem.arrival(bundle) <= problem.brief.need_by


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    wanted = problem.brief.need_by
    if wanted is None:
        return ()
    found = []
    for line in draft.lines:
        source = line.offer or line.bundle
        if source is None:
            continue
        arrival = problem.arrival(source)
        margin = (wanted - arrival).days
        verdict: Verdict = "fits" if margin >= 0 else "fails"
        facts = (("seller", source.seller),)
        found.append(
            Finding(ID, verdict, arrival.isoformat(), wanted.isoformat(), margin, "days", (line.item,), facts)
        )
    return tuple(found)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    wanted = problem.brief.need_by
    if wanted is None:
        return
    for purchase in picks.purchases:
        if problem.arrival(purchase.offer) > wanted:
            picks.clause([~purchase.literal], on)
    for bought in picks.bundles:
        if problem.arrival(bought.bundle) > wanted:
            picks.clause([~bought.literal], on)
