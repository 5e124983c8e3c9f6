"""Rows of a catalogue that look like one product, and prices that stand far from those of the like."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise
from statistics import median_low
from typing import Any

from partsolver.base.records import record
from partsolver.catalog.dictionary import columns
from partsolver.catalog.load import Catalog
from partsolver.catalog.records import PART_TABLES, Offer
from partsolver.catalog.store.questions import NO_FACTS
from partsolver.catalog.titles.models import model_words

# A price is out of line beyond these multiples of the usual one; so many other prices make one usual. Of one
# and the same part sellers differ less than of parts that are only alike; a lost decimal sign is a factor of
# 100 or 1000 (common practice; titles-and-pages 10.3 has a list in which it was lost).
SAME_PART_TIMES, LEAST_OFFERS = 4, 3
LIKE_PART_TIMES, LEAST_LIKE = 12, 5
# What makes two parts alike for their price: used and new ones are told apart besides.
_LIKE: dict[str, Callable[[Any], tuple[Any, ...]]] = {
    "boards": lambda part: (part.chipset,),
    "cpus": lambda part: (part.socket, part.cores),
    "memory": lambda part: (
        part.generation,
        None if part.modules is None or part.module_mib is None else part.modules * part.module_mib,
    ),
    "drives": lambda part: (part.kind, part.capacity_gb),
}


@record
class PriceBeside:
    """An offer, the usual price it is far from (the lower median of the others, minor units), and of what
    that is."""

    offer: Offer
    table: str
    usual: int
    others: int
    of: str


def same_products(catalog: Catalog) -> Iterator[tuple[str, str, str]]:
    """(table, id, id of the row before it that may be the same product): names with the same model, and no
    fact in which the two differ."""
    for table in PART_TABLES:
        alike: dict[tuple[str, ...], list[Any]] = {}
        for part in catalog.tables[table]:
            words = model_words(part.name, table)
            if words:
                alike.setdefault(words, []).append(part)
        facts = [name for name in columns()[table] if name not in NO_FACTS]
        for rows in alike.values():
            for first, second in pairwise(rows):
                if _agree(first, second, facts):
                    yield table, second.id, first.id


def _agree(first: Any, second: Any, facts: list[str]) -> bool:
    """Whether two rows say nothing that only one of them can be."""
    if first.maker and second.maker and first.maker.casefold() != second.maker.casefold():
        return False
    pairs = [(getattr(first, name), getattr(second, name)) for name in facts]
    return all(one is None or other is None or one == other for one, other in pairs)


def prices_out_of_line(catalog: Catalog) -> Iterator[PriceBeside]:
    """Offers far from what others ask for the same part, else for parts of the same kind and state."""
    rows = {part.id: (table, part) for table in PART_TABLES for part in catalog.tables[table]}
    same: dict[Any, list[Offer]] = {}
    like: dict[Any, list[Offer]] = {}
    for offer in catalog.tables["offers"]:
        if offer.price <= 0 or offer.part not in rows:
            continue
        same.setdefault(offer.part, []).append(offer)
        key = _like_key(*rows[offer.part], offer)
        if key is not None:
            like.setdefault(key, []).append(offer)
    for offer in catalog.tables["offers"]:
        if offer.price <= 0 or offer.part not in rows:
            continue
        table, part = rows[offer.part]
        key = _like_key(table, part, offer)
        for others, least, times, of in (
            (same[offer.part], LEAST_OFFERS, SAME_PART_TIMES, "the same part"),
            ([] if key is None else like[key], LEAST_LIKE, LIKE_PART_TIMES, "parts like it"),
        ):
            prices = [other.price for other in others if other is not offer]
            if len(prices) < least:
                continue
            usual = median_low(prices)
            if offer.price * times < usual or offer.price > usual * times:
                yield PriceBeside(offer, table, usual, len(prices), of)
                break


def _like_key(table: str, part: Any, offer: Offer) -> tuple[Any, ...] | None:
    """What an offer is compared by; None where a fact of it is not known."""
    of = _LIKE.get(table)
    facts = () if of is None else of(part)
    return (table, *facts, offer.condition == "new") if facts and None not in facts else None
