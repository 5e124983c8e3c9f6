"""One fact of the survey unknown at a time: no exception, no verdict better than with the worst value the
fact can have, and a question that names it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from functools import cache
from typing import Any, get_args

import pytest
from conftest import FULL
from pcs import WORLDS, world
from support import BOARD, CPU, agree, make_problem, make_survey, pick

from partsolver.assembly.cards import graphics_card
from partsolver.catalog.dictionary import columns
from partsolver.explain.answers import open_questions
from partsolver.performance.present import present_parts
from partsolver.plan.complete import draft_of, judge
from partsolver.problem.candidates import Parts
from partsolver.problem.join import changed
from partsolver.problem.problem import Problem
from partsolver.rules import all_rules, platform_socket
from partsolver.solve.recommend import recommend
from partsolver.survey.load import RECORDS
from partsolver.survey.model import Card, Survey

TABLES = ("board", "cpu", "cooler", "psu", "case")
ROWS = {"memory": "memory", "drives": "drive", "cards": "card", "displays": "display", "devices": "device"}
MODELS = ("pc", "os")


def paths(survey: Survey) -> Iterator[tuple[str, int | None, str]]:
    """(table, row, key) of every optional fact that the survey states."""
    for table in (*TABLES, *MODELS):
        record = getattr(survey, table)
        for key in _keys(record):
            if getattr(record, key) is not None:
                yield table, None, key
    for table in ROWS:
        for index, row in enumerate(getattr(survey, table)):
            for key in _keys(row):
                if getattr(row, key) is not None:
                    yield table, index, key


def _keys(record: Any) -> list[str]:
    if is_dataclass(record):
        return [f.name for f in fields(record) if f.name not in ("id", "name")]
    return [
        name
        for name, info in type(record).model_fields.items()
        if not info.is_required() and info.default is None
    ]


def with_value(survey: Survey, table: str, row: int | None, key: str, value: Any) -> Survey:
    """The survey with one fact changed."""
    owner = getattr(survey, table)
    if row is not None:
        rows = list(owner)
        rows[row] = rows[row].model_copy(update={key: value})
        return survey.model_copy(update={table: tuple(rows)})
    other = replace(owner, **{key: value}) if is_dataclass(owner) else owner.model_copy(update={key: value})
    return survey.model_copy(update={table: other})


PATHS = [(name, *path) for name in WORLDS for path in paths(world(name).survey)]
IDS = [f"{name}-{table}.{key}-{row or 0}" for name, table, row, key in PATHS]


def worst_candidates(survey: Survey, table: str, key: str, value: Any) -> list[Any]:
    """Values that the fact can have besides its own: every word of its list, and numbers and lists on both
    sides."""
    if table in TABLES:
        kind, _, words = columns()[RECORDS[table][1]][key].type.partition(":")
        choices: tuple[Any, ...] = tuple(words.split("|")) if kind == "choice" else ()
    else:
        annotation = _model(survey, table).model_fields[key].annotation
        literals = [a for part in (annotation, *get_args(annotation)) for a in get_args(part)]
        choices = tuple(a for a in literals if isinstance(a, (str, int)))
    if choices and not isinstance(value, tuple):
        return [choice for choice in choices if choice != value]
    if isinstance(value, bool):
        return [not value]
    if isinstance(value, int):
        if key == "year":  # one after the day of the order is refused (problem/test_years.py)
            return [year for year in (1990, 2026) if year != value]
        measured = key.rpartition("_")[2] in _UNITS
        others = (value // 2, value * 2) if measured else (0, 1, value + 1)
        return [other for other in others if other != value]
    if isinstance(value, tuple):
        return [other for other in ((), value[:1], value + value[-1:]) if other != value]
    return [f"{value}-other"]


def _model(survey: Survey, table: str) -> Any:
    owner = getattr(survey, table)
    return type(owner[0]) if table in ROWS else type(owner)


_UNITS = (
    "mm",
    "w",
    "ma",
    "mw",
    "mhz",
    "mib",
    "gb",
    "mts",
    "mbs",
    "px",
    "hz",
    "g",
    "mv",
    "percent",
    "score",
)
RANK = {"fails": 0, "unknown": 1, "fits": 2}


def verdicts(problem: Problem, keys: tuple[tuple[str, str], ...]) -> dict[str, tuple[int, list[str]]] | None:
    """Worst rank and the questions of each rule for one choice of parts; None where it is no choice there."""
    picked = []
    for slot, key in keys:
        found = next((c for c in problem.slot(slot) if c.key == key), None)  # type: ignore[arg-type]
        if found is None:
            return None
        picked.append(found)
    rules = all_rules()
    said = judge(problem, draft_of(problem, Parts(tuple(picked)), rules), rules)
    result: dict[str, tuple[int, list[str]]] = {}
    for finding in said:
        rank, asked = result.get(finding.rule, (2, []))
        result[finding.rule] = (
            min(rank, RANK[finding.verdict]),
            [
                *asked,
                *([finding.question] if finding.question else []),
            ],
        )
    return result


# Facts whose worst value cannot be, given the rest of this survey, or that are taken in the usual way and
# said so.
EXEMPT = {
    "psu.combined_12v_ma": "the label has one 12 V rail: there is nothing to combine",
    "case.slot_height": "a card of full height is in the case today",
    "displays.refresh_hz": "taken as the usual 60 Hz, which every display takes (common practice, said in displays.py)",
    "os.family": "no other family can be told from the survey alone; the system that stays is a wish",
}


@cache
def choices(name: str) -> tuple[tuple[tuple[str, str], ...], ...]:
    """The parts of the first plans, and what the PC has now."""
    plans = [plan.parts for plan in recommend(world(name)).plans[:3]] + [present_parts(world(name))]
    return tuple(tuple((c.slot, c.key) for c in parts.picked) for parts in plans)


def names(question: str, table: str, key: str) -> bool:
    """Whether a question is about the fact, or about the whole list of it."""
    word = ROWS.get(table, table)
    owner, _, asked = question.rpartition(".")
    return (owner.partition(":")[0] == word and asked == key) or question == word


def believed(
    unknown: dict[str, tuple[int, list[str]]], worst: dict[str, tuple[int, list[str]]], table: str, key: str
) -> list[str]:
    """Rules that refuse with a value and are silent without the fact."""
    asked = [question for _, questions in unknown.values() for question in questions]
    if any(names(question, table, key) for question in asked):
        return []
    return [
        rule
        for rule, (rank, _) in worst.items()
        # what an unknown lead or plug may cost is asked by the rule of that plug
        if rank == 0 and unknown.get(rule, (2, []))[0] == 2
    ]


def contradicted_today(survey: Survey, table: str, key: str, value: Any) -> bool:
    """Whether the rest of the survey rules a value out: the case holds the present board, and no floppy
    drive has the lead that a drive of this survey has."""
    present = {"max_board_width_mm": survey.board.width_mm, "max_board_depth_mm": survey.board.depth_mm}
    if table == "case" and key in present:
        return present[key] is not None and value < present[key]
    return (table, key, value) == ("drives", "kind", "floppy")


@pytest.mark.parametrize("path", PATHS, ids=IDS)
def test_an_unknown_fact_is_never_better_than_its_worst_value(path: tuple[str, str, int | None, str]) -> None:
    name, table, row, key = path
    survey = world(name).survey
    owner = getattr(survey, table)
    value = getattr(owner if row is None else owner[row], key)
    poorer = changed(world(name), survey=with_value(survey, table, row, key, None))
    silent = [(keys, said) for keys in choices(name) if (said := verdicts(poorer, keys)) is not None]
    assert silent
    if f"{table}.{key}" in EXEMPT:
        return
    for other in worst_candidates(survey, table, key, value):
        if contradicted_today(survey, table, key, other):
            continue
        try:
            known = changed(world(name), survey=with_value(survey, table, row, key, other))
        except ValueError:
            continue  # no value that a survey can have
        for keys, said in silent:
            worst = verdicts(known, keys)
            assert worst is None or believed(said, worst, table, key) == [], (other, keys)


ROWS_OF = [
    (name, table, index)
    for name in WORLDS
    for table in ROWS
    for index in range(len(getattr(world(name).survey, table)))
]


@pytest.mark.parametrize(("name", "table", "index"), ROWS_OF)
def test_a_row_that_nobody_listed(name: str, table: str, index: int) -> None:
    """Without one row: an answer. Without the whole table: nothing of it is taken as absent without being
    asked."""
    survey = world(name).survey
    rows = getattr(survey, table)
    less = changed(world(name), survey=survey.model_copy(update={table: (*rows[:index], *rows[index + 1 :])}))
    assert any(verdicts(less, keys) is not None for keys in choices(name)) or table in ("memory", "drives")
    if index:
        return
    word = ROWS[table]
    none = changed(world(name), survey=survey.model_copy(update={table: (), "unlisted": (word,)}))
    assert word in {question.path for question in open_questions(none.survey)}
    for keys in choices(name):
        assert verdicts(none, keys) is None or table != "memory" or "kept-memory" not in dict(keys).values()


# In every run some, spread over the PCs and their tables; all of them in full runs.
ANSWERED = slice(None, None, 1 if FULL else 20)


@pytest.mark.parametrize("path", PATHS[ANSWERED], ids=IDS[ANSWERED])
def test_an_unknown_fact_ends_in_an_answer(path: tuple[str, str, int | None, str]) -> None:
    name, table, row, key = path
    outcome = recommend(changed(world(name), survey=with_value(world(name).survey, table, row, key, None)))
    assert outcome.status in ("optimal", "impossible")


@pytest.mark.parametrize("slots", [2, 4, None])
def test_a_new_processor_for_a_board_of_unknown_socket_is_barred(slots: int | None) -> None:
    """A processor in the wrong socket can be destroyed (common practice: contacts bend): unknown bars it."""
    board = replace(make_survey().board, socket=None, memory_slots=slots)
    problem = make_problem(survey=make_survey(board=board))
    parts = pick(problem, board="kept-board", cpu="cpu-a", memory="kept-memory")
    said = judge(problem, draft_of(problem, parts, all_rules()), all_rules())
    barring = [finding for finding in said if finding.question == "board.socket"]
    assert barring and any(finding.blocks and not finding.admits for finding in barring)
    assert min(agree(platform_socket, problem)) > 0
    on_sale = {
        "boards": [replace(BOARD, socket=None), replace(BOARD, id="board-b")],
        "cpus": [CPU, replace(CPU, id="cpu-b", socket=None)],
    }
    assert min(agree(platform_socket, make_problem(**on_sale))) > 0
    for plan in recommend(problem).plans:
        assert not (plan.parts.board.id == "kept-board" and plan.parts.cpu.id != "kept-cpu")


def test_a_sound_card_is_no_graphics_card() -> None:
    sound = Card(
        name="sound", kind="sound", bus="pcie", lanes=16, height="full", length_mm=150, outputs=("vga",)
    )
    graphics = sound.model_copy(update={"kind": "graphics"})
    found = []
    for card in (sound, graphics):
        problem = make_problem(survey=make_survey(cards=(card,)))
        parts = pick(problem, board="board-a", cpu="cpu-a", memory="kit-a*1")
        found.append(graphics_card(problem, parts.board, parts.case, parts.graphics))
    assert found[0] is None and found[1] is not None and found[1].kind == "graphics"
