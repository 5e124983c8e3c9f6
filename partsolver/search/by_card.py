"""The search where the use pays for graphics cards: one for each card, what one found bounding the next.

A row (search/rows.py) is bounded by the fastest card there is and by the cheapest, which is no card: of dozens
on sale such a bound says little. Beside one card the bounds are close and the times of rows exact. So every
card, and what there is, has a search of its own; they share the best plans found and the limit on the work.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Self

from partsolver.plan.draft import Draft
from partsolver.problem.candidates import Candidate
from partsolver.problem.problem import Problem
from partsolver.search.bounds import graphics_count
from partsolver.search.pool import Pool
from partsolver.search.search import Search
from partsolver.search.shortlist import Found, Shortlist


def cards_compete(pool: Pool) -> bool:
    """Whether the graphics card that is chosen decides the time."""
    return len(pool.left["graphics"]) > 1 and graphics_count(pool)


class SearchByCard(Search):
    """One search over the rows of a pool beside each of its graphics cards. Its own columns and rows are
    bounds that hold for any card."""

    # The searches, once they are made.
    _made: list[Search] | None = None

    @property
    def _each(self) -> list[Search]:
        """The searches, that which may find the fastest plan first."""
        if self._made is None:
            found = [self._beside(card) for card in self.pool.left["graphics"]]
            self._made = sorted(found, key=lambda s: (int(s.columns.cpu_bound.min()), _card(s).key))
        return self._made

    def _beside(self, card: Candidate) -> Search:
        pool = self.pool.copy()
        pool.left["graphics"] = [card]
        return Search(pool, self.quick, self.most_time, self.most_cost)

    @property
    def parted(self) -> Sequence[Search]:
        return self._each

    def search_without(self, part: str, problem: Problem) -> Self:
        fewer = super().search_without(part, problem)
        fewer._made = [search.search_without(part, problem) for search in self._each]
        return fewer

    def anything(self) -> Draft | None:
        cheap_first = sorted(self._each, key=lambda s: (self.pool.cost[_card(s)], _card(s).key))
        return next((draft for s in self.in_turn(cheap_first) if (draft := s.anything()) is not None), None)

    def _faster(self, best: Draft | None) -> Found:
        whole = True
        for search in self.in_turn(self._each):
            found = search._faster(best)
            best, whole = found.first, whole and found.exhausted
        return Found(() if best is None else (best,), whole)

    def _faster_than(self, best: Draft) -> Found:
        return self._faster(best)

    def _add_best(self, found: Shortlist, least_ppm: int, resolution: Fraction) -> bool:
        whole = [s._add_best(found, least_ppm, resolution) for s in self.in_turn(self._each)]
        return all(whole)

    def _add_cheap(self, found: Shortlist) -> bool:
        cheap_first = sorted(self._each, key=lambda s: (s.columns.cheapest(self.most_time), _card(s).key))
        whole = [s._add_cheap(found) for s in self.in_turn(cheap_first)]
        return all(whole)


def _card(search: Search) -> Candidate:
    return search.pool.left["graphics"][0]
