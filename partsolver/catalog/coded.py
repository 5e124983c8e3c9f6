"""Tables as columns of codes: each column's distinct texts once, and for every row the place of its text among
them. A table is made of it without a cell being read twice."""

from __future__ import annotations

import json
import sys
from array import array
from collections.abc import Mapping, Sequence
from typing import Any

from partsolver.base.records import record
from partsolver.catalog.dictionary import UNKNOWN, columns
from partsolver.catalog.records import TABLES
from partsolver.catalog.table import DISTINCT, KEPT, ColumnCells, Table, assumed

# Bytes in front of the packed texts: how long these are.
_LENGTH_BYTES = 8


@record
class CodedColumn:
    """texts: the distinct texts; codes: by row the place of its text; None: row by row the texts themselves
    (``texts`` is as long as the table), or one text for all rows."""

    texts: Sequence[str]
    codes: Sequence[int] | None

    def cells(self, count: int, values: Sequence[Any] | None = None) -> list[Any]:
        """Of every row the text, or what stands for it in ``values``."""
        found = self.texts if values is None else values
        if self.codes is not None:
            return list(map(found.__getitem__, self.codes))
        return list(found) if len(self.texts) == count else [found[0]] * count


def coded(cells: Sequence[str]) -> CodedColumn:
    """A column's cells as codes."""
    texts = tuple(dict.fromkeys(cells))
    if len(texts) in (1, len(cells)):
        return CodedColumn(texts, None)
    kind = "B" if len(texts) <= 1 << 8 else "H" if len(texts) <= 1 << 16 else "I"
    places = dict(zip(texts, range(len(texts)), strict=True))
    return CodedColumn(texts, array(kind, map(places.__getitem__, cells)))


def packed(found: Mapping[str, CodedColumn], count: int) -> bytes:
    """Columns of ``count`` rows as bytes: the texts as JSON, the codes behind, low byte first."""
    head: dict[str, Any] = {}
    behind = bytearray()
    for name, column in found.items():
        if column.codes is None:
            head[name] = [list(column.texts)]
            continue
        codes = column.codes
        assert isinstance(codes, array)  # as `coded` makes them
        head[name] = [list(column.texts), codes.typecode, len(behind)]
        behind += _low_byte_first(codes).tobytes()
    texts = json.dumps({"rows": count, "columns": head}, ensure_ascii=False, separators=(",", ":")).encode()
    return len(texts).to_bytes(_LENGTH_BYTES, "little") + texts + bytes(behind)


def unpacked(data: bytes) -> tuple[dict[str, CodedColumn], int]:
    """What ``packed`` wrote, and the number of rows. Raises ValueError and the like for other bytes."""
    start = _LENGTH_BYTES + int.from_bytes(data[:_LENGTH_BYTES], "little")
    said = json.loads(data[_LENGTH_BYTES:start])
    count, found = said["rows"], {}
    for name, (texts, *kind) in said["columns"].items():
        codes = None
        if kind:
            codes = array(kind[0])
            first = start + kind[1]
            codes.frombytes(data[first : first + count * codes.itemsize])
            codes = _low_byte_first(codes)
        found[name] = CodedColumn(texts, codes)
    return found, count


def _low_byte_first(codes: array[int]) -> array[int]:
    if sys.byteorder == "little":
        return codes
    turned = array(codes.typecode, codes)
    turned.byteswap()
    return turned


def table_of_columns(
    table: str, found: Mapping[str, CodedColumn], count: int, digits: int, currency: str
) -> Table | None:
    """A table out of columns that were read without a fault before, as ``table_of_rows`` makes it of their
    cells but for ``stated``; None where a text cannot be read, or where prices have currencies of their own."""
    described = columns()[table]
    if "currency" in found:
        return None  # a price is then read by its row's currency
    values: dict[str, list[Any]] = {}
    taken: list[tuple[str, str]] = []
    for name, column in described.items():
        own = found.get(name)
        if own is None:
            values[name] = [assumed(column, digits)] * count
        elif name in DISTINCT:
            values[name] = own.cells(count)
        else:
            cells = ColumnCells(column, digits, currency, blank_facts=True)
            read = [cells[text] for text in own.texts]
            if cells.wrong:
                return None
            values[name] = own.cells(count, read)
        if column.assumed:
            blank = [True] * count if own is None else own.cells(count, [_blank(text) for text in own.texts])
            taken += [(part, name) for part, is_blank in zip(values["id"], blank, strict=True) if is_blank]
    rows = tuple(map(TABLES[table], *(values[name] for name in described))) if count else ()
    kept = {name: values[name] for name in KEPT if name in described}
    return Table(rows, kept, range(1, count + 1), (), True, taken)


def _blank(text: str) -> bool:
    return text.strip().casefold() in ("", UNKNOWN)
