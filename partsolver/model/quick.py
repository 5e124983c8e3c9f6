"""What the rules say of some parts, remembered, and a close lower bound of what they cost."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from typing import Any

from partsolver.model.identity import kind_of
from partsolver.model.pool import FAR, Pool
from partsolver.planner import allowed_by, judge
from partsolver.problem import BOXED_COOLER, SLOTS, Candidate, Draft, Need, Parts, Problem
from partsolver.purchase import bundles_within
from partsolver.rules.base import Rule, needs_of


class Quick:
    """Whether a rule can admit parts and what its needs cost, remembered by the keys of the slots the rule reads."""

    def __init__(self, problem: Problem, rules: Sequence[Rule]) -> None:
        self.problem = problem
        self.every = tuple(rules)
        self.rules = [rule for rule in rules if not rule.ID.startswith("buying.")]
        self.allowed = allowed_by(problem, rules)
        # FAR: refused; else the least its needs cost. By kind: rules treat twins alike.
        self._known: dict[Any, int] = {}
        # What needs it has, None: refused. Shared by all problems in which the rules say the same.
        self._ruled: dict[Any, tuple[Need, ...] | None] = problem.memo.setdefault(("ruled",), {})
        self._kind: dict[tuple[str, str], int] = {}
        self.slots = [(rule, tuple(SLOTS.index(s) for s in rule.SLOTS)) for rule in self.rules]
        self._least: dict[tuple[str, int], int] = {}
        self._rounds: dict[Any, tuple[list[tuple[Rule, tuple[int, ...]]], tuple[int, ...]]] = {}
        self._totals: dict[Any, int] = {}

    def kind(self, candidate: Candidate) -> int:
        """A number that twins share: candidates whom every rule treats alike."""
        place = (candidate.slot, candidate.key)
        found = self._kind.get(place)
        if found is None:
            found = self._kind[place] = kind_of(self.problem, candidate)
        return found

    def cost(self, rule: Rule, slots: tuple[int, ...], parts: Parts) -> int:
        """Least cost of what the rule needs bought, FAR when it refuses the parts."""
        picked = parts.picked
        key = (rule.ID, *[self.kind(picked[i]) for i in slots])
        known = self._known.get(key)
        if known is None:
            if key not in self._ruled:
                needs = needs_of(rule, parts, self.problem)
                admitted = bool(needs) or all(f.admits for f in rule.admits(Draft(parts, (), (), 0, 0), self.problem))
                self._ruled[key] = needs if admitted else None
            found = self._ruled[key]
            known = self._known[key] = FAR if found is None else min(FAR, sum(self._need(need) for need in found))
        return known

    def _need(self, need: Need) -> int:
        return min((self._extra(extra, n) for extra, n in need.options), default=FAR)

    def _extra(self, extra: str, count: int) -> int:
        if (extra, count) not in self._least:
            offers = self.problem.extra_offers[extra]
            self._least[extra, count] = min((count * o.price for o in offers if self.allowed.offer(o, count)), default=FAR)
        return self._least[extra, count]

    def least(self, parts: Parts, read: frozenset[str], without: frozenset[str] = frozenset()) -> int:
        """Least cost of the needs of the rules that read only these slots (and not only ``without``), FAR: refused."""
        listed, slots_read = self._reading(read, without)
        key = (id(listed), *[self.kind(parts.picked[i]) for i in slots_read])
        known = self._totals.get(key)
        if known is None:
            known = self._totals[key] = self._least_of(listed, parts)
        return known

    def _least_of(self, listed: list[tuple[Rule, tuple[int, ...]]], parts: Parts) -> int:
        total = 0
        for place, (rule, slots) in enumerate(listed):
            total += self.cost(rule, slots, parts)
            if total >= FAR:
                # What refuses one often refuses the next: asked first from now on.
                listed.insert(0, listed.pop(place))
                return FAR
        return total

    def _reading(self, read: frozenset[str], without: frozenset[str]) -> tuple[list[tuple[Rule, tuple[int, ...]]], tuple[int, ...]]:
        """The rules that read only some slots, and the slots they read."""
        key = (read, without)
        if key not in self._rounds:
            listed = [(r, s) for r, s in self.slots if read.issuperset(r.SLOTS) and not without.issuperset(r.SLOTS)]
            self._rounds[key] = (listed, tuple(sorted({i for _, slots in listed for i in slots})))
        return self._rounds[key]

    def admits(self, draft: Draft) -> bool:
        """Whether every rule admits a draft: a bound may rest on it. (``cost`` asks a rule that needs something bought
        no more than that.)"""
        return all(f.admits for f in judge(self.problem, draft, self.every))


class CostBound:
    """A close lower bound of what a plan costs: goods, needs, the cheapest cooler that serves, deliveries."""

    def __init__(self, pool: Pool, quick: Quick, most_cost: int) -> None:
        self.pool, self.quick, self.most_cost = pool, quick, most_cost
        self._coolers = sorted(pool.left["cooler"], key=lambda c: pool.price["cooler", c.key])
        self._cooler_rules = [(r, s) for r, s in quick.slots if "cooler" in r.SLOTS]
        self._least_cooler: dict[Any, int] = {}
        read = {slot for _, slots in self._cooler_rules for slot in slots}
        self._beside_cooler = sorted({*read, SLOTS.index("cpu")} - {SLOTS.index("cooler")})
        self._sellers: dict[str, dict[str, int]] = {}

    def least_cost(self, parts: Parts, rounds: Sequence[frozenset[str]]) -> int:
        """No plan of these parts costs less, whatever the cooler; FAR when a rule refuses them."""
        total, before = 0, frozenset[str]()
        for read in rounds:
            total += self.quick.least(parts, read, before)
            if total >= FAR:
                return FAR
            before = read
        total += self._cooler(parts)
        if total >= FAR:
            return FAR
        return total + self._goods(parts, total)

    def _cooler(self, parts: Parts) -> int:
        """The least a cooler costs that the rules admit on these parts (what it needs left out)."""
        # The box of a processor holds a cooler whatever rules say of it.
        kinds = [self.quick.kind(parts.picked[place]) for place in self._beside_cooler]
        key = (*kinds, parts.cpu.boxed_cooler)
        if key not in self._least_cooler:
            self._least_cooler[key] = self._find_cooler(parts)
        return self._least_cooler[key]

    def _find_cooler(self, parts: Parts) -> int:
        place = SLOTS.index("cooler")
        for cooler in self._coolers:
            if cooler.key == BOXED_COOLER and (parts.picked[1].kept or not parts.cpu.boxed_cooler):
                continue
            picked = list(parts.picked)
            picked[place] = cooler
            trial = Parts(tuple(picked))
            if all(self.quick.cost(rule, slots, trial) < FAR for rule, slots in self._cooler_rules):
                return self.pool.price["cooler", cooler.key]
        return FAR

    def _goods(self, parts: Parts, others: int) -> int:
        """Board, processor, memory, supply, case and drive from the sellers that make goods and deliveries cheapest.

        A delivery counts unless all money left over could lift the seller's goods to where delivery is free.
        """
        problem = self.pool.problem
        ways: list[dict[str, int]] = []
        for candidate in parts.picked:
            if candidate.slot == "cooler" or candidate.id is None:
                continue
            ways.append(self._offers(candidate))
        if not ways:
            return 0
        if problem.bundles and bundles_within(problem, parts, self.quick.allowed):
            return sum(self.pool.price[c.slot, c.key] for c in parts.picked if c.slot != "cooler")
        best = FAR
        for sellers in product(*(w.items() for w in ways)):
            goods: dict[str, int] = {}
            for name, price in sellers:
                goods[name] = goods.get(name, 0) + price
            cost = sum(goods.values())
            if cost >= best:
                continue
            spare = max(0, self.most_cost - cost - others) + others
            for name, value in goods.items():
                seller = problem.sellers[name]
                if seller.free_from is None or value + spare < seller.free_from:
                    cost += seller.delivery
            best = min(best, cost)
        return best

    def _offers(self, candidate: Candidate) -> dict[str, int]:
        """Cheapest allowed price at each seller."""
        key = f"{candidate.slot} {candidate.key}"
        if key not in self._sellers:
            found: dict[str, int] = {}
            for offer in candidate.offers:
                if offer.seller not in found and self.quick.allowed.offer(offer, candidate.quantity):
                    found[offer.seller] = offer.price * candidate.quantity
            self._sellers[key] = found
        return self._sellers[key]
