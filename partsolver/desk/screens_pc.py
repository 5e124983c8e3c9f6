"""Screens about one PC and what is known of it: the folder, the facts, one question, what is wanted."""

from __future__ import annotations

import datetime
import re
import tomllib
from typing import Any
from urllib.parse import quote

from starlette.responses import Response

from partsolver.base.controls import controls_escaped, shows_whole
from partsolver.base.errors import InputRefused, refuse
from partsolver.base.textfile import read_text, write_text
from partsolver.desk.asking import choose_question, kept_answers, question_at, worth_words
from partsolver.desk.folder import PcFiles
from partsolver.desk.frame import Asked, go, stale
from partsolver.desk.wished import plain_number
from partsolver.report.case_drawing import case_svg, survey_parts
from partsolver.report.desk_views import answer_of, facts
from partsolver.report.line_drawing import line_drawing_svg
from partsolver.report.words import desk as words
from partsolver.report.words import interview as talk_words
from partsolver.report.words.cautions import CAUTIONS
from partsolver.report.words.fact_names import link_name
from partsolver.report.words.interview_drawings import DRAWINGS
from partsolver.survey.edit import question_of, with_answers, with_wishes
from partsolver.survey.interview.answers import save_answers
from partsolver.survey.interview.build import survey_text
from partsolver.survey.interview.kinds import DONT_KNOW, read_answer
from partsolver.survey.interview.questions import BY_PATH, Question
from partsolver.survey.interview.session import Interview
from partsolver.survey.load import load_survey
from partsolver.wishes.uses import USES


def folder_view(asked: Asked) -> Response:
    """All PCs of the folder with their state."""
    desk = asked.desk
    rows = []
    for name in desk.folder.names():
        pc = desk.folder.pc(name)
        if pc is None:
            continue
        if not shows_whole(name):
            rows.append(("", controls_escaped(name), "", words.UNSEEN_NAME))
            continue
        try:
            title, fault = load_survey(pc.survey)[0].pc.name or name, ""
            state = pc.state()
        except InputRefused as error:
            title, fault, state = name, str(error.faults[0]), "new"
        rows.append((name, title, words.STATES[state], fault.replace(f"{desk.folder.root}/", "")))
    return asked.show(
        "folder.html", rows=rows, has_parts=desk.warm.catalog_folder is not None, this_pc=desk.allow_this_pc
    )


def new_pc(asked: Asked) -> Response:
    """A new survey: empty, from dumps, or from the machine the desk runs on."""
    desk = asked.desk
    title = asked.form.get("title", "").strip() or "PC"
    question = BY_PATH["pc.name"]
    try:
        read_answer(question, title)
    except ValueError:
        raise refuse("name", "cannot be read", title, "a few words") from None
    with desk.warm.lock("/folder"):
        pc = PcFiles(desk.folder.root, desk.folder.new_name(title))
        text = survey_text(Interview({}, {"pc.name": title}), None, str(pc.survey)).text
        write_text(pc.survey, text, "")
    return _read(asked, pc) if asked.files or "this_pc" in asked.form else go(f"/pc/{pc.name}")


def _read(asked: Asked, pc: PcFiles) -> Response:
    """Dumps, and this machine where it is asked for, on their way into the survey."""
    job = asked.desk.warm.dumps(
        pc,
        asked.files,
        take=asked.several.get("take", []),
        keep="keep" in asked.form,
        this_pc="this_pc" in asked.form and asked.desk.allow_this_pc,
    )
    return go(f"/pc/{quote(pc.name, safe='')}?work={job.id}")


def read_dumps(asked: Asked) -> Response:
    """Dumps into a PC that is there."""
    if not asked.files and "this_pc" not in asked.form:
        raise refuse(words.FILES_NAME, words.NO_FILES)
    return _read(asked, asked.pc)


def pc_view(asked: Asked) -> Response:
    """This PC: the case with what is known in it, and every fact with where it comes from."""
    pc, pool = asked.pc, asked.desk.warm.pool
    job = pool.find(asked.query.get("work", ""))
    read = job is not None and (job.task.kind, job.task.name) == ("dumps", pc.name)
    said = pool.result(job) if job is not None and read else ()
    text = read_text(pc.survey)
    survey, _ = load_survey(pc.survey)
    return asked.show(
        "pc.html",
        title=survey.pc.name or pc.name,
        drawing=case_svg(survey_parts(survey)),
        groups=facts(text),
        said=said,
        this_pc=asked.desk.allow_this_pc,
        state=words.STATES[pc.state()],
        has_parts=asked.desk.warm.catalog_folder is not None,
    )


def change_fact(asked: Asked) -> Response:
    """One fact edited in place, where it still is as it was shown."""
    pc, path, answer = asked.pc, asked.form.get("path", ""), asked.form.get("answer", "").strip()
    question = question_of(path)
    if question is None:
        raise refuse(path or "path", words.NO_SUCH_FACT)
    with asked.desk.warm.lock(pc.name):
        text = pc.survey_text()
        present = Interview(tomllib.loads(text)).given_value(path)
        if present is None or answer_of(question, present) != asked.form.get("was", ""):
            raise stale()
        _write_answers(pc, text, {path: answer}, question)
    return go(asked.address() + f"#{path}")


def _write_answers(pc: PcFiles, text: str, answers: dict[str, str], question: Question) -> None:
    try:
        changed = with_answers(text, answers, str(pc.survey))
    except InputRefused:
        raise
    except ValueError:
        kind = question.kind.partition(" ")[0]
        raise refuse(
            question.path, words.UNREADABLE, next(iter(answers.values())), talk_words.EXPECTED[kind]
        ) from None
    if changed != text:
        write_text(pc.survey, changed, text)


# -- one question ------------------------------------------------------------------------------------------------------


def ask(asked: Asked, refused: str = "") -> Response:
    """The next question, or the one of the address."""
    pc = asked.pc
    everything = "all" in asked.query or "all" in asked.form
    at = asked.form.get("path") or asked.query.get("at")
    text = pc.survey_text()
    chosen = choose_question(asked.desk, pc, text, everything) if at is None else question_at(pc, text, at)
    if chosen is None:
        return asked.show("asked.html", left=len(kept_answers(pc)), everything=everything)
    question, path, present = chosen.question, chosen.path, chosen.present
    inside = question.section == "inside"
    warned = asked.query.get("warned") or asked.form.get("warned")
    if inside and not warned and not _opened(pc, text):
        return asked.show(
            "opening.html",
            cautions=[CAUTIONS[name] for name in talk_words.BEFORE_OPENING],
            path=path,
            everything=everything,
        )
    said = talk_words.question_words(question)
    kind = question.kind.partition(" ")[0]
    drawing = DRAWINGS.get(question.path)
    worth = worth_words(asked.desk, pc, path)
    return asked.show(
        "ask.html",
        path=path,
        name=chosen.name,
        text=said.text,
        how=said.how,
        kind=kind,
        choices=[(str(choice), choice_label(question, choice)) for choice in question.choices],
        units=words.UNITS.get(kind, ()),
        expected=talk_words.EXPECTED[kind],
        present=present,
        seen=chosen.seen,
        suggested=chosen.suggested,
        drawing=None if drawing is None else line_drawing_svg(drawing, said.text),
        worth=worth,
        weighing=asked.desk.warm.weighing(pc)
        if worth in (words.WORTH_COMPUTED, words.WORTH_STOPPED)
        else None,
        everything=everything,
        before=asked.query.get("from", ""),
        refused=refused,
    )


def choice_label(question: Question, choice: Any) -> str:
    """What a button or box of a choice says."""
    label = talk_words.label(question, choice)
    return link_name(label) if question.kind == "several" and label == str(choice) else label


def _opened(pc: PcFiles, text: str) -> bool:
    """Whether something inside was answered already: the cautions were read before that."""
    session = Interview(tomllib.loads(text), pc.pending())
    return any(
        path in session.answers or session.given_value(path) is not None
        for path, question in session.plan(everything=True)
        if question.section == "inside" and path in session.answers
    )


def answer_question(asked: Asked) -> Response:
    """An answer into the survey, "don't know" and unfinished lists into the answers file: at once, on the
    disk."""
    pc, path = asked.pc, asked.form.get("path", "")
    question = question_of(path)
    if question is None:
        raise refuse(path or "path", words.NO_SUCH_FACT)
    answer = _given_answer(asked, question)
    with asked.desk.warm.lock(pc.name):
        text = pc.survey_text()
        pending = pc.pending()
        before = question_at(pc, text, path)
        if before is not None and (before.present or "") != asked.form.get("was", ""):
            raise stale()
        if answer != DONT_KNOW:
            try:
                read_answer(question, answer)
            except ValueError:
                kind = question.kind.partition(" ")[0]
                return ask(asked, words.NOT_READ.format(text=answer, expected=talk_words.EXPECTED[kind]))
        _keep(pc, text, pending, path, answer, question)
    more = "&all=1" if "all" in asked.form else ""
    return go(asked.address("ask") + f"?from={path}&warned=1{more}")


def _given_answer(asked: Asked, question: Question) -> str:
    """What was entered, as one text: a choice, several ones, or a number with its unit."""
    if "dont_know" in asked.form:
        return DONT_KNOW
    if question.kind == "several":
        return " ".join(value for value in asked.several.get("answer", []) if value) or "none"
    chosen = asked.form.get("answer", "").strip()
    text = asked.form.get("other", "").strip() if chosen == "other" and "other" in asked.form else chosen
    unit = asked.form.get("unit", "")
    plain = re.fullmatch(r"[0-9.,]+(?:\s+[0-9]+\s*/\s*[0-9]+)?", text) is not None
    return f"{text} {unit}" if unit and plain else text


def _keep(
    pc: PcFiles, text: str, pending: dict[str, str], path: str, answer: str, question: Question
) -> None:
    now = {**pending, path: answer}
    if answer == DONT_KNOW:
        save_answers(pc.answers, now, talk_words.ANSWERS_HEADING)
        return
    said = {key: value for key, value in now.items() if value != DONT_KNOW}
    if _unfinished(now, tomllib.loads(text)):
        save_answers(pc.answers, now, talk_words.ANSWERS_HEADING)
        return
    _write_answers(pc, text, said, question)
    left = {key: value for key, value in now.items() if value == DONT_KNOW and key != path}
    if left:
        save_answers(pc.answers, left, talk_words.ANSWERS_HEADING)
    else:
        pc.answers.unlink(missing_ok=True)


def _unfinished(answers: dict[str, str], given: dict[str, Any]) -> bool:
    """Whether cards are counted and their kinds are not told yet: written down now, each would be of some
    other kind."""
    if given.get("card") or answers.get("card", DONT_KNOW) in (DONT_KNOW, "0", "none"):
        return False
    return any(f"card[{row}].kind" not in answers for row in range(int(answers["card"])))


# -- what is wanted ----------------------------------------------------------------------------------------------------


def wishes(asked: Asked) -> Response:
    """One sentence to complete."""
    pc = asked.pc
    text = read_text(pc.survey)
    _, brief = load_survey(pc.survey)
    return asked.show(
        "wishes.html",
        brief=brief,
        uses=[(name, use.title.lower()) for name, use in USES.items()],
        keeps=words.KEEPS,
        was=digest_of(text),
    )


def save_wishes(asked: Asked) -> Response:
    """The sentence into the survey's brief."""
    pc, form = asked.pc, asked.form
    replaced = tuple(part for part in words.KEEPS if part not in asked.several.get("keep", ()))
    use = form.get("use", "")
    if use not in USES:
        raise refuse("use", words.NO_SUCH_FACT, use, ", ".join(USES))
    wanted: dict[str, Any] = {
        "budget": plain_number(form.get("budget", "").strip()) or None,
        "use": use,
        "need_by": date_wished(form.get("need_by", "")),
        "replace": replaced or None,
        "goal": "cost" if form.get("goal") == "cost" else None,
        "min_speedup": plain_number(form.get("min_speedup", "").strip()) or None,
        "open_at_once": form.get("open_at_once") or None,
    }
    change_wishes(asked, pc, wanted, form.get("was", ""))
    return go(asked.address("answers"))


def change_wishes(asked: Asked, pc: PcFiles, wanted: dict[str, Any], was: str | None = None) -> None:
    """Write wishes into the survey; ``was``: digest of the text that they were chosen against."""
    with asked.desk.warm.lock(pc.name):
        text = pc.survey_text()
        if was is not None and was != digest_of(text):
            raise stale()
        changed = with_wishes(text, wanted, str(pc.survey))
        if changed != text:
            write_text(pc.survey, changed, text)


def date_wished(text: str) -> datetime.date | None:
    if not text.strip():
        return None
    from partsolver.base.values import date_of

    try:
        return date_of(text)
    except ValueError as error:
        raise refuse("by", words.UNREADABLE, text, str(error)) from None


def digest_of(text: str) -> str:
    """Which text a form was made of: 16 digits of its SHA-256."""
    import hashlib

    return hashlib.sha256(text.encode()).hexdigest()[:16]
