"""The README and the guide are true: every console block is run and prints what it shows, every block of
Python runs, and the pages are where the README and the command line say."""

from __future__ import annotations

import re
import shutil
import zipfile
from pathlib import Path
from typing import Any

import pytest
from console import examples, prepared, run_example, widest_line
from measure.samples import sample
from survey.survey_data import DATA

import partsolver
from partsolver.catalog.dictionary import data_folder
from partsolver.cli import run
from partsolver.report.guide import page, page_text, title_of, topics
from partsolver.report.measure import measurement_json

ROOT = Path(__file__).resolve().parents[1]
README = ROOT / "README.md"
GUIDE = ROOT / "partsolver" / "guide"
DUMPS = ["dmidecode-nx41.txt", "lscpu-comma.txt", "lsblk-text.json", "smartctl-sda.json"]
DOCUMENTS = {"README": README, **{path.stem: path for path in sorted(GUIDE.glob("*.md"))}}


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder of the examples: saved outputs of system tools, two measurements, a survey, a catalogue."""
    prepared(tmp_path, [DATA / name for name in DUMPS])
    (tmp_path / "before.json").write_text(measurement_json(sample()), encoding="utf-8")
    after = sample(serial=2000.0, parallel=7600.0, memory=36000.0, launch=520.0)
    (tmp_path / "after.json").write_text(measurement_json(after), encoding="utf-8")
    lists = ROOT / "tests" / "catalog" / "files"
    for folder in ("pages", "makers"):
        shutil.copytree(lists / folder, tmp_path / folder)
    for file in ("pricelist.xlsx", "platforms.csv"):
        shutil.copy(lists / file, tmp_path / file)
    shutil.copy(data_folder() / "demo-survey.toml", tmp_path / "pc.toml")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    return tmp_path


@pytest.mark.parametrize("name", list(DOCUMENTS))
def test_examples_print_what_they_show(name: str, bench: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    if name == "survey":
        (bench / "pc.toml").unlink()  # this page makes it
    for example in examples(DOCUMENTS[name].read_text(encoding="utf-8")):
        run_example(example, monkeypatch)


def test_there_are_examples() -> None:
    counts = {name: len(examples(path.read_text(encoding="utf-8"))) for name, path in DOCUMENTS.items()}
    assert counts["README"] >= 1 and sum(counts.values()) >= 15
    assert all(counts[name] for name in set(topics()) - {"words", "changes"})


@pytest.mark.parametrize("name", list(DOCUMENTS))
def test_python_blocks_run(name: str, bench: Path, capsys: pytest.CaptureFixture[str]) -> None:
    blocks = re.findall(r"^```python\n(.*?)^```$", DOCUMENTS[name].read_text(encoding="utf-8"), re.M | re.S)
    if name == "script":
        assert blocks
    shutil.copy(data_folder() / "demo-survey.toml", bench / "pc.toml")
    shutil.copytree(data_folder() / "demo", bench / "parts")
    for block in blocks:
        exec(compile(block, f"{name}.md", "exec"), {})
    assert not blocks or capsys.readouterr().out


def test_sections_have_their_one_command() -> None:
    text = README.read_text(encoding="utf-8")
    for section in ("Try it", "Test it"):
        body = text.split(f"## {section}\n", 1)[1].split("\n## ", 1)[0]
        block = re.search(r"^```bash\n(.*?)^```$", body, re.M | re.S)
        assert block is not None and len(block[1].strip().splitlines()) == 1
    assert text.index("## Try it") < text.index("## Test it")


def test_the_readme_is_short_and_names_every_page() -> None:
    text = README.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 150
    linked = re.findall(r"\]\((partsolver/guide/[^)]*)\)", text)
    assert sorted(linked) == sorted(path.relative_to(ROOT).as_posix() for path in GUIDE.glob("*.md"))
    for target in re.findall(r"\]\(([^)#:]+)\)", text):
        assert (ROOT / target).exists(), target


@pytest.mark.parametrize("topic", topics())
def test_the_guide_prints_each_page(topic: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["guide"]) == 0
    listed = capsys.readouterr().out
    assert re.search(rf"^  {re.escape(topic)} +{re.escape(title_of(page(topic)))}$", listed, re.M)
    assert run(["guide", topic]) == 0
    printed = capsys.readouterr().out
    assert printed == page_text(page(topic)) and "```" not in printed
    assert page(topic).startswith("# ") and widest_line(page(topic)) <= 80


def test_pages_name_only_pages_that_exist() -> None:
    for path in DOCUMENTS.values():
        for named in re.findall(r"partsolver guide ([a-z-]+)", path.read_text(encoding="utf-8")):
            assert named in topics(), f"{path.name} names the page {named}"


def test_every_option_is_documented() -> None:
    """Every option of every command stands in the guide."""
    import typer

    from partsolver.cli.app import app

    told = "".join(path.read_text(encoding="utf-8") for path in GUIDE.glob("*.md"))
    missing = []

    def look(command: Any, name: str) -> None:
        for parameter in command.params:
            for option in getattr(parameter, "opts", ()):
                if option.startswith("--") and f"`{option}" not in told and f" {option}" not in told:
                    missing.append(f"{name} {option}")
        for inner, child in getattr(command, "commands", {}).items():
            look(child, f"{name} {inner}")

    look(typer.main.get_command(app), "partsolver")
    assert not missing


def test_an_unknown_page_is_refused_with_the_nearest(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["guide", "answr"]) == 2
    told = capsys.readouterr().err
    assert "Did you mean 'answer'?" in told and "sold-out" in told
    assert run(["guide", "replan"]) == 0  # a command's name leads to its page
    assert capsys.readouterr().out.startswith("When a part sells out")


def test_the_version_and_its_page_of_changes(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--version"]) == 0
    assert capsys.readouterr().out == f"partsolver {partsolver.__version__}\n"
    versions = re.findall(r"^## (\d+\.\d+\.\d+)$", page("changes"), re.M)
    assert versions[0] == partsolver.__version__
    assert versions == sorted(versions, key=lambda v: [int(n) for n in v.split(".")], reverse=True)


@pytest.mark.parametrize(
    "command", [[], ["recommend"], ["survey"], ["survey", "import"], ["guide"]], ids=" ".join
)
def test_short_help(command: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert run([*command, "-h"]) == 0
    short = capsys.readouterr().out
    assert run([*command, "--help"]) == 0
    assert capsys.readouterr().out == short and "Usage: partsolver" in short


@pytest.mark.full
def test_the_wheel_holds_the_guide(tmp_path: Path) -> None:
    import subprocess
    import sys

    subprocess.run(
        [sys.executable, "-m", "pip", "wheel", "--no-deps", "-q", "-w", str(tmp_path), str(ROOT)], check=True
    )
    (wheel,) = tmp_path.glob("*.whl")
    names = zipfile.ZipFile(wheel).namelist()
    assert {f"partsolver/guide/{name}.md" for name in topics()} <= set(names)
    assert "partsolver/py.typed" in names
