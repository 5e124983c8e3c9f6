"""Every order reaches its seller's least order value."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_least
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "buying.order"
STATEMENT = "The goods ordered from a seller reach the seller's least order value."
SOURCE = "the sellers' terms"
KIND: Kind = "buying"
NATURE: Nature = "money"
SLOTS: tuple[SlotName, ...] = ()
READS: Reads = {}
SURVEY: tuple[str, ...] = ()


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    goods: dict[str, int] = defaultdict(int)
    for line in draft.lines:
        if line.offer is not None:
            goods[line.offer.seller] += line.amount
        elif line.bundle is not None and line.slot is None:
            goods[line.bundle.seller] += line.amount
    return tuple(
        at_least(ID, goods[name], problem.sellers[name].minimum_order, "money", (), seller=name)
        for name in sorted(goods)
        if problem.sellers[name].minimum_order
    )


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    for name, used in picks.seller_used.items():
        least = problem.sellers[name].minimum_order
        if least:
            # A plain row for two conditions, the seller is used and the rule is on: enforced rows of prices
            # above 2**31 were solved wrongly (OR-tools #5293).
            model.add(picks.seller_goods[name] >= least * picks.both(used, on))
