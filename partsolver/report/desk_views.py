"""What the desk's screens show of the library's values, as records for the templates."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import fields
from typing import Any

from markupsafe import Markup

from partsolver.base.quantities import format_amount
from partsolver.base.records import record
from partsolver.catalog.store.questions import Shown
from partsolver.explain.why import Reason, WayOut
from partsolver.explain.whynot import WhyNot
from partsolver.plan.choices import Choice, Choices
from partsolver.plan.outcome import CompletePc, Plan
from partsolver.problem.problem import Problem
from partsolver.report.cards import by_rank, headline, looks_of
from partsolver.report.case_drawing import case_svg, plan_parts
from partsolver.report.charts import description
from partsolver.report.desk_drawings import MoneyPoint, interval_svg, money_svg
from partsolver.report.page import amount_text
from partsolver.report.store import from_text as from_of
from partsolver.report.store import value_text as value_of
from partsolver.report.text import names_of, tightest
from partsolver.report.tradeoff import change_words
from partsolver.report.why import plan_words, way_sentence
from partsolver.report.words import desk as words
from partsolver.report.words.answer import (
    KEEP,
    NOT_KNOWN,
    bought_names,
    condition_word,
    look_words,
    margin_words,
)
from partsolver.report.words.fact_names import plain_key, unit_of, value_text, value_with_unit
from partsolver.report.words.lookup import sentence, title
from partsolver.report.words.speed import ten_seconds
from partsolver.report.words.store import MARKS
from partsolver.rules import rule as rule_of
from partsolver.solve.tradeoff import Tradeoff
from partsolver.survey.interview.kinds import answer_text
from partsolver.survey.interview.questions import BY_PATH, Question
from partsolver.survey.origins import origins

# Facts of several kinds of a PC are read in this order.
_TABLES = (
    "pc",
    "os",
    "cpu",
    "board",
    "memory",
    "drive",
    "card",
    "display",
    "device",
    "case",
    "psu",
    "cooler",
)


@record
class FactView:
    """One fact: its path, name, value with unit, where it comes from, and the text an answer would have
    (None: it is changed in the file only)."""

    path: str
    name: str
    value: str
    origin: str
    answer: str | None


def facts(text: str) -> list[tuple[str, list[FactView]]]:
    """The facts of a survey by part, with their origins. ``text``: of a valid survey."""
    data, known = tomllib.loads(text), origins(text)
    found = []
    for table in _TABLES:
        rows = data.get(table)
        several = isinstance(rows, list)
        listed = rows if isinstance(rows, list) else [rows or {}]
        for number, row in enumerate(listed):
            owner = f"{table}[{number}]" if several else table
            views = [
                _fact(owner, table, key, value, known) for key, value in row.items() if value != "unknown"
            ]
            heading = words.FACT_TABLES[table] + (f" {number + 1}" if several and len(listed) > 1 else "")
            if views:
                found.append((heading, views))
    return found


def _fact(owner: str, table: str, key: str, value: Any, known: Mapping[str, str]) -> FactView:
    path = f"{owner}.{key}"
    question = BY_PATH.get(f"{table}.{key}")
    return FactView(
        path,
        plain_key(key),
        value_with_unit(key, value),
        known.get(path, ""),
        None if question is None else answer_of(question, value),
    )


def answer_of(question: Question, value: Any) -> str:
    """A value of a survey as a person would answer it."""
    return answer_text(question, value) or value_text(value)


@record
class LookView:
    path: str
    text: str
    ask: str | None


@record
class CardView:
    """One plan of the answer. ``buys``: names; ``parts``: where it says where; ``plan_rank``: None for a
    complete PC, which no plan file is about."""

    rank: int
    amount: str
    headline: str
    buys: tuple[str, ...]
    margin: str
    looks: tuple[LookView, ...]
    interval: Markup | None
    drawing: Markup | None
    changes: bool
    plan: bool


def cards(found: Choices, problem: Problem, ask: Callable[[str], str | None]) -> list[CardView]:
    """The plans of the short answer. ``ask``: the interview's path of an open question."""
    return [
        _pc_card(item, rank, problem) if isinstance(item, CompletePc) else _card(item, problem, ask)
        for rank, item in by_rank(found)
    ]


def money(minor: int, problem: Problem) -> str:
    return f"{amount_text(minor, problem.catalog.digits)} {problem.catalog.currency}"


def _card(choice: Choice, problem: Problem, ask: Callable[[str], str | None]) -> CardView:
    plan, names = choice.plan, names_of(problem)
    keeps = plan.parts.unchanged and not plan.draft.lines
    near = tightest(plan.findings)
    shown, new = plan_parts(problem.survey, plan, problem)
    return CardView(
        plan.rank,
        money(plan.draft.cost, problem),
        KEEP if keeps else headline(choice),
        () if keeps else tuple(bought_names(plan, names)),
        "" if keeps or not near else margin_words(near[0], names),
        tuple(LookView(path, _look(path, problem.names), ask(path)) for path in looks_of(plan))
        if not keeps
        else (),
        _interval(plan) if not keeps else None,
        case_svg(shown, new, str(plan.rank)),
        not keeps,
        True,
    )


def _look(path: str, names: Mapping[str, str]) -> str:
    text = look_words(path, names).removeprefix("look first: ")
    return text[:1].upper() + text[1:]


def _interval(plan: Plan) -> Markup | None:
    return None if plan.speedup is None else interval_svg(plan.speedup, ten_seconds(plan.speedup))


def _pc_card(pc: CompletePc, rank: int, problem: Problem) -> CardView:
    speed = NOT_KNOWN if pc.speedup is None else ten_seconds(pc.speedup, short=True)
    return CardView(
        rank,
        money(pc.cost, problem),
        f"{speed}: another PC, {condition_word(pc.bundle.condition)}; case and supply go",
        (f"{pc.bundle.name}, from {problem.sellers[pc.bundle.seller].name}",),
        "",
        (),
        None if pc.speedup is None else interval_svg(pc.speedup, ten_seconds(pc.speedup)),
        None,
        True,
        False,
    )


@record
class PointView:
    """A point of the trade-off in words, with its drawing."""

    number: int
    amount: str
    plain_amount: str
    speed: str
    changes: str
    step: str
    knee: bool
    drawing: Markup


def money_points(found: Tradeoff, problem: Problem) -> tuple[list[PointView], Markup]:
    """Every point with a known speed, and their chart."""
    told = [point for point in found.points if point.plan.speedup is not None]
    views, drawn = [], []
    for number, point in enumerate(told):
        plan = point.plan
        assert plan.speedup is not None
        shown, new = plan_parts(problem.survey, plan, problem)
        price = point.price_per_percent_minor
        views.append(
            PointView(
                number,
                money(plan.draft.cost, problem),
                amount_text(plan.draft.cost, problem.catalog.digits),
                ten_seconds(plan.speedup),
                change_words(plan, problem),
                "" if price is None else f"{money(price, problem)} for each further per cent",
                point.knee,
                case_svg(shown, new, f"m{number}"),
            )
        )
        speed = plan.speedup
        drawn.append(
            MoneyPoint(
                plan.draft.cost,
                amount_text(plan.draft.cost, problem.catalog.digits),
                speed.expected_milli,
                speed.low_milli,
                speed.high_milli,
                point.knee,
            )
        )
    return views, money_svg(drawn, description(found, problem))


@record
class WayView:
    """A way out: its sentence, the plan then, and what one touch changes. ``budget``: what the money has to
    be raised to as well, empty where it is enough."""

    sentence: str
    plan: str
    kind: str
    what: str
    value: str
    budget: str


def ways(found: Sequence[WayOut], problem: Problem) -> list[WayView]:
    """The ways out of a conflict with their cost."""
    names = names_of(problem)
    return [
        WayView(
            sentence_of(way_sentence(way, problem, names)),
            plan_words(way.plan, problem, names),
            way.kind,
            way.what,
            way.value,
            format_amount(way.plan.draft.cost, problem.catalog.digits) if way.also_budget else "",
        )
        for way in found
    ]


def sentence_of(text: str) -> str:
    """Words as a sentence."""
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "?", "!")) else text + "."


def reasons(found: Sequence[Reason], problem: Problem) -> Iterator[tuple[str, str, str]]:
    """Title, statement and nearest instance of each rule of a conflict."""
    names = names_of(problem)
    for reason in found:
        near = sentence(reason.nearest_miss[0], names) if reason.nearest_miss else ""
        yield title(reason.rule), rule_of(reason.rule).STATEMENT, near


@record
class PartFact:
    """One fact of a part: name, value with unit, mark, where it comes from."""

    name: str
    value: str
    mark: str
    origin: str


def part_facts(part: Any, table: str) -> list[PartFact]:
    """The facts of a part of CSV tables."""
    origin = getattr(part, "source", None) or words.BY_TABLE.format(table=table)
    skipped = ("id", "name", "source")
    return [
        PartFact(
            plain_key(f.name),
            value_with_unit(f.name, value),
            "",
            str(origin),
        )
        for f in fields(part)
        if f.name not in skipped and (value := getattr(part, f.name)) is not None and value != ()
    ]


def store_facts(found: Shown) -> list[PartFact]:
    """The facts of a part of a store, each with its mark and origin."""
    return [
        PartFact(
            plain_key(column),
            f"{value_of(cell)} {unit_of(column)}".strip(),
            MARKS[cell.mark],
            from_of(cell),
        )
        for column, cell in found.cells
    ]


@record
class SideView:
    """One side of "old and new": what it costs, what it does, what it buys."""

    amount: str
    speed: str
    buys: tuple[str, ...]
    drawing: Markup


def plan_side(plan: Plan, problem: Problem, number: str) -> SideView:
    shown, new = plan_parts(problem.survey, plan, problem)
    return SideView(
        money(plan.draft.cost, problem),
        NOT_KNOWN if plan.speedup is None else ten_seconds(plan.speedup),
        tuple(bought_names(plan, names_of(problem))) or (KEEP,),
        case_svg(shown, new, number),
    )


def why_not_lines(found: WhyNot, problem: Problem) -> list[str]:
    """Why a part is not in the first plan, one sentence each."""
    names = names_of(problem)
    lines = [words.VERDICTS[found.verdict].format(name=names.get(found.part, found.part))]
    if found.dominated_by is not None:
        lines.append(words.DOMINATED.format(name=names.get(found.dominated_by, found.dominated_by)))
    if found.verdict == "worse" and found.best is not None and found.first is not None:
        lines.append(words.BEST_WITH.format(plan=plan_words(found.best, problem, names)))
        lines.append(words.FIRST_IS.format(plan=plan_words(found.first, problem, names)))
    return lines
