"""How much a search may look at, and what it starts with; each number was measured."""

from __future__ import annotations

from collections.abc import Callable

from partsolver.base.quantities import FAR
from partsolver.problem.candidates import Candidate

# Rows that may be faster than a known plan up to which all of them are looked at in order of time. Of more those of
# one processor after the other cost less, since the first plan found leaves most of them out (measured at 2,000
# parts: 500 rows 8 ms against 25, 25,000 rows 120 against 220, 110,000 rows 120 against 40).
MOST_FASTER = 60_000


# Ways to fill the slots of supply, case and drive that are asked of a row to refuse it.
MOST_WAYS = 12


# Minor units above the least cost up to which rows are looked at first, and by which the money is widened at least
# where more are too many rows.
FIRST_COST_WIDTH, LEAST_COST_WIDTH = 1000, 200


# Part of the money up to which a processor with the cheapest board and memory is tried first.
AMPLE_PERCENT = 85


# Rows of a processor that are tried in the first pass.
MOST_FIRST = 20


# Times the least time from which on the steps are not widened any more but all rows are looked at.
MOST_TIMES_LEAST = 8


# Least cost, time and parts of a way to fill the slots of cooler (any), supply, case, drive and graphics card
# (any where they are alike, search/card_choice.py); the most money for which the cost is a bound (above it
# only tells that it is more); the least cost beside the card where they are alike.
Way = tuple[int, int, tuple[Candidate, ...], int, int]


Value = Callable[[int, int], tuple[int, int]]


# Numbers of a row's board, processor and memory.
Key = tuple[int, int, int]


class Money:
    """Up to how much money rows are looked at: more each time, but no more than are few enough rows.

    ``start``: the least cost of any row; ``most``: the money there is; ``wider``: the next width after one (minor
    units).
    """

    def __init__(self, start: int, most: int, wider: Callable[[int], int]) -> None:
        self._start, self._most, self._wider = start, most, wider
        self._width, self._looked, self._too_wide = FIRST_COST_WIDTH, 0, 2 * FAR

    def limit(self, wanted: int) -> int:
        """The most cost of the next look; what costs more than ``wanted`` is not."""
        return min(self._most, self._start + self._width, wanted)

    def widen(self) -> bool:
        """All rows were looked at: more the next time. Whether that is possible."""
        self._looked = self._width
        return self._next(self._wider(self._width))

    def narrow(self, limit: int) -> bool:
        """There were too many rows for a limit: less the next time. Whether that is more than was looked at."""
        self._too_wide = limit - self._start
        return self._next(self._width)

    def _next(self, width: int) -> bool:
        self._width = min(width, (self._looked + self._too_wide) // 2)
        return self._width >= self._looked + LEAST_COST_WIDTH
