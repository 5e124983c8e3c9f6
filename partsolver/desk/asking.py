"""Which question comes next, and what hangs on it."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass

from partsolver.base.errors import InputRefused
from partsolver.desk.folder import PcFiles
from partsolver.desk.frame import Desk
from partsolver.report.desk_views import answer_of, money
from partsolver.report.words import desk as words
from partsolver.survey import interview as talk
from partsolver.survey.edit import question_of
from partsolver.survey.interview import Question


@dataclass(frozen=True)
class Chosen:
    """A question on its way to a person. ``present``: its answer as it is, None where it is open."""

    question: Question
    path: str
    name: str
    present: str | None
    seen: tuple[str, ...]
    suggested: str | None


def kept_answers(pc: PcFiles) -> dict[str, str]:
    return pc.pending()


def _session(pc: PcFiles, text: str, short: bool = False) -> talk.Interview:
    return talk.Interview(
        tomllib.loads(text),
        pc.pending(),
        short=short,
        seen=talk.evidence(text),
        suggested=talk.suggestions(text),
    )


def question_at(pc: PcFiles, text: str, path: str) -> Chosen | None:
    """The question of a path, also where it is answered."""
    question = question_of(path)
    if question is None:
        return None
    session = _session(pc, text)
    given = session.given_value(path) if "." in path else None
    present = answer_of(question, given) if given is not None else session.answers.get(path)
    owner = path.rpartition(".")[0]
    name = ""
    if "[" in owner:
        name = f"{words.FACT_TABLES[question.table]} {int(owner.partition('[')[2][:-1]) + 1}"
        if question.table != "memory":
            called = session.value(f"{owner}.name", talk.BY_PATH[f"{question.table}.name"])
            name += f" ({called})" if called else ""
    return Chosen(
        question, path, name, present, talk.evidence(text).get(path, ()), talk.suggestions(text).get(path)
    )


def choose_question(desk: Desk, pc: PcFiles, text: str, everything: bool) -> Chosen | None:
    """The most valuable open question; without a catalogue the few without which nothing can be told."""
    session = _session(pc, text)
    if everything:
        paths = [path for path, _ in session.open()]
    else:
        paths = valued(desk, pc, text) or [path for path, _ in _session(pc, text, short=True).open()]
        unfinished = [
            path for path, _ in session.open() if path.startswith("card[") and "card" in session.answers
        ]
        paths = [*unfinished, *paths]
    for path in paths:
        if path not in session.answers:
            return question_at(pc, text, path)
    return None


def valued(desk: Desk, pc: PcFiles, text: str) -> list[str]:
    """Paths of the open questions that matter, those for which the case may stay closed first; empty where no plan
    can be looked for yet."""
    try:
        _, found = desk.warm.questions(pc)
    except InputRefused:
        return []
    given = tomllib.loads(text)
    pending = pc.pending()
    paths = [talk.interview_path(value.path, given) for value in found.values if value.matters]
    known = [path for path in paths if path is not None and path not in pending]
    return sorted(
        known, key=lambda path: (question := question_of(path)) is None or question.section == "inside"
    )


def worth_words(desk: Desk, pc: PcFiles, path: str) -> str:
    """What hangs on a question, in money, and how much is uncertain in all."""
    try:
        problem, found = desk.warm.questions(pc)
    except InputRefused:
        return words.WORTH_LATER
    given = tomllib.loads(pc.survey.read_text(encoding="utf-8"))
    value = next((v for v in found.values if talk.interview_path(v.path, given) == path), None)
    if value is None or not value.matters:
        return words.WORTH_NONE
    if value.at_risk:
        return words.WORTH_RISK.format(amount=money(value.at_risk, problem))
    if value.needed:
        return words.WORTH_NEEDED
    if value.money:
        return words.WORTH_MONEY.format(amount=money(value.money, problem))
    return words.WORTH_TIME.format(percent=f"{value.time_permille / 10:g}")


def uncertain(desk: Desk, pc: PcFiles) -> str:
    """How much money still hangs on open questions."""
    try:
        problem, found = desk.warm.questions(pc)
    except InputRefused:
        return ""
    pending = pc.pending()
    given = tomllib.loads(pc.survey.read_text(encoding="utf-8"))
    left = [v for v in found.values if v.matters and talk.interview_path(v.path, given) not in pending]
    at_risk = max((v.at_risk or v.money for v in left), default=0)
    return words.uncertain(money(at_risk, problem) if at_risk else "", len(left))
