"""Tasks on two processes give what they give one after the other."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import pytest

from partsolver.base import parallel
from partsolver.base.parallel import Alongside, Beside, each


@pytest.fixture(params=["forked", "in a row"])
def way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    forked = request.param == "forked"
    if forked and sys.platform != "linux":
        pytest.skip("there is no safe fork here")
    monkeypatch.setattr(parallel, "_safe", lambda: forked)
    return str(request.param)


@pytest.mark.parametrize("count", range(6))
def test_results_stand_in_the_order_of_the_tasks(way: str, count: int) -> None:
    tasks: list[Callable[[], tuple[int, bytes]]] = [lambda n=n: (n, bytes(200_000)) for n in range(count)]  # type: ignore[misc]
    assert each(tasks) == [(n, bytes(200_000)) for n in range(count)]


def test_the_second_process_really_is_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(parallel, "_safe", lambda: sys.platform == "linux")
    assert len(set(each([os.getpid, os.getpid]))) == (2 if sys.platform == "linux" else 1)


@pytest.mark.parametrize("bad", [0, 1])
def test_what_a_task_raises_is_raised(way: str, bad: int) -> None:
    def task(number: int) -> int:
        if number == bad:
            raise ValueError(f"task {number}")
        return number

    with pytest.raises(ValueError, match=f"task {bad}"):
        each([lambda: task(0), lambda: task(1)])


def test_a_second_process_that_hangs_is_not_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(parallel, "PATIENCE_S", 0.1)
    here = os.getpid()
    assert each([lambda: 1, lambda: time.sleep(60) if os.getpid() != here else 2]) == [1, 2]


def test_shared_objects_come_back_as_themselves(way: str) -> None:
    one, other = object(), object()
    with Beside(lambda: {"one": one, "both": [one, other], "text": "x"}, [one, other]) as beside:
        found = beside.result()
    assert found["one"] is one
    assert [found["both"][0] is one, found["both"][1] is other] == [True, True]


@pytest.mark.parametrize("count", range(7))
def test_tasks_that_turn_up_one_by_one_stand_in_their_order(way: str, count: int) -> None:
    before = children()
    with Alongside[tuple[int, bytes]]() as tasks:
        for number in range(count):
            tasks.add(lambda n=number: (n, bytes(200_000)))  # type: ignore[misc]
            time.sleep(0.01 * (number % 3))
        assert tasks.results() == [(number, bytes(200_000)) for number in range(count)]
    assert children() <= before


def test_tasks_that_turn_up_are_done_by_both(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(parallel, "_safe", lambda: sys.platform == "linux")

    def task() -> int:
        time.sleep(0.05)
        return os.getpid()

    with Alongside[int]() as tasks:
        tasks.add(*[task] * 6)
        tasks.add(*[task] * 6)
        found = tasks.results()
    assert os.getpid() in found
    assert (len(set(found)) > 1) == (sys.platform == "linux")


def test_what_a_task_that_turned_up_raises_is_raised_and_nothing_is_left(way: str) -> None:
    def bad() -> int:
        raise ValueError("task")

    before = children()
    with pytest.raises(ValueError, match="task"), Alongside[int]() as tasks:
        tasks.add(lambda: 1, bad)
        tasks.add(lambda: 2)
        tasks.results()
    with Alongside[None]() as others:
        others.add(lambda: time.sleep(60) if way == "forked" else None)
    assert children() <= before


def test_a_task_beside_is_ended_when_nobody_wants_it(way: str) -> None:
    before = children()
    with Beside(lambda: time.sleep(60)):
        pass
    assert children() <= before


def test_no_process_is_left(way: str) -> None:
    before = children()
    each([lambda: 1, lambda: 2, lambda: 3])
    assert children() <= before


def children() -> set[str]:
    """Processes that this one began and nobody has waited for (other tests may have pools of their own)."""
    found = set()
    for file in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):  # it has ended meanwhile
            parent = file.read_text().rpartition(")")[2].split()[1]
            found |= {file.parent.name} if int(parent) == os.getpid() else set()
    return found


def test_nothing_is_printed_twice() -> None:
    """What stands in a buffer when the process forks comes out once."""
    code = (
        "print('once', end=' '); from partsolver.base.parallel import each; print(each([lambda: 1, lambda:"
        " 2]))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "once [1, 2]\n"
