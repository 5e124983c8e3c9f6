"""Bundles: what they hold, as groups of parts that are bought together."""

from __future__ import annotations

from collections.abc import Iterator

from partsolver.catalog.records import Bundle
from partsolver.problem.candidates import SLOTS, Candidate, SlotName
from partsolver.problem.problem import Problem

Group = tuple[str, str, int]


_SLOT_OF_TABLE: dict[str, SlotName] = {
    "boards": "board",
    "cpus": "cpu",
    "memory": "memory",
    "coolers": "cooler",
    "psus": "psu",
    "cases": "case",
    "drives": "drive",
}


def purchase_group(candidate: Candidate) -> Group:
    """What is bought for a candidate: slot, key of the goods, quantity. Boards by kind of offer, the rest by
    id."""
    assert candidate.id is not None
    return (candidate.slot, candidate.key if candidate.slot == "board" else candidate.id, candidate.quantity)


def bundle_group(problem: Problem, bundle: Bundle) -> tuple[Group, ...]:
    """The goods in a bundle as purchase groups; empty when some item fills no slot of this problem."""
    return _bundle_groups(problem).get(bundle.id, ())


def _bundle_groups(problem: Problem) -> dict[str, tuple[Group, ...]]:
    """Goods of every usable bundle by its id, in the order of the problem's bundles; remembered."""
    found = problem.store.bundle_groups
    if found is None:
        wanted = {item for bundle in problem.bundles for item, _ in bundle.items}
        offered = {
            (c.id, c.quantity): purchase_group(c)
            for slot in SLOTS
            for c in problem.slot(slot)
            if c.id in wanted and (slot != "board" or c.key == c.id)
        }
        usable: dict[str, tuple[Group, ...]] = {}
        for bundle in problem.bundles:
            groups = [offered.get(item) for item in bundle.items]
            slots = [group[0] for group in groups if group is not None]
            if None not in groups and len(set(slots)) == len(slots):
                usable[bundle.id] = tuple(group for group in groups if group is not None)
        found = problem.store.bundle_groups = usable
    return found


def usable_bundles(problem: Problem) -> Iterator[Bundle]:
    """Bundles of parts whose every item can be used, by id."""
    return (bundle for bundle in problem.bundles if bundle_group(problem, bundle))
