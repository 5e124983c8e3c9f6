"""What of a stored plan differs from the catalogue of today: parts and offers that left, facts and prices
that moved."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields
from typing import Any, Literal

from partsolver.base.records import record
from partsolver.planfile.plan_file import PlanFile

# Fields that say nothing about the part itself.
_ASIDE = ("id", "name", "maker", "source")


@record
class Difference:
    """One difference of a part of the plan.

    kind: left, unsold, other-kind (planfile.Missing), fact (``field`` was ``before``, is ``after``), price
    (of one, in minor units, at ``seller``), seller (``seller`` does not offer it any more, others do; after:
    their least price).
    """

    kind: Literal["left", "unsold", "other-kind", "fact", "price", "seller"]
    id: str
    field: str | None = None
    before: Any = None
    after: Any = None
    seller: str | None = None


def differences(stored: PlanFile) -> tuple[Difference, ...]:
    """All differences of the chosen plan, part by part in its order; none when the catalogue is the same."""
    if not stored.catalog_changed:
        return ()
    missing = {m.id: m for m in stored.missing}
    found: list[Difference] = []
    for part in stored.plan.bought:
        if part in missing:
            found.append(Difference(missing[part].state, part))
        if part not in missing or missing[part].state != "left":
            found += _facts(stored, part)
        if part not in missing:
            found += _prices(stored, part)
    return tuple(found)


def _facts(stored: PlanFile, part: str) -> Iterator[Difference]:
    before = stored.rows.parts.get(part, (None, None))[1]
    after = stored.catalog.part(part) if part in stored.catalog.table_of else None
    if before is None or after is None or type(before) is not type(after):
        return
    for item in fields(before):
        was, is_now = getattr(before, item.name), getattr(after, item.name)
        if item.name not in _ASIDE and was != is_now:
            yield Difference("fact", part, item.name, was, is_now)


def _prices(stored: PlanFile, part: str) -> Iterator[Difference]:
    line = next((line for line in stored.plan.lines if line.item == part), None)
    if line is None or line.bundle is not None or line.seller is None:
        return
    was = line.amount // line.count
    sources = [
        *(offer for offer in stored.catalog.tables["offers"] if offer.part == part),
        *(b for b in stored.catalog.tables["bundles"] if b.id == part),
    ]
    prices = [source.price for source in sources if source.seller == line.seller]
    if not prices:
        yield Difference(
            "seller", part, None, was, min((source.price for source in sources), default=None), line.seller
        )
    elif was not in prices:
        yield Difference("price", part, None, was, min(prices), line.seller)


__all__ = ["Difference", "differences"]
