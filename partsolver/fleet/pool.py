"""The work of a fleet on several processes: `concurrent.futures`, the same answers as in one.

The stock travels once to each worker (when it starts). A worker that dies is retried: what it had not
answered is asked again of new ones.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context
from typing import Any, TypeVar

from partsolver.base.errors import NotDecided
from partsolver.fleet.records import PcClass
from partsolver.fleet.work import Answer, Begun, Here, Question, Stock

T = TypeVar("T")
MOST_TRIES = 3
_here: list[Here] = []


def _install(classes: Sequence[PcClass], stock: Stock) -> None:
    _here[:] = [Here(classes, stock)]


def _begin(number: int) -> Begun:
    return _here[0].begin_one(number)


def _answer(question: Question) -> Answer:
    return _here[0].answer(question)


class Pool:
    """So many worker processes; used with ``with``."""

    def __init__(self, classes: Sequence[PcClass], stock: Stock, workers: int) -> None:
        self.classes, self.stock, self.workers = classes, stock, workers
        self._executor: Executor | None = None

    def __enter__(self) -> Pool:
        return self

    def __exit__(self, *_: object) -> None:
        self._stop()

    def begin(self) -> list[Begun]:
        """Every class begun."""
        return self._each(_begin, range(len(self.classes)))

    def ask(self, questions: Sequence[Question]) -> list[Answer]:
        """The answer to each question, in their order."""
        return self._each(_answer, questions)

    def _each(self, work: Callable[[Any], T], tasks: Sequence[Any]) -> list[T]:
        found: dict[int, T] = {}
        for _ in range(MOST_TRIES):
            try:
                left = [number for number in range(len(tasks)) if number not in found]
                futures: dict[int, Future[T]] = {
                    number: self._running().submit(work, tasks[number]) for number in left
                }
                for number, future in futures.items():
                    found[number] = future.result()
                return [found[number] for number in range(len(tasks))]
            except BrokenProcessPool:
                self._stop()
        raise NotDecided(f"a worker process died {MOST_TRIES} times (is there enough memory?)")

    def _running(self) -> Executor:
        if self._executor is None:
            self._executor = ProcessPoolExecutor(
                self.workers, get_context("spawn"), _install, (self.classes, self.stock)
            )
        return self._executor

    def _stop(self) -> None:
        if self._executor is not None:
            self._executor.shutdown(wait=False, cancel_futures=True)
            self._executor = None
