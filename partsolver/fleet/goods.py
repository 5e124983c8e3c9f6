"""The goods that plans of one class of PCs demand, by candidate and by need."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from partsolver.catalog.records import Bundle, Offer
from partsolver.fleet.records import Column, Goods, NeedOptions
from partsolver.plan.bundles import bundle_group, purchase_group, usable_bundles
from partsolver.plan.draft import Need
from partsolver.problem.candidates import Candidate
from partsolver.search.rule_memory import Quick


class OneCopy:
    """One object for equal goods and offers, whichever class or process they come from: as keys of the rows
    of the joint choice they are then told equal without being compared."""

    def __init__(self) -> None:
        self._goods: dict[Goods, Goods] = {}
        self._offers: dict[Offer, Offer] = {}
        self._options: dict[NeedOptions, NeedOptions] = {}

    def goods(self, goods: Goods) -> Goods:
        """The goods that equal these."""
        known = self._goods.get(goods)
        if known is None:
            offers = tuple(self._offers.setdefault(offer, offer) for offer in goods.offers)
            known = self._goods[goods] = replace(goods, offers=offers)
        return known

    def column(self, column: Column) -> Column:
        """The column with the goods that are known already."""
        return replace(
            column,
            demand=tuple((self.goods(goods), pieces) for goods, pieces in column.demand),
            needs=tuple(map(self._need, column.needs)),
        )

    def _need(self, options: NeedOptions) -> NeedOptions:
        known = self._options.get(options)
        if known is None:
            known = self._options[options] = tuple((self.goods(goods), n) for goods, n in options)
        return known


class GoodsOfClass:
    """Goods as the wishes of a PC allow them."""

    def __init__(self, quick: Quick) -> None:
        self._quick = quick
        self._of_candidates: dict[Candidate, Goods] = {}
        self._extras: dict[str, Goods] = {}
        self._options: dict[tuple[Need, ...], tuple[NeedOptions, ...] | None] = {}
        self._bundles: dict[tuple[str, str], list[tuple[Bundle, int]]] = {}
        for bundle in usable_bundles(quick.problem):
            if bundle.stock != 0 and quick.allowed.bundle(bundle):
                for slot, key, pieces in bundle_group(quick.problem, bundle):
                    self._bundles.setdefault((slot, key), []).append((bundle, pieces))

    def goods(self, candidate: Candidate) -> Goods:
        """What is bought for a candidate."""
        known = self._of_candidates.get(candidate)
        if known is None:
            slot, key, _ = purchase_group(candidate)
            offers = tuple(o for o in self._quick.allowed.offers(candidate) if o.stock != 0)
            bundles = tuple(self._bundles.get((slot, key), ()))
            known = self._of_candidates[candidate] = Goods(slot, key, str(candidate.id), offers, bundles)
        return known

    def bundled(self, candidates: Iterable[Candidate]) -> tuple[Goods, ...]:
        """The goods of candidates that bundles hold, too."""
        listed = (self.goods(c) for c in candidates if c.id is not None)
        return tuple(sorted({goods for goods in listed if goods.in_bundles}, key=lambda g: (g.slot, g.key)))

    def options_of(self, needs: tuple[Need, ...]) -> tuple[NeedOptions, ...] | None:
        """The goods that serve each need; None when nothing on offer serves one."""
        if needs not in self._options:
            found = []
            for need in needs:
                options = [
                    (goods, count)
                    for extra, count in need.options
                    if (goods := self._extra(extra, count)).offers
                ]
                found.append(tuple(options))
            self._options[needs] = None if any(not options for options in found) else tuple(found)
        return self._options[needs]

    def _extra(self, extra: str, count: int) -> Goods:
        known = self._extras.get(extra)
        if known is None:
            offers = self._quick.problem.extra_offers[extra]
            allowed = tuple(o for o in offers if o.stock != 0 and self._quick.allowed.offer(o, count))
            known = self._extras[extra] = Goods("extra", extra, extra, allowed)
        return known
