"""What a store knows of an offer beside its price: since when it is stated, and how it stood before."""

from __future__ import annotations

import datetime
import sqlite3
from collections.abc import Mapping
from typing import NamedTuple

from partsolver.base.records import record
from partsolver.catalog.store.schema import CURRENCY, PAID_MINOR

# So far back a price is compared with its lowest one (the days that Directive 98/6/EC, article 6a, asks of
# sellers are 30; 90 cover a season of used goods: judgement).
HISTORY_DAYS = 90
# Of so many of the last times it is said how often it was out of stock.
LAST_TIMES = 5


@record
class PriceNote:
    """One offer of a part by a seller. stated_on: the day of the list or page; above_lowest_percent: how
    far its price lies above the lowest of the last 90 days (0: it is the lowest, or there is no older
    one); times, sold_out: how often it was seen, at most the last five, and how often out of stock then."""

    stated_on: datetime.date
    above_lowest_percent: int = 0
    times: int = 1
    sold_out: int = 0


Key = tuple[str, str]


class _Time(NamedTuple):
    """An offer on one day, at the lowest price of that day with tax."""

    day: datetime.date
    price_minor: int
    currency: str
    there: bool


def price_notes(connection: sqlite3.Connection, days: Mapping[Key, str]) -> dict[Key, PriceNote]:
    """The note of every current offer by (part, seller). ``days``: the day it is stated on, of several offers
    of one seller the oldest; what lies on the person's own shelf has none: it is no price."""
    of_day = {day: PriceNote(datetime.date.fromisoformat(day)) for day in set(days.values())}
    found = {key: of_day[day] for key, day in days.items()}
    query = (
        f"SELECT s.part, s.seller, o.stated_on, MIN({PAID_MINOR}), MIN(COALESCE({CURRENCY}, '')),"
        f" COUNT(DISTINCT COALESCE({CURRENCY}, '')),"
        " MAX(COALESCE(json_extract(o.cells, '$.stock'), '1') != '0')"
        " FROM offers o JOIN sightings s ON s.key = o.sighting LEFT JOIN sellers v ON v.id = s.seller"
        " WHERE o.sighting IN (SELECT sighting FROM offers GROUP BY sighting HAVING MIN(stated_on) < MAX(stated_on))"
        " GROUP BY s.part, s.seller, o.stated_on ORDER BY s.part, s.seller, o.stated_on"
    )
    history: dict[Key, list[_Time]] = {}
    mixed: set[Key] = set()
    for part, seller, day, price, currency, currencies, there in connection.execute(query):
        time = _Time(datetime.date.fromisoformat(day), price, currency, bool(there))
        history.setdefault((part, seller), []).append(time)
        if currencies > 1:
            mixed.add((part, seller))
    for key, times in history.items():
        if key in found and key not in mixed:
            found[key] = _noted(times)
    return found


def _noted(times: list[_Time]) -> PriceNote:
    """The note of an offer with a past, the oldest time first. Prices in another currency are compared with none."""
    now = times[-1]
    alike = (time for time in times if time.currency == now.currency)
    lowest = min(time.price_minor for time in alike if (now.day - time.day).days <= HISTORY_DAYS)
    above = 100 * (now.price_minor - lowest) // lowest if lowest else 0
    last = times[-LAST_TIMES:]
    return PriceNote(now.day, above, len(last), sum(not time.there for time in last))
