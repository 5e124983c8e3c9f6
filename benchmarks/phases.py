"""Phase times inside one process: load, join, prune, build, solve, explain, report.

The functions that do the phases are wrapped for the time of one measurement; the outermost wrapped call gets
the time, so that the solves inside "explain" (what is left when a part sells out) count there. A function
that the product does not have any more leaves its phase at 0, and the table says "-".
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from benchmarks.specs import PHASES, SURVEY, Spec

# module or class, function, phase
WRAPPED = (
    ("partsolver.solve.recommend", "screened", "prune"),
    ("partsolver.solve.ranking", "within", "prune"),
    ("partsolver.solve.ranking", "within_rank", "prune"),
    ("partsolver.solve.ranking", "faster_than", "prune"),
    ("partsolver.search.search.Search", "fastest", "prune"),
    ("partsolver.search.search.Search", "best", "prune"),
    ("partsolver.search.search.Search", "cheap", "prune"),
    ("partsolver.solve.ranking", "build", "build"),
    ("partsolver.solve.ranking", "minimise", "solve"),
    ("partsolver.solve.ranking", "break_tie", "solve"),
    ("partsolver.solve.ranking", "completed", "explain"),
    ("partsolver.solve.ranking", "make_plan", "explain"),
    ("partsolver.solve.recommend", "exposed", "explain"),
    ("partsolver.solve.answer", "count_rules", "explain"),
)


class Clock:
    """Seconds by phase; only the outermost phase runs."""

    def __init__(self) -> None:
        self.seconds = dict.fromkeys(PHASES, 0.0)
        self._busy = False

    def timed(self, phase: str, function: Callable[..., Any]) -> Callable[..., Any]:
        def run(*args: Any, **kwargs: Any) -> Any:
            if self._busy:
                return function(*args, **kwargs)
            self._busy = True
            start = time.perf_counter()
            try:
                return function(*args, **kwargs)
            finally:
                self.seconds[phase] += time.perf_counter() - start
                self._busy = False

        return run


@contextmanager
def wrapped(clock: Clock) -> Iterator[None]:
    """The product's functions with a clock around them."""
    from pkgutil import resolve_name

    replaced = []
    for module_name, name, phase in WRAPPED:
        owner: Any = resolve_name(module_name)
        if hasattr(owner, name):
            original = getattr(owner, name)
            replaced.append((owner, name, original))
            setattr(owner, name, clock.timed(phase, original))
    try:
        yield
    finally:
        for module, name, original in replaced:
            setattr(module, name, original)


def load_problem(
    spec: Spec, folder: Path, clock: Clock | None = None, survey_path: Path = SURVEY, **brief: object
) -> Any:
    """The problem of a spec (wishes in ``brief`` go over the spec's)."""
    from partsolver.catalog.load import load_catalog
    from partsolver.cli.options import change_brief
    from partsolver.problem.join import join
    from partsolver.survey.load import load_survey

    clock = clock or Clock()
    survey, own = clock.timed("load", load_survey)(survey_path)
    catalog = clock.timed("load", load_catalog)(folder)
    return clock.timed("join", join)(survey, catalog, change_brief(own, {**spec.brief, **brief}))


def measure_phases(spec: Spec, folder: Path) -> tuple[dict[str, float], str]:
    """Seconds by phase of one whole recommendation, and its outcome. Imports are done before the clock
    starts."""
    import ortools.sat.python.cp_model  # noqa: F401
    import pandas  # noqa: F401

    from partsolver.report import json as report_json
    from partsolver.report.document import dump
    from partsolver.solve.answer import answer

    clock = Clock()
    with wrapped(clock):
        problem = load_problem(spec, folder, clock)
        outcome = answer(problem)
        clock.timed("report", lambda: dump(report_json.recommendation(outcome, problem)))()
    return clock.seconds, outcome.status
