"""Facts of the catalogue that nobody stated or that are only inferred: which of them matter for this PC.

Of thousands of open cells few decide anything. Two kinds can change the first plan:

- a fit fact that is not known bars its part; at its better end that part may come first. Those are the looks
  of the hoped plan (explain/hoped.py), which is the first plan with every barring fact at its better end;
- a fact of a part of the first plan, unknown or only inferred, with which that plan no longer stands at its
  worse end. Other unknown facts count as well as they can already (explain/favourable.py), so only the worse
  end of what is bought can change anything.

The ends of a fact are the words of its closed list, else the least and greatest value that other parts of the
catalogue have. Answering the first questions may uncover others: ask again.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any, Literal

from partsolver.base.records import record
from partsolver.catalog.counting import fact_marks
from partsolver.catalog.dictionary import columns, listed_words
from partsolver.catalog.load import Catalog
from partsolver.catalog.store.resolve import read_marks
from partsolver.explain.hoped import hoped_plan
from partsolver.explain.questions import standing
from partsolver.model.solve import Limits
from partsolver.plan.inferred import inferred_facts
from partsolver.plan.outcome import HopedPlan, Plan
from partsolver.problem.candidates import TABLE_OF_SLOT
from partsolver.problem.join import join
from partsolver.problem.problem import Problem
from partsolver.solve.recommend import first_plan

# Of words without a closed list (sockets, families) so many are tried.
_MOST_WORDS = 8

Decides = Literal["barred", "first"]


@record
class FactQuestion:
    """One fact of a part on sale that matters. path: ``board:ID.depth_mm``; value and mark: what is said
    of it so far (None, unknown); decides: barred (it keeps the hoped plan out) or first (it may take the
    first plan away); failing: values tried with which the first plan does not stand; at_stake: minor
    units; expected: what an answer looks like."""

    path: str
    table: str
    part: str
    column: str
    value: Any
    mark: str
    decides: Decides
    failing: tuple[Any, ...]
    at_stake: int
    expected: str


@record
class FactQuestions:
    """What matters, the most valuable first; missing: cells of part tables that nobody filled; first: the
    plan that stands today; hoped: the one that is barred."""

    missing: int
    first: Plan | None
    hoped: HopedPlan | None
    questions: tuple[FactQuestion, ...]


def fact_questions(problem: Problem, limits: Limits | None = None) -> FactQuestions:
    """The facts of the catalogue that matter for a problem. Raises NotDecided."""
    first = first_plan(problem, limits)
    hoped = hoped_plan(problem, first, limits)
    found = [*_barring(problem, hoped), *_shaking(problem, first)]
    found.sort(key=lambda q: (q.decides != "barred", q.mark != "unknown", -q.at_stake, q.path))
    return FactQuestions(missing_cells(problem.source), first, hoped, tuple(found))


def missing_cells(catalog: Catalog) -> int:
    """Cells of part tables that are not known."""
    marks = fact_marks(catalog)
    return marks["unknown"] + marks["contradictory"]


def cell_of(path: str) -> tuple[str, str, str] | None:
    """(table, part, column) of a question's path; None for one of the survey."""
    where, _, fact = path.rpartition(".")
    slot, colon, part = where.partition(":")
    table = TABLE_OF_SLOT.get(slot)
    if not colon or table is None:
        return None
    return (table, part, fact) if fact in columns()[table] else None


def _question(
    problem: Problem, path: str, decides: Decides, failing: tuple[Any, ...], stake: int
) -> FactQuestion | None:
    cell = cell_of(path)
    if cell is None or cell[1] not in problem.source.table_of:
        return None
    table, part, column = cell
    mark = read_marks(problem.source.marks.get(part, "")).get(column, "unknown")
    value = getattr(problem.source.part(part), column)
    if value is not None and mark == "unknown":
        mark = "typed"
    return FactQuestion(
        path,
        table,
        part,
        column,
        value,
        "contradictory" if mark == "?" else mark,
        decides,
        failing,
        stake,
        columns()[table][column].expected,
    )


def _barring(problem: Problem, hoped: HopedPlan | None) -> Iterator[FactQuestion]:
    for look in () if hoped is None else hoped.looks:
        question = _question(problem, look.question, "barred", (), look.at_stake)
        if question is not None:
            yield question


def _shaking(problem: Problem, first: Plan | None) -> Iterator[FactQuestion]:
    """Facts of the first plan's parts, unknown or inferred, with which it may not stand."""
    if first is None:
        return
    slots = {table: slot for slot, table in TABLE_OF_SLOT.items()}
    open_paths = [f.question for f in first.findings if f.verdict == "unknown" and f.question]
    inferred = inferred_facts(problem, first.draft)
    told = [f"{slots[fact.table]}:{fact.id}.{fact.column}" for fact in inferred if fact.table in slots]
    seen = set()
    for path in (*open_paths, *told):
        cell = cell_of(path)
        if cell is None or cell in seen:
            continue
        seen.add(cell)
        failing = tuple(
            value for value in _ends(problem.source, *cell) if not _stands(problem, first, cell, value)
        )
        question = _question(problem, path, "first", failing, first.draft.cost) if failing else None
        if question is not None:
            yield question


def _ends(catalog: Catalog, table: str, part: str, column: str) -> tuple[Any, ...]:
    """The values a fact may turn out to have, without the one it has now."""
    present = getattr(catalog.part(part), column)
    kind = columns()[table][column].type.partition(":")[0]
    others = [value for row in catalog.tables[table] if (value := getattr(row, column)) is not None]
    found: list[Any]
    if kind == "yesno":
        found = [True, False]
    elif kind == "choice":
        found = list(listed_words(table, column))
    elif kind == "int":
        found = [min(others), max(others)] if others else []
    elif others and isinstance(others[0], tuple):
        found = [(), max(others, key=lambda value: (len(value), str(value)))]
    else:
        found = sorted({str(value) for value in others})[:_MOST_WORDS]
    return tuple(value for value in dict.fromkeys(found) if value != present)


def _stands(problem: Problem, plan: Plan, cell: tuple[str, str, str], value: Any) -> bool:
    """Whether a plan stands, at no higher cost and in no longer time, when a cell has this value."""
    table, part, column = cell
    catalog = problem.source
    rows = tuple(replace(row, **{column: value}) if row.id == part else row for row in catalog.tables[table])
    other = replace(catalog, tables={**catalog.tables, table: rows})
    draft = standing(join(problem.survey, other, problem.brief), plan)
    return draft is not None and draft.cost <= plan.draft.cost and draft.time_ppm <= plan.draft.time_ppm
