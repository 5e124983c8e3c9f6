"""What `catalog ask` prints: the facts of parts on sale that matter, as text, as JSON, and as a question."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.base.quantities import format_amount
from partsolver.problem.problem import Problem
from partsolver.report.document import dump
from partsolver.report.page import wrap
from partsolver.report.survey import shell
from partsolver.report.words.cells import cell_words, value_text
from partsolver.report.words.counts import count_of
from partsolver.report.words.lookup import page_words, plain_line, question_parts
from partsolver.report.words.store import MARKS

if TYPE_CHECKING:
    from partsolver.explain.catalog_questions import FactQuestion, FactQuestions

# What is printed before the first question on a terminal, and how it ends.
HOW_TO_ANSWER = (
    "Enter = don't know, ok = what stands there is right, stop = no more questions; each answer is kept"
)


def count_line(found: FactQuestions, problem: Problem) -> str:
    """``412 facts missing, 3 matter for ...``."""
    open_, ticks = _parted(found)
    name = problem.survey.pc.name
    missing = f"{found.missing:,} {'fact' if found.missing == 1 else 'facts'} missing"
    matter = "none matters" if not open_ else "1 matters" if len(open_) == 1 else f"{len(open_)} matter"
    are = "is" if len(ticks) == 1 else "are"
    more = (
        f"; the first plan rests on {count_of(len(ticks), 'fact')} that {are} only inferred" if ticks else ""
    )
    return f"{missing}, {matter} for {name}{more}."


def _parted(found: FactQuestions) -> tuple[list[FactQuestion], list[FactQuestion]]:
    """Questions about what is not known, and about what is only inferred."""
    open_ = [question for question in found.questions if question.value is None]
    return open_, [question for question in found.questions if question.value is not None]


def _amount(problem: Problem, minor: int) -> str:
    return f"{format_amount(minor, problem.catalog.digits)} {problem.catalog.currency}"


def _asked(question: FactQuestion, problem: Problem) -> str:
    name = plain_line(problem.names.get(question.part, question.part))
    if question.value is not None:
        return (
            f"{name}: {cell_words(question.table, question.column, question.value)}"
            f" ({MARKS[question.mark]}): is that right? Look at the seller's or the maker's page."
        )
    text = question_parts(question.path)[1]
    # How one looks at a part in one's hands is no help before it is ordered.
    text = f"{text[: text.index('?') + 1]} Its page or data sheet says it." if "?" in text else text
    said = " Its sources contradict each other." if question.mark == "contradictory" else ""
    return f"{name}: {text}{said}"


def _stake(question: FactQuestion, problem: Problem) -> str:
    if question.decides == "barred":
        return f"Without it the hoped plan cannot be ordered; at stake {_amount(problem, question.at_stake)}."
    values = ", ".join(value_text(value) for value in question.failing[:4])
    return f"With {values} plan 1 would not stand; at stake {_amount(problem, question.at_stake)}."


def question_line(question: FactQuestion, problem: Problem) -> str:
    """A fact that matters and what hangs on it."""
    return f"{_asked(question, problem)} {_stake(question, problem)}"


def ask_text(found: FactQuestions, problem: Problem, keep: str | None) -> str:
    """Every fact that matters, with what hangs on it and how to settle it. ``keep``: the options with which
    `catalog set` keeps an answer in this catalogue; None where it has no store and is edited by hand."""
    lines = [wrap(count_line(found, problem), "")]
    for number, question in enumerate(found.questions, 1):
        lead = f"{number:>3}. " if question.value is None else f"{number:>3}. [ ] "
        lines.append(wrap(question_line(question, problem), lead, " " * 5))
        shown = "VALUE" if question.value is None else value_text(question.value)
        if keep is None:
            lines.append(f"     {question.table}.csv, row {question.part}: {question.column}")
        else:
            told = shell(f"{question.column}={shown}")
            lines.append(f"     partsolver catalog set {question.part} {told}{keep}")
    barred = [q.part for q in found.questions if q.table == "boards" and q.decides == "barred"]
    if barred:
        lines.append(wrap(page_words(problem.names, barred), ""))
    return "\n".join(lines) + "\n"


def prompt_text(question: FactQuestion, problem: Problem) -> str:
    """One question on a terminal."""
    text = wrap(question_line(question, problem), "")
    return f"{text}\n{question.column} ({question.expected}): "


def ask_json(found: FactQuestions, problem: Problem) -> str:
    """The same as one JSON document."""
    return dump(
        {
            "schema": "partsolver.catalog-questions/1",
            "currency": problem.catalog.currency,
            "missing": found.missing,
            "matter": len(_parted(found)[0]),
            "questions": questions_json(found, problem),
        }
    )


def questions_json(found: FactQuestions, problem: Problem) -> list[dict[str, Any]]:
    """The facts that matter, the most valuable first."""
    return [
        {
            "fact": question.path,
            "table": question.table,
            "id": question.part,
            "name": problem.names.get(question.part, question.part),
            "column": question.column,
            "text": _asked(question, problem),
            "expected": question.expected,
            "value": None if question.value is None else value_text(question.value),
            "mark": question.mark,
            "decides": question.decides,
            "fails_with": [value_text(value) for value in question.failing],
            "at_stake": format_amount(question.at_stake, problem.catalog.digits),
        }
        for question in found.questions
    ]
