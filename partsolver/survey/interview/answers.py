"""The answers file: what a person answered, as typed, by path. An interview that was left goes on from it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import tomlkit

from partsolver.base.documents import parse_toml
from partsolver.base.errors import Fault, InputRefused, nearest
from partsolver.base.textfile import read_text, write_text
from partsolver.survey.interview.kinds import DONT_KNOW, read_answer
from partsolver.survey.interview.questions import BY_PATH, ROW_TABLES

_ROW = re.compile(r"([a-z]+)\[(\d{1,2})\]\.([a-z0-9_]+)")


def progress_path(out: Path) -> Path:
    """Where the answers of an interview stand until its survey is written: ``survey.answers.toml``."""
    return out.with_name(f"{out.stem}.answers.toml")


def save_answers(path: Path, answers: Mapping[str, str], heading: str) -> None:
    """Write all answers whole. ``heading`` is a comment for readers."""
    lines = [
        f"# {heading}",
        *(f'"{key}" = {tomlkit.item(text).as_string()}' for key, text in answers.items()),
    ]
    write_text(path, "\n".join(lines) + "\n")


def load_answers(path: Path) -> dict[str, str]:
    """Answers by path in file order. Keys stand as "psu.main_plug" = "24" or in tables as in a survey; "?" or
    "unknown" is "don't know". Raises InputRefused with every fault."""
    data = parse_toml(read_text(path), str(path), 'Lines look like "psu.main_plug" = "24"')
    answers: dict[str, str] = {}
    faults: list[Fault] = []
    for key, value in _flat(data, ""):
        question = BY_PATH.get(_question_path(key))
        if question is None or (question.table in ROW_TABLES and bool(question.key) != ("[" in key)):
            faults.append(
                Fault(f"{path} {key}", "no such question", None, None, nearest(_question_path(key), BY_PATH))
            )
            continue
        raw = _raw(value)
        if answers.get(key, raw) != raw:
            # Once as "psu.rated_w" and once in a table.
            faults.append(Fault(f"{path} {key}", "has two answers", f"{answers[key]}, {raw}", "one of them"))
            continue
        if raw != DONT_KNOW:
            try:
                read_answer(question, raw)
            except ValueError:
                faults.append(
                    Fault(
                        f"{path} {key}",
                        "the answer cannot be read",
                        raw,
                        _expected(question.choices, question.kind),
                    )
                )
                continue
        answers[key] = raw
    if faults:
        raise InputRefused(faults)
    return answers


def _expected(choices: tuple[Any, ...], kind: str) -> str:
    return (
        "one of " + ", ".join(str(choice) for choice in choices)
        if choices
        else f"an answer of the kind {kind.partition(' ')[0]}"
    )


def _flat(data: Mapping[str, Any], prefix: str) -> Iterator[tuple[str, Any]]:
    for key, value in data.items():
        if isinstance(value, dict):
            yield from _flat(value, f"{prefix}{key}.")
        elif isinstance(value, list) and value and all(isinstance(row, dict) for row in value):
            for number, row in enumerate(value):
                yield from _flat(row, f"{prefix}{key}[{number}].")
        else:
            yield f"{prefix}{key}", value


def _question_path(key: str) -> str:
    match = _ROW.fullmatch(key)
    return f"{match[1]}.{match[3]}" if match else key


def _raw(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return " ".join(str(item) for item in value) or "none"
    text = str(value).strip()
    return DONT_KNOW if text.lower() in (DONT_KNOW, "unknown", "don't know") else text
