"""What happens to a person's files when something goes wrong in the middle: killed, no room, no right to write, an
input that vanishes, two processes at once, Ctrl-C.

Each in a child process (``kills``); ``tests/long/kill_run.py`` kills hundreds of times.
"""

from __future__ import annotations

import os
import random
import resource
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from kills import KINDS, Work, begin, contents, kill_at_random, killed, quietly

from partsolver.catalog.load import load_catalog
from partsolver.cli import run

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
QUICK = [kind for kind in KINDS if kind not in ("plan file", "bench sheet")]
NOBODY = 65_534


@pytest.fixture(scope="module")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("begun") / "pc"
    begin(folder)
    return folder


@pytest.fixture
def folder(begun: Path, tmp_path: Path) -> Path:
    shutil.copytree(begun, tmp_path / "pc")
    return tmp_path / "pc"


@pytest.mark.parametrize("kind", QUICK)
def test_killed_at_random_old_or_new_and_nothing_left(kind: str, begun: Path, tmp_path: Path) -> None:
    counts = kill_at_random(kind, begun, tmp_path, 4, random.Random(f"kill {kind}"))
    assert counts["killed"] == 4


def in_child(before: Callable[[], object], work: Work, folder: Path) -> tuple[int, str]:
    """Exit code and messages of some work after something was done to the process."""
    told, tells = os.pipe()  # a file of messages would meet the limit of the disk too
    child = os.fork()
    if child == 0:
        code = 70
        try:
            before()
            with os.fdopen(tells, "w") as said:
                sys.stderr = said
                code = int(work(folder) or 0)  # type: ignore[call-overload]
        finally:
            os._exit(code)
    os.close(tells)
    with os.fdopen(told) as messages:
        said = messages.read()
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), said


def _no_room(most: int) -> Callable[[], object]:
    """Writing fails above so many bytes, as on a full disk (EFBIG in the place of ENOSPC)."""

    def limit() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))

    return limit


COMMANDS = (
    "plan file",
    "bench sheet",
    "survey",
    "new survey",
    "interview",
    "catalogue folder",
    "store",
    "word on a fact",
)


@pytest.mark.parametrize("kind", [*COMMANDS, "exported tables", "tables beside others"])
def test_no_room_on_the_disk_is_a_message_and_changes_nothing(
    kind: str, folder: Path, tmp_path: Path
) -> None:
    old = contents(folder)
    code, said = in_child(_no_room(200), KINDS[kind], folder)
    assert code == 2 and "fault" not in said and "Traceback" not in said, said
    assert "File too large" in said or "the store refuses" in said or "cannot be read as a store" in said, (
        said
    )
    left = contents(folder)
    if kind == "tables beside others":  # whole tables may be there, but no head: no catalogue yet
        left = {name: data for name, data in left.items() if not name.endswith(".csv") or name in old}
    assert left == old


def _nobody(work: Work, folder: Path) -> Callable[[], object]:
    """Become a user who owns nothing. What the work imports was imported before: the libraries may lie in a
    folder of root's."""
    shutil.copytree(folder, folder.parent / "rehearsed")
    quietly(work, folder.parent / "rehearsed")
    return lambda: os.seteuid(NOBODY)


@pytest.mark.skipif(os.geteuid() != 0, reason="only root can become somebody else")
@pytest.mark.parametrize("kind", [*COMMANDS, "exported tables", "tables beside others"])
def test_a_folder_that_is_not_yours_is_a_message(kind: str, folder: Path, tmp_path: Path) -> None:
    """As another user, who may read everything and write nothing."""
    for path in [tmp_path, *tmp_path.rglob("*")]:
        path.chmod(0o755 if path.is_dir() else 0o644)
    for path in tmp_path.parents:
        if not path.stat().st_mode & 0o001:
            path.chmod(path.stat().st_mode | 0o011)
    old = contents(folder)
    code, said = in_child(_nobody(KINDS[kind], folder), KINDS[kind], folder)
    assert code == 2 and "fault" not in said and "Traceback" not in said, said
    assert contents(folder) == old


def test_an_input_that_vanishes_is_a_message(folder: Path) -> None:
    """Each table, taken away at the moment when another one is opened."""
    for name in ("boards.csv", "offers.csv", "catalog.toml"):
        target = folder / "tables" / name
        whole = target.read_bytes()

        def vanish(target: Path = target) -> None:
            def watch(event: str, found: tuple[object, ...]) -> None:
                if event == "open" and str(found[0]).endswith(".csv") and str(found[0]) != str(target):
                    target.unlink(missing_ok=True)

            sys.addaudithook(watch)

        code, said = in_child(vanish, lambda place: run(["catalog", "check", str(place / "tables")]), folder)
        assert "fault" not in said and "Traceback" not in said, said
        assert code in (0, 2) and (code == 0 or name in said), (name, said)
        target.write_bytes(whole)
    code, said = in_child(
        lambda: (folder / "pc.toml").unlink(),
        lambda place: run(["recommend", str(place / "pc.toml"), "--catalog", str(place / "tables")]),
        folder,
    )
    assert code == 2 and "no such file" in said


def test_two_processes_on_one_store_lose_nothing(folder: Path, tmp_path: Path) -> None:
    """Two lists are added at the same time, five times: the store then holds what both say."""
    for name, text in (("north", "8 GB DDR4-2400 (1x8GB)"), ("south", "16 GB DDR4-3200 (2x8GB)")):
        (tmp_path / f"{name}.csv").write_text(f"Name;Price incl. VAT\n{text} Invented {name};19,90\n")
    for turn in range(5):
        place = tmp_path / f"both-{turn}"
        shutil.copytree(folder / "store", place)
        children = []
        for name in ("north", "south"):
            child = os.fork()
            if child == 0:
                work = lambda into, name=name: run(  # noqa: E731
                    ["catalog", "add", str(tmp_path / f"{name}.csv"), "--into", str(into)]
                )
                os._exit(quietly(work, place))
            children.append(child)
        codes = [os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children]
        assert codes == [0, 0]
        sellers = {seller.id for seller in load_catalog(place).tables["sellers"]}
        assert {"north", "south"} <= sellers


@pytest.mark.parametrize("wait_s", [0.0, 0.1, 0.3, 0.6, 1.0])
def test_ctrl_c_ends_with_130_and_what_is_written_is_whole(wait_s: float, folder: Path) -> None:
    old = contents(folder)
    code = killed(KINDS["plan file"], folder, wait_s, False, signal.SIGINT)
    assert code in (0, 130, -signal.SIGINT)
    left = contents(folder)
    plan = left.pop("pc.plan.json", None)
    assert left == old and (plan is None or plan.rstrip().endswith(b"}"))


def test_ctrl_c_during_a_solve_shows_the_best_so_far_marked(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], folder: Path
) -> None:
    """The second call of the solver is interrupted: plans are printed and said to be the best found, exit 130."""
    from partsolver.solve import ranking

    plain, calls = ranking.minimise, 0

    def minimise(*arguments: object) -> object:
        nonlocal calls
        calls += 1
        if calls > 1:
            raise KeyboardInterrupt
        return plain(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr(ranking, "minimise", minimise)
    code = run(["recommend", str(folder / "pc.toml"), "--demo", "--format", "json"])
    out = capsys.readouterr().out
    assert code == 130 and '"outcome": "best_found"' in out and '"interrupted": true' in out


def test_a_limit_on_the_work_says_what_it_leaves_open(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    began = time.monotonic()
    code = run(["recommend", str(folder / "pc.toml"), "--demo", "--limit", "0.000001"])
    out = capsys.readouterr().out
    assert time.monotonic() - began < 60
    assert code == 3 and ("at most" in out or "does not prove that there is none" in out)


@pytest.mark.skipif(os.geteuid() != 0, reason="only root can become somebody else")
@pytest.mark.parametrize(
    "arguments",
    [
        ["recommend", "{}/pc.toml", "--catalog", "{}/tables"],
        ["survey", "check", "{}/pc.toml"],
        ["catalog", "check", "{}/tables"],
        ["replan", "{}/old.plan.json"],
        ["fleet", "{}", "--demo"],
    ],
    ids=lambda words: words[0],
)
def test_what_you_may_not_look_at_is_a_message(arguments: list[str], folder: Path) -> None:
    """A folder that only its owner may enter: looking whether a file is there already fails."""
    folder.chmod(0o700)
    work: Work = lambda place: run([word.replace("{}", str(place)) for word in arguments])  # noqa: E731
    code, said = in_child(_nobody(work, folder), work, folder)
    assert code == 2 and "Permission denied" in said and "fault" not in said, said


def test_a_name_too_long_for_the_system_is_a_message(capsys: pytest.CaptureFixture[str]) -> None:
    for arguments in (["recommend", "x" * 5000], ["catalog", "check", "x" * 5000], ["replan", "y" * 300]):
        assert run(arguments) == 2
        err = capsys.readouterr().err
        assert "fault" not in err and "too long" in err, err


INTERRUPTED_AT_AN_IMPORT = """
import sys
from partsolver.__main__ import main
count = 0
def press(event, found):
    global count
    count += event == "import"
    if count == {nth}:
        count += 1
        raise KeyboardInterrupt
sys.addaudithook(press)
sys.argv = ["partsolver", "limits"]
main()
"""


@pytest.mark.parametrize("nth", [1, 2, 3, 10, 30, 100, 200])
def test_ctrl_c_while_the_command_is_loaded_is_no_traceback(nth: int) -> None:
    """From the first line of the program on. Before, Python itself starts and looks for it: what is pressed then
    (0.02 s) Python answers, with a traceback of its own."""
    asked = [sys.executable, "-c", INTERRUPTED_AT_AN_IMPORT.format(nth=nth)]
    ended = subprocess.run(asked, capture_output=True, check=False)
    assert (ended.returncode, ended.stderr) == (130, b"partsolver: interrupted\n")


def test_importing_the_program_loads_nothing_in_which_ctrl_c_would_not_be_caught() -> None:
    asked = (
        "import sys; before = set(sys.modules); import partsolver.__main__;"
        " print(sorted(set(sys.modules) - before))"
    )
    ended = subprocess.run([sys.executable, "-S", "-c", asked], capture_output=True, check=True, text=True)
    assert ended.stdout.strip() == "['__future__', 'partsolver', 'partsolver.__main__']"
