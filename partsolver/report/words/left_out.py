"""Words about optional cards and drives that stay out."""

from __future__ import annotations

from collections.abc import Sequence

from partsolver.plan.outcome import LeftOut, Plan
from partsolver.report.words.steps import listed


def left_out_words(left: LeftOut, amount: str) -> str:
    """What stays out and what that buys; ``amount``: what the first plan costs with all of it kept."""
    what = f"Left out, since the owner can do without: {listed(left.names)}."
    if left.kept is None:
        return f"{what} With it there is no plan."
    return f"{what} With it the first plan would cost {amount} and be {_times(left.kept)}."


def left_out_of_check(names: Sequence[str]) -> str:
    """What has to stay out for the parts that a person named."""
    them = "it" if len(names) == 1 else "them"
    return f"They fit without {listed(names)}, which the owner can do without; with {them} they do not."


def _times(plan: Plan) -> str:
    if plan.speedup is None:
        return "of a speed that is not known"
    return f"{plan.speedup.expected_milli / 1000:.2f} times as fast"
