"""What takes long, as tasks for a process of its own: everything that a task needs travels with it, and its
result comes back without the joined problem, which every process keeps for itself.

A problem stays joined between tasks: one of another survey or other wishes is joined onto the one before,
which keeps what still holds (problem/store.py).
"""

from __future__ import annotations

import json
import sys
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from decimal import Decimal
from pathlib import Path
from typing import Any, Literal

from partsolver.base.errors import InputRefused, NotDecided, PartsolverError, refuse
from partsolver.base.records import record
from partsolver.base.textfile import read_text
from partsolver.catalog.adding import add
from partsolver.catalog.lists.source import Unsettled
from partsolver.catalog.load import Catalog, load_catalog
from partsolver.catalog.sources import Wishes
from partsolver.desk.wished import wished_changes
from partsolver.explain.nothing import Nothing, why_nothing
from partsolver.explain.questions import question_values
from partsolver.explain.replan import replan, why_none
from partsolver.explain.why import why
from partsolver.explain.whynot import why_not
from partsolver.plan.choices import Choices
from partsolver.plan.outcome import Outcome
from partsolver.planfile.plan_file import PlanFile, read_plan_file, text_again
from partsolver.problem.join import changed, join
from partsolver.problem.problem import Problem
from partsolver.report.desk_views import SideView, money, plan_side
from partsolver.report.replan import replan_text
from partsolver.report.survey import import_clash, read_lines
from partsolver.report.words import desk as words
from partsolver.solve.short_answer import short_answer
from partsolver.solve.tradeoff import tradeoff
from partsolver.survey.collect import this_pc
from partsolver.survey.importing import OtherPc, gather, write_import
from partsolver.survey.load import read_survey

Kind = Literal["answer", "tradeoff", "why", "why-part", "why-wish", "weights", "replan", "dumps", "add"]
State = Literal["found", "refused", "unsettled", "undecided", "fault"]
# Hears which stage goes on, how much of it is done, and of how much (0: nobody knows).
Heard = Callable[[str, int, int], None]
MOST_PCS = 6


@record
class Task:
    """One piece of long work. ``key``: what it was made of, in short; ``what``: the part, wish or step it
    is about, or what a form said, as JSON; ``folder``: the catalogue; ``path``: the plan or survey file it
    works on; ``text``: the survey, or the plan file as the form saw it."""

    kind: Kind
    name: str
    key: str
    folder: Path | None
    text: str = ""
    use: str | None = None
    what: str = ""
    path: Path | None = None
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


@record
class SoldOut:
    """Old and new plan side by side. ``text``: all of it in words; ``document``: the new plan file, empty
    where there is no new plan, or none is to be kept yet."""

    old: SideView | None
    new: SideView | None
    stands: bool
    text: str
    document: str


@dataclass
class Held:
    """What one process keeps between tasks: the catalogue as last read, and the problems and the plan files
    joined of it, by PC."""

    catalog: tuple[object, Catalog] | None = None
    problems: OrderedDict[str, tuple[tuple[object, ...], Problem]] = field(default_factory=OrderedDict)
    plans: OrderedDict[str, tuple[tuple[object, ...], PlanFile]] = field(default_factory=OrderedDict)

    def catalog_of(self, folder: Path | None) -> tuple[object, Catalog]:
        """The catalogue of a folder with the state of its files, read again when they have changed."""
        assert folder is not None
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

    def plan_file(self, task: Task) -> PlanFile:
        """The plan file of a task, as its text says. Raises InputRefused, also where the file was written
        since."""
        assert task.path is not None
        stamp, catalog = (None, None) if task.folder is None else self.catalog_of(task.folder)
        known = self.plans.pop(task.name, None)
        if read_text(task.path) != task.text:
            raise refuse(task.path.name, words.STALE, hint=words.STALE_HINT)
        key = (stamp, task.path, task.text)
        if known is None or known[0] != key:
            known = (key, read_plan_file(task.path, catalog=catalog))
            if read_text(task.path) != task.text:
                raise refuse(task.path.name, words.STALE, hint=words.STALE_HINT)
        self.plans[task.name] = known
        while len(self.plans) > MOST_PCS:
            self.plans.popitem(last=False)
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


def _replan(task: Task, held: Held, heard: Heard) -> SoldOut:
    """A plan file solved again without what is gone and with other prices."""
    said = json.loads(task.what)
    stored = held.plan_file(task)
    # Old and new plan side by side need no more than these; the plans after the new one are for its file.
    changes = {} if said["to_keep"] else {"alternatives": 1}
    result = replan(stored, said["gone"], said["prices"], said["ordered"], changes)
    none = why_none(result, said["gone"])
    return SoldOut(
        None if result.old is None else plan_side(result.old, result.problem, "old"),
        None if result.new is None else plan_side(result.new, result.problem, "new"),
        result.still_stands,
        replan_text(result, none, False),
        text_again(stored, result.outcome, result.problem) if said["to_keep"] and result.new else "",
    )


def _dumps(task: Task, held: Held, heard: Heard) -> tuple[str, ...]:
    """Outputs of system tools into a survey; what was read and what stayed, in words."""
    assert task.path is not None
    said = json.loads(task.what)
    files = [(Path(name), data) for name, data in task.files]
    gathered = gather(files, this_pc() if said["this_pc"] else None, lambda n, of: heard("files", n, of))
    try:
        done = write_import(task.path, gathered, None, frozenset(said["take"]), said["keep"])
    except OtherPc as error:
        told = "; ".join(import_clash(clash) for clash in error.clashes)
        raise refuse(task.path.name, words.OTHER_PC, told) from None
    clashes = (*done.kept, *done.differing)
    return (*read_lines(gathered.read), *(import_clash(clash) for clash in clashes))


def _add(task: Task, held: Held, heard: Heard) -> Any:
    assert task.wishes is not None and task.folder is not None
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
    "replan": _replan,
    "dumps": _dumps,
    "add": _add,
}


def without_files(task: Task) -> Task:
    """A task as it is kept once its files have been handed on."""
    return replace(task, files=(), pasted=None)
