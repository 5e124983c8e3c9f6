"""What a plan rests on that is only inferred: facts of what is bought that were read from a title or come
from a platform row. Each is a look before ordering: a title is an advertisement, and a platform row speaks
of a class."""

from __future__ import annotations

from typing import Any

from partsolver.base.records import record
from partsolver.catalog.store.records import INFERRED
from partsolver.catalog.store.resolve import read_marks
from partsolver.plan.draft import Draft
from partsolver.problem.problem import Problem

# Facts that no rule and no time hangs on.
_TELL_NOTHING = frozenset(("id", "name", "maker", "source", "mass_g"))


@record
class InferredFact:
    """One fact that is only inferred: table, id of the part, column, value as the program uses it, mark."""

    table: str
    id: str
    column: str
    value: Any
    mark: str


def inferred_facts(problem: Problem, draft: Draft) -> tuple[InferredFact, ...]:
    """The inferred facts of the parts that a plan buys, by part and column."""
    catalog = problem.source
    if catalog is None:
        return ()
    found = []
    for item in sorted({line.item for line in draft.lines} & set(catalog.marks)):
        part, table = catalog.part(item), catalog.table_of[item]
        for column, mark in sorted(read_marks(catalog.marks[item]).items()):
            if mark in INFERRED and column not in _TELL_NOTHING:
                found.append(InferredFact(table, item, column, getattr(part, column), mark))
    return tuple(found)
