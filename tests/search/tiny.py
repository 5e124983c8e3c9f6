"""Tiny problems for tests of the search's units, and how they are asked."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

from support import BOARD, CPU, KIT, make_problem

from partsolver.catalog.records import Board, Cpu, MemoryKit, Offer
from partsolver.plan.draft import Draft, Need
from partsolver.problem.candidates import SLOTS, Candidate, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules, rule
from partsolver.rules.base import DEFAULTS
from partsolver.search.pool import Pool
from partsolver.search.prune import Screened, screened
from partsolver.search.search import Search


class Told:
    """A rule of the tests: ``reads`` by slot the facts that it sees; ``say`` of parts False (refused), True, or what
    is needed. ``asked``: the keys of what it was asked about, each time."""

    KIND, REFUSES, SURVEY = "parts", True, ()

    def __init__(self, name: str, reads: dict[Any, tuple[str, ...]], say: Callable[[Parts], Any]) -> None:
        self.ID, self.SLOTS, self.READS, self._say = name, tuple(reads), reads, say
        self.asked: list[tuple[str, ...]] = []
        for own, usual in DEFAULTS.items():
            if own != "needs":
                setattr(self, own, usual)

    def needs(self, parts: Parts, problem: Problem) -> tuple[Need, ...]:
        self.asked.append(tuple(parts.candidate(slot).key for slot in self.SLOTS))
        said = self._say(parts)
        return said if isinstance(said, tuple) else ()

    def admits(self, draft: Draft, problem: Problem) -> tuple[Any, ...]:
        return (SimpleNamespace(admits=self._say(draft.parts) is not False),)


def need(*options: tuple[str, int]) -> tuple[Need, ...]:
    """A need with these ways to meet it."""
    return (Need("x.rule", "key", "thermal-paste", tuple(options)),)


def board(name: str, **facts: Any) -> Board:
    return replace(BOARD, id=f"board-{name}", name=name, **facts)


def cpu(name: str, **facts: Any) -> Cpu:
    return replace(CPU, id=f"cpu-{name}", name=name, **facts)


def kit(name: str, **facts: Any) -> MemoryKit:
    return replace(KIT, id=f"kit-{name}", name=name, **facts)


def priced(prices: dict[str, int], seller: str = "shop") -> list[Offer]:
    return [Offer(part, seller, price) for part, price in prices.items()]


def problem_of(prices: dict[str, int], **more: Any) -> Problem:
    """The base PC with boards, processors and kits at these prices at one shop without delivery."""
    return make_problem(**{"coolers": (), "offers": priced(prices), **more})


def screened_of(problem: Problem, rules: Sequence[str] | None = None) -> Screened:
    found = screened(problem, all_rules() if rules is None else [rule(one) for one in rules])
    assert found is not None
    return found


def search_of(problem: Problem, rules: Sequence[str] | None = None) -> Search:
    """A search of all that the first step leaves (no twin is left out)."""
    found = screened_of(problem, rules)
    return Search(found.pool, found.quick, found.most_time, found.most_cost)


def keys(listed: Iterable[Candidate]) -> list[str]:
    return [candidate.key for candidate in listed]


def left(pool: Pool, *slots: SlotName) -> list[list[str]]:
    return [keys(pool.left[slot]) for slot in slots]


def parts_of(pool: Pool, **chosen: str) -> Parts:
    """Parts by key; the first of the pool where a slot is left out."""
    return Parts(
        tuple(
            next(c for c in pool.left[slot] if slot not in chosen or c.key == chosen[slot]) for slot in SLOTS
        )
    )
