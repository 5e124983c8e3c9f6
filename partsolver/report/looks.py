"""What has to be compared with the seller's or the maker's page before ordering: the inferred facts of a plan,
one box to tick for each part."""

from __future__ import annotations

from itertools import groupby
from operator import attrgetter
from typing import Any

from partsolver.plan.draft import Draft
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
