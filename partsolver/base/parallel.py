"""Independent tasks on two processes, where that is safe; the results are the same either way.

The second process is a fork, so that nothing has to be sent to it; its results come back through a pipe. A
fork is safe only from a process with one thread of its own on a system that has it; everywhere else, and
whenever the fork fails, the tasks run one after the other.
"""

from __future__ import annotations

import io
import os
import pickle
import select
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterable, Sequence
from types import TracebackType
from typing import Any, Generic, Self, TypeVar

T = TypeVar("T")
# A library's thread that the fork left behind may hold a lock: the other process is waited for so long, and
# so many times as long as it has been running when its result is wanted.
PATIENCE_S, MOST_LATER = 5.0, 4.0


class Beside(Generic[T]):
    """A task that runs on a second process while this one goes on; ``result`` waits for it.

    Its result must be picklable; ``shared``: objects made before that the result may hold and that count by
    identity (the result holds them, not copies). Leaving the context ends the task, whether or not it is done.
    """

    def __init__(self, task: Callable[[], T], shared: Iterable[Any] = ()) -> None:
        self._task, self._shared = task, {id(one): one for one in shared}
        self._begun = time.monotonic()
        child = _fork() if _safe() else None
        self._number, self._pipe = child or (-1, -1)
        if self._number == 0:
            self._work()

    def result(self) -> T:
        """What the task gives; what it raises is raised. Done here where the other process cannot."""
        if self._number < 0:
            return self._task()
        sent = _received(self._pipe, PATIENCE_S + MOST_LATER * (time.monotonic() - self._begun))
        self.end()
        try:
            found: T = _Reader(
                io.BytesIO(sent), self._shared
            ).load()  # our own child's: nobody else holds the pipe
        except (EOFError, pickle.UnpicklingError):
            return self._task()  # it failed or hangs: done here, so that what the task raises is raised
        return found

    def is_done(self) -> bool:
        """Whether the result need not be waited for: it is there, or nobody else makes it."""
        return self._number < 0 or bool(select.select([self._pipe], [], [], 0)[0])

    def end(self) -> None:
        """End the other process: whatever it still does is not wanted."""
        if self._number > 0:
            os.close(self._pipe)
            os.kill(self._number, signal.SIGKILL)  # the number is ours until it is waited for
            os.waitpid(self._number, 0)
        self._number = -1

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, where: TracebackType | None
    ) -> None:
        self.end()

    def _work(self) -> None:
        """Do the task in the new process and send its result; never returns."""
        try:
            found = self._task()
            with os.fdopen(self._pipe, "wb") as target:
                _Writer(target, self._shared).dump(found)
        finally:
            os._exit(0)  # no handler or buffer of the first process may run twice


class Alongside(Generic[T]):
    """Tasks that turn up one by one while this process does something else: a second process takes those that
    wait whenever it is free. Results and ``shared`` as in `Beside`."""

    def __init__(self, shared: Iterable[Any] = ()) -> None:
        self._shared = list(shared)
        self._found: dict[int, T] = {}
        self._waiting: list[tuple[int, Callable[[], T]]] = []
        self._taken: list[int] = []
        self._other: Beside[list[T]] | None = None
        self._count = 0

    def add(self, *tasks: Callable[[], T]) -> None:
        """More tasks; each sees this process as it is now or later."""
        self._waiting += enumerate(tasks, self._count)
        self._count += len(tasks)
        self._hand_over(len(self._waiting))

    def results(self) -> list[T]:
        """The result of every task, in their order: those that still wait are done by both processes."""
        while self._waiting:
            self._hand_over(len(self._waiting) // 2)
            if self._waiting:
                number, task = self._waiting.pop(0)
                self._found[number] = task()
        self._take_over()
        return [self._found[number] for number in range(self._count)]

    def _hand_over(self, most: int) -> None:
        """Give the other process the last so many of the tasks that wait, if it is free."""
        if not most or not _safe() or (self._other is not None and not self._other.is_done()):
            return
        self._take_over()
        given = self._waiting[-most:]
        del self._waiting[-most:]
        self._taken = [number for number, _ in given]
        self._other = Beside(lambda: [task() for _, task in given], self._shared)

    def _take_over(self) -> None:
        """Wait for what the other process does."""
        if self._other is not None:
            self._found.update(zip(self._taken, self._other.result(), strict=True))
            self._other = None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, where: TracebackType | None
    ) -> None:
        if self._other is not None:
            self._other.end()


def each(tasks: Sequence[Callable[[], T]], shared: Iterable[Any] = ()) -> list[T]:
    """The result of every task, in their order, half of them on a second process. What a task raises is
    raised; results and ``shared`` as in `Beside`."""
    if len(tasks) < 2:
        return [task() for task in tasks]
    with Beside(lambda: [task() for task in tasks[1::2]], shared) as others:
        merged: list[Any] = [None] * len(tasks)
        merged[0::2] = [task() for task in tasks[0::2]]
        merged[1::2] = others.result()
    return merged


class _Writer(pickle.Pickler):
    """Writes shared objects as what they are in both processes: an address of the first."""

    def __init__(self, target: Any, shared: dict[int, Any]) -> None:
        super().__init__(target, pickle.HIGHEST_PROTOCOL)
        self._shared = shared

    def persistent_id(self, obj: Any) -> int | None:
        return id(obj) if id(obj) in self._shared else None


class _Reader(pickle.Unpickler):
    def __init__(self, source: Any, shared: dict[int, Any]) -> None:
        super().__init__(source)
        self._shared = shared

    def persistent_load(self, pid: int) -> Any:
        return self._shared[pid]


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
