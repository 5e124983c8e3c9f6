"""What goods are worth to a fleet while its plans are looked for: prices from the duals of the joint
relaxation."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import floor

import numpy as np

from partsolver.base.quantities import FAR
from partsolver.base.records import record
from partsolver.catalog.records import Offer, Seller
from partsolver.fleet.records import TAKEN_OUT, Goods, NeedOptions
from partsolver.search.bounds import Array

# Worths and prices are whole millionths of a unit of the goal.
SCALE = 1_000_000
# No price.
NOT_NAMED = np.iinfo(np.int64).min


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
        return min((self.offer_price(offer) for offer in goods.offers), default=FAR)

    def offer_price(self, offer: Offer) -> int:
        """The price of one piece of an offer."""
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


class OfferNumbers:
    """Offers numbered once for all classes, whose questions come at the same prices."""

    def __init__(self) -> None:
        self._numbers: dict[Offer, int] = {}
        self._last: tuple[Prices | None, Array] = (None, np.empty(0, dtype=np.int64))

    def number(self, offer: Offer) -> int:
        """The number of an offer, given when it is first asked for."""
        return self._numbers.setdefault(offer, len(self._numbers))

    def named(self, prices: Prices) -> Array:
        """By number the price of each offer that the prices name, NOT_NAMED of the others."""
        known, found = self._last
        if known is not prices or len(found) != len(self._numbers):
            found = np.full(len(self._numbers), NOT_NAMED, dtype=np.int64)
            for offer, price in prices.offers.items():
                if offer in self._numbers:
                    found[self._numbers[offer]] = price
            self._last = (prices, found)
        return found


class PriceList:
    """Goods of which all are priced at once; what has none (None: kept) costs nothing."""

    def __init__(
        self, goods: Sequence[Goods | None], sellers: Mapping[str, Seller], numbers: OfferNumbers
    ) -> None:
        self.goods = tuple(goods)
        self._numbers = numbers
        self._sellers = sorted(sellers)
        number = {name: place for place, name in enumerate(self._sellers)}
        rows = [(place, offer) for place, one in enumerate(goods) if one is not None for offer in one.offers]
        self._offers = [offer for _, offer in rows]
        self._goods_of = np.array([place for place, _ in rows], dtype=np.int64)
        self._price = np.array([offer.price for offer in self._offers], dtype=np.int64)
        self._seller = np.array([number[offer.seller] for offer in self._offers], dtype=np.int64)
        self._taken = [
            (row, offer.part) for row, offer in enumerate(self._offers) if offer.seller == TAKEN_OUT
        ]
        self._number = np.array([numbers.number(offer) for offer in self._offers], dtype=np.int64)
        # Where each part of a seller stands among the rows.
        self._rows_of_part: dict[tuple[str, str], list[int]] = {}
        for row, offer in enumerate(self._offers):
            self._rows_of_part.setdefault((offer.part, offer.seller), []).append(row)
        self._bundled = [
            (place, one) for place, one in enumerate(goods) if one is not None and one.in_bundles
        ]
        self._none = np.array([one is None for one in goods], dtype=bool)
        # Of which there are only so many.
        self.short = [one is not None and all(o.stock is not None for o in one.offers) for one in goods]
        self._of_item: dict[str, list[int]] = {}
        for place, one in enumerate(goods):
            if one is not None:
                self._of_item.setdefault(one.item, []).append(place)

    def alike(self, number: int) -> list[int]:
        """The places of all that is the same part."""
        one = self.goods[number]
        return [number] if one is None else self._of_item[one.item]

    def prices(self, prices: Prices) -> Array:
        """The price of one piece of each, as `Prices.price` says of one."""
        price: Array = self._price
        if prices.least_price:
            price = price.copy()
            for key, least in prices.least_price.items():
                rows = self._rows_of_part.get(key, [])
                price[rows] = np.minimum(price[rows], least)
        money = np.array([prices.money[name] for name in self._sellers], dtype=np.float64)
        found: Array = np.floor(price * money[self._seller] * SCALE).astype(np.int64)
        for row, part in self._taken:
            found[row] = prices.taken_out.get(part, 0)
        named = self._numbers.named(prices)[self._number]
        found = np.where(named == NOT_NAMED, found, named)
        cheapest: Array = np.full(len(self.goods), FAR, dtype=np.int64)
        np.minimum.at(cheapest, self._goods_of, found)
        for place, one in self._bundled:
            if one in prices.goods:
                cheapest[place] = prices.goods[one]
        cheapest[self._none] = 0
        return cheapest
