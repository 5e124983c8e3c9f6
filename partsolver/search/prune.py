"""Exact pruning: candidates that can be in none of the wanted plans are left out.

Lossless, proven so by tests (the ranked plans are equal with and without):

1. *Cannot be bought or used* (`screened`): no offer that the buying rules allow; refused by a rule that reads
   only this slot and slots with one candidate; no partner (socket, memory generation) left; beyond the budget
   or the wanted speed with the best partners there are.
2. *Bound* (search/window.py): the plans that the search found give an upper bound; a candidate goes when
   every row (search/rows.py) with it is beyond the bound, or refused.
3. *Dominated*: of parts with equal rule-relevant facts, and of coolers that serve no more, those that another
   always beats in money (plan/dominance.py, search/coolers.py).
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any

from partsolver.base.quantities import FAR
from partsolver.plan.allowed import Allowed
from partsolver.plan.bundles import Group, bundle_group, purchase_group, usable_bundles
from partsolver.plan.dominance import beaten, best_ways, clearly_beaten
from partsolver.plan.identity import kind_of, kit_facts
from partsolver.plan.purchase import least_of
from partsolver.problem.candidates import SLOTS, Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules import buying_budget, buying_minimums, memory_generation, platform_socket
from partsolver.rules.base import Rule, choosing
from partsolver.rules.buying_minimums import most_time_ppm
from partsolver.search.bounds import Figures
from partsolver.search.by_card import SearchByCard, cards_compete
from partsolver.search.pool import MAIN, Pool
from partsolver.search.rule_memory import Quick
from partsolver.search.search import Search

# Boards + processors + memory choices up to which the model's window is all of them.
SMALL = 40
# Sets of other slots' candidates that a rule is asked with, for each candidate, and questions of a rule in all.
FEW_BESIDE, MOST_TOGETHER = 12, 20_000
# Memory choices from which on the clearly beaten twins go before anything is asked of them (fewer are soon
# asked, and all of a small problem stay for its model).
MANY_MEMORY = 1_000
# Twins that must beat one: with one gone (a part sells out) another still does.
TWINS = 2


@dataclass
class Screened:
    """What step 1 leaves, with the limits every plan must keep (FAR: none)."""

    pool: Pool
    quick: Quick
    most_time: int
    most_cost: int

    @property
    def small(self) -> bool:
        return sum(len(self.pool.left[slot]) for slot in MAIN) <= SMALL

    def search(self, times: int = 1) -> Search:
        """A search among what so many twins do not beat (step 3 needs no bound): more than once, and it holds
        as well when some parts are gone."""
        pool = self.pool.copy()
        drop_dominated(pool, self.quick.allowed, times)
        kind = SearchByCard if cards_compete(pool) else Search
        return kind(pool, self.quick, self.most_time, self.most_cost)


def screened(problem: Problem, rules: Sequence[Rule], every_twin: bool = False) -> Screened | None:
    """Step 1. None when it leaves a slot empty: then there is no plan. ``every_twin``: also memory that two twins
    clearly beat is wanted (where several PCs share what a seller has)."""
    quick = Quick(problem, rules)
    pool = _buyable(problem, rules, quick.allowed, every_twin)
    ids = {rule.ID for rule in rules}
    budget = problem.budget if buying_budget.ID in ids else None
    limit = most_time_ppm(problem) if buying_minimums.ID in ids else None
    found = Screened(pool, quick, FAR if limit is None else limit, FAR if budget is None else budget)
    # Cheap cuts first: a rule is asked only of what may be affordable and fast enough.
    if not (_narrow(found) and _screen(pool, quick) and _screen_together(pool, quick) and _narrow(found)):
        return None
    return found


def _narrow(found: Screened) -> bool:
    """Cut by partners, cost and time until nothing changes; False when a slot is left empty."""
    figures = Figures(found.pool)
    while figures.any_in_all:
        before = figures.size
        figures.partners()
        if found.most_cost < FAR and figures.any_in_all:
            figures.cut(figures.cost_bounds(), found.most_cost)
        if found.most_time < FAR and figures.size == before:
            figures.cut(figures.time_bounds(), found.most_time)
        if figures.size == before:
            figures.drop()
            return True
    return False


# -- 1. cannot be bought or used ---------------------------------------------------------------------------------------


def _buyable(problem: Problem, rules: Sequence[Rule], allowed: Allowed, every_twin: bool) -> Pool:
    choosers = choosing(problem, rules, "allows_candidate")
    brief = problem.brief
    # What is allowed names all that the rest depends on: dates, wishes for and against parts, rules about
    # buying.
    read = (
        tuple(rule.ID for rule in choosers),
        brief.min_memory_gb,
        problem.memory_limit_mib,
        tuple(bundle.id for bundle in usable_bundles(problem)),
        every_twin,
    )
    shares: dict[Candidate, int] | None = None
    left: dict[SlotName, list[Candidate]] = {}
    price: dict[Candidate, int] = {}
    for slot in SLOTS:
        listed = problem.slot(slot)
        known = allowed.buyable.get((slot, read))
        if known is None or known[0] is not listed:
            shares = _shares(problem, allowed) if shares is None else shares
            some = listed if every_twin or slot != "memory" else _cheap_twins(problem, allowed)
            least = {c: value for c in some if (value := least_of(c, allowed)) < FAR}
            least |= {c: min(share, least.get(c, FAR)) for c, share in shares.items() if c.slot == slot}
            for rule in choosers:
                least = {c: value for c, value in least.items() if rule.allows_candidate(problem, c)}
            known = allowed.buyable[slot, read] = (listed, [c for c in listed if c in least], least)
        left[slot] = known[1]
        price |= known[2]
    ids = {rule.ID for rule in rules}
    times = problem.store.time_terms.setdefault((problem.survey.system_drive, problem.memory_limit_mib), {})
    return Pool(
        problem, left, price, dict(price), times, platform_socket.ID in ids, memory_generation.ID in ids
    )


def _cheap_twins(problem: Problem, allowed: Allowed) -> Sequence[Candidate]:
    """The memory choices without those that `TWINS` twins clearly beat. Of a hundred thousand kits and numbers of
    kits there are some thousand kinds."""
    listed = problem.slot("memory")
    if len(listed) < MANY_MEMORY:
        return listed
    protected = set(problem.brief.including) | {
        item for bundle in problem.bundles for item, _ in bundle.items
    }
    kinds: dict[Any, int] = {}
    kind_of_kit: dict[str, int] = {}
    twins: dict[Any, list[Candidate]] = defaultdict(list)
    for candidate in listed:
        kit, choice = candidate.id, candidate.part
        if kit is None or kit in protected:
            continue
        kind = kind_of_kit.get(kit)
        if kind is None:
            kind = kind_of_kit[kit] = kinds.setdefault(kit_facts(choice.kit), len(kinds))
        # The rest of a choice follows from the facts of its kit, how many there are, and what stays beside them.
        twins[kind, candidate.quantity, choice.with_kept, choice.left_out].append(candidate)
    gone = {
        candidate.key
        for group in twins.values()
        if len(group) > TWINS
        for candidate in clearly_beaten(problem, group, allowed, TWINS)
    }
    return [candidate for candidate in listed if candidate.key not in gone]


def _shares(problem: Problem, allowed: Allowed) -> dict[Candidate, int]:
    """The least that goods cost inside a bundle: its price divided among its items as their own prices are.

    The shares of a bundle add up to its price at most, so a sum over parts stays a lower bound whether they
    are bought one by one or in the bundle.
    """
    wanted = {group for bundle in usable_bundles(problem) for group in bundle_group(problem, bundle)}
    offered: dict[Group, list[Candidate]] = defaultdict(list)
    for c in (c for slot in SLOTS for c in problem.slot(slot) if wanted and c.id is not None):
        if (group := purchase_group(c)) in wanted:
            offered[group].append(c)
    shares: dict[Candidate, int] = {}
    for bundle in usable_bundles(problem):
        if not allowed.bundle(bundle):
            continue
        groups = bundle_group(problem, bundle)
        own = [least_of(offered[group][0], allowed) for group in groups]
        if max(own) >= FAR:
            # Something in it cannot be bought alone: that takes the whole price, the rest comes free.
            own = [int(value >= FAR) for value in own]
        for group, value in zip(groups, own, strict=True):
            share = bundle.price * value // max(1, sum(own))
            shares |= {c: min(share, shares.get(c, FAR)) for c in offered[group]}
    return shares


def _screen(pool: Pool, quick: Quick) -> bool:
    """Drop candidates that a rule refuses whatever the rest (its other slots have one candidate); add what
    they need bought to their cost. False when a slot is left empty."""
    for slot in SLOTS:
        others = [pool.left[s][0] for s in SLOTS]
        single = {s for s in SLOTS if len(pool.left[s]) == 1}
        # A rule counts for one slot only, or what it needs would be paid twice.
        read, elsewhere = (
            (frozenset([slot]), frozenset[str]())
            if slot in single
            else (frozenset([slot, *single]), frozenset(single))
        )
        admitted = quick.admitted(pool.left[slot], others, read, elsewhere)
        pool.cost.update(
            (candidate, pool.price[candidate] + needed) for candidate, needed in admitted.items()
        )
        pool.left[slot] = list(admitted)
        if not admitted:
            return False
    return True


def _screen_together(pool: Pool, quick: Quick) -> bool:
    """Drop candidates that a rule refuses whatever the few candidates are that the other slots it reads have: the
    board without a slot for a card that is needed, beside each graphics card. False when a slot is left empty."""
    fewer: set[SlotName] = set()
    for asked in quick.rules:
        for slot in asked.rule.SLOTS:
            listed, others = pool.left[slot], set(asked.rule.SLOTS) - {slot}
            read = [pool.left[s] if s in others else pool.left[s][:1] for s in SLOTS]
            sets = math.prod(map(len, read))
            # With the one set that there was before, `_screen` has asked.
            new = sets > 1 or not fewer.isdisjoint(others)
            if len(listed) > 1 and new and sets <= FEW_BESIDE and len(listed) * sets <= MOST_TOGETHER:
                pool.left[slot] = quick.admitted_with_one(asked, listed, list(product(*read)))
                if not pool.left[slot]:
                    return False
                if len(pool.left[slot]) < len(listed):
                    fewer.add(slot)
    return True


# -- 3. dominated twins ------------------------------------------------------------------------------------------------


def drop_dominated(pool: Pool, allowed: Allowed, times: int = 1) -> None:
    """Of board and memory twins, drop those that so many others always beat in money. Parts in bundles and
    demanded parts stay."""
    problem = pool.problem
    bundled = {(g[0], g[1]) for bundle in usable_bundles(problem) for g in bundle_group(problem, bundle)}
    protected = set(problem.brief.including)
    # Of boards that may have to be sent in, a dearer one may be the one that is back in time.
    slots: tuple[SlotName, ...] = ("board", "memory") if allowed.allows_trip is None else ("memory",)
    for slot in slots:
        twins: dict[Any, list[Candidate]] = defaultdict(list)
        for candidate in pool.left[slot]:
            twins[candidate.kept, candidate.quantity, kind_of(problem, candidate)].append(candidate)
        dropped: set[str] = set()
        for group in twins.values():
            if len(group) <= times:
                continue
            best = best_ways(problem, group, allowed, times)
            for candidate in group:
                if candidate.id is None or candidate.id in protected:
                    continue
                if (slot, candidate.key if slot == "board" else candidate.id) in bundled:
                    continue
                if all(beaten(problem, offer, candidate, best, times) for offer in allowed.offers(candidate)):
                    dropped.add(candidate.key)
        pool.keep([slot], lambda c: c.key not in dropped)
