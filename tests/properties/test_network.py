"""The current network adds up: every consumer's current is counted exactly once on its way up, against a
second, plain computation; what the rules compare are its nodes."""

from __future__ import annotations

import random
from collections import Counter
from fractions import Fraction
from math import ceil

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from oracle_power import consumers as plain_consumers
from oracle_rules import World as PlainWorld
from oracle_worlds import world_of
from support import combinations

from partsolver.assembly import loads
from partsolver.assembly.bought_cards import plan_load
from partsolver.assembly.currents import NOTHING, load_of_currents
from partsolver.assembly.network import RAILS, Node, consumers, flows, walk
from partsolver.assembly.network_limits import margin_mw, network_of, tightest_node
from partsolver.assembly.supply import amount
from partsolver.plan.draft import Draft
from partsolver.problem.candidates import SLOTS, Parts
from partsolver.problem.problem import Problem
from partsolver.rules import power_rail_12v, power_total

WORLDS = range(60)
VOLTS = {"12v": Fraction(12), "5v": Fraction(5), "3v3": Fraction(33, 10)}


def samples(number: int) -> tuple[Problem, list[Parts]]:
    problem = world_of(number).problem
    listed = list(combinations(problem))
    return problem, random.Random(number).sample(listed, min(3, len(listed)))


def leaves(node: Node) -> list[Node]:
    return [n for n in walk(node) if n.kind == "consumer"]


@pytest.mark.parametrize("number", WORLDS)
def test_every_current_is_counted_once_on_its_way_up(number: int) -> None:
    problem, listed = samples(number)
    for parts in listed:
        root = network_of(problem, parts)
        assert [rail.rail for rail in root.below] == list(RAILS)
        for node in walk(root):
            if node.kind in ("rail", "circuit", "lead", "contacts"):
                below = leaves(node)
                assert (node.usual, node.most, node.start) == (
                    sum(n.usual for n in below),
                    sum(n.most for n in below),
                    sum(n.start for n in below),
                )
                assert all(n.rail == node.rail for n in below)
        # Every consumer hangs at one place of a rail.
        named = Counter(n.name for n in leaves(root) if n.rail == "12v")
        assert named == Counter(
            name for _, name, load in consumers(problem, parts) if load.ma_12v or load.most_12v
        )
        total = plan_load(problem, parts)
        for rail, usual in zip(RAILS, (total.ma_12v, total.ma_5v, total.ma_3v3), strict=True):
            assert next(r for r in root.below if r.rail == rail).usual == usual
        assert root.usual == total.mw
        without = loads.total_load(problem, parts)
        assert flows(problem, parts).total == without
        assert (without.ma_12v, without.start_12v) == (total.ma_12v, total.start_12v)


@pytest.mark.parametrize("number", WORLDS)
def test_the_network_equals_a_second_plain_computation(number: int) -> None:
    """The oracle's list of consumers, made from the reference without the project's assembly."""
    problem, listed = samples(number)
    for parts in listed:
        pick = dict(zip(SLOTS, parts.picked, strict=True))
        plain = plain_consumers(PlainWorld(problem), pick)
        total = plan_load(problem, parts)
        for rail, name, usual, most in (
            ("12", "12v", total.ma_12v, total.most_12v),
            ("5", "5v", total.ma_5v, total.most_5v),
            ("3.3", "3v3", total.ma_3v3, total.most_3v3),
        ):
            own = [c for c in plain if c.rail == rail]
            assert (sum(c.work for c in own), sum(c.most for c in own)) == (usual, most), name
        assert sum(c.start for c in plain if c.rail == "12") == total.start_12v
        by_group = flows(problem, parts)
        for group in ("cpu", "main", "drives", "card"):
            assert (
                sum(c.work for c in plain if c.rail == "12" and c.plug == group)
                == getattr(by_group, group).ma_12v
            )


@pytest.mark.parametrize("number", WORLDS)
def test_rules_compare_nodes_of_the_network(number: int) -> None:
    problem, listed = samples(number)
    for parts in listed:
        root, draft = network_of(problem, parts), Draft(parts, (), (), 0, 0)
        rail = next(r for r in root.below if r.rail == "12v")
        for finding in power_rail_12v.admits(draft, problem):
            if isinstance(finding.limit, int):
                assert (finding.value, finding.limit) == (rail.usual, rail.limit)
        for finding in power_total.admits(draft, problem):
            if isinstance(finding.limit, int):
                assert (finding.value, finding.limit) == (root.usual, root.limit)


@pytest.mark.parametrize("number", range(20))
def test_the_tightest_place_has_the_least_room(number: int) -> None:
    problem, listed = samples(number)
    for parts in listed:
        root = network_of(problem, parts)
        found = tightest_node(root)
        narrow = [n for n in walk(root) if n.limit]
        assert (found is None) == (not narrow)
        if found is not None:
            assert all(
                Fraction(n.usual, n.limit or 1)
                <= Fraction(found.usual + found.limit // 1000 + 1, found.limit or 1)
                for n in narrow
            )
            volts = VOLTS.get(found.rail, Fraction(1))
            assert abs(margin_mw(found) - ((found.limit or 0) - found.usual) * volts) < 1


amps = st.integers(0, 30_000)


@settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.lists(st.tuples(amps, amps, amps), max_size=8))
def test_loads_add(rows: list[tuple[int, int, int]]) -> None:
    total = NOTHING
    for row in rows:
        total = total + load_of_currents(row)
    assert total.ma_12v == sum(row[0] for row in rows)
    assert amount(total, "total") == sum(ceil(12 * a + 5 * b + Fraction(33, 10) * c) for a, b, c in rows)
    assert amount(total, "5v+3v3") == amount(total, "total") - 12 * total.ma_12v
