"""Words and JSON of `survey questions`: what to answer first, and what each answer is worth."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from partsolver.base.quantities import format_amount
from partsolver.explain.questions import AnswerEffect, Questions, QuestionValue
from partsolver.plan.outcome import Interval, Plan
from partsolver.problem.problem import Problem
from partsolver.report import json as report_json
from partsolver.report.document import dump
from partsolver.report.page import amount_text, decimals_text, shortest_text, wrap
from partsolver.report.survey import answer_words, shell
from partsolver.report.text import names_of
from partsolver.report.words.cautions import CAUTIONS
from partsolver.report.words.fact_names import plain_key
from partsolver.report.words.interview_questions import WORDS
from partsolver.report.words.lookup import question_text
from partsolver.survey.interview.questions import BY_PATH, OPEN_CASE

Names = Any
# As many questions as an answer session is meant to have.
SESSION = 10

_NEEDED = (
    "First these {count}, all of them: a wrong guess could destroy parts, so the best plan stays out until"
    " they are answered, or no speed-up can be told."
)
_NEEDED_ONE = (
    "First this one: a wrong guess could destroy parts, so the best plan stays out until it is answered, or"
    " no speed-up can be told."
)
_SUPPOSED = "With the answers one hopes for, the first plan is then (below: the hoped plan): {plan}."
_EACH = "Each is shown with the hoped answers to the others."
_REST = "Then, supposing these answers:"
_SAME = "These change nothing in {first}, whatever the answer: "
_ASSUMED = "Nobody said so, but it is taken as true: "
_BEFORE = "Before the case is opened: "
_ALONE = "Each answer was tried alone; after answering, look again."
_ANSWER = "Answer the first {count} in a talk: partsolver survey new --from {path} --first {count}{options}"
_OPEN_CASE = ("mains", "supply-closed")
_WORKS = {
    "pc.board_works": "the board works",
    "pc.cpu_works": "the processor works",
    "pc.memory_works": "the memory works",
}

# What an answer to a list that nobody mentioned stands for.
_ROWS: dict[tuple[str, str], str] = {
    ("display", "vga"): "one with a VGA socket",
    ("display", "dvi-d"): "one with DVI",
    ("display", "hdmi-1.4"): "one with HDMI",
    ("card", "graphics"): "a graphics card",
    ("card", "pcie"): "a PCI Express card",
    ("card", "pci"): "a PCI card",
    ("device", "ps2"): "a PS/2 keyboard",
    ("device", "serial"): "one with a serial plug",
    ("device", "parallel"): "one with a parallel plug",
    ("drive", "ssd"): "a SATA solid-state drive, started by UEFI",
    ("drive", "hdd35"): "a SATA disk, started the old way",
    ("drive", "pata"): "a disk with a ribbon cable, started the old way",
    ("memory", "2x1024"): "two of 1 GB",
    ("memory", "2x2048"): "two of 2 GB",
    ("memory", "2x4096"): "two of 4 GB",
}
_UNITS: tuple[tuple[str, Callable[[int], str]], ...] = (
    ("_ma", lambda n: f"{shortest_text(n / 1000)} A"),
    ("_mib", lambda n: f"{shortest_text(n / 1024)} GB"),
    ("_mm", lambda n: f"{n} mm"),
    ("_w", lambda n: f"{n} W"),
    ("_mts", lambda n: f"{n} MT/s"),
)


def plain_answer(path: str, value: Any) -> str:
    """An answer with its unit, as a person would say it."""
    if (path, value) in _ROWS:
        return _ROWS[path, value]
    for ending, words in _UNITS:
        if path.endswith(ending):
            numbers = value if isinstance(value, tuple) else (value,)
            return " + ".join(words(n) for n in numbers) or "none"
    return answer_words(value)


def asked(path: str) -> str:
    """A question in words: the rules' own, else the interview's."""
    table, _, key = path.rpartition(".")
    kind, colon, name = table.partition(":")
    text = question_text(path)
    words = WORDS.get(_general(path))
    if words is None or not text.endswith(f"{key.replace('_', ' ')} of the {kind}"):
        return text
    first = words.how.partition(" ")[0]
    how = words.how if first.endswith(":") else words.how[0].upper() + words.how[1:]
    return (f"{name}: " if colon else "") + f"{words.text} {how}."


def _general(path: str) -> str:
    """``drive:NAME.kind`` as ``drive.kind``."""
    table, dot, key = path.rpartition(".")
    return f"{table.partition(':')[0]}{dot}{key}"


def questions_text(found: Questions, problem: Problem, options: str = "") -> str:
    """Open questions: those that are needed, then by the value of their answers; those that change nothing
    last. ``options``: those this was computed with, to be typed again.
    """
    names = names_of(problem)
    if not found.values:
        return "No open question with plausible answers: the survey is complete.\n"
    lines = [wrap(f"{problem.survey.pc.name}: open questions, those whose answer matters most first", "")]
    if found.today is None:
        lines.append(wrap("With what is known no plan exists.", ""))
    else:
        lines.append(wrap(f"With what is known the first plan is: {_plan(found.today, problem, names)}.", ""))
    needed = found.needed
    rest = [value for value in found.values if value.matters and not value.needed]
    number = 0
    if needed:
        lines += ["", wrap(_NEEDED_ONE if len(needed) == 1 else _NEEDED.format(count=len(needed)), "")]
        if found.supposed is not None:
            lines += [wrap(_SUPPOSED.format(plan=_plan(found.supposed, problem, names)), "")]
        if len(needed) > 1:
            lines += [wrap(_EACH, "")]
        for number, value in enumerate(needed, 1):
            lines += _question(
                number, value, "", (_hoping(e, found.supposed, problem, names) for e in value.effects)
            )
    if rest:
        lines += ["", wrap(_REST, "")] if needed else [""]
    for value in rest:
        number += 1
        effects = (_effect(e, found.supposed, _first_words(found), problem, names) for e in value.effects)
        lines += _question(number, value, _worth(value, problem), effects)
    return "\n".join([*lines, *_end(found, problem, number, options)]) + "\n"


def _end(found: Questions, problem: Problem, mattering: int, options: str) -> Iterator[str]:
    same = [_fact_words(value.path) for value in found.values if not value.matters]
    if same:
        yield from ("", wrap(_SAME.format(first=_first_words(found)) + ", ".join(same) + ".", ""))
    if problem.survey.assumed:
        yield from ("", wrap(_ASSUMED + ", ".join(_WORKS[path] for path in problem.survey.assumed) + ".", ""))
    if any(_inside(value.path) for value in found.values if value.matters):
        yield from ("", wrap(_BEFORE + " ".join(CAUTIONS[name] for name in _OPEN_CASE), ""))
    yield from ("", wrap(_ALONE, ""))
    if mattering and problem.survey.where.endswith(".toml"):
        yield _ANSWER.format(count=min(mattering, SESSION), path=shell(problem.survey.where), options=options)


def _fact_words(path: str) -> str:
    """A fact by its name, with its place in the file: ``encrypted, archive disk (drive:archive
    disk.encrypted)``."""
    table, _, fact = path.rpartition(".")
    row = table.partition(":")[2]
    return f"{plain_key(fact)}{', ' + row if row else ''} ({path})"


def _inside(path: str) -> bool:
    """Whether a question needs the case open."""
    question = BY_PATH.get(_general(path))
    return question is not None and question.section in OPEN_CASE


def _question(number: int, value: QuestionValue, worth: str, effects: Iterator[str]) -> Iterator[str]:
    yield wrap(f"{value.path}: {asked(value.path)}", f"{number:>2}. ", "    ")
    if worth:
        yield wrap(worth, "    ")
    for effect, words in zip(value.effects, effects, strict=True):
        yield wrap(f"{plain_answer(value.path, effect.value)}: {words}", "      - ", "        ")


def _worth(value: QuestionValue, problem: Problem) -> str:
    if value.at_risk:
        return (
            f"At stake: an order of {amount_text(value.at_risk, problem.catalog.digits)}"
            f" {problem.catalog.currency} that may not fit."
        )
    parts = []
    if value.time_permille:
        parts.append(f"{decimals_text(value.time_permille / 10, 1)} % of the expected time")
    if value.money:
        parts.append(f"{amount_text(value.money, problem.catalog.digits)} {problem.catalog.currency} of cost")
    return "At stake: " + (" and ".join(parts) or "which parts are bought") + "."


def _plan(plan: Plan, problem: Problem, names: Names) -> str:
    cost = amount_text(plan.draft.cost, problem.catalog.digits)
    speed = "" if plan.speedup is None else f", {_times(plan.speedup)}"
    bought = [names.get(c.id, c.id) for c in plan.parts.picked if c.id is not None]
    return f"{' + '.join(bought) or 'keep the PC as it is'} ({cost}{speed})"


def _times(speedup: Interval) -> str:
    return f"{decimals_text(speedup.expected_milli / 1000, 2)} times as fast"


def _hoping(effect: AnswerEffect, supposed: Plan | None, problem: Problem, names: Names) -> str:
    """What a needed answer leads to, the others of its group being as hoped."""
    if effect.plan is None:
        return "no plan exists"
    if (
        supposed is None
        or effect.plan.parts.keys != supposed.parts.keys
        or effect.plan.draft.cost != supposed.draft.cost
    ):
        return _plan(effect.plan, problem, names)
    told = effect.plan.speedup
    return "the hoped plan" + ("" if told is None or told == supposed.speedup else f" ({_times(told)})")


def _first_words(found: Questions) -> str:
    return "the hoped plan" if found.needed and found.supposed is not None else "the first plan"


def _effect(effect: AnswerEffect, first: Plan | None, word: str, problem: Problem, names: Names) -> str:
    if effect.plan is None:
        return "no plan exists"
    if first is None:
        return f"a plan exists, for {amount_text(effect.plan.draft.cost, problem.catalog.digits)}"
    if effect.same_parts and effect.stands:
        return f"{word} stays"
    change = f"{word} would fit, but another is better" if effect.stands else f"{word} would not fit"
    return f"{change}; best then: {_plan(effect.plan, problem, names)}"


def questions_json(found: Questions, problem: Problem) -> str:
    """The same as one JSON document."""
    return dump(
        {
            "schema": "partsolver.questions/1",
            "currency": problem.catalog.currency,
            "first_plan": _first_plan_document(found.today, problem),
            "supposed_plan": _first_plan_document(found.supposed, problem),
            "assumed": list(problem.survey.assumed),
            "questions": [_row(value, problem) for value in found.values],
        }
    )


def _first_plan_document(plan: Plan | None, problem: Problem) -> Any:
    return None if plan is None else report_json.plan_document(plan, problem)


def _row(value: QuestionValue, problem: Problem) -> dict[str, Any]:
    digits = problem.catalog.digits
    return {
        "fact": value.path,
        "text": asked(value.path),
        "needed": value.needed,
        "matters": value.matters,
        "at_risk": format_amount(value.at_risk, digits),
        "failing_permille": value.failing_permille,
        "time_permille": value.time_permille,
        "money": format_amount(value.money, digits),
        "answers": [
            {
                "value": answer_words(e.value),
                "plan": None if e.plan is None else report_json.parts_document(e.plan.parts, problem),
                "cost": None if e.plan is None else format_amount(e.plan.draft.cost, digits),
                "first_plan_stands": e.stands,
                "same_parts": e.same_parts,
                "time_saved_permille": e.time_saved_permille,
                "cost_change": format_amount(e.cost_change, digits),
            }
            for e in value.effects
        ],
    }
