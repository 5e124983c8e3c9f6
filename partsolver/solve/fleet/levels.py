"""The worst-off first: levels of speed, from the slowest PC upwards.

A level is a speed that so many PCs reach. The first is the highest that all PCs of the fleet reach; the next is
the highest that as many of them reach as can reach more, and so on, until no PC can be faster. Between what a
choice reaches and what the relaxation excludes, levels are found by halves (the relaxation alone says what
cannot be), and only the last steps are decided in whole numbers. A large fleet has its first level like that,
and from there a few steps of speed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from partsolver.fleet.goals import ClassFigures, Measured, speed_percent
from partsolver.solve.fleet.form import Fixed
from partsolver.solve.fleet.generate import Generator, Reached

# Levels of a large fleet after the first.
MOST_LEVELS = 6
# A level is noted: what it is, and how many PCs reach it.
Note = Callable[[Reached, Measured], None]


class Levels:
    """The levels of a fleet, found one after the other. ``fixed``: what stays reached; ``note`` adds each level
    to it."""

    def __init__(self, generator: Generator, fixed: list[Fixed], note: Note) -> None:
        self.generator, self.fixed, self.note = generator, fixed, note
        # What was found on the way, by speed: as many PCs as reach it, and no more than that can.
        self._tried: dict[int, Reached] = {}

    def find(self, first_alone: bool = False) -> None:
        """Note every level, of a large fleet a few, or the first alone and what is known of the next."""
        least = 1 + min(_present(figures) for figures in self.generator.supply.figures)
        reached, left = self._at(least), MOST_LEVELS
        while count := reached.value:
            raised = self._is_small or left == MOST_LEVELS
            low = self._raised(count, least) if raised else least
            open_at = [least] if self._bound(least) > count and least < low else []
            # What is not excluded is told: more PCs at a speed above the level before.
            for level in (*open_at, low):
                bound = max(count, self._bound(level))
                self.note(Reached(count, bound, self.generator.values), ("speed", level))
                # A level that is better by a PC would make all that follow others.
                self.generator.is_open |= self._is_small and bound > count
            if not self._is_small and not left:
                return
            least = low + (1 if self._is_small or first_alone else self._step(low, left))
            reached, left = self._at(least), left - 1
            if first_alone:
                break
        if reached.bound:
            self.note(reached, ("speed", least))

    @property
    def _is_small(self) -> bool:
        return not self.generator.is_large

    def _step(self, low: int, levels: int) -> int:
        """So much further is the next of the levels that are left, up to where nobody gets."""
        return max(1, (self._excluded(low, 1) - low) // (levels + 1))

    # -- one level -------------------------------------------------------------------------------------------------

    def _raised(self, count: int, least: int) -> int:
        """The highest level found that so many PCs reach, which reach ``least`` now."""
        low = self._reached(count, least)
        high = self._excluded(low, count)
        while low + 1 < high:
            # The highest that the relaxation allows is most often it; else halves.
            tried = high - 1 if high - 1 not in self._tried else (low + high) // 2
            found = self._at(tried, Fixed(("speed", low), count))
            if found.value >= count:
                low = self._reached(count, tried)
            else:
                high = tried
                low = self._reached(count, low)
        return low

    def _reached(self, count: int, least: int) -> int:
        """The speed that so many PCs reach in the best choice known: ``least`` or more."""
        return max(least, self._speeds()[count - 1])

    def _count(self, level: int) -> int:
        """So many PCs reach a level in the best choice known."""
        return sum(speed >= level for speed in self._speeds())

    def _speeds(self) -> list[int]:
        """The speeds of the PCs in the best choice known, the fastest first."""
        speeds: list[int] = []
        for key, pcs in self.generator.values.items():
            if key[0] == "pcs" and pcs and key[2].time_ppm is not None:
                speeds += [int(speed_percent(key[2].time_ppm))] * pcs
        return sorted(speeds, reverse=True)

    def _excluded(self, low: int, count: int) -> int:
        """The lowest level above ``low`` at which the relaxation leaves fewer PCs possible."""
        step, high = 1, low + 1
        while self._may_reach(high, count):
            low, step = high, 2 * step
            high = low + step
        while low + 1 < high:
            middle = (low + high) // 2
            if self._may_reach(middle, count):
                low = middle
            else:
                high = middle
        return high

    def _may_reach(self, level: int, count: int) -> bool:
        if self._bound(level) < count:
            return False
        return self.generator.may_reach(self.fixed, ("speed", level), count)

    def _at(self, level: int, *beside: Fixed) -> Reached:
        """As many PCs at a level as can be found. What is fixed beside must be implied by all that is noted
        later: the bound holds for that, too."""
        found = self._tried.get(level)
        # Under less that was fixed no more were found: the choice that is known keeps all that is fixed now.
        if found is None or self._count(level) != found.value:
            found = self.generator.reach([*self.fixed, *beside], ("speed", level), self._bound(level))
            self._tried[level] = found
        return replace(found, values=self.generator.values)

    def _bound(self, level: int) -> int:
        """No more PCs reach a level, as far as is proven: those that reach a lower one bound it too."""
        everyone = sum(self.generator.supply.sizes)
        return min([everyone, *(found.bound for at, found in self._tried.items() if at <= level)])


def _present(figures: ClassFigures) -> int:
    if not figures.runs or figures.present_ppm is None:
        return 0
    return int(speed_percent(figures.present_ppm))
