"""A plain greedy search for a few good plans. They only steer the pruning (an upper bound) and are never shown."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

from partsolver.model.identity import identity
from partsolver.model.pool import FAR, Bounds, Pool, is_pair
from partsolver.planner import allowed_by, complete, judge
from partsolver.problem import SLOTS, Candidate, Draft, Need, Parts, Problem, SlotName
from partsolver.rules.base import Rule, needs_of

# Full evaluations of the search; more buys a tighter bound at the price of time.
MOST_TRIALS = 60
# Partners tried per part.
MOST_BOARDS, MOST_KITS = 8, 10


class Quick:
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


def good_plans(pool: Pool, rules: Sequence[Rule], quick: Quick, least_time: Bounds, least_cost: Bounds) -> list[Draft]:
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
        boards = [b for b in by_socket[cpu.part.socket] if is_pair(b, cpu)] if cpu.part.socket is not None else []  # type: ignore[union-attr]
        boards = boards or [b for b in pool.left["board"] if is_pair(b, cpu)]
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


