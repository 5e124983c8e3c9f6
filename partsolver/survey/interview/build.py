"""Answers made into the survey file: a new one, or an existing one with its open keys filled."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from partsolver.base.documents import parse_toml
from partsolver.survey.draft import unique
from partsolver.survey.facts import Merged
from partsolver.survey.interview.kinds import DONT_KNOW, answer_text, read_answer
from partsolver.survey.interview.questions import BY_PATH, OF_SYSTEM, ROW_TABLES
from partsolver.survey.interview.session import Interview
from partsolver.survey.load import parse_survey
from partsolver.survey.update import update
from partsolver.survey.write import PERSON, Updated, render

_NAMED = ("drive", "card", "display", "device")


def parsed(text: str, where: str) -> dict[str, Any]:
    """A survey's text as plain values, to ask for what is open. Raises InputRefused when it is no survey."""
    data = parse_toml(text, where, "Correct it, or choose another file")
    parse_survey({"case": {}, "psu": {}, **data}, where)
    return data


def evidence(text: str) -> dict[str, tuple[str, ...]]:
    """What the comments of a survey say about its open keys: the lines with ">" above a "#?" line, by
    path."""
    return {path: said for path, _, said in _seen_keys(text)}


def suggestions(text: str) -> dict[str, str]:
    """What was seen of open keys, as an answer to their questions, by path: the value of a "#?" line with
    evidence above it."""
    found: dict[str, str] = {}
    for path, line, _ in _seen_keys(text):
        owner, _, key = path.rpartition(".")
        question = BY_PATH.get(f"{owner.partition('[')[0]}.{key}")
        if question is None:
            continue
        value = next(iter(parse_toml(line, f"the open key {path}").values()))
        answer = None if value == "unknown" else answer_text(question, value)
        if answer is not None:
            found[path] = answer
    return found


def _seen_keys(text: str) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """Each "#?" line that has lines with ">" above it: the path, the line without its mark, what they say."""
    owner, rows = "", dict.fromkeys(ROW_TABLES, -1)
    said: list[str] = []
    for line in text.splitlines():
        if head := re.match(r"\s*\[{1,2}\s*([a-z]+)\s*\]{1,2}", line):
            owner = head[1]
            if owner in rows:
                rows[owner] += 1
                owner = f"{owner}[{rows[owner]}]"
            said = []
        elif line.startswith("#   > "):
            said.append(line[6:])
        else:
            key = re.match(r"#\?\s*([a-z0-9_]+)\s*=", line)
            if key and said:
                yield f"{owner}.{key[1]}", line.removeprefix("#?"), tuple(said)
            said = []


def merged_answers(interview: Interview) -> Merged:
    """All answers that apply, in the shape of a survey. Rows that are in the file already keep their known
    facts."""
    survey: dict[str, Any] = {}
    origin: dict[str, str] = {}
    rows: dict[str, list[dict[str, Any]]] = {table: _given_rows(interview, table) for table in ROW_TABLES}
    for path, value in _answered(interview):
        owner, _, key = path.rpartition(".")
        table, _, index = owner.partition("[")
        if index:
            rows[table][int(index[:-1])][key] = value
        elif table:
            survey.setdefault(table, {})[key] = value
        if owner:
            origin[path] = PERSON
    for table in ROW_TABLES:
        names: list[str] = []
        for number, row in enumerate(rows[table]):
            # Who says how the system starts from a drive says that it is there.
            if "system" not in row and any(
                origin.get(f"{table}[{number}].{key}") == PERSON for key in OF_SYSTEM
            ):
                row["system"], origin[f"{table}[{number}].system"] = True, PERSON
            asked = origin.get(f"{table}[{number}].kind") == PERSON and table == "drive"
            if interview.short and asked and _is_only_disk(row, rows[table]):
                # the only disk, which the short interview asks about: the system starts from it (common
                # practice)
                row["system"], origin[f"{table}[{number}].system"] = True, PERSON
            if table in _NAMED:
                row["name"] = unique(str(row.get("name", f"{table} {number + 1}")), names)
                names.append(row["name"])
                origin.setdefault(f"{table}[{number}].name", PERSON)
            if table == "card":
                row.setdefault("kind", "other")
                origin.setdefault(f"card[{number}].kind", PERSON)
        if rows[table] or interview.none(table):
            survey[table] = rows[table]
            origin.setdefault(table, PERSON)
    return Merged(survey, origin)


def _is_only_disk(row: dict[str, Any], rows: list[dict[str, Any]]) -> bool:
    disks = [other for other in rows if other.get("kind") in ("ssd", "hdd35", "hdd25")]
    return disks == [row] and all("kind" in other and "system" not in other for other in rows)


def _given_rows(interview: Interview, table: str) -> list[dict[str, Any]]:
    given = interview.given.get(table) or []
    known = [{key: value for key, value in row.items() if value != "unknown"} for row in given]
    return known or [{} for _ in range(interview.rows(table))]


def _answered(interview: Interview) -> Iterator[tuple[str, Any]]:
    for path, question in interview.plan(everything=True):
        raw = interview.answers.get(path)
        if raw is None or raw == DONT_KNOW or not question.key:
            continue
        value = read_answer(question, raw)
        if value is not None:
            yield path, value


def survey_text(interview: Interview, present: str | None, where: str) -> Updated:
    """Text of the survey: ``present`` with its open keys filled, or a new one. ``where`` names the file in
    messages."""
    merged = merged_answers(interview)
    if present is None:
        return Updated(render(merged))
    return update(present, merged, where, frozenset(merged.origin))


def unused(interview: Interview) -> tuple[str, ...]:
    """Answers that belong to no question that applies, in file order."""
    plan = {path for path, _ in interview.plan(everything=True)}
    return tuple(path for path in interview.answers if path not in plan)
