"""How large a packed spreadsheet becomes, told from its parts before any of it is unpacked into cells.

A sheet becomes a rectangle: one value in the last column of the last row of a sheet makes it 17 thousand
million cells.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib

from partsolver.catalog.lists.limits import MOST_CELLS, MOST_ROWS, MOST_UNPACKED, NotRead

PASSWORD = "protected by a password"
# A compound file ([MS-CFB]); a workbook with a password is a stream of one ([MS-OFFCRYPTO] 2.3.4.4).
_COMPOUND = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_SHEET = re.compile(r"xl/worksheets/[^/]+\.xml", re.IGNORECASE)
# A cell beyond column Z with something in it, and the number of a row, in a cell from 100 on (26 x 100 is no
# matter; ECMA-376 part 1, 18.3.1.4: its reference).
_FAR_COLUMN = re.compile(rb'<(?:\w+:)?c\b[^>]*?\br="([A-Z]{2,3})[0-9]+"[^>]*(?<!/)>')
_ROW = re.compile(rb'\br="[A-Z]{0,3}([0-9]{3,})"')
_ROW_ELEMENT = re.compile(rb'<(?:\w+:)?row\b[^>]*?\br="([0-9]+)"')
# OpenDocument 1.3 part 3, 19.675 and 19.678: a cell or row that stands for many.
_TIMES = re.compile(rb'number-(?:columns|rows)-repeated="\s*([0-9]+)\s*"')
_ODS_CELL = re.compile(rb"<table:(?:covered-)?table-cell\b([^>]*?)(/?)>")


def check_packed(data: bytes) -> None:
    """Raise NotRead for a packed workbook that is broken, of another kind, or too large once it is
    unpacked."""
    if data[:8] == _COMPOUND and "EncryptedPackage".encode("utf-16-le") in data:
        raise NotRead("unreadable", PASSWORD)
    if data[:4] != b"PK\x03\x04":
        return
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            members = package.infolist()
            if sum(member.file_size for member in members) > MOST_UNPACKED:
                raise NotRead("too-large", f"{MOST_UNPACKED // 1_000_000} MB when unpacked")
            for member in members:
                name = member.filename
                if name == "xl/workbook.bin":
                    raise NotRead("unreadable", "a binary workbook (xlsb): save it as xlsx")
                if _SHEET.fullmatch(name):
                    _check_sheet(package.read(member))
                elif name == "META-INF/manifest.xml" and b"encryption-data" in package.read(member):
                    raise NotRead("unreadable", PASSWORD)
                elif name == "content.xml":
                    _check_ods(package.read(member))
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, ValueError, OSError) as error:
        raise NotRead("unreadable", str(error)[:100]) from None


def _check_sheet(xml: bytes) -> None:
    """A sheet of an xlsx file."""
    named = [*_ROW.findall(xml), *_ROW_ELEMENT.findall(xml)]
    rows = max((int(found[:9]) for found in named), default=0)
    if rows > MOST_ROWS:
        raise NotRead("too-large", f"{MOST_ROWS:,} rows")
    width = max((_column(found) for found in _FAR_COLUMN.findall(xml)), default=0)
    if width * max(rows, xml.count(b"<row")) > MOST_CELLS:
        raise NotRead("too-large", f"{MOST_CELLS:,} cells")


def _column(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number


def _check_ods(xml: bytes) -> None:
    """The tables of an ods file."""
    for table in xml.split(b"<table:table ")[1:]:
        rows, width = 0, 0
        below = 0  # empty rows so far below the last one with something in it
        for row in table.split(b"<table:table-row")[1:]:
            head, _, cells = row.partition(b">")
            times = _TIMES.search(head)
            below += int(times[1][:10]) if times else 1
            filled = _width(cells)
            if filled:
                rows, below, width = rows + below, 0, max(width, filled)
            if rows > MOST_ROWS:
                raise NotRead("too-large", f"{MOST_ROWS:,} rows")
            if rows * width > MOST_CELLS:
                raise NotRead("too-large", f"{MOST_CELLS:,} cells")


def _width(cells: bytes) -> int:
    """The last column of a row that holds something; 0 for an empty row."""
    if b"repeated" not in cells:
        return cells.count(b"table-cell") if b"<text:" in cells or b"value=" in cells else 0
    at = last = 0
    for found in _ODS_CELL.finditer(cells):
        times = _TIMES.search(found[1])
        at += int(times[1][:10]) if times else 1
        last = last if found[2] else at
    return last
