"""Files, paths and locks of other systems: lines that end in CR LF (Windows), paths of either system in a plan file,
a system without file locks, text in another encoding."""

from __future__ import annotations

import json
import os
import shutil
from pathlib import Path

import pytest

from partsolver.base import textfile
from partsolver.base.textfile import write_text
from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.load import load_catalog
from partsolver.cli import run
from partsolver.survey.interview.answers import load_answers
from partsolver.survey.load import load_survey

DUMP = Path(__file__).parent / "survey" / "data" / "dmidecode-nx41.txt"


def windows(path: Path, mark: bool = False) -> None:
    """The file as an editor on Windows saves it."""
    data = path.read_bytes().replace(b"\r\n", b"\n").replace(b"\n", b"\r\n")
    path.write_bytes((b"\xef\xbb\xbf" if mark else b"") + data)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copytree(data_folder() / "demo", tmp_path / "parts")
    shutil.copy(data_folder() / "demo-survey.toml", tmp_path / "pc.toml")
    return tmp_path


@pytest.mark.parametrize("mark", [False, True])
def test_line_ends_and_a_byte_order_mark_change_nothing(mark: bool, folder: Path) -> None:
    catalog, (survey, brief) = load_catalog(folder / "parts"), load_survey(folder / "pc.toml")
    for path in [*(folder / "parts").iterdir(), folder / "pc.toml"]:
        windows(path, mark)
    found, (other, wishes) = load_catalog(folder / "parts"), load_survey(folder / "pc.toml")
    assert found.info.digest == catalog.info.digest and found.tables == catalog.tables
    assert other.model_copy(update={"text": survey.text}) == survey and wishes == brief


def test_an_import_into_a_survey_of_windows_is_a_survey(folder: Path) -> None:
    windows(folder / "pc.toml")
    windows(shutil.copy(DUMP, folder / "dump.txt") and folder / "dump.txt")
    assert (
        run(["survey", "import", str(folder / "dump.txt"), "--out", str(folder / "pc.toml"), "--keep-mine"])
        == 0
    )
    load_survey(folder / "pc.toml")
    assert b"\r\r\n" not in (folder / "pc.toml").read_bytes()


def test_answers_of_windows(folder: Path) -> None:
    path = folder / "pc.answers.toml"
    path.write_text('"psu.rated_w" = "350 W"\n"pc.brand" = "no"\n')
    plain = load_answers(path)
    windows(path, True)
    assert load_answers(path) == plain == {"psu.rated_w": "350 W", "pc.brand": "no"}


@pytest.mark.parametrize(
    "told", ["/etc", "C:\\parts", "c:parts", "\\\\server\\share\\parts", "\\parts", "//server/parts"]
)
def test_a_plan_file_opens_no_folder_of_either_system_by_itself(
    told: str, folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Windows paths, file naming conventions: a drive, a root or a share begins a path that is none of here."""
    plan = folder / "plan.json"
    survey = (folder / "pc.toml").read_text(encoding="utf-8")
    document = {
        "schema": "partsolver.recommendation/1",
        "plans": [{"rank": 1}],
        "chosen": 1,
        "brief": {},
        "source": {"survey_toml": survey, "catalog": told},
    }
    plan.write_text(json.dumps(document), encoding="utf-8")
    assert run(["replan", str(plan)]) == 2
    assert "is not opened by itself" in capsys.readouterr().err


def test_without_locks_and_without_signals_files_are_written_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Windows has no fcntl and no fchmod, and its signal 0 is Ctrl-C: no process is asked whether it runs."""

    def never(process: int, number: int) -> None:
        raise AssertionError("a signal was sent")

    monkeypatch.setattr(textfile, "fcntl", None)
    monkeypatch.setattr(textfile, "WINDOWS", True)
    monkeypatch.delattr(os, "fchmod")
    monkeypatch.setattr(os, "kill", never)
    path = tmp_path / "plan.json"
    (tmp_path / f".{path.name}.123{textfile._UNFINISHED}").write_text("half")
    write_text(path, "one")
    write_text(path, "two", "one")
    assert path.read_text() == "two" and [p.name for p in tmp_path.iterdir()] == [path.name]


def test_text_of_another_encoding_is_a_message(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = folder / "pc.toml"
    path.write_bytes(path.read_bytes().replace(b'name = "the choir', 'name = "Gehäuse'.encode("latin-1")))
    assert run(["survey", "check", str(path)]) == 2
    err = capsys.readouterr().err
    assert "UTF-8" in err and "fault" not in err
