"""Hypothesis profiles and the ``full`` marker.

``PARTSOLVER_FULL=1``: many examples and the tests marked ``full``; in CI (``CI=1``): few, always the same;
otherwise (at the desk): fewest, new ones each time. Speed is measured in benchmarks/, so there is no
deadline.
"""

from __future__ import annotations

import os

import pytest
from hypothesis import HealthCheck, Phase, settings

FULL = os.environ.get("PARTSOLVER_FULL") == "1"
_COMMON = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow, HealthCheck.data_too_large]}

# Making a failing example small takes minutes (every try is a solve): at the desk, not in CI.
_QUICK = (Phase.explicit, Phase.reuse, Phase.generate)

settings.register_profile("dev", max_examples=6, phases=(*_QUICK, Phase.shrink), **_COMMON)
settings.register_profile("ci", max_examples=12, derandomize=True, print_blob=True, phases=_QUICK, **_COMMON)
settings.register_profile("full", max_examples=250, print_blob=True, phases=_QUICK, **_COMMON)
settings.load_profile("full" if FULL else "ci" if os.environ.get("CI") else "dev")


# What may be left out on a machine, and why nothing is lost by it. In CI any other skip fails the run
# (`pytest_sessionfinish`): a test that is never run proves nothing.
MAY_BE_SKIPPED = {
    "long run: set PARTSOLVER_FULL=1": "shorter runs of the same tests stand beside each",
    "half a minute of plain loops": "the same on a smaller catalogue stands beside it",
    "the public dumps are not here": "other people's data, not ours to copy; invented dumps are read instead",
    "no real dumps here": "the same",
    "the public test pages are not on this machine": "the same; invented pages are read instead",
    "the reference is not here": "its vectors are typed in the tests beside it",
    "the table of published codes is not here": "415 of its 450 rows are recorded as a tool prints them",
    "dmidecode is not installed": "what it prints is recorded",
    "not a clone": "an unpacked wheel has no lock",
    "no chromium here": ".ci/run runs these by themselves, and says NOT RUN where it cannot",
    "no axe-core here (npm install --prefix .axe axe-core)": "the same",
    "could not import 'playwright.sync_api': No module named 'playwright'": "the same",
    "could not import 'cosmic_ray': No module named 'cosmic_ray'": "the tool of the extra mutants",
    "could not import 'coverage': No module named 'coverage'": "the same",
    "no ip or no curl here": "a network of its own, where the machine allows one",
    "no network namespace may be made here": "the same",
    "there is no safe fork here": "Windows: one worker, tested beside it",
    "needs bash": "Windows",
    "needs /proc": "Linux only",
    "no device that is always full": "POSIX only",
    "modes, links and devices of POSIX": "POSIX only",
    "whoever may do anything may write anywhere": "the same for a place below a file",
}


class _Skips:
    """The reasons of all skips of a run, with one test each; under xdist the controller sees all reports."""

    def __init__(self) -> None:
        self.others: dict[str, str] = {}

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self._note(report)

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        self._note(report)

    def _note(self, report: pytest.TestReport | pytest.CollectReport) -> None:
        if report.skipped and isinstance(report.longrepr, tuple) and not hasattr(report, "wasxfail"):
            reason = report.longrepr[2].removeprefix("Skipped: ")
            if reason not in MAY_BE_SKIPPED:
                self.others.setdefault(reason, report.nodeid)

    def pytest_sessionfinish(self, session: pytest.Session) -> None:
        if self.others and os.environ.get("CI") and not hasattr(session.config, "workerinput"):
            session.exitstatus = pytest.ExitCode.TESTS_FAILED

    def pytest_terminal_summary(self, terminalreporter: pytest.TerminalReporter) -> None:
        for reason, test in self.others.items():
            terminalreporter.write_line(
                f"skipped for a reason that tests/conftest.py does not allow: {reason} ({test})"
            )


def pytest_configure(config: pytest.Config) -> None:
    """Watch the skips."""
    config.pluginmanager.register(_Skips(), "skips")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out the long runs unless they are asked for."""
    if FULL:
        return
    skip = pytest.mark.skip(reason="long run: set PARTSOLVER_FULL=1")
    for item in items:
        if item.get_closest_marker("full"):
            item.add_marker(skip)
