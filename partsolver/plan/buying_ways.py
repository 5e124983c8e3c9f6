"""Ways to buy one item, and which of them can ever win."""

from __future__ import annotations

from collections.abc import Container, Iterable, Sequence
from operator import itemgetter

from partsolver.base.quantities import FAR
from partsolver.base.records import record
from partsolver.catalog.records import Offer
from partsolver.plan.allowed import Allowed
from partsolver.plan.delivery import most_saved_by_larger_order, order_is_taken
from partsolver.plan.draft import Need
from partsolver.plan.services import UPDATE
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.problem.store import BuyingWay


@record
class Wish:
    """One item to buy: its possible ways in order of preference; for a slot, or for a need of a rule."""

    ways: tuple[BuyingWay, ...]
    slot: SlotName | None = None
    need: Need | None = None


def wish_for_part(candidate: Candidate, allowed: Allowed) -> Wish:
    """The wish for a part that is bought."""
    assert candidate.id is not None
    return Wish(_ways(candidate.id, candidate.quantity, allowed.offers(candidate)), slot=candidate.slot)


def wish_for_one_cooler(problem: Problem, coolers: Sequence[tuple[int, Candidate]], allowed: Allowed) -> Wish:
    """The wish for one of several (place, cooler); among equals the first place."""
    ways = [
        way
        for _, cooler in sorted(coolers, key=itemgetter(0))
        if cooler.id
        for way in _ways(cooler.id, cooler.quantity, allowed.offers(cooler))
    ]
    return Wish(_useful(problem, ways, 1, allowed.demanded), slot="cooler")


def wishes_for_needs(problem: Problem, needs: Sequence[Need], allowed: Allowed) -> list[Wish]:
    """The wishes for what rules need; the ways that can win are remembered."""
    # No extra is taken more often by one order.
    taken_most = sum(max((n for _, n in need.options), default=0) for need in needs)
    wishes = []
    for need in needs:
        known = problem.store.useful_ways.get((need, taken_most))
        if known is None or known[0] is not allowed:
            ways = [
                way
                for extra, n in need.options
                for way in _ways(extra, n, problem.extra_offers[extra])
                if allowed.offer(way.offer, n)
            ]
            known = (allowed, _useful_for(problem, need, ways, taken_most, allowed))
            problem.store.useful_ways[need, taken_most] = known
        wishes.append(Wish(known[1], need=need))
    return wishes


def _ways(item: str, quantity: int, offers: Iterable[Offer]) -> tuple[BuyingWay, ...]:
    return tuple(BuyingWay(item, quantity, offer) for offer in offers)


def _useful_for(
    problem: Problem, need: Need, ways: Sequence[BuyingWay], taken_most: int, allowed: Allowed
) -> tuple[BuyingWay, ...]:
    """The ways that can win; of a service to which the board may have to travel all, since a dearer one may be
    the one in time."""
    if need.kind == UPDATE and allowed.allows_trip is not None:
        return tuple(ways)
    return _useful(problem, ways, taken_most, allowed.demanded)


def _useful(
    problem: Problem, ways: Sequence[BuyingWay], taken_most: int, demanded: Container[str]
) -> tuple[BuyingWay, ...]:
    """The ways without those that can never win: dearer by more than all they could save.

    A dearer way saves a delivery at most where it lifts the order to the value from which that is free;
    against another at the same seller it saves nothing else, against one elsewhere (from a seller without a
    least order value) the delivery there. At a seller with a least order value it may be what reaches that.
    Only a way whose stock may run short (``taken_most`` pieces are taken at most) needs a fallback; a
    demanded item stays.
    """
    least: dict[str, int] = {}
    large: dict[str, int] = {}
    anywhere = FAR
    for _, quantity, offer in ways:
        if offer.stock is not None and offer.stock < taken_most:
            continue
        seller, amount = problem.sellers[offer.seller], quantity * offer.price
        least[seller.id] = min(amount, least.get(seller.id, FAR))
        if order_is_taken(seller, amount):
            large[seller.id] = min(amount, large.get(seller.id, FAR))
        if not seller.minimum_order:
            anywhere = min(anywhere, amount + seller.delivery)
    kept = []
    # Of several for the same amount at the same seller the first one is bought (its stock does not run
    # short).
    same: set[tuple[str, int]] = set()
    for way in ways:
        item, quantity, offer = way
        seller = problem.sellers[offer.seller]
        if item not in demanded and (seller.id, quantity * offer.price) in same:
            continue
        if offer.stock is None or offer.stock >= taken_most:
            same.add((seller.id, quantity * offer.price))
        most = large.get(seller.id, FAR) if seller.minimum_order else min(least.get(seller.id, FAR), anywhere)
        spare = most_saved_by_larger_order(seller)
        if quantity * offer.price <= most + spare or item in demanded:
            kept.append(way)
    return tuple(kept)
