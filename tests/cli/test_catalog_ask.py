"""`partsolver catalog ask` and the looks of a plan, on a catalogue read from a price list, pages and
sheets."""

from __future__ import annotations

import json
import shlex
import shutil
from pathlib import Path
from typing import Any

import pytest

from partsolver.catalog.dictionary import data_folder
from partsolver.cli import run

FILES = Path(__file__).parents[1] / "catalog" / "files"
ANSWERS = '["gtin-9520000005085"]\nmemory_module = "DIMM"\n[lumbrick-m4266627]\nmodule = "dimm"\nregistered = false\n'


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("ask")
    sources = [str(FILES / name) for name in ("pages", "pricelist.xlsx", "makers", "platforms.csv")]
    assert run(["catalog", "add", *sources, "--yes", "--into", str(folder / "parts")]) == 0
    # As if the sheets of these boards did not tell which modules they take.
    for board in ("gtin-9520000005085", "tollmere-to-b550m-99"):
        words = ["catalog", "set", board, "memory_module=unknown", "--catalog", str(folder / "parts")]
        assert run(words) == 0
    shutil.copy(data_folder() / "demo-survey.toml", folder / "pc.toml")
    return folder


@pytest.fixture
def bench(filled: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(filled, tmp_path, dirs_exist_ok=True)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def said(capsys: pytest.CaptureFixture[str], *words: str) -> Any:
    capsys.readouterr()
    assert run([*words, "--format", "json"]) == 0
    return json.loads(capsys.readouterr().out)


def first(capsys: pytest.CaptureFixture[str]) -> Any:
    return said(capsys, "recommend", "pc.toml")["plans"][0]


def test_what_matters_is_what_keeps_the_hoped_plan_out(
    bench: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = said(capsys, "recommend", "pc.toml")
    asked = said(capsys, "catalog", "ask", "pc.toml")
    assert asked["matter"] == 3 and asked["missing"] > 1000
    assert {q["fact"] for q in asked["questions"]} == {
        look["question"] for look in before["hoped_plan"]["looks"]
    }
    assert all(q["value"] is None and q["decides"] == "barred" for q in asked["questions"])
    # All together make the hoped plan the first one.
    for question in asked["questions"]:
        value = "no" if question["column"] == "registered" else "dimm"
        assert run(["catalog", "set", question["id"], f"{question['column']}={value}"]) == 0
    assert first(capsys)["parts"] == before["hoped_plan"]["plan"]["parts"]


def test_answers_of_a_file_are_kept_all_or_none(bench: Path, capsys: pytest.CaptureFixture[str]) -> None:
    Path("bad.toml").write_text(ANSWERS + '[lumbrick-m42666]\nmodule = "dimm"\ndepth_m = 9\n')
    Path("worse.toml").write_text(ANSWERS.replace("DIMM", "dimmm").replace("false", '"perhaps"'))
    for name, told in (("bad.toml", "depth_m"), ("worse.toml", "memory_module")):
        assert run(["catalog", "ask", "pc.toml", "--answers", name]) == 2
        message = capsys.readouterr().err
        assert name in message and told in message
    assert "registered" in message  # every fault in one go
    assert said(capsys, "catalog", "ask", "pc.toml")["matter"] == 3
    Path("good.toml").write_text(ANSWERS)
    assert run(["catalog", "ask", "pc.toml", "--answers", "good.toml"]) == 0
    out = capsys.readouterr().out
    assert "none matters" in out and "[ ]" in out


def test_a_worse_end_that_is_told_takes_the_first_plan_away(
    bench: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Path("good.toml").write_text(ANSWERS)
    assert run(["catalog", "ask", "pc.toml", "--answers", "good.toml"]) == 0
    plan = first(capsys)
    ticks = said(capsys, "catalog", "ask", "pc.toml")["questions"]
    assert ticks and all(q["mark"] in ("title", "platform") and q["fails_with"] for q in ticks)
    for tick in ticks:
        shutil.copytree("parts", "other", dirs_exist_ok=True)
        cell = f"{tick['column']}={tick['fails_with'][0]}"
        assert run(["catalog", "set", tick["id"], cell, "--catalog", "other"]) == 0
        changed = said(capsys, "recommend", "pc.toml", "--catalog", "other")["plans"][0]
        assert (changed["parts"], changed["cost"]["total"]) != (plan["parts"], plan["cost"]["total"]), tick
        shutil.rmtree("other")
    # A tick settles one: it is no look any more.
    tick = next(q for q in ticks if q["column"] == "generation")
    assert run(["catalog", "set", tick["id"], f"generation={tick['value']}"]) == 0
    left = said(capsys, "catalog", "ask", "pc.toml")["questions"]
    assert {q["fact"] for q in left} == {q["fact"] for q in ticks} - {tick["fact"]}


@pytest.mark.parametrize("folder", ["parts", "my parts"])
def test_what_is_printed_can_be_typed(folder: str, bench: Path, capsys: pytest.CaptureFixture[str]) -> None:
    if folder != "parts":
        Path("parts").rename(folder)
    fact = said(capsys, "catalog", "ask", "pc.toml", "--catalog", folder)["questions"][0]["fact"]
    assert run(["catalog", "ask", "pc.toml", "--catalog", folder]) == 0
    line = next(text for text in capsys.readouterr().out.splitlines() if "partsolver catalog set" in text)
    assert ("--catalog" in line) is (folder != "parts")
    words = shlex.split(line.replace("VALUE", "dimm"))
    assert run(words[1:]) == 0
    left = said(capsys, "catalog", "ask", "pc.toml", "--catalog", folder)["questions"]
    assert fact not in {question["fact"] for question in left}


def test_in_tables_the_cell_to_fill_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    """`catalog set` keeps nothing where there is no store: it is not offered."""
    assert run(["catalog", "ask", "--demo", "--budget", "230"]) == 0
    out = capsys.readouterr().out
    assert "cpus.csv, row transom-l6s-44: legacy_video" in out and "catalog set" not in out


def test_inferred_facts_are_boxes_beside_the_plan(bench: Path, capsys: pytest.CaptureFixture[str]) -> None:
    Path("good.toml").write_text(ANSWERS)
    assert run(["catalog", "ask", "pc.toml", "--answers", "good.toml"]) == 0
    looks = first(capsys)["looks"]
    assert {look["mark"] for look in looks} == {"title", "platform"}
    assert ("lumbrick-m4266627", "rate_mts", "2666") in {
        (look["id"], look["column"], look["value"]) for look in looks
    }
    assert run(["recommend", "pc.toml", "--show", "1", "--out", "plan.json"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert "[ ] Lumbrick 8GB (2x4GB) DDR4-2666 CL22: generation ddr4" in text
    assert "family weald-v (by platform)" in text
    assert run(["sheet", "plan.json", "--out", "sheet.html"]) == 0
    assert "Compare with the seller" in Path("sheet.html").read_text()


def test_tables_are_asked_about_but_keep_no_answer(bench: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tables = str(data_folder() / "demo")
    assert said(capsys, "catalog", "ask", "pc.toml", "--catalog", tables)["missing"] > 0
    Path("good.toml").write_text(ANSWERS)
    assert run(["catalog", "ask", "pc.toml", "--catalog", tables, "--answers", "good.toml"]) == 2
    assert "there is no store" in capsys.readouterr().err
