"""Pruning and search lose nothing: plans with what is left of them, conflicts and trade-offs are those of
every combination.

``PARTSOLVER_FULL=1`` runs 5,000 drawn problems for each; the adversarial ones are drawn around ties, equal
twins, parts that one beats in everything, and one cheap part of which there is a single piece. References:
the model without pruning, and brute force over all combinations (tests/brute.py).
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

import pytest
from brute import ID_ORDER, drafts, first, frontier, possible
from conftest import FULL
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import Instance, hard_problems, instances
from support import BOARD, COOLER, CPU, KIT, make_survey

from partsolver.catalog.records import Bundle, Offer, Seller
from partsolver.plan.draft import Draft
from partsolver.plan.outcome import Outcome
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules
from partsolver.solve import conflict
from partsolver.solve.conflict import preference, smallest_conflict
from partsolver.solve.recommend import recommend
from partsolver.solve.tradeoff import tradeoff
from partsolver.wishes.brief import Brief

DRAWN = settings(max_examples=5000 if FULL else 6)
SOME = settings(max_examples=500 if FULL else 6)
ADVERSARIAL = settings(max_examples=1000 if FULL else 6)


@contextmanager
def searching() -> Iterator[None]:
    """Drawn problems are so small that bounds and search would never be tried."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("partsolver.search.prune.SMALL", 0)
        yield


@st.composite
def adversarial(draw: st.DrawFn, most: int) -> Instance:
    """Parts that are hard to tell apart, or that one of them makes useless; up to ``most`` of a kind."""
    kind = draw(st.sampled_from(["ties", "twins", "dominated", "fragile"]))
    thresholds = st.sampled_from([None, 3000, 6500, 9000])
    shops = tuple(
        Seller(
            f"seller-{n}",
            f"Seller {n}",
            draw(st.sampled_from([0, 390, 490])),
            draw(thresholds),
            draw(st.sampled_from([0, 0, 2000])) if n else 0,
        )
        for n in range(draw(st.integers(1, 3)))
    )
    tables: dict[str, list[Any]] = {"boards": [], "cpus": [], "memory": [], "coolers": []}
    listed: list[Offer] = []
    for table, base, stem, price in (
        ("boards", BOARD, "board", 4000),
        ("cpus", CPU, "cpu", 3000),
        ("memory", KIT, "kit", 1500),
        ("coolers", COOLER, "cooler", 900),
    ):
        for n in range(draw(st.integers(2, most))):
            part, own, stock = (
                replace(base, id=f"{stem}-{n}", name=f"{stem} {n}"),
                price,
                draw(st.sampled_from([None, None, 1, 2])),
            )
            if kind == "ties":
                # Other facts, the same speed, nearly the same price.
                part = {
                    "boards": lambda p: replace(p, sata_6g_ports=4 + draw(st.integers(0, 1))),
                    "cpus": lambda p: replace(p, threads=8 + draw(st.integers(0, 1))),
                }.get(table, lambda p: p)(part)
                own += draw(st.sampled_from([0, 0, 390]))
            elif kind == "twins":
                own += 100 * draw(st.integers(0, 4))
            elif kind == "dominated" and n:
                own += 500 * n
                part = (
                    replace(part, serial_score=1500 - 100 * n)
                    if table == "cpus"
                    else replace(part, rate_mts=2133)
                    if table == "memory"
                    else part
                )
            elif kind == "fragile":
                own, stock = (price // 3, 1) if n == 0 else (price + 100 * draw(st.integers(0, 3)), stock)
            tables[table].append(part)
            for shop in draw(st.lists(st.sampled_from(shops), min_size=1, max_size=2, unique=True)):
                listed.append(Offer(part.id, shop.id, own + draw(st.sampled_from([0, 0, 50, 390])), stock))
    sets = []
    if draw(st.integers(0, 3)) == 0:
        items = tuple(
            sorted(
                {
                    (draw(st.sampled_from(tables[t])).id, 1)
                    for t in draw(
                        st.sampled_from([("boards", "cpus"), ("cpus", "coolers"), ("boards", "memory")])
                    )
                }
            )
        )
        sets.append(
            Bundle(
                "set-0",
                "set",
                "parts",
                items,
                draw(st.sampled_from(shops)).id,
                100 * draw(st.integers(20, 70)),
                draw(st.sampled_from([None, 1])),
            )
        )
    tables["cpus"] = [replace(c, boxed_cooler=draw(st.booleans())) for c in tables["cpus"]]
    brief = Brief(
        budget=draw(st.sampled_from(["95.00", "120.00", "400.00"])),
        goal=draw(st.sampled_from(["speed", "cost"])),
        resolution_percent=draw(st.sampled_from(["0", "2.5"])),
        alternatives=draw(st.integers(1, 5)),
        min_speedup=draw(st.sampled_from([None, "1.5", "1.9"])),
        min_memory_gb=draw(st.sampled_from([None, 16])),
    )
    every: dict[str, Any] = {**tables, "sellers": shops, "offers": listed, "bundles": sets}
    rows = {
        name: tuple(every.get(name, ()))
        for name in (
            "boards",
            "cpus",
            "memory",
            "coolers",
            "extras",
            "psus",
            "cases",
            "drives",
            "sellers",
            "offers",
            "bundles",
        )
    }
    return Instance(make_survey(), brief, rows)


# -- plans and what is left of them --------------------------------------------------------------------------------------


def seen(outcome: Outcome) -> Any:
    """All that is said of the plans."""
    return (
        outcome.status,
        outcome.provenance.least_time_ppm,
        [
            (
                p.parts.keys,
                p.draft.cost,
                p.draft.time_ppm,
                p.step,
                p.stand_ins,
                p.exposure,
                tuple((ln.item, ln.quantity, ln.amount) for ln in p.draft.lines),
            )
            for p in outcome.plans
        ],
    )


def check_plans(problem: Problem) -> None:
    with searching():
        pruned = recommend(problem, expose=True)
    assert seen(pruned) == seen(recommend(problem, prune=False, expose=True))


@DRAWN
@given(instances(bundles=True), st.sampled_from(["speed", "cost"]))
def test_plans_and_what_is_left_of_them(instance: Instance, goal: str) -> None:
    check_plans(instance.problem(goal=goal))


@ADVERSARIAL
@given(adversarial(most=4))
def test_plans_of_adversarial_problems(instance: Instance) -> None:
    check_plans(instance.problem())


def check_left(problem: Problem) -> None:
    """What is left without a part, against the first of all plans without it."""
    with searching():
        outcome = recommend(problem, expose=True)
    if not outcome.plans:
        return
    everything = list(drafts(problem))
    for plan in outcome.plans:
        for left in plan.exposure:
            if left.stand_in is not None:
                continue
            others = (
                [d for d in everything if all(c.id != left.part for c in d.parts.picked)]
                if left.part not in problem.brief.including
                else []
            )
            best = first(problem, others)
            assert (left.time_ppm, left.cost) == (
                (None, None) if best is None else (best.time_ppm, best.cost)
            ), left


@SOME
@given(instances(most=3, bundles=True), st.sampled_from(["speed", "cost"]))
def test_what_is_left_is_the_best_left(instance: Instance, goal: str) -> None:
    check_left(instance.problem(goal=goal))


@SOME
@given(adversarial(most=3))
def test_what_is_left_of_adversarial_plans(instance: Instance) -> None:
    check_left(instance.problem())


# -- conflicts -------------------------------------------------------------------------------------------------------------


class ByHand(conflict.Tester):
    """Every test of rules decided by trying all combinations."""

    def decide(self, active: Any) -> bool:
        problem, rules = self._under(active)
        return possible(problem, rules)


def check_conflict(problem: Problem) -> None:
    order = preference(all_rules())
    with searching():
        found = smallest_conflict(conflict.Tester(problem), order)
    assert found == smallest_conflict(ByHand(problem), order)


@DRAWN
@given(hard_problems())
def test_conflicts(problem: Problem) -> None:
    check_conflict(problem)


@ADVERSARIAL
@given(adversarial(most=2), st.sampled_from(["10.00", "45.00", "75.00"]))
def test_conflicts_of_adversarial_problems(instance: Instance, budget: str) -> None:
    check_conflict(instance.problem(budget=budget, min_speedup="1.5"))


# -- trade-offs ------------------------------------------------------------------------------------------------------------


def check_tradeoff(problem: Problem) -> None:
    """Cost and time of every point, and of equals the plan whose part keys come first."""
    with searching():
        found = tradeoff(problem)
    assert found.proven
    everything = list(drafts(problem))
    shown = [(p.plan.draft.cost, p.plan.draft.time_ppm) for p in found.points]
    assert shown == frontier(everything)
    for point, pair in zip(found.points, shown, strict=True):
        equals = [d for d in everything if (d.cost, d.time_ppm) == pair]
        wanted = min(equals, key=lambda d: (_watts(problem, d), *_places(problem, d)))
        assert _places(problem, point.plan.draft) == _places(problem, wanted)


def _watts(problem: Problem, draft: Draft) -> int:
    from partsolver.assembly.loads import total_load

    return -(-total_load(problem, draft.parts).mw // 1000)


def _places(problem: Problem, draft: Draft) -> tuple[int, ...]:
    return tuple(problem.slot(slot).index(draft.parts.candidate(slot)) for slot in ID_ORDER)  # type: ignore[arg-type]


@DRAWN
@given(instances(most=2, resolution_percent="0"))
def test_tradeoffs(instance: Instance) -> None:
    check_tradeoff(instance.problem())


@ADVERSARIAL
@given(adversarial(most=3))
def test_tradeoffs_of_adversarial_problems(instance: Instance) -> None:
    check_tradeoff(instance.problem(resolution_percent="0", min_speedup=None))
