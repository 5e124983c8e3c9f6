"""What a message says may be given passes, and what it refuses is not what it names: the number beside each limit and
the next one."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from partsolver.base import documents
from partsolver.base.errors import InputRefused
from partsolver.catalog.lists.limits import NotRead
from partsolver.catalog.pages import html
from partsolver.cli.options import seconds
from partsolver.fleet.reading import _count
from partsolver.fleet.stored import LEAST_SPEEDUP, is_least_speedup
from partsolver.measure.fit import _seconds
from partsolver.report.words.interview import EXPECTED
from partsolver.survey.interview.kinds import _MOST


@pytest.mark.parametrize(
    ("read", "passes", "refused", "told"),
    [
        (seconds, 999_999.0, 1_000_000.0, "below 1000000"),
        (lambda text: _count("shelf.csv:2", "count", text, 1), "999999", "1000000", "from 1 to 999999"),
        (lambda text: documents.parse_json(text, "plan.json"), str(-(10**15)), str(-(10**15) - 1), "from -"),
    ],
)
def test_the_limit_that_a_message_names_passes(
    read: Callable[[Any], Any], passes: Any, refused: Any, told: str
) -> None:
    read(passes)
    with pytest.raises(InputRefused, match=told):
        read(refused)


def test_limits_whose_words_stand_elsewhere() -> None:
    assert _seconds("9999999") == 9_999_999
    with pytest.raises(ValueError):
        _seconds("10000000")
    assert [is_least_speedup(text) for text in ("999.999", "1000", "1.5555", "0")] == [
        True,
        False,
        False,
        False,
    ]
    assert "below 1000" in LEAST_SPEEDUP and "three decimals" in LEAST_SPEEDUP
    for kind, most in _MOST.items():
        assert f"up to {most}" in EXPECTED[kind]


def test_a_page_of_as_many_elements_as_are_said(monkeypatch: pytest.MonkeyPatch) -> None:
    page = b"<html><body><p>one</p><p>two</p></body></html>"  # html, body, p, p
    monkeypatch.setattr(html, "MOST_ELEMENTS", 4)
    html.parse_page(page)
    monkeypatch.setattr(html, "MOST_ELEMENTS", 3)
    with pytest.raises(NotRead, match="too-large"):
        html.parse_page(page)
