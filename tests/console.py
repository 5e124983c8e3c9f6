"""Console blocks of a document: run in order, and compared with what they show.

A block is ```` ```console ```` with lines ``$ partsolver ...`` and what is printed after each; ``> text`` is
what the person types; a line ``...`` (or ``...`` at the end of a line) stands for what was left out. What
goes to standard error may be shown or not.
"""

from __future__ import annotations

import io
import re
import shlex
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from partsolver.cli import run


@dataclass(frozen=True)
class Example:
    """One command of a document with what it shows."""

    command: str
    shown: str


def examples(markdown: str) -> list[Example]:
    """All commands of all console blocks, in order."""
    found = []
    for block in re.findall(r"^```console\n(.*?)^```$", markdown, re.M | re.S):
        steps = re.findall(r"^\$ ([^\n]*)\n((?:(?!^\$ )[^\n]*\n)*)", block, re.M)
        assert steps and "".join(f"$ {a}\n{b}" for a, b in steps) == block, (
            f"no command begins the block\n{block}"
        )
        found += [Example(command, shown) for command, shown in steps]
    return found


class _Typist(io.StringIO):
    """Standard input of somebody who types what the document shows; it is echoed as on a terminal."""

    def __init__(self, typed: list[str], echo: io.StringIO) -> None:
        super().__init__()
        self.typed, self.echo = typed, echo

    def readline(self, size: int | None = -1, /) -> str:
        if not self.typed:
            return ""
        line = self.typed.pop(0) + "\n"
        self.echo.write(line)
        return line


class _Both(io.StringIO):
    """Standard output that is also kept together with standard error, in order."""

    def __init__(self, both: io.StringIO) -> None:
        super().__init__()
        self.both = both

    def write(self, text: str, /) -> int:
        self.both.write(text)
        return super().write(text)


def run_example(example: Example, monkeypatch: pytest.MonkeyPatch) -> None:
    """Run one example and compare. Raises AssertionError with what was printed."""
    program, *arguments = shlex.split(example.command)
    assert program == "partsolver", example.command
    both: Any = io.StringIO()
    out = _Both(both)
    with monkeypatch.context() as patch:
        patch.setattr(sys, "stdout", out)
        patch.setattr(sys, "stderr", both)
        patch.setattr(sys, "stdin", _Typist(re.findall(r"^> (.*)$", example.shown, re.M), both))
        code = run(arguments)
    printed = [out.getvalue(), both.getvalue()]
    assert code in (0, 1), f"{example.command} leaves with {code}\n{both.getvalue()}"
    pattern = ".*".join(re.escape(part) for part in re.split(r"(?m)^\.\.\.\n|\.\.\.$", example.shown))
    pattern = re.sub(r"(\\\n)+$", "", pattern) + r"\s*"
    assert any(re.fullmatch(pattern, text, re.S) for text in printed), f"$ {example.command}\n{printed[1]}"


def widest_line(markdown: str) -> int:
    """Length of the longest line outside the examples."""
    plain = re.sub(r"^```.*?^```$", "", markdown, flags=re.M | re.S)
    return max(len(line) for line in plain.splitlines())


def prepared(folder: Path, files: list[Path]) -> None:
    """Copy files into the folder that the examples run in."""
    for path in files:
        (folder / path.name).write_bytes(path.read_bytes())
