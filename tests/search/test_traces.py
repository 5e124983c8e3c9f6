"""Order of looking, effort, windows: line by line as `traces.txt` has it (see `traces.py`)."""

from __future__ import annotations

from pathlib import Path

import pytest
from search.traces import every_trace

TRACES = every_trace()


def stated() -> dict[str, list[str]]:
    """By title the lines of `traces.txt`."""
    text = Path(__file__).with_name("traces.txt").read_text(encoding="utf-8")
    sections = [section.strip("\n").split("\n") for section in ("\n" + text).split("\n== ")[1:]]
    return {title: lines for title, *lines in sections}


STATED = stated()


def test_every_trace_is_stated() -> None:
    assert list(TRACES) == list(STATED)


@pytest.mark.parametrize("title", TRACES)
def test_it_is_looked_at_as_stated(title: str) -> None:
    assert TRACES[title]() == STATED[title]
