"""What a rule reads is declared (READS, SURVEY), since what it said is kept for all that looks the same to
it: watched here over many small worlds, read off the source, and tried with facts that no declaration
names."""

from __future__ import annotations

import ast
import importlib
import random
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from functools import cache
from itertools import count
from pathlib import Path
from typing import Any

import pytest
from conftest import FULL
from oracle_worlds import world_of
from support import OLD_BOARD, combinations, make_problem, make_survey, needs_of

from partsolver.catalog.records import Board, Case, Cooler, Cpu, DrivePart, MemoryKit, Psu
from partsolver.plan.draft import Draft, Line
from partsolver.problem.candidates import (
    SLOTS,
    Candidate,
    CoolerChoice,
    DriveChoice,
    GraphicsChoice,
    MemoryChoice,
    Parts,
)
from partsolver.problem.problem import Problem
from partsolver.problem.store import Store
from partsolver.rules import all_rules
from partsolver.search.views import looking, named_parts
from partsolver.survey.model import Drive, Survey

WORLDS = 2_000 if FULL else 120
# Upgrades of each world in which facts are exchanged.
LOOKED_AT = 4 if FULL else 1
RULES = [rule for rule in all_rules() if not rule.ID.startswith("buying.")]
# The records of each slot, the choice first; and the name of the inner one in the choice.
RECORDS: dict[str, tuple[Any, ...]] = {
    "board": (Board,),
    "cpu": (Cpu,),
    "memory": (MemoryChoice, MemoryKit),
    "cooler": (CoolerChoice, Cooler),
    "psu": (Psu,),
    "case": (Case,),
    "drive": (DriveChoice, DrivePart, Drive),
    "graphics": (GraphicsChoice,),
}
INNER = {"memory": "kit", "cooler": "cooler", "drive": "part"}
# Read for the wording only, or as a number's name: no verdict depends on it (the last test below would show
# it).
WORDING = {"id", "name", "maker", "source", "mass_g"}


def untold_slots() -> Problem:
    """Boards of which nobody counted the memory slots, and modules that may stay out."""
    survey = make_survey(board=replace(OLD_BOARD, memory_slots=None))
    return make_problem(survey, boards=[replace(OLD_BOARD, id="board-a", memory_slots=1)])


@pytest.fixture(scope="module")
def samples() -> list[tuple[Problem, list[Parts]]]:
    """Small worlds, each with some upgrades in it."""
    draw = random.Random(1)
    worlds = [world_of(number).problem for number in range(WORLDS)]
    worlds += [untold_slots()] * 10
    every = [(problem, list(combinations(problem))) for problem in worlds]
    return [(problem, draw.sample(listed, min(4, len(listed)))) for problem, listed in every]


def said(rule: Any, parts: Any, problem: Problem) -> tuple[Any, bool]:
    """What a rule needs, and whether it admits the parts without that."""
    return needs_of(rule, parts, problem), all(
        f.admits for f in rule.admits(Draft(parts, (), (), 0, 0), problem)
    )


# -- watched -----------------------------------------------------------------------------------------------------------


class WatchedSurvey:
    """A survey that notes which of its fields are read."""

    def __init__(self, survey: Survey, seen: set[str]) -> None:
        self.__dict__.update(survey=survey, seen=seen)

    def __getattr__(self, name: str) -> Any:
        if name == "system_drive":
            self.seen.add("drives")
        elif name in Survey.model_fields:
            self.seen.add(name)
        return getattr(self.survey, name)


class WatchedProblem(Problem):
    """A problem that notes when the system's demands are read. Nothing is remembered: what was could hide a
    read."""

    def __getattribute__(self, name: str) -> Any:
        if name in ("os", "memory_limit_mib"):
            self.__dict__["seen"].add("os")
        return super().__getattribute__(name)


def watched(problem: Problem) -> tuple[Problem, set[str]]:
    seen: set[str] = set()
    result = object.__new__(WatchedProblem)
    values = {field.name: getattr(problem, field.name) for field in fields(Problem)}
    result.__dict__.update(
        values | {"store": Store(), "survey": WatchedSurvey(problem.survey, seen), "seen": seen}
    )
    return result, seen


class WatchedPart:
    """A part that notes which of its facts are read; those of a record in it behind its name and a dot."""

    def __init__(self, part: Any, seen: set[str], before: str = "") -> None:
        self.__dict__.update(_part=part, _seen=seen, _before=before)

    @property
    def __class__(self) -> Any:
        return type(self._part)

    def __getattr__(self, name: str) -> Any:
        value = getattr(self._part, name)
        if name in INNER.values() and not isinstance(self._part, Board | MemoryKit):
            return None if value is None else WatchedPart(value, self._seen, f"{name}.")
        self._seen.add(self._before + name)
        return value


@pytest.fixture(scope="module")
def read(samples: list[tuple[Problem, list[Parts]]]) -> dict[str, dict[str, set[str]]]:
    """By rule: what it read of the survey ("") and of each slot's part."""
    found: dict[str, dict[str, set[str]]] = defaultdict(lambda: defaultdict(set))
    for problem, listed in samples:
        for parts in listed:
            for rule in RULES:
                seeing, seen = watched(problem)
                mine = found[rule.ID]
                # Not made by replace: a candidate's part is what is watched.
                picked = []
                for own in parts.picked:
                    candidate = object.__new__(Candidate)
                    for field in fields(Candidate):
                        object.__setattr__(candidate, field.name, getattr(own, field.name))
                    object.__setattr__(candidate, "part", WatchedPart(own.part, mine[own.slot]))
                    picked.append(candidate)
                seen_parts = Parts(tuple(picked))
                needs = needs_of(rule, seen_parts, seeing)
                lines = tuple(
                    Line(need.options[0][0], need.options[0][1], 0, need=need)
                    for need in needs
                    if need.options
                )
                rule.admits(Draft(seen_parts, lines, (), 0, 0), seeing)
                mine[""] |= seen
    return found


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.ID)
def test_a_rule_reads_what_it_declares(rule: Any, read: dict[str, dict[str, set[str]]]) -> None:
    assert read[rule.ID][""] == set(rule.SURVEY)
    assert list(rule.READS) == list(rule.SLOTS)
    for slot, seen in read[rule.ID].items():
        facts = {path for path in seen if path.rpartition(".")[2] not in WORDING}
        assert not slot or facts <= set(rule.READS.get(slot, ())), slot


# -- read off the source -----------------------------------------------------------------------------------------------

# Names in the source of a rule (and of what it calls) that are facts of something else there: (rule or
# family, slot) -> why.
OF_OTHERS: dict[tuple[str, str], set[str]] = {
    ("power", "board"): {"year", "main_plug", "socket", "secure_boot"},  # supply's, processor's, the wish
    ("power.card_plugs", "board"): {"load_mw"},  # the card's
    ("power", "psu"): {"cpu_plugs"},  # the board's
    ("platform.power", "board"): {"socket", "year"},  # the processor's
    ("power.cpu_plug", "psu"): {"year"},  # the processor's
    ("power.cpu_current", "psu"): {"year"},
    ("power.card_plugs", "psu"): {"year"},
    ("power.rails_12v", "psu"): {"rail_3v3_ma"},
    ("power.total", "psu"): {"rail_3v3_ma"},  # the slot's (standards/plugs)
    ("power.startup", "psu"): {"rail_3v3_ma"},
    ("power.main_plug", "psu"): {"rail_3v3_ma", "year"},  # the slot's, the board's
    ("power.drive_plugs", "psu"): {"year"},
    ("power", "cpu"): {"year", "family", "legacy_video"},  # the supply's, the system's, the card's
    ("power", "drive"): {"year"},  # the supply's
    ("os", "cpu"): {"family"},  # the system's
    ("picture", "board"): {"secure_boot", "socket"},  # the owner's wish, the processor's
    ("picture", "cpu"): {"year", "legacy_video"},  # the board's, the card's
    ("fit.facts", "board"): {"outputs"},  # the card's
    ("os.start", "board"): {"graphics_score"},  # the processor's
    ("os.processor", "board"): {"year"},  # the processor's
    ("platform.firmware", "cpu"): {"socket"},  # the board's, and the present processor's
    ("platform.board_age", "cpu"): {"year"},  # the present processor's
    ("memory.os_limit", "memory"): {
        "ecc",
        "kits",
        "module_mib",
        "modules",
        "rate_mts",
        "registered",
    },  # for the question's name
}


@cache
def _module(name: str) -> tuple[dict[str, ast.AST], dict[str, tuple[str, str]]]:
    """What a module defines, and what it imports from the project."""
    tree = ast.parse(Path(importlib.import_module(name).__file__ or "").read_text(encoding="utf-8"))
    defined: dict[str, ast.AST] = {}
    imported: dict[str, tuple[str, str]] = {}
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            defined[node.name] = node
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            defined |= {target.id: node for target in targets if isinstance(target, ast.Name)}
        elif (
            isinstance(node, ast.ImportFrom)
            and node.module is not None
            and node.module.startswith("partsolver.")
        ):
            imported |= {alias.name: (node.module, alias.name) for alias in node.names}
    return defined, imported


def _attributes(module: str, name: str, seen: set[tuple[str, str]]) -> Iterator[str]:
    """Names of all attributes in a definition and in those it names."""
    defined, imported = _module(module)
    if (module, name) in seen or not (name in defined or name in imported):
        return
    seen.add((module, name))
    if name in imported:
        if imported[name][0].startswith(
            ("partsolver.assembly", "partsolver.standards", "partsolver.rules", "partsolver.performance")
        ):
            yield from _attributes(*imported[name], seen)
        return
    for node in ast.walk(defined[name]):
        if isinstance(node, ast.Attribute):
            yield node.attr
        elif isinstance(node, ast.Name):
            yield from _attributes(module, node.id, seen)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.ID)
def test_no_fact_in_the_source_of_a_rule_is_left_out(rule: Any) -> None:
    seen: set[tuple[str, str]] = set()
    named = {name for start in ("needs", "admits") for name in _attributes(rule.__name__, start, seen)}
    for slot in rule.SLOTS:
        own = (
            {
                name
                for record in RECORDS[slot]
                for name in getattr(record, "model_fields", None) or [f.name for f in fields(record)]
            }
            - WORDING
            - {"kept", "part"}
        )
        declared = {path.rpartition(".")[2] for path in rule.READS[slot]}
        if slot == "drive" and "kept" in rule.READS["drive"]:
            declared |= set(Drive.model_fields) - {field.name for field in fields(DrivePart)} | {
                "kind",
                "interface",
                "pcie_gen",
            }
        others = OF_OTHERS.get((rule.ID, slot), set()) | OF_OTHERS.get(
            (rule.ID.partition(".")[0], slot), set()
        )
        inner = {INNER[slot]} if slot in INNER else set()
        assert named & own <= declared | others | inner, (
            slot,
            sorted(named & own - declared - others - inner),
        )


# -- tried -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("slot", SLOTS)
def test_other_facts_change_nothing(slot: Any, samples: list[tuple[Problem, list[Parts]]]) -> None:
    draw, number = random.Random(slot), count()
    inner = INNER.get(slot)

    def record_of(candidate: Candidate) -> Any:
        return candidate.part if inner is None else getattr(candidate.part, inner)

    records = [
        record
        for problem, listed in samples
        for parts in listed
        if is_dataclass(record := record_of(parts.candidate(slot)))
    ]
    reading = [rule for rule in RULES if slot in rule.SLOTS]
    for problem, listed in samples:
        looks = {rule.ID: looking(slot, rule.READS[slot], named_parts(problem)) for rule in reading}
        for parts in listed[:LOOKED_AT]:
            own = parts.candidate(slot)
            record: Any = record_of(own)
            if record is None:
                continue
            before = {rule.ID: said(rule, parts, problem) for rule in reading}
            for field in fields(record):
                # No other part of the world has this id: what is remembered goes by ids.
                value = (
                    f"another-{next(number)}"
                    if field.name == "id"
                    else getattr(draw.choice(records), field.name)
                )
                other = replace(record, **{field.name: value})
                if other == record:
                    continue
                part: Any = other if inner is None else replace(own.part, **{inner: other})  # type: ignore[type-var]
                changed = replace(own, part=part)
                swapped = Parts(tuple(changed if c is own else c for c in parts.picked))
                for rule in reading:
                    if looks[rule.ID](changed) == looks[rule.ID](own):
                        assert said(rule, swapped, problem) == before[rule.ID], (rule.ID, field.name)
