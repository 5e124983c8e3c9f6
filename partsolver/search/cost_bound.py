"""A close lower bound of what plans cost: goods, needs, the cheapest cooler that serves, deliveries."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from itertools import chain, product
from typing import Any

import numpy as np

from partsolver.base.quantities import FAR
from partsolver.base.records import record
from partsolver.plan.bundles import Group, bundle_group, purchase_group, usable_bundles
from partsolver.plan.delivery import certain_charge
from partsolver.plan.purchase import bundles_beside
from partsolver.problem.candidates import BOXED_COOLER, SLOTS, Candidate, Parts, SlotName
from partsolver.search.bounds import Array, Numbers, told_once
from partsolver.search.pool import MAIN, Pool
from partsolver.search.row_rules import keys_of
from partsolver.search.rows import Rows
from partsolver.search.rule_memory import Quick

# Sellers of a candidate up to which every choice of them is bounded on its own; of more only the least price
# counts.
MOST_SELLERS = 4
# Rows that are bounded at once: with every choice of their sellers, the arrays stay small.
MOST_AT_ONCE = 2048
# More than any plan costs: the value of goods from which a delivery is free where it never is.
NEVER = 4 * FAR


@record
class _Sold:
    """How a candidate is sold: its cheapest (seller's number, price) at each seller; whether by so many that
    only the least price counts; the least price, its share of a bundle among them; and of how many boards,
    processors and memory choices the smallest bundle with it consists (0: there is none)."""

    offers: list[tuple[int, int]]
    by_many: bool
    least: int
    items: int


class _Offers:
    """The same of the candidates of a slot as arrays, offers with a column for each choice of a seller. Number 0
    is no seller: of what is kept, what is sold by many (nothing is known of its delivery, nor of that of
    others), and with a price of FAR where there is none."""

    def __init__(self, listed: Sequence[_Sold]) -> None:
        self.by_many = np.array([sold.by_many for sold in listed], dtype=bool)
        self.least = np.array([sold.least for sold in listed], dtype=np.int64)
        self.items = np.array([sold.items for sold in listed], dtype=np.int64)
        width = max(1, *(len(sold.offers) for sold in listed))
        columns = np.array(
            [sold.offers + [(0, FAR)] * (width - len(sold.offers)) for sold in listed], dtype=np.int64
        )
        self.sellers, self.prices = columns[:, :, 0], columns[:, :, 1]


class CostBound:
    """A close lower bound of what a plan costs: goods, needs, the cheapest cooler that serves, deliveries."""

    def __init__(self, pool: Pool, quick: Quick, most_cost: int) -> None:
        self.pool, self.quick, self.most_cost = pool, quick, most_cost
        self._coolers = sorted(pool.left["cooler"], key=pool.price.__getitem__)
        self._cooler_rules = [asked for asked in quick.rules if "cooler" in asked.rule.SLOTS]
        self._least_cooler: dict[Any, int] = {}
        self._first_cooler = min(pool.cost[c] for c in self._coolers)
        self._cooler_of_pair: dict[int, int] = {}
        # What the rules about coolers see of the other slots.
        self._beside_cooler = [
            (place, view)
            for place, view in dict.fromkeys(chain.from_iterable(a.views for a in self._cooler_rules))
            if SLOTS[place] != "cooler"
        ]
        beside = {SLOTS[place] for place, _ in self._beside_cooler} - set(MAIN[:2])
        # Whether board and processor alone decide which coolers serve.
        self._cooler_by_pair = len(self._coolers) > 1 and all(len(pool.left[slot]) == 1 for slot in beside)
        self._sellers: dict[Candidate, dict[str, int]] = {}
        sellers = pool.problem.sellers
        self._numbers = {name: i + 1 for i, name in enumerate(sorted(sellers))}
        listed = [sellers[name] for name in self._numbers]
        self._sellers_known = (
            np.array([0, *(s.delivery for s in listed)], dtype=np.int64),
            np.array([0, *(NEVER if s.free_from is None else s.free_from for s in listed)], dtype=np.int64),
        )
        items: dict[Group, int] = {}
        for bundle in usable_bundles(pool.problem):
            groups = [group for group in bundle_group(pool.problem, bundle) if group[0] in MAIN]
            items |= {group: min(len(groups), items.get(group, len(MAIN))) for group in groups}
        self._offers_of = {slot: _Offers([self._sold(c, items) for c in pool.left[slot]]) for slot in MAIN}

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
        picked = parts.picked
        seen = [view.number(picked[place]) for place, view in self._beside_cooler]
        key = (*seen, picked[1].kept, parts.cpu.boxed_cooler)
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

    def coolers_of_pairs(self, boards: Array, cpus: Array) -> Array:
        """What a cooler that serves costs at least beside each board with a processor above the cheapest of all; 0
        where that hangs on more than the two."""
        if not self._cooler_by_pair:
            return np.zeros(len(boards), dtype=np.int64)
        left = self.pool.left
        others = [left[slot][0] for slot in SLOTS[2:]]

        def tell(first: Array) -> Iterator[int]:
            for board, cpu in zip(boards[first].tolist(), cpus[first].tolist(), strict=True):
                parts = Parts((left["board"][board], left["cpu"][cpu], *others))
                yield max(0, min(FAR, self._cooler(parts)) - self._first_cooler)

        return told_once(self._cooler_of_pair, keys_of(self._cooler_looks, (boards, cpus), len(boards)), tell)

    @cached_property
    def _cooler_looks(self) -> list[tuple[int, Array]]:
        """How boards and processors look to the rules about coolers."""
        left = self.pool.left
        seen = [(place, view.numbers(left[SLOTS[place]])) for place, view in self._beside_cooler if place < 2]
        boxed = Numbers().numbered((c.kept, c.part.boxed_cooler) for c in left["cpu"])  # type: ignore[union-attr]
        return [*seen, (1, boxed)]

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
            cost = sum([price for _, price in sellers])
            if cost >= best:
                continue
            goods: dict[str, int] = {}
            for name, price in sellers:
                goods[name] = goods.get(name, 0) + price
            spare = max(0, self.most_cost - cost - others) + others
            for name, value in goods.items():
                cost += certain_charge(problem.sellers[name], value, spare)
            best = min(best, cost)
        return best

    def goods_of_rows(self, rows: Rows, others: Array) -> Array:
        """The least that boards, processors and memory of rows cost with the deliveries that are certain;
        ``others``: what else their plans cost at least.

        Every choice of a seller for each of the three is a bound of those plans that make it (deliveries as
        in `_goods`); the least of all choices holds for the row, and where as many of the three come in
        bundles as some bundle of theirs holds, also that of the least prices.
        """
        numbers = {slot: getattr(rows, slot) for slot in MAIN}
        return self._goods_of(numbers, others, self.most_cost, bundles_whole=True)

    def deliveries_of_pairs(self, boards: Array, cpus: Array, most_cost: int) -> Array:
        """What the deliveries cost at least that are certain of plans for so much with each board and a processor,
        wherever the rest is bought (a bundle may hold the memory as well)."""
        board, cpu = self._offers_of["board"], self._offers_of["cpu"]
        numbers: dict[SlotName, Array] = {"board": boards, "cpu": cpus}
        goods = self._goods_of(numbers, np.zeros_like(boards), most_cost, bundles_whole=False)
        return goods - board.least[boards] - cpu.least[cpus]

    def _goods_of(
        self, numbers: Mapping[SlotName, Array], others: Array, most_cost: int, bundles_whole: bool
    ) -> Array:
        """The same of the candidates of some slots; ``bundles_whole``: whether these are all of which a bundle may
        consist."""
        count = len(others)
        if count > MOST_AT_ONCE:
            some = [slice(i, i + MOST_AT_ONCE) for i in range(0, count, MOST_AT_ONCE)]
            return np.concatenate(
                [
                    self._goods_of({k: v[s] for k, v in numbers.items()}, others[s], most_cost, bundles_whole)
                    for s in some
                ]
            )
        delivery, free_from = self._sellers_known
        chosen = [(self._offers_of[slot], own) for slot, own in numbers.items()]
        loose = np.logical_or.reduce([offers.by_many[own] for offers, own in chosen])
        listed = [(offers.sellers[own], offers.prices[own]) for offers, own in chosen]
        # A column for each choice of the sellers.
        widths = [int((prices < FAR).sum(axis=1).max(initial=1)) for _, prices in listed]
        ways = np.indices(widths).reshape(len(widths), -1)
        sellers, prices = zip(
            *((s[:, way], p[:, way]) for (s, p), way in zip(listed, ways, strict=True)), strict=True
        )
        cost = goods = sum(prices)
        needed = others[:, None]
        spare = np.maximum(0, most_cost - goods - needed) + needed
        for place, own in enumerate(sellers):
            value = sum(price * (own == other) for price, other in zip(prices, sellers, strict=True))
            charged = ~loose[:, None] & (value + spare < free_from[own])
            for before in sellers[:place]:
                charged &= own != before
            cost = cost + delivery[own] * charged
        items = np.array([offers.items[own] for offers, own in chosen])
        known = (items > 0).sum(axis=0) + (not bundles_whole)
        bundled = ((items > 0) & (items <= known)).any(axis=0)
        least = sum(offers.least[own] for offers, own in chosen)
        best = np.minimum(cost.min(axis=1), FAR)
        return np.where(bundled, np.minimum(best, least), best)

    def _sold(self, candidate: Candidate, items: Mapping[Group, int]) -> _Sold:
        """How a candidate is sold; ``items``: of how many the smallest bundle with each group consists."""
        least = self.pool.price[candidate]
        if candidate.id is None:
            return _Sold([(0, 0)], False, least, 0)
        offers = sorted(
            ((self._numbers[name], price) for name, price in self._offers(candidate).items()),
            key=lambda offer: offer[1],
        )
        by_many = len(offers) > MOST_SELLERS
        if by_many:
            offers = [(0, offers[0][1])]
        return _Sold(offers, by_many, least, items.get(purchase_group(candidate), 0))

    def _offers(self, candidate: Candidate) -> dict[str, int]:
        """Cheapest allowed price at each seller."""
        if candidate not in self._sellers:
            found: dict[str, int] = {}
            for offer in self.quick.allowed.offers(candidate):
                found.setdefault(offer.seller, offer.price * candidate.quantity)
            self._sellers[candidate] = found
        return self._sellers[candidate]
