"""Real runs: short ones of everything, what they leave behind, and the command line."""

from __future__ import annotations

import getpass
import json
import os
import platform
import signal
import subprocess
import sys
import time
from functools import partial
from pathlib import Path

import pytest
from measure.samples import sample

from partsolver.cli import run as command
from partsolver.measure import compute, run
from partsolver.measure.compute import DATA_DIGEST, POINTS, REFERENCE_RATES, TASKS, digest, points
from partsolver.measure.records import read_measurement
from partsolver.measure.run import Effort, measure
from partsolver.measure.worker import Crew
from partsolver.report.measure import STEPS, measurement_json

ROOT = Path(__file__).resolve().parents[2]
TINY = Effort(2, 2, 5, 0.02, 0.05, 32, 0.1, 0.05, 0.05)


def test_the_work_is_always_the_same() -> None:
    assert digest() == DATA_DIGEST
    assert compute.task("blake2b")() == compute.task("blake2b")()
    floats, counts = compute.task("sort")()  # type: ignore[misc]
    assert floats == sorted(floats) and sum(count for _, count in counts) == compute.SORT_ITEMS


def test_points() -> None:
    """The reference rates are 1000 points; all rates doubled double the points; one task doubled: 2 to the
    1/5."""
    assert points(REFERENCE_RATES) == pytest.approx(POINTS)
    assert points({name: 2 * rate for name, rate in REFERENCE_RATES.items()}) == pytest.approx(2 * POINTS)
    assert points({**REFERENCE_RATES, "sort": 2 * REFERENCE_RATES["sort"]}) == pytest.approx(
        POINTS * 2 ** (1 / len(TASKS))
    )


def test_short_run_of_everything(tmp_path: Path) -> None:
    seen: list[tuple[float, str]] = []
    made = measure(
        "2026-11-20", folder=tmp_path, progress=lambda share, step: seen.append((share, step)), effort=TINY
    )
    assert list(tmp_path.iterdir()) == []
    shares = [share for share, _ in seen]
    assert (
        shares == sorted(shares)
        and shares[0] == 0
        and shares[-1] == 1
        and {step for _, step in seen} <= set(STEPS)
    )
    assert made.verdict == "noisy" and "few_rounds" in {reason.code for reason in made.reasons}
    one, every = made.reading("serial"), made.reading("parallel")
    assert one and every and len(one.values) == made.rounds == 2
    named = {reading.name for reading in made.readings} | {reason.about for reason in made.missing}
    assert named >= {"serial", "parallel", "memory", "launch"} and named & {"storage", "storage_sequential"}
    path = tmp_path / "m.json"
    path.write_text(measurement_json(made), encoding="utf-8")
    assert read_measurement(path) == made
    # No name of the PC or its user in the file.
    text = path.read_text(encoding="utf-8").lower()
    for private in (platform.node(), getpass.getuser(), str(Path.home())):
        assert len(private) < 5 or private.lower() not in text


def children() -> set[str]:
    return {p.name for p in Path("/proc").glob("[0-9]*") if b"measure.worker" in _read(p / "cmdline")}


def _read(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError:
        return b""


def test_workers_end_with_an_error() -> None:
    with pytest.raises(ZeroDivisionError), Crew(2) as crew:
        assert crew.rate("sort", 0.01, True) > 0
        pids = [worker.pid for worker in crew._workers]
        raise ZeroDivisionError
    for pid in pids:
        with pytest.raises(ProcessLookupError):
            os.kill(pid, 0)


SCRIPT = """
import sys
from partsolver.cli import run
sys.exit(run(["measure", "--quick", "--folder", sys.argv[1], "--out", sys.argv[1] + "/m.json"]))
"""


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="needs /proc")
@pytest.mark.parametrize(("number", "code"), [(signal.SIGINT, 130), (signal.SIGKILL, -signal.SIGKILL)])
def test_nothing_is_left_after_an_interrupt(tmp_path: Path, number: signal.Signals, code: int) -> None:
    """Interrupted or killed in the middle of a round: no file, no process, no traceback."""
    environment = {
        **os.environ,
        "PYTHONPATH": str(ROOT),
        "TMPDIR": str(tmp_path),
        "PYTHONDONTWRITEBYTECODE": "1",
    }
    # A shell lets what it runs in the background ignore interrupts: not so here, however the tests were
    # started.
    process = subprocess.Popen(
        [sys.executable, "-c", SCRIPT, str(tmp_path)],
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=partial(signal.signal, signal.SIGINT, signal.SIG_DFL),
    )
    assert process.stderr is not None
    seen = ""
    for line in process.stderr:
        seen += line
        if STEPS["serial"] in line:
            break
    mine = {
        pid
        for pid in children()
        if f"\nPPid:\t{process.pid}\n".encode() in _read(Path("/proc") / pid / "status")
    }
    assert mine
    process.send_signal(number)
    output, rest = process.communicate(timeout=20)
    assert process.returncode == code and output == "" and "Traceback" not in seen + rest
    assert list(tmp_path.iterdir()) == []
    end = time.monotonic() + 5
    while children() & mine and time.monotonic() < end:
        time.sleep(0.05)
    assert not children() & mine


def test_quick_command_then_compare(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(run, "QUICK", TINY)  # the same run with less of everything
    out = tmp_path / "before.json"
    assert command(["measure", "--quick", "--out", str(out), "--format", "json"]) == 0
    printed = capsys.readouterr()
    assert (
        json.loads(printed.out) == json.loads(out.read_text(encoding="utf-8")) and "written to" in printed.err
    )
    assert read_measurement(out).quick and list(tmp_path.iterdir()) == [out]
    later = tmp_path / "later.json"
    later.write_text(json.dumps({**json.loads(out.read_text(encoding="utf-8")), "date": "2098-01-01"}))
    assert command(["compare", str(out), str(out)]) == 2
    assert "both files hold the same run" in capsys.readouterr().err
    assert command(["compare", str(out), str(later), "--format", "json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert document["schema"] == "partsolver.comparison/1" and document["measured"]["expected"] == 1.0
    assert {"noisy_run"} == {cause["code"] for cause in document["causes"]}


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["measure", "--into", "x"], "--into: goes together with --cpu"),
        (["measure", "--scale-by", "2"], "--scale-by: only has a meaning"),
        (["measure", "--from", "none.json"], "none.json: no such file"),
        (["measure", "--from", "none.json", "--quick"], "--from: nothing is measured then"),
        (
            ["measure", "--out", "/no/such/folder/m.json"],
            "--out: cannot be written: there is no folder /no/such/folder",
        ),
        (["measure", "--folder", "/no/such/folder", "--quick"], "/no/such/folder: cannot be used"),
        (["measure", "--into", "/no/such", "--cpu", "x"], "no such catalogue folder"),
        (["compare"], "two measurements are needed"),
        (["compare", "none.json", "none.json"], "none.json: no such file"),
        (
            ["compare", "none.json", "none.json", "--catalog", "."],
            "--catalog: only has a meaning with --plan",
        ),
        (["compare", "--fit", "none.csv"], "none.csv: no such file"),
        (["compare", "--fit", "none.csv", "--use", "office"], "--fit: stands alone"),
    ],
)
def test_bad_input(arguments: list[str], message: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert command(arguments) == 2
    printed = capsys.readouterr()
    assert message in printed.err and printed.out == "" and "Traceback" not in printed.err


def test_promise_of_a_plan_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The whole path: a real plan file, a PC that keeps the promise and one that does not."""
    plan = tmp_path / "plan.json"
    assert command(["recommend", "--alternatives", "1", "--out", str(plan)]) == 0
    from partsolver.measure.promise import read_promise

    promised = read_promise(plan)
    detail = promised.detail
    assert detail is not None and promised.speedup.expected_milli == pytest.approx(
        1000 * sum(detail.before_ppm.values()) / sum(detail.after_ppm.values()), abs=1
    )
    before, kept, broken = tmp_path / "before.json", tmp_path / "kept.json", tmp_path / "broken.json"
    figures = {"serial": 400.0, "parallel": 800.0, "memory": 8000.0, "storage_sequential": 250.0}
    gain = {
        name: detail.before_ppm[resource] / detail.after_ppm[resource]
        for name, resource in (*((n, n) for n in list(figures)[:3]), ("storage_sequential", "streaming"))
    }
    there = {"threads": detail.threads, "memory_mib": detail.memory_mib}
    before.write_text(measurement_json(sample(**figures)), encoding="utf-8")
    kept.write_text(
        measurement_json(sample(state=there, **{n: v * gain[n] for n, v in figures.items()})),
        encoding="utf-8",
    )
    broken.write_text(measurement_json(sample(state=there, **figures)), encoding="utf-8")
    capsys.readouterr()
    assert command(["compare", str(before), str(kept), "--plan", str(plan)]) == 0
    assert capsys.readouterr().out.startswith("HELD")
    assert command(["compare", str(before), str(broken), "--plan", str(plan), "--format", "json"]) == 1
    document = json.loads(capsys.readouterr().out)
    assert (
        document["outcome"] == "worse"
        and document["measured"]["expected"] < document["promised"]["speedup"]["low"]
    )
    # With all that the brief says of the use: 5120 MiB times working_set_much_percent, made 200 here.
    stored = json.loads(plan.read_text(encoding="utf-8"))
    stored["brief"] |= {"open_at_once": "much", "shares_concentration": 40}
    stored["brief"]["settings"] = {"working_set_much_percent": 200}
    plan.write_text(json.dumps(stored), encoding="utf-8")
    use = read_promise(plan).use
    assert (use.working_set_mib, use.concentration) == (10240, 40)
    # Without the plan's catalogue the whole promise still counts; the one by resource is lost and it says so.
    stored = json.loads(plan.read_text(encoding="utf-8"))
    stored["source"]["catalog"] = "gone"
    plan.write_text(json.dumps(stored), encoding="utf-8")
    assert read_promise(plan).detail is None and "not there" in str(read_promise(plan).lost)
    assert command(["compare", str(before), str(broken), "--plan", str(plan)]) == 1
    assert "Name the catalogue with --catalog" in capsys.readouterr().out.replace("\n  ", " ")
