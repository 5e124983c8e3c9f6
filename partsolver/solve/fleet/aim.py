"""What is asked of the joint choice, and how far it is searched."""

from __future__ import annotations

from collections.abc import Sequence

from partsolver.base.records import record
from partsolver.fleet.goals import FINE, Measured
from partsolver.solve.fleet.form import MUCH, Fixed

# How many parts of the choices are looked at: for the first goal, for each step of the slowest PCs, for the
# cost, for the last goal among equals.
MOST_NODES, MOST_STEP, MOST_COST, MOST_LAST = 24, 5, 12, 3
# Rounds of prices; for the last goal of a large fleet, which only decides between plans of one cost.
MOST_ROUNDS, LAST_ROUNDS = 60, 12
# PCs of a small fleet. Of more fewer parts are looked at: a look takes long, and one delivery is little.
SMALL_FLEET = 12


@record
class Aim:
    """What is asked of so many PCs: the goals that are reached and stay so, and the one that is maximised (None:
    least cost). proven: no choice is worth more (known before)."""

    fixed: Sequence[Fixed]
    goal: Measured | None
    pcs: int
    proven: int = MUCH

    @property
    def most(self) -> int:
        """No choice is worth more, whatever there is."""
        counts = self.goal is not None and self.goal[0] in ("pcs", "speed", "kept")
        return min(self.proven, self.pcs if counts else MUCH)

    @property
    def is_narrow(self) -> bool:
        """Whether few plans lie between a choice and its bound: of counted PCs and of money. Of speed there are many,
        so that asking for them all closes nothing."""
        return self.goal is None or self.goal[0] in ("pcs", "kept", FINE[0])

    @property
    def is_of_gain(self) -> bool:
        """Whether the total gain is asked."""
        return self.goal is not None and self.goal[0] == "gain"

    @property
    def most_nodes(self) -> int:
        """So many parts of the choices are looked at, at most."""
        of_goal = {FINE[0]: MOST_LAST, "speed": MOST_STEP}
        most = MOST_COST if self.goal is None else of_goal.get(self.goal[0], MOST_NODES)
        if self.pcs <= SMALL_FLEET:
            return most
        return 1 if self.goal == FINE else max(1, min(most, MOST_NODES * SMALL_FLEET // self.pcs))

    @property
    def is_last_of_many(self) -> bool:
        """Whether this only decides between equals of a large fleet: little is looked for (of 1,000 PCs it took half
        of all the work, and found nothing)."""
        return self.goal == FINE and self.pcs > SMALL_FLEET

    @property
    def most_rounds(self) -> int:
        """So many rounds of prices, at most."""
        return LAST_ROUNDS if self.is_last_of_many else MOST_ROUNDS
