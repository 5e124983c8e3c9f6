"""What the commands on a store print is folded to the page, as all else is."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from partsolver.catalog.adding import Added, Read
from partsolver.catalog.checks import Doubt
from partsolver.catalog.load import load_catalog
from partsolver.catalog.store.near import Proposal
from partsolver.catalog.store.questions import Shown
from partsolver.catalog.store.records import LeftOut
from partsolver.catalog.store.resolve import Cell, Stored
from partsolver.report import store
from partsolver.report.catalog import check_text
from partsolver.report.page import Page, current_page, use_page


@pytest.fixture(params=[80, 100])
def width(request: pytest.FixtureRequest) -> Iterator[int]:
    before = current_page()
    use_page(Page(width=request.param))
    yield request.param
    use_page(before)


DEMO = Path(__file__).parents[2] / "catalogs" / "demo"
LONG = "Halvorn Stile Q6-98 six-core processor with cooler, boxed, of the second series " * 2


def fact(column: str, value: str) -> tuple[str, Cell]:
    said = Stored(
        "s1", column, "title", value, "makers/halvorn-stile-q6-98.html", "row 12 of the table", "2026-11-20"
    )
    return column, Cell(value, "title", said)


def test_no_line_is_wider_than_the_page(width: int) -> None:
    silent = Read(
        "workbook.xlsx", "list", 1, 3, (("boards", 3),), 3, (), (("workbook.xlsx sheet Used", "no-tax", ""),)
    )
    near = Proposal("sheet-1", "br-k10m", LONG.strip(), True)
    shown = Shown(
        "br-k10m",
        "cpus",
        LONG.strip(),
        (fact("cpu_families", "ivybridge:1 " * 12), fact("socket", "LGA1155")),
        tuple(f"fact_number_{n}" for n in range(12)),
        (),
        (("north", LONG, "list.csv", "row 2"),),
        tuple(LONG.split()),
    )
    doubt = Doubt(
        "may-be-the-same",
        "boards",
        "brunnach-b10m-of-the-second-series",
        "",
        "",
        "another-board-of-this-maker",
    )
    left = LeftOut("list.csv", "row 7", LONG, "no-tax", "")
    texts = [
        store.added_text(Added("parts", (silent,), (("title", 12), ("printed", 3)), (near,), (near,))),
        store.shown_text(shown, {"currency": "EUR"}),
        store.found_text([("br-k10m", "cpus", LONG, "")]),
        store.left_out_text([left]),
        store.forgotten_text("a-seller-with-quite-a-long-name", 12),
        check_text(load_catalog(DEMO), [doubt]),
    ]
    for text in texts:
        assert [line for line in text.splitlines() if len(line) > width] == []
        assert text.endswith("\n") and not text.endswith("\n\n")
    # nothing is lost by folding: the words are the same on a page of any width
    use_page(Page(width=400))
    assert store.left_out_text([left]).split() == texts[3].split()
    assert store.found_text([("br-k10m", "cpus", LONG, "")]).split() == texts[2].split()
