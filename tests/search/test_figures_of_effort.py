"""Limits of effort of the search and the model, each a second time. They change no answer, only what is looked at for it;
each was measured where it stands, and changing one is a decision to be taken twice."""

from __future__ import annotations

import importlib
from pathlib import Path

import pytest

import partsolver
from partsolver.search import ways

FIGURES = {
    "search.allowances": {
        "MOST_FASTER": 60_000,
        "MOST_WAYS": 12,
        "FIRST_COST_WIDTH": 1000,
        "LEAST_COST_WIDTH": 200,
        "AMPLE_PERCENT": 85,
        "MOST_FIRST": 20,
        "MOST_TIMES_LEAST": 8,
    },
    "search.bounds": {"ANY_RATE_MTS": 20_000},
    "search.card_choice": {"_PLACE": 7},
    "search.cost_bound": {"MOST_SELLERS": 4, "MOST_AT_ONCE": 2048, "NEVER": 4 * 10**15},
    "search.prune": {"FEW_BESIDE": 12, "MOST_TOGETHER": 20_000, "SMALL": 40, "MANY_MEMORY": 1000, "TWINS": 2},
    "search.rests": {"MOST_RESTS": 4000},
    "search.row_rules": {"FEW": 40},
    "search.rows": {
        "MOST_ROWS": 1_000_000,
        "MOST_PAIRS": 2_000_000,
        "MOST_AT_ONCE": 200_000,
        "MOST_COMPARED": 4_000_000,
    },
    "search.rule_memory": {"MOST_SCREENED": 24},
    "search.ways": {
        "MOST_DRAFTS": 240,
        "MOST_LOOKS": 16_000,
        "MOST_TRIED": 160_000,
        "FIRST_ASKED": 16,
        "MOST_ASKED_AT_ONCE": 1024,
        "MANY": 64,
    },
    "search.window": {
        "LEAST_EACH": 20,
        "WIDER": (2, 10, 30, 100, 300, 1000, 4000, 20000),
        "MOST_MODELLED": 20_000,
        "MOST_NEAREST": 24,
    },
    "model.left": {"EXACT_UP_TO": 60},
    "model.objective": {"EXACT": 2**52},
    "model.solve": {"LINEAR_FROM": 500},
}


def stated(module: str) -> dict[str, object]:
    """The numbers that a module names itself (not those that it imports)."""
    path = Path(partsolver.__file__).parent / module.replace(".", "/")
    text = path.with_suffix(".py").read_text(encoding="utf-8")
    assigned = {
        name.strip()
        for line in text.splitlines()
        if line[:1].isupper() or line[:1] == "_"
        if " = " in line and not line.startswith((" ", "from", "import"))
        for name in line.partition(" = ")[0].partition(":")[0].split(",")
    }
    values = vars(importlib.import_module(f"partsolver.{module}"))
    return {
        name: values[name]
        for name in assigned
        if isinstance(values[name], int)
        or (isinstance(values[name], tuple) and all(isinstance(one, int) for one in values[name]))
    }


def test_every_limit_is_what_was_decided() -> None:
    found = {}
    for room in ("search", "model"):
        for path in sorted((Path(partsolver.__file__).parent / room).glob("[a-z]*.py")):
            own = stated(f"{room}.{path.stem}")
            if own:
                found[f"{room}.{path.stem}"] = own
    assert found == FIGURES


@pytest.mark.parametrize(
    ("what", "most"),
    [("drafted", ways.MOST_DRAFTS), ("looked", ways.MOST_LOOKS), ("tried", ways.MOST_TRIED)],
)
def test_a_search_is_spent_at_each_limit_not_one_before(what: str, most: int) -> None:
    one = object.__new__(ways.Ways)
    one.drafted = one.looked = one.tried = 0
    setattr(one, what, most - 1)
    assert not one.spent
    setattr(one, what, most)
    assert one.spent
