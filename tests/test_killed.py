"""kill -9 at every step of every command that writes: each file is the old one or the new one, never half,
and the next run leaves nothing of the killed one behind."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from partsolver.catalog.dictionary import data_folder

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="there is no safe fork here")
DATA = Path(__file__).parent / "survey" / "data"
# Has the program loaded, and asks each command in a fork that kills itself before the n-th thing that it does to a
# file of the folder (Python's audit events: opening for writing, renaming, removing, making a folder; 0: never).
NURSERY = """
import json, os, signal, sys
import importlib, pkgutil
import matplotlib.backends.backend_svg, matplotlib.figure, ortools.sat.python.cp_model
import partsolver
from partsolver.cli import run
for module in pkgutil.walk_packages(partsolver.__path__, "partsolver."):
    if not module.name.startswith(("partsolver.desk", "partsolver.fleet", "partsolver.audit")) and "__main__" not in module.name:
        importlib.import_module(module.name)
WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT
def watching(folder, last):
    seen = 0
    def watch(event, found):
        nonlocal seen
        if event == "open":
            does = isinstance(found[0], str) and bool(found[2] & WRITES)
        else:
            does = event in ("os.rename", "os.remove", "os.mkdir", "os.rmdir")
        if does and str(found[0]).startswith(folder):
            seen += 1
            if seen == last:
                os.kill(os.getpid(), signal.SIGKILL)
    return watch
for line in sys.stdin:
    folder, last, arguments = json.loads(line)
    child = os.fork()
    if child == 0:
        sys.stdout = sys.stderr = open(os.devnull, "w")
        sys.addaudithook(watching(folder, last))
        sys.exit(run(arguments))
    print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)
"""
# Commands that write, by what they write; {} is the folder. Those whose file was there before say so.
DUMPS = [str(DATA / name) for name in ("dmidecode-nx41.txt", "lscpu-comma.txt")]
COMMANDS = {
    "plan file": ["recommend", "{}/pc.toml", "--demo", "--out", "{}/pc.plan.json"],
    "picture": ["tradeoff", "{}/pc.toml", "--demo", "--picture", "{}/money.svg"],
    "survey": ["survey", "import", *DUMPS, "--out", "{}/pc.toml", "--keep-mine"],
    "new survey": ["survey", "import", *DUMPS, "--out", "{}/new.toml"],
    "catalogue folder": ["catalog", "new", "{}/parts"],
    "exported tables": ["catalog", "export", "{}/tables", "--catalog", "{}/store"],
}
STEPS = 60


def contents(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


Asked = Callable[[Path, int, list[str]], int]


@pytest.fixture(scope="module")
def child() -> Iterator[Asked]:
    """Runs a command, killed before its n-th step, and gives its exit code."""
    with subprocess.Popen(
        [sys.executable, "-c", NURSERY],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONHASHSEED": "0"},
    ) as nursery:
        asks, answers = nursery.stdin, nursery.stdout
        assert asks is not None and answers is not None

        def ask(folder: Path, at: int, arguments: list[str]) -> int:
            filled = [argument.replace("{}", str(folder)) for argument in arguments]
            print(json.dumps([str(folder), at, filled]), file=asks, flush=True)
            return int(answers.readline())

        yield ask
        asks.close()


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory, child: Asked) -> Path:
    """A folder with a survey and a small store."""
    folder = tmp_path_factory.mktemp("begun")
    shutil.copy(data_folder() / "demo-survey.toml", folder / "pc.toml")
    assert child(folder, 0, ["catalog", "add", str(data_folder() / "demo"), "--into", "{}/store"]) == 0
    return folder


@pytest.mark.parametrize("kind", COMMANDS)
def test_killed_at_every_step_old_or_new_and_nothing_left(
    kind: str, begun: Path, child: Asked, tmp_path: Path
) -> None:
    folder = tmp_path / "pc"
    shutil.copytree(begun, folder)
    old = contents(folder)
    assert child(folder, 0, COMMANDS[kind]) == 0
    new = contents(folder)
    assert new != old
    for at in range(1, STEPS):
        shutil.rmtree(folder)
        shutil.copytree(begun, folder)
        code = child(folder, at, COMMANDS[kind])
        if code == 0:
            break
        assert code == -9
        for name, data in contents(folder).items():
            whole = data in (old.get(name), new.get(name))
            assert whole or name.endswith(".part") or ".part/" in name, f"{name} is half written at step {at}"
        assert child(folder, 0, COMMANDS[kind]) in (0, 2)
        assert contents(folder) == new, f"left behind after step {at}"
    else:
        raise AssertionError("the command never came to its end")
    assert at > 2
