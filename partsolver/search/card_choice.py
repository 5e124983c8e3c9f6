"""Which graphics card a way takes where the use pays for none: the cheapest that does, found as the cooler is.

Then every card, and what there is, takes the same time and is the same choice as the next (plan/identity.py):
only money tells them apart. So they are no ways of their own. The bound of a way holds for any card, and its
plan is the cheapest of those with each, cheap ones first, until no other can cost less.
"""

from __future__ import annotations

from collections.abc import Callable

from partsolver.base.quantities import FAR
from partsolver.plan.bundles import bundle_group, usable_bundles
from partsolver.plan.draft import Draft
from partsolver.problem.candidates import SLOTS, Candidate, Parts
from partsolver.search.bounds import graphics_count
from partsolver.search.cost_bound import CostBound
from partsolver.search.pool import Pool
from partsolver.search.rule_memory import Quick

_PLACE = SLOTS.index("graphics")
# Rules that read nothing else than these tell nothing of the card.
_OTHERS = frozenset(SLOTS) - {"graphics"}


def cards_are_alike(pool: Pool, quick: Quick) -> bool:
    """Whether all graphics cards of a pool, and what there is, are the same choice, take the same time and
    no rule looks at them together with the cooler."""
    return (
        len(pool.left["graphics"]) > 1
        and not graphics_count(pool)
        and all(c.part.counted_score is None for c in pool.left["graphics"])  # type: ignore[union-attr]
        and not any({"graphics", "cooler"} <= set(asked.rule.SLOTS) for asked in quick.rules)
    )


class CardChoice:
    """The graphics cards of a pool in which they are alike, cheap ones first."""

    def __init__(self, pool: Pool, quick: Quick, read: frozenset[str]) -> None:
        """``read``: the slots that the rules read which are asked of ways."""
        self._quick, self._read = quick, read
        problem = pool.problem
        self._nothing_bought = next(c for c in problem.slot("graphics") if c.kept)
        bundled = {
            group[1]
            for bundle in usable_bundles(problem)
            for group in bundle_group(problem, bundle)
            if group[0] == "graphics"
        }
        listed = sorted(pool.left["graphics"], key=lambda c: (pool.price[c], not c.kept, c.key))
        self._priced = [(pool.price[c], c) for c in listed if c.id not in bundled]
        self._bundled = [c for c in listed if c.id in bundled]

    def base(self, bounds: CostBound, parts: Parts, needed: int, asked: frozenset[str]) -> int:
        """No plan of a way costs less beside its card and what that needs (as `CostBound.least_cost`)."""
        plain = _with_card(parts, self._nothing_bought)
        return bounds.least_cost(plain, needed, self._read - {"graphics"}, asked)

    def least_cost(
        self, bounds: CostBound, parts: Parts, needed: int, asked: frozenset[str], base: int
    ) -> int:
        """No plan of a way costs less, whatever the card; FAR where the rules refuse every one."""
        best = FAR
        for price, card in self._priced:
            if base + price >= best:
                break
            if base + price > bounds.most_cost:
                return min(best, base + price)
            best = min(best, base + price + self._needs(_with_card(parts, card)))
        for card in self._bundled:
            best = min(best, bounds.least_cost(_with_card(parts, card), needed, self._read, asked))
        return best

    def cheapest(
        self, parts: Parts, base: int, most: int, below: int, draft: Callable[[Parts, int], Draft | None]
    ) -> Draft | None:
        """The cheapest plan of a way over its cards that costs less than ``below``; ``most``: the money for
        which ``base`` is a bound; ``draft``: the plan of some parts for less than so much."""
        best: Draft | None = None
        for card in self._bundled:
            best, below = _cheaper(best, below, draft(_with_card(parts, card), below))
        for price, card in self._priced:
            if min(most + 1, base + price) >= below:
                break
            chosen = _with_card(parts, card)
            needs = self._needs(chosen)
            if needs < FAR and min(most + 1, base + price + needs) < below:
                best, below = _cheaper(best, below, draft(chosen, below))
        return best

    def _needs(self, parts: Parts) -> int:
        """The least that the rules about cards need bought beside a card; FAR where one refuses it."""
        return self._quick.least(parts, self._read, _OTHERS)


def _with_card(parts: Parts, card: Candidate) -> Parts:
    return Parts((*parts.picked[:_PLACE], card, *parts.picked[_PLACE + 1 :]))


def _cheaper(best: Draft | None, below: int, found: Draft | None) -> tuple[Draft | None, int]:
    return (best, below) if found is None else (found, found.cost)
