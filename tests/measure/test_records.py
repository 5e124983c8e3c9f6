"""Measurement files: they load back, and what is wrong with one is said."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from measure.samples import sample

from partsolver.base.errors import InputRefused
from partsolver.cli import run
from partsolver.measure.judge import judge, read_run
from partsolver.measure.promise import read_promise
from partsolver.measure.records import Reason, read_measurement
from partsolver.report.measure import measurement_json, measurement_text, reason_text


def test_loads_back(tmp_path: Path) -> None:
    path = tmp_path / "m.json"
    made = sample(state={"temperature_most_c": None}, drive={"link_gbps10": 30})
    path.write_text(measurement_json(made), encoding="utf-8")
    assert read_measurement(path) == made and measurement_json(read_measurement(path)) == path.read_text(
        encoding="utf-8"
    )
    assert measurement_text(made).count("GOOD") == 1


def edit(document: Any, *place: Any, value: Any) -> Any:
    at = document
    for key in place[:-1]:
        at = at[key]
    at[place[-1]] = value
    return document


@pytest.mark.parametrize(
    ("place", "value", "message"),
    [
        (("schema",), "partsolver.recommendation/1", "not a measurement"),
        (("readings", 0, "median"), 5000, "does not follow from its values"),
        (("readings", 0, "values", 1), -3, "readings entry 1.values entry 2"),
        (("readings", 0, "values"), [], "too few"),
        (("readings", 0, "median"), "1000", "readings entry 1.median: a number in quotes"),
        (("verdict",), "good, really", "verdict"),
        (("verdict",), "noisy", "verdict is good exactly when"),
        (("conditions", "threads"), 0, "conditions.threads"),
        (("conditions", "threads"), 10**6 + 1, "conditions.threads: too large"),
        (("conditions", "memory_mib"), 10**9 + 1, "conditions.memory_mib: too large"),
        (("date",), "2026-02-30", "2026-02-30 is no day that exists"),
        (("surprise",), 1, "surprise"),
        (("readings",), [], "the reading serial is missing"),
    ],
)
def test_what_is_wrong_is_said(tmp_path: Path, place: tuple[Any, ...], value: Any, message: str) -> None:
    path = tmp_path / "m.json"
    path.write_text(
        json.dumps(edit(json.loads(measurement_json(sample())), *place, value=value)), encoding="utf-8"
    )
    with pytest.raises(InputRefused, match=message) as caught:
        read_measurement(path)
    assert str(path) in str(caught.value) and "partsolver measure --out" in str(caught.value)


@pytest.mark.parametrize("name", ["serial", "parallel", "storage_sequential", "storage_random"])
def test_a_figure_beyond_any_pc_is_refused(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Taken over into a survey, which does not bear it, it ended in an internal fault."""
    path, survey = tmp_path / "m.json", tmp_path / "pc.toml"
    text = measurement_json(sample())
    document = json.loads(text)
    reading = next(r for r in document["readings"] if r["name"] == name)
    reading.update(values=[10**14] * 5, median=10**14, low=10**14, high=10**14, spread_permille=0)
    path.write_text(json.dumps(document), encoding="utf-8")
    with pytest.raises(InputRefused, match=f"{name} of 100000000000000 .* is beyond any PC"):
        read_measurement(path)
    assert run(["survey", "import", str(path), "--out", str(survey)]) != 4
    assert "is beyond any PC" in capsys.readouterr().err


@pytest.mark.parametrize("text", ["", "{", "[]", "null", '{"schema": 1}', "[" * 5000, "\x00"])
def test_not_a_measurement(tmp_path: Path, text: str) -> None:
    path = tmp_path / "m.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputRefused, match=r"not valid JSON|nested too deeply|not a measurement"):
        read_measurement(path)
    with pytest.raises(InputRefused, match=r"not valid JSON|nested too deeply|not a plan file"):
        read_promise(path)


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"state": {"busy_permille": 101}}, "busy"),
        ({"state": {"others_permille": 300}}, "others"),
        ({"state": {"stolen_permille": 21}}, "stolen"),
        ({"state": {"power": "battery"}}, "battery"),
        ({"state": {"throttle_events": 1}}, "throttled"),
        ({"shape": (1.0, 1.0, 1.0, 1.0)}, "few_rounds"),
        ({"serial": (900, 1000, 1100, 1000, 1050)}, "spread"),
        ({"parallel": (3800, 3790, 3700, 3500, 3400)}, "sag"),
    ],
)
def test_a_noisy_run_is_not_called_good(change: dict[str, Any], code: str) -> None:
    run = sample(**change)
    assert run.verdict == "noisy" and code in {reason.code for reason in run.reasons}
    text = measurement_text(run)
    assert "NOISY" in text and "GOOD" not in text
    assert all("{" not in reason_text(reason) and "None" not in reason_text(reason) for reason in run.reasons)


def test_a_file_is_judged_by_the_present_limits(tmp_path: Path) -> None:
    """A fall that an earlier version called one and that noise explains is no reason any more; a spread stays
    one."""
    made = sample(serial=(900, 1000, 1100, 1000, 1050))
    old = Reason(code="sag", about="serial", value=880, limit=930, unit="permille")
    path = tmp_path / "m.json"
    path.write_text(
        measurement_json(made.model_copy(update={"reasons": (*made.reasons, old)})), encoding="utf-8"
    )
    assert old in read_measurement(path).reasons and read_run(path) == made


def test_a_quiet_run_is_good() -> None:
    assert sample().verdict == "good" and judge(sample().readings, sample().conditions, 5) == ()
