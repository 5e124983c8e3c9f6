"""The columns of one class: what may be done with one of its PCs, found by price.

`Pricer.best` answers: given a worth of every expected time and a price of every kind of goods, which plans
are worth most? It looks through board x processor x memory by bounds (search/rows.py) and asks the plain
rules (search/rule_memory.py) of those that may count; within its limit on the number wanted it is exact: no
admitted plan that is left out is worth more than the last one returned.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from partsolver.catalog.load import Catalog
from partsolver.catalog.records import Bundle
from partsolver.fleet.goals import ClassFigures, Worth
from partsolver.fleet.prices import Prices
from partsolver.fleet.records import Column, ColumnKind, Goods, NeedOptions, PcClass, TakeOut
from partsolver.fleet.sought import MOST_ROWS, REFUSED, UNKNOWN, Sought, Table
from partsolver.fleet.takeouts import own_parts
from partsolver.performance.present import present_time_ppm
from partsolver.performance.time import time_ppm
from partsolver.plan.bundles import bundle_group, purchase_group, usable_bundles
from partsolver.plan.draft import Need
from partsolver.problem.candidates import BOXED_COOLER, SLOTS, Candidate, Parts, SlotName
from partsolver.problem.join import join
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules, buying_budget, buying_order, buying_stock
from partsolver.rules.base import Rule
from partsolver.search.pool import FAR
from partsolver.search.prune import screened
from partsolver.search.rows import Columns, Rows

# Rules about money and stock judge the whole fleet, not one PC.
OF_THE_FLEET = (buying_budget.ID, buying_order.ID, buying_stock.ID)
_COOLER = SLOTS.index("cooler")


def rules_of_parts() -> tuple[Rule, ...]:
    """The rules that one PC of a fleet must keep by itself."""
    return tuple(rule for rule in all_rules() if rule.ID not in OF_THE_FLEET)


# What a fleet's plan never replaces: a graphics card is not bought for it either.
KEPT_SLOTS: tuple[SlotName, ...] = ("psu", "case", "drive", "graphics")


def problem_of(one: PcClass, catalog: Catalog, take_outs: Sequence[TakeOut]) -> Problem:
    """The problem of one PC of a class: no money of its own, and what is kept stays. Another PC's board,
    processor or cooler is no candidate where it is the same as its own."""
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
    return join(one.survey, catalog, brief)


class Pricer:
    """The columns of one class by price."""

    def __init__(
        self, one: PcClass, catalog: Catalog, take_outs: Sequence[TakeOut], least_speedup: str
    ) -> None:
        self.problem = problem_of(one, catalog, take_outs)
        self.take_outs = tuple(take_outs)
        self.figures = ClassFigures(
            present_time_ppm(self.problem), self.problem.present() is not None, least_speedup
        )
        self._goods: dict[Candidate, Goods] = {}
        self._extras: dict[str, Goods] = {}
        self._base: dict[Any, tuple[Need, ...] | None] = {}
        self._served: dict[Any, list[tuple[Candidate, tuple[Need, ...]]]] = {}
        self._options: dict[tuple[Need, ...], tuple[NeedOptions, ...] | None] = {}
        self.found = screened(self.problem, rules_of_parts())
        if self.found is None:
            return
        self.quick = self.found.quick
        self._cooler_rules = [a for a in self.quick.rules if "cooler" in a.rule.SLOTS]
        self._other_rules = [a for a in self.quick.rules if "cooler" not in a.rule.SLOTS]
        read = {slot for a in self._cooler_rules for slot in a.rule.SLOTS} | {"cpu"}
        self._beside_cooler = sorted(SLOTS.index(slot) for slot in read - {"cooler"})
        self._columns = Columns(self.found.pool)
        # All rows, where they are few enough; by row what the rules said: a number of ``_listed``, or
        # REFUSED.
        self._table: tuple[Table, ...] | None = None
        self._ways: dict[tuple[int, int, int], int] = {}
        self._listed: list[tuple[tuple[Candidate, tuple[NeedOptions, ...]], ...]] = []
        self._numbers: dict[Any, int] = {}
        self._bundles: dict[tuple[str, str], list[tuple[Bundle, int]]] = {}
        for bundle in usable_bundles(self.problem):
            if bundle.stock != 0 and self.quick.allowed.bundle(bundle):
                for slot, key, pieces in bundle_group(self.problem, bundle):
                    self._bundles.setdefault((slot, key), []).append((bundle, pieces))

    # -- what is always possible -------------------------------------------------------------------------------------

    def standing_columns(self, scrap: bool) -> tuple[Column, ...]:
        """To do nothing, and to take the PC apart where that is allowed (or where it does not run)."""
        nothing = Column("nothing", (), self.figures.present_ppm if self.figures.runs else None, (), (), ())
        if not self.take_outs or (self.figures.runs and not scrap):
            return (nothing,)
        released = tuple((t.item, t.pieces) for t in self.take_outs)
        return nothing, Column("scrap", (), None, (), (), released)

    # -- plans by price ----------------------------------------------------------------------------------------------

    def best(
        self, worth: Worth, prices: Prices, floor: int, wanted: int
    ) -> tuple[tuple[tuple[int, Column], ...], bool]:
        """Up to ``wanted`` plans worth more than ``floor`` (SCALE), the best first, and whether these are all
        there are."""
        if self.found is None or self.figures.present_ppm is None:
            return (), True
        self._asked: dict[int, int] = {}
        cost = self._costs(prices)
        kept = sum(t.pieces * prices.taken_out.get(t.item, 0) for t in self.take_outs)
        sought = Sought(floor - kept, wanted)
        most_time = self.figures.present_ppm if self.figures.runs else FAR - 1
        if self._table is None:
            rows = self._columns.rows_of(range(len(self._columns.cpus)), most_time, FAR, None, MOST_ROWS)
            # A table of all rows holds by itself what the rules said.
            self._table = (
                () if rows is None else (Table(rows, rows.time_ppm.copy(), np.full(len(rows), UNKNOWN)),)
            )
        for table in self._table:
            self._look_through(table, worth, prices, cost, sought)
        if not self._table:
            self._look_by_processor(most_time, worth, prices, cost, sought)
        return tuple((value + kept, column) for value, _, column in sought.found), sought.complete

    def column_of(self, kind: ColumnKind, keys: tuple[str, ...]) -> Column:
        """The column of a kind and candidates that were found before. Raises KeyError where there is none."""
        if kind != "plan":
            return {c.kind: c for c in self.standing_columns(scrap=True)}[kind]
        if self.found is None:
            raise KeyError(keys)
        picked = (
            {c.key: c for c in self.found.pool.left[slot]}[key] for slot, key in zip(SLOTS, keys, strict=True)
        )
        parts = Parts(tuple(picked))
        needs, coolers = self._needs_beside_coolers(parts), dict(self._coolers_serving(parts))
        options = self._options_of((*(needs or ()), *coolers[parts.candidate("cooler")]))
        bought = [self.goods(c) for c in parts.picked if c.id is not None]
        if needs is None or options is None or not all(g.offers or g.in_bundles for g in bought):
            raise KeyError(keys)
        return self._column(parts, time_ppm(self.problem, parts), options)

    def _look_by_processor(
        self, most_time: int, worth: Worth, prices: Prices, cost: Mapping[Candidate, int], sought: Sought
    ) -> None:
        """Rows of one processor after the other, those first whose bound is best: where all together are
        too many."""
        columns = self._columns.priced(cost)
        bounds = worth.measured(self.figures, np.minimum(columns.cpu_bound, most_time)) - np.array(
            [columns.least_cost(number) for number in range(len(columns.cpus))], dtype=np.int64
        )
        bounds[columns.cpu_bound > most_time] = -FAR
        for number in np.argsort(-bounds, kind="stable").tolist():
            if bounds[number] <= sought.least:
                break
            best = int(worth.measured(self.figures, columns.cpu_bound[number : number + 1])[0])
            rows = columns.rows_of([number], most_time, best - sought.least)
            assert rows is not None  # there is no limit on their number
            self._look_through(self._known_rows(rows), worth, prices, cost, sought)

    def _known_rows(self, rows: Rows) -> Table:
        ways = np.array([self._ways.get(key, UNKNOWN) for key in rows.keys], dtype=np.int64)
        return Table(rows, rows.time_ppm.copy(), ways)

    def _look_through(
        self, table: Table, worth: Worth, prices: Prices, cost: Mapping[Candidate, int], sought: Sought
    ) -> None:
        """Take the plans of rows that are worth most. A row of which the rules were not asked yet counts
        as if it needed nothing but the cheapest cooler; each is asked once."""
        assert self.found is not None
        rows, left = table.rows, self.found.pool.left
        least_cooler = min(cost[c] for c in left["cooler"])
        rest = sum(cost[left[slot][0]] for slot in KEPT_SLOTS)
        beside = [self._least_of_way(way, prices, cost) for way in self._listed]
        ways = np.array([*beside, FAR, least_cooler], dtype=np.int64)  # REFUSED and UNKNOWN come last
        boards, cpus, memory = (
            np.array([cost[c] for c in listed], dtype=np.int64)
            for listed in (self._columns.boards, self._columns.cpus, self._columns.memory)
        )
        own = boards[rows.board] + cpus[rows.cpu] + memory[rows.memory] + rest
        ahead = worth.measured(self.figures, table.time_ppm) - np.minimum(own + ways[table.ways], FAR)
        good = np.nonzero(ahead > sought.least)[0]
        for place in good[np.argsort(-ahead[good], kind="stable")].tolist():
            if ahead[place] <= sought.least:
                break
            if table.ways[place] == UNKNOWN:
                self._learn(table, place)
            way = int(table.ways[place])
            if way == REFUSED:
                continue
            value = int(worth.measured(self.figures, table.time_ppm[place : place + 1])[0]) - int(own[place])
            key = (int(rows.board[place]), int(rows.cpu[place]), int(rows.memory[place]))
            for cooler, options in self._listed[way]:
                total = value - cost[cooler] - sum(self._price_of_need(option, prices) for option in options)
                if total > sought.least:
                    parts = self._parts(key, cooler)
                    sought.take(total, self._column(parts, int(table.time_ppm[place]), options))

    def _price_of_need(self, options: NeedOptions, prices: Prices) -> int:
        """The price of the cheapest way to serve a need; told once for each question (goods live as long
        as this)."""
        known = self._asked.get(id(options))
        if known is None:
            known = self._asked[id(options)] = prices.price_of_need(options)
        return known

    def _least_of_way(
        self,
        way: Sequence[tuple[Candidate, tuple[NeedOptions, ...]]],
        prices: Prices,
        cost: Mapping[Candidate, int],
    ) -> int:
        """The least that coolers and needs of a way cost."""
        return min(
            min(FAR, cost[cooler] + sum(self._price_of_need(option, prices) for option in options))
            for cooler, options in way
        )

    def _parts(self, key: tuple[int, int, int], cooler: Candidate) -> Parts:
        assert self.found is not None
        rest = tuple(self.found.pool.left[slot][0] for slot in KEPT_SLOTS)
        columns = self._columns
        main = (columns.boards[key[0]], columns.cpus[key[1]], columns.memory[key[2]])
        return Parts((*main, cooler, *rest))

    def _learn(self, table: Table, place: int) -> None:
        """Ask the rules of a row: with which coolers it goes, and what is then needed."""
        assert self.found is not None
        rows = table.rows
        key = (int(rows.board[place]), int(rows.cpu[place]), int(rows.memory[place]))
        parts = self._parts(key, self.found.pool.left["cooler"][0])
        needs = self._needs_beside_coolers(parts)
        found = []
        for cooler, own in () if needs is None else self._coolers_serving(parts):
            options = self._options_of((*needs, *own))  # type: ignore[misc]
            if options is not None:
                found.append((cooler, options))
        if not found:
            way = REFUSED
        else:
            way = self._numbers.setdefault(tuple(found), len(self._listed))
            if way == len(self._listed):
                self._listed.append(tuple(found))
            if not self._columns.times_are_exact:
                table.time_ppm[place] = time_ppm(self.problem, parts)
        if not self._table:
            self._ways[key] = way
        table.ways[place] = way

    def _costs(self, prices: Prices) -> dict[Candidate, int]:
        """What each candidate costs (SCALE): its goods, and what is not taken out because it stays."""
        assert self.found is not None
        held: dict[str, int] = {}
        for t in self.take_outs:
            held[t.slot] = held.get(t.slot, 0) + t.pieces * prices.taken_out.get(t.item, 0)
        cost: dict[Candidate, int] = {}
        for slot in SLOTS:
            for c in self.found.pool.left[slot]:
                own = 0 if c.id is None else prices.price(self.goods(c)) * c.quantity
                stays = c.kept or (slot == "memory" and c.part.with_kept)  # type: ignore[union-attr]
                cost[c] = min(FAR, own + (held.get(slot, 0) if stays else 0))
        return cost

    def _column(self, parts: Parts, time: int, options: tuple[NeedOptions, ...]) -> Column:
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
                demand.append((self.goods(c), c.quantity - there))
        released = tuple((item, pieces) for item, pieces in left.items() if pieces)
        return Column("plan", parts.keys, time, tuple(demand), options, released, tuple(own))

    # -- what the rules say ------------------------------------------------------------------------------------------

    def _needs_beside_coolers(self, parts: Parts) -> tuple[Need, ...] | None:
        """What the rules that do not look at the cooler need bought; None when one refuses the parts."""
        kinds = self.quick.kinds(parts)
        key = tuple(kinds[:_COOLER])
        if key not in self._base:
            self._base[key] = self._ask(self._other_rules, parts, kinds)
        return self._base[key]

    def _ask(self, rules: list[Any], parts: Parts, kinds: Sequence[int]) -> tuple[Need, ...] | None:
        needs: list[Need] = []
        for place, asked in enumerate(rules):
            said = self.quick.says(asked, parts, kinds)
            if said == FAR:
                rules.insert(0, rules.pop(place))  # what refuses one often refuses the next
                return None
            if not isinstance(said, int):
                needs += said
        return tuple(sorted(needs, key=lambda need: (need.rule, need.key)))

    def _coolers_serving(self, parts: Parts) -> list[tuple[Candidate, tuple[Need, ...]]]:
        """The coolers that the rules admit on these parts, with what each needs bought."""
        assert self.found is not None
        kinds = self.quick.kinds(parts)
        boxed = not parts.candidate("cpu").kept and bool(parts.cpu.boxed_cooler)
        key = (*(kinds[place] for place in self._beside_cooler), boxed)
        known = self._served.get(key)
        if known is None:
            known = self._served[key] = []
            for cooler in self.found.pool.left["cooler"]:
                if cooler.key == BOXED_COOLER and not boxed:
                    continue
                trial = Parts((*parts.picked[:_COOLER], cooler, *parts.picked[_COOLER + 1 :]))
                own = self._ask(self._cooler_rules, trial, self.quick.kinds(trial))
                if own is not None:
                    known.append((cooler, own))
        return known

    def _options_of(self, needs: tuple[Need, ...]) -> tuple[NeedOptions, ...] | None:
        """The goods that serve each need; None when nothing on offer serves one."""
        if needs not in self._options:
            found = []
            for need in needs:
                options = [
                    (goods, count)
                    for extra, count in need.options
                    if (goods := self.extra(extra, count)).offers
                ]
                found.append(tuple(options))
            self._options[needs] = None if any(not options for options in found) else tuple(found)
        return self._options[needs]

    # -- goods -------------------------------------------------------------------------------------------------------

    def goods(self, candidate: Candidate) -> Goods:
        """What is bought for a candidate."""
        known = self._goods.get(candidate)
        if known is None:
            slot, key, _ = purchase_group(candidate)
            offers = tuple(o for o in self.quick.allowed.offers(candidate) if o.stock != 0)
            bundles = tuple(self._bundles.get((slot, key), ()))
            known = self._goods[candidate] = Goods(slot, key, str(candidate.id), offers, bundles)
        return known

    def bundled(self) -> tuple[Goods, ...]:
        """The goods that bundles hold, as far as a PC of this class may use them."""
        if self.found is None:
            return ()
        listed = (self.goods(c) for slot in SLOTS for c in self.found.pool.left[slot] if c.id is not None)
        return tuple(sorted({goods for goods in listed if goods.in_bundles}, key=lambda g: (g.slot, g.key)))

    def extra(self, extra: str, count: int) -> Goods:
        """What is bought of an extra."""
        known = self._extras.get(extra)
        if known is None:
            offers = self.problem.extra_offers[extra]
            allowed = tuple(o for o in offers if o.stock != 0 and self.quick.allowed.offer(o, count))
            known = self._extras[extra] = Goods("extra", extra, extra, allowed)
        return known
