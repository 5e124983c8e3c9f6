"""Change single facts and wishes of a survey file, everything else in it left as it is."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

import tomlkit
from tomlkit.items import Table

from partsolver.base.errors import refuse
from partsolver.base.quantities import given_amount
from partsolver.survey.interview.build import survey_text
from partsolver.survey.interview.kinds import DONT_KNOW, read_answer
from partsolver.survey.interview.questions import BY_PATH, ROW_TABLES, Question
from partsolver.survey.interview.session import Interview
from partsolver.survey.load import parse_survey
from partsolver.survey.write import PERSON, origin_comment

MOST_PLACES = 9
_PATH = re.compile(r"([a-z]+)(?:\[(\d{1,2})\])?\.([a-z0-9_]+)")


def question_of(path: str) -> Question | None:
    """The question that asks for a fact (``drive[0].kind``), None where there is none."""
    match = _PATH.fullmatch(path)
    if match is None:
        return BY_PATH.get(path) if path in ROW_TABLES else None
    return (
        BY_PATH.get(f"{match[1]}.{match[3]}") if (match[2] is not None) == (match[1] in ROW_TABLES) else None
    )


def with_answers(text: str, answers: Mapping[str, str], where: str) -> str:
    """The survey with answers of the interview in it: open keys are filled, values that are there are
    replaced. Raises InputRefused when the file is no survey, ValueError when an answer cannot be read."""
    given = tomllib.loads(text)
    session = Interview(given, answers)
    known = [path for path in answers if "." in path and session.given_value(path) is not None]
    for path in known:
        question = question_of(path)
        if question is not None and answers[path] != DONT_KNOW:
            text = with_value(text, path, read_answer(question, answers[path]))
    rest = {path: answer for path, answer in answers.items() if path not in known}
    if rest:
        text = survey_text(Interview(tomllib.loads(text), rest), text, where).text
    parse_survey(tomllib.loads(text, parse_float=Decimal), where)
    return text


def with_value(text: str, path: str, value: Any) -> str:
    """The survey with one value that is in it replaced; who answered stands behind it."""
    match = _PATH.fullmatch(path)
    document = tomlkit.parse(text)
    if match is None or match[1] not in document:
        raise refuse(path, "no such fact in this survey")
    table: Any = document[match[1]]
    if match[2] is not None:
        if int(match[2]) >= len(table):
            raise refuse(path, "no such fact in this survey")
        table = table[int(match[2])]
    _put(table, match[3], value)
    return tomlkit.dumps(document)


def with_wishes(text: str, wishes: Mapping[str, Any], where: str) -> str:
    """The survey with wishes of its brief set, or taken out where the value is None. Raises InputRefused."""
    if wishes.get("budget") is not None:
        # How many places the currency has is told when the catalogue is read.
        given_amount("budget", wishes["budget"], MOST_PLACES)
    document = tomlkit.parse(text)
    if "brief" not in document:
        document["brief"] = tomlkit.table()
    table: Any = document["brief"]
    for key, value in wishes.items():
        if value is None:
            table.pop(key, None)
        elif table.get(key) != value:
            _put(table, key, value)
    changed = tomlkit.dumps(document)
    parse_survey(tomllib.loads(changed, parse_float=Decimal), where)
    return changed


def _put(table: Table, key: str, value: Any) -> None:
    item = tomlkit.item(list(value) if isinstance(value, tuple) else value)
    item.comment(origin_comment(value, PERSON))
    table[key] = item
