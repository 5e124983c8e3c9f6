"""What comes with a part depends on who sells it: an offer's own words override the part's row.

A new part comes as its maker packs it. Of a used or refurbished one only what its seller states is known: the
shield, the boxed cooler and the paste may be gone, and the firmware may be older than what is shipped today
(cases B22 and B28; common practice). The same of a board that was built for a PC maker, new or not: its shield
and its firmware are that maker's own. What is built in stays: an integrated shield cannot get lost.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from partsolver.catalog.dictionary import UNKNOWN
from partsolver.catalog.records import Bundle, Offer, Seller
from partsolver.problem.candidates import SlotName

# By slot: facts of the part that an offer may override -> the offer's column.
OVERRIDES: Mapping[SlotName, Mapping[str, str]] = {
    "board": {"firmware_shipped": "firmware", "shield": "shield"},
    "cpu": {"boxed_cooler": "boxed_cooler"},
    "cooler": {"paste_included": "paste_included"},
    "psu": {"condition": ""},
}
# Values that say the same of every piece, used or new.
_LASTING: Mapping[str, tuple[Any, ...]] = {
    "firmware_shipped": (),
    "shield": ("integrated", "missing"),
    "boxed_cooler": (False,),
    "paste_included": (False,),
    "condition": ("good", "noisy", "bulged", "failed-start"),
}
Facts = tuple[Any, ...]


def with_condition(source: Any, sellers: Mapping[str, Seller]) -> Any:
    """An offer or bundle whose state is stated or follows: a shop that says nothing sells new goods (assumed,
    and said so); of anybody else's it is not known."""
    if source.condition is None and sellers[source.seller].kind == "shop":
        return replace(source, condition="new")
    return source


def sold_facts(slot: SlotName, part: Any, source: Offer | Bundle | None) -> Facts:
    """The facts of ``OVERRIDES`` as one seller sells the part; ``source`` None: as its maker packs it."""
    found = []
    for fact, column in OVERRIDES.get(slot, {}).items():
        own, stated = getattr(part, fact), getattr(source, column, None) if column else None
        if stated is not None:
            found.append(None if stated == UNKNOWN else stated)
        elif source is None or (
            source.condition == "new" and getattr(source, "made_for", None) != "complete-pc"
        ):
            # Goods sold as new show no damage.
            found.append("good" if fact == "condition" and own is None else own)
        else:
            found.append(own if own in _LASTING[fact] else None)
    return tuple(found)


def variant_key(slot: SlotName, part: Any, facts: Facts) -> str:
    """The key of a part in this state: its id as its maker packs it, else with what is different."""
    if facts == sold_facts(slot, part, None):
        return str(part.id)
    return f"{part.id}@{'/'.join(_word(value) for value in facts)}"


def _word(value: Any) -> str:
    return str({None: UNKNOWN, True: "included", False: "missing"}.get(value, value))


def variants(
    slot: SlotName, part: Any, offers: Iterable[Offer], bundles: Iterable[Bundle] = ()
) -> Iterator[tuple[str, Any, list[Offer]]]:
    """(key, part with its facts, offers) of every state in which a part is sold, as its maker packs it
    first; ``bundles``: those that hold it."""
    sold: dict[Facts, list[Offer]] = defaultdict(list)
    for offer in offers:
        sold[sold_facts(slot, part, offer)].append(offer)
    for bundle in bundles:
        sold.setdefault(sold_facts(slot, part, bundle), [])
    names = tuple(OVERRIDES.get(slot, {}))
    usual = sold_facts(slot, part, None)
    for facts in sorted(sold, key=lambda f: (f != usual, *map(str, f))):
        changes = {n: v for n, v in zip(names, facts, strict=True) if getattr(part, n) != v}
        yield variant_key(slot, part, facts), replace(part, **changes) if changes else part, sold[facts]
