"""The whole order, with extras and delivery, stays within the budget."""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_most
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "buying.budget"
STATEMENT = "Everything together, delivery included, costs no more than the budget."
SOURCE = "the brief"
KIND: Kind = "buying"
NATURE: Nature = "money"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "memory", "cooler", "psu", "case", "drive", "graphics")
READS: Reads = {}
SURVEY: tuple[str, ...] = ()
SUMS: tuple[str, ...] = ("cost",)


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    if problem.budget is None:
        return ()
    return (at_most(ID, draft.cost, problem.budget, "money"),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    if problem.budget is not None:
        picks.require(picks.cost <= problem.budget, on)
