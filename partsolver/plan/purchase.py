"""The cheapest way to buy given parts: coolers, extras, bundles and sellers, by exact search in plain Python.

This is the second, solver-free statement of the cost: every plan of the model is bought again here, and a
difference stops the program. It also serves `check`, where the person chose the parts. Ties are broken by the
order of items, then sellers, so the same parts are always bought in the same way.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations

from partsolver.base.quantities import FAR
from partsolver.base.records import record
from partsolver.catalog.records import Bundle
from partsolver.plan.allowed import Allowed
from partsolver.plan.bundles import Group, bundle_group, purchase_group, usable_bundles
from partsolver.plan.buying_ways import Wish, wish_for_one_cooler, wish_for_part, wishes_for_needs
from partsolver.plan.delivery import charge, charges, order_is_taken
from partsolver.plan.draft import Line, Need
from partsolver.plan.seller_search import SellerSearch, Trip
from partsolver.plan.services import UPDATE
from partsolver.problem.candidates import SLOTS, Candidate, Parts
from partsolver.problem.problem import Problem
from partsolver.problem.store import BuyingWay


@record
class Basket:
    """A purchase: lines in slot order then needs, deliveries by seller, total in minor units."""

    lines: tuple[Line, ...]
    deliveries: tuple[tuple[str, int], ...]
    cost: int


def cheapest(
    problem: Problem, parts: Parts, needs: Sequence[Need], allowed: Allowed, below: int | None = None
) -> Basket | None:
    """The cheapest purchase of these parts and needs, or None when something cannot be bought (for less than
    ``below``).

    Exact: every set of bundles that lie within the parts is tried, then sellers by branch and bound (a line's
    ways sorted by price; the bound is the sum of the cheapest ways left and of the deliveries that are
    certain).
    """
    buys = [c for c in parts.picked if c.id is not None]
    best: Basket | None = None
    for chosen, covered in _sets_of_bundles(problem, parts, allowed):
        basket = _sellers(problem, buys, covered, chosen, needs, allowed, below)
        if basket is not None:
            best, below = basket, basket.cost
    return best


def cheapest_alone(problem: Problem, candidate: Candidate, allowed: Allowed) -> Basket | None:
    """The same of a single part that comes in no bundle and needs nothing: only its offer is to be chosen (the
    allowed ones have as many pieces)."""
    assert candidate.id is not None
    best: Basket | None = None
    for item, quantity, offer in wish_for_part(candidate, allowed).ways:
        seller, amount = problem.sellers[offer.seller], quantity * offer.price
        if allowed.least_orders and not order_is_taken(seller, amount):
            continue
        delivery = charge(seller, amount)
        if best is None or amount + delivery < best.cost:
            line = Line(item, quantity, amount, slot=candidate.slot, offer=offer)
            best = Basket((line,), ((seller.id, delivery),), amount + delivery)
    return best


def cheapest_cooler(
    problem: Problem,
    parts: Parts,
    coolers: Sequence[tuple[int, Candidate]],
    needs: Sequence[Need],
    allowed: Allowed,
    best: tuple[int, int],
) -> tuple[int, int] | None:
    """The least (cost, place) below ``best`` with one of some (place, cooler) that are bought outside
    bundles; None when there is none. All at once: a shop lists hundreds, and each may make a delivery
    free."""
    buys = [c for c in parts.picked if c.id is not None and c.slot != "cooler"]
    bare = with_cooler(parts, next(c for c in problem.slot("cooler") if c.id is None))
    found = None
    for chosen, covered in _sets_of_bundles(problem, bare, allowed):
        basket = _sellers(problem, buys, covered, chosen, needs, allowed, best[0], coolers, best[1])
        if basket is not None:
            bought = next(line for line in basket.lines if line.slot == "cooler")
            # The offer tells in which state it is sold.
            place = next(p for p, c in coolers if bought.offer in c.offers)
            found = best = basket.cost, place
    return found


def _sets_of_bundles(
    problem: Problem, parts: Parts, allowed: Allowed
) -> Iterator[tuple[tuple[Bundle, ...], set[Group]]]:
    """The sets of bundles that can be bought together with these parts, with the goods in them."""
    fitting = bundles_within(problem, parts, allowed)
    demanded_bundles = {b.id for b in problem.bundles if b.id in allowed.demanded}
    for size in range(len(fitting) + 1):
        for chosen in combinations(fitting, size):
            covered = [group for bundle in chosen for group in bundle_group(problem, bundle)]
            if len(covered) == len(set(covered)) and demanded_bundles <= {b.id for b in chosen}:
                yield chosen, set(covered)


def bundles_within(problem: Problem, parts: Parts, allowed: Allowed) -> list[Bundle]:
    """Bundles whose every item is among the parts that are bought."""
    groups = {purchase_group(c) for c in parts.picked if c.id is not None}
    return [
        bundle
        for bundle in bundles_beside(problem, parts, allowed)
        if groups.issuperset(bundle_group(problem, bundle))
    ]


def bundles_beside(problem: Problem, parts: Parts, allowed: Allowed) -> list[Bundle]:
    """The same for any cooler: bundles whose every item but a cooler is among the parts that are bought."""
    if not problem.bundles:
        return []
    firsts = problem.store.bundles_by_first
    if firsts is None:
        by_first: dict[Group | None, list[tuple[Bundle, frozenset[Group]]]] = defaultdict(list)
        for bundle in usable_bundles(problem):
            others = [group for group in bundle_group(problem, bundle) if group[0] != "cooler"]
            by_first[next(iter(others), None)].append((bundle, frozenset(others)))
        firsts = problem.store.bundles_by_first = by_first
    groups = {purchase_group(c) for c in parts.picked if c.id is not None and c.slot != "cooler"}
    found = [
        bundle
        for group in (*groups, None)
        for bundle, others in firsts.get(group, ())
        if groups >= others and allowed.bundle(bundle)
    ]
    return sorted(found, key=lambda bundle: bundle.id)


def least_of(candidate: Candidate, allowed: Allowed) -> int:
    """Cheapest allowed price of a candidate, 0 when it is kept or comes with something else; very much when
    none."""
    if candidate.id is None:
        return 0
    offers = allowed.offers(candidate)
    return offers[0].price * candidate.quantity if offers else FAR


def least_price(problem: Problem, parts: Parts, needs: Sequence[Need], allowed: Allowed) -> int:
    """The least that all parts but the cooler, and the needs, cost, outside sets that hold a cooler; delivery
    left out (a lower bound)."""
    alone = {
        purchase_group(c): least_of(c, allowed)
        for c in parts.picked
        if c.id is not None and c.slot != "cooler"
    }
    total = sum(alone.values())
    for bundle in bundles_beside(problem, parts, allowed):
        goods = bundle_group(problem, bundle)
        if alone.keys() >= set(goods):
            total -= max(0, sum(alone[group] for group in goods) - bundle.price)
    for need in needs:
        prices = [
            n * o.price
            for extra, n in need.options
            for o in problem.extra_offers[extra]
            if allowed.offer(o, n)
        ]
        total += min(prices, default=FAR)
    return total


def least_beside_cooler(
    problem: Problem, parts: Parts, needs: Sequence[Need], allowed: Allowed, below: int, beside: int
) -> int:
    """The least that all parts but the cooler, and the needs, cost with the deliveries that are certain, in any
    purchase outside sets that hold a cooler; ``below`` where it is no less. ``beside``: what is spent on the cooler
    and on all else at most, which may make deliveries free."""
    bare = with_cooler(parts, next(c for c in problem.slot("cooler") if c.id is None))
    least = below
    for chosen, covered in _sets_of_bundles(problem, bare, allowed):
        wishes = _wishes(problem, [c for c in bare.picked if c.id is not None], covered, needs, allowed)
        if all(wish.ways for wish in wishes):
            found = SellerSearch(
                problem.sellers, wishes, chosen, allowed, frozenset(), {}, (least, 0), beside=beside
            )
            least = found.bound
    return least


def _wishes(
    problem: Problem,
    buys: Sequence[Candidate],
    covered: set[Group],
    needs: Sequence[Need],
    allowed: Allowed,
    coolers: Sequence[tuple[int, Candidate]] = (),
) -> list[Wish]:
    """The wishes for parts that no bundle covers, for one of several coolers, and for needs."""
    parts = [wish_for_part(c, allowed) for c in buys if purchase_group(c) not in covered]
    cooler = [wish_for_one_cooler(problem, coolers, allowed)] if coolers else []
    return [*parts, *cooler, *wishes_for_needs(problem, needs, allowed)]


def _sellers(
    problem: Problem,
    buys: Sequence[Candidate],
    covered: set[Group],
    bundles: Sequence[Bundle],
    needs: Sequence[Need],
    allowed: Allowed,
    below: int | None,
    coolers: Sequence[tuple[int, Candidate]] = (),
    last: int = 0,
) -> Basket | None:
    """The cheapest way to buy from sellers, for less than ``below``; of several ``coolers`` (with their
    places) one is bought: among equal costs the first, and at the cost of ``below`` only one before the place
    ``last``."""
    wishes = _wishes(problem, buys, covered, needs, allowed, coolers)
    if any(not wish.ways for wish in wishes):
        return None
    place_of = {id(offer): place for place, cooler in coolers for offer in cooler.offers}
    demanded = frozenset(allowed.demanded & problem.extras.keys())
    start = (FAR if below is None else below, last)
    trip = _trip(problem, bundles, wishes, allowed)
    found = SellerSearch(problem.sellers, wishes, bundles, allowed, demanded, place_of, start, trip)
    if found.best is None:
        return None
    # One line for a cooler, whichever of them its wish got.
    buys = [*buys, *(cooler for _, cooler in coolers[:1])]
    return _basket(problem, buys, bundles, wishes, found.way_of_wish(), found.bound)


def _trip(
    problem: Problem, bundles: Sequence[Bundle], wishes: Sequence[Wish], allowed: Allowed
) -> Trip | None:
    """Between which of the wishes a board may have to travel; None where any trip will do, or nothing is
    updated."""
    if allowed.allows_trip is None:
        return None
    service = next((i for i, w in enumerate(wishes) if w.need is not None and w.need.kind == UPDATE), None)
    if service is None:
        return None
    board = next((i for i, wish in enumerate(wishes) if wish.slot == "board"), None)
    holding = (b for b in bundles if any(group[0] == "board" for group in bundle_group(problem, b)))
    return Trip(board, next(holding, None), service)


def _basket(
    problem: Problem,
    buys: Sequence[Candidate],
    bundles: Sequence[Bundle],
    wishes: Sequence[Wish],
    way_of: Mapping[int, BuyingWay],
    cost: int,
) -> Basket:
    lines: list[Line] = []
    for bundle in bundles:
        lines.append(Line(bundle.id, 1, bundle.price, bundle=bundle))
    bundle_of = {group: bundle for bundle in bundles for group in bundle_group(problem, bundle)}
    bought = {wishes[i].slot: way_of[i] for i in range(len(wishes)) if wishes[i].slot is not None}
    for candidate in buys:
        assert candidate.id is not None
        if candidate.slot in bought:
            item, quantity, offer = bought[candidate.slot]
            lines.append(Line(item, quantity, quantity * offer.price, slot=candidate.slot, offer=offer))
        else:
            covering = bundle_of[purchase_group(candidate)]
            lines.append(Line(candidate.id, candidate.quantity, 0, slot=candidate.slot, bundle=covering))
    for index, wish in enumerate(wishes):
        if wish.need is not None:
            item, quantity, offer = way_of[index]
            lines.append(Line(item, quantity, quantity * offer.price, need=wish.need, offer=offer))
    goods: dict[str, int] = {}
    for line in lines:
        source = line.offer or line.bundle
        assert source is not None
        goods[source.seller] = goods.get(source.seller, 0) + line.amount
    deliveries = charges(problem.sellers, goods)
    assert sum(line.amount for line in lines) + sum(deliveries.values()) == cost
    return Basket(tuple(lines), tuple(deliveries.items()), cost)


def with_cooler(parts: Parts, cooler: Candidate) -> Parts:
    """The same parts with another cooler."""
    picked = list(parts.picked)
    picked[SLOTS.index("cooler")] = cooler
    return replace(parts, picked=tuple(picked))
