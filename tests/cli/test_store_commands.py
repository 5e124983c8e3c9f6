"""`partsolver catalog add|show|find|set|forget|export`, as a person types them."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from partsolver.catalog.dictionary import data_folder
from partsolver.cli import run

DEMO = data_folder() / "demo"


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    shutil.copy(data_folder() / "demo-survey.toml", "pc.toml")
    shutil.copytree(DEMO, "tables")
    assert run(["catalog", "add", "tables"]) == 0
    return tmp_path


def test_the_folder_beside_the_survey_is_found_by_itself(
    bench: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["recommend", "pc.toml", "--out", "plan.json"]) == 0
    said = capsys.readouterr()
    assert "demo catalogue" not in said.err
    assert run(["recommend", "pc.toml", "--catalog", str(DEMO)]) == 0
    assert capsys.readouterr().out == said.out
    assert json.loads(Path("plan.json").read_text())["source"]["catalog"] == "parts"


def test_one_word_of_the_person_settles_a_fact(bench: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["catalog", "set", "br-k10m", "depth_mm=190", "shield=missing"]) == 0
    assert run(["catalog", "show", "br-k10m", "--format", "json"]) == 0
    text = capsys.readouterr().out
    found = json.loads(text[text.index("{") :])
    cells = {fact["column"]: (fact["value"], fact["mark"]) for fact in found["facts"]}
    assert cells["depth_mm"] == ("190", "typed") and cells["shield"] == ("missing", "typed")
    assert [offer["seller"] for offer in found["offers"]] == ["attic-finds", "second-bench"]
    assert run(["catalog", "set", "br-k10m", "depth_mm=deep"]) == 2
    assert "depth_mm" in capsys.readouterr().err


def test_look_export_and_forget(bench: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["catalog", "find", "BRUNNACH", "k10m"]) == 0
    assert "br-k10m" in capsys.readouterr().out
    assert run(["catalog", "find", "nosuchword"]) == 1
    assert run(["catalog", "show", "--left-out"]) == 0
    assert run(["catalog", "forget", "attic-finds"]) == 0
    assert run(["catalog", "export", "out"]) == 0
    assert "attic-finds" not in Path("out/offers.csv").read_text()
    assert run(["catalog", "export", "out"]) == 2
    capsys.readouterr()
    assert run(["catalog", "check", "parts"]) == 0


@pytest.mark.parametrize(
    ("command", "told"),
    [
        (["show", "br-k10"], "Did you mean 'br-k10m'"),
        (["show"], "--left-out"),
        (["set", "br-k10m", "depth_mm"], "COLUMN=VALUE"),
        (["forget", "attic"], "no such seller"),
        (["find", "x", "--catalog", "tables"], "there is no store"),
        (["add", "nosuch.xlsx"], "no such file"),
        (["add", "parts"], "holds a store itself"),
    ],
)
def test_what_cannot_be_done_is_said(
    command: list[str], told: str, bench: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["catalog", *command]) == 2
    assert told in capsys.readouterr().err
