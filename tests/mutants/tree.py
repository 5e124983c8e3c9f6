"""A copy of the program and its tests in which one file at a time is changed, and tests run in forks."""

from __future__ import annotations

import compileall
import importlib.util
import os
import py_compile
import resource
import shutil
import signal
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import pytest
from mutants.choose import ROOT

TEST_SECONDS = 60
MEMORY_BYTES = 6 * 2**30
SPENT = 71
WORLDS = "20"  # of the oracle, per mutant
# "-s": the tests' own captures work as before, and what is printed goes where the file descriptors go.
OPTIONS = ["-q", "-s", "--tb=line", "--disable-warnings", "-p", "no:cacheprovider", "-p", "no:xdist"]


class Watch:
    """A plugin of pytest: ends an endless test, and a run whose seconds of processor are used up."""

    def __init__(self, seconds: float) -> None:
        self.until, self.spent = time.process_time() + seconds, False

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        signal.setitimer(signal.ITIMER_PROF, TEST_SECONDS)  # its signal ends the process: a kill
        try:
            return (yield)  # type: ignore[return-value]
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
            if time.process_time() > self.until and not item.session.testsfailed:
                self.spent = True
                item.session.shouldstop = "no seconds left"


class Tree:
    """The copy in ``folder``; the reference collections stand beside it, as they do beside the project."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        for top in ("partsolver", "tests", "catalogs", "benchmarks"):
            shutil.copytree(ROOT / top, folder / top, ignore=shutil.ignore_patterns("__pycache__", "*.pyc"))
        for name in ("pyproject.toml", "README.md", "DEVELOPERS.md"):
            shutil.copy(ROOT / name, folder / name)
        if (ROOT.parent / "shared").exists():
            (folder.parent / "shared").symlink_to((ROOT.parent / "shared").resolve())
        compileall.compile_dir(folder / "partsolver", quiet=2)

    @contextmanager
    def changed(self, name: str, text: str) -> Iterator[None]:
        """With another text in one file; its compiled copy is taken away, which could be mistaken for the new one's."""
        path = self.folder / name
        source = path.read_text(encoding="utf-8")
        path.write_text(text, encoding="utf-8")
        Path(importlib.util.cache_from_source(str(path))).unlink(missing_ok=True)
        try:
            yield
        finally:
            path.write_text(source, encoding="utf-8")
            py_compile.compile(str(path), doraise=True)

    def enter(self) -> None:
        """Make this process one of the copy: what it imports from now on comes from there."""
        sys.dont_write_bytecode = True
        os.chdir(self.folder)
        # The properties draw the same examples each time, and few.
        os.environ.update(PYTHONPATH=str(self.folder), PARTSOLVER_EXAMPLES=WORLDS, CI="1")
        sys.path[:0] = [str(self.folder), str(self.folder / "tests")]

    def fails(self, paths: Sequence[str], log: Path, seconds: float) -> tuple[bool, float]:
        """Whether one of the tests fails within the seconds, in a fork, and the seconds of processor it took."""
        child = os.fork()
        if child == 0:
            self._run_and_leave(paths, log, seconds)
        _, status, used = os.wait4(child, 0)
        code = os.waitstatus_to_exitcode(status)
        if code == pytest.ExitCode.USAGE_ERROR:
            raise RuntimeError(log.read_text(encoding="utf-8"))
        failed = code not in (0, SPENT, pytest.ExitCode.NO_TESTS_COLLECTED)
        return failed, used.ru_utime + used.ru_stime

    def _run_and_leave(self, paths: Sequence[str], log: Path, seconds: float) -> None:
        code = 70
        try:
            resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
            out = os.open(log, os.O_CREAT | os.O_WRONLY | os.O_TRUNC)
            os.dup2(out, 1)
            os.dup2(out, 2)
            self.enter()
            watch = Watch(seconds)
            code = int(pytest.main(["-x", *OPTIONS, *paths], plugins=[watch]))
            code = SPENT if watch.spent else code
        finally:
            sys.stdout.flush()
            os._exit(code)
