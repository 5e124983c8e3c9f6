"""Questions about one world, each with the oracle's answer, and what the product says to it.

The world is listed once (``oracle.Every``); its own brief is asked of the problem as it was joined, then other
budgets (often exactly what a plan costs, or one unit less), goals, resolutions, numbers of plans and least
speed-ups of the same problem joined again, as a person at the desk asks them one after the other: so what a
problem remembers is questioned too. Worlds with optional cards or drives are also asked with those left out.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from oracle import Every, OraclePlan
from oracle_worlds import World

from partsolver.problem.join import changed, join, optional_names
from partsolver.problem.problem import Problem
from partsolver.solve.recommend import recommend

MORE = 4  # questions beside a world's own
DIGITS = 2


@dataclass(frozen=True)
class Question:
    """A problem and the plans that the oracle gives; ``cold``: nothing was asked of it before."""

    problem: Problem
    expected: list[OraclePlan]
    cold: bool = False


def amount(minor: int) -> str:
    """A budget as the brief holds it."""
    return f"{minor // 10**DIGITS}.{minor % 10**DIGITS:0{DIGITS}d}"


def questions(world: World, number: int, more: int = MORE) -> Iterator[Question]:
    """The world's own question, ``more`` others, and one without what is optional."""
    own, d = world.problem, random.Random(f"questions {number}")
    every = Every(own)
    yield Question(own, every.ranked(own.budget, own.brief), cold=True)
    costs = sorted({row.cost for row in every.rows}) or [0]
    for _ in range(more):
        cost = d.choice(costs)
        budget = d.choice((own.brief.budget, None, *(amount(max(0, cost - less)) for less in (0, 0, 1, 1))))
        wishes: dict[str, Any] = {
            "budget": budget,
            "goal": d.choice(("speed", "speed", "cost")),
            "resolution_percent": d.choice(("0", "0.5", "1", "3", "10", "50")),
            "alternatives": d.choice((1, 1, 2, 3)),  # every further plan is another solve
            "min_speedup": d.choice((None, None, None, "1.0", "1.2", "1.75")),
        }
        problem = changed(own, **wishes)
        yield Question(problem, every.ranked(problem.budget, problem.brief))
    # Without its graphics card a PC no longer shows what it shows today: that is no other PC that works today.
    pictures = {card.name for card in own.survey.cards if card.kind == "graphics"}
    names = tuple(name for name in optional_names(own.survey) if name not in pictures)
    if names:
        yield _left_out(own, names, every.now)


def _left_out(own: Problem, names: tuple[str, ...], now: Any) -> Question:
    """The PC without the optional things; what it is measured against keeps them."""
    survey = own.survey.model_copy(
        update={
            rows: tuple(row for row in getattr(own.survey, rows) if row.name not in names)
            for rows in ("cards", "drives")
        }
    )
    bare = Every(join(survey, own.source, own.brief), own.survey)
    bare.now = now
    return Question(changed(own, leave_out=names), bare.ranked(own.budget, own.brief))


def answered(question: Question) -> tuple[str, list[OraclePlan]]:
    """The product's status and plans in the oracle's words."""
    outcome = recommend(question.problem, with_stand_ins=question.cold)
    plans = [
        OraclePlan(
            plan.parts.keys, plan.draft.cost, plan.draft.time_ppm, plan.step, -(-plan.power_mw // 1000)
        )
        for plan in outcome.plans
    ]
    return outcome.status, plans


def difference(question: Question) -> str | None:
    """What the product says otherwise than the oracle, or None."""
    status, plans = answered(question)
    expected = "optimal" if question.expected else "impossible"
    if (status, plans) == (expected, question.expected):
        return None
    return f"{status} {plans}\n  instead of {expected} {question.expected}\n  {question.problem.brief!r}"


def enlarged(world: World, factor: int) -> World:
    """The world with every amount of money so many times as large: the same plans at so many times the
    cost."""
    source, brief = world.problem.source, world.problem.brief
    money = {
        "offers": ("price",),
        "bundles": ("price",),
        "sellers": ("delivery", "free_from", "minimum_order"),
    }
    tables = dict(source.tables)
    for table, names in money.items():
        tables[table] = tuple(
            replace(row, **{n: getattr(row, n) * factor for n in names if getattr(row, n) is not None})
            for row in tables[table]
        )
    budget = None if brief.budget is None else amount(int(brief.budget.replace(".", "")) * factor)
    wished = brief.model_copy(update={"budget": budget})
    return World(join(world.problem.survey, replace(source, tables=tables), wished))
