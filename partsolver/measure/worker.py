"""A process that works on command: one line of JSON in, one line of JSON out. ``Crew`` runs one per thread.

Separate programs instead of forks or ``multiprocessing``: they start alike on every system, need nothing of
the caller's main module, and end when their input closes, so none is left when the parent is killed.
"""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from types import TracebackType
from typing import Any

from partsolver.base.errors import InternalFault


def serve() -> None:
    """Serve commands from standard input until it closes."""
    from partsolver.measure.bandwidth import repeat, triad
    from partsolver.measure.compute import TASKS, task

    works: dict[str, Any] = {name: task(name) for name in TASKS}
    try:
        _say("ready")
        for line in sys.stdin:
            command = json.loads(line)
            if command["task"] == "prepare":
                works["triad"] = triad(command["elements"])
                _say("prepared")
            elif command["task"] == "release":
                _say(works.pop("triad").check())
            else:
                _say(repeat(works[command["task"]], command["seconds"]))
    except BrokenPipeError:  # the parent is gone: end without a word
        os._exit(0)


def _say(answer: object) -> None:
    print(json.dumps(answer), flush=True)


class Crew:
    """So many workers, ready. Use as a context manager: all of them end with it, also after an interrupt."""

    def __init__(self, size: int) -> None:
        self._size = size
        self._workers: list[subprocess.Popen[str]] = []

    def __enter__(self) -> Crew:
        root = str(Path(__file__).resolve().parents[2])
        path = os.pathsep.join(p for p in (root, os.environ.get("PYTHONPATH", "")) if p)
        command = [sys.executable, "-P", "-B", "-c", "from partsolver.measure.worker import serve; serve()"]
        try:
            for _ in range(self._size):
                self._workers.append(
                    subprocess.Popen(
                        command,
                        stdin=subprocess.PIPE,
                        stdout=subprocess.PIPE,
                        text=True,
                        encoding="utf-8",
                        env={**os.environ, "PYTHONPATH": path},
                        # An interrupt from the keyboard reaches the parent only, which then ends the workers.
                        start_new_session=True,
                    )
                )
            for worker in self._workers:
                self._answer(worker)
        except BaseException:
            self._end()
            raise
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._end()

    def _end(self) -> None:
        for worker in self._workers:
            worker.kill()
        for worker in self._workers:
            worker.wait()
            for pipe in (worker.stdin, worker.stdout):
                if pipe is not None:
                    with suppress(OSError):  # the other end is gone already
                        pipe.close()
        self._workers.clear()

    def _answer(self, worker: subprocess.Popen[str]) -> str:
        assert worker.stdout is not None
        line = worker.stdout.readline()
        if not line:
            raise InternalFault(f"a measuring process ended with code {worker.wait()} instead of answering")
        return line

    def _ask(self, workers: Sequence[subprocess.Popen[str]], command: dict[str, object]) -> list[Any]:
        line = json.dumps(command) + "\n"
        for worker in workers:
            assert worker.stdin is not None
            worker.stdin.write(line)
            worker.stdin.flush()
        return [self._answer(worker) for worker in workers]

    def rate(self, name: str, seconds: float, everyone: bool) -> float:
        """Units per second of a task: of one worker alone, or of all at once added up."""
        answers = self._ask(
            self._workers if everyone else self._workers[:1], {"task": name, "seconds": seconds}
        )
        return math.fsum(count * 1e9 / nanoseconds for count, nanoseconds in map(json.loads, answers))

    def triad_mbs(self, elements: int, seconds: float) -> float:
        """Bandwidth in MB/s (10^6 B/s) of the triad over arrays of that many elements in all, shared by the
        workers.

        Raises InternalFault when a result is wrong (STREAM checks its results as well).
        """
        from partsolver.measure.bandwidth import triad_bytes

        each = max(1, elements // self._size)
        self._ask(self._workers, {"task": "prepare", "elements": each})
        answers = self._ask(self._workers, {"task": "triad", "seconds": seconds})
        if any(json.loads(line) is not True for line in self._ask(self._workers, {"task": "release"})):
            raise InternalFault("the triad computed a wrong result: suspect the memory")
        return math.fsum(
            triad_bytes(each, count) * 1e3 / nanoseconds for count, nanoseconds in map(json.loads, answers)
        )
