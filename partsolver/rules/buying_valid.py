"""A price is used only while it is valid; an expired price is never used silently."""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.catalog.records import Bundle, Offer
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, Verdict
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "buying.valid"
STATEMENT = "Every price used is still valid on the day of the order."
SOURCE = "the sellers' stated validity"
KIND: Kind = "buying"
NATURE: Nature = "money"
SLOTS: tuple[SlotName, ...] = ()
READS: Reads = {}
SURVEY: tuple[str, ...] = ()


def allows_offer(problem: Problem, offer: Offer, quantity: int) -> bool:
    return offer.valid_until is None or offer.valid_until >= problem.today


def allows_bundle(problem: Problem, bundle: Bundle) -> bool:
    return bundle.valid_until is None or bundle.valid_until >= problem.today


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    found = []
    for line in draft.lines:
        source = line.offer or line.bundle
        if source is None or source.valid_until is None:
            continue
        margin = (source.valid_until - problem.today).days
        verdict: Verdict = "fits" if margin >= 0 else "fails"
        facts = (("seller", source.seller),)
        found.append(
            Finding(
                ID,
                verdict,
                problem.today.isoformat(),
                source.valid_until.isoformat(),
                margin,
                "days",
                (line.item,),
                facts,
            )
        )
    return tuple(found)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    for purchase in picks.purchases:
        until = purchase.offer.valid_until
        if until is not None and until < problem.today:
            picks.clause([~purchase.literal], on)
    for bought in picks.bundles:
        until = bought.bundle.valid_until
        if until is not None and until < problem.today:
            picks.clause([~bought.literal], on)
