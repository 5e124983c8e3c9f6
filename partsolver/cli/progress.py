"""Progress on standard error: one line that is rewritten on a terminal, nothing in a pipe."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def counting(what: str) -> Iterator[Callable[[int], None]]:
    """A counter of unknown end."""
    terminal = sys.stderr.isatty()

    def progress(done: int) -> None:
        if terminal:
            print(f"\r{what}: {done} ", end="", file=sys.stderr, flush=True)

    try:
        yield progress
    finally:
        if terminal:
            print("\r" + " " * (len(what) + 12) + "\r", end="", file=sys.stderr, flush=True)
