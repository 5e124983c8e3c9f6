"""Price lists: columns, amounts, stock, tax; what is not sure is asked; bad files are refused or left out."""

from __future__ import annotations

import datetime
import io
import os
import shutil
import subprocess
import sys
import zipfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from catalog.files import make_files

from partsolver.base.quantities import minor_digits
from partsolver.catalog.adding import add
from partsolver.catalog.dictionary import data_folder
from partsolver.catalog.lists import packed as packages
from partsolver.catalog.lists import sheets
from partsolver.catalog.lists.amounts import (
    decimal_sign,
    in_minor_units,
    thousands_as_decimals,
    written_amount,
)
from partsolver.catalog.lists.columns import proposed, role_of
from partsolver.catalog.lists.limits import MOST_BYTES, MOST_ROWS, MOST_UNPACKED, NotRead
from partsolver.catalog.lists.sheets import sheets_of, table_of_text, text_of
from partsolver.catalog.lists.source import Unsettled, seller_of_file
from partsolver.catalog.lists.stock import BUYABLE_NOW, availability_of, day_of, stock_of
from partsolver.catalog.load import load_catalog
from partsolver.catalog.sources import Wishes, read_data
from partsolver.catalog.store import store_path
from partsolver.cli import run

ROOT = Path(__file__).resolve().parents[2]
FILES = Path(__file__).parent / "files"
TODAY = datetime.date(2026, 11, 29)
DAY = datetime.date(2026, 11, 16)
WISHES = Wishes("EUR", TODAY)
BOARD = "Tollmere B550M-99 Micro ATX AM4 DDR4 Motherboard"


def read(text: str | bytes, name: str = "north.csv", wishes: Wishes = WISHES, **kept: object):  # type: ignore[no-untyped-def]
    data = text.encode() if isinstance(text, str) else text
    return read_data(data, name, name.rsplit(".", 1)[0], DAY, wishes, kept)  # type: ignore[arg-type]


# -- amounts ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "minor", "currency"),
    [
        ("1.234,50 €", 123450, "EUR"),
        ("€ 1.234,50", 123450, "EUR"),
        ("1\u202f234,50\u00a0€", 123450, "EUR"),
        ("1 234,50 zł", 123450, "PLN"),
        ("CHF 1'234.50", 123450, "CHF"),
        ("£1,234.50", 123450, "GBP"),
        ("£284.39 –", 28439, "GBP"),
        ("1299,- EUR", 129900, "EUR"),
        ("99,90*", 9990, None),
        ("EUR 105,40/St.", 10540, "EUR"),
        ("12500,50", 1250050, None),
        ("1234 Ft", 123400, "HUF"),
    ],
)
def test_amounts_as_people_write_them(text: str, minor: int, currency: str | None) -> None:
    """Forms of the areas' short formats (CLDR) and of measured lists, titles-and-pages 10.3."""
    amount = written_amount(text, "EUR")
    assert amount.reason == "" and amount.currency == currency
    assert in_minor_units(amount.digits, decimal_sign([amount.digits]), currency or "EUR") == minor


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("ab 99,00", "from-price"),
        ("vanaf 99", "from-price"),
        ("99 - 120 €", "from-price"),
        ("auf Anfrage", "no-price"),
        ("N/A", "no-price"),
        ("–", "no-price"),
        ("ca. 20,00", "from-price"),
        ("~20", "from-price"),
        ("about 20.00", "from-price"),
        ("0,00", "no-price"),
        ("-12,50", "bad-price"),
        ("12,50 / 14,90", "bad-price"),
        ("", "no-price"),
    ],
)
def test_what_is_no_price(text: str, reason: str) -> None:
    assert written_amount(text, "EUR").reason == reason


def test_the_column_decides_about_its_decimal_sign() -> None:
    assert decimal_sign(["1.234", "99,90", "12"]) == ","
    assert decimal_sign(["1,234", "99.90"]) == "."
    assert decimal_sign(["1.234", "2.345"]) is None
    assert in_minor_units("1.234", ",", "EUR") == 123400
    assert in_minor_units("1.234", None, "EUR") is None  # two readings
    assert in_minor_units("1.234", None, "KWD") == 1234
    assert thousands_as_decimals([2.029, 1.15, 99]) is False
    assert thousands_as_decimals([2.029, 1.154, 99]) is True


def test_minor_units_of_iso_4217() -> None:
    """ISO 4217:2015 list one: JPY 0, EUR 2, KWD 3."""
    assert [minor_digits(code) for code in ("JPY", "EUR", "KWD")] == [0, 2, 3]
    assert [in_minor_units("1500", None, code) for code in ("JPY", "EUR", "KWD")] == [1500, 150000, 1500000]


def test_a_mark_that_is_not_the_columns_own_is_no_price() -> None:
    """12.50 in a column whose decimals stand behind commas is neither 12.50 nor 1250 for certain."""
    assert in_minor_units("12.50", ",", "EUR") is None
    assert in_minor_units("1.250", ",", "EUR") == 125000
    found = read(
        "Name;Gross\n" + "".join(f"Cadmora {n}GB DDR4 RAM;{n},90\n" for n in (4, 8, 16)) + f"{BOARD};12.50\n"
    )
    assert [left.reason for left in found.source.left_out] == ["bad-price"]


@pytest.mark.parametrize("header", ["Gross {}", "Gross ({})", "Gross [{}]", "Price incl. VAT {}"])
@pytest.mark.parametrize(
    ("word", "code"), [("PLN", "PLN"), ("zł", "PLN"), ("£", "GBP"), ("EUR", "EUR"), ("€", "EUR")]
)
def test_the_header_of_the_prices_says_their_currency(header: str, word: str, code: str) -> None:
    found = read(f"Name;{header.format(word)}\n{BOARD};58,90\n")
    assert found.source.sightings[0].offers[0].currency == code


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ("Alle Preise in PLN", "PLN"),
        ("all prices in €", "EUR"),
        ("Waluta: PLN", "PLN"),
        ("ALL PRICES GROSS", None),
        ("TOP PRICES, CALL ALL DAY", None),
    ],
)
def test_a_line_above_says_the_currency(line: str, code: str | None) -> None:
    found = read(f"{line};\nName;Gross\n{BOARD};58,90\n")
    assert found.source.sightings[0].offers[0].currency == code


@pytest.mark.parametrize(
    ("cell", "own", "code"),
    [("$58.90", "EUR", "$"), ("$58.90", "CAD", "CAD"), ("58,90 kr", "EUR", "kr"), ("58,90 kr", "SEK", "SEK"),
     ("12,50 NET", "EUR", None), ("Ft 1200", "EUR", "HUF"), ("12,50/Schrift", "EUR", None)],
)  # fmt: skip
def test_a_sign_of_several_currencies_is_the_stores_own_or_unknown(
    cell: str, own: str, code: str | None
) -> None:
    assert written_amount(cell, own).currency == code


def test_what_another_currency_is_worth_can_be_said(tmp_path: Path) -> None:
    path = tmp_path / "sklep.csv"
    path.write_text(f"Nazwa;Cena brutto [zł]\n{BOARD};250,00\n", encoding="utf-8")
    done = add([path], tmp_path / "parts", WISHES)
    assert (
        dict(done.read[0].left_out) == {"currency": 1}
        and not load_catalog(tmp_path / "parts").tables["offers"]
    )
    add([path], tmp_path / "parts", replace(WISHES, rates={"PLN": "0.23"}))
    assert [o.price for o in load_catalog(tmp_path / "parts").tables["offers"]] == [5750]
    done = add([path], tmp_path / "parts", WISHES)  # kept
    assert done.read[0].left_out == ()


def test_a_list_that_names_no_currency_is_said_to_be_taken_for_the_stores(tmp_path: Path) -> None:
    path = tmp_path / "north.csv"
    path.write_text(f"Name;Gross\n{BOARD};58,90\n")
    prices = add([path], tmp_path / "parts", WISHES).read[0].prices
    assert prices is not None and prices.assumed_currency == "EUR"
    path.write_text(f"Name;Gross EUR\n{BOARD};58,90\n")
    prices = add([path], tmp_path / "parts", WISHES).read[0].prices
    assert prices is not None and prices.assumed_currency is None


def test_a_list_that_is_corrected_and_added_again_says_only_what_it_says_now(tmp_path: Path) -> None:
    path = tmp_path / "north.csv"
    path.write_text(f"Name;Gross\n{BOARD};58,90\nCadmora 4GB DDR3-1600 DIMM RAM;9,00\n")
    add([path], tmp_path / "parts", replace(WISHES, stated_on=DAY))
    path.write_text(f"Name;Gross\n{BOARD};58,90\nCadmora 4GB DDR3-1333 DIMM RAM;9,00\n")
    add([path], tmp_path / "parts", replace(WISHES, stated_on=DAY))
    catalog = load_catalog(tmp_path / "parts")
    assert [kit.rate_mts for kit in catalog.tables["memory"]] == [1333] and len(catalog.tables["offers"]) == 2


# -- the shelf --------------------------------------------------------------------------------------------------

SHELF_LIST = f"""Was;Anzahl;Wert;Zustand
{BOARD};1;0;
Cadmora 4GB DDR4-2133 DIMM RAM;4;2,50;
Cadmora 8GB DDR4-2133 DIMM RAM;;;neu
Maskell Steady 400W ATX power supply;0;auf Anfrage;
"""


def shelf(tmp_path: Path, text: str, wishes: Wishes = WISHES) -> list[tuple[object, ...]]:
    path = tmp_path / "mine.csv"
    path.write_text(text, encoding="utf-8")
    add([path], tmp_path / "parts", replace(wishes, shelf=True))
    catalog = load_catalog(tmp_path / "parts")
    assert [(s.id, s.delivery, s.delivery_days) for s in catalog.tables["sellers"]] == [("shelf", 0, 0)]
    assert {o.source for o in catalog.tables["offers"]} == {"shelf"} and not catalog.price_notes
    return sorted((o.price, o.stock, o.condition) for o in catalog.tables["offers"])


def test_the_shelf_has_counts_and_no_prices_unless_a_worth_is_said(tmp_path: Path) -> None:
    assert shelf(tmp_path, SHELF_LIST) == [(0, 1, "new"), (0, 1, "used"), (250, 4, "used")]
    # the next list of the shelf replaces it, whatever the file is called
    assert shelf(tmp_path, f"Was;Anzahl\n{BOARD};2\n", replace(WISHES, stated_on=TODAY)) == [(0, 2, "used")]


def test_a_shelf_needs_no_header_and_no_counts(tmp_path: Path) -> None:
    assert shelf(tmp_path, f"{BOARD};2\nCadmora 4GB DDR4-2133 DIMM RAM;3\n") == [
        (0, 2, "used"),
        (0, 3, "used"),
    ]


def test_what_lies_on_the_shelf_is_used_by_an_answer(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    data = data_folder()
    shutil.copy(data / "demo-survey.toml", "pc.toml")
    assert run(["catalog", "add", str(data / "demo")]) == 0
    Path("regal.csv").write_text("Was;Anzahl\nPetrigan 1 x 4 GiB DDR3-1333 RAM DIMM unbuffered;2\n")
    assert run(["catalog", "add", "regal.csv", "--shelf"]) == 0
    capsys.readouterr()
    assert run(["recommend", "pc.toml"]) == 0
    said = capsys.readouterr().out
    line = next(number for number, line in enumerate(said.splitlines()) if "memory only" in line)
    assert " 0.00 " in said.splitlines()[line] and "Petrigan" in said.splitlines()[line + 1]


# -- stock ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cell", "delivery", "pieces", "sold"),
    [
        (3, None, 3, True),
        (">10", None, 10, True),
        ("10+", None, 10, True),
        ("5 / 12", None, 5, True),
        (-2, None, 0, False),
        ("auf Lager", None, None, True),
        ("nicht auf Lager", None, None, False),
        ("in stock 3", None, 3, True),
        ("only N left", None, None, True),
        ("auf Bestellung", None, None, False),
        ("brak", None, None, False),
        ("No", None, None, False),
        ("nein", "3 Tage", None, False),
        ("Sí", None, None, True),
        ("tak", "24h", None, True),
        ("N", None, None, True),
        (0, "ab KW 49", 0, True),
        (None, None, None, True),
    ],
)
def test_stock_as_sellers_write_it(cell: object, delivery: object, pieces: int | None, sold: bool) -> None:
    found = stock_of(cell, delivery, DAY)
    assert (found.pieces, found.sold_now) == (pieces, sold)


def test_days() -> None:
    """ISO 8601: week 49 of 2026 begins on Monday 2026-11-30; week 2 after November is next year's."""
    assert day_of("ab KW 49", DAY) == datetime.date(2026, 11, 30)
    assert day_of("week 2", DAY) == datetime.date(2027, 1, 11)
    assert day_of("05.12.", DAY) == datetime.date(2026, 12, 5)
    assert day_of("5.1.", DAY) == datetime.date(2027, 1, 5)
    assert day_of("2026-12-24", DAY) == datetime.date(2026, 12, 24)
    assert day_of("99.99.", DAY) is None and day_of("KW 60", DAY) is None


@pytest.mark.parametrize(
    ("text", "listed_on", "day"),
    [
        # 2028 is a leap year, 2027 none: what is meant nobody knows.
        ("ab 29.02.", (2027, 12, 15), (2028, 2, 29)),
        ("ab 29.02.", (2027, 1, 10), None),
        ("29.02.", (2028, 2, 29), (2028, 2, 29)),
        # Week 53 of 2026 ends on Sunday 2027-01-03; week 1 of 2026 begins on Monday 2025-12-29; 2027 has 52 weeks.
        ("KW 53", (2027, 1, 2), (2026, 12, 28)),
        ("KW 53", (2025, 12, 29), (2026, 12, 28)),
        ("KW 53", (2025, 12, 28), None),
        ("KW 1", (2025, 12, 29), (2025, 12, 29)),
        ("KW 05/2028", (2026, 12, 1), (2028, 1, 31)),
        ("KW 53/2027", (2026, 12, 1), None),
        ("31.12.", (2026, 12, 31), (2026, 12, 31)),
        ("01.01.", (2026, 12, 31), (2027, 1, 1)),
    ],
)
def test_days_at_the_ends_of_months_and_years(text: str, listed_on: Any, day: Any) -> None:
    """By the calendar and ISO 8601."""
    found = {day_of(text, datetime.date(*listed_on), earliest=first) for first in (False, True)}
    assert found == {None if day is None else datetime.date(*day)}


@pytest.mark.parametrize(
    ("text", "sold"),
    [("lieferbar ab 29.02.", False), ("lieferbar KW 53", False), ("lieferbar ab 28.02.", True)],
)
def test_a_number_of_a_day_is_no_count(text: str, sold: bool) -> None:
    """In January 2027: of the first two there is none."""
    found = stock_of(text, None, datetime.date(2027, 1, 15))
    assert (found.pieces, found.sold_now) == (None, sold)


def test_item_availability_is_the_vocabulary() -> None:
    """schema.org release 30.0, ItemAvailability: its twelve members."""
    assert set(BUYABLE_NOW) == {
        *("BackOrder", "Discontinued", "InStock", "InStoreOnly", "LimitedAvailability", "MadeToOrder"),
        *("OnlineOnly", "OutOfStock", "PreOrder", "PreSale", "Reserved", "SoldOut"),
    }
    assert availability_of("Nicht lieferbar") == "OutOfStock" and availability_of("lieferbar") == "InStock"


# -- columns ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "role"),
    [
        ("EK netto EUR", "net"),
        ("Preis € inkl. MwSt.", "gross"),
        ("Prix HT", "net"),
        ("Precio con IVA", "gross"),
        ("Cena brutto", "gross"),
        ("Price (EUR)", "price"),
        ("Gewicht netto kg", None),
        ("Art.-Nr.", "sku"),
        ("Interne EAN", None),
    ],
)
def test_header_words(text: str, role: str | None) -> None:
    assert role_of(text.casefold()) == role


@pytest.mark.parametrize("separator", [";", ",", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_any_separator_and_encoding(separator: str, encoding: str) -> None:
    lines = [
        ["Bezeichnung", "Preis brutto", "Verfügbarkeit"],
        [BOARD, '"58.90"', "verfügbar"],
        ["Gehäuse ATX", '"20.10"', "2"],
    ]
    text = "\n".join(separator.join(cells) for cells in lines)
    found = read(text.encode(encoding)).source
    assert [(s.table, s.offers[0].price_minor) for s in found.sightings] == [
        ("boards", 5890),
        ("cases", 2010),
    ]


def test_code_pages_are_told_by_their_words() -> None:
    assert text_of("Płyta główna".encode("cp1250"), ["główna", "größe"]) == "Płyta główna"
    assert text_of("Материнская плата".encode("cp1251"), ["материнская", "größe"]) == "Материнская плата"


def test_two_header_rows_a_line_of_tax_and_a_date_above() -> None:
    text = (
        "Liste;;\nalle Preise zzgl. 19 % MwSt.;;\nStand 3.11.2026;;\n;Preis;\nBezeichnung;EUR;Bestand\n"
        + f"{BOARD};100,00;4\n"
    )
    found = read(text)
    assert found.source.stated_on == datetime.date(2026, 11, 3)
    assert (found.tax, found.tax_percent_x100) == ("net", 1900)
    assert found.source.sightings[0].offers[0].price_minor == 10000


def test_net_and_gross_columns_take_the_gross_one() -> None:
    found = read(f"Name;net;gross\n{BOARD};100;119\n")
    assert found.tax == "gross" and found.source.sightings[0].offers[0].price_minor == 11900


def test_what_is_not_sure_is_asked() -> None:
    with pytest.raises(Unsettled) as asked:
        read(f"Name;Price\n{BOARD};100\n")
    assert asked.value.questions == ("tax",) and "--tax net" in str(asked.value)
    with pytest.raises(Unsettled) as asked:
        read(f"Name;Price\n{BOARD};100\n", wishes=Wishes("EUR", TODAY, tax="net"))
    assert asked.value.questions == ("rate",)
    with pytest.raises(Unsettled, match="--column name"):
        read("Code;Netto;EAN\nx1;100;4006381333931\n")
    found = read(
        f"Code;Foo;Netto\nx1;{BOARD};100\n",
        wishes=Wishes("EUR", TODAY, roles={"name": 1}, tax_percent_x100=2000),
    )
    assert found.source.sightings[0].sku == "x1"


def test_the_next_list_needs_no_question_and_tells_what_changed(tmp_path: Path) -> None:
    other = BOARD.replace("99", "98")
    first = tmp_path / "north 2026-11-02.csv"
    first.write_text(f"Name;Price;Stock\n{BOARD};100,00;3\n{other};80,00;1\n")
    wishes = Wishes("EUR", TODAY, stated_on=datetime.date(2026, 11, 2), tax="net", tax_percent_x100=1900)
    add([first], tmp_path / "parts", wishes)
    second = tmp_path / "north 2026-11-09.csv"
    second.write_text(f"Name;Price;Stock\n{BOARD};110,00;3\nCadmora 8GB (1x8GB) DDR4-2666 RAM;20,00;5\n")
    done = add([second], tmp_path / "parts", Wishes("EUR", TODAY, stated_on=datetime.date(2026, 11, 9)))
    difference = done.read[0].difference
    assert difference is not None and done.read[0].prices is not None and done.read[0].prices.known_before
    assert (difference.new, difference.dearer, difference.cheaper, difference.gone) == (1, 1, 0, 1)
    assert sorted(o.price for o in load_catalog(tmp_path / "parts").tables["offers"]) == [2380, 13090]


def test_pasted_lines() -> None:
    text = f"{BOARD}  58,90 €\nCadmora 8GB (1x8GB) DDR4-2666 RAM 19,90 €\n"
    found = read(text, "-", Wishes("EUR", TODAY, seller="market", tax="final"))
    assert [(s.table, s.offers[0].price_minor) for s in found.source.sightings] == [
        ("boards", 5890),
        ("memory", 1990),
    ]


def test_json_rows() -> None:
    found = read('[{"name": "' + BOARD + '", "price incl. vat": 58.9, "ean": "9520000005010"}]', "x.json")
    assert found.source.sightings[0].offers[0].price_minor == 5890


@pytest.mark.parametrize(
    ("row", "reason"),
    [
        ("Notebook Tollmere 8 GB RAM 256 GB SSD;100", "computer"),
        ("SATA cable;3", "accessory"),
        (f"{BOARD} for parts;10", "defective"),
        (f"{BOARD};POA", "no-price"),
        (f"{BOARD};from 99", "from-price"),
        ("Halvorn 3600;50", "unclear"),
        (";50", "no-name"),
    ],
)
def test_what_is_left_out_is_said(row: str, reason: str) -> None:
    found = read(f"Name;Gross\n{row}\n{BOARD};58,90\n").source
    assert [left.reason for left in found.left_out] == [reason] and len(found.sightings) == 1


def test_a_price_in_a_currency_without_a_rate_is_left_out_and_said(tmp_path: Path) -> None:
    path = tmp_path / "north.csv"
    path.write_text(f"Name;Gross;Currency\n{BOARD};58,90;SEK\nCadmora 8GB (1x8GB) DDR4 RAM;19,90;EUR\n")
    done = add([path], tmp_path / "parts", WISHES)
    assert dict(done.read[0].left_out) == {"currency": 1}
    assert [o.price for o in load_catalog(tmp_path / "parts").tables["offers"]] == [1990]


# -- the spreadsheet --------------------------------------------------------------------------------------------


def test_the_files_are_what_their_maker_writes(tmp_path: Path) -> None:
    make_files.main(tmp_path)
    for path in sorted(p for p in tmp_path.rglob("*") if p.is_file()):
        kept = FILES / path.relative_to(tmp_path)
        if path.suffix == ".xlsx":  # packing differs between versions of the library
            assert [s.rows for s in sheets_of(path.read_bytes())] == [
                s.rows for s in sheets_of(kept.read_bytes())
            ]
        else:
            assert path.read_bytes() == kept.read_bytes(), path.name


def test_a_spreadsheet_of_300_rows(tmp_path: Path) -> None:
    done = add([FILES / "pricelist.xlsx"], tmp_path, WISHES)
    (listed,) = done.read
    assert listed.rows == 300
    assert dict(listed.tables) == {"boards": 70, "cpus": 70, "memory": 90, "graphics": 3}
    left = dict(listed.left_out)
    assert left.pop("unclear") == 16 and sum(left.values()) == 51
    assert listed.prices is not None and (listed.prices.tax, listed.prices.tax_percent_x100) == ("net", 1900)
    catalog = load_catalog(tmp_path)
    assert catalog.info.as_of == DAY
    assert not any(
        "geheim" in board.name.casefold() for board in catalog.tables["boards"]
    )  # the hidden sheet
    # Every fact of the list is right: what make_files.py printed.
    for board in catalog.tables["boards"]:
        chipset = board.name.split()[1].split("-")[0]
        assert chipset.casefold().startswith((board.chipset or "?").casefold()), board.name
        assert board.form_factor == {"M": "microatx", "I": "mini-itx"}.get(chipset[-1], "atx")
    for kit in catalog.tables["memory"]:
        assert (
            f"({kit.modules}x{kit.module_mib // 1024}GB) {kit.generation.upper()}-{kit.rate_mts}" in kit.name
        )
    for cpu in catalog.tables["cpus"]:
        assert f"{cpu.cores}x {cpu.base_mhz / 1000:.2f} GHz" in cpu.name and f"{cpu.tdp_w}W" in cpu.name
        assert cpu.boxed_cooler is (True if "inkl. Kühler" in cpu.name else cpu.boxed_cooler)


def test_an_ods_file() -> None:
    """OpenDocument 1.3, smallest form."""
    rows = [["Name", "Gross"], [BOARD, "58.90"]]
    cells = "".join(
        "<table:table-row>"
        + "".join(
            f'<table:table-cell office:value-type="string"><text:p>{c}</text:p></table:table-cell>'
            for c in row
        )
        + "</table:table-row>"
        for row in rows
    )
    spaces = " ".join(
        f'xmlns:{n}="urn:oasis:names:tc:opendocument:xmlns:{n}:1.0"' for n in ("office", "table", "text")
    )
    content = f'<office:document-content {spaces}><office:body><office:spreadsheet><table:table table:name="a">{cells}</table:table></office:spreadsheet></office:body></office:document-content>'
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as package:
        package.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        package.writestr(
            "META-INF/manifest.xml",
            '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"/>',
        )
        package.writestr("content.xml", content)
    assert read(buffer.getvalue(), "x.ods").source.sightings[0].offers[0].price_minor == 5890


# -- bad input --------------------------------------------------------------------------------------------------


def packed(**members: str) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as package:
        for name, text in members.items():
            # without the time of day, which would change the names of tests that show the bytes
            package.writestr(zipfile.ZipInfo(name), text, zipfile.ZIP_DEFLATED)
    return buffer.getvalue()


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"PK\x03\x04 not a workbook",
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\x00" * 600,
        packed(**{"xl/workbook.xml": "<workbook"}),
        b"\x89PNG\r\n\x1a\n\x00\x00\x00",
        b"\x00" * 5000,
        b"%PDF-1.4 broken",
        b"[" * 50_000,
        b'{"a":' * 50_000,
        b"<html>" + b"<div>" * 100_000,
        b"one word",
        "ünläsbar".encode("utf-16") * 3,
    ],
    ids=lambda d: repr(d[:12]),
)
def test_a_broken_file_is_left_out_with_a_message(data: bytes) -> None:
    found = read(data, "x.bin")
    assert found.form == "none" and len(found.source.left_out) == 1 and not found.source.sightings


def test_a_packed_bomb_and_a_million_rows_are_told_before_they_are_read(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert MOST_BYTES == 50_000_000 and MOST_ROWS == 200_000 and MOST_UNPACKED == 300_000_000
    monkeypatch.setattr(packages, "MOST_UNPACKED", 1_000_000)
    monkeypatch.setattr(sheets, "MOST_ROWS", 2_000)
    with pytest.raises(NotRead, match="too-large"):
        sheets_of(packed(**{"xl/worksheets/sheet1.xml": "0" * 1_000_001}))
    found = read(("Name;Gross\n" + "Tollmere B550M mATX AM4 board;1\n" * 20_000).encode(), "long.csv")
    assert found.form == "none" and found.source.left_out[0].reason == "too-large"


def test_names_are_data(tmp_path: Path) -> None:
    """Script, formulas and terminal codes in a name stay text in every output."""
    name = f'=HYPERLINK("http://x") <script>alert(1)</script> \x1b[31m {BOARD}'
    path = tmp_path / "north.csv"
    path.write_text('Name;Gross\n"' + name.replace('"', '""') + '";58,90\n', encoding="utf-8")
    add([path], tmp_path / "parts", WISHES)
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    shown = subprocess.run(
        [
            sys.executable,
            "-m",
            "partsolver",
            "catalog",
            "find",
            "B550M-99",
            "--catalog",
            str(tmp_path / "parts"),
        ],
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )
    assert "\x1b" not in shown.stdout and "<script>" in shown.stdout
    catalog = load_catalog(tmp_path / "parts")
    assert catalog.tables["boards"][0].id.isascii() and "/" not in catalog.tables["boards"][0].id


def test_a_list_that_must_be_explained_changes_nothing(tmp_path: Path) -> None:
    good, doubtful = tmp_path / "good.csv", tmp_path / "doubtful.csv"
    good.write_text(f"Name;Gross\n{BOARD};58,90\n")
    doubtful.write_text(f"Name;Price\n{BOARD};58,90\n")
    with pytest.raises(Unsettled):
        add([good, doubtful], tmp_path / "parts", WISHES)
    assert not store_path(tmp_path / "parts").exists()


def test_sellers_out_of_file_names() -> None:
    assert seller_of_file("Hafenlager_2026-11-16") == "hafenlager"
    assert seller_of_file("pricelist KW48") == "pricelist"
    assert seller_of_file("2026") == "2026"


def test_lines_of_another_shape_are_no_list() -> None:
    assert proposed(table_of_text("a,b\n1,2\n")) is None


# -- lists in house styles that the readers were not written with --------------------------------------------------


def offers_of(
    text: str, name: str, wishes: Wishes = WISHES
) -> list[tuple[str, int, str | None, dict[str, str]]]:
    """(part table, price, currency, further cells) of a list's articles."""
    found = read(text, name, wishes)
    return [
        (one.table, one.offers[0].price_minor, one.offers[0].currency, dict(one.offers[0].cells))
        for one in found.source.sightings
    ]


def test_a_price_without_a_currency_is_in_that_of_its_column() -> None:
    text = (
        "Indeks\tNazwa\tCena netto\tCena brutto\tStan\n"
        "P1\tPłyta główna Kestevan B450M-97 AM4 mATX DDR4\t203,25 zł\t250,00 zł\t>10\n"
        "P2\tPamięć Lumbrick 16GB 2x8GB DDR4 3200MHz\t325,20\t400,00\t4\n"
    )
    assert [offer[1:3] for offer in offers_of(text, "hurt.txt")] == [(25000, "PLN"), (40000, "PLN")]


def test_two_prices_in_two_currencies_say_nothing_of_a_third() -> None:
    text = f"name;Preis brutto\n{BOARD} A;10,00 €\n{BOARD} B;20,00 zł\n{BOARD} C;30,00\n"
    assert [offer[2] for offer in offers_of(text, "two.csv")] == ["EUR", "PLN", None]


def test_goods_of_the_margin_scheme_are_used_unless_they_say_otherwise() -> None:
    """VAT Directive 2006/112/EC, article 311: the scheme is for second-hand goods."""
    text = (
        "Parts - VAT margin scheme\nSKU,Item,Price (£),Qty\nU1,Kestevan B450M AM4 mATX motherboard,£24.99,2\n"
        "U2,Petrigan 8GB (2x4GB) DDR3-1600 DIMM new,£9,11\nU3,Lumbrick 8GB DDR4-2400 DIMM refurbished,£9,1\n"
    )
    cells = [offer[3].get("condition") for offer in offers_of(text, "reuse.csv")]
    assert cells == ["used", None, "refurbished"]


def test_wholesale_and_retail_under_one_head() -> None:
    """What is net is said by the lines above; a retail column is nobody's price of a wholesaler's list."""
    found = read(
        "ceny netto, VAT 23 %;;;;;\nTowar;;;Cena zakupu;;Magazyn\n"
        "Indeks;Kod producenta;Opis towaru;hurt;detal;ilość\n"
        f"W-1;PB-7;{BOARD};189,50;219,00;8\n"
    )
    assert found.columns.roles == {"sku": 0, "mpn": 1, "name": 2, "net": 3, "stock": 5}
    assert (found.tax, found.tax_percent_x100) == ("net", 2300)
    assert found.source.sightings[0].offers[0].price_minor == 18950


def test_two_header_rows_are_one() -> None:
    text = (
        "Prijslijst week 48 - excl. btw 21%\n\nArtikel;;Prijs;;Voorraad\nnr.;omschrijving;per stuk;excl. btw;\n"
        "MOEDERBORDEN;;;;\nM1;Tollmere H610M-20 Socket 1700 mATX DDR4;;74,50;3\n"
    )
    (offer,) = offers_of(text, "groothandel.csv")
    assert offer[:2] == ("boards", 7450)


@pytest.mark.parametrize(
    ("header", "role"),
    [
        ("Pris exkl. moms (SEK)", "net"),
        ("Цена, руб.", "price"),
        ("Prijs per stuk", "price"),
        ("Cena za ks", "price"),
        ("Benämning", "name"),
        ("Varenavn", "name"),
        ("Lagersaldo", "stock"),
        ("Preț fără TVA", "net"),
        ("Tillverkarens artikelnummer", "mpn"),
        ("Weight in kg netto", None),
        ("Price group", None),
        ("P.V.P. (€)", "gross"),
        ("Denominación", "name"),
        ("Opis towaru", "name"),
        ("Cena detaliczna", "rrp"),
    ],
)
def test_headers_are_understood_by_their_words(header: str, role: str | None) -> None:
    assert role_of(header.casefold()) == role


@pytest.mark.parametrize(
    ("text", "availability"),
    [
        ("nicht lagernd", "OutOfStock"),
        ("zur Zeit nicht lagernd", "OutOfStock"),
        ("lagernd: nein", "OutOfStock"),
        ("auf Lager", "InStock"),
        ("lagernd: ja", "InStock"),
        ("non disponibile", "OutOfStock"),
        ("not available", "OutOfStock"),
        ("ej i lager", "OutOfStock"),
        ("nu este disponibil", None),
    ],
)
def test_denied_stock_is_none(text: str, availability: str | None) -> None:
    assert availability_of(text) == availability


def test_pasted_lines_with_round_prices() -> None:
    text = f"{BOARD}   89,90 €\nLumbrick 16GB (2x8GB) DDR4-3200 DIMM Kit   45 €\nLumbrick 8GB DDR4-2400 Memory   129,- €\n"
    wishes = replace(WISHES, tax="gross")
    assert [offer[1] for offer in offers_of(text, "paste.txt", wishes)] == [8990, 4500, 12900]


def test_what_is_done_is_said_for_every_file(tmp_path: Path) -> None:
    for name in ("a.csv", "b.csv"):
        (tmp_path / name).write_text(f"name;Preis brutto\n{BOARD} {name};10,00 €\n", encoding="utf-8")
    heard: list[tuple[int, int]] = []
    add(
        [tmp_path / "a.csv", tmp_path / "b.csv"],
        tmp_path / "store",
        WISHES,
        progress=lambda done, total: heard.append((done, total)),
    )
    assert heard == [(0, 2), (1, 2), (2, 2)]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ('name;price\n"Brunnach B10M;12\nBrunnach S10M;13\n', 2),
        ('name;price\nBrunnach B10M;12\n"Brunnach S10M;13', 3),
    ],
)
def test_a_quotation_mark_that_is_not_closed_swallows_no_rows(text: str, line: int) -> None:
    """The rest of the list was taken for one cell and left out without a word."""
    with pytest.raises(NotRead, match=rf"in line {line} or later is not closed"):
        table_of_text(text)


def test_quotation_marks_that_are_closed_or_mean_inches_are_read() -> None:
    for end in ("", "\n"):
        sheet = table_of_text('name;price\n"Case; black";12\n3.5" drive;9\n"2.5"" frame";4' + end)
        assert sheet.rows == (
            ("name", "price"),
            ("Case; black", "12"),
            ('3.5" drive', "9"),
            ('2.5" frame', "4"),
        )
    assert table_of_text("").rows == ()
