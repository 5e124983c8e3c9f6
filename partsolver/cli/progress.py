"""Progress on standard error: one line that is rewritten on a terminal, nothing in a pipe or with --quiet."""

from __future__ import annotations

import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from partsolver.cli.general import LOG, is_quiet

# What takes less needs no word.
SILENT_S = 2.0
EVERY_S = 1.0


class Doing:
    """The line that says what is done. Written by a timer, so that it appears also while one long step
    runs (the program stays a single thread: a second one would keep the work from being shared with a
    second process)."""

    def __init__(self, what: str) -> None:
        self.what = what
        self.begun = time.monotonic()
        self.written = 0

    def __call__(self, what: str) -> None:
        """From now on something else is done."""
        LOG.info("%s", what)
        self.what = what
        self.write()

    def write(self, *_signal: object) -> None:
        """Write or rewrite the line, once it is time."""
        passed = time.monotonic() - self.begun
        if passed >= SILENT_S:
            line = f"{self.what} ... {passed:.0f} s"
            print("\r" + line.ljust(self.written), end="", file=sys.stderr, flush=True)
            self.written = len(line)

    def wipe(self) -> None:
        """Take the line away."""
        if self.written:
            print("\r" + " " * self.written + "\r", end="", file=sys.stderr, flush=True)
            self.written = 0


@contextmanager
def working(what: str) -> Iterator[Callable[[str], None]]:
    """Say what is done, if it takes longer than two seconds; call the value when something else begins."""
    LOG.info("%s", what)
    if is_quiet() or not sys.stderr.isatty():
        yield lambda text: LOG.info("%s", text)
        return
    doing = Doing(what)
    timed = hasattr(signal, "setitimer") and threading.current_thread() is threading.main_thread()
    before = signal.signal(signal.SIGALRM, doing.write) if timed else None
    try:
        if timed:
            signal.setitimer(signal.ITIMER_REAL, SILENT_S + 0.05, EVERY_S)
        yield doing
    finally:
        if timed:
            signal.setitimer(signal.ITIMER_REAL, 0)
            signal.signal(signal.SIGALRM, before)
        doing.wipe()


@contextmanager
def counting(what: str) -> Iterator[Callable[[int], None]]:
    """A counter of unknown end."""
    with working(what) as doing:
        yield lambda done: doing(f"{what}: {done}")
