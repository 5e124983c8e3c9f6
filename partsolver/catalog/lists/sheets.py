"""Tables out of files: CSV with any separator and encoding, xlsx, ods, xls. Cells come as text, numbers
and days; formulas come as the values last computed, scripts never run, hidden sheets are not read."""

from __future__ import annotations

import csv
import datetime
import io
from collections.abc import Iterable

from partsolver.base.records import record
from partsolver.catalog.lists.limits import MOST_BYTES, MOST_CELL, MOST_COLUMNS, MOST_ROWS, NotRead
from partsolver.catalog.lists.packed import PASSWORD, check_packed

Cell = str | int | float | bool | datetime.date | None


@record
class Sheet:
    """One sheet: name and rows of cells."""

    name: str
    rows: tuple[tuple[Cell, ...], ...]


def is_spreadsheet(data: bytes) -> bool:
    """Whether these are the first bytes of an xlsx, ods or xls file."""
    return data[:4] == b"PK\x03\x04" or data[:8] == b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


def sheets_of(data: bytes) -> tuple[Sheet, ...]:
    """The visible sheets of a spreadsheet file. Raises NotRead."""
    from python_calamine import CalamineWorkbook, SheetTypeEnum, SheetVisibleEnum

    check_packed(data)
    try:
        book = CalamineWorkbook.from_filelike(io.BytesIO(data))
        found = []
        for about in book.sheets_metadata:
            if about.visible != SheetVisibleEnum.Visible or about.typ != SheetTypeEnum.WorkSheet:
                continue
            sheet = book.get_sheet_by_name(about.name)
            if sheet.total_height > MOST_ROWS:
                raise NotRead("too-large", f"{MOST_ROWS:,} rows")
            rows = sheet.to_python(skip_empty_area=False)
            found.append(Sheet(about.name, tuple(_cells(row) for row in rows)))
    except NotRead:
        raise
    except BaseException as error:  # the reader's own panics are no Exception
        if isinstance(error, KeyboardInterrupt | SystemExit | MemoryError):
            raise
        detail = PASSWORD if "assword" in str(error) else str(error)[:100]
        raise NotRead("unreadable", detail or type(error).__name__) from None
    return tuple(found)


def printable(text: str) -> str:
    """Text without control characters: a name is data, whatever stands in it."""
    return text if text.isprintable() else "".join(c if c.isprintable() else " " for c in text)


def _cells(row: Iterable[object]) -> tuple[Cell, ...]:
    cells: list[Cell] = []
    for cell in list(row)[:MOST_COLUMNS]:
        if isinstance(cell, str):
            cells.append(printable(cell)[:MOST_CELL].strip() or None)
        elif isinstance(cell, datetime.datetime):
            cells.append(cell.date())
        elif isinstance(cell, bool | int | datetime.date):
            cells.append(cell)
        elif isinstance(cell, float):
            cells.append(int(cell) if cell.is_integer() and abs(cell) < 1e15 else cell)
        else:
            cells.append(None)
    while cells and cells[-1] is None:
        cells.pop()
    return tuple(cells)


# A line put behind the text: where it is read as one, no cell was left open.
_END = "behind the last line"


def table_of_text(text: str, name: str = "") -> Sheet:
    """Rows of a text with any separator: the one that gives most lines the same number of cells, above
    one. Raises NotRead."""
    text = text.replace("\r\n", "\n").replace("\r", "\n").replace("\x00", "")
    separator = _separator(text)
    csv.field_size_limit(MOST_BYTES)
    rows: list[tuple[Cell, ...]] = []
    between = "" if not text or text.endswith("\n") else "\n"
    source = csv.reader(io.StringIO(f"{text}{between}{_END}"), delimiter=separator)
    begun = ended = 1
    try:
        for row in source:
            rows.append(_cells(row))
            begun, ended = ended, source.line_num + 1
            if len(rows) > MOST_ROWS + 1:
                raise NotRead("too-large", f"{MOST_ROWS:,} rows")
    except csv.Error as error:
        raise NotRead("unreadable", str(error)) from None
    if rows.pop() != (_END,):
        raise NotRead(
            "unreadable", f'a quotation mark (") that begins a cell in line {begun} or later is not closed'
        )
    return Sheet(name, tuple(rows))


def _separator(text: str) -> str:
    sample = text[:60_000]
    best, most = ",", 0
    for separator in (";", "\t", ",", "|"):
        widths: dict[int, int] = {}
        try:
            for number, row in enumerate(csv.reader(io.StringIO(sample), delimiter=separator)):
                if number > 200:
                    break
                widths[len(row)] = widths.get(len(row), 0) + 1
        except csv.Error:
            continue
        alike = max((count * (width - 1), width) for width, count in widths.items())[0] if widths else 0
        usual = max(widths.items(), key=lambda pair: pair[1])[0] if widths else 1
        worth = alike if usual > 1 else alike // 4
        if worth > most:
            best, most = separator, worth
    return best


def text_of(data: bytes, known_words: Iterable[str] = ()) -> str:
    """Text of bytes: by its byte order mark, as UTF-8, else in the code page in which most of the known
    words stand (Windows-1252, 1250, 1251; the first of equals)."""
    for mark, encoding in ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16")):
        if data.startswith(mark):
            return data.decode(encoding, errors="replace")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        pass
    words = [word for word in known_words if not word.isascii()]
    texts = [data.decode(page, errors="replace") for page in ("cp1252", "cp1250", "cp1251")]
    counts = [sum(word in text[:200_000].casefold() for word in words) for text in texts]
    return texts[counts.index(max(counts))]
