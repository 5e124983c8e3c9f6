"""Readers of what general system tools print. The kind is found by content, not by name.

``read_source`` takes one file's bytes and returns what it says; a file may hold the output of several tools,
one after another or as a JSON bundle.
"""

from __future__ import annotations

import json
import re
from typing import Any

from partsolver.base.errors import refuse
from partsolver.survey.facts import Facts, Notes
from partsolver.survey.readers import (
    cpuinfo,
    dmidecode,
    edid,
    hwinfo,
    lsblk,
    lscpu,
    lshw,
    measurement,
    smartctl,
    smbios_raw,
    sysfs,
    wmi,
)
from partsolver.survey.readers.text import is_broken_off, json_of, text_of

READERS = (
    measurement,
    edid,
    smbios_raw,
    dmidecode,
    lshw,
    lscpu,
    cpuinfo,
    lsblk,
    smartctl,
    wmi,
    sysfs,
    hwinfo,
)
READABLE = (
    "dmidecode text, a raw SMBIOS table, lshw -json or -xml, lscpu text or JSON, lsblk table or JSON, smartctl"
    " --json, Get-CimInstance output (list, CSV or JSON), /proc/cpuinfo, grep . /sys/class/dmi/id/*, hwinfo"
    " text, a monitor's EDID, or a measurement (partsolver measure --out)"
)
MOST_BYTES = 64 * 1024 * 1024
_DEEPEST = 5


def kinds(data: bytes) -> tuple[str, ...]:
    """Kinds of output found in the bytes, in reading order; empty when none is known."""
    return tuple(reader.KIND for reader in READERS if reader.reads(data))


def read_source(data: bytes, where: str) -> list[Facts]:
    """What one file says, by tool. ``where`` is the name shown in origins; pass the file's name without its
    folder.

    Raises InputRefused when the content is of no known kind, or is the error output of a tool without rights.
    """
    if len(data) > MOST_BYTES:
        raise refuse(where, "the file is too large", f"{len(data)} bytes", f"at most {MOST_BYTES} bytes")
    found = [reader.read(data, where) for reader in READERS if reader.reads(data)]
    found = found or _bundle(data, where)
    if found:
        return found
    text = text_of(data) or ""
    if re.search(r"^# dmidecode", text, re.MULTILINE):
        raise refuse(where, "dmidecode printed no tables", hint="It needs root: run it again with sudo")
    if re.search(r"^NAME .*MAJ:MIN", text, re.MULTILINE):
        raise refuse(
            where, "lsblk's table cannot be told into columns", hint="Run lsblk -J -b -O and save its output"
        )
    if is_broken_off(data):
        raise refuse(
            where,
            "the JSON text is broken off before its end",
            hint="Run the tool again and save its whole output",
        )
    if not data.strip():
        raise refuse(where, "the file is empty", None, READABLE)
    raise refuse(
        where,
        "the content is of no kind that can be read",
        None,
        READABLE,
        "Run the tool again with LC_ALL=C in front, and save its whole output",
    )


def _bundle(data: bytes, where: str) -> list[Facts]:
    """A JSON document whose members are outputs of several tools, as objects or as text."""
    found: list[Facts] = []
    if is_broken_off(data):  # parts of a broken-off document would look like documents of their own
        return found
    notes = Notes("bundle")
    for value in json_of(data):
        if isinstance(value, dict):
            notes.hide_all(value.items())
            _search(value, where, found, 0)
    return [*found, notes.done()] if found else []


def _search(value: Any, where: str, found: list[Facts], depth: int) -> None:
    if depth > _DEEPEST:
        return
    members = (
        value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    )
    for key, member in members:
        at = f"{where} {key}" if isinstance(key, str) and re.fullmatch(r"[a-z_]{1,20}", key) else where
        if isinstance(member, str) and len(member) > 40:
            raw = member.encode("utf-8", "replace")
        elif isinstance(member, dict):
            raw = json.dumps(member).encode()
        else:
            _search(member, at, found, depth + 1)
            continue
        read = [reader.read(raw, at) for reader in READERS if reader.reads(raw)]
        found.extend(read)
        if not read and not isinstance(member, str):
            _search(member, at, found, depth + 1)
