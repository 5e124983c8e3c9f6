"""A close lower bound of what plans cost: goods, needs, the cheapest cooler that serves, deliveries."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from typing import Any

import numpy as np

from partsolver.plan.bundles import bundle_group, purchase_group, usable_bundles
from partsolver.plan.delivery import certain_charge
from partsolver.plan.purchase import bundles_beside
from partsolver.problem.candidates import BOXED_COOLER, SLOTS, Candidate, Parts
from partsolver.search.bounds import Array
from partsolver.search.pool import FAR, MAIN, Pool
from partsolver.search.rows import Rows
from partsolver.search.rule_memory import Quick

# Sellers of a candidate up to which every choice of them is bounded on its own; of more only the least price
# counts.
MOST_SELLERS = 4
# Rows that are bounded at once: with every choice of their sellers, the arrays stay small.
MOST_AT_ONCE = 2048
# More than any plan costs: the value of goods from which a delivery is free where it never is.
NEVER = 4 * FAR


class _Offers:
    """The cheapest offers of the candidates of a slot as arrays, a column for each choice of a seller: its
    number and the price there. Number 0 is no seller: of what is kept, of what may come in a bundle or is
    sold by many (then ``loose``: nothing is known of its delivery, nor of that of others), and with a price
    of FAR where there is none.
    """

    def __init__(self, listed: Sequence[tuple[dict[int, int], int]]) -> None:
        self.loose = np.array([not offers and least > 0 for offers, least in listed], dtype=bool)
        filled = [sorted(offers.items(), key=lambda o: o[1]) or [(0, least)] for offers, least in listed]
        width = max(len(offers) for offers in filled)
        columns = np.array([offers + [(0, FAR)] * (width - len(offers)) for offers in filled], dtype=np.int64)
        self.sellers, self.prices = columns[:, :, 0], columns[:, :, 1]


class CostBound:
    """A close lower bound of what a plan costs: goods, needs, the cheapest cooler that serves, deliveries."""

    def __init__(self, pool: Pool, quick: Quick, most_cost: int) -> None:
        self.pool, self.quick, self.most_cost = pool, quick, most_cost
        self._coolers = sorted(pool.left["cooler"], key=pool.price.__getitem__)
        self._cooler_rules = [asked for asked in quick.rules if "cooler" in asked.rule.SLOTS]
        self._least_cooler: dict[Any, int] = {}
        read = {slot for asked in self._cooler_rules for slot in asked.rule.SLOTS} | {"cpu"}
        self._beside_cooler = sorted(SLOTS.index(slot) for slot in read - {"cooler"})
        self._sellers: dict[Candidate, dict[str, int]] = {}
        sellers = pool.problem.sellers
        self._numbers = {name: i + 1 for i, name in enumerate(sorted(sellers))}
        listed = [sellers[name] for name in self._numbers]
        self._sellers_known = (
            np.array([0, *(s.delivery for s in listed)], dtype=np.int64),
            np.array([0, *(NEVER if s.free_from is None else s.free_from for s in listed)], dtype=np.int64),
        )
        bundled = {g for bundle in usable_bundles(pool.problem) for g in bundle_group(pool.problem, bundle)}
        self._offers_of = {
            slot: _Offers([self._offered(c, bundled) for c in pool.left[slot]]) for slot in MAIN
        }

    def least_cost(self, parts: Parts, needed: int, read: frozenset[str], asked: frozenset[str]) -> int:
        """No plan of these parts costs less, whatever the cooler; FAR when a rule refuses them.
        ``needed``: what the rules need that read only the slots ``asked``; those that read more, but only
        ``read``, are asked now."""
        total = needed + self.quick.least(parts, read, asked)
        if total >= FAR:
            return FAR
        total += self._cooler(parts)
        if total >= FAR:
            return FAR
        return total + self._goods(parts, total)

    def _cooler(self, parts: Parts) -> int:
        """The least a cooler costs that the rules admit on these parts, with what it needs (paste, say)."""
        # The box of a processor holds a cooler whatever rules say of it.
        kinds = [self.quick.kind(parts.picked[place]) for place in self._beside_cooler]
        key = (*kinds, parts.cpu.boxed_cooler)
        if key not in self._least_cooler:
            self._least_cooler[key] = self._find_cooler(parts)
        return self._least_cooler[key]

    def _find_cooler(self, parts: Parts) -> int:
        place, best = SLOTS.index("cooler"), FAR
        for cooler in self._coolers:
            price = self.pool.price[cooler]
            if price >= best:
                break
            if cooler.key == BOXED_COOLER and (parts.picked[1].kept or not parts.cpu.boxed_cooler):
                continue
            picked = list(parts.picked)
            picked[place] = cooler
            trial = Parts(tuple(picked))
            kinds = self.quick.kinds(trial)
            needs = [self.quick.cost(asked, trial, kinds) for asked in self._cooler_rules]
            if max(needs, default=0) < FAR:
                # Of a single cooler the needs are asked with those of the row.
                best = min(best, price + (0 if len(self._coolers) == 1 else sum(needs)))
        return best

    def _goods(self, parts: Parts, others: int) -> int:
        """Board, processor, memory, supply, case and drive from the sellers that make goods and deliveries
        cheapest.

        A delivery counts unless all money left over could lift the seller's goods to where delivery is free.
        """
        problem = self.pool.problem
        ways: list[dict[str, int]] = []
        for candidate in parts.picked:
            if candidate.slot == "cooler" or candidate.id is None:
                continue
            ways.append(self._offers(candidate))
        if not ways:
            return 0
        if problem.bundles and bundles_beside(problem, parts, self.quick.allowed):
            return sum(self.pool.price[c] for c in parts.picked if c.slot != "cooler")
        best = FAR
        for sellers in product(*(w.items() for w in ways)):
            goods: dict[str, int] = {}
            for name, price in sellers:
                goods[name] = goods.get(name, 0) + price
            cost = sum(goods.values())
            if cost >= best:
                continue
            spare = max(0, self.most_cost - cost - others) + others
            for name, value in goods.items():
                cost += certain_charge(problem.sellers[name], value, spare)
            best = min(best, cost)
        return best

    def goods_of_rows(self, rows: Rows, others: Array) -> Array:
        """The least that boards, processors and memory of rows cost with the deliveries that are certain;
        ``others``: what else their plans cost at least.

        Every choice of a seller for each of the three is a bound of those plans that make it (deliveries as
        in `_goods`); the least of all choices holds for the row.
        """
        if len(rows) > MOST_AT_ONCE:
            some = [slice(i, i + MOST_AT_ONCE) for i in range(0, len(rows), MOST_AT_ONCE)]
            return np.concatenate([self.goods_of_rows(rows.selected(s), others[s]) for s in some])
        delivery, free_from = self._sellers_known
        loose = np.zeros(len(rows), dtype=bool)
        listed = []
        for slot in MAIN:
            offers, numbers = self._offers_of[slot], getattr(rows, slot)
            loose |= offers.loose[numbers]
            listed.append((offers.sellers[numbers], offers.prices[numbers]))
        # A column for each choice of the three sellers.
        widths = [int((prices < FAR).sum(axis=1).max(initial=1)) for _, prices in listed]
        ways = np.indices(widths).reshape(len(widths), -1)
        sellers, prices = zip(
            *((s[:, way], p[:, way]) for (s, p), way in zip(listed, ways, strict=True)), strict=True
        )
        cost = goods = sum(prices)
        least = others[:, None]
        spare = np.maximum(0, self.most_cost - goods - least) + least
        for place, own in enumerate(sellers):
            value = sum(price * (own == other) for price, other in zip(prices, sellers, strict=True))
            charged = ~loose[:, None] & (value + spare < free_from[own])
            for before in sellers[:place]:
                charged &= own != before
            cost = cost + delivery[own] * charged
        return np.minimum(cost.min(axis=1), FAR)

    def _offered(self, candidate: Candidate, bundled: set[Any]) -> tuple[dict[int, int], int]:
        """The cheapest price at each seller by its number, none where it is loose, and the least price of
        all."""
        loose = candidate.id is None or purchase_group(candidate) in bundled
        offers = (
            {} if loose else {self._numbers[name]: price for name, price in self._offers(candidate).items()}
        )
        return (offers if len(offers) <= MOST_SELLERS else {}), self.pool.price[candidate]

    def _offers(self, candidate: Candidate) -> dict[str, int]:
        """Cheapest allowed price at each seller."""
        if candidate not in self._sellers:
            found: dict[str, int] = {}
            for offer in self.quick.allowed.offers(candidate):
                found.setdefault(offer.seller, offer.price * candidate.quantity)
            self._sellers[candidate] = found
        return self._sellers[candidate]
