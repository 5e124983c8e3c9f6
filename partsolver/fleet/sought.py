"""What is noted while the plans of a class are looked through: rows with what the rules said, and the plans
worth most."""

from __future__ import annotations

from bisect import insort
from typing import Any

from partsolver.fleet.records import Column
from partsolver.search.bounds import Array
from partsolver.search.rows import Rows

# Rows of a class that are kept; what is known of one (its last places in a list of ways).
MOST_ROWS, UNKNOWN, REFUSED = 300_000, -1, -2


class Table:
    """Rows with their times (exact once the rules were asked) and what the rules said of each."""

    def __init__(self, rows: Rows, time_ppm: Array, ways: Array) -> None:
        self.rows, self.time_ppm, self.ways = rows, time_ppm, ways


class Sought:
    """The plans worth most so far: up to ``wanted``, each worth more than a floor."""

    def __init__(self, floor: int, wanted: int) -> None:
        self.floor, self.wanted = floor, wanted
        self.found: list[tuple[int, tuple[Any, ...], Column]] = []
        self.complete = True

    @property
    def least(self) -> int:
        """What is not worth more does not count."""
        return self.floor if self.complete and len(self.found) <= self.wanted else self.found[-1][0]

    def take(self, value: int, column: Column) -> None:
        insort(self.found, (value, column.order, column), key=lambda item: (-item[0], item[1]))
        if len(self.found) > self.wanted:
            self.complete = False
            self.found.pop()
