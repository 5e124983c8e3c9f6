"""From a draft to a plan: findings, speed-up, power, stand-ins, cautions, open questions. Plain Python."""

from __future__ import annotations

from collections.abc import Sequence

from partsolver.assembly.bought_cards import plan_load
from partsolver.assembly.network_limits import network_of, tightest_node
from partsolver.performance.account import account_of
from partsolver.performance.interval import is_coin_toss, speedup
from partsolver.plan.cautions import cautions_of
from partsolver.plan.complete import judge
from partsolver.plan.draft import Draft
from partsolver.plan.outcome import Plan
from partsolver.plan.second_order import second_orders
from partsolver.plan.services import sent_in
from partsolver.plan.stand_ins import stand_ins
from partsolver.problem.problem import Problem
from partsolver.rules.base import Rule


def make_plan(
    problem: Problem,
    draft: Draft,
    rules: Sequence[Rule],
    rank: int,
    step: int,
    previous: Plan | None,
    with_stand_ins: bool = True,
) -> Plan:
    """The plan of a draft. ``with_stand_ins``: look for them too (they take most of the time)."""
    parts = draft.parts
    findings = judge(problem, draft, rules)
    load = plan_load(problem, parts)
    arrivals = [
        problem.arrival(line.offer or line.bundle)  # type: ignore[arg-type]
        for line in draft.lines
        if line.offer or line.bundle
    ]
    trip = sent_in(draft, problem)
    if trip is not None:
        arrivals.append(trip.back)
    others = tuple(stand_ins(problem, draft, rules, findings)) if with_stand_ins else ()
    questions = sorted({f.question for f in findings if f.question is not None})
    return Plan(
        rank=rank,
        draft=draft,
        step=step,
        power_mw=load.mw,
        narrowest=tightest_node(network_of(problem, parts)),
        speedup=speedup(problem, parts),
        findings=findings,
        stand_ins=others,
        second_orders=second_orders(problem, draft, others, rules) if with_stand_ins else (),
        cautions=cautions_of(problem, draft, findings),
        open_questions=tuple(questions),
        equal_to_previous=previous is not None and is_coin_toss(problem, previous.parts, parts),
        arrival=max(arrivals) if arrivals else None,
        account=account_of(problem, parts),
    )
