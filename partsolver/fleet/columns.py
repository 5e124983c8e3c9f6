"""The columns of one class: what may be done with one of its PCs, found by price.

`Pricer.best` answers: given a worth of every expected time and a price of every kind of goods, which plans
are worth most? It looks at boards with processors in the order of the most that a plan with them can be worth
(fleet/pairs.py), and of each at all its memory and coolers. The answer is exact and hangs on the question
alone: no admitted plan that is left out is worth more than the last one returned, and of equals those come
first whose keys do (`Column.order`), whatever was asked before.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from partsolver.base.quantities import FAR
from partsolver.catalog.load import Catalog
from partsolver.fleet.goals import ClassFigures, Worth
from partsolver.fleet.goods import GoodsOfClass
from partsolver.fleet.pairs import BOARD, COOLER, CPU, KEPT_SLOTS, MEMORY, Looked, Pairs
from partsolver.fleet.prices import OfferNumbers, PriceList, Prices
from partsolver.fleet.records import Column, ColumnKind, Goods, NeedOptions, PcClass, TakeOut
from partsolver.fleet.row_needs import RowNeeds
from partsolver.fleet.sought import Numbers, Plan, Sought
from partsolver.fleet.takeouts import own_parts
from partsolver.performance.present import present_time_ppm
from partsolver.performance.time import time_ppm
from partsolver.plan.draft import Need
from partsolver.problem.candidates import SLOTS, Candidate, Parts
from partsolver.problem.join import join
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules, buying_budget, buying_order, buying_stock
from partsolver.rules.base import Rule
from partsolver.search.bounds import Array
from partsolver.search.prune import screened

# Rules about money and stock judge the whole fleet, not one PC.
OF_THE_FLEET = (buying_budget.ID, buying_order.ID, buying_stock.ID)
# Pairs that are looked at for plans that share no short part.
MOST_APART = 400


def rules_of_parts() -> tuple[Rule, ...]:
    """The rules that one PC of a fleet must keep by itself."""
    return tuple(rule for rule in all_rules() if rule.ID not in OF_THE_FLEET)


def problem_of(
    one: PcClass, catalog: Catalog, take_outs: Sequence[TakeOut], like: Problem | None = None
) -> Problem:
    """The problem of one PC of a class: no money of its own, and what is kept stays. Another PC's board,
    processor or cooler is no candidate where it is the same as its own. ``like``: a problem of another class
    over the same catalogue, whose memory is shared."""
    same = own_parts(take_outs)
    cards = [card.id for card in catalog.tables["graphics"]]
    brief = one.brief.model_copy(
        update={
            "budget": None,
            "min_speedup": None,
            "goal": "speed",
            "replace": (),
            "including": (),
            "without": tuple(sorted({*one.brief.without, *same, *cards})),
        }
    )
    return join(one.survey, catalog, brief, like)


class Pricer:
    """The columns of one class by price."""

    def __init__(
        self,
        one: PcClass,
        catalog: Catalog,
        take_outs: Sequence[TakeOut],
        least_speedup: str,
        like: Problem | None = None,
        numbers: OfferNumbers | None = None,
    ) -> None:
        self.problem = problem_of(one, catalog, take_outs, like)
        self.take_outs = tuple(take_outs)
        self.figures = ClassFigures(
            present_time_ppm(self.problem), self.problem.present() is not None, least_speedup
        )
        self._pairs: Pairs | None = None
        self._listed: tuple[Sequence[Candidate], ...] = ()
        found = screened(self.problem, rules_of_parts(), every_twin=True)
        if found is None:
            return
        self._goods = GoodsOfClass(found.quick)
        self._pairs = pairs = Pairs(found.pool, found.quick, self._time)
        self._listed = (pairs.columns.boards, pairs.columns.cpus, pairs.columns.memory, pairs.coolers)
        sold = [[None if c.id is None else self._goods.goods(c) for c in listed] for listed in self._listed]
        numbers = numbers or OfferNumbers()
        self.price_lists = [PriceList(goods, self.problem.sellers, numbers) for goods in sold]

    # -- what is always possible -------------------------------------------------------------------------------------

    def standing_columns(self, scrap: bool) -> tuple[Column, ...]:
        """To do nothing, and to take the PC apart where that is allowed (or where it does not run)."""
        nothing = Column("nothing", (), self.figures.present_ppm if self.figures.runs else None, (), (), ())
        if not self.take_outs or (self.figures.runs and not scrap):
            return (nothing,)
        released = tuple((t.item, t.pieces) for t in self.take_outs)
        return nothing, Column("scrap", (), None, (), (), released)

    def bundled(self) -> tuple[Goods, ...]:
        """The goods that bundles hold, as far as a PC of this class may use them."""
        return self._goods.bundled(c for listed in self._listed for c in listed) if self._listed else ()

    # -- plans by price ----------------------------------------------------------------------------------------------

    def best(
        self, worth: Worth, prices: Prices, floor: int, wanted: int, spread: bool = False
    ) -> tuple[tuple[tuple[int, Column], ...], bool]:
        """Up to ``wanted`` plans worth more than ``floor`` (SCALE), the best first, and whether these are all
        there are. ``spread``: after each of them only those that share no short part with it, so that they are
        of use together."""
        if self._pairs is None or self.figures.present_ppm is None or not len(self._pairs):
            return (), True
        kept = sum(t.pieces * prices.taken_out.get(t.item, 0) for t in self.take_outs)
        most_time = self.figures.present_ppm if self.figures.runs else FAR - 1
        asked = _Asked(self, self._pairs, worth, prices, most_time)
        sought = asked.best(Sought(floor - kept, 1 if spread else wanted))
        plans = asked.apart(sought, wanted) if spread else sought.found
        found = tuple((value + kept, self._column(*numbers)) for value, _, numbers in plans)
        return found, sought.complete

    def column_of(self, kind: ColumnKind, keys: tuple[str, ...]) -> Column:
        """The column of a kind and candidates that were found before. Raises KeyError where there is none."""
        if kind != "plan":
            return {c.kind: c for c in self.standing_columns(scrap=True)}[kind]
        if self._pairs is None:
            raise KeyError(keys)
        board, cpu, memory, cooler = (
            {c.key: number for number, c in enumerate(listed)}[key]
            for listed, key in zip(self._listed, keys, strict=False)
        )
        if keys[len(self._listed) :] != tuple(c.key for c in self._pairs.beside[len(self._listed) :]):
            raise KeyError(keys)
        pair = self._pairs.number(board, cpu)
        places = np.nonzero(self._pairs.look_at([pair], 0).looks == self._pairs.look[memory])[0]
        coolers = self._pairs.coolers_of(pair)
        served = np.nonzero(self._pairs.serving[coolers] == cooler)[0]
        bought = [
            goods.goods[number]
            for goods, number in zip(self.price_lists, (board, cpu, memory, cooler), strict=True)
        ]
        if (
            not len(places)
            or not len(served)
            or not all(g is None or g.offers or g.in_bundles for g in bought)
        ):
            raise KeyError(keys)
        numbers = (pair, int(places[0]), memory, coolers.start + int(served[0]))
        if self._options(*numbers) is None:
            raise KeyError(keys)
        return self._column(*numbers)

    # -- the parts of a plan -----------------------------------------------------------------------------------------

    def _time(self, picked: Sequence[Candidate]) -> int:
        return time_ppm(self.problem, Parts(tuple(picked)))

    def _needs(self, pair: int, place: int) -> tuple[Need, ...]:
        """What the rules need bought beside a pair and its memory look at a place."""
        pairs = self._pairs
        assert pairs is not None
        looked = pairs.look_at([pair], 0)
        needs = (
            *pairs.of_pair.needs[pairs.needs[pair]],
            *pairs.of_memory.needs[int(pairs.memory_needs(pair, looked.looks[place : place + 1])[0])],
            *pairs.of_row.needs[looked.needs[place]],
        )
        return tuple(sorted(needs, key=lambda need: (need.rule, need.key)))

    def _options(self, pair: int, place: int, memory: int, serving: int) -> tuple[NeedOptions, ...] | None:
        assert self._pairs is not None
        cooler = self._pairs.of_cooler.needs[self._pairs.cooler_needs[serving]]
        return self._goods.options_of((*self._needs(pair, place), *cooler))

    def _column(self, pair: int, place: int, memory: int, serving: int) -> Column:
        """The column of a pair with memory (its look stands at a place) and a cooler."""
        pairs = self._pairs
        assert pairs is not None
        numbers = (pairs.board[pair], pairs.cpu[pair], memory, pairs.serving[serving])
        main = [listed[number] for listed, number in zip(self._listed, numbers, strict=True)]
        parts = Parts((*main, *pairs.beside[len(main) :]))
        options = self._options(pair, place, memory, serving)
        assert options is not None
        stays = {c.slot for c in parts.picked if c.kept}
        if parts.memory.with_kept:
            stays.add("memory")
        left = {t.item: t.pieces for t in self.take_outs if t.slot not in stays}
        demand, own = [], []
        for c in parts.picked:
            if c.id is None:
                continue
            # What a PC could give it uses itself before another's is taken.
            there = min(c.quantity, left.get(c.id, 0))
            if there:
                own.append((c.id, there))
                left[c.id] -= there
            if c.quantity > there:
                demand.append((self._goods.goods(c), c.quantity - there))
        released = tuple((item, pieces) for item, pieces in left.items() if pieces)
        time = int(pairs.look_at([pair], 0).time_ppm[place])
        return Column("plan", parts.keys, time, tuple(demand), options, released, tuple(own))

    # -- prices ------------------------------------------------------------------------------------------------------

    def costs(self, prices: Prices) -> tuple[list[Array], int]:
        """What each board, processor, memory choice and cooler costs (SCALE): its goods, and what is not
        taken out because it stays; and what the other slots cost."""
        held: dict[str, int] = {}
        for t in self.take_outs:
            held[t.slot] = held.get(t.slot, 0) + t.pieces * prices.taken_out.get(t.item, 0)
        costs = []
        for slot, listed, goods in zip(SLOTS, self._listed, self.price_lists, strict=False):
            own = goods.prices(prices) * np.array([c.quantity for c in listed], dtype=np.int64)
            stays = [c.kept or (slot == "memory" and c.part.with_kept) for c in listed]  # type: ignore[union-attr]
            costs.append(np.minimum(own + held.get(slot, 0) * np.array(stays, dtype=np.int64), FAR))
        return costs, sum(held.get(slot, 0) for slot in KEPT_SLOTS)

    def price_of(self, needs: tuple[Need, ...], prices: Prices, known: dict[NeedOptions, int]) -> int:
        """The price (SCALE) of the cheapest way to serve some needs, FAR where there is none."""
        options = self._goods.options_of(needs)
        if options is None:
            return FAR
        for one in options:
            if one not in known:
                known[one] = prices.price_of_need(one)
        return min(FAR, sum(known[one] for one in options))


class _Asked:
    """One question: worth, and the prices of all that plans hold."""

    def __init__(self, pricer: Pricer, pairs: Pairs, worth: Worth, prices: Prices, most_time: int) -> None:
        self._pricer, self._pairs, self._worth, self._prices = pricer, pairs, worth, prices
        self._most_time = most_time
        self.costs, self.rest = pricer.costs(prices)
        self._known: dict[NeedOptions, int] = {}
        self._of_needs: dict[int, Array] = {}
        self._bounds = pairs.bounds(self.worth_of, self.costs, self.rest, most_time, self.prices_of)

    def best(self, sought: Sought) -> Sought:
        """The plans that are worth most, noted."""
        order = self._pairs.in_order(self._bounds, sought.floor)
        for place, pair in enumerate(order):
            if not sought.may_hold(int(self._bounds[pair]), self.rank_of(pair)):
                break
            self.take_plans(pair, self._pairs.look_at(order, place), sought)
        return sought

    def apart(self, sought: Sought, wanted: int) -> list[Plan]:
        """The best plan, and in the order of the bounds the best of pairs that share no short part with those
        before."""
        found = list(sought.found)
        order = self._pairs.in_order(self._bounds, sought.floor)[:MOST_APART] if found else []
        for plan in found:
            self._bar(plan[2])
        for place, pair in enumerate(order):
            if len(found) == wanted:
                break
            own = Sought(sought.floor, 1)
            if max(self.costs[BOARD][self._pairs.board[pair]], self.costs[CPU][self._pairs.cpu[pair]]) < FAR:
                self.take_plans(pair, self._pairs.look_at(order, place), own)
            for plan in own.found:
                found.append(plan)
                self._bar(plan[2])
        return found

    def _bar(self, numbers: Numbers) -> None:
        """Take the short parts of a plan from those that follow."""
        pair, _, memory, serving = numbers
        pairs = self._pairs
        each = (pairs.board[pair], pairs.cpu[pair], memory, pairs.serving[serving])
        for cost, goods, number in zip(self.costs, self._pricer.price_lists, each, strict=True):
            if goods.short[number]:
                cost[goods.alike(int(number))] = FAR

    def worth_of(self, times: Array) -> Array:
        return self._worth.measured(self._pricer.figures, times)

    def prices_of(self, rules: RowNeeds) -> Array:
        """The prices of what some rules need, by its number."""
        known = self._of_needs.get(id(rules))
        if known is None or len(known) < len(rules.needs):
            each = [self._pricer.price_of(needs, self._prices, self._known) for needs in rules.needs]
            known = self._of_needs[id(rules)] = np.array(each, dtype=np.int64)
        return known

    def rank_of(self, pair: int) -> tuple[int, ...]:
        rank = self._pairs.rank
        return int(rank[0][self._pairs.board[pair]]), int(rank[1][self._pairs.cpu[pair]])

    def take_plans(self, pair: int, looked: Looked, sought: Sought) -> None:
        """Take the plans of a pair that are worth most: memory choices in order, and of each the coolers."""
        if not len(looked.looks):
            return
        pairs, rank = self._pairs, self.rank_of(pair)
        coolers = pairs.coolers_of(pair)
        cooler_cost = (
            self.costs[COOLER][pairs.serving[coolers]]
            + self.prices_of(pairs.of_cooler)[pairs.cooler_needs[coolers]]
        )
        cooler_rank = pairs.rank[COOLER][pairs.serving[coolers]]
        by_price = np.lexsort((cooler_rank, cooler_cost))[: sought.wanted + 1].tolist()
        own = int(self.costs[BOARD][pairs.board[pair]] + self.costs[CPU][pairs.cpu[pair]]) + self.rest
        own += int(self.prices_of(pairs.of_pair)[pairs.needs[pair]])
        needs = self.prices_of(pairs.of_memory)[pairs.memory_needs(pair, looked.looks)]
        needs = np.minimum(needs + self.prices_of(pairs.of_row)[looked.needs] + own, FAR)
        value = np.where(looked.time_ppm <= self._most_time, self.worth_of(looked.time_ppm) - needs, -FAR)
        # From looks to the choices that look so.
        counts = pairs.look_start[looked.looks + 1] - pairs.look_start[looked.looks]
        place = np.repeat(np.arange(len(counts)), counts)
        begun = np.cumsum(counts) - counts
        memory = pairs.by_look[pairs.look_start[looked.looks][place] + np.arange(len(place)) - begun[place]]
        worth = value[place] - self.costs[MEMORY][memory]
        best = worth - cooler_cost[by_price[0]]
        good = np.nonzero(best > sought.floor)[0]
        good = good[np.lexsort((pairs.rank[MEMORY][memory[good]], -best[good]))][: sought.wanted + 1]
        for number in good.tolist():
            for serving in by_price:
                total = int(worth[number] - cooler_cost[serving])
                own_rank = (*rank, int(pairs.rank[MEMORY][memory[number]]), int(cooler_rank[serving]))
                if not sought.may_hold(total, own_rank):
                    break
                sought.take(
                    total, own_rank, (pair, int(place[number]), int(memory[number]), coolers.start + serving)
                )
