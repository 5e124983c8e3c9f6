"""Read a survey file (TOML) into a Survey and its brief. All faults of a file are reported in one go."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import fields, replace
from os import PathLike
from pathlib import Path
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from partsolver.base.documents import parse_toml
from partsolver.base.errors import Fault, InputRefused, nearest
from partsolver.base.field_faults import field_fault, place
from partsolver.base.textfile import read_text
from partsolver.catalog.dictionary import UNKNOWN, columns, reader
from partsolver.catalog.records import Board, Case, Cooler, Cpu, Psu
from partsolver.survey.bounds import possible_generations
from partsolver.survey.model import Card, Device, Display, Drive, MemoryModule, OperatingSystem, Pc, Survey
from partsolver.survey.written import expected_value, written_value
from partsolver.wishes.brief import Brief

# Survey table -> (record, catalogue table whose columns it uses, id given to the kept part)
RECORDS: dict[str, tuple[type, str, str]] = {
    "case": (Case, "cases", "kept-case"),
    "psu": (Psu, "psus", "kept-psu"),
    "board": (Board, "boards", "kept-board"),
    "cpu": (Cpu, "cpus", "kept-cpu"),
    "cooler": (Cooler, "coolers", "kept-cooler"),
}
MODELS: dict[str, type[BaseModel]] = {"pc": Pc, "os": OperatingSystem}
LISTS: dict[str, type[BaseModel]] = {
    "memory": MemoryModule,
    "drive": Drive,
    "card": Card,
    "display": Display,
    "device": Device,
}
# More of a kind are in no desktop PC, and every one of them makes the answer slower: cards and drives are
# tried in all slots and plugs.
MOST_ROWS = {"memory": 16, "drive": 32, "card": 16, "display": 16, "device": 64}
# Names of kept parts that the file does not name.
_NAMES = {"psu": "present supply", "cpu": "present processor"}
_JOIN = {"plugs": "+", "ints": "+"}


# What else lies beside surveys: settings, answers of an interview that goes on, what a system hides.
_BESIDE = re.compile(r"partsolver\.toml|.*\.answers\.toml|\..*", re.IGNORECASE)


def is_survey_name(name: str) -> bool:
    """Whether a file of a folder of surveys is one, by its name."""
    return name.endswith(".toml") and _BESIDE.fullmatch(name) is None


def load_survey(path: str | PathLike[str]) -> tuple[Survey, Brief]:
    """Survey and brief of a file. Raises InputRefused with every fault found."""
    path = Path(path)
    return read_survey(read_text(path), str(path))


def read_survey(text: str, where: str) -> tuple[Survey, Brief]:
    """The same of a file's text, which the survey keeps. ``where`` names the file in messages."""
    data = parse_toml(text, where, "Strings need quotes; tables are written [case]")
    survey, brief = parse_survey(data, where)
    return survey.model_copy(update={"text": text}), brief


def parse_survey(data: Mapping[str, Any], where: str) -> tuple[Survey, Brief]:
    """The same from parsed TOML. ``where`` names the file in messages."""
    faults: list[Fault] = []
    known = [*RECORDS, *MODELS, *LISTS, "brief"]
    for key in data:
        if key not in known:
            faults.append(
                Fault(f"{where} [{key}]", "no such table", None, ", ".join(known), nearest(key, known))
            )
    values: dict[str, Any] = {}
    for name, (record, table, part_id) in RECORDS.items():
        raw = data.get(name)
        if raw is None and name == "cooler":
            values[name] = None
        elif raw is None and name in ("case", "psu"):
            what = (
                "its size decides what fits"
                if name == "case"
                else "its plugs and rails decide what it can feed"
            )
            faults.append(
                Fault(where, f"the survey has no [{name}] table", None, f"[{name}]", f"Add it: {what}")
            )
        else:
            values[name] = _record(
                record, table, part_id, raw if raw is not None else {}, f"{where} [{name}]", faults
            )
    for name, model in MODELS.items():
        values[name] = _model(model, data.get(name, {}), f"{where} [{name}]", faults)
    for name, model in LISTS.items():
        rows = data.get(name, [])
        if not isinstance(rows, list):
            faults.append(Fault(f"{where} [{name}]", "must be a list of tables", None, f"[[{name}]]"))
            rows = []
        if len(rows) > MOST_ROWS[name]:
            faults.append(
                Fault(
                    f"{where} [[{name}]]",
                    "the list is too long",
                    f"{len(rows)} entries",
                    f"at most {MOST_ROWS[name]}",
                    "List what is in or at this one PC",
                )
            )
            rows = []
        values[name] = [
            _model(model, row, f"{where} [[{name}]] {i}", faults) for i, row in enumerate(rows, 1)
        ]
    brief = _model(Brief, data.get("brief", {}), f"{where} [brief]", faults)
    _check_names(values, where, faults)
    if faults:
        raise InputRefused(faults)
    board, memory, inferred = _module_kind(values["board"], tuple(values["memory"]))
    survey = Survey(
        pc=values["pc"],
        case=values["case"],
        psu=values["psu"],
        board=board,
        cpu=values["cpu"],
        cooler=values["cooler"],
        memory=memory,
        drives=tuple(values["drive"]),
        cards=tuple(values["card"]),
        displays=tuple(values["display"]),
        devices=tuple(values["device"]),
        os=values["os"],
        where=where,
        unlisted=tuple(name for name in LISTS if name not in data),
        inferred=inferred,
    )
    return _with_generation(survey), brief


def _with_generation(survey: Survey) -> Survey:
    """The generation of the slots, where the modules in them, the socket or the processor leave only one
    (survey/ bounds.py), and that of modules in slots of a known one: they sit in them."""
    found = possible_generations(survey)
    if len(found) != 1:
        return survey
    inferred = list(survey.inferred)
    board, memory = survey.board, survey.memory
    if board.memory_generation is None:
        source = "memory.generation" if any(m.generation for m in memory) else "board.socket"
        board = replace(board, memory_generation=found[0])
        inferred.append(("board.memory_generation", source))
    if any(module.generation is None for module in memory):
        update = {"generation": found[0]}
        memory = tuple(m if m.generation is not None else m.model_copy(update=update) for m in memory)
        inferred.append(("memory.generation", "board.memory_generation"))
    return survey.model_copy(update={"board": board, "memory": memory, "inferred": tuple(inferred)})


def _module_kind(
    board: Board, memory: tuple[MemoryModule, ...]
) -> tuple[Board, tuple[MemoryModule, ...], tuple[tuple[str, str], ...]]:
    """Modules that sit in the board's slots are of the slots' kind (DIMM and SO-DIMM never fit each other's
    slots, standards/memory.py): where one of the two is stated, the other follows. Where neither is, both
    stay unknown."""
    stated = {module.module for module in memory if module.module is not None}
    inferred: list[tuple[str, str]] = []
    if board.memory_module is None and len(stated) == 1:
        board = replace(board, memory_module=stated.pop())
        inferred.append(("board.memory_module", "memory.module"))
    if board.memory_module in ("dimm", "so-dimm") and any(module.module is None for module in memory):
        kind = {"module": board.memory_module}
        memory = tuple(m if m.module is not None else m.model_copy(update=kind) for m in memory)
        inferred.append(("memory.module", "board.memory_module"))
    return board, memory, tuple(inferred)


def _check_names(values: Mapping[str, Any], where: str, faults: list[Fault]) -> None:
    seen: set[str] = set()
    for table in ("drive", "card", "display", "device"):
        for row in values[table]:
            if row is None:
                continue
            if row.name in seen:
                faults.append(
                    Fault(
                        f"{where} [[{table}]]", "two entries have the same name", row.name, "different names"
                    )
                )
            seen.add(row.name)
    cards = ["board", *(card.name for card in values["card"] if card is not None)]
    for drive in values["drive"]:
        if drive is not None and drive.controller not in (None, *cards):
            faults.append(
                Fault(f"{where} [[drive]]", "no card of this name", drive.controller, ", ".join(cards))
            )
    if sum(1 for drive in values["drive"] if drive is not None and drive.system) > 1:
        faults.append(
            Fault(f"{where} [[drive]]", "more than one drive has system = true", None, "one system drive")
        )


def _model(model: type[BaseModel], raw: Any, where: str, faults: list[Fault]) -> Any:
    if not isinstance(raw, dict):
        faults.append(Fault(where, "must be a table", None, "key = value lines"))
        return None
    cleaned: dict[str, Any] = {}
    for key, value in raw.items():
        if key not in model.model_fields:
            faults.append(
                Fault(
                    f"{where} {key}",
                    "no such key",
                    None,
                    ", ".join(model.model_fields),
                    nearest(key, model.model_fields),
                )
            )
        elif isinstance(value, str) and not value.isprintable():
            faults.append(
                Fault(f"{where} {key}", "holds control characters", repr(value), "one line of text")
            )
        elif not _is_unknown(value):
            try:
                cleaned[key] = written_value(model, key, value)
            except ValueError as error:
                expected = str(error) or expected_value(model, key)
                description = model.model_fields[key].description
                faults.append(Fault(f"{where} {key}", "cannot be read", str(value), expected, description))
        elif (
            model is not Brief and model.model_fields[key].default is not None and _may_be_unknown(model, key)
        ):
            # The usual value (a DIMM, say) is for what was left out; a stated "unknown" is an open question.
            cleaned[key] = None
    try:
        return model(**cleaned)
    except ValidationError as error:
        for item in error.errors():
            key = place(item)
            if item["type"] == "missing" and key in raw and not _is_unknown(raw[key]):
                continue  # it cannot be read, and that is said already
            field = model.model_fields.get(str(item["loc"][0]))
            faults.append(
                field_fault(item).placed(f"{where} {key}", None if field is None else field.description)
            )
        return None


def _is_unknown(value: Any) -> bool:
    return isinstance(value, str) and value.strip().casefold() == UNKNOWN


def _may_be_unknown(model: type[BaseModel], key: str) -> bool:
    return type(None) in get_args(model.model_fields[key].annotation)


def _record(record: type, table: str, part_id: str, raw: Any, where: str, faults: list[Fault]) -> Any:
    if not isinstance(raw, dict):
        faults.append(Fault(where, "must be a table", None, "key = value lines"))
        return None
    described = columns()[table]
    allowed = [f.name for f in fields(record) if f.name not in ("id", "source")]
    values: dict[str, Any] = {
        "id": part_id,
        "name": _NAMES.get(part_id.removeprefix("kept-"), part_id.replace("kept-", "present ")),
    }
    for key, value in raw.items():
        if key not in allowed:
            faults.append(
                Fault(
                    f"{where} {key}",
                    "no such key",
                    None,
                    None,
                    nearest(key, allowed) or "See `partsolver survey new`",
                )
            )
            continue
        column = described[key]
        if _is_unknown(value):
            continue
        cell = _cell(value, _JOIN.get(column.type.partition(":")[0], " "))
        try:
            values[key] = reader(column)(cell)
        except ValueError as error:
            faults.append(
                Fault(f"{where} {key}", "cannot be read", cell, str(error) or column.expected, column.meaning)
            )
    return record(**values)


def _cell(value: Any, joiner: str) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return joiner.join(_cell(item, joiner) for item in value) or "none"
    return str(value)
