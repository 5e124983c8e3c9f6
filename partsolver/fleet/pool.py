"""The work of a fleet through any `concurrent.futures.Executor`: by default processes on this machine
(`Pool`); those of a cluster are in `cluster.py`. The same answers as in one process.

The stock travels once to each worker, under its digest. A worker that dies is retried: what it had not
answered is asked again of new ones.
"""

from __future__ import annotations

import threading
from abc import abstractmethod
from collections.abc import Iterator, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from multiprocessing import get_context
from typing import Any

from partsolver.base.errors import NotDecided
from partsolver.fleet.records import PcClass
from partsolver.fleet.work import Here, Stock, Task, Workers

# How often in a row workers may die without anything being answered between.
MOST_TRIES = 3
# What this process, as a worker, has of each stock; a cluster may run several tasks in one process.
_here: dict[str, Here] = {}
_one_at_a_time = threading.Lock()


def install(classes: Sequence[PcClass], stock: Stock) -> None:
    """Make this process a worker on a stock."""
    _here[stock.digest] = Here(classes, stock)


def drop(digest: str) -> None:
    """Forget a stock."""
    _here.pop(digest, None)


def do(digest: str, task: Task) -> Any:
    """One task of the stock of this digest."""
    with _one_at_a_time:
        return _here[digest].do(task)


class Through(Workers):
    """Workers behind an executor; used with ``with``."""

    # What the executor raises when a worker died.
    died: tuple[type[Exception], ...] = (BrokenProcessPool,)

    def __init__(self, classes: Sequence[PcClass], stock: Stock) -> None:
        super().__init__(classes, stock)
        self.executors: Sequence[Executor] = ()

    @abstractmethod
    def started(self) -> Sequence[Executor]:
        """Executors whose workers have the stock. A class always goes to the same: it keeps what the rules
        said there."""

    def __enter__(self) -> Through:
        return self

    def __exit__(self, *_: object) -> None:
        self.stop()

    def stop(self) -> None:
        """Let the workers go."""
        for executor in self.executors:
            self.let_go(executor)
        self.executors = ()

    def let_go(self, executor: Executor) -> None:
        """Stop one executor without waiting for what it does."""
        executor.shutdown(wait=False, cancel_futures=True)

    def each(self, tasks: Sequence[Task]) -> Iterator[tuple[int, Any]]:
        left, tries = dict(enumerate(tasks)), 0
        while left:
            self.executors = self.executors or self.started()
            try:
                places = self._submitted(left)
                for future in as_completed(places):
                    answer = future.result()
                    tries = 0
                    del left[places[future]]
                    yield places[future], answer
            except self.died as error:
                self.stop()
                tries += 1
                if tries == MOST_TRIES:
                    raise NotDecided(f"a worker died {MOST_TRIES} times (is there enough memory?)") from error

    def _submitted(self, tasks: dict[int, Task]) -> dict[Future[Any], int]:
        count = len(self.executors)
        return {
            self.executors[task.number % count].submit(do, self.stock.digest, task): place
            for place, task in tasks.items()
        }


class Pool(Through):
    """So many worker processes on this machine."""

    def __init__(self, classes: Sequence[PcClass], stock: Stock, workers: int) -> None:
        super().__init__(classes, stock)
        self.workers = workers

    def started(self) -> Sequence[Executor]:
        given = (self.classes, self.stock)
        count = min(self.workers, len(self.classes))
        return [ProcessPoolExecutor(1, get_context("spawn"), install, given) for _ in range(count)]
