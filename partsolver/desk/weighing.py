"""What hangs on each open question, computed in a process of its own: it may take a minute, and a page waits for
nothing. An answer given meanwhile makes the work worthless: it is then stopped, and begun with the new survey.
"""

from __future__ import annotations

import multiprocessing
import sys
import threading
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any

from partsolver.base.errors import PartsolverError
from partsolver.base.records import record

# A page waits so long for figures that are nearly there.
PATIENCE_S = 1.0


@record
class Weight:
    """What hangs on one question: money at risk and money of cost in words (empty: none), thousandths of the time."""

    path: str
    at_risk: str
    money: str
    time_permille: int
    needed: bool
    matters: bool


Key = tuple[str, str]


@dataclass
class _Work:
    key: Key
    process: BaseProcess
    end: Connection


class Weighing:
    """One piece of work for each PC at most."""

    def __init__(self) -> None:
        method = "forkserver" if "forkserver" in multiprocessing.get_all_start_methods() else "spawn"
        self._context: Any = multiprocessing.get_context(method)
        if method == "forkserver":
            self._context.set_forkserver_preload(["partsolver.desk.weighing", "partsolver.explain.questions"])
        self._running: dict[str, _Work] = {}
        self._found: dict[str, tuple[Key, tuple[Weight, ...] | None]] = {}
        self._guard = threading.Lock()

    def weights(
        self, name: str, key: Key, folder: Path, text: str, use: str | None, patience_s: float = PATIENCE_S
    ) -> tuple[Weight, ...] | None:
        """The weights for a survey's text and a catalogue (``key``: both in short), the most valuable question first;
        None while they are computed."""
        with self._guard:
            known = self._found.get(name)
            if known is not None and known[0] == key:
                return known[1] or ()
            work = self._running.get(name)
            if work is not None and work.key != key:
                self._stop(name)
                work = None
            if work is None:
                own, other = self._context.Pipe(duplex=False)
                process = self._context.Process(target=_weigh, args=(other, folder, text, use), daemon=True)
                process.start()
                other.close()
                work = self._running[name] = _Work(key, process, own)
        if not work.end.poll(patience_s):
            return None
        with self._guard:
            if self._running.get(name) is not work:
                return None
            try:
                found = work.end.recv()  # our own child's: nobody else holds the pipe
            except EOFError:
                found = None
            self._stop(name)
            self._found[name] = (key, found)
        return found or ()

    def stop(self) -> None:
        """Stop whatever runs."""
        with self._guard:
            for name in list(self._running):
                self._stop(name)

    def _stop(self, name: str) -> None:
        work = self._running.pop(name)
        work.process.kill()
        work.process.join(1)
        work.end.close()


def _weigh(end: Connection, folder: Path, text: str, use: str | None) -> None:
    end.send(weigh(folder, text, use))
    end.close()


def weigh(folder: Path, text: str, use: str | None) -> tuple[Weight, ...] | None:
    """The whole work: the weights, or None where no question can be weighed."""
    from partsolver.catalog.load import load_catalog
    from partsolver.explain.questions import question_values
    from partsolver.problem.join import join
    from partsolver.report.desk_views import money
    from partsolver.survey.load import read_survey

    try:
        survey, brief = read_survey(text, "survey")
        if use is not None and "use" not in brief.model_fields_set:
            brief = brief.model_copy(update={"use": use})
        problem = join(survey, load_catalog(folder), brief)
        return tuple(
            Weight(
                value.path,
                money(value.at_risk, problem) if value.at_risk else "",
                money(value.money, problem) if value.money else "",
                value.time_permille,
                value.needed,
                value.matters,
            )
            for value in question_values(problem).values
        )
    except PartsolverError as error:
        print(f"partsolver desk: questions not weighed: {error}", file=sys.stderr)
        return None
