"""Workers of a fleet: what is finished is kept and taken up again, workers that die lose nothing, and a
cluster (Dask's distributed scheduler, its own ``LocalCluster``) answers byte for byte as one process does."""

from __future__ import annotations

import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest
from fleets import LIMITS, answer, fleet_of

import partsolver
from partsolver.base.errors import NotDecided
from partsolver.catalog.dictionary import data_folder
from partsolver.cli import run
from partsolver.fleet import cluster
from partsolver.fleet.kept import FILE, WorkFile
from partsolver.fleet.pool import Pool
from partsolver.fleet.records import Fleet
from partsolver.fleet.work import First, Here, Task, Workers
from partsolver.report.document import dump
from partsolver.report.fleet import fleet_document
from partsolver.solve.fleet.plan import plan_fleet, stock_of


@pytest.fixture(scope="module")
def fleet() -> Fleet:
    return fleet_of(3, "most-pcs", 8000)


@pytest.fixture(scope="module")
def alone(fleet: Fleet) -> str:
    return dump(fleet_document(answer(fleet)))


def told(fleet: Fleet, workers: Workers, file: WorkFile | None = None) -> str:
    if file is None:
        return dump(fleet_document(plan_fleet(fleet, workers, LIMITS)))
    return dump(fleet_document(plan_fleet(fleet, workers, LIMITS, lambda text: None, file.solved)))


class Stopped(Here):
    """Work that is stopped after so many tasks."""

    def __init__(self, fleet: Fleet, most: int) -> None:
        super().__init__(fleet.classes, stock_of(fleet))
        self.most = most

    def each(self, tasks: Sequence[Task]) -> Iterator[tuple[int, Any]]:
        for place, task in enumerate(tasks):
            if not self.most:
                raise KeyboardInterrupt
            self.most -= 1
            yield place, self.do(task)


def test_a_stopped_run_goes_on_with_the_same_answer(fleet: Fleet, alone: str, tmp_path: Path) -> None:
    stock = stock_of(fleet).digest
    used = []
    for most in (1, 5, 9, 10**9, 10**9):
        file, workers = WorkFile(tmp_path / FILE, stock), Stopped(fleet, most)
        try:
            assert told(fleet, workers, file) == alone
        except KeyboardInterrupt:
            assert most < 10**9
        used.append(file.used)
        file.close()
    assert used[0] == 0 < used[-2] < used[-1]


def test_what_changed_is_asked_again(fleet: Fleet, tmp_path: Path) -> None:
    """Another stock drops what was kept; a goal is asked on top of the same stock."""
    file = WorkFile(tmp_path / FILE, stock_of(fleet).digest)
    told(fleet, Here(fleet.classes, stock_of(fleet)), file)
    file.close()
    for other, kept in ((fleet_of(3, "most-speed", 8000), True), (fleet_of(4, "most-pcs", 8000), False)):
        file = WorkFile(tmp_path / FILE, stock_of(other).digest)
        workers = Stopped(other, 10**9)
        assert told(other, workers, file) == dump(fleet_document(answer(other)))
        assert kept or not file.used
        file.close()


def test_kill_9_and_the_same_answer(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The command line, killed in the middle, and started again."""
    folder = tmp_path / "fleet"
    shutil.copytree(data_folder() / "demo-fleet", folder)
    for name in ("accounts", "library", "reception"):
        (folder / f"{name}.toml").unlink()
    options = [str(folder), "--demo", "--budget", "60", "--format", "json"]
    environment = {**os.environ, "PYTHONPATH": str(Path(partsolver.__file__).parents[1])}
    running = subprocess.Popen(
        [sys.executable, "-m", "partsolver", "fleet", *options],
        env=environment,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    while running.poll() is None and _kept(folder / FILE) < 3:
        time.sleep(0.02)
    running.send_signal(signal.SIGKILL)
    assert running.wait() == -signal.SIGKILL, "the run was over before it could be killed"
    assert run(["fleet", *options]) == 0
    resumed = capsys.readouterr()
    assert "finished work of an earlier run" in resumed.err
    (folder / FILE).unlink()
    assert run(["fleet", *options]) == 0
    assert capsys.readouterr().out == resumed.out


def _kept(path: Path) -> int:
    if not path.exists():
        return 0
    try:
        with sqlite3.connect(path) as file:
            return int(file.execute("SELECT count(*) FROM work").fetchone()[0])
    except sqlite3.OperationalError:
        return 0


def test_two_processes_and_one_that_dies(fleet: Fleet, alone: str) -> None:
    with Pool(fleet.classes, stock_of(fleet), 2) as pool:
        tasks = [First(number) for number in range(len(fleet.classes))]
        answers = dict(pool.each(tasks))
        for executor in pool.executors:
            for pid in list(executor._processes):  # type: ignore[attr-defined]
                os.kill(pid, signal.SIGKILL)
        assert dict(pool.each(tasks)) == answers
        assert told(fleet, pool) == alone


def test_workers_that_die_again_and_again_are_told(fleet: Fleet) -> None:
    class Dying(Pool):
        def started(self) -> Any:
            executors = super().started()
            for executor in executors:
                executor.submit(os._exit, 1)
            return executors

    with Dying(fleet.classes, stock_of(fleet), 1) as pool, pytest.raises(NotDecided, match="died 3 times"):
        pool.begin()


def test_a_cluster_answers_as_one_process_does(fleet: Fleet, alone: str) -> None:
    """Two workers of a local cluster; one is killed and its work done by others."""
    distributed = pytest.importorskip("distributed")
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
        ) as local,
        cluster.Cluster(fleet.classes, stock_of(fleet), local.scheduler_address) as team,
    ):
        assert told(fleet, team) == alone
        os.kill(local.workers[0].pid, signal.SIGKILL)
        assert told(fleet, team) == alone


def test_a_scheduler_that_is_not_there(monkeypatch: pytest.MonkeyPatch, capsys: Any) -> None:
    pytest.importorskip("distributed")
    monkeypatch.setattr(cluster, "ANSWERS_WITHIN_S", 0.5)
    assert run(["fleet", "--demo", "--scheduler", "tcp://127.0.0.1:9"]) == 2
    assert "--scheduler" in capsys.readouterr().err
    assert run(["fleet", "--demo", "--scheduler", "tcp://127.0.0.1:9", "--workers", "2"]) == 2
