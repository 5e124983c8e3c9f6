"""Everything arrives by the wanted day.

Arrival = the later of today and the offer's day of availability, plus the seller's delivery days. A board that
is sent in to a firmware service is there when it is back (plan/services). A seller's promise is not a
guarantee; private sellers least of all (common practice).
"""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING

from partsolver.catalog.records import Bundle, Offer
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, Verdict
from partsolver.plan.services import UPDATE, Source, sent_in, trip_of
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "buying.arrival"
STATEMENT = "Every ordered part arrives, and a board that is sent in is back, by the wanted day."
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


def allows_trip(problem: Problem, source: Source, service: Offer) -> bool:
    trip, wanted = trip_of(problem, source, service), problem.brief.need_by
    return trip is None or wanted is None or trip.back <= wanted


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    wanted = problem.brief.need_by
    if wanted is None:
        return ()
    found = []
    trip = sent_in(draft, problem)
    for line in draft.lines:
        source = line.offer or line.bundle
        if source is None:
            continue
        arrival = problem.arrival(source)
        facts: tuple[tuple[str, str | int], ...] = (("seller", source.seller),)
        if trip is not None and line.need is not None and line.need.kind == UPDATE:
            arrival, facts = trip.back, (*facts, ("sent_in", "yes"))
        margin = (wanted - arrival).days
        verdict: Verdict = "fits" if margin >= 0 else "fails"
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
    _post_trips(picks, problem, wanted, on)


def _post_trips(picks: Picks, problem: Problem, wanted: datetime.date, on: BoolVar) -> None:
    """No service whose seller's days, there and back, run past the wanted day from when the board is there."""
    services = [p for p in picks.purchases if p.item in problem.extra_offers and _updates(problem, p.item)]
    if not services:
        return
    boards = {c.id for c, _ in picks.candidates("board") if c.id is not None}
    sources = [
        (p.literal, p.offer.seller, problem.arrival(p.offer)) for p in picks.purchases if p.item in boards
    ]
    sources += [
        (b.literal, b.bundle.seller, problem.arrival(b.bundle))
        for b in picks.bundles
        if any(item in boards for item, _ in b.bundle.items)
    ]
    sources += [(literal, "", problem.today) for c, literal in picks.candidates("board") if c.id is None]
    for service in services:
        days = datetime.timedelta(days=2 * problem.sellers[service.offer.seller].delivery_days)
        for literal, seller, there in sources:
            if seller != service.offer.seller and there + days > wanted:
                picks.never_together(literal, service.literal, on)


def _updates(problem: Problem, extra: str) -> bool:
    return problem.extras[extra].kind == UPDATE
