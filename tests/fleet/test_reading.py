"""A fleet's folder: PCs alike in all that matters are one kind, broken surveys are reported, faults of the
stock refused."""

from __future__ import annotations

import json
import os
import shutil
from pathlib import Path

import pytest

from partsolver.base.errors import InputRefused
from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.load import Catalog, load_catalog
from partsolver.cli import run
from partsolver.fleet.reading import read_fleet
from partsolver.fleet.records import SHELF, Fleet, FleetWishes
from partsolver.report.fleet_files import sheet_names

WISHES = FleetWishes("most-pcs", 30000, "1.25")


@pytest.fixture(scope="module")
def catalog() -> Catalog:
    return load_catalog(data_folder() / "demo")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copytree(data_folder() / "demo-fleet", tmp_path / "fleet")
    return tmp_path / "fleet"


def read(folder: Path, catalog: Catalog) -> Fleet:
    return read_fleet(folder, catalog, WISHES, {})


def test_names_and_comments_make_no_kind(folder: Path, catalog: Catalog) -> None:
    before = read(folder, catalog)
    assert [one.pcs for one in before.classes if one.size > 1] == [("courses-1", "courses-2")]
    text = (folder / "courses-1.toml").read_text(encoding="utf-8")
    (folder / "third.toml").write_text("# another file of the same kind\n" + text, encoding="utf-8")
    (folder / "fourth.toml").write_text(
        text.replace("count = 2\nregistered", "count = 1\nregistered"), encoding="utf-8"
    )
    after = read(folder, catalog)
    assert len(after.classes) == len(before.classes) + 1
    assert ("courses-1", "courses-2", "third") in [one.pcs for one in after.classes]


def test_alike_parts_of_several_kinds_are_one_part(folder: Path, catalog: Catalog) -> None:
    """The 2 GiB modules of all PCs are the same; the slower processor of the reception is another than the
    others'."""
    fleet = read(folder, catalog)
    items = {one.pcs[0]: {t.slot: t.item for t in fleet.take_outs[one.key]} for one in fleet.classes}
    assert items["accounts"]["memory"] == items["courses-1"]["memory"] == items["library"]["memory"]
    assert items["accounts"]["memory"] != items["reception"]["memory"]
    assert items["accounts"]["cpu"] == items["courses-1"]["cpu"] != items["reception"]["cpu"]
    assert items["library"]["cpu"] == items["store-room"]["cpu"]
    assert "board" not in items["store-room"]  # it does not work


def test_a_broken_survey_is_reported_and_the_rest_goes_on(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder / "broken.toml").write_text("[pc\n", encoding="utf-8")
    text = (folder / "accounts.toml").read_text(encoding="utf-8")
    (folder / "accounts.toml").write_text(
        text.replace('use = "office"', 'use = "knitting"'), encoding="utf-8"
    )
    for name in ("library", "reception", "store-room"):
        (folder / f"{name}.toml").unlink()
    assert run(["fleet", str(folder), "--demo", "--budget", "60", "--format", "json"]) == 0
    told = capsys.readouterr()
    document = json.loads(told.out)
    assert [one["pc"] for one in document["broken"]] == ["accounts", "broken"]
    told_of = [one["faults"][0] for one in document["broken"]]
    assert "knitting" in told_of[0] and "broken.toml" in told_of[1]
    assert sorted(one["pc"] for one in document["pcs"]) == ["courses-1", "courses-2"]
    assert "broken is left out" in told.err


@pytest.mark.parametrize(
    ("file", "text", "told"),
    [
        ("shelf.csv", "part,count\nnothing-like-this,1\n", "shelf.csv:2 part"),
        ("shelf.csv", "part,count\ntransom-t4-30,many\n", "shelf.csv:2 count"),
        ("shelf.csv", "part,count,condition\ntransom-t4-30,1,shiny\n", "shelf.csv:2 condition"),
        ("shelf.csv", "piece,count\ntransom-t4-30,1\n", "shelf.csv"),
        (
            "price-breaks.csv",
            "part,seller,from,price\ncool-disc,nobody,2,9.00\n",
            "price-breaks.csv:2 seller",
        ),
        (
            "price-breaks.csv",
            "part,seller,from,price\ncool-disc,millrace,1,9.00\n",
            "price-breaks.csv:2 from",
        ),
        (
            "price-breaks.csv",
            "part,seller,from,price\ncool-disc,millrace,2,cheap\n",
            "price-breaks.csv:2 price",
        ),
        # Without quotation marks a decimal comma makes another cell: 49,90 was read as 49.00, and 90 was lost.
        (
            "price-breaks.csv",
            "part,seller,from,price\nbr-b10m,attic-finds,2,49,90\n",
            "csv:2: has more cells than columns",
        ),
        ("shelf.csv", "part,count,condition\nbr-b10m,1,used,new\n", "csv:2: has more cells than columns"),
        ("shelf.csv", "part,part,count\nbr-b10m,br-k10m,1\n", "wrong columns"),
        (
            "price-breaks.csv",
            "part,seller,from,price\nbr-b10m,attic-finds,2,50\nbr-b10m,attic-finds,2,40\n",
            "csv:3 price: another price for so many pieces stands above",
        ),
    ],
)
def test_faults_of_the_stock_are_refused(
    folder: Path, catalog: Catalog, file: str, text: str, told: str
) -> None:
    (folder / file).write_text(text, encoding="utf-8")
    with pytest.raises(InputRefused) as refused:
        read(folder, catalog)
    assert told in str(refused.value)


def test_a_state_on_the_shelf_may_be_written_large(folder: Path, catalog: Catalog) -> None:
    (folder / "shelf.csv").write_text("part,count,condition\nbr-b10m,2,Used\n", encoding="utf-8")
    offers = [offer for offer in read(folder, catalog).catalog.tables["offers"] if offer.seller == SHELF]
    assert [(offer.part, offer.stock, offer.condition) for offer in offers] == [("br-b10m", 2, "used")]


def test_two_rows_of_one_part_on_the_shelf_are_one_stock(folder: Path, catalog: Catalog) -> None:
    """1 + 2 used ones lie there, and 1 new: nobody found a piece where a part stood in two rows."""
    rows = "ddr3-1x4-1333,1,used\nddr3-1x4-1333,1,new\nddr3-1x4-1333,2,USED\n"
    (folder / "shelf.csv").write_text(f"part,count,condition\n{rows}", encoding="utf-8")
    offers = [offer for offer in read(folder, catalog).catalog.tables["offers"] if offer.seller == SHELF]
    assert sorted((offer.condition, offer.stock) for offer in offers) == [("new", 1), ("used", 3)]


def test_refused_before_anything_is_solved(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "empty").mkdir()
    assert run(["fleet", str(tmp_path / "none"), "--demo"]) == 2
    assert "no such folder" in capsys.readouterr().err
    assert run(["fleet", str(tmp_path / "empty"), "--demo"]) == 2
    assert "holds no survey" in capsys.readouterr().err
    assert run(["fleet", "--demo", "--min-speedup", "fast"]) == 2
    assert run(["fleet", "--demo", "--workers", "0"]) == 2
    assert run(["fleet", "--demo", "--goal", "worst"]) == 2
    told = capsys.readouterr().err
    assert "(found 'worst'); expected most-pcs, most-speed or worst-first" in told
    assert run(["fleet", "--demo", "--budget", "-3"]) == 2
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "there.txt").write_text("x")
    assert run(["fleet", "--demo", "--out", str(tmp_path / "out")]) == 2
    assert "not empty" in capsys.readouterr().err


def test_files_for_the_bench(folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An index page that leads to a sheet of each PC that is built, tables that add up to the orders, no
    script."""
    for name in ("accounts", "library", "reception"):
        (folder / f"{name}.toml").unlink()
    out = tmp_path / "out"
    assert run(["fleet", str(folder), "--demo", "--budget", "200", "--out", str(out)]) == 0
    text = capsys.readouterr().out
    document = json.loads((out / "fleet.json").read_text(encoding="utf-8"))
    assert (out / "fleet.txt").read_text(encoding="utf-8") == text
    index = (out / "index.html").read_text(encoding="utf-8")
    for pc in document["pcs"]:
        sheet = out / f"sheet-{pc['pc']}.html"
        assert sheet.exists() == (pc["what"] == "plan")
        assert (f'href="sheet-{pc["pc"]}.html"' in index) == sheet.exists()
        if sheet.exists():
            assert pc["pc"] in sheet.read_text(encoding="utf-8")
    rows = (out / "orders.csv").read_text(encoding="utf-8").splitlines()[1:]
    total = sum(round(100 * float(row.rsplit(",", 1)[1])) for row in rows)
    assert total == round(100 * float(document["cost"]))
    picked = (out / "picking-list.csv").read_text(encoding="utf-8").splitlines()[1:]
    assert len(picked) == len(document["picking_list"]) and "<script" not in index
    passed = [row for row in document["picking_list"] if row["from"] == "pc"]
    assert passed
    for row in passed:
        giving, getting = (out / f"sheet-{row[key]}.html" for key in ("source", "pc"))
        if giving.exists():  # a PC that is taken apart has none
            assert f"{row['pc']} gets it" in giving.read_text(encoding="utf-8")
        assert f"out of {row['source']}" in getting.read_text(encoding="utf-8")


def test_what_lies_beside_the_surveys_is_no_broken_survey(folder: Path, catalog: Catalog) -> None:
    """The desk and the interview keep unfinished answers beside a survey (guide, desk.md), and settings may lie there:
    the same folder serves page and command."""
    before = read(folder, catalog)
    (folder / "courses-1.answers.toml").write_text('"psu.year" = "?"\n', encoding="utf-8")
    (folder / "partsolver.toml").write_text('currency = "EUR"\n', encoding="utf-8")
    (folder / ".courses-1.toml").write_text("half a file", encoding="utf-8")
    after = read(folder, catalog)
    assert after.broken == before.broken and [c.pcs for c in after.classes] == [c.pcs for c in before.classes]


def test_no_pc_is_left_out_without_a_word(folder: Path, catalog: Catalog) -> None:
    """What has the name of a survey and is none that can be read, what is not read under its name, and one name
    written in two ways (LATIN SMALL LETTER E WITH ACUTE, and E with COMBINING ACUTE ACCENT)."""
    text = (folder / "courses-1.toml").read_text(encoding="utf-8")
    for name in ("caf\u00e9.toml", "cafe\u0301.toml", "hall.TOML"):
        (folder / name).write_text(text, encoding="utf-8")
    (folder / "gone.toml").symlink_to(folder / "nowhere")
    (folder / "circle.toml").symlink_to(folder / "circle.toml")
    (folder / "kept.toml").mkdir()
    fleet = read(folder, catalog)
    # "e" stands before "é": the first of the two is read.
    assert [name for name, _ in fleet.broken] == ["caf\u00e9", "circle", "gone", "hall", "kept"]
    assert all(fault.problem for _, faults in fleet.broken for fault in faults)
    assert sum(one.size for one in fleet.classes) == 7


@pytest.mark.parametrize("file", ["shelf.csv", "price-breaks.csv"])
@pytest.mark.parametrize("kind", ["folder", "link to nowhere", "pipe", "large letters"])
def test_stock_that_cannot_be_read_is_not_taken_for_none(
    folder: Path, catalog: Catalog, file: str, kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("partsolver.base.textfile.MOST_WAIT_S", 0.01)
    path = folder / file
    path.unlink(missing_ok=True)
    if kind == "folder":
        path.mkdir()
    elif kind == "pipe":
        os.mkfifo(path)
        open_end = os.open(path, os.O_RDWR)
    elif kind == "large letters":
        (folder / file.upper()).write_text("part,count\n", encoding="utf-8")
    else:
        path.symlink_to(folder / "nowhere")
    with pytest.raises(InputRefused, match=f"(?i){file}"):
        read(folder, catalog)
    if kind == "pipe":
        os.close(open_end)


def test_every_sheet_has_a_file_of_its_own_on_every_file_system() -> None:
    """File systems of Windows and macOS take names that differ by case for one, and refuse some signs; names have at
    most 255 bytes."""
    pcs = ["Hall", "hall", "hall-2", "is it?", "is it:", "\u00e9" * 125, "\u00e9" * 124, "ends."]
    names = sheet_names(pcs)
    assert list(names) == pcs and names["Hall"] == "sheet-Hall.html"
    assert len({name.casefold() for name in names.values()}) == len(pcs)
    assert all(len(name.encode()) <= 255 and not set(name) & set('<>:"/\\|?*') for name in names.values())
