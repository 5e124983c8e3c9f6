"""Figures that stand beside the law they belong to, outside `standards/`: each stated a second time in `figures.csv`.

Rooms whose figures change an answer: performance, assembly, plan. Those of search and model are limits of effort, and
change nothing but the time that is taken.
"""

from __future__ import annotations

import csv
import importlib
import re
from pathlib import Path

from standards.test_typed_tables import cells, tables

import partsolver

FIGURES = Path(__file__).parent / "figures.csv"
ROOMS = ("performance", "assembly", "plan")
# Numbers that are no figures: codes, names, empty values, what is put together from other tables, limits of effort.
NO_FIGURES = {
    "performance.estimate.USUAL_GROWTH",  # the logarithm of two figures of its sources
    "assembly.bought_devices.NONE",
    "assembly.loads.NO_CARDS",
    "assembly.loads._NO_CURRENTS",
    "assembly.currents.NOTHING",
    "assembly.memory.ONE_CHANNEL_MILLI",
    "assembly.ports.LONGEST_MODULE_MM",
    "assembly.unproven.ALL_PROVEN",
    "plan.dominance.NOTHING",
    "plan.ranges.FROM_12V",
    "plan.keeping.MOST_TRIED",
    "plan.seller_search.FAR",
    "plan.stand_ins.MOST_STAND_INS",
    "plan.stand_ins.MOST_TRIED",
}


def figures() -> dict[tuple[str, str], str]:
    """Every named number of the rooms as the product holds it, by module and cell."""
    found = {}
    for room in ROOMS:
        for path in sorted((Path(partsolver.__file__).parent / room).glob("*.py")):
            module = f"{room}.{path.stem}"
            for table, value in tables(importlib.import_module(f"partsolver.{module}")).items():
                if f"{module}.{table}" in NO_FIGURES:
                    continue
                for cell, text in cells(table, value):
                    if re.fullmatch(r"-?[\d.]+( -?[\d.]+)*", text):
                        found[module, cell] = text
    return found


def test_every_figure_is_what_was_typed() -> None:
    with FIGURES.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    typed = {(row["module"], row["name"]): row["value"] for row in rows}
    assert len(typed) == len(rows), "a name stands twice"
    assert all(row["document"] and row["place"] for row in rows)
    assert figures() == typed
