"""Parts that can replace one bought part of a plan with nothing else changing."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import Any

from partsolver.assembly.memory import effective_rate_mts
from partsolver.performance.time import terms_ppm
from partsolver.plan.complete import draft_as_picked, judge
from partsolver.plan.draft import Draft
from partsolver.plan.outcome import StandIn
from partsolver.problem.candidates import SLOTS, Candidate, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Rule

# Stand-ins listed per part; more help nobody.
MOST_STAND_INS = 3


# Candidates tried per slot, cheapest first, before the search for stand-ins ends.
MOST_TRIED = 12


def stand_ins(problem: Problem, draft: Draft, rules: Sequence[Rule]) -> Iterator[StandIn]:
    """Parts that can replace one bought part with nothing else changing: same time, same needs, all rules
    hold."""
    for slot in SLOTS:
        here = draft.parts.candidate(slot)
        if here.id is None or slot == "cpu":
            continue  # another processor is another plan
        found: list[StandIn] = []
        for tried, candidate in enumerate(_similar(problem, draft, slot)):
            if tried >= MOST_TRIED or len(found) >= MOST_STAND_INS:
                break
            difference = _difference(problem, draft, slot, candidate, rules)
            if difference is not None:
                assert candidate.id is not None
                found.append(StandIn(here.id, candidate.id, candidate.quantity, difference))
        yield from sorted(found, key=lambda s: (s.difference, s.id))
    for line in draft.lines:
        if line.need is not None and line.offer is not None:
            options = []
            for extra, quantity in line.need.options:
                offers = [
                    o
                    for o in problem.extra_offers[extra]
                    if all(r.allows_offer(problem, o, quantity) for r in rules)
                ]
                if extra != line.item and offers:
                    options.append(
                        StandIn(
                            line.item, extra, quantity, min(o.price for o in offers) * quantity - line.amount
                        )
                    )
            yield from sorted(options, key=lambda s: (s.difference, s.id))[:MOST_STAND_INS]


def _similar(problem: Problem, draft: Draft, slot: SlotName) -> Iterator[Candidate]:
    """Candidates of a slot that could stand in, cheapest first."""
    here, listed, key = draft.parts.candidate(slot), problem.slot(slot), ("alike", slot)
    if key not in problem.memo or problem.memo[key][0] is not listed:
        groups: dict[Any, list[Candidate]] = defaultdict(list)
        for c in listed:
            if c.id is not None and c.offers:
                groups[_alike(c)].append(c)
        problem.memo[key] = (listed, groups, set())
    _, groups, in_order = problem.memo[key]
    alike = _alike(here)
    if alike not in in_order:
        in_order.add(alike)
        groups[alike].sort(key=lambda c: (c.offers[0].price * c.quantity, c.key))
    return (c for c in groups[alike] if c.id != here.id)


def _alike(candidate: Candidate) -> Any:
    """Equal for candidates that could stand in for one another."""
    part: Any = candidate.part
    if candidate.slot == "board":
        return (part.form_factor, part.socket, part.memory_generation)
    return (part.module_mib, part.with_kept, part.generation) if candidate.slot == "memory" else None


def _difference(
    problem: Problem, draft: Draft, slot: SlotName, candidate: Candidate, rules: Sequence[Rule]
) -> int | None:
    """Change of cost with another candidate in one slot, or None when something else changes."""
    picked = list(draft.parts.picked)
    picked[SLOTS.index(slot)] = candidate
    parts = Parts(tuple(picked))
    if slot != "cooler" and terms_ppm(problem, parts) != terms_ppm(problem, draft.parts):
        return None
    if slot == "memory" and effective_rate_mts(parts.board, parts.cpu, parts.memory) != effective_rate_mts(
        draft.parts.board, draft.parts.cpu, draft.parts.memory
    ):
        return None
    trial = draft_as_picked(problem, parts, rules)
    if trial is None:
        return None
    if _need_keys(trial) != _need_keys(draft) or any(not f.admits for f in judge(problem, trial, rules)):
        return None
    return trial.cost - draft.cost


def _need_keys(draft: Draft) -> tuple[tuple[str, str], ...]:
    return tuple(sorted((line.need.rule, line.need.key) for line in draft.lines if line.need is not None))
