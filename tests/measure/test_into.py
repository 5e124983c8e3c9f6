"""Scores into a catalogue: four cells change, every other byte stays; the scale, the id and the run are
checked."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from measure.samples import sample

from partsolver.base.errors import InputRefused
from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.load import load_catalog
from partsolver.measure.into import edit_row, find_target, write_scores
from partsolver.measure.repeat import score_error_percent

CELLS = {"serial_score": "1500", "score_origin": "measured"}


@pytest.fixture
def catalog(tmp_path: Path) -> Path:
    """A copy of the demo catalogue that says its scores are on our scale."""
    folder = tmp_path / "catalog"
    shutil.copytree(data_folder() / "demo", folder)
    head = folder / "catalog.toml"
    text = head.read_text(encoding="utf-8")
    head.write_text(text.replace('origin = "', 'origin = "yardstick partsolver-1; '), encoding="utf-8")
    return folder


def four_threads(folder: Path) -> str:
    return next(cpu.id for cpu in load_catalog(folder).tables["cpus"] if cpu.threads == 4)


def test_only_four_cells_change(catalog: Path) -> None:
    path, cpu = catalog / "cpus.csv", four_threads(catalog)
    before = path.read_bytes().split(b"\n")
    others = {p.name: p.read_bytes() for p in catalog.iterdir() if p != path}
    written = write_scores(sample(), find_target(catalog, cpu, None))
    after = path.read_bytes().split(b"\n")
    changed = [(old, new) for old, new in zip(before, after, strict=True) if old != new]
    assert len(changed) == 1 and changed[0][0].startswith(cpu.encode() + b",")
    assert {
        p.name: p.read_bytes() for p in catalog.iterdir() if p != path
    } == others  # nothing left beside it either
    row = load_catalog(catalog).part(cpu)
    assert (row.serial_score, row.parallel_score, row.score_origin) == (1000, 3800, "measured")  # type: ignore[union-attr]
    assert row.score_error_percent == score_error_percent(sample()) == 3  # type: ignore[union-attr]
    assert [name for name, _, _ in written.cells] == [
        "serial_score",
        "parallel_score",
        "score_origin",
        "score_error_percent",
    ]


def test_scale(tmp_path: Path) -> None:
    folder = tmp_path / "catalog"
    shutil.copytree(data_folder() / "demo", folder)
    cpu = four_threads(folder)
    with pytest.raises(InputRefused, match="yardstick partsolver-1"):
        find_target(folder, cpu, None)
    write_scores(sample(), find_target(folder, cpu, "1.2345"))
    # 1234.5, halves upwards
    assert load_catalog(folder).part(cpu).serial_score == 1235  # type: ignore[union-attr]
    for bad in ("0", "-1", "1,5", "much", "1e3"):
        with pytest.raises(InputRefused, match="not a factor"):
            find_target(folder, cpu, bad)


def test_refusals(catalog: Path) -> None:
    cpu = four_threads(catalog)
    before = (catalog / "cpus.csv").read_bytes()
    with pytest.raises(InputRefused, match=r"no such processor.*Did you mean"):
        find_target(catalog, cpu[:-1] + "x", None)
    with pytest.raises(InputRefused, match="on this scale already"):
        find_target(catalog, cpu, "1.1")
    target = find_target(catalog, cpu, None)
    for run, message in (
        (sample(shape=(0.8, 1.0, 1.2, 0.9, 1.1)), "noisy"),
        (sample(state={"virtual": True}), "virtual machine"),
        (sample(state={"threads": 8}), "has 4 threads"),
    ):
        with pytest.raises(InputRefused, match=message):
            write_scores(run, target)
    assert (catalog / "cpus.csv").read_bytes() == before
    write_scores(sample(state={"virtual": True}), target, anyway=True)
    assert (catalog / "cpus.csv").read_bytes() != before


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # line ends, quotes with commas, doubled quotes and line breaks, blanks, a missing last line end
        (
            "id,serial_score,score_origin\r\na,1,x\r\nb,2,y\r\n",
            "id,serial_score,score_origin\r\na,1500,measured\r\nb,2,y\r\n",
        ),
        (
            'serial_score,"id",name,score_origin\n7,b,"p, ""q""\nr",z\n"8" , a ,"s,t",',
            'serial_score,"id",name,score_origin\n7,b,"p, ""q""\nr",z\n1500, a ,"s,t",measured',
        ),
        # a column that is missing is added at the end, other rows keep an empty cell
        ("id,serial_score\n\na,\nb,2\n", "id,serial_score,score_origin\n\na,1500,measured\nb,2,\n"),
        (
            'id,size,serial_score,score_origin\na,4",1,\nb,5",,\n',
            'id,size,serial_score,score_origin\na,4",1500,measured\nb,5",,\n',
        ),  # a quote within
        ("score_origin,id\n,b\nq,a", "score_origin,id,serial_score\n,b,\nmeasured,a,1500"),
    ],
)
def test_edit_keeps_every_other_byte(text: str, expected: str) -> None:
    assert edit_row(text, "a", CELLS)[0] == expected


def test_byte_order_mark_and_line_ends_stay(catalog: Path) -> None:
    path, cpu = catalog / "cpus.csv", four_threads(catalog)
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\r\n", b"\n").replace(b"\n", b"\r\n"))
    size = path.read_bytes().count(b"\r\n")
    write_scores(sample(), find_target(catalog, cpu, None))
    data = path.read_bytes()
    assert data.startswith(b"\xef\xbb\xbfid,") and data.count(b"\r\n") == size == data.count(b"\n")
