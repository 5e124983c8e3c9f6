"""The hoped plan and what is assumed, as text and as JSON."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from partsolver.base.quantities import format_amount
from partsolver.plan.assumed import Assumption, assumptions
from partsolver.plan.draft import Draft
from partsolver.plan.outcome import HopedPlan
from partsolver.problem.problem import Problem
from partsolver.report.page import amount_text
from partsolver.report.survey import answer_words
from partsolver.report.words.lookup import page_words, question_text
from partsolver.report.words.record import Names

# What is assumed of a row, by its column; the value is filled in.
_ASSUMED = {
    "delivery": "no delivery charge beyond {value}",
    "minimum_order": "no least order beyond {value}",
    "delivery_days": "{value} days to deliver",
    "returns_days": "{value} days for returns",
    "kind": "kind {value}",
    "condition": "sold as new",
    "takes": "made for nothing in particular",
    "gives": "offers nothing beside its kind",
    "count": "counts {value}",
    "active": "does not convert actively",
    "low_profile": "no low-profile bracket",
}
_MONEY = ("delivery", "minimum_order")
# The same of a value that is none.
_NONE = {"delivery": "delivers free of charge", "minimum_order": "takes orders of any sum"}


def _value(problem: Problem, item: Assumption, amount: Callable[[int, int], str]) -> Any:
    if item.column in _MONEY:
        return amount(item.value, problem.catalog.digits)
    if isinstance(item.value, tuple):
        return " ".join(item.value) or "none"
    return item.value


def assumed_lines(problem: Problem, draft: Draft, names: Names) -> list[str]:
    """The assumptions of a plan, one line for each row they are about."""
    by_row: dict[str, list[str]] = {}
    for item in assumptions(problem, draft):
        words = _NONE.get(item.column) if item.value == 0 else None
        words = words or _ASSUMED[item.column].format(value=_value(problem, item, amount_text))
        by_row.setdefault(item.id, []).append(words)
    return [f"{names.get(part, part)}: {', '.join(said)}." for part, said in by_row.items()]


def assumed_document(problem: Problem, draft: Draft) -> list[dict[str, Any]]:
    """The same for JSON."""
    return [
        {
            "table": item.table,
            "id": item.id,
            "name": problem.names.get(item.id, item.id),
            "column": item.column,
            "value": _value(problem, item, format_amount),
        }
        for item in assumptions(problem, draft)
    ]


def hoped_lines(hoped: HopedPlan, problem: Problem, bought: str, speedup: str) -> Iterator[str]:
    """The hoped plan in a few sentences (each wraps by itself): what it is, then one look after another."""
    cost = f"{amount_text(hoped.plan.draft.cost, problem.catalog.digits)} {problem.catalog.currency}"
    yield (
        f"HOPED PLAN, not certain: {bought} for {cost}: {speedup}. It comes first only if every look below turns"
        " out well; order nothing of it before."
    )
    for number, look in enumerate(hoped.looks, 1):
        stake = f"{amount_text(look.at_stake, problem.catalog.digits)} {problem.catalog.currency}"
        wished = "" if look.hoped is None else f" Hoped for: {answer_words(look.hoped)}."
        yield f"{number}. {question_text(look.question, problem.names)}{wished} At stake: {stake}."
    boards = [look.question for look in hoped.looks if look.question.startswith("board:")]
    sold = {path.partition(":")[2].rpartition(".")[0].partition("@")[0] for path in boards}
    if sold & set(problem.source.table_of):
        yield page_words(problem.names, sorted(sold & set(problem.source.table_of)))


def hoped_document(
    hoped: HopedPlan | None, problem: Problem, plan: dict[str, Any] | None
) -> dict[str, Any] | None:
    """The hoped plan for JSON: the plan's own document with its looks."""
    if hoped is None or plan is None:
        return None
    return {
        "proven": False,
        "plan": plan,
        "looks": [
            {
                "question": look.question,
                "text": question_text(look.question, problem.names),
                "hoped": list(look.hoped) if isinstance(look.hoped, tuple) else look.hoped,
                "at_stake": format_amount(look.at_stake, problem.catalog.digits),
                "rule": look.rule,
            }
            for look in hoped.looks
        ],
    }
