"""Which tests run which lines, and what each costs: ``python -m mutants.reach``, from the folder ``tests``.

One run of the tests under coverage.py, each test in a context of its own. `run.py` then asks about a changed line
only the tests that run it, quickest first. Kept in a folder, one JSON file per test file; a second run takes again
only the test files whose text changed, all of them when the program changed.

A test that takes more than ``SECONDS`` of processor is not used, nor is one that fails or is skipped.
"""

from __future__ import annotations

import argparse
import hashlib
import importlib
import json
import os
import signal
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType

import coverage
import pytest
from mutants.choose import NEVER, ROOT, dotted
from mutants.tree import OPTIONS, Tree

ROOMS = ("rules", "standards", "assembly", "performance", "plan", "search", "model")
FOLDER = Path("/tmp/mutants-reach")
SECONDS = 5.0
# What asks the seven rooms in their own process. The others start processes, talk to a browser, or ask the readers.
ASKED = [
    *("rules", "standards", "assembly", "performance", "plan", "search", "model"),
    *("problem", "solve", "properties", "report", "sheet"),
    *("test_cases.py", "test_replacing.py", "test_keeping.py", "test_graphics_cards.py", "test_answer.py"),
    *(
        "measure/test_laws.py",
        "survey/test_consistency.py",
        "catalog/test_checks.py",
        "test_replan_changes.py",
    ),
]
BY_FILE = "(file)"


@dataclass
class Reach:
    """What was found: the tests with their seconds, and by (module, line) the tests that run it."""

    seconds: dict[str, float] = field(default_factory=dict)
    tests: dict[tuple[str, int], set[str]] = field(default_factory=lambda: defaultdict(set))

    def knows(self, module: str) -> bool:
        """Whether some test is known to run a line of it."""
        return any(name == module for name, _ in self.tests)

    def of_change(self, module: str, line: int, body: Sequence[int]) -> tuple[list[str], list[str]]:
        """Tests for a changed line of a function: those that run it, and the others of their files; quickest first.

        The others, since what a test file computes once is seen to be run by the first test that needs it only.
        Where no test is known to run the line (a later line of a long statement), those that run its function.
        """
        near = self.tests.get((module, line), set())
        near = near or set().union(*(self.tests.get((module, one), set()) for one in body))
        files = {test.partition("::")[0] for test in near}
        others = {test for test in self.seconds if test.partition("::")[0] in files} - near
        return sorted(near, key=self._cost), sorted(others, key=self._cost)

    def _cost(self, test: str) -> tuple[float, str]:
        return self.seconds[test], test


def _digest(paths: Sequence[Path]) -> str:
    return hashlib.sha256(b"\0".join(path.read_bytes() for path in paths)).hexdigest()


def program_digest() -> str:
    """Of every module of the rooms."""
    return _digest([path for room in ROOMS for path in sorted((ROOT / "partsolver" / room).glob("*.py"))])


def test_files() -> list[str]:
    """The test files that are asked, as `pytest` takes them."""
    found: list[Path] = []
    for name in ASKED:
        path = ROOT / "tests" / name
        found += sorted(path.rglob("test_*.py")) if path.is_dir() else [path]
    return [str(path.relative_to(ROOT)) for path in found if path.exists() and path.stem not in NEVER]


def _of_this_program(folder: Path) -> bool:
    return (folder / "program").exists() and (folder / "program").read_text() == program_digest()


def _kept(folder: Path, test_file: str) -> Path:
    return folder / (test_file.replace("/", "__") + ".json")


def read_reach(folder: Path = FOLDER) -> Reach:
    """What `main` kept; empty where it never ran or the program has changed since."""
    reach = Reach()
    if not _of_this_program(folder):
        return reach
    for name in test_files():
        if not _kept(folder, name).exists():
            continue
        kept = json.loads(_kept(folder, name).read_text())
        reach.seconds |= kept["seconds"]
        for module, lines in kept["lines"].items():
            for line, tests in lines.items():
                named = kept["seconds"] if BY_FILE in tests else tests
                reach.tests[module, int(line)].update(test for test in named if test in kept["seconds"])
    return reach


class Recorder:
    """A plugin of pytest: a coverage context and a time for each test, a file of JSON for each test file."""

    def __init__(self, folder: Path, tree: Path, watched: coverage.Coverage) -> None:
        self.folder, self.tree, self.watched = folder, tree, watched
        self.seconds: dict[str, float] = {}
        self.passed: dict[str, bool] = {}
        self.set_up: dict[str, float] = {}  # what is set up for several tests, by the fixture's name
        self.within = 0.0  # seconds of such fixtures in the present test

    def lines(self) -> dict[str, dict[int, list[str]]]:
        """By module and line the contexts since the last call."""
        self.watched.stop()
        data = self.watched.get_data()
        found = {
            str(Path(name).relative_to(self.tree)): data.contexts_by_lineno(name)
            for name in data.measured_files()
        }
        self.watched.erase()
        self.watched.start()
        return found

    def pytest_collection_finish(self) -> None:
        self.lines()  # of the import: no test's
        (self.folder / "program").write_text(program_digest(), encoding="utf-8")

    @pytest.hookimpl(wrapper=True)
    def pytest_fixture_setup(self, fixturedef: pytest.FixtureDef[object]) -> Iterator[None]:
        """What is set up for several tests is run by all of the file; whichever is asked in a fork pays for it."""
        wide = fixturedef.scope != "function"
        if wide:
            self.watched.switch_context(BY_FILE)
        began, deeper = time.process_time(), self.within
        try:
            return (yield)  # type: ignore[return-value]
        finally:
            if wide:
                took = time.process_time() - began
                self.set_up[fixturedef.argname] = took - (self.within - deeper)
                self.within = deeper + took
                self.watched.switch_context(os.environ["PYTEST_CURRENT_TEST"].rpartition(" ")[0])

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item, nextitem: pytest.Item | None) -> Iterator[None]:
        began, self.within = time.process_time(), 0.0
        self.watched.switch_context(item.nodeid)
        try:
            return (yield)  # type: ignore[return-value]
        finally:
            own = time.process_time() - began - self.within
            shared = sum(self.set_up.get(name, 0.0) for name in getattr(item, "fixturenames", ()))
            self.seconds[item.nodeid] = round(own + shared, 4)
            if nextitem is None or nextitem.path != item.path:
                self._keep(str(item.path.relative_to(self.tree)))

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_call(self, item: pytest.Item) -> Iterator[None]:
        def too_long(_signal: int, _frame: FrameType | None) -> None:
            pytest.fail("too long to be asked about mutants")

        signal.signal(signal.SIGPROF, too_long)
        signal.setitimer(signal.ITIMER_PROF, SECONDS)
        try:
            return (yield)  # type: ignore[return-value]
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.passed[report.nodeid] = self.passed.get(report.nodeid, True) and report.passed

    def _keep(self, test_file: str) -> None:
        used = {test: cost for test, cost in self.seconds.items() if self.passed.get(test)}
        kept = {"text": _digest([ROOT / test_file]), "seconds": used, "lines": self.lines()}
        _kept(self.folder, test_file).write_text(json.dumps(kept), encoding="utf-8")
        cost, left = sum(self.seconds.values()), len(self.seconds) - len(used)
        print(f"{test_file}: {len(used)} tests, {cost:.1f} s; not used: {left}", file=sys.stderr, flush=True)
        self.seconds.clear()


def _stale(folder: Path) -> list[str]:
    """Test files to be run: changed ones, all where the program changed."""
    if not _of_this_program(folder):
        for path in folder.glob("*.json"):
            path.unlink()
    return [
        name
        for name in test_files()
        if not _kept(folder, name).exists()
        or json.loads(_kept(folder, name).read_text())["text"] != _digest([ROOT / name])
    ]


def main(arguments: Sequence[str] | None = None) -> int:
    """Take the record, and print a line per test file on standard error."""
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("--folder", type=Path, default=FOLDER, help=f"where it is kept (default {FOLDER})")
    asked = words.parse_args(arguments)
    asked.folder.mkdir(parents=True, exist_ok=True)
    stale = _stale(asked.folder)
    if not stale:
        return 0
    with tempfile.TemporaryDirectory(prefix="mutants-") as parent:
        tree = Tree(Path(parent) / "program")
        tree.enter()
        watched = coverage.Coverage(
            data_file=None, include=[str(tree.folder / "partsolver" / room / "*") for room in ROOMS]
        )
        watched.start()
        for room in ROOMS:
            for path in sorted((ROOT / "partsolver" / room).glob("*.py")):
                importlib.import_module(dotted(path))
        code = int(pytest.main([*OPTIONS, *stale], plugins=[Recorder(asked.folder, tree.folder, watched)]))
        watched.stop()
    return 0 if code in (pytest.ExitCode.OK, pytest.ExitCode.TESTS_FAILED) else code


if __name__ == "__main__":
    sys.exit(main())
