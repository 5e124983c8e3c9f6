"""Words about a store: marks, tables, and why a row was left out."""

from __future__ import annotations

from collections.abc import Sequence

from partsolver.catalog.lists.limits import NOT_READ

# Of parts that are only listed so many are named.
MOST_NAMED = 5
TABLES = {
    "boards": ("board", "boards"),
    "cpus": ("processor", "processors"),
    "memory": ("memory", "memory"),
    "coolers": ("cooler", "coolers"),
    "extras": ("extra", "extras"),
    "psus": ("supply", "supplies"),
    "cases": ("case", "cases"),
    "drives": ("drive", "drives"),
    "graphics": ("graphics card", "graphics cards"),
}
MARKS = {
    "typed": "typed by you",
    "sheet": "maker's sheet",
    "printed": "printed by the seller",
    "title": "read from a title",
    "platform": "by platform",
    "contradictory": "contradictory",
    "unknown": "unknown",
}
# How the marks are counted in one line.
MARK_COUNTS = {
    "typed": "typed",
    "sheet": "from makers' sheets",
    "printed": "printed",
    "title": "read from titles",
    "platform": "by platform",
    "contradictory": "contradictory",
    "unknown": "unknown",
}
OLDER_LIST = (
    "older than the last list, of {date}: where that one says a price, it stays (--date states the day)"
)
FORMS = {
    "tables": "tables of a catalogue",
    "platforms": "platform rows",
    "list": "price list",
    "page": "shop page",
    "sheet": "maker's sheet",
    "text": "pasted text",
    "files": "pages and sheets",
    "none": "nothing read",
}
# How a list's prices are counted.
TAX_WORDS = {
    "net": "prices are NET; counted gross with {rate}",
    "gross": "prices hold the tax",
    "shelf": "yours: for nothing, or for the worth you say; used unless you say otherwise",
    "final": "prices are final, no tax in them can be told",
}
# What was left out, in two words.
SHORT_REASONS = {
    "unclear": "unclear",
    "computer": "not for this",
    "accessory": "not for this",
    "for-something": "not for this",
    "service": "not for this",
    "promotion": "not for this",
    "bundle": "bundles",
    "no-price": "without a price",
    "bad-price": "without a price",
    "from-price": "without a price",
    "bad-until": "with an unclear last day",
    "currency": "in another currency",
    "quantity": "not by the piece",
    "minimum": "not by the piece",
    "repeated": "repeated",
    "otherwise": "repeated at another price or count",
    "same-number": "with a number of another article",
}


def counted(count: int, table: str) -> str:
    """``70 boards``."""
    one, several = TABLES.get(table, (table, table))
    return f"{count:,} {one if count == 1 else several}"


def several_prices(parts: Sequence[str]) -> str:
    """Parts that one seller offers at more than one price; some are named."""
    more = ", ..." if len(parts) > MOST_NAMED else ""
    return f"at more than one price, look with `catalog show`: {', '.join(parts[:MOST_NAMED])}{more}"


# Why a row or file gave no part; ``detail`` is a word or value of the row.
REASONS = {
    "computer": "a whole computer ({detail})",
    "bundle": "several parts sold as one ({detail}): add it to bundles.csv if you want it considered",
    "accessory": "not a part of this job ({detail})",
    "for-something": "something for a part, not the part ({detail})",
    "service": "a service, not a part ({detail})",
    "promotion": "a promotion, not an offer ({detail})",
    "unclear": "what it is cannot be told from its name",
    "no-name": "a price without a name",
    "no-price": "no price ({detail})",
    "bad-price": "the price cannot be read ({detail})",
    "bad-until": "until when its price holds cannot be read ({detail})",
    "from-price": "a price range or from-price is no price ({detail})",
    "defective": "sold as defective ({detail})",
    "not-sold": "not for sale now ({detail})",
    "group": "a heading inside the list",
    **NOT_READ,
    "bad-value": "a value that the column does not take ({detail})",
    "currency": "a price in another currency ({detail}): say what one is worth in yours, --exchange {detail}=RATE",
    "quantity": "the price is for several pieces ({detail})",
    "minimum": "not sold one by one ({detail} at least)",
    "repeated": "the same as row {detail}: one offer",
    "otherwise": "nothing but price or count differs from row {detail}: the dearest that is there counts",
    "no-table": "a sheet without a table of names and prices",
    "no-tax": "a sheet that does not say, as another one does, whether its prices hold the tax (and at which rate): "
    "save it as a list of its own and say --tax",
    "same-number": "its number {detail} stands at another article of the list too: it is read without it",
}
