"""The joint choice as rows of whole numbers: stated once, for the relaxation and for CP-SAT.

Variables: PCs of a class that get a column; pieces of goods from an offer; pieces of extras for a need;
bundles; per seller the value of the goods, whether anything is ordered there, whether its delivery is free;
per offer with a price break the pieces at each price. Rows carry a key, by which the relaxation's duals are
read.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any, Literal

from partsolver.base.records import record
from partsolver.catalog.records import Bundle, Offer, Seller
from partsolver.fleet.goals import KEPT, ClassFigures, Measured
from partsolver.fleet.records import TAKEN_OUT, Break, Column, Goods, NeedOptions

Key = tuple[Any, ...]
COST: Key = ("cost",)
# No PC takes more pieces of anything, and no fleet costs more, than this.
MOST_PIECES, MUCH = 16, 10**12
# Slots of which one PC takes several pieces; of all others it takes one.
SEVERAL = ("memory", "extra")


@record
class Supply:
    """What a fleet shares. sizes: PCs of each class; figures: of each class; budget: minor units, None
    without limit; former: of each class, how many PCs have which plan already (of a fleet that is planned
    again)."""

    sizes: tuple[int, ...]
    figures: tuple[ClassFigures, ...]
    sellers: Mapping[str, Seller]
    breaks: Mapping[tuple[str, str], tuple[Break, ...]]
    budget: int | None
    former: tuple[Mapping[Column, int], ...] = ()

    def least_prices(self) -> dict[tuple[str, str], int]:
        """The lowest price of each offer with price breaks."""
        return {key: min(b.price for b in found) for key, found in self.breaks.items()}


@record
class Fixed:
    """A goal already reached: a measure is at least so much, or the cost (measured None) at most."""

    measured: Measured | None
    value: int


# What is decided of a seller's delivery: nothing is ordered there, it is paid, or it is free.
State = Literal["closed", "paid", "free"]
States = Mapping[str, State]


class Form:
    """Variables with bounds, rows with bounds, and one goal that is maximised."""

    def __init__(self, many: int) -> None:
        self.most: list[int] = []
        self.keys: list[Key] = []
        self.index: dict[Key, int] = {}
        self.rows: dict[Key, dict[int, int]] = defaultdict(dict)
        self.bounds: dict[Key, tuple[int | None, int | None]] = {}
        self.goal: dict[int, int] = {}
        # Rows whose limit hangs on the goods that are known: variable and factor that hold for all plans (None:
        # the row says nothing of plans that are not known yet).
        self.of_known: dict[Key, tuple[int, int] | None] = {}
        # More pieces of one kind are never ordered.
        self.many = many

    def variable(self, key: Key, most: int) -> int:
        """The variable of a key, from 0 to ``most``; made when it is first asked for."""
        if key not in self.index:
            self.index[key] = len(self.most)
            self.most.append(most)
            self.keys.append(key)
        return self.index[key]

    def decide(self, states: States) -> None:
        """Decide the deliveries of some sellers."""
        for name, state in states.items():
            ordered, free = self.index[("ordered", name)], self.index.get(("free", name))
            if state == "closed":
                self.most[ordered] = 0
            else:
                self.add(("decided", name), ordered, 1)
                self.bound(("decided", name), 1, None)
            if free is not None and state == "free":
                self.add(("decided free", name), free, 1)
                self.bound(("decided free", name), 1, None)
            elif free is not None:
                self.most[free] = 0

    def value_of(self, values: Mapping[Key, int]) -> int:
        """The goal's value at a choice."""
        return sum(factor * values.get(self.keys[variable], 0) for variable, factor in self.goal.items())

    def whole(self, numbers: Sequence[int]) -> dict[Key, int]:
        """Values of the variables by key, from their numbers in order."""
        return dict(zip(self.keys, numbers, strict=True))

    def numbers(self) -> str:
        """All the numbers of the form, which decide how it is solved."""
        rows = [(list(factors.items()), self.bounds.get(key)) for key, factors in self.rows.items()]
        return repr((self.most, rows, list(self.goal.items())))

    def add(self, row: Key, variable: int, factor: int) -> None:
        if factor:
            self.rows[row][variable] = self.rows[row].get(variable, 0) + factor

    def bound(self, row: Key, least: int | None, most: int | None) -> None:
        self.bounds[row] = (least, most)
        self.rows[row]  # a row without variables is a row


def joint_form(
    supply: Supply,
    columns: Sequence[Sequence[Column]],
    bundled: Sequence[Goods],
    fixed: Sequence[Fixed],
    goal: Measured | None,
) -> Form:
    """The joint choice among the columns of each class; ``bundled``: goods that bundles hold; ``goal``:
    the measure to maximise, None for the least cost."""
    form = Form(MOST_PIECES * sum(supply.sizes))
    wanted: dict[Goods, None] = dict.fromkeys(bundled)
    needs: dict[NeedOptions, None] = {}
    for number, listed in enumerate(columns):
        form.bound(("class", number), supply.sizes[number], supply.sizes[number])
        for column in listed:
            x = form.variable(("pcs", number, column), supply.sizes[number])
            form.add(("class", number), x, 1)
            _demand(form, x, column, wanted, needs)
            _measure(form, x, supply.figures[number], column, fixed, goal)
    _keep(form, supply.former, fixed, goal)
    for options in needs:
        form.bound(("need", options), 0, 0)
        for goods, pieces in options:
            served = form.variable(("served", options, goods), form.many)
            form.add(("need", options), served, -1)
            form.add(("goods", goods), served, pieces)
            wanted[goods] = None
    _buy(form, supply, list(wanted))
    _sellers(form, supply)
    for place, reached in enumerate(fixed):
        if reached.measured is not None:
            form.bound(("reached", place), reached.value, None)
    limits = [f.value for f in fixed if f.measured is None]
    if supply.budget is not None:
        limits.append(supply.budget)
    form.bound(COST, None, min(limits, default=None))
    if goal is None:
        form.goal = {variable: -factor for variable, factor in form.rows[COST].items()}
    return form


def _keep(
    form: Form, former: Sequence[Mapping[Column, int]], fixed: Sequence[Fixed], goal: Measured | None
) -> None:
    """PCs that keep their plans: of each column no more than get it and than had it."""
    places = [place for place, reached in enumerate(fixed) if reached.measured == KEPT]
    if not places and goal != KEPT:
        return
    for number, listed in enumerate(former):
        for column, count in listed.items():
            if ("pcs", number, column) not in form.index:
                continue
            kept = form.variable(("kept", number, column), count)
            form.add(("keeps", number, column), kept, 1)
            form.add(("keeps", number, column), form.index["pcs", number, column], -1)
            form.bound(("keeps", number, column), None, 0)
            for place in places:
                form.add(("reached", place), kept, 1)
            if goal == KEPT:
                form.goal[kept] = 1


def _demand(
    form: Form,
    x: int,
    column: Column,
    wanted: dict[Goods, None],
    needs: dict[NeedOptions, None],
) -> None:
    for goods, pieces in column.demand:
        form.add(("goods", goods), x, pieces)
        wanted[goods] = None
    for options in column.needs:
        form.add(("need", options), x, 1)
        needs[options] = None
    for item, pieces in column.released:
        form.add(("taken", item), x, -pieces)


def _measure(
    form: Form,
    x: int,
    figures: ClassFigures,
    column: Column,
    fixed: Sequence[Fixed],
    goal: Measured | None,
) -> None:
    for place, reached in enumerate(fixed):
        if reached.measured is not None:
            form.add(("reached", place), x, figures.of_column(reached.measured, column))
    if goal is not None:
        form.goal[x] = figures.of_column(goal, column)


def _buy(form: Form, supply: Supply, wanted: Sequence[Goods]) -> None:
    """Goods come from offers and bundles, no more than there are."""
    offers: dict[Offer, list[int]] = defaultdict(list)
    bundles: dict[Bundle, dict[tuple[str, str], int]] = defaultdict(dict)
    for goods in wanted:
        form.bound(("goods", goods), 0, 0)
        pieces = form.many if goods.slot in SEVERAL else sum(supply.sizes)
        for offer in goods.offers:
            most = pieces if offer.stock is None else min(pieces, offer.stock)
            q = form.variable(("bought", goods, offer), most)
            form.add(("goods", goods), q, -1)
            offers[offer].append(q)
        for bundle, pieces in goods.in_bundles:
            most = form.many if bundle.stock is None else bundle.stock
            q = form.variable(("from bundle", goods, bundle), most * pieces)
            form.add(("goods", goods), q, -1)
            form.add(("unpacked", bundle, goods.slot, goods.key), q, 1)
            bundles[bundle][goods.slot, goods.key] = pieces
    for offer, bought in offers.items():
        _offer(form, supply, offer, bought)
    for bundle, items in bundles.items():
        b = form.variable(("bundle", bundle), form.many if bundle.stock is None else bundle.stock)
        # What comes in a bundle is used up: nobody pays for parts to lie about.
        for (slot, key), pieces in items.items():
            row = ("unpacked", bundle, slot, key)
            form.add(row, b, -pieces)
            form.bound(row, 0, 0)
        if len(items) < len(bundle.items):
            form.most[b] = 0  # something in it is of no use to any PC
        form.add(("value", bundle.seller), b, bundle.price)


def _offer(form: Form, supply: Supply, offer: Offer, bought: Sequence[int]) -> None:
    if offer.seller == TAKEN_OUT:
        for q in bought:
            form.add(("taken", offer.part), q, 1)
        form.bound(("taken", offer.part), None, 0)
        return
    if offer.stock is not None:
        for q in bought:
            form.add(("stock", offer), q, 1)
        form.bound(("stock", offer), None, offer.stock)
    seller = supply.sellers[offer.seller]
    if seller.delivery or seller.minimum_order:
        # Of the money alone the relaxation would pay a thousandth of a delivery for a small part.
        most = max(1, *(form.most[q] for q in bought))
        for q in bought:
            form.add(("sent", offer), q, 1)
        form.add(("sent", offer), form.variable(("ordered", seller.id), 1), -most)
        form.bound(("sent", offer), None, 0)
    breaks = supply.breaks.get((offer.part, offer.seller))
    if not breaks:
        for q in bought:
            form.add(("value", offer.seller), q, offer.price)
        return
    for q in bought:
        form.add(("pieces", offer), q, 1)
    form.bound(("pieces", offer), 0, 0)
    for least, price in ((1, offer.price), *((b.from_pieces, b.price) for b in breaks)):
        pieces = form.variable(("at price", offer, least), form.many if offer.stock is None else offer.stock)
        chosen = form.variable(("price", offer, least), 1)
        form.add(("pieces", offer), pieces, -1)
        form.add(("value", offer.seller), pieces, price)
        form.add(("one price", offer), chosen, 1)
        form.add(("enough", offer, least), pieces, 1)
        form.add(("enough", offer, least), chosen, -least)
        form.bound(("enough", offer, least), 0, None)
        form.add(("only then", offer, least), pieces, 1)
        form.add(("only then", offer, least), chosen, -(form.many if offer.stock is None else offer.stock))
        form.bound(("only then", offer, least), None, 0)
    form.bound(("one price", offer), None, 1)


def _sellers(form: Form, supply: Supply) -> None:
    """The law of delivery (plan/delivery.py), of one order per seller."""
    for name, seller in sorted(supply.sellers.items()):
        if name == TAKEN_OUT:
            continue
        goods = form.rows[("value", name)]
        most = MUCH if supply.budget is None else supply.budget
        sold = sum(factor * form.most[variable] for variable, factor in goods.items())
        value = form.variable(("goods value", name), min(most, sold, MUCH))
        form.add(("value", name), value, -1)
        form.bound(("value", name), 0, 0)
        form.add(COST, value, 1)
        if not seller.delivery and not seller.minimum_order:
            continue
        ordered = form.variable(("ordered", name), 1)
        form.add(("order", name), value, 1)
        form.add(("order", name), ordered, -min(most, sold, MUCH))
        form.bound(("order", name), None, 0)
        # Plans that are not known yet may order more than what is known can come to.
        form.of_known["order", name] = None if supply.budget is None else (ordered, -supply.budget)
        form.add(COST, ordered, seller.delivery)
        if seller.minimum_order:
            form.add(("least order", name), value, 1)
            form.add(("least order", name), ordered, -seller.minimum_order)
            form.bound(("least order", name), 0, None)
        if seller.free_from is not None and seller.delivery:
            free = form.variable(("free", name), 1)
            form.add(COST, free, -seller.delivery)
            form.add(("free only", name), free, 1)
            form.add(("free only", name), ordered, -1)
            form.bound(("free only", name), None, 0)
            form.add(("free from", name), value, 1)
            form.add(("free from", name), free, -seller.free_from)
            form.bound(("free from", name), 0, None)
