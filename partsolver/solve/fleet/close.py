"""What is left between a choice and a bound: the plans that a better choice may hold (those that lose little enough
against a relaxation's prices), or the delivery that is decided next."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from partsolver.catalog.records import Seller
from partsolver.fleet.prices import SCALE
from partsolver.fleet.work import Answer
from partsolver.solve.fleet.form import States
from partsolver.solve.fleet.relax import NEAR, Relaxed

# Rounding of prices to whole millionths: what a column must be worth more than its class (SCALE), and what
# the bound may lie off (units of the goal, per PC and altogether).
NOTHING_MORE, ROUNDING = 20, 1e-4


def plans_within(
    ask: Callable[[int], Sequence[Answer]],
    of_classes: Sequence[int],
    sizes: Sequence[int],
    relaxed: float,
    above: float,
    value: int,
) -> Sequence[Answer]:
    """Of each class the plans that a choice better than ``value`` may hold. ``ask`` answers with those worth more
    than their class (``of_classes``, SCALE) less an allowance (SCALE), the best first; ``relaxed``: the relaxation's
    value; ``above``: what its prices are thought to prove, at least the relaxation's value.

    What a choice loses against prices is at most what these prices prove less what it is worth. A better bound
    from elsewhere says nothing of them, and where plans are worth more than their class they prove less: both
    have hidden better choices (found by brute force, and by thought).
    """
    while True:
        allowance = int(max(0.0, above - value - 1) * SCALE) + 2 * NOTHING_MORE
        answers = ask(allowance)
        more = sum(
            size * max(0, plans[0][0] - of_class)
            for (plans, _), of_class, size in zip(answers, of_classes, sizes, strict=True)
            if plans
        )
        proven = relaxed + more / SCALE
        if proven <= above + ROUNDING:
            return answers
        above = proven


def undecided(found: Relaxed, states: States, sellers: Mapping[str, Seller]) -> str | None:
    """The seller of whose delivery the relaxation leaves out most money."""
    best: tuple[float, str] | None = None
    for key, value in found.values.items():
        if key[0] != "ordered" or key[1] in states:
            continue
        seller = sellers[key[1]]
        free = found.values.get(("free", key[1]), 0.0)
        left_out = (1 - value + free) * seller.delivery
        if value < 1 - NEAR:
            left_out += seller.minimum_order or 0
        if left_out > NEAR and value > NEAR and (best is None or (left_out, key[1]) > best):
            best = (left_out, key[1])
    return None if best is None else best[1]
