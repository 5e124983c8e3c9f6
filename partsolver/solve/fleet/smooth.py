"""Prices between those of two relaxations.

From round to round the prices of a relaxation jump, and bounds at such prices are poor. Halfway between the
best prices so far and the newest they settle sooner (in-out separation; Ben-Ameur and Neto 2007, Networks 49:
section 3). A mixture of two relaxations' prices bounds every choice as each of them does: what its rows and
limits are worth is at most the mixture of what they are worth at both.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from partsolver.base.records import record
from partsolver.fleet.goals import ClassFigures, Worth
from partsolver.fleet.prices import SCALE, Prices
from partsolver.fleet.records import Column

# The share of the best prices so far.
STAYS = 0.6


@record
class Point:
    """Prices, the worth of times, and what the shared rows are worth at them (units of the goal): with the
    best column of every PC they bound every choice."""

    prices: Prices
    worth: Worth
    shared: float

    def of_standing(self, figures: ClassFigures, columns: Sequence[Column]) -> int:
        """What the best of the columns that need nothing is worth (SCALE)."""
        return max(self._of_column(figures, column) for column in columns)

    def _of_column(self, figures: ClassFigures, column: Column) -> int:
        measures = sum(factor * figures.of_column(m, column) for m, factor in self.worth.terms)
        given = sum(n * self.prices.taken_out.get(item, 0) for item, n in column.released)
        return round(measures * SCALE) + given


def between(best: Point, newest: Point) -> Point:
    """The mixture of two points."""
    one, other = best.prices, newest.prices
    goods = dict.fromkeys([*one.goods, *other.goods])
    offers = dict.fromkeys([*one.offers, *other.offers])
    prices = Prices(
        {g: _mixed_number(one.price(g), other.price(g)) for g in goods},
        {o: _mixed_number(one.offer_price(o), other.offer_price(o)) for o in offers},
        _mixed(one.money, other.money),
        other.least_price,
        {item: round(value) for item, value in _mixed(one.taken_out, other.taken_out).items()},
    )
    terms = _mixed(dict(best.worth.terms), dict(newest.worth.terms))
    return Point(prices, Worth(tuple(terms.items())), _mix(best.shared, newest.shared))


def _mix(best: float, newest: float) -> float:
    return STAYS * best + (1 - STAYS) * newest


def _mixed_number(best: int, newest: int) -> int:
    return round(_mix(best, newest))


def _mixed(best: Mapping[Any, float], newest: Mapping[Any, float]) -> dict[Any, float]:
    return {key: _mix(best.get(key, 0.0), newest.get(key, 0.0)) for key in dict.fromkeys([*best, *newest])}
