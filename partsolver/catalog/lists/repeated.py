"""Rows of one list that speak of one article more than once: what of them is one offer, and numbers that stand at
different articles."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

from partsolver.catalog.store.identity import plain_maker
from partsolver.catalog.store.records import LeftOut, OfferSeen, Sighting
from partsolver.catalog.titles.models import own_words

# The numbers that make rows one article, here and with other sources.
_NUMBERS = ("sku", "mpn", "gtin")


def once_each(sightings: Sequence[Sighting], shelf: bool) -> tuple[list[Sighting], list[LeftOut]]:
    """The sightings with one offer of each article, and what was put aside for it. Rows that differ in number, text,
    state or day are offers to choose from. Rows that differ in nothing of it are one: nobody could order the cheaper
    of two prices, so of those that are there the dearest counts. On a ``shelf`` each such row is more pieces."""
    kept, left = _with_own_numbers(sightings)
    alike: dict[object, list[int]] = {}
    for place, one in enumerate(kept):
        alike.setdefault(_told_apart_by(one, shelf), []).append(place)
    gone: set[int] = set()
    for places in alike.values():
        if len(places) == 1:
            continue
        rows = [kept[place] for place in places]
        best = max(range(len(rows)), key=lambda nth: (*_worth(rows[nth].offers[0]), -nth))
        if shelf:
            pieces = sum(_stock(row.offers[0]) or 0 for row in rows)
            kept[places[best]] = _with_stock(rows[best], pieces)
        else:
            left += [_put_aside(row, rows[best]) for nth, row in enumerate(rows) if nth != best]
        gone |= {place for place in places if place != places[best]}
    return [one for place, one in enumerate(kept) if place not in gone], left


def _told_apart_by(one: Sighting, shelf: bool) -> object:
    """All that a person can name in an order, and when and how the goods come; not price and count (on a shelf not
    the count)."""
    (offer,) = one.offers
    cells = tuple(cell for cell in offer.cells if cell[0] != "stock")
    name = " ".join(one.name.casefold().split())
    money = (offer.currency, offer.tax, offer.tax_percent_x100, offer.price_minor if shelf else None)
    return one.key, plain_maker(one.maker), name, cells, money


def _stock(offer: OfferSeen) -> int | None:
    stated = dict(offer.cells).get("stock")
    return None if stated is None else int(stated)


def _worth(offer: OfferSeen) -> tuple[bool, int, int]:
    """What counts of several: those that are there before the sold out, the dearest, the larger count."""
    stock = _stock(offer)
    return stock != 0, offer.price_minor, -1 if stock is None else stock


def _with_stock(one: Sighting, pieces: int) -> Sighting:
    (offer,) = one.offers
    cells = tuple(sorted({**dict(offer.cells), "stock": str(pieces)}.items()))
    return replace(one, offers=(replace(offer, cells=cells),))


def _put_aside(row: Sighting, counted: Sighting) -> LeftOut:
    (offer,), (other,) = row.offers, counted.offers
    same = (offer.price_minor, offer.cells) == (other.price_minor, other.cells)
    return LeftOut(row.origin, row.place, row.name, "repeated" if same else "otherwise", counted.place)


def _with_own_numbers(sightings: Sequence[Sighting]) -> tuple[list[Sighting], list[LeftOut]]:
    """The sightings without numbers that stand at articles that are not one (a cell filled down, a code of a group):
    such a number would give one the facts and the price of the other."""
    kept = list(sightings)
    wrong: dict[int, list[str]] = {}
    for number in _NUMBERS:
        holders: dict[str, list[int]] = {}
        for place, one in enumerate(sightings):
            value: str | None = getattr(one, number)
            if value:
                holders.setdefault(value.casefold(), []).append(place)
        for places in holders.values():
            if len(places) > 1 and not _are_one([sightings[place] for place in places]):
                for place in places:
                    wrong.setdefault(place, []).append(getattr(sightings[place], number))
                    without: dict[str, Any] = {number: None}
                    kept[place] = replace(kept[place], **without)
    left = [
        LeftOut(kept[place].origin, kept[place].place, kept[place].name, "same-number", ", ".join(numbers))
        for place, numbers in sorted(wrong.items())
    ]
    return kept, left


def _are_one(rows: Sequence[Sighting]) -> bool:
    """Whether rows can be of one article: one kind, one maker, no fact of which they say two values, and no model
    that one has and another has otherwise."""
    if len({row.table for row in rows}) > 1 or len({plain_maker(row.maker) for row in rows if row.maker}) > 1:
        return False
    values: dict[str, str] = {}
    for row in rows:
        for fact in row.facts:
            if values.setdefault(fact.column, fact.value.casefold()) != fact.value.casefold():
                return False
    names = sorted({row.name for row in rows})
    models = sorted((set(_model(name, rows[0].table)) for name in names), key=len)
    return all(shorter <= longer for shorter, longer in pairwise(models))


def _model(name: str, table: str) -> Iterator[str]:
    """The words of a title with a digit that are the maker's own: its model."""
    words: Iterable[str] = own_words(name, table)
    return (word for word in words if any(letter.isdigit() for letter in word))
