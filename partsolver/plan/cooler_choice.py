"""Which cooler makes the purchase of some parts cheapest, and what it needs bought."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from operator import itemgetter
from typing import Any, NamedTuple

from partsolver.base.quantities import FAR
from partsolver.plan.allowed import Allowed
from partsolver.plan.draft import Draft, Need
from partsolver.plan.purchase import (
    Basket,
    bundles_beside,
    cheapest,
    cheapest_cooler,
    least_beside_cooler,
    least_of,
    least_price,
    with_cooler,
)
from partsolver.problem.candidates import BOXED_COOLER, SLOTS, Candidate, CoolerChoice, Parts
from partsolver.problem.problem import Problem
from partsolver.problem.store import ServingCoolers
from partsolver.rules.base import Rule, choosing


class Serving(NamedTuple):
    """A cooler that serves: its place in candidate order, least price (minor units), what it needs bought."""

    place: int
    cooler: Candidate[CoolerChoice]
    price: int
    needs: tuple[Need, ...]


def all_needs(problem: Problem, parts: Parts, rules: Sequence[Rule]) -> tuple[Need, ...]:
    """What all rules need bought for these parts, in rule order."""
    return tuple(need for rule in rules for need in rule.needs(parts, problem))


class CheapestCooler:
    """The cheapest purchase of some parts over all coolers that serve them.

    1. Coolers that come in a set with these parts are tried each on its own, whatever they cost alone.
    2. All others come in the order of their least price. When the rest of the purchase, with the deliveries that
       are certain, and the cooler's price alone reach the best so far, no later one can be cheaper: the search
       ends.
    3. What is not bought (present, boxed) is tried at once. Bought ones wait, grouped by what they need
       bought, and each group is tried in one branch and bound: one cooler first, then eight times as many
       each round, since a shop lists hundreds and mostly the first decides.

    Invariant: no cooler that was left out has a lower (cost, place in candidate order) than the best.
    """

    def __init__(
        self, problem: Problem, parts: Parts, rules: Sequence[Rule], allowed: Allowed, below: int
    ) -> None:
        self.problem, self.parts, self.rules, self.allowed, self.below = problem, parts, rules, allowed, below
        deciding = [rule for rule in rules if rule.REFUSES]
        self._cooler_rules = [rule for rule in deciding if "cooler" in rule.SLOTS and rule.KIND != "buying"]
        # (No rule about buying needs anything.)
        others = [rule for rule in deciding if "cooler" not in rule.SLOTS]
        self._choosers = [rule.allows_candidate for rule in choosing(problem, rules, "allows_candidate")]
        self._needs = needs_to_buy(all_needs(problem, parts, others))
        bundles = bundles_beside(problem, parts, allowed)
        self._in_sets = {item for bundle in bundles for item, _ in bundle.items}
        # Whatever the other cooler, the rest costs at least this.
        self._floor = least_price(problem, parts, self._needs, allowed)
        self._best: tuple[int, int, Basket, Parts] | None = None

    def purchase(self) -> tuple[Basket, Parts] | None:
        """The purchase, and the parts with its cooler; None when there is none for less than ``below``."""
        self._try_those_in_sets()
        self._try_the_others()
        return None if self._best is None else (self._best[2], self._best[3])

    def _try_those_in_sets(self) -> None:
        if not self._in_sets:
            return
        for place, cooler in enumerate(self.problem.slot("cooler")):
            if cooler.id in self._in_sets and self._may_be_taken(cooler):
                served = _served(self.problem, self.parts, cooler, self._cooler_rules)
                if served is not None:
                    self._settle([Serving(place, cooler, 0, served)])

    def _try_the_others(self) -> None:
        waiting: dict[Any, list[Serving]] = defaultdict(list)
        count, most = 0, 1
        self._raise_floor()
        for serving in _serving(self.problem, self.parts, self._cooler_rules, self.allowed):
            if self._floor + serving.price >= self._bound(serving.place):
                break
            if serving.cooler.id in self._in_sets or not self._may_be_taken(serving.cooler):
                continue
            if serving.cooler.id is None:
                self._settle([serving])
                continue
            waiting[tuple((need.rule, need.options) for need in serving.needs)].append(serving)
            count += 1
            if count >= most:
                self._settle_all(waiting)
                count, most = 0, 8 * most
                self._raise_floor()
        self._settle_all(waiting)

    def _raise_floor(self) -> None:
        """Count the deliveries of the rest that stay due whatever the money left is spent on; the less that is,
        the more of them do."""
        bound = self._bound(0)
        while self._floor < bound < FAR:
            least = least_beside_cooler(
                self.problem, self.parts, self._needs, self.allowed, bound, bound - self._floor
            )
            if least <= self._floor:
                return
            self._floor = least

    def _may_be_taken(self, cooler: Candidate) -> bool:
        return all(allows(self.problem, cooler) for allows in self._choosers)

    def _bound(self, place: int) -> int:
        """A purchase with the cooler at this place is better only below this cost: among equal costs the
        first in candidate order is wanted."""
        return self.below if self._best is None else self._best[0] + (place < self._best[1])

    def _settle_all(self, waiting: dict[Any, list[Serving]]) -> None:
        for alike in waiting.values():
            self._settle(alike)
        waiting.clear()

    def _settle(self, alike: Sequence[Serving]) -> None:
        """Take the best of some coolers that need the same, where it is better than the best so far."""
        if len(alike) > 1:
            limit = (self.below, 0) if self._best is None else self._best[:2]
            wanted = _in_rule_order([*self._needs, *needs_to_buy(alike[0].needs)], self.rules)
            listed = [(item.place, item.cooler) for item in alike]
            found = cheapest_cooler(self.problem, self.parts, listed, wanted, self.allowed, limit)
            alike = [] if found is None else [item for item in alike if item.place == found[1]]
        for serving in alike:
            trial = with_cooler(self.parts, serving.cooler)
            wanted = _in_rule_order([*self._needs, *needs_to_buy(serving.needs)], self.rules)
            basket = cheapest(self.problem, trial, wanted, self.allowed, self._bound(serving.place))
            if basket is not None:
                self._best = (basket.cost, serving.place, basket, trial)


def _coolers(problem: Problem, allowed: Allowed) -> list[tuple[int, Candidate[CoolerChoice], int]]:
    """(place in candidate order, cooler, least price), cheap ones first, so that most need not be asked."""
    known = problem.store.coolers.get(id(allowed))
    if known is None:
        listed = [
            (place, cooler, least_of(cooler, allowed)) for place, cooler in enumerate(problem.slot("cooler"))
        ]
        # The rules in force are kept with the list: their identity is its key. (Equal ones stay in order.)
        known = (sorted(listed, key=itemgetter(2)), allowed)
        problem.store.coolers[id(allowed)] = known
    return known[0]


def _serving(problem: Problem, parts: Parts, rules: Sequence[Rule], allowed: Allowed) -> Iterator[Serving]:
    """(place in candidate order, cooler, least price, its needs) of the coolers that the rules about them
    admit, cheap ones first; remembered for parts with the same in the slots these rules read."""
    read = {"cpu", *(slot for rule in rules for slot in rule.SLOTS)} - {"cooler"}
    slots = [slot for slot in SLOTS if slot in read]
    key = (
        id(allowed),
        tuple(rule.ID for rule in rules),
        *(parts.candidate(slot).key for slot in slots),
    )
    known = problem.store.serving.get(key)
    if known is None:
        known = ServingCoolers([], _find_serving(problem, parts, rules, allowed))
        problem.store.serving[key] = known
    yield from known.found
    for following in known.more:
        known.found.append(following)
        yield following


def _find_serving(
    problem: Problem, parts: Parts, rules: Sequence[Rule], allowed: Allowed
) -> Iterator[Serving]:
    for place, cooler, price in _coolers(problem, allowed):
        if cooler.key == BOXED_COOLER and (parts.candidate("cpu").kept or not parts.cpu.boxed_cooler):
            continue
        own = _served(problem, parts, cooler, rules)
        if own is not None:
            yield Serving(place, cooler, price, own)


def _served(
    problem: Problem, parts: Parts, cooler: Candidate, rules: Sequence[Rule]
) -> tuple[Need, ...] | None:
    """What a cooler on these parts needs; None when a rule refuses it."""
    trial = with_cooler(parts, cooler)
    bare = Draft(trial, (), (), 0, 0)
    own: list[Need] = []
    for rule in rules:
        needed = rule.needs(trial, problem)
        if not needed and not all(finding.admits for finding in rule.admits(bare, problem)):
            return None
        own += needed
    return tuple(own)


def needs_to_buy(needs: Iterable[Need]) -> list[Need]:
    """The needs that something on offer serves."""
    return [need for need in needs if need.options]


def _in_rule_order(needs: Sequence[Need], rules: Sequence[Rule]) -> list[Need]:
    position = {rule.ID: i for i, rule in enumerate(rules)}
    return sorted(needs, key=lambda need: position[need.rule])
