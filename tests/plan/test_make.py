"""From a draft to a plan, by hand: arrival, questions, rank, what is left out without stand-ins."""

from __future__ import annotations

import datetime
from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, CPU, PSU, SELLER, TODAY, make_problem, make_survey, pick

from partsolver.assembly.bought_cards import plan_load
from partsolver.assembly.network_limits import network_of, tightest_node
from partsolver.catalog.records import Bundle, Offer, Seller
from partsolver.performance.account import account_of
from partsolver.performance.interval import is_coin_toss, speedup
from partsolver.plan.complete import draft_of, judge
from partsolver.plan.make import make_plan
from partsolver.plan.outcome import Plan
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules

RULES = all_rules()


def made(problem: Problem, previous: Plan | None = None, stand_ins: bool = True, **keys: str) -> Plan:
    draft = draft_of(problem, pick(problem, **keys), RULES)
    return make_plan(problem, draft, RULES, 3, 7, previous, stand_ins)


def pc(days: tuple[int, int] = (3, 5), bundles: Any = (), **tables: Any) -> Problem:
    sellers = [replace(SELLER, delivery_days=days[0]), Seller("other", "Other", delivery_days=days[1])]
    offers = [
        Offer("board-a", "other", 6000),
        Offer("cpu-a", "shop", 8000),
        Offer("kit-a", "shop", 3000),
        Offer("board-b", "shop", 6500),
    ]
    boards = [BOARD, replace(BOARD, id="board-b")]
    return make_problem(sellers=sellers, offers=offers, coolers=(), bundles=bundles, boards=boards, **tables)


def test_what_a_plan_holds() -> None:
    problem = pc()
    plan = made(problem)
    parts = plan.parts
    assert (plan.rank, plan.step, plan.draft.cost) == (3, 7, 17_000)
    assert plan.power_mw == plan_load(problem, parts).mw
    assert plan.narrowest == tightest_node(network_of(problem, parts))
    assert plan.speedup == speedup(problem, parts) and plan.account == account_of(problem, parts)
    assert plan.findings == judge(problem, plan.draft, RULES)
    assert [(s.replaces, s.id, s.difference) for s in plan.stand_ins] == [("board-a", "board-b", 500)]
    assert [order.part for order in plan.second_orders] == ["board-a", "cpu-a", "kit-a"]
    bare = made(pc(), stand_ins=False)
    assert bare.stand_ins == bare.second_orders == () and bare.findings == plan.findings


@pytest.mark.parametrize(("days", "last"), [((3, 5), 5), ((6, 5), 6), ((0, 0), 0)])
def test_the_last_part_is_there(days: tuple[int, int], last: int) -> None:
    assert made(pc(days)).arrival == TODAY + datetime.timedelta(days=last)


def test_a_set_arrives_too_and_nothing_bought_never() -> None:
    kit = Bundle("set", "Set", "parts", (("board-a", 1), ("cpu-a", 1)), "other", 9000)
    assert made(pc((1, 9), (kit,))).arrival == TODAY + datetime.timedelta(days=9)
    kept = {"board": "kept-board", "cpu": "kept-cpu", "memory": "kept-memory"}
    assert made(pc(), **kept).arrival is None


def test_the_plan_before_it() -> None:
    """The same parts again are no coin toss (nothing to toss for); a processor one point faster is."""
    cpus = [CPU, replace(CPU, id="cpu-b", serial_score=1501)]
    problem = make_problem(cpus=cpus)
    first, second = made(problem, cpu="cpu-b"), pick(problem)
    assert made(problem).equal_to_previous is False
    assert made(problem, first).equal_to_previous is is_coin_toss(problem, first.parts, second) is True
    assert made(problem, made(problem)).equal_to_previous is False


def test_questions_are_asked_once_in_order() -> None:
    survey = make_survey(psu=replace(PSU, year=None, condition=None, cpu_plugs=None))
    plan = made(make_problem(survey))
    asked = [finding.question for finding in plan.findings if finding.question is not None]
    assert plan.open_questions == tuple(sorted(set(asked))) and len(asked) > len(plan.open_questions) > 1
