"""What takes long, as tasks for a process of its own: everything that a task needs travels with it, and its
result comes back without the joined problem, which every process keeps for itself.

A problem stays joined between tasks: one of another survey or other wishes is joined onto the one before,
which keeps what still holds (problem/store.py).
"""

from __future__ import annotations

import sys
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from decimal import Decimal
from pathlib import Path
from typing import Any, Literal

from partsolver.base.errors import InputRefused, NotDecided, PartsolverError
from partsolver.base.records import record
from partsolver.catalog.adding import add
from partsolver.catalog.lists.source import Unsettled
from partsolver.catalog.load import Catalog, load_catalog
from partsolver.catalog.sources import Wishes
from partsolver.desk.wished import wished_changes
from partsolver.explain.nothing import Nothing, why_nothing
from partsolver.explain.questions import question_values
from partsolver.explain.why import why
from partsolver.explain.whynot import why_not
from partsolver.plan.choices import Choices
from partsolver.plan.outcome import Outcome
from partsolver.problem.join import changed, join
from partsolver.problem.problem import Problem
from partsolver.report.desk_views import money
from partsolver.solve.short_answer import short_answer
from partsolver.solve.tradeoff import tradeoff
from partsolver.survey.load import read_survey

Kind = Literal["answer", "tradeoff", "why", "why-part", "why-wish", "weights", "add"]
State = Literal["found", "refused", "unsettled", "undecided", "fault"]
# Hears which stage goes on, how much of it is done, and of how much (0: nobody knows).
Heard = Callable[[str, int, int], None]
MOST_PCS = 6


@record
class Task:
    """One piece of long work. ``key``: what it was made of, in short; ``what``: the part, wish or step it
    is about."""

    kind: Kind
    name: str
    key: str
    folder: Path
    text: str = ""
    use: str | None = None
    what: str = ""
    files: tuple[tuple[str, bytes], ...] = ()
    pasted: bytes | None = None
    wishes: Wishes | None = None


@record
class Weight:
    """What hangs on one question: money at risk and money of cost in words (empty: none), thousandths of
    the time."""

    path: str
    at_risk: str
    money: str
    time_permille: int
    needed: bool
    matters: bool


@record
class Answered:
    """The short answer. ``leave_out``: the optional things left out in the problem that it answers;
    ``digest``: of the catalogue it was found in."""

    digest: str
    leave_out: tuple[str, ...]
    outcome: Outcome
    choices: Choices | None
    nothing: Nothing | None


@dataclass
class Held:
    """What one process keeps between tasks: the catalogue as last read, and the problems joined of it, by
    PC."""

    catalog: tuple[object, Catalog] | None = None
    problems: OrderedDict[str, tuple[tuple[object, ...], Problem]] = field(default_factory=OrderedDict)

    def catalog_of(self, folder: Path) -> tuple[object, Catalog]:
        """The catalogue of a folder with the state of its files, read again when they have changed."""
        stamp = (folder, stamp_of(folder))
        if self.catalog is None or self.catalog[0] != stamp:
            self.catalog = (stamp, load_catalog(folder))
        return self.catalog

    def problem(self, task: Task) -> Problem:
        """The problem of a task's survey and catalogue. Raises InputRefused."""
        stamp, catalog = self.catalog_of(task.folder)
        key = (stamp, task.text, task.use)
        known = self.problems.pop(task.name, None)
        if known is None or known[0] != key:
            like = known[1] if known is not None and known[0][0] == stamp else None
            known = (key, joined(task.text, task.name, task.use, catalog, like))
        self.problems[task.name] = known
        while len(self.problems) > MOST_PCS:
            self.problems.popitem(last=False)
        return known[1]


def joined(text: str, name: str, use: str | None, catalog: Catalog, like: Problem | None = None) -> Problem:
    """The problem of a survey's text, with the use that the settings name where the survey names none."""
    survey, brief = read_survey(text, name)
    if use is not None and "use" not in brief.model_fields_set:
        brief = brief.model_copy(update={"use": use})
    return join(survey, catalog, brief, like)


def stamp_of(folder: Path) -> tuple[tuple[str, int, int], ...]:
    """The state of a catalogue's files, without reading them. SQLite's own notes beside a store are left
    out of it: they come and go while it is read."""
    found = []
    for path in folder.iterdir():
        if path.name.endswith(("-shm", "-journal")):
            continue
        try:
            stat = path.stat()
        except FileNotFoundError:
            continue
        if stat.st_size or not path.name.endswith("-wal"):
            found.append((path.name, stat.st_mtime_ns, stat.st_size))
    return tuple(sorted(found))


def answered(task: Task, held: Held, heard: Heard) -> tuple[State, Any]:
    """A task done: its result, or what a person has to be told instead."""
    try:
        return "found", _TASKS[task.kind](task, held, heard)
    except Unsettled as unsettled:
        return "unsettled", (unsettled.faults, unsettled.questions)
    except InputRefused as error:
        return "refused", error.faults
    except NotDecided as error:
        return "undecided", str(error)
    except Exception as error:
        import traceback

        last = traceback.extract_tb(error.__traceback__)[-1]
        return "fault", f"{type(error).__name__}: {error} at {last.filename}:{last.lineno}"


def _answer(task: Task, held: Held, heard: Heard) -> Answered:
    problem = held.problem(task)
    chosen, outcome, found = short_answer(
        problem,
        progress=lambda done, total: heard("plans", done, total),
        differing=lambda done, total: heard("differ", done, total),
    )
    nothing = why_nothing(chosen, outcome) if outcome.plans else None
    left = chosen.brief.leave_out if chosen is not problem else ()
    return Answered(problem.catalog.digest, left, outcome, found, nothing)


def _tradeoff(task: Task, held: Held, heard: Heard) -> Any:
    problem = held.problem(task)
    wanted = changed(problem, resolution_percent=f"{Decimal(task.what):f}", goal="speed")
    return problem.catalog.digest, tradeoff(wanted, progress=lambda done: heard("points", done, 0))


def _why(task: Task, held: Held, heard: Heard) -> Any:
    problem = held.problem(task)
    return problem.catalog.digest, why(problem)


def _why_part(task: Task, held: Held, heard: Heard) -> Any:
    problem = held.problem(task)
    return problem.catalog.digest, why_not(problem, task.what)


def _why_wish(task: Task, held: Held, heard: Heard) -> Any:
    problem = held.problem(task)
    return problem.catalog.digest, why(changed(problem, **wished_changes(task.what)))


def _weights(task: Task, held: Held, heard: Heard) -> tuple[Weight, ...]:
    """The weights of the open questions, the most valuable first; none where no question can be weighed."""
    try:
        problem = held.problem(task)
        found = question_values(problem, progress=lambda done, total: heard("weights", done, total)).values
    except PartsolverError as error:
        print(f"partsolver desk: questions not weighed: {error}", file=sys.stderr)
        return ()
    return tuple(
        Weight(
            value.path,
            money(value.at_risk, problem) if value.at_risk else "",
            money(value.money, problem) if value.money else "",
            value.time_permille,
            value.needed,
            value.matters,
        )
        for value in found
    )


def _add(task: Task, held: Held, heard: Heard) -> Any:
    assert task.wishes is not None
    return add(
        [Path("-")] if task.pasted else [],
        task.folder,
        task.wishes,
        task.pasted,
        sent=task.files,
        progress=lambda done, total: heard("files", done, total),
    )


_TASKS: dict[Kind, Callable[[Task, Held, Heard], Any]] = {
    "answer": _answer,
    "tradeoff": _tradeoff,
    "why": _why,
    "why-part": _why_part,
    "why-wish": _why_wish,
    "weights": _weights,
    "add": _add,
}


def without_files(task: Task) -> Task:
    """A task as it is kept once its files have been handed on."""
    return replace(task, files=(), pasted=None)
