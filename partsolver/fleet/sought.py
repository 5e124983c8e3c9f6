"""The plans worth most, while they are looked for."""

from __future__ import annotations

from bisect import insort

# What tells equals apart, in order; and the numbers of which a plan is made.
Rank = tuple[int, ...]
Numbers = tuple[int, int, int, int]
Plan = tuple[int, Rank, Numbers]


class Sought:
    """The plans worth most so far: up to ``wanted``, each worth more than a floor; of equals those with the
    lower rank."""

    def __init__(self, floor: int, wanted: int) -> None:
        self.floor, self.wanted = floor, wanted
        self.found: list[Plan] = []
        self.complete = True

    def may_hold(self, most: int, rank: Rank) -> bool:
        """Whether a plan that is worth so much, of this rank (or its beginning), may be among the wanted, or
        shows that there are more than these."""
        if most <= self.floor:
            return False
        if self.complete:
            return True
        value, last, _ = self.found[-1]
        return (-most, rank) < (-value, last)

    def take(self, value: int, rank: Rank, numbers: Numbers) -> None:
        """Note a plan."""
        insort(self.found, (value, rank, numbers), key=lambda item: (-item[0], item[1]))
        if len(self.found) > self.wanted:
            self.complete = False
            self.found.pop()
