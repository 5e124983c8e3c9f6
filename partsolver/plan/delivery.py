"""The law of delivery, and what bounds follow from it.

A seller charges one delivery for all that is ordered there, and nothing from a value of goods on
(``free_from``); an order below the seller's least value is not taken (``minimum_order``). Goods and charges
in minor units. Common practice of shops; the numbers are columns of ``sellers.csv``. The CP-SAT model states
the same law again in its own way (model/cost.py), on purpose.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from partsolver.catalog.records import Seller


def charge(seller: Seller, goods: int) -> int:
    """What a seller charges for the delivery of goods of this value."""
    return 0 if seller.free_from is not None and goods >= seller.free_from else seller.delivery


def certain_charge(seller: Seller, goods: int, still: int) -> int:
    """The least charge when the goods may still grow by ``still``: a charge never rises with the goods."""
    return charge(seller, goods + still)


def charges(sellers: Mapping[str, Seller], goods: Mapping[str, int]) -> dict[str, int]:
    """The charge of every seller of whom goods are ordered, by the seller's id, in the order of ids."""
    return {name: charge(sellers[name], goods[name]) for name in sorted(goods)}


def certain_charges(sellers: Mapping[str, Seller], goods: Mapping[str, int], still: Mapping[str, int]) -> int:
    """The sum of the least charges when each seller's goods may still grow by so much (0 where none is
    named)."""
    total = 0
    for name, value in goods.items():  # (of every node of a search: a loop takes half the time of a sum)
        total += charge(sellers[name], value + still.get(name, 0))
    return total


def most_saved_by_larger_order(seller: Seller) -> int:
    """What ordering more at a seller can save at most: the delivery, where there is a value from which it
    is free."""
    return seller.delivery if seller.free_from is not None else 0


def order_is_taken(seller: Seller, goods: int) -> bool:
    """Whether a seller takes an order of this value."""
    return goods >= seller.minimum_order


def orders_are_taken(sellers: Mapping[str, Seller], goods: Mapping[str, int]) -> bool:
    """Whether every seller takes the order."""
    return all(order_is_taken(sellers[name], value) for name, value in goods.items())


def cost_alone(seller: Seller, goods: Iterable[int]) -> int:
    """Goods with delivery when nothing else is ordered at the seller."""
    value = sum(goods)
    return value + charge(seller, value)
