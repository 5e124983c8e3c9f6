"""Files that are broken, huge, made to hurt or merely odd: each gives a message, none hangs, crashes or
states a fact.

The forms: ECMA-376 (xlsx), OpenDocument 1.3 part 3 (ods), [MS-OFFCRYPTO] 2.3.4 (a workbook with a password is
a compound file with a stream EncryptedPackage), XML 1.0 section 4 (entities).
"""

from __future__ import annotations

import datetime
import io
import sqlite3
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from catalog.files.make_files import workbook
from python_calamine import CalamineWorkbook

from partsolver.base.errors import InputRefused
from partsolver.catalog.adding import add
from partsolver.catalog.lists import packed as packages
from partsolver.catalog.lists.limits import MOST_BYTES, MOST_CELLS, MOST_ROWS, NotRead
from partsolver.catalog.lists.sheets import sheets_of
from partsolver.catalog.load import load_catalog
from partsolver.catalog.sources import FileRead, Wishes, read_data
from partsolver.catalog.store import store_path

TODAY = datetime.date(2026, 11, 29)
DAY = datetime.date(2026, 11, 16)
WISHES = Wishes("EUR", TODAY)
BOARD = "Tollmere B550M-99 Micro ATX AM4 DDR4 Motherboard"
HEAD = '<?xml version="1.0" encoding="UTF-8"?>'
MAIN = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
# Ten to the ninth of one word, by nine entities of ten.
BOMB = (
    '<!DOCTYPE html [<!ENTITY a "ha">'
    + "".join(f'<!ENTITY {chr(98 + n)} "{("&" + chr(97 + n) + ";") * 10}">' for n in range(9))
    + "]>"
)


def read(data: bytes, name: str = "north") -> FileRead:
    return read_data(data, name, name, DAY, WISHES, {})


def packed(parts: dict[str, str]) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as package:
        for name, text in parts.items():
            package.writestr(zipfile.ZipInfo(name), text, zipfile.ZIP_DEFLATED)
    return buffer.getvalue()


def xlsx(rows: str, after: str = "", before: str = "") -> bytes:
    """A workbook of one sheet with these rows as they stand."""
    parts = workbook({"a": ([["Name"]], "visible")})
    (sheet,) = (name for name in parts if "worksheets" in name)
    parts[sheet] = f"{HEAD}{before}<worksheet {MAIN}><sheetData>{rows}</sheetData>{after}</worksheet>"
    return packed(parts)


def cell(reference: str, text: str) -> str:
    return f'<c r="{reference}" t="inlineStr"><is><t>{text}</t></is></c>'


def number(reference: str, value: str, formula: str = "") -> str:
    return f'<c r="{reference}">{f"<f>{formula}</f>" if formula else ""}<v>{value}</v></c>'


def ods(rows: str) -> bytes:
    spaces = " ".join(
        f'xmlns:{n}="urn:oasis:names:tc:opendocument:xmlns:{n}:1.0"' for n in ("office", "table", "text")
    )
    return packed(
        {
            "mimetype": "application/vnd.oasis.opendocument.spreadsheet",
            "META-INF/manifest.xml": '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"/>',
            "content.xml": f"<office:document-content {spaces}><office:body><office:spreadsheet>"
            f'<table:table table:name="a">{rows}</table:table></office:spreadsheet></office:body></office:document-content>',
        }
    )


def ods_row(*texts: str, times: int = 1, columns: int = 1) -> str:
    cells = "".join(
        f'<table:table-cell office:value-type="string" table:number-columns-repeated="{columns}"><text:p>{text}</text:p></table:table-cell>'
        for text in texts
    )
    return f'<table:table-row table:number-rows-repeated="{times}">{cells}</table:table-row>'


HEADER = f'<row r="1">{cell("A1", "Name")}{cell("B1", "Gross")}</row>'
ROW = f'<row r="2">{cell("A2", BOARD)}{number("B2", "58.9")}</row>'
ODS_LIST = ods_row("Name", "Gross") + ods_row(BOARD, "58.90")


def prices(found: FileRead) -> list[tuple[str, int]]:
    return [(s.table, s.offers[0].price_minor) for s in found.source.sightings]


# -- what would fill the memory or never end -----------------------------------------------------------------------

HUGE = {
    "a million rows": lambda: ("Name;Gross\n" + "x;1\n" * 1_000_000).encode(),
    "a million rows of a sheet": lambda: xlsx(
        HEADER + "".join(f'<row r="{n}">{number(f"B{n}", "1")}</row>' for n in range(2, 1_000_002, 3))
    ),
    "more than 50 MB": lambda: b"x" * (MOST_BYTES + 1),
    "one cell far away": lambda: xlsx(HEADER + f'<row r="1048576">{number("XFD1048576", "1")}</row>'),
    "last columns of many rows": lambda: xlsx(
        HEADER + "".join(f'<row r="{n}">{number(f"XFD{n}", "1")}</row>' for n in range(2, 3000))
    ),
    "rows that stand for many": lambda: ods(ODS_LIST + ods_row("x", times=1_048_574)),
    "rows that stand for more than there can be": lambda: ods(ODS_LIST + ods_row("x", times=10**18)),
    "columns that stand for many": lambda: ods(ods_row("Name", "x", columns=16_000) * 400),
}


@pytest.mark.parametrize("name", HUGE)
def test_what_is_too_large_is_told_before_it_is_unpacked(name: str) -> None:
    found = read(HUGE[name]())
    assert [left.reason for left in found.source.left_out] == ["too-large"] and not found.source.sightings


def test_the_rectangle_of_a_sheet_is_what_counts() -> None:
    """Formats of empty cells up to the last column, as spreadsheets write them, harm nothing."""
    empty = "".join(f'<row r="{n}"><c r="XFD{n}" s="1"/></row>' for n in range(3, 2000))
    assert prices(read(xlsx(HEADER + ROW + empty))) == [("boards", 5890)]
    below = '<table:table-row table:number-rows-repeated="1048574"><table:table-cell table:number-columns-repeated="16384"/></table:table-row>'
    assert prices(read(ods(ODS_LIST + below))) == [("boards", 5890)]
    assert MOST_CELLS >= 30 * MOST_ROWS


def test_what_is_told_of_a_package_is_what_its_reader_makes(monkeypatch: pytest.MonkeyPatch) -> None:
    """The limit is met at the rectangle that the reader of the sheet makes, neither before nor after."""
    for data, size in (
        (xlsx(HEADER + f'<row r="9">{number("AB9", "1")}</row>'), 9 * 28),
        (ods(ODS_LIST + ods_row("", times=6) + ods_row("x", columns=28)), 9 * 28),
    ):
        (sheet,) = CalamineWorkbook.from_filelike(io.BytesIO(data)).sheet_names
        made = CalamineWorkbook.from_filelike(io.BytesIO(data)).get_sheet_by_name(sheet)
        assert (made.total_height + 1) * (made.total_width + 1) == size
        monkeypatch.setattr(packages, "MOST_CELLS", size)
        sheets_of(data)
        monkeypatch.setattr(packages, "MOST_CELLS", size - 1)
        with pytest.raises(NotRead, match="cells"):
            sheets_of(data)


MADE_TO_HURT = {
    "entities in a sheet": lambda: xlsx(f'<row r="1">{cell("A1", "&j;")}</row>', before=BOMB),
    "entities in a page": lambda: f"{BOMB}<html><body>&j;</body></html>".encode(),
    "entities inside a page": lambda: f"<html>{BOMB}<body>&j;</body></html>".encode(),
    "deep page": lambda: b"<html>" + b"<div>" * 500_000,
    "deep script": lambda: b'<html><script type="application/ld+json">' + b'{"a":[' * 500_000,
    "deep JSON": lambda: b"[" * 2_000_000,
    "quotes": lambda: b"Name;Gross\n" + b'"' * 5_000_000,
    "separators": lambda: b";" * 5_000_000,
    "attributes": lambda: b"<html><div " + b"a=1 " * 1_000_000 + b">",
    "one long word": lambda: b"Name;Gross\n" + b"2x" * 2_000_000 + b";1",
}


@pytest.mark.parametrize("name", MADE_TO_HURT)
def test_what_is_made_to_hurt_gives_nothing(name: str) -> None:
    found = read(MADE_TO_HURT[name]())
    assert not found.source.sightings and found.source.left_out


# -- workbooks that cannot be opened ----------------------------------------------------------------------------------


def compound_file(*streams: str) -> bytes:
    """A compound file ([MS-CFB]) whose directory names these streams; none of them holds anything."""
    sector = 512
    free, end, fat = 0xFFFFFFFF, 0xFFFFFFFE, 0xFFFFFFFD
    header = bytearray(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(16))
    for value, size in ((0x3E, 2), (3, 2), (0xFFFE, 2), (9, 2), (6, 2)):
        header += value.to_bytes(size, "little")
    header += bytes(6)
    for value in (0, 1, 1, 0, 4096, end, 0, end, 0, 0):
        header += value.to_bytes(4, "little")
    header += free.to_bytes(4, "little") * 108
    table = b"".join(value.to_bytes(4, "little") for value in (fat, end)) + free.to_bytes(4, "little") * 126

    def entry(name: str, kind: int, left: int, child: int) -> bytes:
        text = name.encode("utf-16-le")
        made = text.ljust(64, b"\0") + (len(text) + 2).to_bytes(2, "little") + bytes([kind, 1])
        made += left.to_bytes(4, "little") + free.to_bytes(4, "little") + child.to_bytes(4, "little")
        return made + bytes(36) + end.to_bytes(4, "little") + bytes(8)

    names = list(streams)
    made = entry("Root Entry", 5, free, 1)
    for n, name in enumerate(names, 1):
        made += entry(name, 2, n + 1 if n < len(names) else free, free)
    return bytes(header[:sector]) + table + made.ljust(sector, b"\0")


def test_a_workbook_with_a_password_says_so() -> None:
    found = read(compound_file("EncryptionInfo", "EncryptedPackage"), "geheim.xlsx")
    assert [(left.reason, left.detail) for left in found.source.left_out] == [
        ("unreadable", "protected by a password")
    ]


@pytest.mark.parametrize(
    "data",
    [
        packed({"xl/workbook.bin": "x"}),
        packed({"xl/worksheets/sheet1.xml": "<a"}),
        packed({"content.xml": "<a"}),
        packed({"word/document.xml": "<a/>"}),
        xlsx(HEADER + ROW)[:-40],
        xlsx(HEADER + ROW)[:200],
        compound_file("Workbook"),
    ],
    ids=["binary", "broken sheet", "broken ods", "a letter", "cut off", "cut short", "empty stream"],
)
def test_a_workbook_that_cannot_be_opened_is_left_out(data: bytes) -> None:
    found = read(data)
    assert found.form == "none" and len(found.source.left_out) == 1 and not found.source.sightings


# -- odd workbooks --------------------------------------------------------------------------------------------------


def test_formulas_count_with_the_value_last_computed() -> None:
    rows = (
        HEADER
        + f'<row r="2">{cell("A2", BOARD)}{number("B2", "58.9", "49.5*1.19")}</row>'
        + f'<row r="3">{cell("A3", "Cadmora 8GB (1x8GB) DDR4 RAM")}<c r="B3"><f>B2/3</f></c></row>'
        + f'<row r="4">{cell("A4", "Cadmora 4GB (1x4GB) DDR4 RAM")}<c r="B4" t="e"><f>1/0</f><v>#DIV/0!</v></c></row>'
    )
    found = read(xlsx(rows))
    assert prices(found) == [("boards", 5890)]
    assert [left.reason for left in found.source.left_out] == ["no-price", "no-price"]


def test_merged_cells_count_where_they_begin() -> None:
    """A heading over all columns is no row; a name merged over two rows names the first."""
    rows = (
        HEADER
        + f'<row r="2">{cell("A2", "Mainboards")}</row><row r="3">{cell("A3", BOARD)}{number("B3", "58.9")}</row>'
        + f'<row r="4">{number("B4", "61.9")}</row>'
    )
    merged = '<mergeCells count="2"><mergeCell ref="A2:B2"/><mergeCell ref="A3:A4"/></mergeCells>'
    found = read(xlsx(rows, merged))
    assert prices(found) == [("boards", 5890)]
    assert [left.reason for left in found.source.left_out] == ["no-name"]


def test_two_header_rows_of_a_sheet() -> None:
    rows = (
        f'<row r="1">{cell("A1", "Artikel")}{cell("B1", "Preis")}</row>'
        f'<row r="2">{cell("A2", "Bezeichnung")}{cell("B2", "brutto EUR")}</row>'
        f'<row r="3">{cell("A3", BOARD)}{number("B3", "58.9")}</row>'
    )
    assert prices(read(xlsx(rows))) == [("boards", 5890)]


@pytest.mark.parametrize("state", ["hidden", "veryHidden"])
def test_hidden_sheets_are_not_read(state: str) -> None:
    row = ["Name", "Gross"], [BOARD, 58.9]
    book = workbook(
        {
            "shown": ([list(r) for r in row], "visible"),
            "old": ([list(row[0]), ["Cadmora 8GB DDR4 RAM", 1.0]], state),
        }
    )
    assert prices(read(packed(book))) == [("boards", 5890)]


@pytest.mark.parametrize("encoding", ["cp1252", "cp1250", "utf-16-le", "utf-16-be", "latin-1", "mac-roman"])
def test_a_wrong_charset_states_no_wrong_fact(encoding: str) -> None:
    """What is read is read right, or the list is not understood and says so."""
    text = f"Größe;Bezeichnung;Preis brutto\n1;{BOARD};58,90\n"
    try:
        found = read(text.encode(encoding))
    except InputRefused as refused:
        assert "north" in str(refused)
        return
    assert prices(found) in ([], [("boards", 5890)]) and (found.source.sightings or found.source.left_out)


def test_a_name_is_data_in_tables_and_pages(tmp_path: Path) -> None:
    """A name that would be a formula, a script or a path stays a name; in a table no spreadsheet computes
    it."""
    names = [
        '=HYPERLINK("http://x";"y") ' + BOARD,
        "<script>alert(1)</script> Cadmora 8GB (1x8GB) DDR4-2666 RAM",
        "../../etc/passwd Cadmora 4GB (1x4GB) DDR4-2666 RAM",
        "@SUM(A1) Cadmora 2GB (1x2GB) DDR3-1333 RAM",
    ]
    path = tmp_path / "north.csv"
    path.write_text("Name\tGross\n" + "".join(f"{name}\t9,90\n" for name in names), encoding="utf-8")
    add([path], tmp_path / "parts", WISHES)
    catalog = load_catalog(tmp_path / "parts")
    parts = [*catalog.tables["boards"], *catalog.tables["memory"]]
    assert len(parts) == 4 and all(part.id.replace("-", "").isalnum() for part in parts)
    command = [
        sys.executable,
        "-m",
        "partsolver",
        "catalog",
        "export",
        str(tmp_path / "out"),
        "--catalog",
        str(tmp_path / "parts"),
    ]
    root = Path(__file__).resolve().parents[2]
    subprocess.run(command, check=True, cwd=root, capture_output=True)
    assert sorted(p.name for p in load_catalog(tmp_path / "out").tables["memory"]) == sorted(
        p.name for p in catalog.tables["memory"]
    )


# -- a broken file among others ---------------------------------------------------------------------------------------


def content(folder: Path) -> list[str]:
    connection = sqlite3.connect(store_path(folder))
    lines = list(connection.iterdump())
    connection.close()
    return lines


def test_a_broken_file_changes_nothing(tmp_path: Path) -> None:
    """Neither in a store that is there, nor for the files beside it."""
    good, broken = tmp_path / "good.csv", tmp_path / "broken.xlsx"
    good.write_text(f"Name;Gross\n{BOARD};58,90\n")
    broken.write_bytes(xlsx(HEADER + ROW)[:300])
    add([good], tmp_path / "parts", WISHES)
    facts = [
        line for line in content(tmp_path / "parts") if '"left_out"' not in line and '"imports"' not in line
    ]
    done = add([broken, good], tmp_path / "parts", WISHES)
    assert done.read[0].not_read and done.read[0].form == "none"
    after = [
        line for line in content(tmp_path / "parts") if '"left_out"' not in line and '"imports"' not in line
    ]
    assert after == facts


def test_a_list_that_was_read_and_is_broken_now_keeps_what_it_said(tmp_path: Path) -> None:
    path = tmp_path / "north.csv"
    path.write_text(f"Name;Gross\n{BOARD};58,90\n")
    add([path], tmp_path / "parts", WISHES)
    path.write_bytes(b"\x00" * 5000)
    with pytest.raises(InputRefused, match=r"north\.csv: cannot be read"):  # alone it gives nothing
        add([path], tmp_path / "parts", WISHES)
    other = tmp_path / "south.csv"
    other.write_text(f"Name;Gross\n{BOARD};61,00\n")
    done = add([path, other], tmp_path / "parts", WISHES)
    assert done.read[0].not_read
    assert sorted(o.price for o in load_catalog(tmp_path / "parts").tables["offers"]) == [5890, 6100]
