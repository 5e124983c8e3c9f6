"""The offers and bundles that the buying rules in force let be used."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import field
from typing import Any

from partsolver.base.records import record
from partsolver.catalog.records import Bundle, Offer
from partsolver.plan.services import Source
from partsolver.problem.candidates import Candidate


@record
class Allowed:
    """What the rules in force allow: which offers and bundles, stock, least orders, ids that must be bought, and
    which trips of a board to a service (None: every trip that is possible)."""

    allows_offer: Callable[[Offer, int], bool]
    allows_bundle: Callable[[Bundle], bool]
    count_stock: bool = True
    least_orders: bool = True
    demanded: frozenset[str] = frozenset()
    allows_trip: Callable[[Source, Offer], bool] | None = None
    # Answers by candidate, and by the identity of an offer (the catalogue holds the offers) and the quantity;
    # candidates of a slot that can be bought, with their prices (search/prune.py), and what the rules say of each
    # alone, with what these said before (search/rule_memory.py).
    _offers: dict[Candidate, tuple[Offer, ...]] = field(default_factory=dict)
    _known: dict[tuple[int, int], bool] = field(default_factory=dict)
    buyable: dict[Any, tuple[Any, list[Candidate], dict[Candidate, int]]] = field(default_factory=dict)
    screened: dict[Any, tuple[Any, dict[Candidate, int]]] = field(default_factory=dict)

    def offers(self, candidate: Candidate) -> tuple[Offer, ...]:
        """The allowed offers of a candidate, cheap ones first."""
        known = self._offers.get(candidate)
        if known is None:
            allows, quantity = self.allows_offer, candidate.quantity
            known = tuple([offer for offer in candidate.offers if allows(offer, quantity)])
            # Mostly all of them are allowed: then nothing new is kept.
            known = self._offers[candidate] = (
                candidate.offers if len(known) == len(candidate.offers) else known
            )
        return known

    def offer(self, offer: Offer, quantity: int) -> bool:
        """Whether one offer (of an extra) is allowed."""
        key = (id(offer), quantity)
        known = self._known.get(key)
        if known is None:
            known = self._known[key] = self.allows_offer(offer, quantity)
        return known

    def bundle(self, bundle: Bundle) -> bool:
        return self.allows_bundle(bundle)
