"""dmidecode text, 2.x to 3.6: with or without header and handles, CRLF, unfinished.

Own reader: the registry's general parser of command output brings a hundred parsers for what is thirty lines
here, and neither keeps line numbers nor reads the layouts before 2.7.
"""

from __future__ import annotations

import re

from partsolver.survey.facts import Facts, Notes
from partsolver.survey.readers.dmi_facts import note_records
from partsolver.survey.readers.dmi_records import TITLES, Record
from partsolver.survey.readers.text import lines_of

KIND = "dmidecode"
_HANDLE = re.compile(r"\s*Handle (0x[0-9A-Fa-f]{1,8})(?:,? *DMI type ([0-9]{1,3}), [0-9]+ bytes\.?)?\s*$")
_OLD_TYPE = re.compile(r"\s*DMI type ([0-9]{1,3}), [0-9]+ bytes\.?\s*$")
_PAIR = re.compile(r"(\s*)([A-Z0-9][^:]{0,60}?):(?:\s+(.*))?$")


def reads(data: bytes) -> bool:
    """Whether the text has structure heads, or at least two titles of structures."""
    lines = lines_of(data)
    if any(_HANDLE.match(line) for line in lines):
        return True
    return sum(1 for line in lines if line.strip() in TITLES) >= 2


def read(data: bytes, where: str) -> Facts:
    """Facts of the text. Never fails: what is not understood is left out."""
    notes = Notes(KIND)
    records = records_of(lines_of(data), where)
    first = _first_table(records)
    if len(first) < len(records):
        notes.remark(f"{where} holds more than one firmware table; only the first was read")
    note_records(first, notes)
    return notes.done()


def _first_table(records: list[Record]) -> list[Record]:
    """Records up to the end mark, or up to a second BIOS record: files of two runs may have been put
    together."""
    for index, record in enumerate(records):
        if record.type == 127:
            return records[: index + 1] if any(r.type >= 0 for r in records[index + 1 :]) else records
        if record.type == 0 and any(r.type == 0 for r in records[:index]):
            return records[:index]
    return records


def records_of(lines: list[str], where: str) -> list[Record]:
    """The structures of a dmidecode text, in order."""
    records: list[Record] = []
    current: Record | None = None
    open_list: list[str] | None = None
    list_indent = 0
    for number, line in enumerate(lines, 1):
        text = line.strip()
        if not text or text.startswith("#"):
            open_list = None
            continue
        handle = _HANDLE.match(line)
        if handle:
            current = Record(int(handle[2]) if handle[2] else -1, handle[1].lower(), f"{where}:{number}")
            records.append(current)
            open_list = None
            continue
        old = _OLD_TYPE.match(line)
        if old and current is not None and current.type == -1:
            current.type = int(old[1])
            continue
        if text in TITLES:
            if current is None or current.type != TITLES[text] or current.fields:
                # a lost head, or output without heads (dmidecode -q)
                current = Record(TITLES[text], "", f"{where}:{number}")
                records.append(current)
            open_list = None
            continue
        if current is None:
            continue
        indent = len(line) - len(line.lstrip())
        if open_list is not None and indent > list_indent:
            open_list.append(text)
            continue
        pair = _PAIR.match(line.rstrip())
        if pair is None or indent == 0:
            open_list = None
            continue
        key, value = pair[2].strip(), (pair[3] or "").strip()
        current.fields.setdefault(key, value)  # the first of repeated keys counts
        list_indent = indent
        open_list = current.lists.setdefault(key, []) if not value or value.isdigit() else None
    return records
