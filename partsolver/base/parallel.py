"""Independent tasks on two processes, where that is safe; the results are the same either way.

The second process is a fork, so that nothing has to be sent to it; its results come back through a pipe. A
fork is safe only from a process with one thread of its own on a system that has it; everywhere else, and
whenever the fork fails, the tasks run one after the other.
"""

from __future__ import annotations

import os
import pickle
import select
import signal
import sys
import threading
import time
from collections.abc import Callable, Sequence
from typing import Any, TypeVar

T = TypeVar("T")
# A library's thread that the fork left behind may hold a lock: the other process is waited for so long after
# the own tasks are done, and so many times as long as they took.
PATIENCE_S, MOST_LATER = 5.0, 4.0


def each(tasks: Sequence[Callable[[], T]]) -> list[T]:
    """The result of every task, in their order. What a task raises is raised; results must be picklable."""
    child = _fork() if len(tasks) > 1 and _safe() else None
    if child is None:
        return [task() for task in tasks]
    number, pipe = child
    if number == 0:
        _work(tasks[1::2], pipe)
    begun = time.monotonic()
    try:
        own = [task() for task in tasks[0::2]]
        sent = _received(pipe, PATIENCE_S + MOST_LATER * (time.monotonic() - begun))
    finally:
        os.close(pipe)
        os.kill(
            number, signal.SIGKILL
        )  # whatever it still does is not wanted; the number is ours until it is waited for
        os.waitpid(number, 0)
    try:
        others: list[T] = pickle.loads(sent)  # our own child's: nobody else holds the pipe
    except (EOFError, pickle.UnpicklingError):
        # A task of it failed, or it hangs: done here, so that what a task raises is raised.
        others = [task() for task in tasks[1::2]]
    merged: list[Any] = [None] * len(tasks)
    merged[0::2], merged[1::2] = own, others
    return merged


def _safe() -> bool:
    return sys.platform == "linux" and len(os.sched_getaffinity(0)) > 1 and threading.active_count() == 1


def _fork() -> tuple[int, int] | None:
    """(0, end to write to) in the new process, (its number, end to read from) in this one; None when there is
    none."""
    source, target = os.pipe()
    sys.stdout.flush()
    sys.stderr.flush()
    try:
        number = os.fork()
    except OSError:
        os.close(source)
        os.close(target)
        return None
    os.close(target if number else source)
    return number, source if number else target


def _received(pipe: int, seconds: float) -> bytes:
    """What the other process sends until it ends, as far as it comes in time."""
    pieces = []
    end = time.monotonic() + seconds
    while select.select([pipe], [], [], max(0.0, end - time.monotonic()))[0]:
        piece = os.read(pipe, 1 << 16)
        if not piece:
            break
        pieces.append(piece)
    return b"".join(pieces)


def _work(tasks: Sequence[Callable[[], Any]], pipe: int) -> None:
    """Run tasks in the new process and send their results; never returns."""
    try:
        with os.fdopen(pipe, "wb") as target:
            target.write(pickle.dumps([task() for task in tasks], protocol=pickle.HIGHEST_PROTOCOL))
    finally:
        os._exit(0)  # no handler or buffer of the first process may run twice
