"""Which bought coolers can still matter: a shop lists hundreds, a plan needs the cheapest that serves.

Rules read few facts of the other parts when they judge a cooler (``READS``; a test compares with the rules
themselves). So every cooler is described by what it serves among the boards, processors and cases that are left, and
one that serves no more than another and is never cheaper is left out. The plain completion (planner.py) chooses among
all coolers all the same: the model only has to know the least cost.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from typing import Any

from partsolver.model.dominance import Way, beaten, best_ways
from partsolver.model.pool import FAR, Pool
from partsolver.model.quick import Quick
from partsolver.problem import BOXED_COOLER, SLOTS, Candidate, Parts
from partsolver.purchase import bundle_group, usable_bundles

# The facts of the other parts that decide what the rules say of a cooler.
READS: dict[str, Callable[[Candidate], Any]] = {
    "board": lambda c: (c.kept, c.part.socket),  # type: ignore[union-attr]
    "cpu": lambda c: (c.kept, c.part.tdp_w),  # type: ignore[union-attr]
    "case": lambda c: c.key,
}


def drop_coolers(pool: Pool, quick: Quick) -> None:
    """Drop the bought coolers that serve nothing that is left, or nothing that a cheaper one does not serve."""
    coolers = pool.left["cooler"]
    boxed = any(c.key == BOXED_COOLER for c in coolers)
    protected = set(pool.problem.brief.including)
    protected |= {g[1] for b in usable_bundles(pool.problem) for g in bundle_group(pool.problem, b) if g[0] == "cooler"}
    # A new processor with a cooler in its box needs no other.
    cpus = [c for c in pool.left["cpu"] if c.kept or not boxed or not c.part.boxed_cooler]  # type: ignore[union-attr]
    listed = {"board": pool.left["board"], "cpu": cpus, "case": pool.left["case"]}
    others = {slot: {facts(c): c for c in listed[slot]} for slot, facts in READS.items()}
    groups: dict[Any, list[Candidate]] = defaultdict(list)
    for cooler in coolers:
        if cooler.key != BOXED_COOLER:
            groups[_serves(pool, quick, cooler, others)].append(cooler)
    ways = {served: best_ways(pool.problem, [c for c in group if c.id is not None], quick.allowed) for served, group in groups.items()}
    free = {served for served, group in groups.items() if any(c.id is None for c in group)}
    dropped: set[str] = set()
    for served, group in groups.items():
        better = [other for other in groups if _covers(other, served)]
        nothing = not all(served[:3])
        rivals: list[Way] = sorted(way for other in better for way in ways[other])
        for cooler in group:
            if cooler.id is None or cooler.id in protected:
                continue
            offers = [o for o in cooler.offers if quick.allowed.offer(o, 1)]
            if nothing or any(other in free for other in better) or all(beaten(pool.problem, o, cooler, rivals) for o in offers):
                dropped.add(cooler.key)
    pool.keep(["cooler"], lambda c: c.key not in dropped)


def _serves(pool: Pool, quick: Quick, cooler: Candidate, others: dict[str, dict[Any, Candidate]]) -> tuple[Any, ...]:
    """What a cooler serves of each slot (as sets of facts), and what it needs bought itself."""
    base = {slot: pool.left[slot][0] for slot in SLOTS} | {"cooler": cooler}
    served = []
    for slot, kinds in others.items():
        read = frozenset((slot, "cooler"))
        served.append(frozenset(kind for kind, c in kinds.items() if quick.least(_with(base, slot, c), read) < FAR))
    return (*served, _needs(quick, base, others))


def _needs(quick: Quick, base: dict[Any, Candidate], others: dict[str, dict[Any, Candidate]]) -> int:
    """What the cooler itself needs bought (paste), judged with a new board where there is one."""
    board = next((c for c in others["board"].values() if not c.kept), base["board"])
    rules = [(rule, slots) for rule, slots in quick.slots if rule.ID == "fit.paste"]
    return sum(quick.cost(rule, slots, _with(base, "board", board)) for rule, slots in rules)


def _with(base: dict[Any, Candidate], slot: str, candidate: Candidate) -> Parts:
    return Parts(tuple(candidate if s == slot else base[s] for s in SLOTS))


def _covers(one: tuple[Any, ...], other: tuple[Any, ...]) -> bool:
    """Whether a cooler serves all that another serves and needs nothing more."""
    return all(a >= b for a, b in zip(one[:3], other[:3], strict=True)) and one[3] in (0, other[3])
