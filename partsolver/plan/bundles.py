"""Bundles: what they hold, as groups of parts that are bought together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from partsolver.catalog.records import Bundle
from partsolver.problem.candidates import SLOTS, Candidate
from partsolver.problem.problem import Problem
from partsolver.problem.variants import OVERRIDES, sold_facts, variant_key

Group = tuple[str, str, int]


def purchase_group(candidate: Candidate) -> Group:
    """What is bought for a candidate: slot, key of the goods, quantity. What is sold in several states by its
    state, the rest by id."""
    assert candidate.id is not None
    goods = candidate.key if candidate.slot in OVERRIDES else candidate.id
    return (candidate.slot, goods, candidate.quantity)


def bundle_group(problem: Problem, bundle: Bundle) -> tuple[Group, ...]:
    """The goods in a bundle as purchase groups; empty when some item fills no slot of this problem."""
    return _bundle_groups(problem).get(bundle.id, ())


def _bundle_groups(problem: Problem) -> dict[str, tuple[Group, ...]]:
    """Goods of every usable bundle by its id, in the order of the problem's bundles; remembered."""
    found = problem.store.bundle_groups
    if found is None:
        wanted = {item for bundle in problem.bundles for item, _ in bundle.items}
        offered: dict[tuple[str, int], list[Candidate]] = {}
        for slot in SLOTS:
            for candidate in problem.slot(slot):
                if candidate.id in wanted:
                    offered.setdefault((candidate.id, candidate.quantity), []).append(candidate)
        usable: dict[str, tuple[Group, ...]] = {}
        for bundle in problem.bundles:
            groups = [_goods(problem, offered.get(item, ()), bundle) for item in bundle.items]
            slots = [group[0] for group in groups if group is not None]
            if None not in groups and len(set(slots)) == len(slots):
                usable[bundle.id] = tuple(group for group in groups if group is not None)
        found = problem.store.bundle_groups = usable
    return found


def _goods(problem: Problem, candidates: Sequence[Candidate], bundle: Bundle) -> Group | None:
    """The goods among these candidates of one part that a bundle holds: in the state it is sold in there."""
    for candidate in candidates:
        if candidate.slot not in OVERRIDES:
            return purchase_group(candidate)
        part = problem.source.part(candidate.id)
        if candidate.key == variant_key(candidate.slot, part, sold_facts(candidate.slot, part, bundle)):
            return purchase_group(candidate)
    return None


def usable_bundles(problem: Problem) -> Iterator[Bundle]:
    """Bundles of parts whose every item can be used, by id."""
    return (bundle for bundle in problem.bundles if bundle_group(problem, bundle))
