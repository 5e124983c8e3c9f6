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
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from partsolver.assembly.cards import graphics_card
from partsolver.assembly.memory import milli_channels
from partsolver.catalog.records import MemoryKit
from partsolver.model.build import Built
from partsolver.model.identity import board_facts, identity
from partsolver.model.objective import step_of
from partsolver.performance import time as terms
from partsolver.planner import allowed_by, complete, judge
from partsolver.problem import SLOTS, Candidate, Draft, Need, Parts, Problem, SlotName
from partsolver.purchase import Allowed, bundle_group, least_of, usable_bundles
from partsolver.rules import all_rules
from partsolver.rules.base import Rule, needs_of
from partsolver.rules.buying_minimums import most_time_ppm

# Full evaluations of the greedy search; more buys a tighter bound at the price of time.
MOST_TRIALS = 160
# Partners tried per part in the greedy search.
MOST_BOARDS, MOST_KITS = 8, 10
FAR = 10**15


@dataclass
class Pool:
    """Candidates still in play, with the cheapest allowed price of each."""

    problem: Problem
    left: dict[SlotName, list[Candidate]]
    price: dict[tuple[SlotName, str], int]

    def restricted(self) -> Problem:
        return replace(self.problem, candidates={slot: tuple(self.left[slot]) for slot in SLOTS}, memo=dict(self.problem.memo))


def reduced(problem: Problem, rules: Sequence[Rule]) -> tuple[Problem, list[Draft]]:
    """The same problem with fewer candidates and the same ranked plans; the drafts that gave the bound."""
    allowed = allowed_by(problem, rules)
    pool = _buyable(problem, rules, allowed)
    quick = _Quick(problem, rules)
    _screen(pool, quick)
    if any(not pool.left[slot] for slot in SLOTS):
        # Nothing is possible; let the model prove it on all candidates.
        return problem, []
    limit = most_time_ppm(problem) if any(r.ID == "buying.minimums" for r in rules) else None
    for _ in range(2):
        least_time, least_cost = _time_bounds(pool), _cost_bounds(pool)
        found = _greedy(pool, rules, quick, least_time, least_cost)
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
    return pool.restricted(), found


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
    times, costs = _time_bounds(pool), _cost_bounds(pool)
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
    _screen(pool, _Quick(problem, rules))
    if any(not pool.left[slot] for slot in SLOTS):
        return None
    budget = FAR if problem.budget is None else problem.budget
    _cut(pool, _cost_bounds(pool), budget)
    _partners(pool)
    if any(not pool.left[slot] for slot in SLOTS):
        return None
    _drop_dominated(pool, allowed)
    return pool


def cut_by_time(pool: Pool, most_ppm: int) -> bool:
    """Drop what cannot be in a plan of at most this time; False when a slot is left empty."""
    _cut(pool, _time_bounds(pool), most_ppm)
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


class _Quick:
    """Whether a rule can admit parts, remembered by the keys of the slots the rule reads."""

    def __init__(self, problem: Problem, rules: Sequence[Rule]) -> None:
        self.problem = problem
        self.rules = [rule for rule in rules if not rule.ID.startswith("buying.")]
        # FAR: refused; else the least its needs cost.
        self._known: dict[tuple[str, tuple[str, ...]], int] = {}
        self._allowed = allowed_by(problem, rules)
        self._no_cooler = [(rule, tuple(SLOTS.index(s) for s in rule.SLOTS)) for rule in self.rules if "cooler" not in rule.SLOTS]
        self._buying = [rule for rule in rules if rule.ID.startswith("buying.")]

    def needs_cost(self, rule: Rule, parts: Parts) -> int:
        """Least cost of what the rule needs bought, FAR when it refuses the parts."""
        key = (rule.ID, tuple(parts.candidate(slot).key for slot in rule.SLOTS))
        return self._cost(rule, parts, key)

    def _cost(self, rule: Rule, parts: Parts, key: tuple[str, tuple[str, ...]]) -> int:
        known = self._known.get(key)
        if known is None:
            needs = needs_of(rule, parts, self.problem)
            if needs:
                known = min(FAR, sum(self._least(need) for need in needs))
            else:
                known = 0 if all(f.admits for f in rule.admits(Draft(parts, (), (), 0, 0), self.problem)) else FAR
            self._known[key] = known
        return known

    def _least(self, need: Need) -> int:
        offers = self.problem.extra_offers
        return min((n * o.price for extra, n in need.options for o in offers[extra] if self._allowed.offer(o, n)), default=FAR)

    def admits(self, rule: Rule, parts: Parts) -> bool:
        return self.needs_cost(rule, parts) < FAR

    def least_needs(self, parts: Parts) -> int:
        """Least cost of the needs of all rules but those about coolers, FAR when one refuses the parts."""
        keys = parts.keys
        total = 0
        for rule, slots in self._no_cooler:
            total += self._cost(rule, parts, (rule.ID, tuple(keys[i] for i in slots)))
            if total >= FAR:
                return FAR
        return total

    def bought_well(self, draft: Draft) -> bool:
        """Whether the buying rules admit a draft whose parts all other rules admit."""
        return all(f.admits for f in judge(self.problem, draft, self._buying))


def _screen(pool: Pool, quick: _Quick) -> None:
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


def _pair(board: Candidate, cpu: Candidate) -> bool:
    a, b = board.part.socket, cpu.part.socket  # type: ignore[union-attr]
    return (board.kept and cpu.kept) or (a is not None and a == b)


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


Bounds = dict[tuple[SlotName, str], int]


def _time_bounds(pool: Pool) -> Bounds:
    """Least possible time of any plan with a candidate, millionths of the reference time."""
    problem = pool.problem
    use, reference, settings = problem.use, problem.catalog.reference, problem.settings
    boards, cpus, memory, drives = (pool.left[s] for s in ("board", "cpu", "memory", "drive"))  # type: ignore[index]
    cards = {graphics_card(problem, b.part, k.part) for b in boards for k in pool.left["case"]}  # type: ignore[arg-type]
    card_ppm = [terms.card_graphics_ppm(card, use, reference) for card in cards if card is not None]
    most_channels = max(max(b.part.memory_channels or 1 for b in boards), 1)  # type: ignore[union-attr]
    most_slots = max(max(b.part.memory_slots or 1 for b in boards), most_channels)  # type: ignore[union-attr]
    kbs = {}
    for choice in memory:
        part: Any = choice.part
        milli = max(milli_channels(part.module_mib, part.modules, n, max(most_slots, part.modules)) for n in range(1, most_channels + 1))
        kbs[choice.key] = terms.bandwidth_kbs(part.rate_mts or 20_000, milli)
    best_kbs = max(kbs.values())
    memory_ppm = {key: terms.memory_ppm(value, use, reference) for key, value in kbs.items()}
    storage = {
        b.key: min(terms.storage_ppm(b.part, d.part, use, reference, settings) for d in drives) for b in boards  # type: ignore[arg-type]
    }
    capacity = {
        m.key: min(terms.capacity_ppm(m.part, d.part, use, problem.memory_limit_mib, settings) for d in drives) for m in memory  # type: ignore[arg-type]
    }
    graphics = {}
    no_card = None in cards
    for c in cpus:
        cpu: Any = c.part
        ways = list(card_ppm)
        if no_card:
            ways.append(terms.integrated_graphics_ppm(cpu.graphics_score, best_kbs, use, reference, settings))
        graphics[c.key] = min(ways)
    compute = {c.key: terms.serial_ppm(c.part, use, reference) + terms.parallel_ppm(c.part, use, reference) for c in cpus}  # type: ignore[arg-type]
    own_cpu = {key: compute[key] + graphics[key] for key in compute}
    own_memory = {key: memory_ppm[key] + capacity[key] for key in memory_ppm}
    least_cpu, least_memory, least_board = min(own_cpu.values()), min(own_memory.values()), min(storage.values())
    bounds: Bounds = {}
    for key, value in own_cpu.items():
        bounds["cpu", key] = value + least_memory + least_board
    for key, value in own_memory.items():
        bounds["memory", key] = value + least_cpu + least_board
    for key, value in storage.items():
        bounds["board", key] = value + least_cpu + least_memory
    return bounds


def _cost_bounds(pool: Pool) -> Bounds:
    """Least possible cost of any plan with a candidate, minor units (delivery and extras count 0)."""
    price = pool.price
    memory_of: dict[str | None, int] = defaultdict(lambda: FAR)
    for m in pool.left["memory"]:
        generation = m.part.generation  # type: ignore[union-attr]
        memory_of[generation] = min(memory_of[generation], price["memory", m.key])
    anything = min(memory_of.values())
    kept_memory = any(m.kept for m in pool.left["memory"])

    def memory_for(board: Candidate) -> int:
        generation = board.part.memory_generation  # type: ignore[union-attr]
        if generation is None or (board.kept and kept_memory):
            return anything
        return min(memory_of[generation], memory_of[None])

    cpu_of: dict[str | None, int] = defaultdict(lambda: FAR)
    for c in pool.left["cpu"]:
        cpu_of[c.part.socket] = min(cpu_of[c.part.socket], price["cpu", c.key])  # type: ignore[union-attr]
    kept_cpu = any(c.kept for c in pool.left["cpu"])
    bounds: Bounds = {}
    board_of: dict[str | None, int] = defaultdict(lambda: FAR)
    with_memory: dict[str | None, int] = defaultdict(lambda: FAR)
    for b in pool.left["board"]:
        socket = b.part.socket  # type: ignore[union-attr]
        alone = price["board", b.key] + (0 if b.kept and kept_cpu else cpu_of[socket])
        bounds["board", b.key] = alone + memory_for(b)
        board_of[socket] = min(board_of[socket], price["board", b.key] + memory_for(b))
        generation = b.part.memory_generation  # type: ignore[union-attr]
        with_memory[generation] = min(with_memory[generation], alone)
    kept_board = next((b for b in pool.left["board"] if b.kept), None)
    for c in pool.left["cpu"]:
        other = board_of[c.part.socket] if c.part.socket is not None else FAR  # type: ignore[union-attr]
        if c.kept and kept_board is not None:
            other = min(other, memory_for(kept_board))
        bounds["cpu", c.key] = price["cpu", c.key] + other
    least = min(with_memory.values())
    for m in pool.left["memory"]:
        generation = m.part.generation  # type: ignore[union-attr]
        other = least if generation is None or m.kept else min(with_memory[generation], with_memory[None])
        bounds["memory", m.key] = price["memory", m.key] + other
    return bounds


def _greedy(pool: Pool, rules: Sequence[Rule], quick: _Quick, least_time: Bounds, least_cost: Bounds) -> list[Draft]:
    """Up to as many different plans as wanted, good ones first; every one is complete and admitted."""
    problem = pool.problem
    allowed = allowed_by(problem, rules)
    wanted = problem.brief.alternatives
    budget = FAR if problem.budget is None else problem.budget
    speed = problem.brief.goal == "speed"
    main: Mapping[tuple[SlotName, str], int] = least_time if speed else least_cost
    singles = {slot: pool.left[slot][0] for slot in ("cooler", "psu", "case", "drive")}  # type: ignore[index]
    by_socket: dict[str | None, list[Candidate]] = defaultdict(list)
    for b in sorted(pool.left["board"], key=lambda b: (pool.price["board", b.key], b.key)):
        by_socket[b.part.socket].append(b)  # type: ignore[union-attr]
    kits = sorted(pool.left["memory"], key=lambda m: (main["memory", m.key], pool.price["memory", m.key], m.key))
    if speed:
        kits = sorted(kits, key=lambda m: (least_time["memory", m.key] * 50 // max(1, least_time["memory", kits[0].key]), pool.price["memory", m.key], m.key))
    found: dict[Any, Draft] = {}
    trials = 0
    for cpu in sorted(pool.left["cpu"], key=lambda c: (main["cpu", c.key], pool.price["cpu", c.key], c.key)):
        if least_cost["cpu", cpu.key] > budget:
            continue
        boards = [b for b in by_socket[cpu.part.socket] if _pair(b, cpu)] if cpu.part.socket is not None else []  # type: ignore[union-attr]
        boards = boards or [b for b in pool.left["board"] if _pair(b, cpu)]
        tried_boards = 0
        for board in boards:
            if tried_boards >= MOST_BOARDS or trials >= MOST_TRIALS:
                break
            tried_kits = 0
            for kit in kits:
                if tried_kits >= MOST_KITS or trials >= MOST_TRIALS:
                    break
                spent = pool.price["cpu", cpu.key] + pool.price["board", board.key] + pool.price["memory", kit.key]
                if spent > budget or not _same_generation(board, kit):
                    continue
                parts = Parts((board, cpu, kit, *(singles[s] for s in SLOTS[3:])))  # type: ignore[index]
                needed = quick.least_needs(parts)
                if needed >= FAR:
                    tried_boards += tried_kits == 0
                    tried_kits += 1
                    continue
                if spent + needed > budget:
                    continue
                key = identity(parts)
                tried_kits += 1
                if key in found:
                    continue
                trials += 1
                draft = complete(problem, parts, rules, allowed)
                if draft is not None and quick.bought_well(draft):
                    found[key] = draft
                    if len(found) >= wanted:
                        return list(found.values())
            tried_boards += 1
    return list(found.values())


def _same_generation(board: Candidate, memory: Candidate) -> bool:
    a, b = board.part.memory_generation, memory.part.generation  # type: ignore[union-attr]
    return a is None or b is None or a == b or (board.kept and memory.kept)


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
    return gap >= (seller.delivery if seller.free_from is not None else 0)


def names(candidates: Iterable[Candidate]) -> list[str]:
    """Keys, for tests and profiles."""
    return [candidate.key for candidate in candidates]
