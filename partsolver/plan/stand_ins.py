"""Parts that can replace one bought part of a plan with nothing else changing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from partsolver.assembly.memory import effective_rate_mts
from partsolver.performance.time import terms_ppm
from partsolver.plan.allowed import Allowed
from partsolver.plan.complete import admitted, allowed_by
from partsolver.plan.cooler_choice import all_needs, needs_to_buy
from partsolver.plan.draft import Draft, Line, Need
from partsolver.plan.findings import Finding
from partsolver.plan.outcome import StandIn
from partsolver.plan.purchase import cheapest
from partsolver.problem.candidates import SLOTS, Candidate, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.problem.store import CandidatesAlike
from partsolver.rules import buying_budget, buying_minimums
from partsolver.rules.base import Rule

# Stand-ins listed per part; more help nobody.
MOST_STAND_INS = 3


# Limits of what is wanted: asked last of what is remembered, so that it holds for others as well.
LIMITS = (buying_budget.ID, buying_minimums.ID)


# Candidates tried per slot, cheapest first, before the search for stand-ins ends.
MOST_TRIED = 12


def stand_ins(
    problem: Problem, draft: Draft, rules: Sequence[Rule], findings: Sequence[Finding]
) -> Iterator[StandIn]:
    """Parts that can replace one bought part with nothing else changing: same time, same needs, all rules
    hold. ``findings``: what the rules say of the draft."""
    refused = {finding.rule for finding in findings if not finding.admits}
    needing = {line.need.rule for line in draft.lines if line.need is not None}
    for slot in SLOTS:
        here = draft.parts.candidate(slot)
        if here.id is None or slot == "cpu":
            continue  # another processor is another plan
        # What does not see the slot says the same of another part in it.
        asked = [
            r
            for r in rules
            if (slot in r.SLOTS or r.KIND == "buying" or r.ID in needing) and r.ID not in LIMITS
        ]
        if refused - {*LIMITS, *(rule.ID for rule in asked)}:
            continue
        found: list[StandIn] = []
        for tried, candidate in enumerate(_similar(problem, draft, slot)):
            if tried >= MOST_TRIED or len(found) >= MOST_STAND_INS:
                break
            trial = _trial(problem, draft, slot, candidate, rules, asked)
            if trial is not None and _within_limits(problem, trial, rules):
                assert candidate.id is not None
                found.append(StandIn(here.id, candidate.id, candidate.quantity, trial.cost - draft.cost))
        yield from sorted(found, key=lambda s: (s.difference, s.id))
    yield from _extras(problem, draft, rules)


def _extras(problem: Problem, draft: Draft, rules: Sequence[Rule]) -> Iterator[StandIn]:
    """Extras that can replace one bought for a need; the whole order is bought again with each, since another
    extra may come from another seller with a delivery of its own."""
    known = problem.store.other_extras
    key = (draft.parts, draft.lines, tuple(rule.ID for rule in rules))
    if key not in known:
        known[key] = tuple(_find_extras(problem, draft, rules))
    for trials in known[key]:
        yield from (stand_in for stand_in, trial in trials if _within_limits(problem, trial, rules))


def _find_extras(
    problem: Problem, draft: Draft, rules: Sequence[Rule]
) -> Iterator[tuple[tuple[StandIn, Draft], ...]]:
    """By line of an extra: the cheapest stand-ins with the plan of each, whatever the limits (the budget
    cuts the dearest of them; the others say the same of each, since no extra changes time or memory)."""
    needs = needs_to_buy(all_needs(problem, draft.parts, rules))
    allowed = allowed_by(problem, rules)
    asked = [rule for rule in rules if rule.ID not in LIMITS]
    for line in draft.lines:
        if line.need is not None and line.offer is not None:
            yield tuple(_first_others(problem, draft, line, needs, asked, allowed))


def _first_others(
    problem: Problem,
    draft: Draft,
    line: Line,
    needs: Sequence[Need],
    asked: Sequence[Rule],
    allowed: Allowed,
) -> list[tuple[StandIn, Draft]]:
    """The first stand-ins for an extra: those with which the whole order costs least."""
    need = line.need
    assert need is not None
    best: list[tuple[StandIn, Draft]] = []
    for price, extra, quantity in _by_price(problem, need, allowed):
        # As dear as the last of them it may still come before it, by its id.
        below = best[-1][1].cost + 1 if len(best) == MOST_STAND_INS else None
        if extra == line.item:
            continue
        if below is not None and price >= below:
            break
        only = [
            replace(n, options=((extra, quantity),)) if (n.rule, n.key) == (need.rule, need.key) else n
            for n in needs
        ]
        basket = cheapest(problem, draft.parts, only, allowed, below)
        if basket is None:
            continue
        trial = Draft(draft.parts, basket.lines, basket.deliveries, basket.cost, draft.time_ppm)
        if admitted(problem, trial, asked):
            best.append((StandIn(line.item, extra, quantity, basket.cost - draft.cost), trial))
            best.sort(key=lambda found: (found[0].difference, found[0].id))
            del best[MOST_STAND_INS:]
    return best


def _by_price(problem: Problem, need: Need, allowed: Allowed) -> list[tuple[int, str, int]]:
    """(least allowed price, extra, quantity) of what serves a need, cheap ones first."""
    found = []
    for extra, quantity in need.options:
        prices = [
            quantity * offer.price for offer in problem.extra_offers[extra] if allowed.offer(offer, quantity)
        ]
        if prices:
            found.append((min(prices), extra, quantity))
    return sorted(found)


def _similar(problem: Problem, draft: Draft, slot: SlotName) -> Iterator[Candidate]:
    """Candidates of a slot that could stand in, cheapest first."""
    here, known = draft.parts.candidate(slot), problem.store.alike.get(slot)
    if known is None:
        groups: dict[Any, list[Candidate]] = defaultdict(list)
        for c in problem.slot(slot):
            if c.id is not None and c.offers:
                groups[_alike(c)].append(c)
        known = problem.store.alike[slot] = CandidatesAlike(groups, set())
    alike = _alike(here)
    found = known.groups.get(alike, [])
    if alike not in known.in_order:
        known.in_order.add(alike)
        found.sort(key=lambda c: (c.offers[0].price * c.quantity, c.key))
    return (c for c in found if c.id != here.id)


def _alike(candidate: Candidate) -> Any:
    """Equal for candidates that could stand in for one another."""
    part: Any = candidate.part
    if candidate.slot == "board":
        return (part.form_factor, part.socket, part.memory_generation)
    return (part.module_mib, part.with_kept, part.generation) if candidate.slot == "memory" else None


def _within_limits(problem: Problem, trial: Draft, rules: Sequence[Rule]) -> bool:
    """Whether the limits that count admit a trial."""
    return admitted(problem, trial, [rule for rule in rules if rule.ID in LIMITS])


def _trial(
    problem: Problem,
    draft: Draft,
    slot: SlotName,
    candidate: Candidate,
    rules: Sequence[Rule],
    asked: Sequence[Rule],
) -> Draft | None:
    """The plan with another candidate in one slot, or None when something else changes; whatever the limits,
    and remembered. ``asked``: the rules that may say otherwise of it."""
    known = problem.store.in_place
    key = (draft.parts, _need_keys(draft), candidate, tuple(rule.ID for rule in rules))
    if key not in known:
        known[key] = _find_trial(problem, draft, slot, candidate, rules, asked)
    return known[key]


def _find_trial(
    problem: Problem,
    draft: Draft,
    slot: SlotName,
    candidate: Candidate,
    rules: Sequence[Rule],
    asked: Sequence[Rule],
) -> Draft | None:
    picked = list(draft.parts.picked)
    picked[SLOTS.index(slot)] = candidate
    parts = Parts(tuple(picked))
    if slot != "cooler" and terms_ppm(problem, parts) != terms_ppm(problem, draft.parts):
        return None
    if slot == "memory" and effective_rate_mts(parts.board, parts.cpu, parts.memory) != effective_rate_mts(
        draft.parts.board, draft.parts.cpu, draft.parts.memory
    ):
        return None
    needs = needs_to_buy(all_needs(problem, parts, rules))
    if _keys(needs) != _need_keys(draft):
        return None
    basket = cheapest(problem, parts, needs, allowed_by(problem, rules))
    if basket is None:
        return None
    trial = Draft(parts, basket.lines, basket.deliveries, basket.cost, draft.time_ppm)
    return trial if admitted(problem, trial, asked) else None


def _need_keys(draft: Draft) -> tuple[tuple[str, str], ...]:
    return _keys([line.need for line in draft.lines if line.need is not None])


def _keys(needs: Sequence[Need]) -> tuple[tuple[str, str], ...]:
    return tuple(sorted((need.rule, need.key) for need in needs))
