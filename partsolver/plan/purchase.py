"""The cheapest way to buy given parts: coolers, extras, bundles and sellers, by exact search in plain Python.

This is the second, solver-free statement of the cost: every plan of the model is bought again here, and a
difference stops the program. It also serves `check`, where the person chose the parts. Ties are broken by the
order of items, then sellers, so the same parts are always bought in the same way.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations
from operator import itemgetter

from partsolver.base.records import record
from partsolver.catalog.records import Bundle, Offer
from partsolver.plan.allowed import Allowed
from partsolver.plan.bundles import Group, bundle_group, purchase_group, usable_bundles
from partsolver.plan.draft import Line, Need
from partsolver.problem.candidates import SLOTS, Candidate, Parts, SlotName
from partsolver.problem.problem import Problem


@record
class Basket:
    """A purchase: lines in slot order then needs, deliveries by seller, total in minor units."""

    lines: tuple[Line, ...]
    deliveries: tuple[tuple[str, int], ...]
    cost: int


@record
class _Wish:
    """One item to buy: its possible (item, quantity, offer) ways in order of preference."""

    ways: tuple[tuple[str, int, Offer], ...]
    slot: SlotName | None = None
    need: Need | None = None


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
        basket = _sellers(
            problem, buys, covered, chosen, needs, allowed, below if best is None else best.cost
        )
        if basket is not None and (best is None or basket.cost < best.cost):
            best = basket
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
            place = next(p for p, c in coolers if c.id == bought.item and bought.offer in c.offers)
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
    known = ("bundle groups", "by first item")
    if known not in problem.memo:
        by_first: dict[Group | None, list[tuple[Bundle, frozenset[Group]]]] = defaultdict(list)
        for bundle in usable_bundles(problem):
            others = [group for group in bundle_group(problem, bundle) if group[0] != "cooler"]
            by_first[next(iter(others), None)].append((bundle, frozenset(others)))
        problem.memo[known] = by_first
    firsts = problem.memo[known]
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
    return offers[0].price * candidate.quantity if offers else 10**15


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
        total += min(prices, default=10**15)
    return total


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
    wishes = [
        _Wish(tuple((c.id, c.quantity, offer) for offer in allowed.offers(c)), slot=c.slot)
        for c in buys
        if c.id is not None and purchase_group(c) not in covered
    ]
    place_of = {id(offer): place for place, cooler in coolers for offer in cooler.offers}
    if coolers:
        cooler_ways = [
            (c.id, c.quantity, offer)
            for _, c in sorted(coolers, key=itemgetter(0))
            if c.id
            for offer in allowed.offers(c)
        ]
        wishes.append(_Wish(_useful(problem, cooler_ways, 1, allowed.demanded), slot="cooler"))
    # No extra is taken more often by one order.
    taken_most = sum(max((n for _, n in need.options), default=0) for need in needs)
    for need in needs:
        known = problem.memo.get(("useful", need, taken_most))
        if known is None or known[0] is not allowed:
            ways = [
                way
                for extra, n in need.options
                for way in _ways(extra, n, problem.extra_offers[extra], allowed)
            ]
            known = problem.memo["useful", need, taken_most] = (
                allowed,
                _useful(problem, ways, taken_most, allowed.demanded),
            )
        wishes.append(_Wish(known[1], need=need))
    if any(not wish.ways for wish in wishes):
        return None
    # Few ways first: fewer branches. The order of lines is restored below.
    order = sorted(range(len(wishes)), key=lambda i: (len(wishes[i].ways), i))
    sorted_ways = [sorted(wishes[i].ways, key=lambda w: w[1] * w[2].price) for i in order]
    least = [ways[0][1] * ways[0][2].price for ways in sorted_ways]
    remaining = [sum(least[depth:]) for depth in range(len(order) + 1)]
    # By depth: the most that a seller's goods can still grow.
    growth: list[dict[str, int]] = [{}]
    for ways in reversed(sorted_ways):
        own: dict[str, int] = {}
        for _, quantity, offer in ways:
            own[offer.seller] = max(quantity * offer.price, own.get(offer.seller, 0))
        growth.insert(
            0, {name: growth[0].get(name, 0) + own.get(name, 0) for name in growth[0].keys() | own.keys()}
        )
    goods: dict[str, int] = {}
    for bundle in bundles:
        goods[bundle.seller] = goods.get(bundle.seller, 0) + bundle.price
    taken: dict[int, int] = {}
    chosen: list[tuple[str, int, Offer]] = []
    best: list[tuple[str, int, Offer]] | None = None
    bound = 10**15 if below is None else below
    demanded_extras = allowed.demanded & problem.extras.keys()
    sellers = problem.sellers

    def delivery(more: Mapping[str, int]) -> int:
        """The charges that are certain when each seller's goods still grow by so much at most."""
        total = 0
        for name, value in goods.items():
            seller = sellers[name]
            if seller.delivery and (seller.free_from is None or value + more.get(name, 0) < seller.free_from):
                total += seller.delivery
        return total

    def orders_are_large_enough() -> bool:
        return not allowed.least_orders or all(
            value >= sellers[name].minimum_order for name, value in goods.items()
        )

    def search(depth: int, spent: int) -> None:
        nonlocal best, bound, last
        # At equal cost only an earlier cooler is better.
        most = bound - (last == 0)
        if spent + remaining[depth] > most or spent + remaining[depth] + delivery(growth[depth]) > most:
            return
        if depth == len(order):
            if orders_are_large_enough() and demanded_extras <= {item for item, _, _ in chosen}:
                cost, place = (
                    spent + delivery({}),
                    max((place_of.get(id(offer), 0) for _, _, offer in chosen), default=0),
                )
                if (cost, place) < (bound, last):
                    bound, last, best = cost, place, list(chosen)
            return
        for way in sorted_ways[depth]:
            _, quantity, offer = way
            if spent + quantity * offer.price + remaining[depth + 1] > bound:
                break  # cheap ones come first
            key = id(offer)
            used = taken.get(key, 0)
            if allowed.count_stock and offer.stock is not None and used + quantity > offer.stock:
                continue
            amount = quantity * offer.price
            before = goods.get(offer.seller)
            goods[offer.seller] = (before or 0) + amount
            taken[key] = used + quantity
            chosen.append(way)
            search(depth + 1, spent + amount)
            chosen.pop()
            taken[key] = used
            if before is None:
                del goods[offer.seller]
            else:
                goods[offer.seller] = before

    search(0, sum(b.price for b in bundles))
    if best is None:
        return None
    bought = {item for item, _, _ in best}
    buys = [*buys, *(cooler for _, cooler in coolers if cooler.id in bought)]
    return _basket(problem, buys, bundles, wishes, order, best, bound)


def _ways(
    item: str, quantity: int, offers: Iterable[Offer], allowed: Allowed
) -> tuple[tuple[str, int, Offer], ...]:
    return tuple((item, quantity, offer) for offer in offers if allowed.offer(offer, quantity))


def _useful(
    problem: Problem, ways: Sequence[tuple[str, int, Offer]], taken_most: int, demanded: Container[str]
) -> tuple[tuple[str, int, Offer], ...]:
    """The ways without those that can never win: dearer by more than all they could save.

    A dearer way saves a delivery at most where it lifts the order to the value from which that is free;
    against another at the same seller it saves nothing else, against one elsewhere (from a seller without a
    least order value) the delivery there. At a seller with a least order value it may be what reaches that.
    Only a way whose stock may run short (``taken_most`` pieces are taken at most) needs a fallback; a
    demanded item stays.
    """
    far = 10**15
    least: dict[str, int] = {}
    large: dict[str, int] = {}
    anywhere = far
    for _, quantity, offer in ways:
        if offer.stock is not None and offer.stock < taken_most:
            continue
        seller, amount = problem.sellers[offer.seller], quantity * offer.price
        least[seller.id] = min(amount, least.get(seller.id, far))
        if amount >= seller.minimum_order:
            large[seller.id] = min(amount, large.get(seller.id, far))
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
        most = large.get(seller.id, far) if seller.minimum_order else min(least.get(seller.id, far), anywhere)
        spare = seller.delivery if seller.free_from is not None else 0
        if quantity * offer.price <= most + spare or item in demanded:
            kept.append(way)
    return tuple(kept)


def _basket(
    problem: Problem,
    buys: Sequence[Candidate],
    bundles: Sequence[Bundle],
    wishes: Sequence[_Wish],
    order: Sequence[int],
    chosen: Sequence[tuple[str, int, Offer]],
    cost: int,
) -> Basket:
    way_of = {index: chosen[depth] for depth, index in enumerate(order)}
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
        seller = (
            line.offer.seller
            if line.offer
            else (line.bundle.seller if line.bundle and line.slot is None else None)
        )
        if seller is not None:
            goods[seller] = goods.get(seller, 0) + line.amount
    deliveries = []
    for name in sorted(goods):
        seller_record = problem.sellers[name]
        free = seller_record.free_from is not None and goods[name] >= seller_record.free_from
        deliveries.append((name, 0 if free else seller_record.delivery))
    assert sum(line.amount for line in lines) + sum(charge for _, charge in deliveries) == cost
    return Basket(tuple(lines), tuple(deliveries), cost)


def with_cooler(parts: Parts, cooler: Candidate) -> Parts:
    """The same parts with another cooler."""
    picked = list(parts.picked)
    picked[SLOTS.index("cooler")] = cooler
    return replace(parts, picked=tuple(picked))
