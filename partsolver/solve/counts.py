"""How many boards, processors and memory choices each rule alone leaves.

For a rule about parts: combinations of what the rule reads are tried until each candidate has one that the
rule admits. Candidates for which none turns up are decided by one small model of the picks and the rule: for
few of them it is solved with each; for many, CP-SAT's presolve finds by propagation and probing those that
contradict it (in principle a candidate that only search could rule out would then still be counted as left;
equality with brute force is tested). For a rule about
buying: the candidate is bought alone, everything else stays, by the plain purchase.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from itertools import chain, product
from math import prod
from typing import Any

import numpy as np

from partsolver.assembly.pictures import drawing_card, own_graphics_score
from partsolver.base.parallel import each
from partsolver.model.left import Place, modelled_left
from partsolver.performance.law import bandwidth_facts, compute_facts, law_of
from partsolver.performance.present import present_parts, store_of_fewer
from partsolver.performance.time import time_ppm
from partsolver.plan.bundles import bundle_group, purchase_group, usable_bundles
from partsolver.plan.complete import admitted, allowed_by, buy
from partsolver.plan.draft import Draft, Line
from partsolver.plan.outcome import RuleCount
from partsolver.plan.purchase import cheapest_alone, least_of
from partsolver.problem.candidates import BOXED_COOLER, SLOTS, Candidate, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules, buying_budget, buying_excluded, buying_minimums
from partsolver.rules.base import Rule
from partsolver.search.bounds import Figures
from partsolver.search.pool import Pool
from partsolver.search.views import views

# Combinations that are tried with a candidate, and for a rule in all, before a model decides.
MOST_EACH, MOST_TRIED = 60, 30_000
# Combinations that were admitted and are tried again with the next candidate.
MOST_ALIKE = 20
COUNTED: tuple[SlotName, ...] = ("board", "cpu", "memory")


def left_by(problem: Problem, rule: Rule, most_tried: int = MOST_TRIED) -> dict[SlotName, int]:
    """Candidates per slot that the rule alone leaves."""
    if rule.KIND == "buying" and "time" not in rule.SUMS:
        return _bought_alone(problem, rule)
    small, twins = _smaller(problem, rule)
    left, open_ones = _tried(small, rule, most_tried)
    left |= modelled_left(small, rule, open_ones)
    return {
        slot: sum(twins[slot, c.key] for c in small.slot(slot) if (slot, c.key) in left) for slot in COUNTED
    }


def _tried(small: Problem, rule: Rule, most_tried: int) -> tuple[set[Place], set[Place]]:
    """The candidates for which a combination is found that the rule admits, and those that are still open."""
    bounds, hopeless = _by_speed(small) if "time" in rule.SUMS else ({}, set())
    usable = {slot: [c for c in small.slot(slot) if (slot, c.key) not in hopeless] for slot in SLOTS}
    order = [sorted(usable[slot], key=lambda c: bounds.get((c.slot, c.key), 0)) for slot in SLOTS]
    left: set[Place] = set()
    open_ones: set[Place] = set()
    # What was admitted, the last first: it often is with another candidate in its place.
    admitted: list[tuple[Candidate, ...]] = []
    tried = 0
    for place, slot in enumerate(SLOTS):
        for candidate in usable[slot] if slot in COUNTED else ():
            if (slot, candidate.key) in left:
                continue
            alike = [(*picked[:place], candidate, *picked[place + 1 :]) for picked in reversed(admitted)]
            others = _combinations(
                [[candidate] if number == place else listed for number, listed in enumerate(order)]
            )
            for number, picked in enumerate(chain(alike, others)):
                tried += 1
                if number >= MOST_EACH + len(alike) or tried > most_tried:
                    open_ones.add((slot, candidate.key))
                    break
                if _admitted(small, rule, Parts(picked)):
                    left |= {(c.slot, c.key) for c in picked}
                    if number >= len(alike):
                        admitted = [*admitted, picked][-MOST_ALIKE:]
                    break
    return left, open_ones


def _combinations(order: Sequence[Sequence[Candidate]]) -> Iterator[tuple[Candidate, ...]]:
    """All combinations where they are few; else the first, and a scattered sample, always the same
    (neighbours in a list are often alike)."""
    count = prod(len(listed) for listed in order)
    if count <= MOST_EACH:
        yield from product(*order)
        return
    yield tuple(listed[0] for listed in order)
    scattered = random.Random(1)
    while True:
        yield tuple(listed[int(scattered.random() * len(listed))] for listed in order)


def _admitted(small: Problem, rule: Rule, parts: Parts) -> bool:
    """Whether the rule admits parts together with what it needs bought."""
    if parts.candidate("cooler").key == BOXED_COOLER and (
        parts.candidate("cpu").kept or not parts.cpu.boxed_cooler
    ):
        return False
    needs = rule.needs(parts, small)
    if not all(need.options for need in needs):
        return False
    lines = tuple(Line(need.options[0][0], need.options[0][1], 0, need=need) for need in needs)
    time = time_ppm(small, parts) if "time" in rule.SUMS else 0
    return all(finding.admits for finding in rule.admits(Draft(parts, lines, (), 0, time), small))


def _by_speed(small: Problem) -> tuple[dict[Place, int], set[Place]]:
    """The least time with each candidate, and those with which the wanted speed-up or memory is out of
    reach."""
    few: set[Place] = {
        ("memory", c.key) for c in small.slot("memory") if not buying_minimums.allows_candidate(small, c)
    }
    pool = Pool(
        small, {slot: [c for c in small.slot(slot) if (slot, c.key) not in few] for slot in SLOTS}, {}, {}
    )
    if not pool.alive:
        return {}, {(c.slot, c.key) for slot in COUNTED for c in small.slot(slot)}
    figures = Figures(pool)
    found = figures.time_bounds()
    most = buying_minimums.most_time_ppm(small)
    if most is not None:
        # A board's own channels and ports decide more than the best of all boards.
        every = figures.alive["board"]
        for number in range(len(every)):
            figures.alive["board"] = np.arange(len(every)) == number
            found["board"][number] = figures.time_bounds()["board"][number]
    bounds = {
        (slot, c.key): int(bound)
        for slot, listed in found.items()
        for c, bound in zip(pool.left[slot], listed, strict=True)
    }
    return bounds, few | {place for place, bound in bounds.items() if most is not None and bound > most}


def _smaller(problem: Problem, rule: Rule) -> tuple[Problem, dict[tuple[SlotName, str], int]]:
    """The problem with one candidate for all that the rule treats alike, and how many each stands for.

    A slot the rule does not read needs a single candidate (with the cooler the processor counts too: it may
    bring one).
    """
    sees: dict[SlotName, Callable[[Candidate], Any]] = {}
    if "time" in rule.SUMS:
        sees = {slot: partial(_timed, problem) for slot in rule.SLOTS}
    else:
        sees = {slot: view.number for slot, view in zip(rule.SLOTS, views(problem, rule), strict=True)}
    if "cooler" in rule.SLOTS:
        own = sees.get("cpu", _alike)
        sees["cpu"] = lambda c: (own(c), c.kept, c.part.boxed_cooler)  # type: ignore[union-attr]
    candidates: dict[SlotName, tuple[Candidate, ...]] = {}
    twins: dict[tuple[SlotName, str], int] = {}
    for slot in SLOTS:
        listed = sorted(problem.slot(slot), key=lambda c: not c.kept)
        kinds: dict[Any, list[Candidate]] = {}
        if slot in sees:
            for candidate in listed:
                kinds.setdefault(sees[slot](candidate), []).append(candidate)
        elif listed:
            kinds[None] = listed  # the rule treats all of them alike
        first = {members[0].key: len(members) for members in kinds.values()}
        candidates[slot] = tuple(c for c in problem.slot(slot) if c.key in first)
        twins |= {(slot, key): count for key, count in first.items()}
    return replace(problem, candidates=candidates, store=store_of_fewer(problem)), twins


def _alike(candidate: Candidate) -> None:
    """What a rule sees of a slot that it does not read."""


def _timed(problem: Problem, candidate: Candidate) -> Any:
    """What the expected time and the capacity read of a candidate."""
    part: Any = candidate.part
    if candidate.slot == "board":
        card = tuple(
            drawing_card(problem, part, case.part, graphics.part)
            for case in problem.slot("case")
            for graphics in problem.slot("graphics")
        )
        own = own_graphics_score(problem, part, candidate.kept, 0)
        law = law_of(problem)
        waits = tuple(law.drive_ppm(part, c.part) for c in problem.slot("drive"))
        return bandwidth_facts("board", part), card, own, waits
    if candidate.slot == "cpu":
        return compute_facts(part), part.graphics_score, bandwidth_facts("cpu", part)
    if candidate.slot == "memory":
        return bandwidth_facts("memory", part)
    return candidate.key


def _bought_alone(problem: Problem, rule: Rule) -> dict[SlotName, int]:
    """Of how many candidates some purchase, everything else staying, passes a buying rule."""
    if rule.ID == buying_excluded.ID:
        # The other slots can hold what is wanted there: only a slot's own demand and ban count.
        return {
            slot: sum(
                rule.allows_candidate(problem, c) and _not_excluded(problem, c) for c in problem.slot(slot)
            )
            for slot in COUNTED
        }
    present, allowed = present_parts(problem), allowed_by(problem, [rule])
    most = problem.budget if rule.ID == buying_budget.ID and not problem.bundles else None
    bundled = {group for bundle in usable_bundles(problem) for group in bundle_group(problem, bundle)}

    def passes(candidate: Candidate, place: int) -> bool:
        if most is not None and least_of(candidate, allowed) > most:
            return False
        parts = Parts((*present.picked[:place], candidate, *present.picked[place + 1 :]))
        # A rule about buying needs nothing bought beside the part.
        alone = candidate.id is not None and purchase_group(candidate) not in bundled
        basket = (
            cheapest_alone(problem, candidate, allowed) if alone else buy(problem, parts, [rule], allowed)
        )
        if basket is None:
            return False
        draft = Draft(parts, basket.lines, basket.deliveries, basket.cost, 0)
        return admitted(problem, draft, [rule])

    return {slot: sum(passes(c, SLOTS.index(slot)) for c in problem.slot(slot)) for slot in COUNTED}


def _not_excluded(problem: Problem, candidate: Candidate) -> bool:
    return candidate.id is None or candidate.id not in problem.brief.without


def count_rules(problem: Problem, rules: Sequence[Rule] | None = None) -> tuple[RuleCount, ...]:
    """Counts of the rules that restrict something, most restrictive first (by the product of what they
    leave); half of the rules are asked on a second process."""
    # What asks the time law takes longest: it comes first, so that the halves take about as long.
    asked = sorted(all_rules() if rules is None else rules, key=lambda rule: "time" not in rule.SUMS)
    each_left = each([partial(left_by, problem, rule) for rule in asked])
    counts = [
        RuleCount(rule.ID, left["board"], left["cpu"], left["memory"])
        for rule, left in zip(asked, each_left, strict=True)
    ]
    totals = tuple(len(problem.slot(slot)) for slot in COUNTED)
    restricting = [c for c in counts if (c.boards, c.cpus, c.memory) != totals]
    return tuple(
        sorted(restricting, key=lambda c: (c.boards * c.cpus * c.memory, c.boards, c.cpus, c.memory, c.rule))
    )
