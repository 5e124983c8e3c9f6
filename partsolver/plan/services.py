"""What a seller does with a part before it is used: a firmware update at the bench.

The seller who sends the board updates it before dispatch. Anybody else's service needs the board: it is sent
in after it has arrived, and comes back after that seller's days, there and back (common practice; the seller
decides).
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from partsolver.base.records import record
from partsolver.catalog.records import Bundle, Offer
from partsolver.plan.bundles import bundle_group, usable_bundles
from partsolver.plan.draft import Draft
from partsolver.problem.problem import Problem

# The kind of extra that a firmware service is.
UPDATE = "firmware-update"

#: Where a board comes from: an offer, a bundle, or the PC (None).
Source = Offer | Bundle | None


@record
class SentIn:
    """A board that is sent in: to whom, days there and back, the day on which it is back."""

    seller: str
    days: int
    back: datetime.date


def trip_of(problem: Problem, source: Source, service: Offer) -> SentIn | None:
    """The trip of a board from there to the seller of a service; None where that seller sends the board.

    It begins when board and service can both be had.
    """
    if source is not None and source.seller == service.seller:
        return None
    days = 2 * problem.sellers[service.seller].delivery_days
    ready = problem.today if source is None else problem.arrival(source)
    return SentIn(service.seller, days, max(ready + datetime.timedelta(days=days), problem.arrival(service)))


def sent_in(draft: Draft, problem: Problem) -> SentIn | None:
    """The trip of the board to the seller of its update; None where nothing is updated by a service, or by
    the seller who sends the board."""
    line = next((ln for ln in draft.lines if ln.need is not None and ln.need.kind == UPDATE), None)
    if line is None or line.offer is None:
        return None
    source = next(((ln.offer or ln.bundle) for ln in draft.lines if ln.slot == "board"), None)
    return trip_of(problem, source, line.offer)


def possible_trips(problem: Problem) -> Iterator[tuple[Source, Offer]]:
    """Every (source of a board, offer of a service), those that go and come on the same days once."""
    services = {
        (offer.seller, offer.available_on): offer
        for extra in problem.extras_of(UPDATE)
        for offer in problem.extra_offers[extra.id]
    }
    if not services:
        return
    boards = problem.slot("board")
    sources: dict[object, Source] = {
        (offer.seller, offer.available_on): offer for board in boards for offer in board.offers
    }
    for bundle in usable_bundles(problem):
        if any(group[0] == "board" for group in bundle_group(problem, bundle)):
            sources[bundle.seller, bundle.available_on] = bundle
    if any(board.kept for board in boards):
        sources[None] = None
    for service in services.values():
        for source in sources.values():
            yield source, service
