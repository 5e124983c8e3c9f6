"""`partsolver catalog ask`: the facts of parts on sale that matter for one PC, asked and kept at once."""

from __future__ import annotations

import dataclasses
import datetime
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from partsolver.base.errors import Fault, InputRefused, nearest, refuse
from partsolver.cli import options as o

if TYPE_CHECKING:
    from partsolver.explain.catalog_questions import FactQuestion, FactQuestions
    from partsolver.problem.problem import Problem

_HINT = 'Lines look like depth_mm = "244" below ["ID OF A PART"]'


def ask(
    survey: o.SurveyPath = None,
    catalog: o.CatalogDir = None,
    answers: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Answers (TOML, a table per part) in place of asking.")
    ] = None,
    demo: o.Demo = False,
    budget: o.Budget = None,
    use: o.UseName = None,
    goal: o.Goal = None,
    min_speedup: o.MinSpeedup = None,
    without: o.Without = None,
    replace: o.Replace = None,
    min_memory_gb: o.MinMemory = None,
    os: o.Os = None,
    format: o.OutputFormat = "text",
) -> int:
    """Which of the facts missing in a catalogue matter for this PC; on a terminal each is asked and kept."""
    from partsolver.report import catalog_questions as report

    wishes = {
        "budget": budget,
        "use": use,
        "goal": goal,
        "min_speedup": min_speedup,
        "without": without,
        "replace": replace,
        "min_memory_gb": min_memory_gb,
        "os": os,
    }
    problem = o.load_problem(survey, catalog, o.overrides(**wishes), demo=demo)
    if answers is not None:
        count = _keep(problem, _answers(answers), str(answers))
        o.remark(f"{count} answer{'' if count == 1 else 's'} kept in {problem.source.folder}")
        problem = _again(problem)
    found = _weighed(problem)
    asking = answers is None and format == "text" and sys.stdin.isatty() and _is_store(problem)
    if asking and found.questions:
        return _talk(problem, found)
    if format == "json":
        sys.stdout.write(report.ask_json(found, problem))
    else:
        sys.stdout.write(report.ask_text(found, problem, _keeping(problem)))
    return 0


def _keeping(problem: Problem) -> str | None:
    """The options with which `catalog set` finds this catalogue; None where nothing can be kept in it."""
    from partsolver.cli.survey_common import typed_again

    folder = problem.source.folder
    if not _is_store(problem):
        return None
    return "" if Path(folder) == Path(o.OWN_FOLDER) else typed_again(catalog=folder)


def _weighed(problem: Problem) -> FactQuestions:
    from partsolver.cli.progress import working
    from partsolver.explain.catalog_questions import fact_questions

    with working("solving with the better and the worse end"):
        return fact_questions(problem)


def _is_store(problem: Problem) -> bool:
    from partsolver.catalog.store import holds_store

    return holds_store(Path(problem.source.folder))


def _again(problem: Problem) -> Problem:
    """The problem with the catalogue as it is now."""
    from partsolver.catalog.load import load_catalog
    from partsolver.problem.join import join

    return join(problem.survey, load_catalog(problem.source.folder), problem.brief)


def _keep(problem: Problem, cells: Sequence[tuple[str, str, str]], where: str = "") -> int:
    """Keep a person's word on cells (part, column, text), all or none. ``where``: the file they come from.
    Raises InputRefused with every fault."""
    from partsolver.catalog.store.changing import changing
    from partsolver.catalog.store.questions import set_cells

    folder = Path(problem.source.folder)
    if not _is_store(problem):
        raise refuse(
            str(folder),
            "there is no store in this folder, so no answer can be kept",
            hint=f"Type it into the tables, or make a store: partsolver catalog add {folder} --into parts",
        )
    today = datetime.date.today()
    faults: list[Fault] = []
    with changing(folder) as connection:
        for part, column, text in cells:
            try:
                set_cells(connection, part, [(column, text)], today)
            except InputRefused as error:
                place = f"{where} [{part}]".strip()
                faults += [
                    dataclasses.replace(fault, where=f"{place} {fault.where}") for fault in error.faults
                ]
        if faults:
            raise InputRefused(faults)
    return len(cells)


def _answers(path: Path) -> list[tuple[str, str, str]]:
    """(part, column, text) of a file of answers; what says "unknown" or "?" is none. Raises InputRefused
    with every fault."""
    from partsolver.base.documents import parse_toml
    from partsolver.base.textfile import read_text
    from partsolver.catalog.dictionary import columns

    names = {name for table in columns().values() for name in table}
    found: list[tuple[str, str, str]] = []
    faults: list[Fault] = []
    for part, cells in parse_toml(read_text(path), str(path), _HINT).items():
        if not isinstance(cells, dict):
            faults.append(Fault(f"{path} {part}", "stands below no part", str(cells), None, _HINT))
            continue
        for column, value in cells.items():
            if column not in names:
                near = nearest(column, names)
                faults.append(Fault(f"{path} [{part}] {column}", "no such column", None, None, near))
            elif isinstance(value, dict | list):
                faults.append(Fault(f"{path} [{part}] {column}", "not one value", str(value), None, _HINT))
            elif (text := _text(value)) not in ("unknown", "?", ""):
                found.append((part, column, text))
    if faults:
        raise InputRefused(faults)
    return found


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value).strip()


def _talk(problem: Problem, found: FactQuestions) -> int:
    """Ask one question after another; each answer is kept, and what matters then is computed anew."""
    from partsolver.report import catalog_questions as report

    passed: set[str] = set()
    o.remark(report.count_line(found, problem))
    o.remark(report.HOW_TO_ANSWER)
    while True:
        question = next((q for q in found.questions if q.path not in passed), None)
        if question is None:
            break
        print(report.prompt_text(question, problem), end="", file=sys.stderr, flush=True)
        line = sys.stdin.readline()
        if not line or line.strip().casefold() == "stop":
            break
        text = _said(line.strip(), question)
        passed.add(question.path)
        if not text:
            continue
        try:
            _keep(problem, [(question.part, question.column, text)])
        except InputRefused as error:
            o.remark(str(error))
            passed.discard(question.path)
            continue
        problem = _again(problem)
        found = _weighed(problem)
    o.remark(report.count_line(found, problem))
    return 0


def _said(line: str, question: FactQuestion) -> str:
    """What an answer says: the cell's text, or "" for don't know."""
    from partsolver.report.words.cells import value_text

    if line in ("", "?") or line.casefold() == "unknown":
        return ""
    if question.value is not None and line.casefold() == "ok":
        return value_text(question.value)
    return line
