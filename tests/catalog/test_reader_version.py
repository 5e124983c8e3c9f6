"""What another version of the program read is said until its file is added again. (A store of before this was kept
has no table of it: here the table is taken out, or names another version.)"""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from partsolver.cli import run

NORTH = "Name;Price EUR gross\nPower supply Brendal 500W ATX;31,00\n"
SOUTH = "Name;Price EUR gross\nPower supply Corvane 450W ATX;29,00\n"


@pytest.fixture(autouse=True)
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for name, text in (("north", NORTH), ("south", SOUTH)):
        Path(f"{name}.csv").write_text(text)
        added(name)


def added(name: str) -> None:
    assert run(["catalog", "add", f"{name}.csv", "--tax", "gross", "--date", "2026-11-10"]) == 0


def otherwise(capsys: pytest.CaptureFixture[str]) -> list[str]:
    capsys.readouterr()
    assert run(["catalog", "check", "parts", "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)["read_by_other_version"]
    assert all(file["date"] == "2026-11-10" for file in found)
    return [file["file"] for file in found]


def change(statement: str) -> None:
    with closing(sqlite3.connect("parts/catalog.sqlite")) as store:
        store.execute(statement)
        store.commit()


@pytest.mark.parametrize("statement", ["DROP TABLE read_by", "UPDATE read_by SET version = 'earlier'"])
def test_files_that_another_version_read_are_said_until_they_are_added_again(
    statement: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert otherwise(capsys) == []
    change(statement)
    assert otherwise(capsys) == ["north.csv", "south.csv"]
    capsys.readouterr()
    added("north")
    assert "another version" in (said := capsys.readouterr().err) and "south.csv (2026-11-10)" in said
    assert "north.csv (" not in said
    assert otherwise(capsys) == ["south.csv"]
    assert run(["catalog", "check", "parts"]) == 0
    assert "add them again" in " ".join(capsys.readouterr().out.split())
    added("south")
    assert "another version" not in capsys.readouterr().err
    assert otherwise(capsys) == []


def test_what_is_no_longer_sold_or_was_typed_is_not_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    change("DROP TABLE read_by")
    change("DELETE FROM offers WHERE origin = 'south.csv'")
    change("UPDATE facts SET mark = 'typed' WHERE origin = 'south.csv'")
    added("north")
    assert otherwise(capsys) == []


def test_a_catalogue_of_tables_was_read_by_nobody(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["catalog", "export", "tables"]) == 0
    capsys.readouterr()
    assert run(["catalog", "check", "tables", "--format", "json"]) == 0
    assert json.loads(capsys.readouterr().out)["read_by_other_version"] == []
