"""Mutants inside functions, tried in forks of one process that has imported and collected everything.

A changed function needs no new import: its code object is exchanged in the fork. What the program or a test had
cached by then is forgotten there. A change outside of functions, or of a function that is run while the program is
imported, is not for here (`changed_functions` says so): `tree.py` imports the program anew for it.
"""

from __future__ import annotations

import functools
import gc
import importlib
import os
import resource
import signal
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Sequence
from pathlib import Path
from types import CodeType, FunctionType

import pytest
from mutants.tree import MEMORY_BYTES, SPENT

_FUNCTION = 0x1  # inspect.CO_OPTIMIZED: a function's code, not a module's or a class's
KILLED = 1

Pairs = list[tuple[CodeType, CodeType]]


def changed_functions(before: CodeType, after: CodeType) -> Pairs | None:
    """The functions (old and new code) in which two compiled modules differ; None if they differ elsewhere too."""

    def parts(code: CodeType) -> tuple[list[CodeType], tuple[object, ...]]:
        inner = [one for one in code.co_consts if isinstance(one, CodeType)]
        plain = [(type(one), one) for one in code.co_consts if not isinstance(one, CodeType)]
        return inner, (code.co_code, code.co_names, code.co_varnames, plain)

    (old_inner, old_own), (new_inner, new_own) = parts(before), parts(after)
    if old_own != new_own or len(old_inner) != len(new_inner):
        return None
    found: Pairs = []
    for old, new in zip(old_inner, new_inner, strict=True):
        if old.co_flags & _FUNCTION:
            found += [(old, new)] if old != new else []
        else:
            deeper = changed_functions(old, new)
            if deeper is None:
                return None
            found += deeper
    return found


def lines_of(code: CodeType) -> set[int]:
    """The lines of a function's body and of what is defined in it."""
    lines = {line for _, _, line in code.co_lines() if line is not None and line != code.co_firstlineno}
    return lines.union(*(lines_of(one) for one in code.co_consts if isinstance(one, CodeType)))


def import_all(names: Sequence[str]) -> set[CodeType]:
    """Import modules; the code that was run by that (a function run while importing cannot be exchanged later)."""
    ran: set[CodeType] = set()
    sys.setprofile(lambda frame, event, _: ran.add(frame.f_code) if event == "call" else None)
    try:
        for name in names:
            importlib.import_module(name)
    finally:
        sys.setprofile(None)
    return ran


class Warm:
    """A plugin of pytest that takes over when everything is collected, and calls ``work`` with itself."""

    def __init__(self, work: Callable[[Warm], None], scratch: Path, ran: set[CodeType]) -> None:
        self.work, self.scratch, self.ran = work, scratch, ran
        self.functions: dict[tuple[str, CodeType], list[FunctionType]] = defaultdict(list)
        self.caches: list[functools._lru_cache_wrapper[object]] = []
        self.items: dict[str, pytest.Item] = {}
        self.sound: dict[str, bool] = {}  # whether a test passes by itself in the program as it is

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        for one in gc.get_objects():
            if type(one) is FunctionType:
                self.functions[one.__code__.co_filename, one.__code__].append(one)
            elif type(one) is functools._lru_cache_wrapper:
                self.caches.append(one)
        self.items = {item.nodeid: item for item in session.items}
        gc.freeze()  # a fork copies no page for the collector's sake
        self.work(self)
        return True

    def tests_in(self, paths: Sequence[str]) -> list[str]:
        """Tests below paths, file by file; after ``-k`` a word that stands in their names (as `choose.py` has it)."""
        word = paths[2] if "-k" in paths else ""
        below = paths[:1] if word else paths
        return [test for path in below for test in self.items if test.startswith(path) and word in test]

    def can_try(self, path: Path, pairs: Pairs) -> bool:
        """Whether the functions to be exchanged exist, keep their closures, and were not run by the import."""
        return all(
            old not in self.ran
            and self.functions.get((str(path), old))
            and len(old.co_freevars) == len(new.co_freevars)
            for old, new in pairs
        )

    def tests_that_fail(
        self, path: Path, pairs: Pairs, tests: Sequence[tuple[str, float]], log: Path, seconds: float
    ) -> tuple[str | None, int, float]:
        """The first test that fails (``(test, its usual seconds)``), how many were asked, seconds of processor."""
        chosen = [one for one in tests if one[0] in self.items]
        failed, asked, used = self._fork(path, pairs, chosen, log, seconds)
        while failed is not None and not self._is_sound(failed, log):
            chosen = [one for one in chosen if self.sound.get(one[0], True)]
            failed, asked, more = self._fork(path, pairs, chosen, log, seconds)
            used += more
        return failed, asked, used

    def _is_sound(self, test: str, log: Path) -> bool:
        if test not in self.sound:
            self.sound[test] = self._fork(Path(), [], [(test, 60.0)], log, 600)[0] is None
        return self.sound[test]

    def _fork(
        self, path: Path, pairs: Pairs, tests: Sequence[tuple[str, float]], log: Path, seconds: float
    ) -> tuple[str | None, int, float]:
        """Asks in a fork: the test that failed or never ended, how many were asked, seconds of processor."""
        told = self.scratch / "asked"
        told.write_text("")
        sys.stdout.flush()
        child = os.fork()
        if child == 0:
            self._ask_and_leave(path, pairs, tests, log, told, seconds)
        _, status, used = os.wait4(child, 0)
        asked = told.read_text().splitlines()
        failed = os.waitstatus_to_exitcode(status) not in (0, SPENT)
        return (asked[-1] if failed and asked else None), len(asked), used.ru_utime + used.ru_stime

    def _ask_and_leave(
        self,
        path: Path,
        pairs: Pairs,
        tests: Sequence[tuple[str, float]],
        log: Path,
        told: Path,
        seconds: float,
    ) -> None:
        code = KILLED
        try:
            out = os.open(log, os.O_CREAT | os.O_WRONLY | os.O_TRUNC)
            os.dup2(out, 1)
            os.dup2(out, 2)
            resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
            signal.signal(
                signal.SIGPROF, signal.SIG_DFL
            )  # an endless loop: its signal ends the process, a kill
            for old, new in pairs:
                for function in self.functions[str(path), old]:
                    function.__code__ = new
            for cache in self.caches:
                cache.cache_clear()
            code = self._ask(tests, told, time.process_time() + seconds)
        finally:
            sys.stdout.flush()
            os._exit(code)

    def _ask(self, tests: Sequence[tuple[str, float]], told: Path, until: float) -> int:
        items = [self.items[test] for test, _ in tests]
        with told.open("a", encoding="utf-8") as file:
            for item, (test, usual), following in zip(items, tests, [*items[1:], None], strict=True):
                print(test, file=file, flush=True)
                signal.setitimer(signal.ITIMER_PROF, 5 + 10 * usual)
                item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
                signal.setitimer(signal.ITIMER_PROF, 0)
                if item.session.testsfailed:
                    return KILLED
                if time.process_time() > until:
                    return SPENT
        return 0
