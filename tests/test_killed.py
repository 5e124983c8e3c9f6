"""kill -9 at every step of every command that writes: each file is the old one or the new one, never half,
and the next run leaves nothing of the killed one behind."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from partsolver.catalog.dictionary import data_folder

DATA = Path(__file__).parent / "survey" / "data"
# Kills its own process before the n-th thing that it does to a file of the folder (Python's audit events:
# opening for writing, renaming, removing, making a folder), or tells how many there were.
CHILD = """
import os, signal, sys
folder, last, seen = sys.argv[1], int(sys.argv[2]), 0
WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT
def watch(event, found):
    global seen
    if event == "open":
        does = isinstance(found[0], str) and bool(found[2] & WRITES)
    else:
        does = event in ("os.rename", "os.remove", "os.mkdir", "os.rmdir")
    if does and str(found[0]).startswith(folder):
        seen += 1
        if seen == last:
            os.kill(os.getpid(), signal.SIGKILL)
sys.addaudithook(watch)
from partsolver.cli import run
sys.exit(run(sys.argv[3:]))
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


def child(folder: Path, at: int, arguments: list[str]) -> int:
    filled = [argument.replace("{}", str(folder)) for argument in arguments]
    return subprocess.run(
        [sys.executable, "-c", CHILD, str(folder), str(at), *filled],
        capture_output=True,
        env={**os.environ, "PYTHONHASHSEED": "0"},
        check=False,
    ).returncode


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a survey and a small store."""
    folder = tmp_path_factory.mktemp("begun")
    shutil.copy(data_folder() / "demo-survey.toml", folder / "pc.toml")
    assert child(folder, 0, ["catalog", "add", str(data_folder() / "demo"), "--into", "{}/store"]) == 0
    return folder


@pytest.mark.parametrize("kind", COMMANDS)
def test_killed_at_every_step_old_or_new_and_nothing_left(kind: str, begun: Path, tmp_path: Path) -> None:
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
