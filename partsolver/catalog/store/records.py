"""What a source says, before it is stored: facts with marks, offers as stated, sightings, rows left out."""

from __future__ import annotations

import datetime
from typing import Literal

from partsolver.base.records import record
from partsolver.catalog.store.identity import plain_maker

# Where a fact comes from (design.md section 2), the strongest first.
Mark = Literal["typed", "sheet", "printed", "title", "platform"]
MARKS: tuple[Mark, ...] = ("typed", "sheet", "printed", "title", "platform")
# Marks of facts that are inferred: a plan that stands on one is subject to a look.
INFERRED: frozenset[str] = frozenset(("title", "platform"))
# What a price holds: net = tax comes on top; gross = tax inside; final = no tax can be told (margin scheme,
# small trader).
Tax = Literal["net", "gross", "final"]
# The seller's name of facts that a person typed.
YOU = "you"


@record
class Fact:
    """One cell of one part: column of the dictionary, cell text, mark, and where in the file it stands."""

    column: str
    value: str
    mark: Mark
    place: str


@record
class OfferSeen:
    """A seller's price as stated, in minor units of its currency (None = the seller's own). ``stated_on``:
    the day of the list or page; ``cells``: further columns of offers.csv as cell texts."""

    price_minor: int
    stated_on: datetime.date
    currency: str | None = None
    tax: Tax | None = None
    tax_percent_x100: int | None = None
    cells: tuple[tuple[str, str], ...] = ()


@record
class Sighting:
    """What one source says of one article. ``table``: the part table it belongs to; ``own_id``: an id that a
    person gave; ``sku``: the seller's own number; ``leftover``: what of the title no pattern took."""

    seller: str
    table: str
    name: str
    origin: str
    place: str
    stated_on: datetime.date
    facts: tuple[Fact, ...] = ()
    offers: tuple[OfferSeen, ...] = ()
    maker: str | None = None
    mpn: str | None = None
    gtin: str | None = None
    sku: str | None = None
    own_id: str | None = None
    leftover: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        """What makes two rows of one seller the same article: an id given, else the first of the seller's
        number, the maker's number, the GTIN and the name, to which the maker belongs where it is stated."""
        if self.own_id:
            return f"{self.seller}\tid\t{self.own_id}"
        for scheme, value in (("sku", self.sku), ("mpn", self.mpn), ("gtin", self.gtin)):
            if value:
                return f"{self.seller}\t{scheme}\t{value.casefold()}"
        maker = plain_maker(self.maker)
        return self.name_key if not maker else f"{self.name_key}\t{maker}"

    @property
    def name_key(self) -> str:
        """The key by the seller and the name alone."""
        return f"{self.seller}\tname\t{' '.join(self.name.casefold().split())}"


@record
class LeftOut:
    """A row or file that gave no part: where, its text, the reason (a word of report/words/store.py) and what
    it is about."""

    origin: str
    place: str
    text: str
    reason: str
    detail: str = ""


# Reasons to leave out a whole sheet of a list: its table is no list of prices, or nothing says their tax.
WHOLE_SHEET = ("no-table", "no-tax")


@record
class Source:
    """All that one file gave. ``series``: what the lists of one seller have in common from week to week;
    what a newer list of a series no longer holds is gone. None for pages and tables of one's own."""

    origin: str
    digest: str
    stated_on: datetime.date
    seller: str | None
    sightings: tuple[Sighting, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    rows: int = 0
    series: str | None = None
    whole: bool = False  # what the same origin said before and does not say now is taken back
