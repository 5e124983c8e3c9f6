"""What comes with a part depends on who sells it: an offer's own words override the part's row.

A new part comes as its maker packs it. Of a used or refurbished one only what its seller states is known: the
shield, the boxed cooler and the paste may be gone, and the firmware may be older than what is shipped today
(cases B22 and B28; common practice). The same of a board that was built for a PC maker, new or not: its shield
and its firmware are that maker's own. What is built in stays: an integrated shield cannot get lost.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import lru_cache
from operator import attrgetter
from typing import Any

from partsolver.base.records import exchanged
from partsolver.catalog.dictionary import UNKNOWN
from partsolver.catalog.records import Bundle, Offer, Seller
from partsolver.problem.candidates import SLOTS, SlotName

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
# By slot: what `_words` says of an offer.
_OFFER_WORDS: Mapping[SlotName, Callable[[Offer], Facts]] = {
    slot: attrgetter("condition", "made_for", *filter(None, OVERRIDES.get(slot, {}).values()))
    for slot in SLOTS
}


def with_condition(source: Any, sellers: Mapping[str, Seller]) -> Any:
    """An offer or bundle whose state is stated or follows: a shop that says nothing sells new goods (assumed,
    and said so); of anybody else's it is not known."""
    if source.condition is None and sellers[source.seller].kind == "shop":
        return exchanged(source, {"condition": "new"})
    return source


def sold_facts(slot: SlotName, part: Any, source: Offer | Bundle | None) -> Facts:
    """The facts of ``OVERRIDES`` as one seller sells the part; ``source`` None: as its maker packs it."""
    own = tuple(getattr(part, fact) for fact in OVERRIDES.get(slot, {}))
    return _facts(slot, own, None if source is None else _words(slot, source))


def _words(slot: SlotName, source: Offer | Bundle) -> Facts:
    """All that decides how a seller sells a part: condition, whose maker it was built for, own facts."""
    if isinstance(source, Offer):
        return _OFFER_WORDS[slot](source)
    stated = tuple(getattr(source, column, None) for column in OVERRIDES.get(slot, {}).values() if column)
    return (source.condition, None, *stated)


# A list says the same few things of thousands of parts.
@lru_cache(maxsize=1 << 14)
def _facts(slot: SlotName, own: Facts, words: Facts | None) -> Facts:
    condition, made_for, *stated_facts = words or ("new", None)
    stated_by_column = iter(stated_facts)
    found = []
    for (fact, column), value in zip(OVERRIDES.get(slot, {}).items(), own, strict=True):
        stated = next(stated_by_column, None) if column else None
        if stated is not None:
            found.append(None if stated == UNKNOWN else stated)
        elif condition == "new" and made_for != "complete-pc":
            # Goods sold as new show no damage.
            found.append("good" if fact == "condition" and value is None else value)
        else:
            found.append(value if value in _LASTING[fact] else None)
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
    own = tuple(getattr(part, fact) for fact in OVERRIDES.get(slot, {}))
    words = _OFFER_WORDS[slot]
    for offer in offers:
        sold[_facts(slot, own, words(offer))].append(offer)
    for bundle in bundles:
        sold.setdefault(sold_facts(slot, part, bundle), [])
    names = tuple(OVERRIDES.get(slot, {}))
    usual = sold_facts(slot, part, None)
    if len(sold) == 1 and usual in sold and "condition" not in names:
        yield str(part.id), part, sold[usual]
        return
    for facts in sorted(sold, key=lambda f: (f != usual, *map(str, f))):
        changes = {n: v for n, v in zip(names, facts, strict=True) if getattr(part, n) != v}
        yield variant_key(slot, part, facts), exchanged(part, changes) if changes else part, sold[facts]
