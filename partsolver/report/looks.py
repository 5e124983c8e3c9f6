"""What has to be compared with the seller's or the maker's page before ordering: the inferred facts of a
plan, one box to tick for each part."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import groupby
from operator import attrgetter
from typing import Any

from partsolver.catalog.store.prices import PriceNote
from partsolver.plan.draft import Draft, Line
from partsolver.plan.inferred import inferred_facts
from partsolver.problem.problem import Problem
from partsolver.report.words.cells import look_words, value_text


def look_lines(problem: Problem, draft: Draft) -> list[str]:
    """One line with a box for each part whose facts are only inferred."""
    return [
        f"[ ] {problem.names.get(part, part)}: "
        + look_words((f.table, f.column, f.value, f.mark) for f in facts)
        for part, facts in groupby(inferred_facts(problem, draft), attrgetter("id"))
    ]


def looks_document(problem: Problem, draft: Draft) -> list[dict[str, Any]]:
    """The same for JSON, fact by fact."""
    return [
        {
            "table": fact.table,
            "id": fact.id,
            "name": problem.names.get(fact.id, fact.id),
            "column": fact.column,
            "value": value_text(fact.value),
            "mark": fact.mark,
        }
        for fact in inferred_facts(problem, draft)
    ]


def price_note(problem: Problem, line: Line) -> PriceNote | None:
    """What a store knows of the offer of an order line beside its price; None for tables."""
    source = line.offer or line.bundle
    if source is None or problem.source is None:
        return None
    notes: Mapping[tuple[str, str], PriceNote] = problem.source.price_notes
    return notes.get((line.item, source.seller))


def oldest_price(problem: Problem, draft: Draft) -> int:
    """How many days before the order the oldest price of a plan was stated; below 0: after it. Where no store
    says, the prices are of the catalogue's day."""
    notes = [price_note(problem, line) for line in draft.lines if line.amount]
    days = [problem.catalog.as_of if note is None else note.stated_on for note in notes]
    return max(((problem.today - day).days for day in days), default=0)
