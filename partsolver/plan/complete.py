"""Complete and judge given parts in plain Python: coolers, needs, purchase, cost, time, findings. No solver.

Used for every plan the model returns (a difference stops the program), for `check`, and by tests.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from partsolver.catalog.records import Bundle, Offer
from partsolver.performance.time import time_ppm
from partsolver.plan.draft import Draft, Need
from partsolver.plan.findings import Finding
from partsolver.plan.purchase import (  # type: ignore[attr-defined]
    Allowed,
    Basket,
    bundles_beside,
    cheapest,
    cheapest_cooler,
    least_of,
    least_price,
    with_cooler,
)
from partsolver.problem.candidates import BOXED_COOLER, SLOTS, Candidate, Parts
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

# Place in candidate order, cooler, least price, its needs.
Serving = tuple[int, Candidate, int, tuple[Need, ...]]


def allowed_by(problem: Problem, rules: Sequence[Rule]) -> Allowed:
    """The offers and bundles that the given buying rules let be used; remembered for the same rules and
    wishes."""
    brief = problem.brief
    ids = tuple(rule.ID for rule in rules if rule.KIND == "buying")
    key = ("allowed", ids, problem.today, brief.need_by, brief.without, brief.including)
    if key not in problem.memo:
        problem.memo[key] = _allowed_by(problem, rules)
    found: Allowed = problem.memo[key]
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

    ids = {rule.ID for rule in rules}
    demanded = frozenset(problem.brief.including) if buying_excluded.ID in ids else frozenset()
    return Allowed(offer, bundle, buying_stock.ID in ids, buying_order.ID in ids, demanded)


def all_needs(problem: Problem, parts: Parts, rules: Sequence[Rule]) -> tuple[Need, ...]:
    """What all rules need bought for these parts, in rule order."""
    return tuple(need for rule in rules for need in rule.needs(parts, problem))


def judge(problem: Problem, draft: Draft, rules: Sequence[Rule]) -> tuple[Finding, ...]:
    """Every finding of every rule, in rule order."""
    return tuple(finding for rule in rules for finding in rule.admits(draft, problem))


def complete(
    problem: Problem, parts: Parts, rules: Sequence[Rule], allowed: Allowed | None = None, below: int = 10**15
) -> Draft | None:
    """The cheapest draft of these parts over all coolers; None when something cannot be bought.

    ``parts`` may hold any cooler: it is replaced by the one that makes the sum least among those the rules
    about coolers admit (first in candidate order among equals). Needs without any option are not bought; the
    rule's finding says so. ``allowed`` may be passed when many parts are completed under the same rules;
    ``below``: only a draft that costs less is wanted.
    """
    allowed = allowed or allowed_by(problem, rules)
    time = time_ppm(problem, parts)
    cooler_rules = [rule for rule in rules if "cooler" in rule.SLOTS and rule.KIND != "buying"]
    others = [rule for rule in rules if "cooler" not in rule.SLOTS or rule.KIND == "buying"]
    choosers = [rule.allows_candidate for rule in choosing(problem, rules, "allows_candidate")]
    needs = _bought(all_needs(problem, parts, others))
    # Coolers that come in a set with these parts, each tried on its own whatever it costs alone.
    in_sets = {item for bundle in bundles_beside(problem, parts, allowed) for item, _ in bundle.items}
    # Whatever the other cooler, the rest costs at least this.
    floor = least_price(problem, parts, needs, allowed)
    best: tuple[int, int, Basket, Parts] | None = None
    # Bought coolers wait and are tried together, by what they need bought: one first, then more and more.
    waiting: dict[Any, list[Serving]] = defaultdict(list)
    count, most = 0, 1

    def settle(alike: Sequence[Serving]) -> None:
        """Take the best of some coolers that need the same, where it is better than the best so far."""
        nonlocal best
        # Among equal costs the first in candidate order is wanted.
        limit = (below, 0) if best is None else best[:2]
        if len(alike) > 1:
            wanted = _in_rule_order([*needs, *_bought(alike[0][3])], rules)
            found = cheapest_cooler(problem, parts, [item[:2] for item in alike], wanted, allowed, limit)
            alike = [] if found is None else [item for item in alike if item[0] == found[1]]
        for place, cooler, _, own in alike:
            trial = with_cooler(parts, cooler)
            wanted = _in_rule_order([*needs, *_bought(own)], rules)
            basket = cheapest(problem, trial, wanted, allowed, limit[0] + (place < limit[1]))
            if basket is not None:
                best = (basket.cost, place, basket, trial)

    def settle_all() -> None:
        for alike in waiting.values():
            settle(alike)
        waiting.clear()

    for place, boxed in enumerate(problem.slot("cooler") if in_sets else ()):
        if boxed.id in in_sets and all(allows(problem, boxed) for allows in choosers):
            served = _served(problem, parts, boxed, cooler_rules)
            if served is not None:
                settle([(place, boxed, 0, served)])
    for serving in _serving(problem, parts, cooler_rules, allowed):
        place, cooler, price, own = serving
        bound = below if best is None else best[0] + (place < best[1])
        if floor + price >= bound:
            break
        if cooler.id in in_sets or not all(allows(problem, cooler) for allows in choosers):
            continue
        if cooler.id is None:
            settle([serving])
            continue
        waiting[tuple((need.rule, need.options) for need in own)].append(serving)
        count += 1
        if count >= most:
            settle_all()
            count, most = 0, 8 * most
    settle_all()
    if best is None:
        return None
    _, _, basket, chosen = best
    return Draft(chosen, basket.lines, basket.deliveries, basket.cost, time)


def _coolers(problem: Problem, allowed: Allowed) -> list[tuple[int, Candidate, int]]:
    """(place in candidate order, cooler, least price), cheap ones first, so that most need not be asked."""
    key = ("coolers", id(allowed))
    if key not in problem.memo:
        listed = [
            (place, cooler, least_of(cooler, allowed)) for place, cooler in enumerate(problem.slot("cooler"))
        ]
        # The rules in force are kept with the list: their identity is its key.
        problem.memo[key] = (sorted(listed, key=lambda item: (item[2], item[0])), allowed)
    return problem.memo[key][0]  # type: ignore[no-any-return]


def _serving(problem: Problem, parts: Parts, rules: Sequence[Rule], allowed: Allowed) -> Iterator[Serving]:
    """(place in candidate order, cooler, least price, its needs) of the coolers that the rules about them
    admit, cheap ones first; remembered for parts with the same in the slots these rules read."""
    read = {"cpu", *(slot for rule in rules for slot in rule.SLOTS)} - {"cooler"}
    slots = [slot for slot in SLOTS if slot in read]
    key = (
        "coolers",
        "serving",
        id(allowed),
        tuple(rule.ID for rule in rules),
        *(parts.candidate(slot).key for slot in slots),
    )
    if key not in problem.memo:
        problem.memo[key] = ([], _find_serving(problem, parts, rules, allowed))
    found, more = problem.memo[key]
    yield from found
    for following in more:
        found.append(following)
        yield following


def _find_serving(
    problem: Problem, parts: Parts, rules: Sequence[Rule], allowed: Allowed
) -> Iterator[Serving]:
    for place, cooler, price in _coolers(problem, allowed):
        if cooler.key == BOXED_COOLER and (parts.candidate("cpu").kept or not parts.cpu.boxed_cooler):
            continue
        own = _served(problem, parts, cooler, rules)
        if own is not None:
            yield place, cooler, price, own


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


def _bought(needs: Iterable[Need]) -> list[Need]:
    return [need for need in needs if need.options]


def _in_rule_order(needs: Sequence[Need], rules: Sequence[Rule]) -> list[Need]:
    position = {rule.ID: i for i, rule in enumerate(rules)}
    return sorted(needs, key=lambda need: position[need.rule])


def buy(problem: Problem, parts: Parts, rules: Sequence[Rule], allowed: Allowed) -> Basket | None:
    """The cheapest purchase of exactly these parts with everything they need."""
    return cheapest(problem, parts, _bought(all_needs(problem, parts, rules)), allowed)


def draft_as_picked(
    problem: Problem, parts: Parts, rules: Sequence[Rule], allowed: Allowed | None = None
) -> Draft | None:
    """The cheapest draft of exactly these parts, the cooler among them (`complete` would choose another where that
    is cheaper); None when something cannot be bought. The rules' verdict is another matter (`judge`)."""
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
