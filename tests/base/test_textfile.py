"""Files: read within limits, written whole or not at all, and nothing of somebody else's lost."""

from __future__ import annotations

import os
import signal
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest

from partsolver.base.errors import InputRefused
from partsolver.base.textfile import (
    check_writable,
    read_bytes,
    read_text,
    write_bytes,
    write_folder,
    write_text,
)

POSIX = os.name == "posix"
pytestmark = pytest.mark.skipif(not POSIX, reason="modes, links and devices of POSIX")


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_a_link_is_followed_and_stays_a_link(tmp_path: Path) -> None:
    real, link = tmp_path / "real.txt", tmp_path / "link.txt"
    real.write_text("old")
    link.symlink_to("real.txt")
    write_text(link, "new")
    assert link.is_symlink() and real.read_text() == "new"
    dangling = tmp_path / "dangling"
    dangling.symlink_to("made.txt")
    write_text(dangling, "x")
    assert dangling.is_symlink() and (tmp_path / "made.txt").read_text() == "x"


def test_mode_of_the_old_file_else_of_the_umask(tmp_path: Path) -> None:
    before = os.umask(0o077)
    try:
        write_text(tmp_path / "new", "x")
        assert mode(tmp_path / "new") == 0o600
    finally:
        os.umask(before)
    old = tmp_path / "old"
    old.write_text("x")
    old.chmod(0o640)
    write_text(old, "y")
    assert mode(old) == 0o640


def test_a_device_is_written_into_and_stays_a_device(tmp_path: Path) -> None:
    write_text(Path("/dev/null"), "x" * 10_000)
    assert stat.S_ISCHR(os.stat("/dev/null").st_mode)
    link = tmp_path / "to-null"
    link.symlink_to("/dev/null")
    write_text(link, "x")
    assert stat.S_ISCHR(os.stat("/dev/null").st_mode) and link.is_symlink()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_a_full_device_is_said() -> None:
    with pytest.raises(InputRefused, match="cannot be written: No space left"):
        write_text(Path("/dev/full"), "x")


def test_a_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputRefused, match="is a folder"):
        write_text(tmp_path, "x")
    with pytest.raises(InputRefused, match="is a folder"):
        read_text(tmp_path)
    with pytest.raises(InputRefused, match=r"cannot be written.*Choose a folder"):
        write_text(tmp_path / "none" / "x", "x")


def test_what_another_writer_wrote_meanwhile_is_not_overwritten(tmp_path: Path) -> None:
    path = tmp_path / "survey.toml"
    path.write_text("a = 1\n")
    read = read_text(path)
    path.write_text("a = 1\nb = 2\n")
    with pytest.raises(InputRefused, match="changed by another program meanwhile"):
        write_text(path, "a = 1\nc = 3\n", read)
    assert path.read_text() == "a = 1\nb = 2\n" and [p.name for p in tmp_path.iterdir()] == ["survey.toml"]
    write_text(path, "new", read_text(path))
    assert path.read_text() == "new"
    # One that is there now and was not before is somebody else's too; line ends alone are no other text.
    with pytest.raises(InputRefused, match="meanwhile"):
        write_text(path, "x", "")
    write_bytes(path, b"a\r\nb\r\n")
    write_text(path, "z", "a\nb\n")


WRITER = """
import sys
from pathlib import Path
from partsolver.base.textfile import read_text, write_text
path, name = Path(sys.argv[1]), sys.argv[2]
for number in range(20):
    while True:
        was = read_text(path)
        try:
            write_text(path, was + f"{name}{number}\\n", was)
            break
        except Exception as error:
            assert "meanwhile" in str(error), error
"""


def test_two_writers_lose_nothing(tmp_path: Path) -> None:
    path = tmp_path / "facts"
    path.write_text("")
    running = [subprocess.Popen([sys.executable, "-c", WRITER, str(path), name]) for name in "ab"]
    assert [process.wait() for process in running] == [0, 0]
    lines = path.read_text().splitlines()
    assert sorted(lines) == sorted(f"{name}{number}" for name in "ab" for number in range(20))
    assert [p.name for p in tmp_path.iterdir()] == ["facts"]


KILLED = """
import sys
from pathlib import Path
from partsolver.base.textfile import write_text
path = Path(sys.argv[1])
print("begun", flush=True)
number = 0
while True:
    number += 1
    write_text(path, f"{number:08d}\\n" * 20_000)
"""


def test_killed_at_any_moment_old_or_new_and_no_leftovers(tmp_path: Path) -> None:
    """kill -9 of a writer: the file is one whole text, and the next writer removes what the killed one
    left."""
    path = tmp_path / "plan.json"
    for wait in (0.0, 0.003, 0.011, 0.027, 0.05):
        process = subprocess.Popen([sys.executable, "-c", KILLED, str(path)], stdout=subprocess.PIPE)
        assert process.stdout is not None and process.stdout.readline()
        time.sleep(wait)
        process.send_signal(signal.SIGKILL)
        process.wait()
        process.stdout.close()
        if path.exists():
            lines = path.read_text().splitlines()
            assert len(lines) == 20_000 and len(set(lines)) == 1
    write_text(path, "whole")
    assert [p.name for p in tmp_path.iterdir()] == ["plan.json"]


def test_a_new_folder_is_whole_or_not_there(tmp_path: Path) -> None:
    folder = tmp_path / "parts"
    leftover = tmp_path / ".parts.999999999.part"
    leftover.mkdir()
    (leftover / "half.csv").write_text("x")
    write_folder(folder, {"a.csv": "1", "b.csv": "2"})
    assert sorted(p.name for p in folder.iterdir()) == ["a.csv", "b.csv"] and not leftover.exists()
    empty = tmp_path / "empty"
    empty.mkdir()
    write_folder(empty, {"a.csv": "1"})
    assert (empty / "a.csv").read_text() == "1"
    with pytest.raises(InputRefused, match="cannot be made"):
        write_folder(folder, {"c.csv": "3"})
    assert sorted(p.name for p in folder.iterdir()) == ["a.csv", "b.csv"]


def test_sizes_are_looked_at_before_reading(tmp_path: Path) -> None:
    large = tmp_path / "large"
    with large.open("wb") as file:
        file.truncate(10**12)  # takes no room on the disk
    with pytest.raises(InputRefused, match=r"is too large .found '1000000000000 bytes"):
        read_text(large)
    with pytest.raises(InputRefused, match="is too large"):
        read_bytes(Path("/dev/zero"), 10**6)


def test_a_pipe_that_nobody_fills_does_not_hang(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    with pytest.raises(InputRefused, match="sends nothing for"):
        read_text(pipe)
    process = subprocess.Popen(["sh", "-c", f"echo text > {pipe}"])
    assert read_text(pipe) == "text\n"
    assert process.wait() == 0


def test_what_cannot_be_written_is_told_before_the_work(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    (tmp_path / "empty").mkdir()
    for path, new_folder, said in (
        (tmp_path / "no" / "plan.json", False, f"cannot be written: there is no folder {tmp_path / 'no'}"),
        (tmp_path / "file" / "plan.json", False, f"cannot be written: {tmp_path / 'file'} is no folder"),
        (tmp_path, False, "is a folder, not a file"),
        (tmp_path / "file" / "out", True, f"cannot be written: {tmp_path / 'file'} is no folder"),
        (tmp_path / "file" / "a" / "out", True, "is no folder"),
        (tmp_path, True, "is there already and not empty"),
        (tmp_path / "file", True, "is there already and not empty"),
    ):
        with pytest.raises(InputRefused) as refused:
            check_writable(path, "--out", new_folder)
        message = str(refused.value)
        assert message.startswith(f"--out: {said}") or said in message
        assert "--out" in message and str(path) in message and ("Choose" in message or "expected" in message)
    for path, new_folder in (
        (tmp_path / "plan.json", False),
        (tmp_path / "file", False),
        (Path("/dev/null"), False),
        (Path("-"), False),
        (tmp_path / "a" / "b" / "out", True),
        (tmp_path / "empty", True),
    ):
        check_writable(path, "--out", new_folder)


@pytest.mark.skipif(POSIX and os.geteuid() == 0, reason="whoever may do anything may write anywhere")
def test_a_folder_without_rights_is_told_before_the_work(tmp_path: Path) -> None:
    (tmp_path / "locked").mkdir(mode=0o500)
    with pytest.raises(InputRefused, match="nothing may be written into"):
        check_writable(tmp_path / "locked" / "plan.json", "--out")
