"""What the rules say of some parts, remembered, and a close lower bound of what they cost."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import product
from operator import itemgetter
from typing import Any

from partsolver.model.identity import kind_of
from partsolver.model.pool import FAR, Pool
from partsolver.planner import allowed_by, judge
from partsolver.problem import BOXED_COOLER, SLOTS, Candidate, Draft, Need, Parts, Problem, SlotName
from partsolver.purchase import bundles_within
from partsolver.rules.base import Rule, needs_of
from partsolver.survey.model import Survey


class _Asked:
    """A rule, where the slots it reads stand, and what it said of the kinds of parts in them.

    needs: what it needs bought, None where it refuses (shared by all problems in which it says the same); cost: the least
    that costs, FAR where it refuses.
    """

    __slots__ = ("cost", "needs", "of", "rule")

    def __init__(self, rule: Rule, needs: dict[Any, tuple[Need, ...] | None]) -> None:
        self.rule, self.needs = rule, needs
        self.cost: dict[Any, int] = {}
        self.of = itemgetter(*(SLOTS.index(slot) for slot in rule.SLOTS))


class Quick:
    """Whether a rule can admit parts and what its needs cost, remembered by the kinds of the parts the rule reads."""

    def __init__(self, problem: Problem, rules: Sequence[Rule]) -> None:
        self.problem = problem
        self.every = tuple(rules)
        self.allowed = allowed_by(problem, rules)
        self.rules = [_Asked(rule, _ruled(problem, rule)) for rule in rules if not rule.ID.startswith("buying.")]
        # By the candidate's identity (it is kept alive here): the quickest key.
        self._kind: dict[int, tuple[Candidate, int]] = {}
        self._least: dict[tuple[str, int], int] = {}
        self._rounds: dict[Any, tuple[list[_Asked], Callable[[Sequence[int]], Any], dict[Any, int]]] = {}

    def kind(self, candidate: Candidate) -> int:
        """A number that twins share: candidates whom every rule treats alike."""
        found = self._kind.get(id(candidate))
        if found is None:
            found = self._kind[id(candidate)] = candidate, kind_of(self.problem, candidate)
        return found[1]

    def kinds(self, parts: Parts) -> list[int]:
        """The kind of the candidate in every slot."""
        return [self.kind(candidate) for candidate in parts.picked]

    def cost(self, asked: _Asked, parts: Parts, kinds: Sequence[int]) -> int:
        """Least cost of what a rule needs bought, FAR when it refuses the parts (of these kinds)."""
        key = asked.of(kinds)
        known = asked.cost.get(key)
        if known is None:
            if key not in asked.needs:
                needs = needs_of(asked.rule, parts, self.problem)
                admitted = bool(needs) or all(f.admits for f in asked.rule.admits(Draft(parts, (), (), 0, 0), self.problem))
                asked.needs[key] = needs if admitted else None
            found = asked.needs[key]
            known = asked.cost[key] = FAR if found is None else min(FAR, sum(self._need(need) for need in found))
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
        kinds = self.kinds(parts)
        listed, of, totals = self._reading(read, without)
        key = of(kinds)
        known = totals.get(key)
        if known is None:
            known = totals[key] = self._least_of(listed, parts, kinds)
        return known

    def _least_of(self, listed: list[_Asked], parts: Parts, kinds: Sequence[int]) -> int:
        total = 0
        for place, asked in enumerate(listed):
            total += self.cost(asked, parts, kinds)
            if total >= FAR:
                # What refuses one often refuses the next: asked first from now on.
                listed.insert(0, listed.pop(place))
                return FAR
        return total

    def _reading(self, read: frozenset[str], without: frozenset[str]) -> tuple[list[_Asked], Callable[[Sequence[int]], Any], dict[Any, int]]:
        """The rules that read only some slots, the kinds they read, and their totals by these."""
        key = (read, without)
        if key not in self._rounds:
            listed = [a for a in self.rules if read.issuperset(a.rule.SLOTS) and not without.issuperset(a.rule.SLOTS)]
            slots = sorted({SLOTS.index(slot) for asked in listed for slot in asked.rule.SLOTS})
            self._rounds[key] = (listed, itemgetter(*slots) if slots else len, {})
        return self._rounds[key]

    def admits(self, draft: Draft) -> bool:
        """Whether every rule admits a draft: a bound may rest on it. (``cost`` asks a rule that needs something bought
        no more than that.)"""
        return all(f.admits for f in judge(self.problem, draft, self.every))


# What the kind of a kept candidate does not tell of it (identity.facts_of).
_KEPT: dict[SlotName, Callable[[Survey], Any]] = {
    "cooler": lambda survey: survey.cooler,
    "psu": lambda survey: survey.psu,
    "case": lambda survey: survey.case,
    "drive": lambda survey: survey.system_drive,
}


def _ruled(problem: Problem, rule: Rule) -> dict[Any, tuple[Need, ...] | None]:
    """What a rule said, by kinds of parts. All that it reads of the survey stands in the key, so that a changed survey
    asks again only those rules that it concerns (join.py drops all where the wishes that rules read differ)."""
    survey = problem.survey
    read = tuple(getattr(survey, field) for field in rule.SURVEY)
    kept = tuple(_KEPT[slot](survey) for slot in rule.SLOTS if slot in _KEPT)
    found: dict[Any, tuple[Need, ...] | None] = problem.memo.setdefault(("ruled", rule.ID, read, kept), {})
    return found


class CostBound:
    """A close lower bound of what a plan costs: goods, needs, the cheapest cooler that serves, deliveries."""

    def __init__(self, pool: Pool, quick: Quick, most_cost: int) -> None:
        self.pool, self.quick, self.most_cost = pool, quick, most_cost
        self._coolers = sorted(pool.left["cooler"], key=lambda c: pool.price["cooler", c.key])
        self._cooler_rules = [asked for asked in quick.rules if "cooler" in asked.rule.SLOTS]
        self._least_cooler: dict[Any, int] = {}
        read = {slot for asked in self._cooler_rules for slot in asked.rule.SLOTS} | {"cpu"}
        self._beside_cooler = sorted(SLOTS.index(slot) for slot in read - {"cooler"})
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
            kinds = self.quick.kinds(trial)
            if all(self.quick.cost(asked, trial, kinds) < FAR for asked in self._cooler_rules):
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
