"""What goods are worth to a fleet while its plans are looked for: prices from the duals of the joint
relaxation."""

from __future__ import annotations

from collections.abc import Mapping
from math import floor

from partsolver.base.records import record
from partsolver.catalog.records import Offer
from partsolver.fleet.records import TAKEN_OUT, Goods, NeedOptions
from partsolver.search.pool import FAR

# Worths and prices are whole millionths of a unit of the goal.
SCALE = 1_000_000


@record
class Prices:
    """goods: price of one piece where the relaxation says so (SCALE): goods in bundles; offers: price of a
    piece of an offer (SCALE); an offer that is not named costs its (lowest) price in minor units times
    ``money`` of its seller (units of the goal per minor unit); taken_out: worth of a piece taken out, by
    item (SCALE)."""

    goods: Mapping[Goods, int]
    offers: Mapping[Offer, int]
    money: Mapping[str, float]
    least_price: Mapping[tuple[str, str], int]
    taken_out: Mapping[str, int]

    def price(self, goods: Goods) -> int:
        """The price of one piece."""
        known = self.goods.get(goods) if goods.in_bundles else None
        if known is not None:
            return known
        return min((self._of_offer(offer) for offer in goods.offers), default=FAR)

    def _of_offer(self, offer: Offer) -> int:
        known = self.offers.get(offer)
        if known is not None:
            return known
        if offer.seller == TAKEN_OUT:
            return self.taken_out.get(offer.part, 0)
        price = min(offer.price, self.least_price.get((offer.part, offer.seller), offer.price))
        return floor(price * self.money[offer.seller] * SCALE)

    def price_of_need(self, options: NeedOptions) -> int:
        """The price of the cheapest way to serve a need."""
        return min(self.price(goods) * count for goods, count in options)
