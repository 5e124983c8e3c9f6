"""Ways to fill the slots of supply, case, drive and graphics card beside a board (any cooler, and any card
where they are alike: card_choice.py), cheap ones first."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from math import prod

from partsolver.base.quantities import FAR
from partsolver.problem.candidates import SLOTS, Candidate, Parts
from partsolver.search.pool import REST, Pool
from partsolver.search.rows import Columns
from partsolver.search.rule_memory import Quick

# Ways that are thought of.
MOST_RESTS = 4_000

# Least cost, and one candidate for each of these slots.
Rest = tuple[int, tuple[Candidate, ...]]


class Rests:
    """The ways that the rules admit beside each board of some columns, found one by one as they are asked
    for. ``any_card``: the graphics card is left open as the cooler is."""

    def __init__(self, pool: Pool, quick: Quick, columns: Columns, any_card: bool) -> None:
        self._pool, self._quick, self._columns = pool, quick, columns
        # What the rules read that only look at these slots, the board, and slots with one candidate.
        fixed = {s for s in SLOTS if len(pool.left[s]) == 1}
        self._read = frozenset({*REST, *fixed, "board"} - {"cooler"})
        choices = [sorted(pool.left[s], key=lambda c: (pool.cost[c], not c.kept, c.key)) for s in REST]
        if any_card:
            choices[-1] = choices[-1][:1]
            self._read -= {"graphics"}
        each = MOST_RESTS
        while prod(min(each, len(c)) for c in choices[1:]) > MOST_RESTS:
            each //= 2
        self._whole = all(len(c) <= each for c in choices[1:])
        self.every: list[tuple[Candidate, ...]] = sorted(
            product(choices[0][:1], *(c[:each] for c in choices[1:])), key=self._cost
        )
        # By the board's kind, and by its number.
        self._by_kind: dict[int, tuple[list[Rest], Iterator[Rest]]] = {}
        self._by_board: dict[int, tuple[list[Rest], Iterator[Rest]]] = {}

    def _cost(self, rest: tuple[Candidate, ...]) -> int:
        return sum(self._pool.cost[c] for c in rest)

    def rest(self, board: int, number: int) -> Rest | None:
        """The n-th way beside a board; None when there are fewer."""
        known = self._by_board.get(board)
        if known is None:
            candidate = self._columns.boards[board]
            known = self._by_board[board] = self._by_kind.setdefault(
                self._quick.kind(candidate), ([], self._ways_beside(candidate))
            )
        found, more = known
        while len(found) <= number:
            following = next(more, None)
            if following is None:
                return None
            found.append(following)
        return found[number]

    def bound(self, board: int, number: int) -> int:
        """The least cost of this way and those after it; FAR when there is none."""
        rest = self.rest(board, number)
        if rest is not None:
            return rest[0]
        return FAR if self._whole else self._cost(self.every[-1])

    def _ways_beside(self, board: Candidate) -> Iterator[Rest]:
        for rest in self.every:
            parts = Parts((board, self._columns.cpus[0], self._columns.memory[0], *rest))
            if len(self.every) == 1 or self._quick.least(parts, self._read) < FAR:
                yield self._cost(rest), rest
