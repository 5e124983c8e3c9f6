"""The work of a fleet on a cluster: Dask's distributed scheduler (extra ``fleet``), which runs on Slurm,
Kubernetes, over SSH or on this machine; no scheduler of our own.

Every worker gets the stock once, when it joins (a worker plugin of the scheduler, under the stock's digest).
A worker that dies is Dask's matter: it gives its tasks to others.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import Executor
from contextlib import contextmanager
from importlib import import_module
from typing import Any

from partsolver.base.errors import refuse
from partsolver.fleet.pool import Pool, Through, drop, install
from partsolver.fleet.records import PcClass
from partsolver.fleet.work import Here, Stock, Workers

# How long the scheduler may take to answer, and how often a task may be tried again.
ANSWERS_WITHIN_S, RETRIES = 20, 3
SAME_EVERYWHERE = "the same version of partsolver[fleet] and Python on this machine and on every worker"


class Cluster(Through):
    """The workers of a Dask scheduler; used with ``with``. address: such as ``tcp://10.0.0.5:8786``."""

    def __init__(self, classes: Sequence[PcClass], stock: Stock, address: str) -> None:
        super().__init__(classes, stock)
        try:
            distributed: Any = import_module("distributed")
        except ImportError:
            raise refuse(
                "--scheduler", "needs the extra fleet", address, None, "pip install 'partsolver[fleet]'"
            ) from None
        self.died = (distributed.KilledWorker,)
        self._name = f"partsolver-{stock.digest}"
        try:
            self._client = distributed.Client(address, timeout=ANSWERS_WITHIN_S, set_as_default=False)
        except (OSError, ValueError) as error:
            raise refuse(
                "--scheduler",
                f"does not answer ({error})",
                address,
                "the address of a running Dask scheduler, such as tcp://10.0.0.5:8786",
            ) from None
        try:
            self._client.register_plugin(_stock_plugin(distributed, classes, stock), name=self._name)
        except Exception as error:  # whatever a worker raises on unpacking what it cannot know
            self._client.close()
            raise refuse(
                "--scheduler", f"its workers cannot take the stock ({error})", address, SAME_EVERYWHERE
            ) from None

    def started(self) -> Sequence[Executor]:
        self._client.wait_for_workers(1, timeout=ANSWERS_WITHIN_S)
        return [
            self._client.get_executor(pure=False, retries=RETRIES, workers=[worker], allow_other_workers=True)
            for worker in sorted(self._client.nthreads())
        ]

    def let_go(self, executor: Executor) -> None:
        executor.shutdown(wait=False)  # Dask cancels what is left without being told

    def __exit__(self, *_: object) -> None:
        self.stop()
        self._client.unregister_worker_plugin(self._name)
        self._client.close()


def _stock_plugin(distributed: Any, classes: Sequence[PcClass], stock: Stock) -> Any:
    """What every worker sets up when it joins, also one that joins later."""

    class StockPlugin(distributed.WorkerPlugin):  # type: ignore[misc]
        def setup(self, worker: Any) -> None:
            install(classes, stock)

        def teardown(self, worker: Any) -> None:
            drop(stock.digest)

    return StockPlugin()


@contextmanager
def workers_of(
    classes: Sequence[PcClass], stock: Stock, workers: int, address: str | None
) -> Iterator[Workers]:
    """Who does the work: a cluster where an address is given, else so many processes."""
    if address is None and workers == 1:
        yield Here(classes, stock)
        return
    with Pool(classes, stock, workers) if address is None else Cluster(classes, stock, address) as team:
        yield team
