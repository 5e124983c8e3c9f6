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

# The share of the best prices so far at the start; what is left of it after a better bound, and of the newest
# prices' share after a worse one.
STAYS, EASED, TIGHTENED = 0.6, 0.85, 0.6


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


def share_after(stays: float, better: bool) -> float:
    """The share of the best prices in the next mixture: less of it while bounds become better (Pessoa et al.
    2018, INFORMS Journal on Computing 30, adapt it, from memory; this rule and its factors are ours)."""
    return stays * EASED if better else 1 - (1 - stays) * TIGHTENED


def between(best: Point, newest: Point, stays: float) -> Point:
    """The mixture of two points, ``stays``: the share of the best."""
    one, other = best.prices, newest.prices
    goods = dict.fromkeys([*one.goods, *other.goods])
    offers = dict.fromkeys([*one.offers, *other.offers])
    prices = Prices(
        {g: round(_mix(one.price(g), other.price(g), stays)) for g in goods},
        {o: round(_mix(one.offer_price(o), other.offer_price(o), stays)) for o in offers},
        _mixed(one.money, other.money, stays),
        other.least_price,
        {item: round(value) for item, value in _mixed(one.taken_out, other.taken_out, stays).items()},
    )
    terms = _mixed(dict(best.worth.terms), dict(newest.worth.terms), stays)
    return Point(prices, Worth(tuple(terms.items())), _mix(best.shared, newest.shared, stays))


def _mix(best: float, newest: float, stays: float) -> float:
    return stays * best + (1 - stays) * newest


def _mixed(best: Mapping[Any, float], newest: Mapping[Any, float], stays: float) -> dict[Any, float]:
    return {
        key: _mix(best.get(key, 0.0), newest.get(key, 0.0), stays) for key in dict.fromkeys([*best, *newest])
    }
