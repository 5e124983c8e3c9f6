"""Faults that the oracle found, each as its smallest problem with the answer the specification gives."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import BOARD, CPU, KIT, SELLER, make_problem, make_survey

from partsolver.catalog.records import Bundle, Cooler, Extra, Offer
from partsolver.solve.recommend import recommend
from partsolver.survey.model import OperatingSystem
from partsolver.wishes.brief import Brief


def _offers(**prices: int) -> list[Offer]:
    return [Offer(part=part.replace("_", "-"), seller="shop", price=price) for part, price in prices.items()]


def _keys(outcome):
    return [plan.parts.keys[:3] for plan in outcome.plans]


def test_a_bundle_with_a_pruned_part_is_not_used():
    offers = [
        Offer(part="board-a", seller="shop", price=1500, stock=0),
        *_offers(cpu_a=1000, cpu_b=1000, kit_a=1000),
    ]
    bundle = Bundle("set", "Set", "parts", (("board-a", 1), ("cpu-b", 1)), "shop", 1800)
    cpus = [CPU, replace(CPU, id="cpu-b", socket="sock-2")]
    problem = make_problem(cpus=cpus, coolers=(), offers=offers, bundles=[bundle])
    assert (
        _keys(recommend(problem))
        == _keys(recommend(problem, prune=False))
        == [("kept-board", "kept-cpu", "kept-memory")]
    )


def test_a_board_that_is_sold_only_with_a_processor():
    # The set costs 18.00, the memory 10.00; board-a has no price of its own, so its other processor cannot be
    # had with it.
    bundle = Bundle("set", "Set", "parts", (("board-a", 1), ("cpu-b", 1)), "shop", 1800)
    cpus = [CPU, replace(CPU, id="cpu-b", serial_score=CPU.serial_score + 100)]
    brief = Brief(without=("kept-board",), alternatives=9)
    problem = make_problem(
        brief=brief,
        cpus=cpus,
        coolers=(),
        offers=_offers(cpu_a=1000, cpu_b=1000, kit_a=1000),
        bundles=[bundle],
    )
    plans = recommend(problem).plans
    assert [
        (plan.parts.keys[:3], plan.draft.cost - sum(charge for _, charge in plan.draft.deliveries))
        for plan in plans
    ] == [
        (("board-a", "cpu-b", "kit-a*1"), 2800),
        (("board-a", "cpu-b", "kit-a*2"), 3800),
    ]
    assert {line.bundle.id for line in plans[0].draft.lines if line.bundle is not None} == {"set"}


@pytest.mark.parametrize("alone", [True, False])
def test_a_cooler_that_comes_cheaper_in_a_set(alone: bool) -> None:
    # Processor and cooler-b together 51.00, the processor alone 50.00, cooler-a 15.00, cooler-b 90.00 or not
    # sold alone.
    cpu, cooler = (
        replace(CPU, boxed_cooler=False),
        Cooler(id="cooler-a", name="A", sockets=("sock-1",), height_mm=120, rated_w=95, paste_included=True),
    )
    offers = _offers(
        board_a=4000, cpu_a=5000, kit_a=1000, cooler_a=1500, **({"cooler_b": 9000} if alone else {})
    )
    bundle = Bundle("set", "Set", "parts", (("cooler-b", 1), ("cpu-a", 1)), "shop", 5100)
    problem = make_problem(
        cpus=[cpu], coolers=[cooler, replace(cooler, id="cooler-b")], offers=offers, bundles=[bundle]
    )
    for prune in (True, False):
        first = recommend(problem, prune=prune).plans[0]
        assert (first.parts.keys[3], first.draft.cost) == ("cooler-b", 4000 + 5100 + 1000)


def test_what_is_left_may_be_the_same_choice_as_a_listed_plan():
    # board-b is the same choice but for its missing shield (3.00), and hence not listed; budget for either,
    # not for a spare.
    boards = [BOARD, replace(BOARD, id="board-b", shield="missing")]
    shield = Extra(id="shield", name="Shield", kind="io-shield", takes=("board-b",))
    offers = _offers(board_a=4000, board_b=4000, cpu_a=3000, kit_a=2000, shield=300)
    problem = make_problem(
        boards=boards,
        coolers=[],
        extras=[shield],
        offers=offers,
        brief=Brief(budget="105.00", alternatives=3),
    )
    left = next(e for e in recommend(problem, expose=True).plans[0].exposure if e.part == "board-a")
    assert (left.stand_in, left.cost, left.fragile) == (None, 4000 + 300 + 3000 + 2000, False)


def test_at_equal_cost_the_first_key_wins_with_pruning():
    # 12.00 + 10.00 + 10.00 + delivery 3.00 = 35.00 = 15.00 + 10.00 + 10.00 with free delivery from 35.00.
    seller = replace(SELLER, delivery=300, free_from=3500)
    offers = _offers(board_a=1500, board_b=1200, cpu_a=1000, kit_a=1000)
    problem = make_problem(boards=[BOARD, replace(BOARD, id="board-b")], sellers=[seller], offers=offers)
    assert (
        recommend(problem).plans[0].parts.keys[0]
        == recommend(problem, prune=False).plans[0].parts.keys[0]
        == "board-a"
    )


def test_an_excluded_paste_refuses_no_plan():
    cooler = Cooler(
        id="cooler-a", name="Cooler A", sockets=("sock-1",), height_mm=120, rated_w=95, paste_included=False
    )
    paste = Extra(id="paste", name="Paste", kind="thermal-paste")
    brief = Brief(budget="10000.00", without=("paste",))
    problem = make_problem(
        brief=brief, cpus=[replace(CPU, boxed_cooler=False)], coolers=[cooler], extras=[paste], memory=[KIT]
    )
    first = recommend(problem).plans[0]
    assert first.parts.keys[:4] == ("board-a", "cpu-a", "kit-a*1", "cooler-a")
    assert [line.item for line in first.draft.lines] == ["board-a", "cpu-a", "kit-a", "cooler-a"]


def test_secure_boot_is_wanted_without_a_kept_system_too():
    survey = make_survey(os=OperatingSystem(family="none", licence="none-needed", keep=False))
    brief = Brief(budget="10000.00", secure_boot=True)
    problem = make_problem(survey, brief, boards=[replace(BOARD, secure_boot=False)])
    assert all(plan.parts.board_kept for plan in recommend(problem).plans)
