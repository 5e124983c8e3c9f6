"""Joined problems and their answers, kept between requests, so that a changed wish is answered at once.

What is kept is keyed by what it was made of: the survey's text and the state of the catalogue's files. A problem made
of another survey is joined onto the one before, which keeps what still holds (problem/store.py).
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Any, TypeVar

from partsolver.base.errors import refuse
from partsolver.base.textfile import read_text
from partsolver.catalog.load import Catalog, load_catalog
from partsolver.desk.folder import Folder, PcFiles
from partsolver.desk.weighing import Weighing, Weight
from partsolver.plan.choices import Choices
from partsolver.plan.outcome import Outcome
from partsolver.problem.join import changed, join
from partsolver.problem.problem import Problem
from partsolver.report.words import desk as words
from partsolver.solve.choices import choices
from partsolver.solve.left_out import answer_with_left_out
from partsolver.solve.tradeoff import Tradeoff, tradeoff
from partsolver.survey.load import read_survey

MOST_PCS = 6
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
        self.weighing = Weighing()
        self._catalog: tuple[object, Catalog] | None = None
        self._entries: OrderedDict[str, _Entry] = OrderedDict()
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
            stamp = _stamp(folder)
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
                survey, brief = read_survey(text, str(pc.survey))
                if self.usual_use is not None and "use" not in brief.model_fields_set:
                    brief = brief.model_copy(update={"use": self.usual_use})
                known = _Entry(text, stamp, join(survey, catalog, brief, like))
                self._entries[pc.name] = known
            self._entries.move_to_end(pc.name)
            while len(self._entries) > MOST_PCS:
                self._entries.popitem(last=False)
            return known

    def problem(self, pc: PcFiles) -> Problem:
        """The PC's problem as its files are now. Raises InputRefused."""
        return self.entry(pc).problem

    def outcome(self, pc: PcFiles) -> tuple[Problem, Outcome, Choices | None]:
        """The short answer of `recommend`."""

        def solve(problem: Problem) -> tuple[Problem, Outcome, Choices | None]:
            chosen, found = answer_with_left_out(problem)
            return chosen, found, choices(chosen, found) if found.plans else None

        _, found = self.once(pc, "answer", solve)
        return found

    def tradeoff(self, pc: PcFiles, percent: Decimal) -> tuple[Problem, Tradeoff]:
        """The exact trade-off with steps of so many per cent."""

        def solve(problem: Problem) -> Tradeoff:
            return tradeoff(changed(problem, resolution_percent=f"{percent:f}", goal="speed"))

        return self.once(pc, f"tradeoff {percent}", solve)

    def weights(self, pc: PcFiles) -> tuple[Weight, ...] | None:
        """What hangs on each open question; None while it is computed, empty where no plan can be looked for."""
        folder = self.catalog_folder
        if folder is None:
            return ()
        text = read_text(pc.survey)
        key = (text, repr(_stamp(folder)))
        return self.weighing.weights(pc.name, key, folder, text, self.usual_use)

    def once(self, pc: PcFiles, what: str, work: Callable[[Problem], T]) -> tuple[Problem, T]:
        """What a computation gives for the PC as it is now, computed once."""
        with self.lock(pc.name):
            entry = self.entry(pc)
            if what not in entry.found:
                entry.found[what] = work(entry.problem)
            return entry.problem, entry.found[what]


def _stamp(folder: Path) -> object:
    """The state of a catalogue's files, without reading them."""
    return tuple(
        sorted((path.name, path.stat().st_mtime_ns, path.stat().st_size) for path in folder.iterdir())
    )
