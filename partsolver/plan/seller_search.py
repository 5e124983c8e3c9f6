"""The cheapest way to buy given wishes from sellers: branch and bound, exact."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from partsolver.base.records import record
from partsolver.catalog.records import Bundle, Seller
from partsolver.plan.allowed import Allowed
from partsolver.plan.buying_ways import Wish
from partsolver.plan.delivery import certain_charges, orders_are_taken
from partsolver.problem.store import BuyingWay


@record
class Trip:
    """Where a board comes from (the place of its wish, else a bundle, else the PC) and the place of the wish
    for its service."""

    board: int | None
    bundle: Bundle | None
    service: int


class SellerSearch:
    """Depth-first branch and bound over the wishes, one a level.

    1. Wishes with few ways come first (fewer branches); each wish's ways are sorted by amount.
    2. A node holds what is chosen so far: its goods by seller, pieces taken by offer, amount spent.
    3. Bound: spent, the cheapest way of every wish left, and the deliveries that are certain whatever is
       still chosen (``growth``: the most by which each seller's goods can still rise). A node whose bound is
       above the best purchase known is left.
    4. Ways are tried cheap ones first; the first whose amount alone passes the bound ends the level.
    5. A leaf counts when every seller takes the order, everything demanded is bought and the board may travel
       to its service (``trip``); it becomes the best
       when (cost, place of its cooler) is less.

    Invariant: no purchase of these wishes that was left out has a lower (cost, place) than the best; when the
    search ends the best is the cheapest, or there is none below the starting bound.

    ``beside``: so much may be bought beside these wishes, from any seller. Then the best is no purchase but a bound:
    no purchase that holds these wishes costs less, whatever makes deliveries free and orders large enough.
    """

    def __init__(
        self,
        sellers: Mapping[str, Seller],
        wishes: Sequence[Wish],
        bundles: Sequence[Bundle],
        allowed: Allowed,
        demanded_extras: frozenset[str],
        place_of: Mapping[int, int],
        best: tuple[int, int],
        trip: Trip | None = None,
        beside: int | None = None,
    ) -> None:
        self.sellers, self.allowed, self.trip = sellers, allowed, trip
        self.whole = beside is None
        self.demanded, self.place_of = demanded_extras, place_of
        self.bound, self.last = best
        self.best: list[BuyingWay] | None = None
        self.order = sorted(range(len(wishes)), key=lambda i: (len(wishes[i].ways), i))
        self._ways = [sorted(wishes[i].ways, key=lambda w: w.quantity * w.offer.price) for i in self.order]
        least = [ways[0].quantity * ways[0].offer.price for ways in self._ways]
        self._remaining = [sum(least[depth:]) for depth in range(len(least) + 1)]
        self._growth = _growth_by_depth(self._ways, {} if beside is None else dict.fromkeys(sellers, beside))
        self._goods: dict[str, int] = {}
        for bundle in bundles:
            self._goods[bundle.seller] = self._goods.get(bundle.seller, 0) + bundle.price
        self._taken: dict[int, int] = {}
        self._chosen: list[BuyingWay] = []
        self._search(0, sum(bundle.price for bundle in bundles))

    def way_of_wish(self) -> dict[int, BuyingWay]:
        """The chosen way by the place of its wish, once a purchase was found."""
        assert self.best is not None
        return {index: self.best[depth] for depth, index in enumerate(self.order)}

    def _search(self, depth: int, spent: int) -> None:
        # At equal cost only an earlier cooler is better.
        most = self.bound - (self.last == 0)
        least = spent + self._remaining[depth]
        if least > most or least + certain_charges(self.sellers, self._goods, self._growth[depth]) > most:
            return
        if depth == len(self._ways):
            self._take(spent)
            return
        goods, taken, count_stock = self._goods, self._taken, self.allowed.count_stock
        for way in self._ways[depth]:
            _, quantity, offer = way
            amount = quantity * offer.price
            if spent + amount + self._remaining[depth + 1] > self.bound:
                break  # cheap ones come first
            used = taken.get(id(offer), 0)
            if count_stock and offer.stock is not None and used + quantity > offer.stock:
                continue
            before = goods.get(offer.seller)
            goods[offer.seller] = (before or 0) + amount
            taken[id(offer)] = used + quantity
            self._chosen.append(way)
            self._search(depth + 1, spent + amount)
            self._chosen.pop()
            taken[id(offer)] = used
            if before is None:
                del goods[offer.seller]
            else:
                goods[offer.seller] = before

    def _take(self, spent: int) -> None:
        """Step 5."""
        if self.whole and self.allowed.least_orders and not orders_are_taken(self.sellers, self._goods):
            return
        if not self.demanded <= {way.item for way in self._chosen}:
            return
        if not self._may_travel():
            return
        cost = spent + certain_charges(self.sellers, self._goods, self._growth[-1])
        place = max((self.place_of.get(id(way.offer), 0) for way in self._chosen), default=0)
        if (cost, place) < (self.bound, self.last):
            self.bound, self.last, self.best = cost, place, list(self._chosen)

    def _may_travel(self) -> bool:
        """Whether the board of a complete choice may be sent in to its service."""
        trip, allows = self.trip, self.allowed.allows_trip
        if trip is None or allows is None:
            return True
        way_of = dict(zip(self.order, self._chosen, strict=True))
        source = trip.bundle if trip.board is None else way_of[trip.board].offer
        return allows(source, way_of[trip.service].offer)


def _growth_by_depth(
    ways_by_depth: Sequence[Sequence[BuyingWay]], beside: dict[str, int]
) -> list[dict[str, int]]:
    """By depth: the most that each seller's goods can still grow by the wishes from there on, and by what is
    bought beside them."""
    growth = [beside]
    for ways in reversed(ways_by_depth):
        own: dict[str, int] = {}
        for _, quantity, offer in ways:
            own[offer.seller] = max(quantity * offer.price, own.get(offer.seller, 0))
        names = growth[0].keys() | own.keys()
        growth.insert(0, {name: growth[0].get(name, 0) + own.get(name, 0) for name in names})
    return growth
