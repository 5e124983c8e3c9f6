"""Instances of Windows management classes from lists, CSV and JSON, as plain property maps."""

from __future__ import annotations

import csv
import itertools
import re
from collections.abc import Iterator
from typing import Any

from partsolver.survey.readers.text import json_of, lines_of

_PAIR = re.compile(r"([A-Za-z_][A-Za-z0-9_]{1,40})\s*(?:=|\s:)\s?(.*)$")
Row = dict[str, Any]
# A class by the properties that only it has, in order of trial.
_MARKS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Win32_PhysicalMemoryArray", ("MemoryDevices",)),
    ("Win32_PhysicalMemory", ("Capacity", "DeviceLocator")),
    ("Win32_PhysicalMemory", ("Capacity", "BankLabel")),
    ("Win32_Processor", ("NumberOfCores", "Name")),
    ("Win32_Processor", ("SocketDesignation", "Name")),
    ("Win32_Processor", ("ProcessorId", "Name")),
    ("Win32_BIOS", ("SMBIOSBIOSVersion",)),
    ("Win32_SystemEnclosure", ("ChassisTypes",)),
    ("MSFT_PhysicalDisk", ("FriendlyName", "MediaType")),
    ("MSFT_PhysicalDisk", ("FriendlyName", "BusType")),
    ("Win32_DiskDrive", ("Model", "Size", "InterfaceType")),
    ("Win32_VideoController", ("AdapterRAM",)),
    ("Win32_ComputerSystem", ("Manufacturer", "Model", "TotalPhysicalMemory")),
    ("Win32_ComputerSystem", ("Manufacturer", "Model", "PCSystemType")),
    ("Win32_BaseBoard", ("Manufacturer", "Product")),
    ("Win32_ComputerSystem", ("Manufacturer", "Model", "SystemFamily")),
    ("Win32_Tpm", ("SpecVersion",)),
)
CLASSES = frozenset(name for name, _ in _MARKS)


def instances(data: bytes, where: str) -> list[tuple[str, Row, str]]:
    """(class, properties, place) of every instance whose class its properties show."""
    rows = list(_json_rows(data, where)) or list(_csv_rows(data, where)) or list(_list_rows(data, where))
    found = []
    for row, at in rows:
        name = _class_of(row)
        if name:
            found.append((name, row, at))
    return found


def _class_of(row: Row) -> str | None:
    said = row.get("CreationClassName") or row.get("__CLASS")
    if isinstance(said, str) and said in CLASSES:
        return said
    return next((name for name, marks in _MARKS if all(mark in row for mark in marks)), None)


def _json_rows(data: bytes, where: str) -> Iterator[tuple[Row, str]]:
    for index, value in enumerate(json_of(data)):
        at = f"{where} $[{index}]" if index else f"{where} $"
        if isinstance(value, dict) and isinstance(
            value.get("value"), list
        ):  # a list that went through a pipe twice
            value = value["value"]
        for number, item in enumerate(value if isinstance(value, list) else [value]):
            if isinstance(item, dict):
                yield item, f"{at}[{number}]" if isinstance(value, list) else at


def _csv_rows(data: bytes, where: str) -> Iterator[tuple[Row, str]]:
    lines = lines_of(data)
    header: list[str] | None = None
    delimiter = ","
    for number, line in enumerate(lines, 1):
        if not line.strip() or line.startswith("#TYPE"):
            continue
        if header is None or not line.strip(",;"):
            delimiter = max(",;\t", key=line.count)
            header = _cells(line, delimiter)
            if len(header) < 2 or not all(re.fullmatch(r"[A-Za-z_][A-Za-z0-9_]*", name) for name in header):
                return
            continue
        cells = _cells(line, delimiter)
        if cells == header:
            continue
        if len(cells) == len(header):
            yield dict(zip(header, cells, strict=True)), f"{where}:{number}"
        else:
            header = None  # another table may follow, or the row is broken: neither gives a fact
            delimiter = max(",;\t", key=line.count)
            names = _cells(line, delimiter)
            if len(names) >= 2 and all(re.fullmatch(r"[A-Za-z_][A-Za-z0-9_]*", name) for name in names):
                header = names


def _cells(line: str, delimiter: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=delimiter), [])
    except csv.Error:
        return []


def _list_rows(data: bytes, where: str) -> Iterator[tuple[Row, str]]:
    """KEY=VALUE or "Key : Value" blocks. Some tools put a blank line behind every pair: a wider gap ends a
    block."""
    pairs: list[tuple[str, str, int]] = []
    for number, line in enumerate(lines_of(data), 1):
        match = _PAIR.match(line)
        if match:
            pairs.append((match[1], match[2].strip(), number))
    gaps = sorted(b[2] - a[2] for a, b in itertools.pairwise(pairs))
    usual = gaps[len(gaps) // 2] if gaps else 1
    row: Row = {}
    start = last = 0
    for key, value, number in pairs:
        if row and (key in row or number - last > usual):
            yield row, f"{where}:{start}"
            row = {}
        if not row:
            start = number
        row[key] = value
        last = number
    if row:
        yield row, f"{where}:{start}"
