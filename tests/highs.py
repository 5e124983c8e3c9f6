"""The problem stated again for HiGHS (scipy.optimize.milp), without partsolver.model and
partsolver.plan.purchase.

Parts: one binary column per combination of board, processor, memory, supply, case and drive that the plain
predicates leave. Coolers: a binary each, with a support row per rule. Extras, sellers and sets: the "internet
shopping optimisation problem" of Blazewicz, Kovalyov, Musial, Urbanski, Wojciechowski (Int. J. Appl. Math.
Comput. Sci. 20(2), 2010, 385-390) with values from which delivery is free, least orders and stock. Goals are
solved one after the other. HiGHS works in floating point: its answer is rounded and every row is checked
again in integers.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations
from typing import Any

import numpy as np
from brute import Judged
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_matrix

from partsolver.assembly.bought_cards import plan_load
from partsolver.catalog.records import Bundle, Offer, Seller
from partsolver.performance.law import usable_mib
from partsolver.performance.present import present_time_ppm
from partsolver.performance.time import time_ppm
from partsolver.plan.draft import Need
from partsolver.problem.candidates import BOXED_COOLER, SLOTS, Candidate, Parts
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.rules.base import Rule, needs_nothing

Terms = Mapping[int, int]
COOLER = SLOTS.index("cooler")


class Program:
    """Integer program: binaries, rows ``low <= sum <= high`` with integer coefficients, solved by HiGHS."""

    def __init__(self) -> None:
        self.upper: list[int] = []
        self.rows: list[tuple[Terms, int | None, int | None]] = []

    def binary(self) -> int:
        self.upper.append(1)
        return len(self.upper) - 1

    def add(self, terms: Terms, low: int | None, high: int | None) -> None:
        self.rows.append((dict(terms), low, high))

    def minimise(self, goal: Terms) -> list[int] | None:
        """Values of a proven optimum, None when there is no solution."""
        width = len(self.upper)
        cost = np.zeros(width)
        for column, factor in goal.items():
            cost[column] = factor
        data, columns, starts = [], [], [0]
        for terms, _, _ in self.rows:
            data += list(terms.values())
            columns += list(terms)
            starts.append(len(data))
        matrix = csr_matrix((np.array(data, dtype=float), columns, starts), shape=(len(self.rows), width))
        low = np.array([-np.inf if row[1] is None else row[1] for row in self.rows], dtype=float)
        high = np.array([np.inf if row[2] is None else row[2] for row in self.rows], dtype=float)
        answer = milp(
            cost,
            integrality=np.ones(width),
            bounds=Bounds(np.zeros(width), np.array(self.upper, dtype=float)),
            constraints=LinearConstraint(matrix, low, high),
            options={"mip_rel_gap": 0.0},
        )
        if answer.status == 2:
            return None
        assert answer.status == 0, answer.message
        values = [round(v) for v in answer.x]
        for terms, least, most in self.rows:
            total = sum(factor * values[column] for column, factor in terms.items())
            assert (least is None or total >= least) and (most is None or total <= most), (
                "rounding broke a row"
            )
        return values


def total(terms: Terms, values: list[int]) -> int:
    return sum(factor * values[column] for column, factor in terms.items())


class Shop:
    """Purchases of one program: lines from offers, sets, delivery, stock. ``cost`` is complete after
    ``close``."""

    def __init__(self, program: Program, sellers: Mapping[str, Seller]) -> None:
        self.program, self.sellers = program, sellers
        self.cost: dict[int, int] = {}
        self.by_item: dict[str, list[int]] = defaultdict(list)
        self._goods: dict[str, dict[int, int]] = defaultdict(dict)
        self._taken: dict[Offer, dict[int, int]] = defaultdict(dict)

    def line(self, ways: Iterable[tuple[str, int, Offer]], wanted: Terms, sets: Iterable[int] = ()) -> None:
        """As often as ``wanted`` (a sum of columns, 0 or 1) says, one way is bought or one of the sets holds
        it."""
        row = dict.fromkeys(sets, 1)
        for item, quantity, offer in ways:
            column = self.program.binary()
            row[column] = 1
            self.by_item[item].append(column)
            self._goods[offer.seller][column] = quantity * offer.price
            self._taken[offer][column] = quantity
        self.program.add(row | {column: -factor for column, factor in wanted.items()}, 0, 0)

    def bundle(self, seller: str, price: int) -> int:
        column = self.program.binary()
        self._goods[seller][column] = price
        return column

    def taken_from(self, offer: Offer) -> Iterable[int]:
        """Columns of the ways that take of an offer."""
        return tuple(self._taken.get(offer, ()))

    def close(self) -> None:
        add = self.program.add
        for offer, taken in self._taken.items():
            if offer.stock is not None:
                add(taken, None, offer.stock)
        for name, goods in sorted(self._goods.items()):
            seller = self.sellers[name]
            used, charged = self.program.binary(), self.program.binary()
            for column in goods:
                add({column: 1, used: -1}, None, 0)
            add({used: 1} | dict.fromkeys(goods, -1), None, 0)
            add(goods | {used: -seller.minimum_order}, 0, None)
            if seller.free_from is None:
                add({charged: 1, used: -1}, 0, None)
            else:
                free = self.program.binary()
                add(goods | {free: -seller.free_from}, 0, None)
                add({charged: 1, free: 1, used: -1}, 0, None)
            self.cost |= goods
            self.cost[charged] = seller.delivery


@dataclass(frozen=True)
class Best:
    """The first plan's values: least time of any plan (goal speed), the plan's cost (minor units) and
    continuous power (W)."""

    least_time_ppm: int | None
    cost: int
    power_w: int
    keys: tuple[str, ...]


class Restated:
    """One problem as an integer program."""

    def __init__(self, problem: Problem, budget: bool = True) -> None:
        self.problem = problem
        self.program = Program()
        self.judged = Judged(problem, all_rules())
        self._price: dict[tuple[str, str], int | None] = {}
        self.budget = problem.budget if budget else None
        # Least cost of each combination: extras, cooler and delivery left out. None is beyond the budget.
        self.least: dict[int, int] = {}
        self.columns: list[tuple[Parts, int]] = []
        for parts in self._combinations():
            least = self._least(parts)
            if least is not None and (self.budget is None or least <= self.budget):
                self.columns.append((parts, self.program.binary()))
                self.least[self.columns[-1][1]] = least
        self.coolers = {c.key: self.program.binary() for c in problem.slot("cooler")}
        self.program.add({column: 1 for _, column in self.columns}, 1, 1)
        self.program.add(dict.fromkeys(self.coolers.values(), 1), 1, 1)
        self.shop = Shop(self.program, problem.sellers)
        self._post_coolers()
        self._post_needs()
        bundles = self._post_purchases()
        self._post_trips(bundles)
        self.shop.close()
        self._post_wishes(bundles)
        if self.budget is not None:
            self.program.add(self.shop.cost, None, self.budget)
        self.time = {column: time_ppm(problem, parts) for parts, column in self.columns}
        self.power = {column: -(-plan_load(problem, parts).mw // 1000) for parts, column in self.columns}

    # -- combinations of parts -----------------------------------------------------------------------------------

    def _combinations(self) -> Iterator[Parts]:
        """Combinations without a cooler that every rule which reads no cooler admits; joined slot by slot."""
        problem = self.problem
        picked: list[Candidate] = [problem.slot(slot)[0] for slot in SLOTS if problem.slot(slot)]
        if len(picked) < len(SLOTS):
            return
        order = [s for s in SLOTS if s != "cooler" and len(problem.slot(s)) == 1]
        order += [s for s in SLOTS if s != "cooler" and s not in order]
        rules = [rule for rule in self.judged.rules if "cooler" not in rule.SLOTS]
        stage = {rule.ID: max((order.index(s) for s in rule.SLOTS), default=0) for rule in rules}
        at = [
            sorted((r for r in rules if stage[r.ID] == depth), key=lambda r: len(r.SLOTS))
            for depth in range(len(order))
        ]

        # Only sets of parts make a part cheaper than its cheapest offer.
        in_sets = {item for bundle in problem.bundles for item, _ in bundle.items}

        def join(depth: int, spent: int) -> Iterator[Parts]:
            if depth == len(order):
                yield Parts(tuple(picked))
                return
            slot = order[depth]
            for candidate in problem.slot(slot):
                price = 0 if candidate.id is None or candidate.id in in_sets else self._price_of(candidate)
                if any(part in problem.brief.without for part in _names(candidate)):
                    continue
                if price is None or (self.budget is not None and spent + price > self.budget):
                    continue
                picked[SLOTS.index(slot)] = candidate
                parts = Parts(tuple(picked))
                if all(self.judged.said(rule, parts)[0] for rule in at[depth]):
                    yield from join(depth + 1, spent + price)

        yield from (parts for parts in join(0, 0) if self._reaches(parts))

    def _reaches(self, parts: Parts) -> bool:
        brief = self.problem.brief
        now = present_time_ppm(self.problem)
        if (
            brief.min_speedup is not None
            and now is not None
            and Fraction(now, time_ppm(self.problem, parts)) < Fraction(brief.min_speedup)
        ):
            return False
        usable = usable_mib(parts.memory, self.problem.memory_limit_mib)
        return brief.min_memory_gb is None or usable is None or usable >= 1024 * brief.min_memory_gb

    def _price_of(self, candidate: Candidate) -> int | None:
        """Cheapest usable offer of a candidate that is not kept."""
        key = (candidate.slot, candidate.key)
        if key not in self._price:
            assert candidate.id is not None
            ways = self._ways(candidate.id, candidate.quantity, candidate.offers)
            self._price[key] = min((n * o.price for _, n, o in ways), default=None)
        return self._price[key]

    def _least(self, parts: Parts) -> int | None:
        """Cheapest offers of these parts, or with sets of them; None when a part cannot be bought at all."""
        problem = self.problem
        prices: dict[tuple[str, int], int | None] = {}
        for c in parts.picked:
            if c.id is not None and c.slot != "cooler":
                prices[c.id, c.quantity] = self._price_of(c)
        ways: list[int | None] = [None if None in prices.values() else sum(p or 0 for p in prices.values())]
        within = [b for b in problem.bundles if self._usable(b) and any(item in prices for item in b.items)]
        for size in range(1, len(within) + 1):
            for sets in combinations(within, size):
                held = {item for b in sets for item in b.items}
                rest = [p for item, p in prices.items() if item not in held]
                if None not in rest:
                    ways.append(sum(b.price for b in sets) + sum(p or 0 for p in rest))
        return min((w for w in ways if w is not None), default=None)

    # -- rows ----------------------------------------------------------------------------------------------------

    def _with(self, parts: Parts, cooler: Candidate) -> Parts:
        return Parts((*parts.picked[:COOLER], cooler, *parts.picked[COOLER + 1 :]))

    def _post_coolers(self) -> None:
        """A cooler is taken only with combinations that every rule about coolers admits; its needs are
        bought."""
        rules = [(rule, self._alike(rule)) for rule in self.judged.rules if "cooler" in rule.SLOTS]
        for cooler in self.problem.slot("cooler"):
            own = self.coolers[cooler.key]
            if any(part in self.problem.brief.without for part in _names(cooler)):
                self.program.add({own: 1}, 0, 0)
            if cooler.key == BOXED_COOLER:
                boxed = [
                    z
                    for parts, z in self.columns
                    if not parts.candidate("cpu").kept and parts.cpu.boxed_cooler
                ]
                self.program.add({own: 1} | dict.fromkeys(boxed, -1), None, 0)
            for rule, groups in rules:
                serves: list[int] = []
                needing: dict[Any, list[int]] = defaultdict(list)
                for parts, alike in groups:
                    admitted, needs = self.judged.said(rule, self._with(parts, cooler))
                    if admitted:
                        serves += alike
                    for need in needs:
                        needing[_signature(need)] += alike
                if len(serves) < len(self.columns):
                    self.program.add({own: 1} | dict.fromkeys(serves, -1), None, 0)
                for (_, _, options), columns in needing.items():
                    both = self.program.binary()
                    self.program.add({both: 1, own: -1}, None, 0)
                    self.program.add({both: 1} | dict.fromkeys(columns, -1), None, 0)
                    self.program.add({both: -1, own: 1} | dict.fromkeys(columns, 1), None, 1)
                    self.shop.line(self._ways_of(options), {both: 1})

    def _alike(self, rule: Rule) -> Iterable[tuple[Parts, list[int]]]:
        """Columns grouped by the parts that a rule reads, the cooler left out."""
        places = [SLOTS.index(slot) for slot in rule.SLOTS if slot != "cooler"]
        groups: dict[tuple[str, ...], tuple[Parts, list[int]]] = {}
        for parts, column in self.columns:
            groups.setdefault(tuple(parts.picked[i].key for i in places), (parts, []))[1].append(column)
        return groups.values()

    def _post_needs(self) -> None:
        needing: dict[Any, list[int]] = defaultdict(list)
        for rule in self.judged.rules:
            if "cooler" not in rule.SLOTS and rule.needs is not needs_nothing:
                for parts, alike in self._alike(rule):
                    for need in self.judged.said(rule, parts)[1]:
                        needing[_signature(need)] += alike
        for (_, _, options), columns in needing.items():
            self.shop.line(self._ways_of(options), dict.fromkeys(columns, 1))

    def _ways_of(self, options: Iterable[tuple[str, int]]) -> Iterator[tuple[str, int, Offer]]:
        for extra, quantity in options:
            yield from self._ways(extra, quantity, self.problem.extra_offers[extra])

    def _ways(self, item: str, quantity: int, offers: Iterable[Offer]) -> Iterator[tuple[str, int, Offer]]:
        """Offers that are valid today, in stock, in time and not excluded."""
        problem = self.problem
        for offer in offers:
            late = problem.brief.need_by is not None and problem.arrival(offer) > problem.brief.need_by
            expired = offer.valid_until is not None and offer.valid_until < problem.today
            if (
                not late
                and not expired
                and offer.part not in problem.brief.without
                and (offer.stock is None or offer.stock >= quantity)
            ):
                yield item, quantity, offer

    def _usable(self, bundle: Bundle) -> bool:
        problem = self.problem
        late = problem.brief.need_by is not None and problem.arrival(bundle) > problem.brief.need_by
        expired = bundle.valid_until is not None and bundle.valid_until < problem.today
        return not late and not expired and bundle.stock != 0 and bundle.id not in problem.brief.without

    def _post_purchases(self) -> dict[str, int]:
        """Every part that is not kept is bought from an offer or comes in a set; returns the sets'
        columns."""
        wanted: dict[tuple[str, str, int], dict[int, int]] = defaultdict(dict)
        goods: dict[tuple[str, str, int], Candidate] = {}
        for parts, column in self.columns:
            for candidate in parts.picked:
                if candidate.id is not None and candidate.slot != "cooler":
                    wanted[_goods(candidate)][column] = 1
                    goods[_goods(candidate)] = candidate
        for cooler in self.problem.slot("cooler"):
            if cooler.id is not None:
                wanted[_goods(cooler)] = {self.coolers[cooler.key]: 1}
                goods[_goods(cooler)] = cooler
        columns: dict[str, int] = {}
        holding: dict[tuple[str, str, int], list[int]] = defaultdict(list)
        for bundle in self.problem.bundles:
            items = [next((g for g in goods if (g[1], g[2]) == item), None) for item in bundle.items]
            if self._usable(bundle) and None not in items and len({g[0] for g in items if g}) == len(items):
                columns[bundle.id] = self.shop.bundle(bundle.seller, bundle.price)
                for item in items:
                    holding[item].append(columns[bundle.id])  # type: ignore[index]
        for key in sorted(wanted):
            candidate = goods[key]
            assert candidate.id is not None
            self.shop.line(
                self._ways(candidate.id, candidate.quantity, candidate.offers), wanted[key], holding[key]
            )
        return columns

    def _post_trips(self, sets: Mapping[str, int]) -> None:
        """A board goes to a service of another seller and comes back by the wanted day, or is not served
        there."""
        problem, wanted = self.problem, self.problem.brief.need_by
        if wanted is None:
            return
        boards = problem.slot("board")
        sources = [
            (o.seller, problem.arrival(o), {column: 1})
            for o in {o for c in boards for o in c.offers}
            for column in self.shop.taken_from(o)
        ]
        ids = {c.id for c in boards if c.id is not None}
        sources += [
            (b.seller, problem.arrival(b), {sets[b.id]: 1})
            for b in problem.bundles
            if b.id in sets and any(item in ids for item, _ in b.items)
        ]
        at_home = {column: 1 for parts, column in self.columns if parts.candidate("board").kept}
        sources.append(("", problem.today, at_home))
        for extra in problem.extras.values():
            for service in problem.extra_offers.get(extra.id, ()) if extra.kind == "firmware-update" else ():
                days = 2 * problem.sellers[service.seller].delivery_days
                for seller, there, terms in sources:
                    if seller != service.seller and (wanted - there).days < days:
                        for column in self.shop.taken_from(service):
                            self.program.add(terms | {column: 1}, None, 1)

    def _post_wishes(self, bundles: Mapping[str, int]) -> None:
        for part in self.problem.brief.including:
            serving = {
                column
                for parts, column in self.columns
                for c in parts.picked
                if c.slot != "cooler" and part in _names(c)
            }
            serving |= {self.coolers[c.key] for c in self.problem.slot("cooler") if part in _names(c)}
            serving |= set(self.shop.by_item.get(part, ())) | ({bundles[part]} if part in bundles else set())
            self.program.add(dict.fromkeys(sorted(serving), 1), 1, None)

    # -- answers -------------------------------------------------------------------------------------------------

    def _least_of(self, goal: Terms, bound: Mapping[int, int]) -> list[int] | None:
        """The minimum of a goal that is at least ``bound`` for each combination: cheap ones by bound first.

        Exact: what was left out cannot be better than the answer. None when there is no plan.
        """
        open_columns = sorted(
            (column for _, column in self.columns if self.program.upper[column]), key=lambda z: (bound[z], z)
        )
        taken = 150
        while True:
            most = bound[open_columns[min(taken, len(open_columns)) - 1]] if open_columns else 0
            left_out = [column for column in open_columns if bound[column] > most]
            for column in left_out:
                self.program.upper[column] = 0
            values = self.program.minimise(goal)
            for column in left_out:
                self.program.upper[column] = 1
            if not left_out or (values is not None and total(goal, values) <= most):
                return values
            reached = None if values is None else total(goal, values)
            within = 0 if reached is None else sum(bound[column] <= reached for column in open_columns)
            taken = max(taken * 4, within)

    def least_cost(self) -> int | None:
        """Cost of the cheapest plan."""
        values = self._least_of(self.shop.cost, self.least) if self.columns else None
        return None if values is None else total(self.shop.cost, values)

    def first(self) -> Best | None:
        """The first plan of the brief's goal and resolution, level by level."""
        if not self.columns:
            return None
        goals = [(self.shop.cost, self.least), (self.time, self.time), (self.power, self.power)]
        least_time = None
        if self.problem.brief.goal == "speed":
            values = self._least_of(self.time, self.time)
            if values is None:
                return None
            least_time = total(self.time, values)
            resolution = Fraction(self.problem.brief.resolution_percent)
            # Step 0: 100 (T - T*) < resolution x T*.
            for _, column in self.columns:
                over = self.time[column] - least_time
                if over > 0 and 100 * over >= resolution * least_time:
                    self.program.upper[column] = 0
            del goals[1]
        values = None
        for goal, bound in goals:
            values = self._least_of(goal, bound)
            if values is None:
                return None
            self.program.add(goal, None, total(goal, values))
        assert values is not None
        parts = next(parts for parts, column in self.columns if values[column])
        return Best(least_time, total(self.shop.cost, values), total(self.power, values), parts.keys)


def _names(candidate: Candidate) -> tuple[str, ...]:
    """Ids by which a brief can name a candidate."""
    own = candidate.key if candidate.id is None else candidate.id
    with_kept = candidate.slot == "memory" and candidate.part.with_kept  # type: ignore[union-attr]
    return (own, "kept-memory") if with_kept else (own,)


def _goods(candidate: Candidate) -> tuple[str, str, int]:
    """What is bought: a used part is not the same goods as a new one with all that lies in its box."""
    assert candidate.id is not None
    several = candidate.slot in ("board", "cpu", "cooler", "psu")
    return candidate.slot, candidate.key if several else candidate.id, candidate.quantity


def _signature(need: Need) -> tuple[str, str, tuple[tuple[str, int], ...]]:
    return need.rule, need.key, need.options


__all__ = ["Best", "Program", "Restated", "Shop", "total"]
