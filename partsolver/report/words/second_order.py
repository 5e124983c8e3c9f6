"""Words about what a second order would cost."""

from __future__ import annotations

from collections.abc import Sequence

from partsolver.plan.outcome import SecondOrder
from partsolver.report.words.record import Names


def second_order_words(order: SecondOrder, names: Names, cost: str, back: str, day: str, seller: str) -> str:
    """What is ordered again, for how much, and what comes back of the first; ``cost``, ``back``: amounts,
    ``day``: of arrival, ``seller``: its name."""
    returned = f"{back} come back of the first"
    if order.back is None:
        returned = "ask the seller of the bundle what comes back of the first"
    elif not order.back:
        returned = "nothing comes back of the first"
    if order.id is None:
        return f"nobody has a second one, and no other part takes its place; {returned}."
    other = "" if order.id == order.part else f"{names.get(order.id, order.id)} instead, "
    return f"{other}{cost} from {seller}, there on {day}; {returned}."


def second_order_summary(orders: Sequence[SecondOrder], names: Names, most: str) -> str:
    """One sentence over all of them; ``most``: the dearest amount; "" where nothing is bought."""
    if not orders:
        return ""
    alone = [names.get(order.part, order.part) for order in orders if order.id is None]
    without = f"; of {', '.join(alone)} nobody has a second one" if alone else ""
    if len(alone) == len(orders):
        return f"if one arrives dead: nobody has a second one of {', '.join(alone)}"
    return f"if one arrives dead: a second order of it costs up to {most}{without}"
