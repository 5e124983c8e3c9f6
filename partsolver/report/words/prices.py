"""Words about how old a price is, and how it stood before."""

from __future__ import annotations

import datetime

from partsolver.catalog.store.prices import HISTORY_DAYS, PriceNote
from partsolver.report.words.counts import count_of

# An older price is said (issue of the store; used goods go within days: common practice).
OLD_DAYS = 14


def price_words(note: PriceNote, today: datetime.date) -> str:
    """``price of 2026-11-02, 27 days old; 12 % above its lowest in 90 days; out of stock 3 of the last 5
    times``; "" where there is nothing to say."""
    said = []
    age = (today - note.stated_on).days
    if age > OLD_DAYS:
        said.append(f"price of {note.stated_on}, {age} days old: ask before ordering")
    if note.above_lowest_percent:
        said.append(f"{note.above_lowest_percent} % above its lowest in {HISTORY_DAYS} days")
    if note.sold_out:
        said.append(f"out of stock {note.sold_out} of the last {note.times} times")
    return "; ".join(said)


def old_price_words(days: int) -> str:
    """Said below the answer where a price of the first plan is old, or was stated after the day of the order."""
    if days < 0:
        return f"The order is dated {count_of(-days, 'day')} before the prices of plan 1 were stated: check --today."
    return "" if days <= OLD_DAYS else f"A price of plan 1 is {days} days old: ask before ordering."
