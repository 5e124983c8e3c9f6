"""Stock and delivery as sellers write them."""

from __future__ import annotations

import csv
import datetime
import math
import re
from functools import cache, lru_cache
from importlib import resources

from partsolver.base.records import record

# schema.org release 30.0, ItemAvailability: all members, and whether an order is sent now. OnlineOnly,
# PreSale, MadeToOrder, Reserved and SoldOut are said by pages only.
BUYABLE_NOW = {
    "InStock": True,
    "LimitedAvailability": True,
    "OnlineOnly": True,
    "InStoreOnly": True,
    "BackOrder": False,
    "PreOrder": False,
    "PreSale": False,
    "MadeToOrder": False,
    "Reserved": False,
    "OutOfStock": False,
    "SoldOut": False,
    "Discontinued": False,
}
_WEEK = re.compile(
    r"(?:KW|CW|week|wk\.?|sem\.?|semaine|semana|sett\.?|settimana|tydz\.?|tydzień|týden|týd\.?|uge|uke|vecka|viikko|vko|hét|нед\.?|неделя|săpt\.?|v\.)\s*(\d{1,2})(?:[\s/.,]+(20\d\d)(?!\d))?",
    re.IGNORECASE,
)
_DAY = re.compile(r"(?<!\d)(\d{1,2})[./](\d{1,2})(?:[./](\d{2,4}))?\.?(?!\d)")
_ISO = re.compile(r"(\d{4})-(\d{2})-(\d{2})")
_MOST_STOCK = 1_000_000


@record
class Stock:
    """What a list says of stock: pieces (a lower bound; None = not stated), an ItemAvailability, the day
    from which it can be sent."""

    pieces: int | None = None
    availability: str | None = None
    available_on: datetime.date | None = None

    @property
    def sold_now(self) -> bool:
        """Whether it can be ordered now, or on a day that is said."""
        if self.pieces is not None and self.pieces > 0:
            return True
        if self.available_on is not None:
            return True
        return self.pieces is None and BUYABLE_NOW.get(self.availability or "InStock", True)


@cache
def _words() -> list[tuple[str, str, re.Pattern[str]]]:
    text = resources.files("partsolver.catalog.lists").joinpath("stock_words.csv").read_text(encoding="utf-8")
    pairs = [
        (word, row["availability"])
        for row in csv.DictReader(text.splitlines())
        for word in row["words"].split("|")
    ]
    pairs.sort(key=lambda pair: (-len(pair[0]), pair[0]))
    return [
        (word, availability, re.compile(rf"(?<!\w){re.escape(word)}(?!\w)")) for word, availability in pairs
    ]


@lru_cache(maxsize=4096)
def availability_of(text: str) -> str | None:
    """The ItemAvailability of words in any of the languages; the longest words first ("nicht auf Lager")."""
    folded = text.casefold()
    for word, availability, pattern in _words():
        match = pattern.search(folded) if word in folded else None
        if match is not None:
            there = availability in ("InStock", "LimitedAvailability")
            return "OutOfStock" if there and _is_denied(folded, match) else availability
    return None


_NO = r"(?:nicht|kein(?:e[nrms]?)?|not?|non|ne|nie|niet|geen|ikke|inte|ej|ei|sin|sans|sem|senza|bez|brak|nem|nu|не|нет|ні)"
_NO_BEFORE = re.compile(rf"(?<!\w){_NO}(?:\s+\w+)?\s+$")
_NO_BEHIND = re.compile(r"\s*[:=]?\s*(?:nein|no|non|nie|ne|nee|nej|нет|ні|0)(?!\w)")


def _is_denied(folded: str, match: re.Match[str]) -> bool:
    """Whether words of stock are denied before ("zur Zeit nicht lagernd") or behind ("auf Lager: nein")."""
    return bool(_NO_BEFORE.search(folded[: match.start()]) or _NO_BEHIND.match(folded[match.end() :]))


# A column of stock may only say yes or no.
_BARE_NO = re.compile(r"(?:nein|no|non|nie|ne|nee|nej|não|nao|нет|ні|✗|✘)", re.IGNORECASE)
_BARE_YES = re.compile(r"(?:ja|yes|sí|si|sì|oui|tak|ano|sim|igen|да|так|✓|✔)", re.IGNORECASE)


def _bare_word(text: str) -> str | None:
    """What a cell of stock says that is nothing but yes or no."""
    word = text.strip(" .!")
    if _BARE_NO.fullmatch(word):
        return "OutOfStock"
    return "InStock" if _BARE_YES.fullmatch(word) else None


def stock_of(cell: object, delivery: object, listed_on: datetime.date) -> Stock:
    """Stock and delivery cells together. A negative number is none; of "5 / 12" only the first is at hand;
    a zero with a day or time beside it is a back order. A bare number is a count ("3.0", as spreadsheets write it),
    never a day of the year."""
    pieces, availability, day = None, None, None
    if isinstance(cell, int | float) and not isinstance(cell, bool):
        # 1e999 in a file is no number that anybody counted.
        counted = not isinstance(cell, float) or math.isfinite(cell)
        pieces = max(0, int(cell)) if counted else None
    elif isinstance(cell, datetime.date):
        day = cell
    elif cell is not None:
        text = str(cell).strip()
        number = re.fullmatch(
            r"(?:>|≥|ca\.?|~|über|over)?\s*(-?\d{1,7})(?:[.,]\d\d?)?\s*\+?\s*(?:/\s*\d+)?\s*(?:st\.?|stk\.?|stück|pcs|szt\.?|шт\.?)?",
            text,
            re.IGNORECASE,
        )
        said = re.search(r"(?<!\d)(\d{1,6})(?!\d)", text)
        if number is not None:
            pieces = max(0, int(number[1]))
        else:
            availability = availability_of(text) or _bare_word(text)
            day = day_of(text, listed_on)
            if availability in ("InStock", "LimitedAvailability") and day is None:
                if any(pattern.search(text) for pattern in (_ISO, _WEEK, _DAY)):
                    availability = "BackOrder"  # from a day on that there is not
                elif said is not None:
                    pieces = int(said[1])
    if delivery not in (None, ""):
        day = delivery if isinstance(delivery, datetime.date) else day or day_of(str(delivery), listed_on)
        availability = availability or availability_of(str(delivery))
    if isinstance(day, datetime.datetime):
        day = day.date()
    return Stock(None if pieces is None else min(pieces, _MOST_STOCK), availability, day)


def day_of(text: str, listed_on: datetime.date, *, earliest: bool = False) -> datetime.date | None:
    """The day that words name: an ISO week is its Monday, the next one after the list's day; a day without
    a year likewise. Of 03/04/2026, which is a day of March or of April, the later one counts: nothing comes before it
    is there; the earlier one where ``earliest`` asks for it. None where no day is said."""
    iso, week, day = _ISO.search(text), _WEEK.search(text), _DAY.search(text)
    try:
        if iso is not None:
            return datetime.date(int(iso[1]), int(iso[2]), int(iso[3]))
        if week is not None:
            # Around New Year the year of a week is that of its Thursday (ISO 8601).
            this_year, this_week, _ = listed_on.isocalendar()
            of_year = int(week[2]) if week[2] else this_year + (int(week[1]) < this_week)
            return datetime.date.fromisocalendar(of_year, int(week[1]), 1)
        if day is not None:
            first, second = int(day[1]), int(day[2])
            # With points the day stands first; with strokes (1/12, 12/31) either may.
            orders = {(first, second), (second, first)} if "/" in day[0] else {(first, second)}
            month, number = (min if earliest else max)((m, d) for d, m in orders if m <= 12)
            past = (month, number) < (listed_on.month, listed_on.day)
            year = int(day[3]) if day[3] else listed_on.year + past
            return datetime.date(year + (2000 if year < 100 else 0), month, number)
    except ValueError:
        return None
    return None
