"""The work on one class, as a function that any worker can run: what it answers depends on its question
alone.

A worker keeps what it has made of a class (the joined problem, what the rules said) for the next question.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from partsolver.base.records import record
from partsolver.catalog.load import Catalog
from partsolver.fleet.columns import Pricer
from partsolver.fleet.goals import ClassFigures, Worth
from partsolver.fleet.prices import Prices
from partsolver.fleet.records import Column, Goods, PcClass, TakeOut

# Money for a thousandth of the time (minor units) at which the first plans of a class are looked for.
FIRST_MONEY = (2, 5, 10, 20, 50, 100, 200, 500, 2000)
FIRST_WANTED = 3


@record
class Stock:
    """What all classes share, named by a digest: it travels once to each worker. sellers_money: 1 for
    each."""

    digest: str
    catalog: Catalog
    take_outs: dict[str, tuple[TakeOut, ...]]
    least_speedup: str
    scrap: bool


@record
class Begun:
    """What is known of a class before any price: its figures, what is always possible, first plans, goods
    that bundles hold."""

    figures: ClassFigures
    columns: tuple[Column, ...]
    bundled: tuple[Goods, ...]


@record
class Question:
    """Which plans of a class are worth more than ``floor`` (SCALE) at these prices, ``wanted`` at most?"""

    number: int
    worth: Worth
    prices: Prices
    floor: int
    wanted: int


Answer = tuple[tuple[tuple[int, Column], ...], bool]
Begin = Callable[[], Sequence[Begun]]
Ask = Callable[[Sequence[Question]], Sequence[Answer]]


def begun(pricer: Pricer, scrap: bool) -> Begun:
    """The first columns of a class, at the prices of the catalogue and several worths of time."""
    found: dict[Column, None] = dict.fromkeys(pricer.standing_columns(scrap))
    sellers = pricer.problem.sellers
    # One minor unit is one unit of the goal.
    prices = Prices({}, {}, dict.fromkeys(sellers, 1.0), {}, {})
    for money in FIRST_MONEY:
        plans, _ = pricer.best(Worth(((("fine", 0), float(money)),)), prices, 0, FIRST_WANTED)
        found.update((column, None) for _, column in plans)
    return Begun(pricer.figures, tuple(found), pricer.bundled())


class Here:
    """The work done in this process, class by class."""

    def __init__(self, classes: Sequence[PcClass], stock: Stock) -> None:
        self.classes, self.stock = tuple(classes), stock
        self._pricers: dict[int, Pricer] = {}

    def pricer(self, number: int) -> Pricer:
        """The pricer of a class, made when it is first asked for."""
        if number not in self._pricers:
            one = self.classes[number]
            self._pricers[number] = Pricer(
                one, self.stock.catalog, self.stock.take_outs.get(one.key, ()), self.stock.least_speedup
            )
        return self._pricers[number]

    def begin(self) -> list[Begun]:
        """Every class begun."""
        return [self.begin_one(number) for number in range(len(self.classes))]

    def begin_one(self, number: int) -> Begun:
        return begun(self.pricer(number), self.stock.scrap)

    def ask(self, questions: Sequence[Question]) -> list[Answer]:
        """The answer to each question."""
        return [self.answer(question) for question in questions]

    def answer(self, question: Question) -> Answer:
        return self.pricer(question.number).best(
            question.worth, question.prices, question.floor, question.wanted
        )
