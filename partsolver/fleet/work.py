"""The work on one class, as tasks that any worker can do: what it answers depends on its task alone.

A worker keeps what it has made of a class (the joined problem, what the rules said) for the next task.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any

from partsolver.base.records import record
from partsolver.catalog.load import Catalog
from partsolver.fleet.columns import Pricer
from partsolver.fleet.goals import ClassFigures, Worth
from partsolver.fleet.prices import OfferNumbers, Prices
from partsolver.fleet.records import Column, ColumnKind, Goods, PcClass, TakeOut
from partsolver.problem.problem import Problem

# Money for a thousandth of the time (minor units) at which the first plans of a class are looked for.
FIRST_MONEY = (2, 5, 10, 20, 50, 100, 200, 500, 2000)
FIRST_WANTED = 3


@record
class Stock:
    """What all classes share, named by a digest of all that answers depend on: it travels once to each
    worker."""

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
class First:
    """Begin a class."""

    number: int


@record
class Question:
    """Which plans of a class are worth more than ``floor`` (SCALE) at these prices, ``wanted`` at most?
    ``spread``: of those that share short parts with a better one, none but the best."""

    number: int
    worth: Worth
    prices: Prices
    floor: int
    wanted: int
    spread: bool = False


Answer = tuple[tuple[tuple[int, Column], ...], bool]
Ask = Callable[[Sequence[Question]], Sequence[Answer]]
# A kind of column and its candidates: enough to make it again.
ColumnName = tuple[ColumnKind, tuple[str, ...]]


@record
class Former:
    """Make the columns of plans that PCs of a class have, where they can still be had (else None)."""

    number: int
    names: tuple[ColumnName, ...]


Task = First | Question | Former


class Workers:
    """Who does tasks. Whoever is one says how (``each``)."""

    def __init__(self, classes: Sequence[PcClass], stock: Stock) -> None:
        self.classes, self.stock = tuple(classes), stock

    def each(self, tasks: Sequence[Task]) -> Iterator[tuple[int, Any]]:
        """Place and answer of every task, in any order, as they are done."""
        raise NotImplementedError

    def begin(self, progress: Callable[[int], None] = lambda done: None) -> list[Begun]:
        """Every class begun; ``progress`` is told how many are."""
        return self._all([First(number) for number in range(len(self.classes))], progress)

    def ask(self, questions: Sequence[Question]) -> list[Answer]:
        """The answer to each question, in their order."""
        return self._all(questions, lambda done: None)

    def former(self, tasks: Sequence[Former]) -> list[list[Column | None]]:
        """The columns of former plans of each class."""
        return self._all(tasks, lambda done: None)

    def _all(self, tasks: Sequence[Task], progress: Callable[[int], None]) -> list[Any]:
        found: dict[int, Any] = {}
        for place, answer in self.each(tasks):
            found[place] = answer
            progress(len(found))
        return [found[place] for place in range(len(tasks))]


class Here(Workers):
    """The work done in this process, class by class."""

    def __init__(self, classes: Sequence[PcClass], stock: Stock) -> None:
        super().__init__(classes, stock)
        self._pricers: dict[int, Pricer] = {}
        self._alike: dict[Any, Problem] = {}
        self._numbers = OfferNumbers()

    def pricer(self, number: int) -> Pricer:
        """The pricer of a class, made when it is first asked for."""
        if number not in self._pricers:
            one, stock = self.classes[number], self.stock
            # Kinds of PCs share what rules said, those with the same wishes most.
            wishes = (one.brief.use, one.brief.model_dump_json(exclude={"without"}))
            like = self._alike.get(wishes, next(iter(self._alike.values()), None))
            taken = stock.take_outs.get(one.key, ())
            made = Pricer(one, stock.catalog, taken, stock.least_speedup, like, self._numbers)
            self._pricers[number] = made
            self._alike.setdefault(wishes, made.problem)
        return self._pricers[number]

    def each(self, tasks: Sequence[Task]) -> Iterator[tuple[int, Any]]:
        for place, task in enumerate(tasks):
            yield place, self.do(task)

    def do(self, task: Task) -> Begun | Answer | list[Column | None]:
        """The answer to one task."""
        pricer = self.pricer(task.number)
        if isinstance(task, First):
            return _begun(pricer, _first_columns(pricer, self.stock.scrap))
        if isinstance(task, Question):
            return pricer.best(task.worth, task.prices, task.floor, task.wanted, task.spread)
        return [_former(pricer, kind, keys) for kind, keys in task.names]


def _begun(pricer: Pricer, columns: Sequence[Column]) -> Begun:
    return Begun(pricer.figures, tuple(columns), pricer.bundled())


def _former(pricer: Pricer, kind: ColumnKind, keys: tuple[str, ...]) -> Column | None:
    try:
        return pricer.column_of(kind, keys)
    except KeyError:
        return None


def _first_columns(pricer: Pricer, scrap: bool) -> list[Column]:
    """The first columns of a class, at the prices of the catalogue and several worths of time."""
    found: dict[Column, None] = dict.fromkeys(pricer.standing_columns(scrap))
    # One minor unit is one unit of the goal.
    prices = Prices({}, {}, dict.fromkeys(pricer.problem.sellers, 1.0), {}, {})
    for money in FIRST_MONEY:
        plans, _ = pricer.best(Worth(((("fine", 0), float(money)),)), prices, 0, FIRST_WANTED)
        found.update((column, None) for _, column in plans)
    return list(found)
