"""Which sightings are of one part, and the part's id.

Two sightings are the same part when a person gave both one id or joined them, when both carry the same valid
GTIN, or the same maker and maker's part number, or when one seller calls both by one name and states at most one maker
of them. Everything else is at most a proposal (near.py). The id does
not depend on the order in which files came: it is made from the best identifier of the whole group.
"""

from __future__ import annotations

import hashlib
import re
import sqlite3
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from stdnum import ean

from partsolver.catalog.dictionary import RESERVED

# GS1 General Specifications, section 1.4 (prefixes): 020-029, 040-049 and 200-299 are for use inside a
# company, so two sellers' numbers of these prefixes say nothing about each other (ranges from memory).
_INSIDE_A_COMPANY = ("02", "04", "2")
# A part number of fewer letters and digits is a series or a colour.
LEAST_NUMBER = 5
_LONGEST_ID = 60


def gtin14(text: str | None) -> str | None:
    """A GTIN of 8, 12, 13 or 14 digits with a right check digit (GS1: modulo 10, weights 3 and 1 from the
    right), with zeros in front to 14 digits; None for anything else."""
    digits = re.sub(r"[\s'-]", "", text or "")
    if digits.isascii() and digits.isdigit() and len(digits) == 11:
        digits = "0" + digits  # a spreadsheet took the leading zero of a GTIN-12 for nothing
    if not digits.strip("0") or not ean.is_valid(digits):
        return None
    return digits.zfill(14)


def joins_sellers(gtin: str) -> bool:
    """Whether a GTIN-14 means the same article at every seller. A leading 1 to 8 is a carton of it."""
    return gtin[0] == "0" and not gtin[1:].startswith(_INSIDE_A_COMPANY)


def plain_number(text: str | None) -> str | None:
    """A maker's part number as it is compared: letters and digits only; None when it is too short."""
    plain = re.sub(r"[^a-z0-9]", "", (text or "").casefold())
    return plain if len(plain) >= LEAST_NUMBER and any(c.isdigit() for c in plain) else None


@lru_cache(maxsize=4096)
def plain_maker(text: str | None) -> str:
    """A maker's name as it is compared."""
    return re.sub(r"[^a-z0-9]", "", slug(text or ""))


# Letters that do not come apart into a plain one and a mark.
_LETTERS = str.maketrans(
    {"ł": "l", "Ł": "L", "ß": "ss", "ø": "o", "Ø": "O", "đ": "d", "æ": "ae", "œ": "oe", "ı": "i"}
)


def slug(text: str) -> str:
    """Text as part of an id: lower-case ASCII letters and digits joined by hyphens."""
    if not text.isascii():
        text = unicodedata.normalize("NFKD", text.translate(_LETTERS)).encode("ascii", "ignore").decode()
    plain = text.lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")


@dataclass
class Seen:
    """The identifying cells of one stored sighting."""

    key: str
    seller: str
    table: str
    name: str
    maker: str | None
    mpn: str | None
    gtin: str | None
    own_id: str | None
    part: str | None

    @property
    def name_key(self) -> str | None:
        """Seller and name of one that is known by them, without its maker."""
        seller, scheme, name, *_ = self.key.split("\t")
        return f"{seller}\t{scheme}\t{name}" if scheme == "name" else None

    def group_keys(self) -> Iterable[tuple[str, ...]]:
        """Keys that it shares with every sighting of the same part."""
        if self.own_id:
            yield ("id", self.own_id)
        if self.gtin and joins_sellers(self.gtin):
            yield ("gtin", self.gtin, self.table)
        number = plain_number(self.mpn)
        if number and plain_maker(self.maker):
            yield ("mpn", plain_maker(self.maker), number, self.table)


def stored_sightings(connection: sqlite3.Connection) -> list[Seen]:
    """All sightings, in the order of their keys."""
    query = "SELECT key, seller, tab, name, maker, mpn, gtin, own_id, part FROM sightings ORDER BY key"
    return [Seen(*row) for row in connection.execute(query)]


def grouped(seen: Iterable[Seen], joined: Iterable[tuple[str, str]]) -> list[list[Seen]]:
    """Sightings that are of one part, by union of what they share. ``joined``: pairs of keys of sightings
    that a person said are one part."""
    parent: dict[object, object] = {}

    def root(one: object) -> object:
        parent.setdefault(one, one)
        while parent[one] != one:
            parent[one] = parent[parent[one]]
            one = parent[one]
        return one

    listed = list(seen)
    for one in listed:
        for key in one.group_keys():
            parent[root(key)] = root(one.key)
    for alike in _of_one_name(listed):
        for one in alike[1:]:
            parent[root(one.key)] = root(alike[0].key)
    known = {one.key for one in listed}
    for first, second in joined:
        if first in known and second in known:
            parent[root(first)] = root(second)
    groups: dict[object, list[Seen]] = {}
    for one in listed:
        groups.setdefault(root(one.key), []).append(one)
    return list(groups.values())


def _of_one_name(listed: Iterable[Seen]) -> list[list[Seen]]:
    """Sightings of one seller and name of which at most one maker is stated. (An older version of this program
    kept all of a name as one, whatever their makers.)"""
    named: dict[str, list[Seen]] = {}
    for one in listed:
        key = one.name_key
        if key is not None:
            named.setdefault(key, []).append(one)
    return [
        alike
        for alike in named.values()
        if len(alike) > 1 and len({one.key for one in alike if one.key != one.name_key}) == 1
    ]


def part_id(group: list[Seen]) -> str:
    """The id of a group: the one a person gave (the first in order), else maker and part number, else
    GTIN, else the seller's article by name; the same whatever came first."""
    own = sorted({one.own_id for one in group if one.own_id})
    if own:
        return own[0]
    by_number = sorted(
        {f"{slug(one.maker or '')}-{slug(one.mpn or '')}" for one in group if one.maker and one.mpn}
    )
    gtins = sorted({one.gtin for one in group if one.gtin and joins_sellers(one.gtin)})
    if by_number:
        made = by_number[0]
    elif gtins:
        made = f"gtin-{gtins[0].lstrip('0')}"
    else:
        first = min(group, key=lambda one: one.key)
        short = hashlib.sha256((first.name_key or first.key).encode()).hexdigest()[:4]
        made = f"{slug(first.name)[: _LONGEST_ID - 5].strip('-')}-{short}".strip("-")
    if made.startswith(RESERVED):
        made = "x-" + made
    return made[:_LONGEST_ID].strip("-._") or "part"


def ids_of(groups: Iterable[list[Seen]]) -> dict[str, str]:
    """Sighting key -> part id; two groups whose ids would be alike are told apart by a suffix of their
    keys."""
    wanted: dict[str, list[list[Seen]]] = {}
    for group in groups:
        wanted.setdefault(part_id(group), []).append(group)
    found: dict[str, str] = {}
    for made, alike in wanted.items():
        for group in alike:
            name = made
            if len(alike) > 1 and not any(one.own_id == made for one in group):
                first = min(one.key for one in group)
                name = f"{made}-{hashlib.sha256(first.encode()).hexdigest()[:6]}"
            found |= {one.key: name for one in group}
    return found


def moved(seen: Iterable[Seen], ids: Mapping[str, str]) -> dict[str, str]:
    """Old part id -> new one, for sightings whose part has another id now."""
    return {one.part: ids[one.key] for one in seen if one.part and one.part != ids[one.key]}
