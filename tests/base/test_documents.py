"""Documents with odd numbers and depths are refused in words, never a traceback."""

from __future__ import annotations

import pytest

from partsolver.base.documents import parse_json, parse_toml
from partsolver.base.errors import InputRefused


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("a = " + "9" * 5000, "a number is too long"),
        ("a = " + "9" * 20, "the number is too large"),
        ("a = " + "[" * 3000 + "]" * 3000, "nested too deeply"),
        ("[" + ".".join(["a"] * 3000) + "]", "nested too deeply"),
        ("a = ", "not valid TOML"),
    ],
)
def test_toml(text: str, says: str) -> None:
    with pytest.raises(InputRefused, match=says):
        parse_toml(text, "survey.toml")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("9" * 5000, "a number is too long"),
        ('{"a": {"b": [1' + "0" * 20 + "]}}", r"plan.json a.b.0: the number is too large"),
        ("[" * 100_000, "nested too deeply|not valid JSON"),
        ("[" * 60 + "]" * 60, "nested too deeply"),
        ("{", "not valid JSON"),
        # RFC 8259, section 4: with names that are not unique the behaviour of readers is unpredictable.
        ('{"a": [{"price": "9.00", "id": "x", "price": "90.00"}]}', "stands twice.*'price'"),
    ],
)
def test_json(text: str, says: str) -> None:
    with pytest.raises(InputRefused, match=says):
        parse_json(text, "plan.json")
