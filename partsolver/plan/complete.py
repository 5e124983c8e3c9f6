"""Complete and judge given parts in plain Python: coolers, needs, purchase, cost, time, findings. No solver.

Used for every plan the model returns (a difference stops the program), for `check`, and by tests.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from partsolver.base.quantities import FAR
from partsolver.catalog.records import Bundle, Offer
from partsolver.performance.time import time_ppm
from partsolver.plan.cooler_choice import CheapestCooler, all_needs, needs_to_buy
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding
from partsolver.plan.purchase import (  # type: ignore[attr-defined]
    Allowed,
    Basket,
    cheapest,
    with_cooler,
)
from partsolver.plan.services import Source, possible_trips
from partsolver.problem.candidates import Candidate, Parts
from partsolver.problem.problem import Problem
from partsolver.rules import (
    buying_arrival,
    buying_budget,
    buying_excluded,
    buying_order,
    buying_stock,
    buying_valid,
)
from partsolver.rules.base import Rule, choosing


def allowed_by(problem: Problem, rules: Sequence[Rule]) -> Allowed:
    """The offers and bundles that the given buying rules let be used; remembered for the same rules and
    wishes."""
    brief = problem.brief
    ids = tuple(rule.ID for rule in rules if rule.KIND == "buying")
    key = (ids, problem.today, brief.need_by, brief.without, brief.including)
    found = problem.store.allowed.get(key)
    if found is None:
        found = problem.store.allowed[key] = _allowed_by(problem, rules)
    return found


def _allowed_by(problem: Problem, rules: Sequence[Rule]) -> Allowed:
    offer_rules = [rule.allows_offer for rule in choosing(problem, rules, "allows_offer")]
    bundle_rules = [rule.allows_bundle for rule in choosing(problem, rules, "allows_bundle")]

    def offer(offer: Offer, quantity: int) -> bool:
        for allows in offer_rules:  # noqa: SIM110  (asked of every offer: a loop takes half the time)
            if not allows(problem, offer, quantity):
                return False
        return True

    def bundle(bundle: Bundle) -> bool:
        return all(allows(problem, bundle) for allows in bundle_rules)

    trip_rules = [rule.allows_trip for rule in choosing(problem, rules, "allows_trip")]

    def trip(source: Source, service: Offer) -> bool:
        return all(allows(problem, source, service) for allows in trip_rules)

    every_trip = not trip_rules or all(trip(*ends) for ends in possible_trips(problem))
    ids = {rule.ID for rule in rules}
    demanded = frozenset(problem.brief.including) if buying_excluded.ID in ids else frozenset()
    return Allowed(
        offer, bundle, buying_stock.ID in ids, buying_order.ID in ids, demanded, None if every_trip else trip
    )


def judge(problem: Problem, draft: Draft, rules: Sequence[Rule]) -> tuple[Finding, ...]:
    """Every finding of every rule, in rule order."""
    return tuple(finding for rule in rules for finding in rule.admits(draft, problem))


def admitted(problem: Problem, draft: Draft, rules: Sequence[Rule]) -> bool:
    """Whether every rule admits a draft: the first that does not ends it."""
    return all(finding.admits for rule in rules for finding in rule.admits(draft, problem))


def complete(
    problem: Problem, parts: Parts, rules: Sequence[Rule], allowed: Allowed | None = None, below: int = FAR
) -> Draft | None:
    """The cheapest draft of these parts over all coolers; None when something cannot be bought.

    ``parts`` may hold any cooler: it is replaced by the one that makes the sum least among those the rules
    about coolers admit (first in candidate order among equals). Needs without any option are not bought; the
    rule's finding says so. ``allowed`` may be passed when many parts are completed under the same rules;
    ``below``: only a draft that costs less is wanted.
    """
    allowed = allowed or allowed_by(problem, rules)
    found = CheapestCooler(problem, parts, rules, allowed, below).purchase()
    if found is None:
        return None
    basket, chosen = found
    return Draft(chosen, basket.lines, basket.deliveries, basket.cost, time_ppm(problem, parts))


def buy(problem: Problem, parts: Parts, rules: Sequence[Rule], allowed: Allowed) -> Basket | None:
    """The cheapest purchase of exactly these parts with everything they need."""
    return cheapest(problem, parts, needs_to_buy(all_needs(problem, parts, rules)), allowed)


def draft_as_picked(
    problem: Problem, parts: Parts, rules: Sequence[Rule], allowed: Allowed | None = None
) -> Draft | None:
    """The cheapest draft of exactly these parts, the cooler among them (`complete` would choose another
    where that is cheaper); None when something cannot be bought. The rules' verdict is another matter
    (`judge`)."""
    basket = buy(problem, parts, rules, allowed or allowed_by(problem, rules))
    if basket is None:
        return None
    return Draft(parts, basket.lines, basket.deliveries, basket.cost, time_ppm(problem, parts))


def draft_of(problem: Problem, parts: Parts, rules: Sequence[Rule], exact_cooler: bool = False) -> Draft:
    """A draft of exactly these parts for judging, bought as well as it can be.

    ``exact_cooler``: the cooler was chosen by the person and stays, whatever the rules say of it.

    Where the buying rules leave no way (sold out, late), the purchase ignores them, so that their findings
    show it; where nothing is on offer at all the lines stay empty.
    """
    if exact_cooler:
        return _exact(problem, parts, rules)
    draft = complete(problem, parts, rules)
    if draft is not None:
        return draft
    for relaxed in _relaxed(rules):
        trial = complete(problem, parts, relaxed)
        if trial is not None:
            return trial
    return _exact(problem, with_cooler(parts, _first_cooler(problem, parts)), rules)


def _relaxed(rules: Sequence[Rule]) -> Iterator[list[Rule]]:
    """Fewer and fewer buying rules: a purchase for judging breaks as few of them as it must, exclusions
    first."""
    dropped: set[str] = set()
    for rule_id in (
        buying_excluded.ID,
        buying_stock.ID,
        buying_valid.ID,
        buying_arrival.ID,
        buying_order.ID,
        buying_budget.ID,
    ):
        dropped.add(rule_id)
        yield [rule for rule in rules if rule.ID not in dropped]


def _exact(problem: Problem, parts: Parts, rules: Sequence[Rule]) -> Draft:
    """Exactly these parts, bought under the rules if possible, else without the buying rules, else not
    bought."""
    time = time_ppm(problem, parts)
    for active in (rules, *_relaxed(rules)):
        basket = buy(problem, parts, active, allowed_by(problem, active))
        if basket is not None:
            return Draft(parts, basket.lines, basket.deliveries, basket.cost, time)
    return Draft(parts, (), (), 0, time)


def _first_cooler(problem: Problem, parts: Parts) -> Candidate:
    boxed = problem.slot("cooler")[0]
    if parts.cpu.boxed_cooler and not parts.candidate("cpu").kept:
        return boxed
    return next(c for c in problem.slot("cooler") if c.key == "kept-cooler")
