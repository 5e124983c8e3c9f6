"""Which question comes next, and what hangs on it."""

from __future__ import annotations

import tomllib

from partsolver.base.records import record
from partsolver.desk.folder import PcFiles
from partsolver.desk.frame import Desk
from partsolver.report.desk_views import answer_of
from partsolver.report.words import desk as words
from partsolver.survey.edit import question_of
from partsolver.survey.interview.build import evidence, suggestions
from partsolver.survey.interview.questions import BY_PATH, Question
from partsolver.survey.interview.session import Interview, interview_path


@record
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


def _session(pc: PcFiles, text: str, short: bool = False) -> Interview:
    return Interview(
        tomllib.loads(text),
        pc.pending(),
        short=short,
        seen=evidence(text),
        suggested=suggestions(text),
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
            called = session.value(f"{owner}.name", BY_PATH[f"{question.table}.name"])
            name += f" ({called})" if called else ""
    return Chosen(question, path, name, present, evidence(text).get(path, ()), suggestions(text).get(path))


def choose_question(desk: Desk, pc: PcFiles, text: str, everything: bool) -> Chosen | None:
    """The most valuable open question; without a catalogue the few without which nothing can be told."""
    session = _session(pc, text)
    unfinished = [
        path for path, _ in session.open() if path.startswith("card[") and "card" in session.answers
    ]
    # Without these nothing can be told; weighing them would take long and say only that.
    first = [path for path, _ in _session(pc, text, short=True).open()]
    if everything or first:
        paths = [*unfinished, *first, *(path for path, _ in session.open() if everything)]
    else:
        paths = [*unfinished, *valued(desk, pc, text)]
    for path in paths:
        if path not in session.answers:
            return question_at(pc, text, path)
    return None


def valued(desk: Desk, pc: PcFiles, text: str) -> list[str]:
    """Paths of the open questions that matter, those for which the case may stay closed first; while that
    is not known all of them, in the order of the survey."""
    weights = desk.warm.weights(pc)
    if weights is None:
        return [path for path, _ in _session(pc, text).open()]
    given = tomllib.loads(text)
    pending = pc.pending()
    paths = [interview_path(weight.path, given) for weight in weights if weight.matters]
    known = [path for path in paths if path is not None and path not in pending]
    return sorted(
        known, key=lambda path: (question := question_of(path)) is None or question.section == "inside"
    )


def worth_words(desk: Desk, pc: PcFiles, path: str) -> str:
    """What hangs on a question, in money."""
    text = pc.survey_text()
    if desk.warm.catalog_folder is None:
        return words.WORTH_LATER
    first = [other for other, _ in _session(pc, text, short=True).open()]
    if first:
        return words.WORTH_FIRST if path in first else ""
    weights = desk.warm.weights(pc)
    if weights is None:
        return _not_weighed(desk, pc)
    given = tomllib.loads(text)
    weight = next((w for w in weights if interview_path(w.path, given) == path), None)
    if weight is None:  # it is answered, or nobody tried it: nothing is claimed
        return ""
    if not weight.matters:
        return words.WORTH_NONE
    if weight.at_risk:
        return words.WORTH_RISK.format(amount=weight.at_risk)
    if weight.needed:
        return words.WORTH_NEEDED
    if weight.money:
        return words.WORTH_MONEY.format(amount=weight.money)
    return words.WORTH_TIME.format(percent=f"{weight.time_permille / 10:g}")


def uncertain(desk: Desk, pc: PcFiles) -> str:
    """How much money still hangs on open questions: the measure of progress."""
    text = pc.survey_text()
    first = [path for path, _ in _session(pc, text, short=True).open()]
    if first:
        return words.first_left(len(first))
    weights = desk.warm.weights(pc, 0.0)  # no plan waits for it
    if weights is None:
        return _not_weighed(desk, pc)
    pending, given = pc.pending(), tomllib.loads(text)
    left = [w for w in weights if w.matters and interview_path(w.path, given) not in pending]
    return words.uncertain(next((w.at_risk or w.money for w in left if w.at_risk or w.money), ""), len(left))


def _not_weighed(desk: Desk, pc: PcFiles) -> str:
    job = desk.warm.weighing(pc)
    return words.WORTH_STOPPED if job is not None and job.state == "stopped" else words.WORTH_COMPUTED
