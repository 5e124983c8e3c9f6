"""A few processes that do what takes long, so that no page waits for it: each piece of work tells how far it
is, and can be stopped. What is stopped has written nothing: only a whole transaction is ever kept.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import secrets
import signal
import threading
from collections import OrderedDict
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any, Literal

from partsolver.base.errors import Fault, InputRefused, InternalFault, NotDecided
from partsolver.desk.tasks import Held, State, Task, answered, without_files

JobState = Literal["waiting", "running", "stopped"] | State
# What a person waits for goes on two at once; questions are weighed, and lists are read, one at a time beside
# it.
LANES = {"weights": ("weighing", 1), "add": ("adding", 1), "dumps": ("adding", 1)}
# Files that were dropped are read whatever else is dropped after them.
READING = ("add", "dumps")
ASKING = ("asking", 2)
# Results that are kept: those of some PCs, a few named parts and wishes each.
MOST_JOBS = 60
# A page waits so long for what is nearly there; a form that was sent waits longer.
PATIENCE_S, LONG_PATIENCE_S = 1.5, 120.0


@dataclass
class Job:
    """One piece of work and how far it is. ``stage``, ``done``, ``total``: as it told last (total 0: not
    known)."""

    task: Task
    id: str = field(default_factory=lambda: secrets.token_hex(8))
    state: JobState = "waiting"
    stage: str = ""
    done: int = 0
    total: int = 0
    value: Any = None

    @property
    def has_ended(self) -> bool:
        return self.state not in ("waiting", "running")

    @property
    def lane(self) -> tuple[str, int]:
        return LANES.get(self.task.kind, ASKING)


class Working(Exception):
    """What a page needs is not there yet, or was stopped."""

    def __init__(self, job: Job) -> None:
        self.job = job
        super().__init__(job.id)


@dataclass
class _Worker:
    process: BaseProcess
    end: Connection
    lane: str
    knows: set[str] = field(default_factory=set)
    job: Job | None = None


class Pool:
    """Jobs by what they are about, and the processes that do them."""

    def __init__(self) -> None:
        method = "forkserver" if "forkserver" in multiprocessing.get_all_start_methods() else "spawn"
        self._context: Any = multiprocessing.get_context(method)
        if method == "forkserver":
            self._context.set_forkserver_preload(["partsolver.desk.tasks"])
        self._jobs: OrderedDict[tuple[str, str, str, str], Job] = OrderedDict()
        self._workers: list[_Worker] = []
        self._changed = threading.Condition()

    def job(self, task: Task) -> Job:
        """The job of a task, begun where there is none. What goes on about the same PC as it was before a
        change is worth nothing any more: it is stopped."""
        identity = (task.kind, task.name, task.key, task.what)
        with self._changed:
            known = self._jobs.get(identity)
            if known is not None:
                self._jobs.move_to_end(identity)
                return known
            for other_identity, other in list(self._jobs.items()):
                if _is_outdated(other.task, task):
                    self._stop(other)
                    del self._jobs[other_identity]
            job = self._jobs[identity] = Job(task)
            ended = [key for key, other in self._jobs.items() if other.has_ended]
            for key in ended[: max(0, len(self._jobs) - MOST_JOBS)]:
                del self._jobs[key]
            self._begin_next()
            return job

    def find(self, job_id: str) -> Job | None:
        """The job of an id that a page carries."""
        with self._changed:
            return next((job for job in self._jobs.values() if job.id == job_id), None)

    def forget(self, job: Job) -> None:
        """The job is begun anew when it is asked for again."""
        with self._changed:
            self._stop(job)
            self._jobs = OrderedDict((key, other) for key, other in self._jobs.items() if other is not job)

    def stop(self, job: Job) -> None:
        """Stop a job that has not ended; nothing happens to one that has."""
        with self._changed:
            self._stop(job)

    def close(self) -> None:
        """Stop whatever runs, and all processes."""
        with self._changed:
            for job in self._jobs.values():
                if not job.has_ended:
                    job.state = "stopped"
            for worker in self._workers:
                _end(worker)
            self._workers.clear()

    def wait(self, job: Job, seconds: float) -> bool:
        """Whether the job has ended within so many seconds."""
        with self._changed:
            return self._changed.wait_for(lambda: job.has_ended, seconds)

    def result(self, job: Job, patience_s: float = PATIENCE_S) -> Any:
        """What a job found. Raises Working while there is nothing, and what the task raised."""
        if not self.wait(job, patience_s) or job.state == "stopped":
            raise Working(job)
        if job.state == "found":
            return job.value
        if job.state != "unsettled":
            self.forget(job)
        return _raised(job)

    def _stop(self, job: Job) -> None:
        if job.has_ended:
            return
        job.state = "stopped"
        for worker in [worker for worker in self._workers if worker.job is job]:
            self._workers.remove(worker)
            _end(worker)
        self._begin_next()
        self._changed.notify_all()

    def _begin_next(self) -> None:
        for job in self._jobs.values():
            lane, most = job.lane
            going = sum(worker.job is not None and worker.job.lane[0] == lane for worker in self._workers)
            if job.state == "waiting" and going < most:
                self._begin(job)

    def _begin(self, job: Job) -> None:
        # Each lane has processes of its own: what keeps a PC's problem warm is never busy weighing questions.
        lane = job.lane[0]
        idle = [
            worker
            for worker in self._workers
            if worker.job is None and worker.lane == lane and worker.process.is_alive()
        ]
        worker = next((one for one in idle if job.task.name in one.knows), idle[0] if idle else None)
        if worker is None:
            own, other = self._context.Pipe()
            process = self._context.Process(target=_serve, args=(other,), daemon=True)
            process.start()
            other.close()
            worker = _Worker(process, own, lane)
            self._workers.append(worker)
        worker.job, job.state = job, "running"
        worker.knows.add(job.task.name)
        threading.Thread(target=self._listen, args=(worker, job), daemon=True).start()

    def _listen(self, worker: _Worker, job: Job) -> None:
        """Hand the task on, and hear what its process says until it has ended."""
        state: JobState = "fault"
        value: Any = "the process ended before its work was done"
        try:
            worker.end.send(job.task)
            while True:
                said, value = worker.end.recv()  # our own child's: nobody else holds the pipe
                if said != "progress":
                    state = said
                    break
                with self._changed:
                    job.stage, job.done, job.total = value
        except (EOFError, OSError):
            with self._changed:
                if worker in self._workers:
                    self._workers.remove(worker)
                    _end(worker)
        with self._changed:
            worker.job = None
            job.task = without_files(job.task)
            if job.state == "running":
                job.state, job.value = state, value
            self._begin_next()
            self._changed.notify_all()


def _is_outdated(known: Task, new: Task) -> bool:
    """Whether a task about a PC is worth nothing any more now that another is begun: the same of another
    state; and the questions are weighed anew after the answer, not beside it."""
    same = known.kind == new.kind and new.kind not in READING
    weighed = (known.kind, new.kind) == ("weights", "answer")
    return known.name == new.name and known.key != new.key and (same or weighed)


def _raised(job: Job) -> Any:
    if job.state == "undecided":
        raise NotDecided(job.value)
    if job.state in ("refused", "unsettled"):
        faults: tuple[Fault, ...] = job.value if job.state == "refused" else job.value[0]
        raise InputRefused(faults)
    raise InternalFault(str(job.value))


def _end(worker: _Worker) -> None:
    """End a process and those that it started (base/parallel.py)."""
    number = worker.process.pid
    if number is not None and hasattr(os, "killpg"):
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(number, signal.SIGKILL)
    worker.process.kill()
    worker.process.join(1)
    worker.end.close()


def _serve(end: Connection) -> None:
    """One process: tasks as they come, until the desk is gone."""
    if hasattr(os, "setsid"):
        os.setsid()
    held = Held()

    def heard(stage: str, done: int, total: int) -> None:
        end.send(("progress", (stage, done, total)))

    while True:
        try:
            task = end.recv()
            end.send(answered(task, held, heard))
        except (EOFError, OSError):
            return
