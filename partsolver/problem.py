"""The problem: survey + catalogue + offers + brief, joined, in integers, frozen.

A *slot* is a place in the PC that one candidate fills: board, processor, memory, cooler, supply, case, system drive.
What the PC has now is a candidate at price 0. Kept supply, case and drive are the only candidates of their slot
unless the brief allows replacing them. Candidates are sorted by key, so the order of rows never matters.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from partsolver.brief import Brief
from partsolver.catalog.records import (
    Board,
    Bundle,
    Case,
    CatalogInfo,
    Cooler,
    Cpu,
    DrivePart,
    Extra,
    MemoryKit,
    Offer,
    Psu,
    Seller,
)
from partsolver.performance.uses import Use
from partsolver.record import record, unique_record
from partsolver.standards.operating_systems import OperatingSystem
from partsolver.survey.model import Drive, Survey

SlotName = Literal["board", "cpu", "memory", "cooler", "psu", "case", "drive"]
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "memory", "cooler", "psu", "case", "drive")
KEPT_MEMORY = "kept-memory"
BOXED_COOLER = "boxed-cooler"


@record
class MemoryChoice:
    """One candidate for the memory: kits x count, with or without the kept modules.

    module_mib: capacity of each module, largest first, None where not known; rate_mts: lowest rated rate of all
    modules (all run at that of the slowest); registered / ecc: whether any module is; mixed: kept and new together.
    """

    id: str
    kit: MemoryKit | None
    kits: int
    with_kept: bool
    generation: str | None
    module: str | None
    module_mib: tuple[int, ...] | None
    rate_mts: int | None
    registered: bool | None
    ecc: bool | None
    modules: int

    @property
    def total_mib(self) -> int | None:
        return None if self.module_mib is None else sum(self.module_mib)

    @property
    def mixed(self) -> bool:
        return self.with_kept and self.kit is not None


@record
class CoolerChoice:
    """A cooler candidate: the present one, the one in the processor's box, or one that is bought."""

    id: str
    cooler: Cooler | None
    boxed: bool = False


@record
class DriveChoice:
    """The system drive: the kept one (``kept``) or one that is bought (``part``); None, None when there is none."""

    id: str
    kept: Drive | None
    part: DrivePart | None


AnyPart = Board | Cpu | MemoryChoice | CoolerChoice | Psu | Case | DriveChoice


@unique_record
class Candidate:
    """A part that can fill a slot. ``key`` is unique in its slot; ``id`` is the catalogue part (None: nothing bought).
    Compared and remembered by identity: a problem makes each once, and much is kept by candidate.

    quantity: how many of ``id`` one purchase takes (memory kits); offers: usable by seller and price order;
    kept: already in the PC (price 0).
    """

    slot: SlotName
    key: str
    part: AnyPart
    id: str | None
    quantity: int
    offers: tuple[Offer, ...]
    kept: bool


@record
class Parts:
    """One candidate per slot."""

    picked: tuple[Candidate, ...]

    def candidate(self, slot: SlotName) -> Candidate:
        return self.picked[SLOTS.index(slot)]

    @property
    def board(self) -> Board:
        return self.picked[0].part  # type: ignore[return-value]

    @property
    def cpu(self) -> Cpu:
        return self.picked[1].part  # type: ignore[return-value]

    @property
    def memory(self) -> MemoryChoice:
        return self.picked[2].part  # type: ignore[return-value]

    @property
    def cooler(self) -> CoolerChoice:
        return self.picked[3].part  # type: ignore[return-value]

    @property
    def psu(self) -> Psu:
        return self.picked[4].part  # type: ignore[return-value]

    @property
    def case(self) -> Case:
        return self.picked[5].part  # type: ignore[return-value]

    @property
    def drive(self) -> DriveChoice:
        return self.picked[6].part  # type: ignore[return-value]

    @property
    def board_kept(self) -> bool:
        return self.picked[0].kept

    @property
    def keys(self) -> tuple[str, ...]:
        """Keys in slot order: the last tie-break of the total order."""
        return tuple(candidate.key for candidate in self.picked)

    @property
    def unchanged(self) -> bool:
        """Whether this is "buy nothing": every slot holds what the PC has now."""
        return all(candidate.kept for candidate in self.picked)


@record
class Need:
    """Something small that a rule finds missing and that a purchase can supply.

    rule and key identify it; kind: the kind of extra; options: (extra id, quantity) that serve, sorted by id;
    facts: for the wording.
    """

    rule: str
    key: str
    kind: str
    options: tuple[tuple[str, int], ...]
    facts: tuple[tuple[str, str | int], ...] = ()


@record
class Line:
    """One order line: an item of the plan bought from one seller, or covered by a bundle.

    slot: for the big parts; need: for extras. amount = price x quantity, 0 for what a bundle covers (the bundle has
    a line of its own with ``offer`` None and ``bundle`` set).
    """

    item: str
    quantity: int
    amount: int
    slot: SlotName | None = None
    need: Need | None = None
    offer: Offer | None = None
    bundle: Bundle | None = None


@record
class Draft:
    """Parts with their purchase and expected time: what the rules' plain predicates judge.

    cost = sum of lines + delivery, minor units; deliveries: (seller, charge) of each seller used;
    time_ppm: expected time for the use, millionths of the reference machine's.
    """

    parts: Parts
    lines: tuple[Line, ...]
    deliveries: tuple[tuple[str, int], ...]
    cost: int
    time_ppm: int

    def bought_for(self, rule: str, key: str) -> Line | None:
        """The line that supplies a rule's need, if there is one."""
        return next((ln for ln in self.lines if ln.need is not None and (ln.need.rule, ln.need.key) == (rule, key)), None)


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
    memo: dict[Any, Any] = field(default_factory=dict, compare=False, repr=False)

    @property
    def memory_limit_mib(self) -> int | None:
        """Most memory the operating system uses."""
        return None if self.os is None else self.os.memory_limit_mib

    def slot(self, slot: SlotName) -> tuple[Candidate, ...]:
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
        known = ("extras by kind",)
        if known not in self.memo:
            by_kind: dict[str, list[Extra]] = {}
            for _, extra in sorted(self.extras.items()):
                if self.extra_offers.get(extra.id):
                    by_kind.setdefault(extra.kind, []).append(extra)
            self.memo[known] = by_kind
        return iter(self.memo[known].get(kind, ()))

    def obtainable(self, kind: str) -> Iterator[Extra]:
        """Extras of a kind that can really be had: not excluded, in stock, in time, at a valid price, by id.

        For needs that never refuse a plan: what cannot be had is then simply not bought.
        """
        known = ("obtainable", kind)
        if known not in self.memo:
            without = self.brief.without
            self.memo[known] = [e for e in self.extras_of(kind) if e.id not in without and any(self._had(offer) for offer in self.extra_offers[e.id])]
        return iter(self.memo[known])

    def _had(self, offer: Offer) -> bool:
        late = self.brief.need_by is not None and self.arrival(offer) > self.brief.need_by
        expired = offer.valid_until is not None and offer.valid_until < self.today
        return offer.stock != 0 and not late and not expired

    def arrival(self, offer: Offer | Bundle) -> datetime.date:
        """Day on which goods of an offer arrive when ordered today."""
        key = ("arrival", offer.seller, offer.available_on)
        known: datetime.date | None = self.memo.get(key)
        if known is None:
            sent = max(self.today, offer.available_on or self.today)
            known = self.memo[key] = sent + datetime.timedelta(days=self.sellers[offer.seller].delivery_days)
        return known
