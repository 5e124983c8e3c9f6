"""When one part beats another in money whatever else is bought."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from partsolver.base.quantities import FAR
from partsolver.catalog.records import Offer
from partsolver.plan.allowed import Allowed
from partsolver.plan.delivery import most_saved_by_larger_order, order_is_taken
from partsolver.problem.candidates import Candidate
from partsolver.problem.problem import Problem


class Way(NamedTuple):
    """A way to buy a part alone: goods (minor units), key of the candidate, seller, that seller's
    delivery."""

    goods: int
    key: str
    seller: str
    delivery: int


# Buying nothing at all.
NOTHING = Way(0, "", "", 0)


def best_ways(problem: Problem, group: Sequence[Candidate], allowed: Allowed, each: int = 1) -> list[Way]:
    """Cheapest (goods, key, seller, extra charge) of some twins at each seller that takes an order of it
    alone: those of the first ``each`` of them there."""
    ways: dict[str, dict[str, Way]] = {}
    for candidate in group:
        for offer in allowed.offers(candidate):
            seller, price = problem.sellers[offer.seller], offer.price * candidate.quantity
            if not order_is_taken(seller, price):
                continue
            # Offers come cheap ones first: the first at a seller is the cheapest there.
            ways.setdefault(offer.seller, {}).setdefault(
                candidate.key, Way(price, candidate.key, offer.seller, seller.delivery)
            )
    return sorted(way for here in ways.values() for way in sorted(here.values())[:each])


def clearly_beaten(
    problem: Problem, twins: Sequence[Candidate], allowed: Allowed, times: int
) -> Iterator[Candidate]:
    """Twins whom so many others beat wherever they are bought: these cost less with a delivery of their own than
    every offer of it, its seller's free delivery lost. All that `beaten` says of the twins left stays the same:
    whom one of these beats, the others beat as well.

    Only the offers of the cheapest are asked whether they are allowed: a list has hundreds of twins.
    """
    # Least price with delivery of the cheapest twins that can be bought, rising.
    cheapest: list[int] = []
    for twin in sorted(twins, key=_least_offered):
        if len(cheapest) == times and _least_offered(twin) >= cheapest[-1]:
            break
        alone = [
            price + seller.delivery
            for offer in allowed.offers(twin)
            if order_is_taken(seller := problem.sellers[offer.seller], price := offer.price * twin.quantity)
        ]
        if alone:
            cheapest = sorted([*cheapest, min(alone)])[:times]
    if len(cheapest) < times:
        return
    for twin in twins:
        if all(
            not (seller := problem.sellers[offer.seller]).minimum_order
            and offer.price * twin.quantity - most_saved_by_larger_order(seller) > cheapest[-1]
            for offer in twin.offers
        ):
            yield twin


def _least_offered(twin: Candidate) -> int:
    """The least price of any offer of a twin, allowed or not."""
    return twin.offers[0].price * twin.quantity if twin.offers else FAR


def beaten(problem: Problem, offer: Offer, candidate: Candidate, best: Sequence[Way], times: int = 1) -> bool:
    """Whether buying a twin instead of this offer never costs more, for so many different twins.

    The exchange may lose the free delivery of this seller, and another seller's delivery may come on top.
    Where this seller has a least order value, nothing is beaten. ``best``: in rising order.
    """
    seller = problem.sellers[offer.seller]
    if seller.minimum_order:
        return False
    most = offer.price * candidate.quantity - most_saved_by_larger_order(seller)
    winners: set[str] = set()
    for price, key, name, delivery in best:
        if price > most:
            break  # cheap ones come first
        if key == candidate.key:
            continue
        gap = most - price - (0 if name == offer.seller else delivery)
        # At equal cost the part whose key comes first is wanted.
        if gap > 0 or (gap == 0 and key < candidate.key):
            winners.add(key)
            if len(winners) >= times:
                return True
    return False
