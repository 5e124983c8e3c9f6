"""The work of a fleet through any `concurrent.futures.Executor`: by default processes on this machine
(`Pool`); those of a cluster are in `cluster.py`. The same answers as in one process.

The stock travels once to each worker, under its digest. A worker that dies is retried: what it had not
answered is asked again of new ones.
"""

from __future__ import annotations

import pickle
import threading
from abc import abstractmethod
from collections.abc import Iterator, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import replace
from multiprocessing import get_context
from typing import Any

from partsolver.base.errors import NotDecided
from partsolver.fleet.prices import Prices
from partsolver.fleet.records import PcClass
from partsolver.fleet.work import Here, Question, Stock, Task, Workers

# How often in a row workers may die without anything being answered between.
MOST_TRIES = 3
NO_PRICES = Prices({}, {}, {}, {}, {})
# What this process, as a worker, has of each stock; a cluster may run several tasks in one process.
_here: dict[str, Here] = {}
_one_at_a_time = threading.Lock()
# The prices of the last question, as they came and unpacked.
_last_prices: tuple[bytes, Prices] = (b"", NO_PRICES)


def install(classes: Sequence[PcClass], stock: Stock) -> None:
    """Make this process a worker on a stock."""
    _here[stock.digest] = Here(classes, stock)


def drop(digest: str) -> None:
    """Forget a stock."""
    _here.pop(digest, None)


def do(digest: str, task: Task, prices: bytes | None = None) -> Any:
    """One task of the stock of this digest. ``prices``: of a question, which are the same for all classes and
    are packed and unpacked once."""
    global _last_prices
    with _one_at_a_time:
        if prices is not None and isinstance(task, Question):
            if _last_prices[0] != prices:
                _last_prices = (prices, pickle.loads(prices))
            task = replace(task, prices=_last_prices[1])
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
        packed: dict[int, bytes] = {}
        places = {}
        for place, task in tasks.items():
            given: tuple[Task, bytes | None] = (task, None)
            if isinstance(task, Question):
                if id(task.prices) not in packed:
                    packed[id(task.prices)] = pickle.dumps(task.prices)
                given = (replace(task, prices=NO_PRICES), packed[id(task.prices)])
            executor = self.executors[task.number % count]
            places[executor.submit(do, self.stock.digest, *given)] = place
        return places


class Pool(Through):
    """So many worker processes on this machine."""

    def __init__(self, classes: Sequence[PcClass], stock: Stock, workers: int) -> None:
        super().__init__(classes, stock)
        self.workers = workers

    def started(self) -> Sequence[Executor]:
        given = (self.classes, self.stock)
        count = min(self.workers, len(self.classes))
        return [ProcessPoolExecutor(1, get_context("spawn"), install, given) for _ in range(count)]
