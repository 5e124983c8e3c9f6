"""The candidates that one rule leaves, by a model of the picks and that rule alone."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from partsolver.model.build import post_power, post_time
from partsolver.model.cpsat import cp_model
from partsolver.model.picks import Picks
from partsolver.model.solve import Limits, fixed_at_zero, solve
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Rule

# Up to this many candidates the model is solved with each; beyond, propagation and probing decide.
EXACT_UP_TO = 60
Place = tuple[SlotName, str]


def modelled_left(small: Problem, rule: Rule, places: Iterable[Place]) -> set[Place]:
    """Those of some candidates that a model of the rule alone does not rule out."""
    wanted = sorted(places)
    if not wanted:
        return set()
    model = cp_model.CpModel()
    picks = Picks(model, small)
    if "time" in rule.SUMS:
        post_time(picks)
    if "power" in rule.SUMS:
        post_power(picks)
    rule.post(model, picks, small, picks.true)
    literals = [(place, picks.literal(*place)) for place in wanted]
    if len(literals) <= EXACT_UP_TO:
        return {place for place, literal in literals if _possible(model, literal)}
    refused = fixed_at_zero(model)
    return (
        set() if refused is None else {place for place, literal in literals if literal.index not in refused}
    )


def _possible(model: cp_model.CpModel, literal: Any) -> bool:
    """Whether some pick with this candidate satisfies the rule."""
    trial = model.clone()
    trial.add(literal == 1)
    return solve(trial, Limits()).found
