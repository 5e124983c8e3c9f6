"""An existing survey file brought up to date: imported values are replaced, a person's values and comments
stay.

Values change through tomlkit, which keeps comments and layout; new keys are put in the place of their ``#?``
line. The result must hold exactly the values intended, or nothing is changed.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Table

from partsolver.base.documents import parse_toml
from partsolver.base.errors import refuse
from partsolver.survey.draft import IDENTITY, same
from partsolver.survey.facts import MEASURED_NAME, Clash, Merged, Question
from partsolver.survey.load import parse_survey
from partsolver.survey.write import (
    ORIGIN,
    PERSON,
    PLAIN,
    ROWS,
    Updated,
    _prove,
    _row,
    _table,
    brief_block,
    known_lines,
    mark,
    none_line,
    open_lines,
    origin_comment,
)

_HEAD = re.compile(r"\s*(\[{1,2})\s*([^\[\]#]+?)\s*\]{1,2}\s*(#.*)?$")


@dataclass
class _Work:
    """What is to be done to the text once the values in place are changed."""

    merged: Merged
    take: frozenset[str]
    where: str
    clashes: list[Clash] = field(default_factory=list)
    # (table, row or None, key) -> value and origin of keys that are new
    added: dict[tuple[str, int | None, str], tuple[Any, str]] = field(default_factory=dict)
    open: dict[tuple[str, int | None, str], Question] = field(default_factory=dict)
    appended: list[str] = field(default_factory=list)
    none: list[str] = field(default_factory=list)  # lists of which there is nothing
    expected: dict[str, Any] = field(default_factory=dict)


def update(text: str, merged: Merged, where: str, take: frozenset[str] = frozenset()) -> Updated:
    """The text with what is new. ``where`` names the file in messages; ``take`` lists paths whose clash goes
    to the import.

    Raises InputRefused when the text is no survey, or when it is laid out so that it cannot be edited safely.
    """
    before = parse_toml(text, where, "Correct it, or choose another file with --out")
    try:
        document = tomlkit.parse(text)
    except TOMLKitError as error:
        raise refuse(
            where, f"not valid TOML: {error}", hint="Correct it, or choose another file with --out"
        ) from None
    parse_survey({"case": {}, "psu": {}, **before}, where)
    work = _Work(merged, take, where, clashes=list(merged.clashes), expected=tomlkit.parse(text).unwrap())
    for table in PLAIN:
        values = merged.survey.get(table, {})
        if table not in document:
            if values or table in ("case", "psu"):
                work.appended.append(_table(table, merged))
                work.expected[table] = dict(values)
            continue
        _values(document[table], work.expected[table], (table, None), values, table, work)
    for table in ROWS:
        _rows(document, table, work)
    wishes = merged.survey.get("brief", {})
    if "brief" in document:
        _values(document["brief"], work.expected["brief"], ("brief", None), wishes, "brief", work)
    elif wishes:
        work.appended.append(brief_block(merged))
        work.expected["brief"] = dict(wishes)
    result = _insert_none(_insert(document.as_string(), work), work)
    for block in work.appended:
        result = result.rstrip("\n") + "\n\n" + block
    _check(result, work)
    return Updated(result, tuple(work.clashes))


def _values(
    target: Any,
    expected: dict[str, Any],
    at: tuple[str, int | None],
    values: dict[str, Any],
    prefix: str,
    work: _Work,
) -> None:
    for key, value in values.items():
        path = f"{prefix}.{key}"
        origin = work.merged.origin.get(path, "an import")
        if key not in target:
            work.added[(*at, key)] = (value, origin)
            expected[key] = value
            continue
        present = _plain(target[key])
        if present == value and isinstance(present, bool) == isinstance(value, bool):
            continue
        imported = _is_imported(target, key)
        if same(path, present, value) and (not imported or len(str(present)) > len(str(value))):
            continue  # the same name, cut or spelled in another way
        other_pc = (
            path in IDENTITY and present != "unknown"
        )  # another board or processor: perhaps another PC's file
        if (other_pc or (present != "unknown" and not imported)) and path not in work.take:
            work.clashes.append(Clash(path, ((present, work.where), (value, origin))))
            continue
        target[key] = _item(value, origin)
        expected[key] = value
    for question in work.merged.questions:
        owner, _, key = question.path.rpartition(".")
        if owner == prefix and key not in target:
            work.open[(*at, key)] = question


def _item(value: Any, origin: str) -> Any:
    item = tomlkit.item(value)
    item.trivia.comment_ws = "  "
    item.trivia.comment = f"# {origin_comment(value, origin)}"
    return item


def _is_imported(target: Any, key: str) -> bool:
    """Whether a value is still the one that an import wrote. (Reading a bool from tomlkit drops its
    comment.)"""
    container = target.value if isinstance(target, Table) else target
    item: Any = container.item(key) if hasattr(container, "item") else None
    found = ORIGIN.search(item.trivia.comment) if item is not None else None
    return found is not None and found[1] == mark(_plain(target[key]))


def _plain(value: Any) -> Any:
    return value.unwrap() if hasattr(value, "unwrap") else value


def _rows(document: tomlkit.TOMLDocument, table: str, work: _Work) -> None:
    new: list[dict[str, Any]] = work.merged.survey.get(table, [])
    rows = document.get(table)
    if not new:
        if table in work.merged.survey and rows is None:
            work.none.append(table)
            work.expected[table] = []
        return
    if rows is not None and not isinstance(rows, AoT) and not _plain(rows) and table in work.take:
        document.remove(table)  # a person said there is none, and now says there are some
        rows = None
    if rows is None:
        work.appended += [_row(table, index, row, work.merged) for index, row in enumerate(new)]
        work.expected[table] = [dict(row) for row in new]
        return
    if not isinstance(rows, AoT):
        work.clashes.append(
            Clash(table, (("the list in the file", work.where), (f"{len(new)} entries", "the import")))
        )
        return
    if table == "memory":
        _memory(rows, new, work)
        return
    if table == "drive":
        new = _one_system(rows, new, work)
    used: set[int] = set()
    for index, row in enumerate(new):
        match = _named_alike(rows, row, used)
        if (
            match is None and row["name"] == MEASURED_NAME
        ):  # a measurement knows the system drive without its name
            match = next(
                (i for i, old in enumerate(rows) if i not in used and _plain(old.get("system"))), None
            )
            row = row if match is None else {**row, "name": _plain(rows[match].get("name"))}
        if match is None:
            work.appended.append(_row(table, index, row, work.merged))
            work.expected[table].append(dict(row))
        else:
            used.add(match)
            _values(rows[match], work.expected[table][match], (table, match), row, f"{table}[{index}]", work)


def _named_alike(rows: AoT, row: Mapping[str, Any], used: Collection[int] = ()) -> int | None:
    """The row of the file with the name of an imported one."""
    return next(
        (
            i
            for i, old in enumerate(rows)
            if i not in used and same("x.name", _plain(old.get("name")), row["name"])
        ),
        None,
    )


def _one_system(rows: AoT, new: list[dict[str, Any]], work: _Work) -> list[dict[str, Any]]:
    """The imported drives, none of which says that it holds the system beside another one that the file
    says does: which one it is is asked (a clash), and until then the file's word stays."""
    there = next((i for i, old in enumerate(rows) if _plain(old.get("system")) is True), None)
    index = next((i for i, row in enumerate(new) if row.get("system") is True), None)
    if there is None or index is None or new[index]["name"] == MEASURED_NAME:
        return new
    if _named_alike(rows, new[index]) == there:
        return new
    path = f"drive[{index}].system"
    if path in work.take:
        rows[there]["system"] = False
        work.expected["drive"][there]["system"] = False
        return new
    origin = work.merged.origin.get(path, "an import")
    name = _plain(rows[there].get("name"))
    work.clashes.append(
        Clash(path, ((f"{name} holds the system", work.where), (f"{new[index]['name']} holds it", origin)))
    )
    kept = {key: value for key, value in new[index].items() if key != "system"}
    return [kept if i == index else row for i, row in enumerate(new)]


def _memory(rows: AoT, new: Sequence[dict[str, Any]], work: _Work) -> None:
    """Modules have no names: rows are brought up to date when both lists hold the same sizes, else a person
    decides."""
    old = [(_plain(row.get("capacity_mib")), _plain(row.get("count", 1))) for row in rows]
    sizes = [(row.get("capacity_mib"), row.get("count", 1)) for row in new]
    said = all(where == PERSON for path, where in work.merged.origin.items() if path.startswith("memory["))
    alike = all(
        size in (None, new_size) and count == new_count
        for (size, count), (new_size, new_count) in zip(old, sizes, strict=False)
    )
    if len(old) == len(sizes) and (alike or said):  # a person was asked row by row
        for index, row in enumerate(new):
            _values(
                rows[index], work.expected["memory"][index], ("memory", index), row, f"memory[{index}]", work
            )
        return
    own = all(_is_imported(row, key) for row in rows for key in row)
    if not own and "memory" not in work.take:
        shown = ["+".join(f"{count} x {size}" for size, count in pairs) for pairs in (old, sizes)]
        work.clashes.append(
            Clash(
                "memory",
                (
                    (f"{shown[0]} MiB", work.where),
                    (f"{shown[1]} MiB", work.merged.origin.get("memory[0].count", "the import")),
                ),
            )
        )
        return
    while len(rows) > len(new):
        del rows[len(rows) - 1]
        del work.expected["memory"][-1]
    for index, row in enumerate(new):
        if index >= len(rows):
            work.appended.append(_row("memory", index, row, work.merged))
            work.expected["memory"].append(dict(row))
            continue
        target: Table = rows[index]
        for key in [key for key in target if key not in row]:
            del target[key]
            del work.expected["memory"][index][key]
        for key, value in row.items():
            if key not in target:
                work.added[("memory", index, key)] = (
                    value,
                    work.merged.origin.get(f"memory[{index}].{key}", "an import"),
                )
            else:
                target[key] = _item(value, work.merged.origin.get(f"memory[{index}].{key}", "an import"))
            work.expected["memory"][index][key] = value


def _insert(text: str, work: _Work) -> str:
    """Put new keys and fresh evidence in the place of their ``#?`` lines; a new key without one follows the
    head."""
    lines = text.split("\n")
    wanted = [*((at, None) for at in work.added), *((at, question) for at, question in work.open.items())]
    for (table, row, key), question in wanted:
        start, end = _region(lines, table, row)
        if start is None:
            if question is None:
                work.clashes.append(
                    Clash(
                        f"{table}.{key}",
                        (("the table is laid out in another way", work.where), work.added[(table, row, key)]),
                    )
                )
                _forget(work, table, row, key)
            continue
        if question is None:
            value, origin = work.added[(table, row, key)]
            fresh = known_lines(table, key, value, origin)
        else:
            fresh = open_lines(table, key, question)
        at = next(
            (i for i in range(start + 1, end) if re.match(rf"\s*#\?\s*{re.escape(key)}\s*=", lines[i])), None
        )
        if at is None:
            if question is None:
                lines[start + 1 : start + 1] = fresh
            continue
        first = at
        while first > start + 1 and lines[first - 1].startswith("#   > "):
            first -= 1
        if first > start + 1 and lines[first - 1] == fresh[0]:
            first -= 1
        lines[first : at + 1] = fresh
    return "\n".join(lines)


def _insert_none(text: str, work: _Work) -> str:
    """Empty lists go above the first table, in the place of their ``#?`` line; that of a list that has rows
    is dropped."""
    lines = text.split("\n")
    head = next((i for i, line in enumerate(lines) if _HEAD.match(line)), len(lines))
    while head and lines[head - 1].startswith("#"):  # comments directly above a table belong to it
        head -= 1
    for table in ROWS:
        if not work.expected.get(table) and table not in work.none:
            continue
        at = next(
            (i for i, line in enumerate(lines) if re.match(rf"#\?\s*{table}\s*=\s*\[\s*\]", line)), None
        )
        fresh = [none_line(table, True)] if table in work.none else []
        if at is not None:
            lines[at : at + 1] = fresh
            head += len(fresh) - 1 if at < head else 0
        elif fresh:
            lines[head:head] = [*fresh, ""]
            head += 1
    return "\n".join(lines)


def _forget(work: _Work, table: str, row: int | None, key: str) -> None:
    target = work.expected[table] if row is None else work.expected[table][row]
    target.pop(key, None)


def _region(lines: Sequence[str], table: str, row: int | None) -> tuple[int | None, int]:
    """Lines from the head of a table (or the n-th of a list) to the next head."""
    start: int | None = None
    seen = -1
    for number, line in enumerate(lines):
        match = _HEAD.match(line)
        if match is None:
            continue
        if start is not None:
            return start, number
        if match[2] == table and (match[1] == "[[") == (row is not None):
            seen += 1
            if row is None or seen == row:
                start = number
    return start, len(lines)


def _check(text: str, work: _Work) -> None:
    try:
        found = tomlkit.parse(text).unwrap()
    except TOMLKitError:
        found = None
    if found != work.expected:
        raise refuse(
            work.where,
            "the file is laid out so that it cannot be edited safely",
            hint="Write the import to another file and copy by hand",
        )
    _prove(text, work.where)
