"""Candidates still in play while pruning, with what each costs at least."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from typing import Any

from partsolver.performance.present import store_of_fewer
from partsolver.problem.candidates import SLOTS, Candidate, SlotName
from partsolver.problem.problem import Problem

MAIN: tuple[SlotName, ...] = ("board", "cpu", "memory")
REST: tuple[SlotName, ...] = ("cooler", "psu", "case", "drive", "graphics")


@dataclass
class Pool:
    """Candidates still in play.

    price: cheapest allowed price of each (0 when it may come in a bundle); cost: that and what it alone needs
    bought; by_socket, by_generation: whether the rules in force want board and processor, or board and
    memory, to agree.
    """

    problem: Problem
    left: dict[SlotName, list[Candidate]]
    price: dict[Candidate, int]
    cost: dict[Candidate, int]
    # Time terms by facts, shared by all pools of a problem.
    known: dict[Any, int] = field(default_factory=dict)
    by_socket: bool = True
    by_generation: bool = True

    def socket(self, candidate: Candidate) -> str | None:
        """What a board and its processor must share; None (not known) goes with nothing."""
        return candidate.part.socket if self.by_socket else ""  # type: ignore[union-attr]

    def generation(self, candidate: Candidate) -> str | None:
        """What a board and its memory must share; None (not known) goes with anything."""
        if not self.by_generation:
            return None
        return candidate.part.memory_generation if candidate.slot == "board" else candidate.part.generation  # type: ignore[union-attr]

    def restricted(self) -> Problem:
        return replace(
            self.problem,
            candidates={slot: tuple(self.left[slot]) for slot in SLOTS},
            store=store_of_fewer(self.problem),
        )

    def copy(self) -> Pool:
        """The same candidates, to be cut further on their own."""
        return replace(self, left={slot: list(found) for slot, found in self.left.items()})

    @property
    def alive(self) -> bool:
        """Whether every slot has a candidate."""
        return all(self.left[slot] for slot in SLOTS)

    @property
    def size(self) -> int:
        return sum(len(self.left[slot]) for slot in SLOTS)

    def keep(self, slots: Iterable[SlotName], wanted: Callable[[Candidate], bool]) -> None:
        """Drop the candidates of some slots that are not wanted."""
        for slot in slots:
            self.left[slot] = [c for c in self.left[slot] if wanted(c)]

    def rest_cost(self) -> int:
        """The least that cooler, supply, case, drive and graphics card cost."""
        return sum(min(self.cost[c] for c in self.left[slot]) for slot in REST)
