"""Build the whole model: picks, levels, time and power, rules with their literals, purchases, cost."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from partsolver.base.records import record
from partsolver.model.cost import post_cost, post_purchases
from partsolver.model.cpsat import cp_model
from partsolver.model.currents import Terms, weighted
from partsolver.model.picks import Picks
from partsolver.model.time import post_levels, power_terms, time_terms
from partsolver.problem.problem import Problem
from partsolver.rules.base import Rule


@record
class Built:
    """A model ready to solve.

    time in ppm, cost in minor units and power in mW as variables of the model.
    """

    model: cp_model.CpModel
    picks: Picks
    time: cp_model.IntVar
    cost: cp_model.IntVar
    power: cp_model.IntVar


def build(problem: Problem, rules: Sequence[Rule]) -> Built:
    """The model of a problem under the given rules.

    Rules that judge purchases (id begins with ``buying.``) are posted last, when every way to buy exists.
    """
    model = cp_model.CpModel()
    picks = Picks(model, problem)
    time = post_time(picks)
    power = post_power(picks)
    for rule in rules:
        if rule.KIND != "buying":
            rule.post(model, picks, problem, picks.true)
    post_purchases(picks)
    picks.cost = cost = post_cost(picks)
    for rule in rules:
        if rule.KIND == "buying":
            rule.post(model, picks, problem, picks.true)
    return Built(model, picks, time, cost, power)


def post_time(picks: Picks) -> Any:
    """Memory levels and the expected time (ppm) as a variable."""
    picks.levels = post_levels(picks)
    picks.time = _sum_variable(picks, time_terms(picks, picks.levels), "time_ppm")
    return picks.time


def post_power(picks: Picks) -> Any:
    """The continuous power (mW) as a variable."""
    picks.power = _sum_variable(picks, power_terms(picks), "power_mw")
    return picks.power


def _sum_variable(picks: Picks, groups: list[Terms], name: str) -> cp_model.IntVar:
    """A variable equal to the sum (a plain, never enforced row). Of each group at most one term counts."""
    variable = picks.integer(sum(max((value for _, value in group), default=0) for group in groups), name)
    picks.model.add(variable == weighted([term for group in groups for term in group if term[1]]))
    return variable
