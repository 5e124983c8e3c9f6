"""Joined problems, kept between requests, so that a changed wish is answered at once; what takes long is
asked of processes of their own (workers.py).

What is kept is keyed by what it was made of: the survey's text and the state of the catalogue's files. A
problem made of another survey is joined onto the one before, which keeps what still holds (problem/store.py).
"""

from __future__ import annotations

import hashlib
import json
import secrets
import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Any, TypeVar

from partsolver.base.errors import NotDecided, refuse
from partsolver.base.textfile import read_text
from partsolver.catalog.load import Catalog, load_catalog
from partsolver.desk.folder import Folder, PcFiles
from partsolver.desk.tasks import Kind, Task, Weight, joined, stamp_of
from partsolver.desk.workers import PATIENCE_S, Job, Pool
from partsolver.explain.nothing import Nothing
from partsolver.plan.choices import Choices
from partsolver.plan.outcome import Outcome
from partsolver.planfile.plan_file import PlanFile, read_plan_file
from partsolver.problem.join import changed
from partsolver.problem.problem import Problem
from partsolver.report.words import desk as words
from partsolver.solve.tradeoff import Tradeoff

MOST_PCS = 6
# A question waits no longer for what hangs on it.
WEIGHTS_PATIENCE_S = 1.0
T = TypeVar("T")


@dataclass
class _Entry:
    """One PC's problem and what was computed of it, by name."""

    text: str
    stamp: object
    problem: Problem
    found: dict[str, Any] = field(default_factory=dict)


class Warm:
    """Problems of a folder. One thread at a time works on one PC."""

    def __init__(
        self, folder: Folder, usual_use: str | None = None, usual_catalog: Path | None = None
    ) -> None:
        self.folder, self.usual_use, self.usual_catalog = folder, usual_use, usual_catalog
        self.pool = Pool()
        self._catalog: tuple[object, Catalog] | None = None
        self._entries: OrderedDict[str, _Entry] = OrderedDict()
        self._plans: OrderedDict[str, tuple[str, Catalog, PlanFile]] = OrderedDict()
        self._locks: dict[str, threading.RLock] = {}
        self._guard = threading.Lock()

    def lock(self, name: str) -> threading.RLock:
        """Whoever reads and writes the files of a PC, or works on its problem, holds this."""
        with self._guard:
            return self._locks.setdefault(name, threading.RLock())

    @property
    def catalog_folder(self) -> Path | None:
        """As the commands choose it: beside the surveys, else that of the settings, else none."""
        return self.folder.parts if self.folder.has_parts else self.usual_catalog

    def catalog(self) -> Catalog:
        """The catalogue, read again when its files have changed. Raises InputRefused where there is none."""
        folder = self.catalog_folder
        if folder is None:
            raise refuse(words.PARTS_NAME, words.NO_PARTS, hint=words.NO_PARTS_HINT)
        with self.lock("/parts"):
            stamp = stamp_of(folder)
            if self._catalog is None or self._catalog[0] != stamp:
                self._catalog = (stamp, load_catalog(folder))
            return self._catalog[1]

    def entry(self, pc: PcFiles) -> _Entry:
        text = read_text(pc.survey)
        catalog = self.catalog()
        with self.lock(pc.name):
            known = self._entries.get(pc.name)
            stamp = (self._catalog or (None,))[0]
            if known is None or known.text != text or known.stamp != stamp:
                like = known.problem if known is not None and known.stamp == stamp else None
                known = _Entry(text, stamp, joined(text, str(pc.survey), self.usual_use, catalog, like))
                self._entries[pc.name] = known
            self._entries.move_to_end(pc.name)
            while len(self._entries) > MOST_PCS:
                self._entries.popitem(last=False)
            return known

    def problem(self, pc: PcFiles) -> Problem:
        """The PC's problem as its files are now. Raises InputRefused."""
        return self.entry(pc).problem

    def outcome(
        self, pc: PcFiles, patience_s: float = PATIENCE_S
    ) -> tuple[Problem, Outcome, Choices | None, Nothing | None]:
        """The short answer of `recommend`, with the problem that it answers."""
        problem, found = self._result(pc, "answer", "", patience_s)
        if found.leave_out:
            _, problem = self.once(pc, "left out", lambda whole: changed(whole, leave_out=found.leave_out))
        return problem, found.outcome, found.choices, found.nothing

    def tradeoff(self, pc: PcFiles, percent: Decimal) -> tuple[Problem, Tradeoff]:
        """The exact trade-off with steps of so many per cent."""
        return self._result(pc, "tradeoff", f"{percent:f}")

    def why(self, pc: PcFiles, kind: Kind = "why", what: str = "") -> tuple[Problem, Any]:
        """Why there is no plan; why not a part (``why-part``); what a wish would take (``why-wish``)."""
        return self._result(pc, kind, what)

    def weighing(self, pc: PcFiles) -> Job | None:
        """The job that weighs the open questions; None where no plan can be looked for."""
        if self.catalog_folder is None:
            return None
        return self.pool.job(self._task(pc, "weights", ""))

    def weights(self, pc: PcFiles, patience_s: float = WEIGHTS_PATIENCE_S) -> tuple[Weight, ...] | None:
        """What hangs on each open question; None while it is computed, empty where no plan can be looked
        for."""
        job = self.weighing(pc)
        if job is None:
            return ()
        if not self.pool.wait(job, patience_s) or job.state == "stopped":
            return None
        found: tuple[Weight, ...] = job.value if job.state == "found" else ()
        return found

    def sold_out(
        self,
        pc: PcFiles,
        gone: Sequence[str],
        prices: Mapping[str, str],
        ordered: Sequence[str],
        to_keep: bool = False,
    ) -> Job:
        """The job that solves the PC's plan again without what is gone and with other prices; ``to_keep``: with
        the plan file, and the plans that come after the new one in it."""
        path, folder = pc.file_beside("plan"), self.catalog_folder
        text = read_text(path)
        stamp = None if folder is None else stamp_of(folder)
        key = hashlib.sha256(repr((text, stamp)).encode()).hexdigest()
        said = {
            "gone": sorted(gone),
            "prices": dict(sorted(prices.items())),
            "ordered": sorted(ordered),
            "to_keep": to_keep,
        }
        return self.pool.job(Task("replan", pc.name, key, folder, text, None, json.dumps(said), path))

    def dumps(self, pc: PcFiles, files: Sequence[tuple[str, bytes]], **said: Any) -> Job:
        """The job that reads outputs of system tools into the PC's survey (``said``: take, keep,
        this_pc)."""
        return self.pool.job(
            Task(
                "dumps", pc.name, secrets.token_hex(8), None,
                what=json.dumps(said), path=pc.survey, files=tuple(files),
            )
        )  # fmt: skip

    def _task(self, pc: PcFiles, kind: Kind, what: str) -> Task:
        folder = self.catalog_folder
        if folder is None:
            raise refuse(words.PARTS_NAME, words.NO_PARTS, hint=words.NO_PARTS_HINT)
        text = read_text(pc.survey)
        key = hashlib.sha256(repr((text, stamp_of(folder), self.usual_use)).encode()).hexdigest()
        return Task(kind, pc.name, key, folder, text, self.usual_use, what)

    def _result(
        self, pc: PcFiles, kind: Kind, what: str, patience_s: float = PATIENCE_S
    ) -> tuple[Problem, Any]:
        """The PC's problem and what a task found in it. Raises Working while it goes on, and what the task
        raised."""
        for _ in range(2):
            job = self.pool.job(self._task(pc, kind, what))
            found = self.pool.result(job, patience_s)
            problem = self.problem(pc)
            digest, value = (found.digest, found) if kind == "answer" else found
            if digest == problem.catalog.digest:
                return problem, value
            self.pool.forget(job)  # the catalogue was written meanwhile
        raise NotDecided(words.CATALOG_MOVES)

    def plan_file(self, pc: PcFiles) -> PlanFile:
        """The plan file of a PC in the catalogue of today, joined once. Raises InputRefused."""
        path = pc.file_beside("plan")
        if self.catalog_folder is None:
            return read_plan_file(path)
        with self.lock(pc.name):
            catalog, text = self.catalog(), read_text(path)
            known = self._plans.get(pc.name)
            if known is None or known[0] != text or known[1] is not catalog:
                known = (text, catalog, read_plan_file(path, catalog=catalog))
                self._plans[pc.name] = known
            self._plans.move_to_end(pc.name)
            while len(self._plans) > MOST_PCS:
                self._plans.popitem(last=False)
            return known[2]

    def once(self, pc: PcFiles, what: str, work: Callable[[Problem], T]) -> tuple[Problem, T]:
        """What a computation gives for the PC as it is now, computed once."""
        with self.lock(pc.name):
            entry = self.entry(pc)
            if what not in entry.found:
                entry.found[what] = work(entry.problem)
            return entry.problem, entry.found[what]
