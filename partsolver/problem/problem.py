"""The problem: survey + catalogue + offers + brief, joined, in integers, frozen.

A *slot* is a place in the PC that one candidate fills: board, processor, memory, cooler, supply, case, system
drive, graphics card. What the PC has now is a candidate at price 0. Kept supply, case and drive are the only
candidates of their slot unless the brief allows replacing them. Candidates are sorted by key, so the order of
rows never matters.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, overload

from partsolver.catalog.records import (
    Board,
    Bundle,
    Case,
    CatalogInfo,
    Cpu,
    Extra,
    Offer,
    Psu,
    Seller,
)
from partsolver.problem.candidates import (
    SLOTS,
    Candidate,
    CoolerChoice,
    DriveChoice,
    GraphicsChoice,
    MemoryChoice,
    Parts,
    SlotName,
)
from partsolver.problem.store import Store
from partsolver.standards.operating_systems import OperatingSystem
from partsolver.survey.model import Card, Drive, Survey
from partsolver.wishes.brief import Brief
from partsolver.wishes.uses import Use


@dataclass(frozen=True)
class Problem:
    """Everything a recommendation needs; no file, clock or environment is read after this."""

    survey: Survey
    brief: Brief
    catalog: CatalogInfo
    settings: Mapping[str, int]
    today: datetime.date
    budget: int | None
    candidates: Mapping[SlotName, tuple[Candidate, ...]]
    extras: Mapping[str, Extra]
    extra_offers: Mapping[str, tuple[Offer, ...]]
    bundles: tuple[Bundle, ...]
    complete_pcs: tuple[Bundle, ...]
    sellers: Mapping[str, Seller]
    use: Use
    # Requirements of the system that is to run afterwards; None when there is none or it is not known.
    os: OperatingSystem | None
    not_offered: Mapping[str, int]
    names: Mapping[str, str]
    # The catalogue this was joined from, so that a changed brief or survey can be joined again.
    source: Any = field(default=None, compare=False, repr=False)
    # Results of pure functions of this problem, kept for speed; never part of its value.
    store: Store = field(default_factory=Store, compare=False, repr=False)

    @property
    def memory_limit_mib(self) -> int | None:
        """Most memory the operating system uses."""
        return None if self.os is None else self.os.memory_limit_mib

    @property
    def cards(self) -> tuple[Card, ...]:
        """The PC's cards that are to be used on: all but those that the brief leaves out."""
        return tuple(card for card in self.survey.cards if card.name not in self.brief.leave_out)

    def cards_with(self, graphics: GraphicsChoice) -> tuple[Card, ...]:
        """The cards of a plan: those of the PC that are to be used on; where a graphics card is bought,
        that one in the place of the PC's own."""
        if graphics.card is None:
            return self.cards
        return (graphics.card, *(card for card in self.cards if card.kind != "graphics"))

    @property
    def drives(self) -> tuple[Drive, ...]:
        """The PC's drives that are to be used on: all but those that the brief leaves out."""
        return tuple(drive for drive in self.survey.drives if drive.name not in self.brief.leave_out)

    @property
    def graphics_left_out(self) -> bool:
        """Whether a graphics card of the PC stays out: its picture of today proves nothing then."""
        return any(c.kind == "graphics" and c.name in self.brief.leave_out for c in self.survey.cards)

    @overload
    def slot(self, slot: Literal["board"]) -> tuple[Candidate[Board], ...]: ...
    @overload
    def slot(self, slot: Literal["cpu"]) -> tuple[Candidate[Cpu], ...]: ...
    @overload
    def slot(self, slot: Literal["memory"]) -> tuple[Candidate[MemoryChoice], ...]: ...
    @overload
    def slot(self, slot: Literal["cooler"]) -> tuple[Candidate[CoolerChoice], ...]: ...
    @overload
    def slot(self, slot: Literal["psu"]) -> tuple[Candidate[Psu], ...]: ...
    @overload
    def slot(self, slot: Literal["case"]) -> tuple[Candidate[Case], ...]: ...
    @overload
    def slot(self, slot: Literal["drive"]) -> tuple[Candidate[DriveChoice], ...]: ...
    @overload
    def slot(self, slot: Literal["graphics"]) -> tuple[Candidate[GraphicsChoice], ...]: ...
    @overload
    def slot(self, slot: SlotName) -> tuple[Candidate, ...]: ...
    def slot(self, slot: SlotName) -> tuple[Candidate[Any], ...]:
        return self.candidates[slot]

    def present(self) -> Parts | None:
        """The PC as it is ("buy nothing"), or None when a present part is not usable any more."""
        kept = []
        for slot in SLOTS:
            found = next((c for c in self.candidates[slot] if c.kept), None)
            if found is None:
                return None
            kept.append(found)
        return Parts(tuple(kept))

    def extras_of(self, kind: str) -> Iterator[Extra]:
        """Extras of a kind that somebody offers, by id."""
        by_kind = self.store.extras_by_kind
        if by_kind is None:
            by_kind = {}
            for _, extra in sorted(self.extras.items()):
                if self.extra_offers.get(extra.id):
                    by_kind.setdefault(extra.kind, []).append(extra)
            self.store.extras_by_kind = by_kind
        return iter(by_kind.get(kind, ()))

    def obtainable(self, kind: str) -> Iterator[Extra]:
        """Extras of a kind that can really be had: not excluded, in stock, in time, at a valid price, by id.

        For needs that never refuse a plan: what cannot be had is then simply not bought.
        """
        found = self.store.obtainable.get(kind)
        if found is None:
            without = self.brief.without
            found = self.store.obtainable[kind] = [
                e
                for e in self.extras_of(kind)
                if e.id not in without and any(self._had(offer) for offer in self.extra_offers[e.id])
            ]
        return iter(found)

    def cheapest_of(
        self, kind: str, fits: Callable[[Extra], bool] = lambda extra: True
    ) -> tuple[Extra, int] | None:
        """The cheapest extra of a kind that can be had, with its price (minor units, without delivery):
        for what is only named, not bought."""
        priced = [
            (min(offer.price for offer in self.extra_offers[e.id] if self._had(offer)), e.id, e)
            for e in self.obtainable(kind)
            if fits(e)
        ]
        return None if not priced else (min(priced)[2], min(priced)[0])

    def obtainable_extras(self) -> frozenset[str]:
        """Ids of all extras that can be had (`obtainable`)."""
        found = self.store.obtainable_extras
        if found is None:
            without = self.brief.without
            found = self.store.obtainable_extras = frozenset(
                extra
                for extra, offers in self.extra_offers.items()
                if extra not in without and any(self._had(offer) for offer in offers)
            )
        return found

    def _had(self, offer: Offer) -> bool:
        late = self.brief.need_by is not None and self.arrival(offer) > self.brief.need_by
        expired = offer.valid_until is not None and offer.valid_until < self.today
        return offer.stock != 0 and not late and not expired

    def arrival(self, offer: Offer | Bundle) -> datetime.date:
        """Day on which goods of an offer arrive when ordered today."""
        key = (offer.seller, offer.available_on)
        known = self.store.arrivals.get(key)
        if known is None:
            known = self.store.arrivals[key] = self.arrival_when_ordered(offer, self.today)
        return known

    def arrival_when_ordered(self, offer: Offer | Bundle, day: datetime.date) -> datetime.date:
        """Day on which goods of an offer arrive when ordered on a day."""
        sent = max(day, offer.available_on or day)
        return sent + datetime.timedelta(days=self.sellers[offer.seller].delivery_days)
