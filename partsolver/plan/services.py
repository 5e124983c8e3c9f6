"""What a seller does with a part before it is used: a firmware update at the bench.

The seller who sends the board updates it before dispatch. Anybody else's service needs the board: it is sent
in after it has arrived, and comes back after that seller's days, there and back (common practice; the seller
decides).
"""

from __future__ import annotations

import datetime

from partsolver.base.records import record
from partsolver.plan.draft import Draft
from partsolver.problem.problem import Problem

# The kind of extra that a firmware service is.
UPDATE = "firmware-update"


@record
class SentIn:
    """A board that is sent in: to whom, days there and back, the day on which it is back."""

    seller: str
    days: int
    back: datetime.date


def sent_in(draft: Draft, problem: Problem) -> SentIn | None:
    """The trip of the board to the seller of its update; None where nothing is updated by a service, or by
    the seller who sends the board."""
    line = next((ln for ln in draft.lines if ln.need is not None and ln.need.kind == UPDATE), None)
    if line is None or line.offer is None:
        return None
    service = line.offer.seller
    source = next(((ln.offer or ln.bundle) for ln in draft.lines if ln.slot == "board"), None)
    if source is not None and source.seller == service:
        return None
    days = 2 * problem.sellers[service].delivery_days
    ready = problem.today if source is None else problem.arrival(source)
    return SentIn(service, days, ready + datetime.timedelta(days=days))
