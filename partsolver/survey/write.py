"""The survey file as text that people read and edit: new, or an existing one brought up to date.

Layout: known values carry where they come from and a mark that tells a later import whether a person changed
them; open keys stand as comments beginning with ``#?`` above them what the files say. Comments and values of
a person stay.
"""

from __future__ import annotations

import re
import tomllib
import types
import typing
import zlib
from collections.abc import Sequence
from dataclasses import fields
from decimal import Decimal
from functools import cache
from typing import Any

import tomlkit
from pydantic import BaseModel

from partsolver.base.errors import InternalFault, PartsolverError
from partsolver.base.records import record
from partsolver.catalog.dictionary import columns
from partsolver.survey.facts import Clash, Merged, Question, clean
from partsolver.survey.hints import HOW, MEANINGS
from partsolver.survey.load import LISTS, MODELS, RECORDS, parse_survey
from partsolver.wishes.brief import Brief

PLAIN = ("pc", "case", "psu", "board", "cpu", "cooler", "os")
ROWS = ("memory", "drive", "card", "display", "device")
# Origin of what a person said in the interview: such values carry no mark, so that a later import keeps them.
PERSON = "the interview"
_LEFT_OUT = frozenset({"id", "source", "mass_g"})
_HEAD = """\
# Survey of one PC. Correct and complete it by hand, then run `partsolver recommend` on it.
# A line that begins with "#?" is an open question: remove "#? " and write the value ("unknown" is allowed and never wrong).
# What stands there already is only a possibility that the files suggest. Lines with ">" say what was seen and where.
# "from FILE:LINE (mark)" behind a value says where it was read. Change values freely: the mark tells a later import that
# you did, and it keeps yours. Serial numbers, addresses and names of people or hosts are never taken over.
"""


@record
class Updated:
    """New text of a survey file, and the clashes in which a person's value was kept."""

    text: str
    clashes: tuple[Clash, ...] = ()


@cache
def described(table: str) -> dict[str, tuple[str, str]]:
    """Keys of a table in order: key -> (meaning, what is expected)."""
    if table in RECORDS:
        record, name, _ = RECORDS[table]
        known = columns()[name]
        keys = [f.name for f in fields(record) if f.name in known and f.name not in _LEFT_OUT]
        pairs = {key: (known[key].meaning, _toml_words(known[key].expected)) for key in keys}
    else:
        model = row_model(table)
        pairs = {
            key: (info.description or "", _expected(info.annotation))
            for key, info in model.model_fields.items()
        }
    return {key: (_meaning(table, key, meaning), expected) for key, (meaning, expected) in pairs.items()}


def row_model(table: str) -> type[BaseModel]:
    return Brief if table == "brief" else MODELS.get(table) or LISTS[table]


def _meaning(table: str, key: str, meaning: str) -> str:
    how = HOW.get((table, key))
    meaning = MEANINGS.get((table, key), meaning)
    return f"{meaning}. Find it: {how}" if how else meaning


def _toml_words(expected: str) -> str:
    expected = expected.replace("a whole number without sign, blanks or separators", "a whole number")
    return "true or false" if expected == "yes or no" else expected


def _expected(annotation: Any) -> str:
    """What a pydantic field takes, in words."""
    origin = typing.get_origin(annotation)
    parts = [part for part in typing.get_args(annotation) if part is not type(None)]
    if origin in (typing.Union, types.UnionType):
        return " or ".join(_expected(part) for part in parts)
    if origin is typing.Literal:
        return "one of " + ", ".join(str(part) for part in parts)
    if origin is tuple:
        return "a list"
    return {bool: "true or false", int: "a whole number", str: "text"}.get(annotation, "a value")


def render(merged: Merged, sources: Sequence[str] = ()) -> str:
    """Text of a new survey file. ``sources`` are the names of the files it was made from."""
    blocks = [_HEAD + "".join(f"# Made from {clean(name, 90)}\n" for name in sources)]
    blocks += [f"# Remark: {clean(text, 200)}\n" for text in merged.remarks]
    blocks += _none_block(merged)
    blocks += [_table(table, merged) for table in PLAIN]
    for table in ROWS:
        rows = merged.survey.get(table, [])
        if table in merged.survey and not rows:
            continue
        blocks += [_row(table, index, row, merged) for index, row in enumerate(rows)]
        general = [q for q in merged.questions if q.path == table]
        if not rows or general:
            blocks.append(_hint(table, general))
    blocks.append(brief_block(merged))
    text = "\n".join(blocks)
    _prove(text, "the new survey")
    return text


def value_text(value: Any) -> str:
    """A value as TOML."""
    return str(tomlkit.item(value).as_string())


def mark(value: Any) -> str:
    """Short mark of an imported value, to see later whether a person changed it."""
    plain = value.unwrap() if hasattr(value, "unwrap") else value
    return f"{zlib.crc32(repr(plain).encode()) & 0xFFFF:04x}"


def origin_comment(value: Any, where: str) -> str:
    """The comment behind a value: where it was read, with the mark; or that a person said it."""
    if where == PERSON:
        return "answered in the interview"
    return f"from {clean(where, 90)} ({mark(value)})"


def known_lines(table: str, key: str, value: Any, where: str) -> list[str]:
    """Comment and line of a known value."""
    meaning, expected = described(table).get(key, ("", ""))
    return [f"# {_note(meaning, expected)}", f"{key} = {value_text(value)}  # {origin_comment(value, where)}"]


def open_lines(table: str, key: str, question: Question | None) -> list[str]:
    """Lines of an open key: with evidence in full, without in one line."""
    meaning, expected = described(table).get(key, ("", ""))
    note = _note(meaning, expected)
    if question is None and _presumed(table, key):
        return [
            f"#? {key} = true  # {_note(meaning + '; taken as true until somebody says otherwise', expected)}"
        ]
    if question is None:
        return [f'#? {key} = "unknown"  # {note}']
    shown = value_text(question.suggested) if question.suggested is not None else '"unknown"'
    return [
        f"# {note}",
        *(f"#   > {clean(said, 200)}" for said in question.evidence if said),
        f"#? {key} = {shown}",
    ]


def _presumed(table: str, key: str) -> bool:
    return table == "pc" and row_model("pc").model_fields[key].default is True


def _note(meaning: str, expected: str) -> str:
    return clean(f"{meaning} ({expected})" if expected else meaning, 300)


def _table(table: str, merged: Merged) -> str:
    return _section(f"[{table}]", table, table, merged.survey.get(table, {}), merged)


def _row(table: str, index: int, row: dict[str, Any], merged: Merged) -> str:
    return _section(f"[[{table}]]", table, f"{table}[{index}]", row, merged)


def _section(head: str, table: str, prefix: str, values: dict[str, Any], merged: Merged) -> str:
    questions = {
        q.path.rpartition(".")[2]: q for q in merged.questions if q.path.rpartition(".")[0] == prefix
    }
    lines = [head]
    keys = list(described(table))
    for key in keys:
        if key in values:
            lines += known_lines(table, key, values[key], merged.origin.get(f"{prefix}.{key}", "an import"))
    for key in keys:
        if key not in values and key in questions:
            lines += open_lines(table, key, questions[key])
    for key in keys:
        if key not in values and key not in questions and not _settled(table, key, values):
            lines += open_lines(table, key, None)
    return "\n".join(lines) + "\n"


_NOT_ASKED = {
    "cpu": frozenset({"score_origin", "score_error_percent", "score_scale", "boxed_cooler"}),
    "board": frozenset({"shield", "maker"}),
    "case": frozenset({"maker"}),
    "psu": frozenset({"maker"}),
}
_MODULE_KEYS = frozenset({"pcie_gen", "pcie_lanes", "m2_key", "m2_length_mm"})
_SYSTEM_KEYS = frozenset({"partition_table", "start_mode", "storage_mode", "encrypted"})


def _settled(table: str, key: str, values: dict[str, Any]) -> bool:
    """Keys that need not be listed as open: their default says what almost every PC is, or they cannot
    apply."""
    if table in RECORDS:
        return key in _NOT_ASKED.get(table, ())
    if table == "drive":
        if values.get("kind") == "optical" and key not in ("interface", "power_plug"):
            return True
        if key in _MODULE_KEYS and values.get("interface") in ("sata", "pata"):
            return True
        if key in _SYSTEM_KEYS and not values.get("system"):
            return True
    if _presumed(table, key):
        return False
    info = row_model(table).model_fields[key]
    return not info.is_required() and info.default is not None


# Examples of the [brief], most wanted first: they are wishes, so that leaving them out is no open question.
_WISHES: tuple[tuple[str, Any], ...] = (
    ("budget", "150.00"),
    ("use", "office"),
    ("goal", "speed"),
    ("min_speedup", "1.3"),
    ("min_memory_gb", 8),
    ("replace", ["psu"]),
    ("without", ["a-part-id"]),
)


def brief_block(merged: Merged) -> str:
    """The [brief] of a new file: wishes that are known, examples of the others as comments."""
    values = merged.survey.get("brief", {})
    lines = [
        (
            "# What the owner wants. `partsolver recommend` runs without it; options of the command line go"
            " first."
        ),
        "[brief]",
    ]
    for key, value in values.items():
        lines += known_lines("brief", key, value, merged.origin.get(f"brief.{key}", "an import"))
    for key, example in _WISHES:
        if key not in values:
            lines.append(f"#? {key} = {value_text(example)}  # {described('brief')[key][0]}")
    return "\n".join(lines) + "\n"


def none_line(table: str, said: bool) -> str:
    """The line that says there is nothing of a list; TOML wants it above the first table."""
    return (
        f"{table} = []  # {origin_comment([], PERSON)}: there is none"
        if said
        else f"#? {table} = []  # if there is none"
    )


def _none_block(merged: Merged) -> list[str]:
    """Lists that are empty, or of which nothing is known: an absent list is an open question, an empty one an
    answer."""
    lines = [none_line(table, table in merged.survey) for table in ROWS if not merged.survey.get(table)]
    return (
        [
            "# Lists of which nothing is known yet: add entries further below, or say here that there is"
            " none.\n" + "\n".join(lines) + "\n"
        ]
        if lines
        else []
    )


def _hint(table: str, questions: Sequence[Question]) -> str:
    lines = [f"#   > {clean(said, 200)}" for question in questions for said in question.evidence]
    keys = ", ".join(key for key in described(table))
    return (
        "\n".join(
            [f"# Open: the {table} list. Each entry is a table [[{table}]] with the keys {keys}", *lines]
        )
        + "\n"
    )


def _prove(text: str, where: str) -> None:
    """The text must load: a survey that was written can always be read."""
    try:
        parse_survey(tomllib.loads(text, parse_float=Decimal), where)
    except (tomllib.TOMLDecodeError, PartsolverError) as error:
        raise InternalFault(f"{where} does not load: {error}") from error


# The origin comment of a line: "# from FILE:LINE (mark)", perhaps with more behind it.
ORIGIN = re.compile(r"#\s*from .*\(([0-9a-f]{4})\)")
