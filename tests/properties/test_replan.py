"""Solving again: nothing changed, a part gone, a part ordered, a stand-in."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any

from brute import drafts, first
from conftest import FULL
from hypothesis import assume, given, settings
from strategies import Instance, instances
from support import BOARD, COOLER, CPU, KIT, make_problem

from partsolver.catalog.records import Bundle, Offer
from partsolver.explain.replan import replan
from partsolver.performance.time import terms_ppm
from partsolver.plan.outcome import Plan
from partsolver.planfile.plan_file import PlanFile, joined, plan_document
from partsolver.problem.candidates import SLOTS
from partsolver.problem.problem import Problem
from partsolver.report.document import dump
from partsolver.solve.recommend import recommend
from partsolver.wishes.brief import Brief

SOME = settings(max_examples=150 if FULL else 8)
ONE: dict[str, Any] = {"most": 2, "alternatives": 1}


def stored(problem: Problem) -> tuple[PlanFile, Plan]:
    """A plan file about the first plan, as `recommend --out` writes it and `replan` reads it."""
    outcome = recommend(problem)
    if not outcome.plans:
        assume(False)
    plan = outcome.plans[0]
    document = json.loads(dump(plan_document(outcome, problem, 1, "", "demo")), parse_float=Decimal)
    return joined("plan.json", document, problem.survey, problem.source, problem.brief), plan


def used(plan: Plan) -> set[str]:
    return {c.id or c.key for c in plan.parts.picked} | {line.item for line in plan.draft.lines}


def bought(plan: Plan, demanded: Sequence[str] = ()) -> list[str]:
    """Parts and extras bought one by one, those left out that the brief demands (they cannot be gone as
    well)."""
    return sorted({line.item for line in plan.draft.lines if line.bundle is None} - set(demanded))


@SOME
@given(instances(**ONE))
def test_nothing_changed(instance: Instance) -> None:
    file, plan = stored(instance.problem())
    again = replan(file)
    assert again.new is not None and again.still_stands and again.changes == () and again.stand_in is None
    assert (again.new.parts.keys, again.new.draft.cost, again.new.draft.lines) == (
        plan.parts.keys,
        plan.draft.cost,
        plan.draft.lines,
    )
    assert (again.old.parts.keys, again.old.draft.cost) == (plan.parts.keys, plan.draft.cost)


@SOME
@given(instances(**ONE))
def test_a_part_gone_is_never_in_the_new_plan(instance: Instance) -> None:
    file, plan = stored(instance.problem())
    for part in bought(plan, file.problem.brief.including):
        again = replan(file, gone=[part])
        assert not again.still_stands
        found = list(drafts(again.problem))
        best = first(again.problem, found)
        assert (again.new is None) == (best is None)
        if again.new is not None and best is not None:
            assert part not in used(again.new)
            assert again.new.parts.keys == best.parts.keys and again.new.draft.cost == best.cost
            changed = {c.slot for c in again.changes}
            assert changed == {
                s for s, a, b in zip(SLOTS, plan.parts.keys, again.new.parts.keys, strict=True) if a != b
            }
        check_stand_in(again.problem, plan, part, again.stand_in)


def check_stand_in(problem: Problem, old: Plan, part: str, found: Plan | None) -> None:
    """A stand-in changes one part and nothing else, and it is the cheapest that does."""
    slots = [c.slot for c in old.parts.picked if c.id == part and c.slot not in ("cpu", "cooler")]
    swaps = []
    for draft in drafts(problem):
        changed = [s for s in SLOTS if draft.parts.candidate(s).key != old.parts.candidate(s).key]
        if (
            slots
            and changed == slots
            and draft.parts.candidate(slots[0]).id is not None
            and terms_ppm(problem, draft.parts) == terms_ppm(problem, old.parts)
        ):
            swaps.append(draft)
    assert (found is None) == (not swaps), "a stand-in exists exactly when one swap does"
    if found is not None:
        assert part not in used(found) and found.admitted
        assert [s for s in SLOTS if found.parts.candidate(s).key != old.parts.candidate(s).key] == slots
        assert found.draft.cost == min(draft.cost for draft in swaps)


@SOME
@given(instances(**ONE))
def test_an_ordered_part_stays(instance: Instance) -> None:
    file, plan = stored(instance.problem())
    parts = bought(plan)
    for part in parts:
        dearer = {other: "9999.00" for other in parts if other != part}
        again = replan(file, prices=dearer, ordered=[part], changes={"budget": None})
        assert again.new is not None and part in used(again.new)


@SOME
@given(instances(**ONE))
def test_another_price(instance: Instance) -> None:
    """A part of the plan at another price: the new plan is what brute force finds with it."""
    file, plan = stored(instance.problem())
    for part in bought(plan)[:2]:
        again = replan(file, prices={part: "77.77"})
        best = first(again.problem, list(drafts(again.problem)))
        assert (None if again.new is None else again.new.parts.keys) == (
            None if best is None else best.parts.keys
        )


def test_stand_in_by_hand() -> None:
    """Kit A sells out; kit B has the same facts and costs 1.50 more: all else stays."""
    twin = replace(KIT, id="kit-b", name="Kit B")
    offers = [
        Offer(part, "shop", price)
        for part, price in ((BOARD.id, 4000), (CPU.id, 5000), (KIT.id, 2000), (twin.id, 2150))
    ]
    problem = make_problem(memory=[KIT, twin], offers=offers, brief=Brief(budget="200.00", alternatives=1))
    file, plan = stored(problem)
    assert "kit-a" in bought(plan)
    again = replan(file, gone=["kit-a"])
    assert again.stand_in is not None
    count = plan.parts.candidate("memory").quantity
    assert again.stand_in.parts.candidate("memory").key == f"kit-b*{count}"
    assert again.stand_in.draft.cost == plan.draft.cost + 150 * count
    assert [c.slot for c in again.changes] == ["memory"]


def test_a_stand_in_of_the_board_keeps_the_cooler_of_the_set() -> None:
    """Board A comes in a set with cooler B. When it sells out, board B takes its place and nothing else:
    cooler B is bought alone, although cooler A would be cheaper (then two parts would change). Found by a
    drawn example."""
    boards = [BOARD, replace(BOARD, id="board-b", name="Board B")]
    coolers = [COOLER, replace(COOLER, id="cooler-b", name="Cooler B")]
    tray = replace(CPU, boxed_cooler=False)
    prices = (
        (BOARD.id, 4000),
        ("board-b", 4200),
        (CPU.id, 5000),
        (KIT.id, 2000),
        (COOLER.id, 900),
        ("cooler-b", 1100),
    )
    problem = make_problem(
        boards=boards,
        cpus=[tray],
        coolers=coolers,
        offers=[Offer(part, "shop", price) for part, price in prices],
        bundles=[Bundle("set", "Set", "parts", ((BOARD.id, 1), ("cooler-b", 1)), "shop", 4100)],
        brief=Brief(budget="200.00", alternatives=1),
    )
    file, plan = stored(problem)
    assert plan.parts.candidate("cooler").id == "cooler-b" and plan.parts.candidate("board").id == BOARD.id
    (twin,) = [s for s in plan.stand_ins if s.replaces == BOARD.id]
    again = replan(file, gone=[BOARD.id])
    assert again.stand_in is not None
    check_stand_in(again.problem, plan, BOARD.id, again.stand_in)
    assert again.stand_in.draft.cost - plan.draft.cost == twin.difference == 4200 + 1100 - 4100


def test_a_processor_that_is_sold_in_two_states_stays_in_its_own() -> None:
    """The file kept only the id: the plan read back was the processor with its cooler in the box, and
    "changed"."""
    used = replace(CPU, boxed_cooler=True)
    problem = make_problem(
        cpus=[used],
        offers=[
            Offer(part=BOARD.id, seller="shop", price=6000, condition="new"),
            Offer(part=KIT.id, seller="shop", price=3000, condition="new"),
            Offer(part=CPU.id, seller="shop", price=9000, condition="new"),
            Offer(part=CPU.id, seller="shop", price=2000, condition="used"),
            Offer(part=COOLER.id, seller="shop", price=1500, condition="new"),
        ],
    )
    file, plan = stored(problem)
    assert "@" in plan.parts.candidate("cpu").key
    again = replan(file)
    assert again.changes == () and again.old.parts.keys == plan.parts.keys
