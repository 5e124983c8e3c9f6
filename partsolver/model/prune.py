"""Exact pruning before the model: candidates that can be in none of the wanted plans are left out.

Three lossless steps, proven so by tests (the ranked plans are equal with and without):

1. *Cannot be bought or used*: no offer that the buying rules allow; refused by a rule that reads only this slot and
   slots with one candidate; no partner (socket, memory generation) left.
2. *Bound*: a few plans found by a plain greedy search give an upper bound; a candidate whose least possible time (or
   cost) is beyond it cannot be in a plan that is as good. The greedy plans only steer: they are never shown.
3. *Dominated twins*: of parts with equal rule-relevant facts, those that are dearer at every seller.

Lower bounds: time is a sum of terms (performance/time.py); the least of a candidate's own terms plus the least of all
others. Cost: its cheapest allowed price plus the cheapest board, processor and memory that go with it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import Any

from partsolver.catalog.records import MemoryKit
from partsolver.model.build import Built
from partsolver.model.greedy import Quick, good_plans
from partsolver.model.identity import board_facts
from partsolver.model.objective import step_of
from partsolver.model.pool import FAR, Bounds, Pool, cost_bounds, time_bounds
from partsolver.planner import allowed_by
from partsolver.problem import SLOTS, Candidate, Draft, Parts, Problem, SlotName
from partsolver.purchase import Allowed, bundle_group, least_of, usable_bundles
from partsolver.rules import all_rules
from partsolver.rules.base import Rule
from partsolver.rules.buying_minimums import most_time_ppm

# Boards + processors + memory choices below which no bound is looked for.
SMALL = 110


def reduced(problem: Problem, rules: Sequence[Rule]) -> tuple[Problem, list[Draft]]:
    """The same problem with fewer candidates and the same ranked plans; the drafts that gave the bound."""
    allowed = allowed_by(problem, rules)
    pool = _buyable(problem, rules, allowed)
    quick = Quick(problem, rules)
    _screen(pool, quick)
    if any(not pool.left[slot] for slot in SLOTS):
        # Nothing is possible; let the model prove it on all candidates.
        return problem, []
    limit = most_time_ppm(problem) if any(r.ID == "buying.minimums" for r in rules) else None
    budget = FAR if problem.budget is None else problem.budget
    _cut(pool, cost_bounds(pool), budget)
    _partners(pool)
    if limit is not None and all(pool.left[slot] for slot in SLOTS):
        _cut(pool, time_bounds(pool), limit)
        _partners(pool)
    if any(not pool.left[slot] for slot in SLOTS):
        return problem, []
    found: list[Draft] = []
    for _ in range(2):
        if sum(len(pool.left[slot]) for slot in ("board", "cpu", "memory")) <= SMALL:
            # The model proves this size faster than a bound could be found.
            break
        least_time, least_cost = time_bounds(pool), cost_bounds(pool)
        found = good_plans(pool, rules, quick, least_time, least_cost)
        most_time, most_cost = _upper_bounds(problem, found)
        if limit is not None:
            most_time = min(most_time, limit)
        before = sum(len(pool.left[slot]) for slot in SLOTS)
        _cut(pool, least_time, most_time)
        _cut(pool, least_cost, most_cost)
        _partners(pool)
        if any(not pool.left[slot] for slot in SLOTS):
            return problem, []
        if len(found) >= problem.brief.alternatives or sum(len(pool.left[slot]) for slot in SLOTS) == before:
            break
    _drop_dominated(pool, allowed)
    return pool.restricted(), found if len(found) >= problem.brief.alternatives else []


def drop_beyond(built: Built, problem: Problem, least_ppm: int, resolution: Fraction, drafts: Sequence[Draft]) -> None:
    """With the least time proven: fix to false what can only be in plans worse than as many known ones as wanted.

    A candidate goes when its least step is above the worst known step, or equal to it at a higher least cost.
    """
    if len(drafts) < problem.brief.alternatives:
        return
    small = built.picks.problem
    allowed = allowed_by(problem, all_rules())
    pool = Pool(small, {slot: list(small.slot(slot)) for slot in SLOTS}, {})
    for slot in SLOTS:
        for candidate in small.slot(slot):
            free = any((g[0], g[1]) == (slot, candidate.id) for b in usable_bundles(problem) for g in bundle_group(problem, b))
            pool.price[slot, candidate.key] = 0 if free else least_of(candidate, allowed)
    times, costs = time_bounds(pool), cost_bounds(pool)
    worst = max((step_of(draft.time_ppm, least_ppm, resolution), draft.cost) for draft in drafts)
    for slot in ("board", "cpu", "memory"):
        for candidate, literal in built.picks.of(slot):
            best = (step_of(max(times[slot, candidate.key], least_ppm), least_ppm, resolution), costs[slot, candidate.key])
            if best > worst:
                built.model.add_bool_and([~literal])


def screened(problem: Problem, rules: Sequence[Rule]) -> Pool | None:
    """Steps 1 and 3 only (for questions about all plans, not the best few); None when a slot is left empty."""
    allowed = allowed_by(problem, rules)
    pool = _buyable(problem, rules, allowed)
    _screen(pool, Quick(problem, rules))
    if any(not pool.left[slot] for slot in SLOTS):
        return None
    budget = FAR if problem.budget is None else problem.budget
    _cut(pool, cost_bounds(pool), budget)
    _partners(pool)
    if any(not pool.left[slot] for slot in SLOTS):
        return None
    _drop_dominated(pool, allowed)
    return pool


def cut_by_time(pool: Pool, most_ppm: int) -> bool:
    """Drop what cannot be in a plan of at most this time; False when a slot is left empty."""
    _cut(pool, time_bounds(pool), most_ppm)
    _partners(pool)
    return all(pool.left[slot] for slot in SLOTS)


# -- 1. cannot be bought or used ---------------------------------------------------------------------------------------


def _buyable(problem: Problem, rules: Sequence[Rule], allowed: Allowed) -> Pool:
    in_bundles = {group for bundle in usable_bundles(problem) if allowed.bundle(bundle) for group in bundle_group(problem, bundle)}
    choosers: list[Callable[[Problem, Candidate], bool]] = [r.allows_candidate for r in rules if hasattr(r, "allows_candidate")]
    left: dict[SlotName, list[Candidate]] = {}
    price: dict[tuple[SlotName, str], int] = {}
    bundled = {(group[0], group[1]) for group in in_bundles}
    for slot in SLOTS:
        left[slot] = []
        for candidate in problem.slot(slot):
            if not all(allows(problem, candidate) for allows in choosers):
                continue
            least = 0
            if candidate.id is not None and (slot, candidate.key if slot == "board" else candidate.id) not in bundled:
                prices = [o.price for o in candidate.offers if allowed.offer(o, candidate.quantity)]
                if not prices:
                    continue
                least = min(prices) * candidate.quantity
            left[slot].append(candidate)
            price[slot, candidate.key] = least
    return Pool(problem, left, price)


def _screen(pool: Pool, quick: Quick) -> None:
    """Drop candidates that a rule refuses whatever the rest (its other slots have one candidate), then lonely ones."""
    _partners(pool)
    base = {slot: pool.left[slot][0] for slot in SLOTS if pool.left[slot]}
    if len(base) < len(SLOTS):
        return
    single = {slot for slot in SLOTS if len(pool.left[slot]) == 1}
    for slot in ("board", "cpu", "memory"):
        unary = [r for r in quick.rules if slot in r.SLOTS and all(s == slot or s in single for s in r.SLOTS)]
        # Twins by facts are judged once.
        known: dict[Any, bool] = {}
        kept = []
        for candidate in pool.left[slot]:
            facts = (candidate.kept, _facts(candidate))
            if facts not in known:
                parts = Parts(tuple(candidate if s == slot else base[s] for s in SLOTS))
                known[facts] = all(quick.admits(rule, parts) for rule in unary)
            if known[facts]:
                kept.append(candidate)
        pool.left[slot] = kept
    _partners(pool)


def _facts(candidate: Candidate) -> Any:
    """Rule-relevant facts of a candidate, equal for twins."""
    if candidate.slot == "board":
        part: Any = candidate.part
        return (*board_facts(candidate), part.firmware_shipped, part.shield, part.holes, part.year, part.id if part.shield == "missing" else "")
    if candidate.slot == "memory":
        choice: Any = candidate.part
        kit: MemoryKit | None = choice.kit
        own = None if kit is None else (kit.ranks, kit.voltage_mv, kit.modules)
        return (choice.with_kept, choice.generation, choice.module, choice.module_mib, choice.rate_mts, choice.registered, choice.ecc, choice.modules, own)
    return candidate.key


def _partners(pool: Pool) -> None:
    """Drop boards, processors and memory without a partner by socket or generation, until nothing changes."""
    while True:
        before = [len(pool.left[slot]) for slot in ("board", "cpu", "memory")]  # type: ignore[index]
        sockets = {c.part.socket for c in pool.left["cpu"]}  # type: ignore[union-attr]
        kept_cpu = any(c.kept for c in pool.left["cpu"])
        generations = {c.part.generation for c in pool.left["memory"]}  # type: ignore[union-attr]
        pool.left["board"] = [
            c
            for c in pool.left["board"]
            if ((c.part.socket is not None and c.part.socket in sockets) or (c.kept and kept_cpu))  # type: ignore[union-attr]
            and (c.kept or None in generations or c.part.memory_generation is None or c.part.memory_generation in generations)  # type: ignore[union-attr]
        ]
        sockets = {c.part.socket for c in pool.left["board"]}  # type: ignore[union-attr]
        kept_board = any(c.kept for c in pool.left["board"])
        wanted = {c.part.memory_generation for c in pool.left["board"]}  # type: ignore[union-attr]
        pool.left["cpu"] = [
            c for c in pool.left["cpu"] if (c.part.socket is not None and c.part.socket in sockets) or (c.kept and kept_board)  # type: ignore[union-attr]
        ]
        pool.left["memory"] = [
            c
            for c in pool.left["memory"]
            if c.part.generation is None or None in wanted or c.part.generation in wanted or (c.kept and kept_board)  # type: ignore[union-attr]
        ]
        if [len(pool.left[slot]) for slot in ("board", "cpu", "memory")] == before:  # type: ignore[index]
            return


# -- 2. bounds ---------------------------------------------------------------------------------------------------------


def _upper_bounds(problem: Problem, found: Sequence[Draft]) -> tuple[int, int]:
    """(time, cost) beyond which a plan is worse than the worst of as many plans as wanted; FAR where nothing is known."""
    budget = FAR if problem.budget is None else problem.budget
    if len(found) < problem.brief.alternatives:
        return FAR, budget
    if problem.brief.goal == "cost":
        return FAR, min(budget, max(draft.cost for draft in found))
    times = [draft.time_ppm for draft in found]
    # A plan at least one step slower than the slowest of these is worse than all of them: steps are at most
    # resolution x (a time not below the least one) wide.
    width = Fraction(problem.brief.resolution_percent) * min(times) / 100
    return max(times) + int(width) + 1, budget


def _cut(pool: Pool, bounds: Bounds, most: int) -> None:
    for slot in ("board", "cpu", "memory"):
        pool.left[slot] = [c for c in pool.left[slot] if bounds.get((slot, c.key), 0) <= most]


# -- 3. dominated twins ------------------------------------------------------------------------------------------------


def _drop_dominated(pool: Pool, allowed: Allowed) -> None:
    """Of board and memory twins, drop those that are dearer than another at every one of their sellers.

    Where a seller gives free delivery from a value, only a difference of at least the delivery charge counts; where
    it has a least order value, nothing is dropped. Parts in bundles and demanded parts stay.
    """
    problem = pool.problem
    bundled = {(g[0], g[1]) for bundle in usable_bundles(problem) for g in bundle_group(problem, bundle)}
    protected = set(problem.brief.including)
    for slot in ("board", "memory"):
        twins: dict[Any, list[Candidate]] = defaultdict(list)
        for candidate in pool.left[slot]:
            twins[candidate.kept, candidate.quantity, _facts(candidate)].append(candidate)
        dropped: set[str] = set()
        for group in twins.values():
            if len(group) < 2:
                continue
            cheapest: dict[str, list[tuple[int, str]]] = defaultdict(list)
            for candidate in group:
                for offer in candidate.offers:
                    if allowed.offer(offer, candidate.quantity):
                        cheapest[offer.seller].append((offer.price, candidate.key))
            best = {seller: min(prices) for seller, prices in cheapest.items()}
            for candidate in group:
                if candidate.id is None or candidate.id in protected:
                    continue
                if (slot, candidate.key if slot == "board" else candidate.id) in bundled:
                    continue
                offers = [o for o in candidate.offers if allowed.offer(o, candidate.quantity)]
                if all(_beaten(problem, o.price, candidate, best[o.seller], o.seller) for o in offers):
                    dropped.add(candidate.key)
        pool.left[slot] = [c for c in pool.left[slot] if c.key not in dropped]


def _beaten(problem: Problem, price: int, candidate: Candidate, best: tuple[int, str], seller_id: str) -> bool:
    seller = problem.sellers[seller_id]
    if seller.minimum_order or best[1] == candidate.key:
        return False
    if (price, candidate.key) <= best:
        return False
    gap = (price - best[0]) * max(1, candidate.quantity)
    spare = seller.delivery if seller.free_from is not None else 0
    # At equal cost the part whose key comes first is wanted.
    return gap > spare or (gap == spare and candidate.key > best[1])
