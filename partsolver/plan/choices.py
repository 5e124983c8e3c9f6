"""Plans that differ in what they mean for the owner, as values (``solve/choices.py`` finds them)."""

from __future__ import annotations

from typing import Literal

from partsolver.base.records import record
from partsolver.plan.outcome import CompletePc, Plan

# first: the ranking's first; fastest: least time within the budget, where the ranking asks for cost;
# clear-gain: least money for a clear gain; memory-only: the best that replaces nothing but memory; keep: buy
# nothing.
Kind = Literal["first", "fastest", "clear-gain", "memory-only", "keep"]


@record
class Choice:
    """One plan of a short answer.

    kinds: what it is, each proven where ``proven``; plan: its rank is its place in the answer;
    gain_milli: the speed-up that a clear gain has at least, in thousandths (0 otherwise).
    """

    kinds: tuple[Kind, ...]
    plan: Plan
    proven: bool
    gain_milli: int = 0


@record
class Choices:
    """The short answer: plans by rank, and the complete PC that stands beside them (its place:
    ``pc_rank``)."""

    plans: tuple[Choice, ...]
    complete_pc: CompletePc | None = None
    pc_rank: int = 0

    @property
    def proven(self) -> bool:
        return all(choice.proven for choice in self.plans)
