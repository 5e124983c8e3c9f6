"""One article that stands more than once in one list of a seller: repeated, told apart, or under a number that is not
its own. The rule is in the guide (price-list, "The same part or not")."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from catalog.test_lists import BOARD, WISHES, read

from partsolver.catalog.load import load_catalog
from partsolver.cli import run

GTIN = "4006381333931"  # GS1 General Specifications 7.9: 3*(0+6+8+3+3+3) + (4+0+3+1+3+9) = 89, check digit 1
RAM = "Cadmora 8GB (1x8GB) DDR4-2666 RAM"
HEAD = "Code;Name;EAN;Gross;Stock;Condition"


def rows_of(
    *rows: str, **wishes: object
) -> tuple[list[tuple[str, int, str | None]], list[tuple[str, str, str]]]:
    """(place, price, stock) of each offer of a list; (place, reason, detail) of what was put aside."""
    found = read("\n".join([HEAD, *rows]), wishes=replace(WISHES, **wishes)).source  # type: ignore[arg-type]
    offers = [
        (one.place, one.offers[0].price_minor, dict(one.offers[0].cells).get("stock"))
        for one in found.sightings
    ]
    return offers, [(row.place, row.reason, row.detail) for row in found.left_out]


@pytest.mark.parametrize(
    ("rows", "kept", "aside"),
    [
        # Repeated: one offer, its pieces counted once.
        ([f"A1;{BOARD};{GTIN};58,90;3;"] * 3, [("2", "3")], [("3", "repeated", "2"), ("4", "repeated", "2")]),
        # Nothing but the price tells them apart: nobody could order the cheaper one.
        (
            [f"A1;{BOARD};{GTIN};58,90;3;", f"A1;{BOARD.upper()};{GTIN};61,90;2;"],
            [("3", "2")],
            [("2", "otherwise", "3")],
        ),
        ([f";{BOARD};{GTIN};61,90;;", f";{BOARD};{GTIN};58,90;;"], [("2", None)], [("3", "otherwise", "2")]),
        # The dearer one is sold out: what is there counts. Of two counts of one row the larger is there.
        (
            [f"A1;{BOARD};{GTIN};58,90;3;", f"A1;{BOARD};{GTIN};61,90;0;"],
            [("2", "3")],
            [("3", "otherwise", "2")],
        ),
        (
            [f"A1;{BOARD};{GTIN};58,90;;", f"A1;{BOARD};{GTIN};58,90;0;", f"A1;{BOARD};{GTIN};58,90;5;"],
            [("4", "5")],
            [("2", "otherwise", "4"), ("3", "otherwise", "4")],
        ),
        # Told apart by article number, text or state: offers to choose from.
        ([f"A1;{BOARD};{GTIN};58,90;3;", f"A2;{BOARD};{GTIN};58,90;3;"], [("2", "3"), ("3", "3")], []),
        ([f";{BOARD};{GTIN};58,90;3;", f";{BOARD} tray;{GTIN};61,90;2;"], [("2", "3"), ("3", "2")], []),
        ([f"A1;{BOARD};{GTIN};58,90;3;", f"A1;{BOARD};{GTIN};38,90;1;used"], [("2", "3"), ("3", "1")], []),
    ],
)  # fmt: skip
def test_rows_that_nothing_tells_apart_are_one_offer(
    rows: list[str], kept: list[tuple[str, str | None]], aside: list[tuple[str, str, str]]
) -> None:
    offers, left = rows_of(*rows)
    assert [(place, stock) for place, _, stock in offers] == kept
    assert left == aside


OTHERS = {
    "another model": "Tollmere B550M-98 Micro ATX AM4 DDR4 Motherboard",
    "another fact": "Tollmere B450M-99 Micro ATX AM4 DDR4 Motherboard",
    "another kind": RAM,
}


@pytest.mark.parametrize("other", OTHERS.values(), ids=OTHERS)
@pytest.mark.parametrize("code", ["A1", ""])
def test_a_number_that_stands_at_different_articles_is_none(code: str, other: str) -> None:
    """A cell that was filled down: one board had the facts of the other, at its price."""
    rows = (f"{code};{BOARD};{GTIN};58,90;3;", f"{code};{other};{GTIN};20,00;3;")
    offers, left = rows_of(*rows)
    assert offers == [("2", 5890, "3"), ("3", 2000, "3")]
    numbers = ", ".join([*([code] if code else []), GTIN.zfill(14)])
    assert left == [("2", "same-number", numbers), ("3", "same-number", numbers)]
    found = read("\n".join([HEAD, *rows])).source.sightings
    assert len({one.key for one in found}) == 2 and not any(one.gtin or one.sku for one in found)
    # The same with numbers of their own: nothing is wrong.
    assert rows_of(f"A1;{BOARD};{GTIN};58,90;3;", f"A2;{other};4006381333948;20,00;3;")[1] == []


def test_articles_of_two_makers_are_two() -> None:
    kit, head = RAM.removeprefix("Cadmora "), "Code;Name;Maker;Gross"
    rows = [f"A1;{kit};Cadmora;20,00", f"a1;{kit};Lumbrick;21,00"]
    found = read("\n".join([head, *rows])).source
    assert [one.offers[0].price_minor for one in found.sightings] == [2000, 2100]
    assert [(row.reason, row.detail) for row in found.left_out] == [
        ("same-number", "A1"),
        ("same-number", "a1"),
    ]


def test_rows_of_a_shelf_are_more_pieces() -> None:
    """Three bags of one kit are three kits; another worth is another heap."""
    rows = (f";{RAM};;0;2;", f";{RAM};;;;", f";{RAM};;5,00;1;")
    assert rows_of(*rows, shelf=True) == ([("2", 0, "3"), ("4", 500, "1")], [])


def test_what_was_done_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    other = OTHERS["another model"]
    rows = [
        HEAD,
        f"A1;{BOARD};{GTIN};58,90;3;",
        f"A1;{BOARD};{GTIN};58,90;3;",
        f"A2;{BOARD};{GTIN};61,90;3;",
        f"A2;{BOARD};{GTIN};64,90;3;",
        f"M1;{RAM};;20,00;3;",
        f"M1;{other};;40,00;3;",
    ]
    Path("north.csv").write_text("\n".join(rows), encoding="utf-8")
    assert run(["catalog", "add", "north.csv"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "6 rows: 3 boards, 1 memory, 1 repeated at another price or count, 1 repeated, 2 with" in said
    assert "2 with a number of another article prices hold the tax" in said
    part = f"gtin-{GTIN}"
    assert f"at more than one price, look with `catalog show`: {part}" in said
    assert sorted(offer.price for offer in load_catalog(Path("parts")).tables["offers"]) == [
        2000, 4000, 5890, 6490,
    ]  # fmt: skip
    assert run(["catalog", "show", "--left-out"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "the same as row 2: one offer" in told and "differs from row 5: the dearest that is there" in told
    assert "its number M1 stands at another article of the list too" in told
    assert run(["catalog", "add", "north.csv", "--format", "json"]) == 0
    (file,) = json.loads(capsys.readouterr().out)["read"]
    assert file["several_prices"] == [part]
    assert file["left_out"] == {"otherwise": 1, "repeated": 1, "same-number": 2}
