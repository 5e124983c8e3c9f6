"""What is remembered of a problem: results of pure functions, kept for speed, never part of its value.

One field per thing, each with what it depends on beside the catalogue (``reads``): the candidates of the
problem, facts of the survey, wishes of the brief. A problem with fewer candidates, or joined again for other
facts and wishes, takes along the fields that this says still hold. What a key of a field names need not stand
in ``reads``: an entry under that key is true wherever it is found. Nothing reads the budget or another wish
that only a ranking as a whole reads: where a changed problem differs in nothing else, it takes the whole store.
"""

from __future__ import annotations

import datetime
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field, fields, replace
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

from partsolver.catalog.records import Extra, Offer
from partsolver.problem.candidates import SLOTS, Candidate, CoolerChoice, Parts, SlotName

if TYPE_CHECKING:
    from partsolver.assembly.bought_devices import Pieces
    from partsolver.assembly.cards import Placement
    from partsolver.assembly.currents import Load
    from partsolver.assembly.displays import Reach
    from partsolver.assembly.loads import CardLoad
    from partsolver.assembly.network import Flows
    from partsolver.catalog.records import Bundle
    from partsolver.performance.law import Law
    from partsolver.plan.allowed import Allowed
    from partsolver.plan.bundles import Group
    from partsolver.plan.cooler_choice import Serving
    from partsolver.plan.draft import Draft
    from partsolver.plan.outcome import Keeping, StandIn
    from partsolver.search.views import View
    from partsolver.solve.kept import Kept
    from partsolver.standards.video import DisplayUnit
    from partsolver.survey.model import Card

# "rule wishes": wishes that rules about parts read; "time wishes": those that the expected time reads; "wishes": any
# of them but those that only a ranking as a whole reads (the money, the goal; problem/join.py).
Reads = Literal["candidates", "survey", "wishes", "rule wishes", "time wishes"]


class BuyingWay(NamedTuple):
    """A way to buy an item: so many pieces from one offer."""

    item: str
    quantity: int
    offer: Offer


def _remembered(*reads: Reads) -> Any:
    """A dictionary that starts empty, and what its entries depend on beside their keys and the catalogue."""
    return field(default_factory=dict, metadata={"reads": frozenset(reads)})


def _found(*reads: Reads) -> Any:
    """A single result, None until it is asked for."""
    return field(default=None, metadata={"reads": frozenset(reads)})


@dataclass
class Kinds:
    """Numbers of candidates that every rule treats alike: by candidate, and by their facts."""

    by_candidate: dict[Candidate, int] = field(default_factory=dict)
    by_facts: dict[Any, int] = field(default_factory=dict)


@dataclass
class CandidatesAlike:
    """Candidates of a slot by what a stand-in must share; ``in_order``: the groups already sorted by
    price."""

    groups: Mapping[Any, list[Candidate]]
    in_order: set[Any]


@dataclass
class ServingCoolers:
    """Coolers that serve some parts: those found so far, and the search for the next ones."""

    found: list[Serving]
    more: Iterator[Serving]


@dataclass
class Store:
    """See the module docstring. ``kinds`` and ``present_parts`` are carried by hand (``carried``,
    ``fewer``)."""

    # The catalogue alone: what rules see of candidates, and what extras are made for.
    views: dict[tuple[SlotName, tuple[str, ...]], View] = _remembered()
    named_parts: frozenset[str] | None = _found()
    extras_by_kind: dict[str, list[Extra]] | None = _found()
    # Offers that buying rules allow; the key names the rules, the day and the wishes that these read.
    allowed: dict[tuple[Any, ...], Allowed] = _remembered()
    kinds: Kinds = field(default_factory=Kinds, metadata={"reads": frozenset()})
    # What rules about parts said, by (rule, facts of the survey it reads): by kinds of parts, and by what it
    # sees.
    said: dict[tuple[Any, ...], tuple[dict[Any, Any], dict[Any, Any]]] = _remembered("rule wishes")
    # What several rules together said always costs, by those rules' ``said``, which are kept with it.
    said_together: dict[tuple[int, ...], tuple[list[Any], dict[Any, Any]]] = _remembered("rule wishes")
    # Time terms by facts, by (system drive, memory limit).
    time_terms: dict[tuple[Any, ...], dict[Any, int]] = _remembered("rule wishes", "time wishes")
    # Time terms of whole parts by the facts that decide them.
    term_of_facts: dict[tuple[Any, ...], int] = _remembered("survey", "rule wishes", "time wishes")
    # The time law of the use and the reference machine, with its terms by facts.
    law: Law | None = _found("survey", "rule wishes", "time wishes")
    placements: dict[tuple[Any, ...], Placement] = _remembered("survey", "rule wishes")
    # What parts draw, and the whole of the parts that were asked for last.
    part_loads: dict[Candidate, Load] = _remembered("rule wishes")
    last_total_load: tuple[tuple[Candidate, ...], Load] | None = _found("survey", "rule wishes")
    fixed_load: Load | None = _found("survey", "rule wishes")
    # What the placed cards draw; what today's PC draws, altogether and by group of plugs.
    card_loads: dict[tuple[Any, ...], CardLoad] = _remembered("survey", "rule wishes")
    # Controller cards that are bought, by facts of the board, whether it is kept, and the drive.
    controller_cards: dict[tuple[Any, ...], int] = _remembered("survey", "rule wishes")
    # USB leads, hubs and platform modules that are bought, by board, case and openings left for brackets.
    small_pieces: dict[tuple[Candidate, Candidate, int | None], Pieces] = _remembered("survey", "rule wishes")
    # Converters on monitors, by the outputs of what makes the picture.
    converters: dict[tuple[str, ...] | None, int] = _remembered("survey", "rule wishes")
    today_load: Load | None = _found("survey", "rule wishes")
    today_flows: Flows | None = _found("survey", "rule wishes")
    # Today's cards with plugs whose load nobody stated.
    unstated_cards: tuple[Card, ...] | None = _found("survey", "rule wishes")
    displays: dict[tuple[tuple[str, ...], int, DisplayUnit], tuple[Reach, ...]] = _remembered(
        "survey", "wishes"
    )
    present_parts: Parts | None = _found("survey", "candidates")
    # (expected time of the PC as it is,) once it was asked for; None in it when it cannot be told.
    present_time_ppm: tuple[int | None] | None = _found("survey", "rule wishes", "time wishes")
    # Extras that can be had by kind, and the pastes among them as options of a need.
    obtainable: dict[str, list[Extra]] = _remembered("wishes")
    paste_options: tuple[tuple[str, int], ...] | None = _found("wishes")
    arrivals: dict[tuple[str, datetime.date | None], datetime.date] = _remembered("wishes")
    # Ways to buy a need that can win, by need and pieces taken at most, with the offers they were asked of.
    useful_ways: dict[tuple[Any, int], tuple[Allowed, tuple[BuyingWay, ...]]] = _remembered("wishes")
    # (price, part) of a table by price.
    offered: dict[str, list[tuple[int, Any]]] = _remembered("wishes")
    # Goods of the usable bundles, and those bundles by their first item that is no cooler.
    bundle_groups: dict[str, tuple[Group, ...]] | None = _found("candidates")
    bundles_by_first: dict[Group | None, list[tuple[Bundle, frozenset[Group]]]] | None = _found("candidates")
    # Coolers by price, and those that serve some parts, by the offers allowed (kept with them).
    coolers: dict[int, tuple[list[tuple[int, Candidate[CoolerChoice], int]], Allowed]] = _remembered(
        "candidates", "wishes"
    )
    serving: dict[tuple[Any, ...], ServingCoolers] = _remembered("candidates", "survey", "wishes")
    alike: dict[SlotName, CandidatesAlike] = _remembered("candidates")
    # Plans with another candidate in one place, and with another extra for a line, whatever the limits
    # (plan/stand_ins.py): by the plan's parts, what it needs or buys, and the rules asked.
    in_place: dict[tuple[Any, ...], Draft | None] = _remembered("candidates", "survey", "wishes")
    other_extras: dict[tuple[Any, ...], tuple[tuple[tuple[StandIn, Draft], ...], ...]] = _remembered(
        "candidates", "survey", "wishes"
    )
    # What keeping parts brings, by the plan's parts and order lines.
    keeping: dict[tuple[Any, ...], Keeping] = _remembered("survey", "wishes")
    obtainable_extras: frozenset[str] | None = _found("wishes")
    # Rankings that came to their end, by question (all wishes among it), each with the narrower questions for
    # which it holds (solve/kept.py).
    rankings: dict[Any, tuple[Kept, ...]] = _remembered("candidates", "survey")

    def fewer(self) -> Store:
        """What holds with fewer candidates, all else the same. What the PC has now stays what it is
        against, also where it is no candidate any more."""
        return replace(self._store_without({"candidates"}), present_parts=self.present_parts)

    def carried(
        self, same_slots: Collection[SlotName], changed_wishes: Collection[Reads], same_survey: bool
    ) -> Store:
        """What holds for another survey and other wishes: ``same_slots`` have the candidates they had;
        ``changed_wishes``: which kinds of wishes differ; ``same_survey``: no fact does."""
        changed: set[Reads] = {"wishes", *changed_wishes}
        if not same_survey:
            changed.add("survey")
        if len(same_slots) < len(SLOTS):
            changed.add("candidates")
        kept = self._store_without(changed)
        known = {c: kind for c, kind in self.kinds.by_candidate.items() if c.slot in same_slots}
        # The numbers go on, so that a candidate made anew gets the number of its facts.
        kept.kinds = Kinds(known, self.kinds.by_facts)
        return kept

    def _store_without(self, changed: Collection[Reads]) -> Store:
        """A store with the fields that read nothing of what changed; the same dictionaries, not copies."""
        held = {f.name: getattr(self, f.name) for f in fields(self) if not f.metadata["reads"] & set(changed)}
        return Store(**held)


__all__ = ["BuyingWay", "CandidatesAlike", "Kinds", "ServingCoolers", "Store"]
