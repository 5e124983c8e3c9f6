"""The file of finished work when it came to harm, or is somebody else's: what was kept comes back as it was or not at
all, the answer is that of a run from nothing, and nothing of others is touched."""

from __future__ import annotations

import random
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from fleets import answer, fleet_of

from partsolver.base.errors import InputRefused
from partsolver.cli.fleet_run import planned
from partsolver.fleet.kept import FILE, WorkFile
from partsolver.report.document import dump
from partsolver.report.fleet import fleet_document

PIECES = {f"{number:064}": [[number] * (40 * number), -number] for number in range(20)}


def kept(path: Path) -> None:
    """Twenty pieces in a file of about ten pages."""
    with closing(WorkFile(path, "stock")) as file:
        for digest, piece in PIECES.items():
            file.put(digest, piece)


def told(path: Path, statement: str) -> list[Any]:
    with closing(sqlite3.connect(path)) as file:
        found = file.execute(statement).fetchall()
        file.commit()
    return found


OURS = "CREATE TABLE work(digest TEXT PRIMARY KEY, stock TEXT NOT NULL, answer TEXT NOT NULL"
FOREIGN = {
    "no database": None,
    "hours of work": "CREATE TABLE work(day TEXT, stock TEXT, hours TEXT)",
    "one column more": f"{OURS}, hours TEXT) WITHOUT ROWID",
    "notes": "CREATE TABLE notes(text TEXT)",
}


@pytest.mark.parametrize("kind", FOREIGN)
def test_what_is_not_ours_is_refused_and_stays_as_it_is(kind: str, tmp_path: Path) -> None:
    path, statement = tmp_path / FILE, FOREIGN[kind]
    if statement is None:
        path.write_text("a letter to the landlord\n" * 100, encoding="utf-8")
    else:
        told(path, statement)
    before = path.read_bytes()
    with pytest.raises(InputRefused, match="Move it away"):
        WorkFile(path, "stock")
    assert path.read_bytes() == before
    assert [one.name for one in tmp_path.iterdir()] == [FILE]


def test_a_piece_comes_back_as_it_was_or_not_at_all(tmp_path: Path) -> None:
    """Bytes changed, pages emptied and exchanged, the end cut off (seed 7, 60 files): no other fault than a refusal
    that says what to do."""
    kept(tmp_path / FILE)
    good, draw = (tmp_path / FILE).read_bytes(), random.Random(7)
    seen = {"refused": 0, "whole": 0, "missing": 0}
    for number in range(60):
        data, at = bytearray(good), draw.randrange(len(good))
        other, this = (4096 * draw.randrange(len(good) // 4096) for _ in range(2))
        match draw.randrange(4):
            case 0:
                data[at] ^= draw.randrange(1, 256)
            case 1:
                data[other : other + 4096] = bytes(4096)
            case 2:
                data[other : other + 4096], data[this : this + 4096] = (
                    data[this : this + 4096],
                    data[other : other + 4096],
                )
            case _:
                del data[at:]
        path = tmp_path / f"{number}.sqlite"
        path.write_bytes(data)
        try:
            file = WorkFile(path, "stock")
        except InputRefused as refused:
            seen["refused"] += 1
            assert "Move it away" in str(refused)
            continue
        with closing(file):
            for digest, piece in PIECES.items():
                found = file.get(digest)
                assert found in (None, piece), number
                seen["missing" if found is None else "whole"] += 1
            file.put(digest, piece)
    assert min(seen.values()) > 10


CHANGES = {
    "a figure": "UPDATE work SET answer = replace(answer, '1', '2')",
    "all gone": "UPDATE work SET answer = ''",
    "no text": "UPDATE work SET answer = x'ff00'",
    "of another question": "UPDATE work SET answer = (SELECT max(answer) FROM work)",
}


@pytest.mark.parametrize("change", CHANGES)
def test_a_piece_that_came_to_harm_is_none(change: str, tmp_path: Path) -> None:
    kept(tmp_path / FILE)
    told(tmp_path / FILE, CHANGES[change])
    with closing(WorkFile(tmp_path / FILE, "stock")) as file:
        found = [digest for digest in PIECES if file.get(digest) is not None]
        # One piece stands where it stood: that of which the others were made.
        assert len(found) <= (change == "of another question")
        assert file.damaged == len(PIECES) - len(found) and file.used == len(found)


def test_work_that_came_to_harm_is_done_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    fleet = fleet_of(3, "most-pcs", 8000)
    fresh = dump(fleet_document(planned(fleet, tmp_path, 10)))
    told(tmp_path / FILE, CHANGES["a figure"])
    assert "came to harm" not in capsys.readouterr().err
    assert dump(fleet_document(planned(fleet, tmp_path, 10))) == fresh
    assert "came to harm" in capsys.readouterr().err


def test_a_file_that_fails_in_the_middle_is_left_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A full disk, by SQLite's own limit of pages (sqlite.org/pragma.html, max_page_count)."""
    connect = sqlite3.connect

    def small(*arguments: Any, **options: Any) -> sqlite3.Connection:
        file = connect(*arguments, **options)
        file.execute("PRAGMA page_size = 512")
        file.execute("PRAGMA max_page_count = 3")
        return file

    monkeypatch.setattr(sqlite3, "connect", small)
    fleet = fleet_of(3, "most-pcs", 8000)
    found = planned(fleet, tmp_path, 10)
    assert dump(fleet_document(found)) == dump(fleet_document(answer(fleet)))
    assert "not kept any more" in capsys.readouterr().err
