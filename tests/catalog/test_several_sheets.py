"""Workbooks of several tables: what of them is read, and that each sheet left out is said (guide, price-list)."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from catalog.files.make_files import Row, workbook
from catalog.test_bad_files import packed
from catalog.test_lists import BOARD, WISHES, read

from partsolver.cli import run

BOARDS: list[Row] = [["Article", "Net EUR", "VAT"], [BOARD, 50.0, 20]]
OTHER: list[Row] = [["Product", "Price"], ["Lumbrick 8GB DDR4-2666 CL19", 24.0]]
SAYING = [["All prices incl. VAT"], *OTHER]


def found(
    *sheets: list[Row], **wishes: object
) -> tuple[list[tuple[str, int, str | None]], list[tuple[str, str]]]:
    """(table, price, tax) of each offer; (sheet, reason) of what was left out."""
    book = workbook({f"s{number}": (rows, "visible") for number, rows in enumerate(sheets, 1)})
    source = read(packed(book), "north.xlsx", replace(WISHES, **wishes)).source
    offers = [(one.table, one.offers[0].price_minor, one.offers[0].tax) for one in source.sightings]
    return offers, [(row.place, row.reason) for row in source.left_out]


BOARD_OFFER = ("boards", 5000, "net")


@pytest.mark.parametrize(
    ("second", "wishes", "offer", "left"),
    [
        (OTHER, {}, None, [("s2", "no-tax")]),
        # What the person says holds for every sheet; what a sheet says, for itself.
        (OTHER, {"tax": "net", "tax_percent_x100": 2000}, ("memory", 2400, "net"), []),
        (SAYING, {}, ("memory", 2400, "gross"), []),
        (OTHER, {"usual_tax": "gross"}, ("memory", 2400, "gross"), []),
        # The same header: the first table goes on.
        ([BOARDS[0], ["Lumbrick 8GB DDR4-2666 CL19", 24.0, 20]], {}, ("memory", 2400, "net"), []),
        ([["Name", "Telephone"], ["A. Example", "555 0100"]], {}, None, [("s2", "no-table")]),
        ([["Delivery"], ["within three days"]], {}, None, [("s2", "no-table")]),
        ([], {}, None, []),
        ([[None]], {}, None, []),
    ],
)
def test_a_further_sheet_is_read_or_said(
    second: list[Row],
    wishes: dict[str, object],
    offer: tuple[str, int, str] | None,
    left: list[tuple[str, str]],
) -> None:
    assert found(BOARDS, second, **wishes) == ([BOARD_OFFER] + ([offer] if offer else []), left)


def test_the_next_list_is_no_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What was kept of the first sheet is no word about the second one, a week later either; both are told."""
    monkeypatch.chdir(tmp_path)
    for day in ("2026-11-09", "2026-11-16"):
        book = workbook({"Boards": (BOARDS, "visible"), "Rest": (OTHER, "visible")})
        Path("north.xlsx").write_bytes(packed(book))
        assert run(["catalog", "add", "north.xlsx", "--date", day]) == 0
        told = " ".join(capsys.readouterr().out.split())
        assert "left out north.xlsx Rest: a sheet that does not say, as another one does, whether" in told
        assert "1 row: 1 board" in told
    assert run(["catalog", "show", "--left-out"]) == 0
    assert "Rest" in capsys.readouterr().out
