"""The README is true: every console block is run and prints what it shows ("..." stands for what was left
out)."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from partsolver.cli import run

README = Path(__file__).resolve().parents[1] / "README.md"
# Measuring takes minutes and gives other figures every time; the interview and --this-pc need a person or the
# machine.
NOT_RUN = ("measure", "compare", "survey new", "survey import")


def _blocks() -> list[tuple[str, str]]:
    text = README.read_text(encoding="utf-8")
    blocks = re.findall(r"^```console\n\$ partsolver ([^\n]*)\n(.*?)^```$", text, re.M | re.S)
    return [(command, shown) for command, shown in blocks if not command.startswith(NOT_RUN)]


def test_there_are_examples():
    assert len(_blocks()) >= 5


def test_examples_print_what_they_show(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
):
    monkeypatch.chdir(tmp_path)
    for command, shown in _blocks():
        code = run(shlex.split(command))
        assert code in (0, 1), command
        printed = capsys.readouterr().out
        pattern = ".*".join(re.escape(part) for part in re.split(r"^\.\.\.$", shown.rstrip("\n"), flags=re.M))
        assert re.fullmatch(pattern + r"\s*", printed, re.S), f"{command} prints\n{printed}"


def test_sections_have_their_one_command():
    text = README.read_text(encoding="utf-8")
    for section in ("Try it", "Test it"):
        body = text.split(f"## {section}\n", 1)[1].split("\n## ", 1)[0]
        block = re.search(r"^```bash\n(.*?)^```$", body, re.M | re.S)
        assert block is not None and len(block[1].strip().splitlines()) == 1
    assert text.index("## Try it") < text.index("## Test it")
