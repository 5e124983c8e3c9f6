"""What is ordered is in stock."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from partsolver.catalog.records import Bundle, Offer
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_least
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks, Purchase

ID = "buying.stock"
STATEMENT = "Every seller has as many pieces as are ordered."
SOURCE = "common practice"
KIND: Kind = "buying"
NATURE: Nature = "money"
SLOTS: tuple[SlotName, ...] = ()
READS: Reads = {}
SURVEY: tuple[str, ...] = ()


def allows_offer(problem: Problem, offer: Offer, quantity: int) -> bool:
    return offer.stock is None or offer.stock >= quantity


def allows_bundle(problem: Problem, bundle: Bundle) -> bool:
    return bundle.stock is None or bundle.stock >= 1


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    ordered: dict[Offer | Bundle, int] = defaultdict(int)
    for line in draft.lines:
        if line.offer is not None:
            ordered[line.offer] += line.quantity
        elif line.bundle is not None and line.slot is None:
            ordered[line.bundle] += line.quantity
    return tuple(
        at_least(
            ID,
            source.stock,
            count,
            "pieces",
            (source.part if isinstance(source, Offer) else source.id,),
            seller=source.seller,
        )
        for source, count in ordered.items()
        if source.stock is not None
    )


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    by_offer: dict[Offer, list[Purchase]] = defaultdict(list)
    for purchase in picks.purchases:
        by_offer[purchase.offer].append(purchase)
    for offer, purchases in by_offer.items():
        if offer.stock is None:
            continue
        for purchase in purchases:
            if purchase.quantity > offer.stock:
                picks.clause([~purchase.literal], on)
        # Slots buy at most one quantity each; only several needs of one offer can add up.
        most = sum(purchase.quantity for purchase in purchases)
        if len(purchases) > 1 and most > offer.stock:
            picks.require(sum(p.quantity * p.literal for p in purchases) <= offer.stock, on)
    for bought in picks.bundles:
        if bought.bundle.stock == 0:
            picks.clause([~bought.literal], on)
