"""lscpu: text (plain and in sections) and JSON (flat, with children, and `-J -e` lists)."""

from __future__ import annotations

import re
from typing import Any

from partsolver.standards.cpu_signatures import vendor_letter
from partsolver.survey.facts import Certainty, Facts, Notes
from partsolver.survey.readers.processor_text import note_processor, note_top_clock
from partsolver.survey.readers.text import is_broken_off, json_of, lines_of, whole

KIND = "lscpu"
_PAIR = re.compile(r"\s*([A-Z][A-Za-z0-9()\- /]{1,40}?)\s*:\s*(\S.*?)\s*$")
_TELLING = (
    "Thread(s) per core",
    "Core(s) per socket",
    "CPU op-mode(s)",
    "BogoMIPS",
    "CPU family",
    "Byte Order",
    "On-line CPU(s) list",
)


def reads(data: bytes) -> bool:
    """Whether it has lscpu's field names. Translated output has others and is not recognised."""
    return bool(_documents(data)) or sum(1 for key in _TELLING if key in _text_fields(lines_of(data))) >= 2


def read(data: bytes, where: str) -> Facts:
    """Facts of the first summary. Never fails."""
    notes = Notes(KIND)
    documents = _documents(data)
    for index, document in enumerate(documents):
        if "lscpu" in document:
            fields: dict[str, tuple[str, str]] = {}
            _flatten(
                document["lscpu"], f"{where} $[{index}].lscpu" if index else f"{where} $.lscpu", fields, 0
            )
            _note(fields, notes)
        else:
            _note_list(document["cpus"], f"{where} $.cpus", is_broken_off(data), notes)
    if not documents:
        _note(
            {key: (value, f"{where}:{line}") for key, (value, line) in _text_fields(lines_of(data)).items()},
            notes,
        )
    return notes.done()


def _documents(data: bytes) -> list[dict[str, Any]]:
    found = []
    for value in json_of(data):
        if isinstance(value, dict) and (isinstance(value.get("lscpu"), list) or _is_list(value.get("cpus"))):
            found.append(value)
    return found


def _is_list(value: object) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(v, dict) and "cpu" in v for v in value)


def _text_fields(lines: list[str]) -> dict[str, tuple[str, int]]:
    fields: dict[str, tuple[str, int]] = {}
    for number, line in enumerate(lines, 1):
        if line[:1] in ("\t",):  # dmidecode's attributes; lscpu indents with blanks
            continue
        match = _PAIR.match(line)
        if match:
            fields.setdefault(match[1], (match[2], number))
    return fields


def _flatten(items: Any, where: str, into: dict[str, tuple[str, str]], depth: int) -> None:
    if not isinstance(items, list) or depth > 10:
        return
    for index, item in enumerate(items):
        if not isinstance(item, dict):
            continue
        name, value = item.get("field"), item.get("data")
        if isinstance(name, str) and isinstance(value, str | int | float) and not isinstance(value, bool):
            into.setdefault(name.strip().rstrip(":").strip(), (str(value), f"{where}[{index}]"))
        _flatten(item.get("children"), f"{where}[{index}].children", into, depth + 1)


def _note(fields: dict[str, tuple[str, str]], notes: Notes) -> None:
    def get(key: str) -> str:
        return fields.get(key, ("", ""))[0]

    def place(key: str) -> str:
        return fields.get(key, ("", next((v[1] for v in fields.values()), "")))[1]

    hypervisor = get("Hypervisor vendor")
    if hypervisor:
        notes.add(
            "pc.seen_virtual", True, place("Hypervisor vendor"), "a hypervisor runs this system", "sure"
        )
    note_processor(
        notes,
        place("Model name"),
        get("Model name"),
        get("Vendor ID"),
        whole(get("CPU family")),
        whole(get("Model")),
        whole(get("Stepping")),
        get("Flags"),
        "Model name",
    )
    threads, cores, sockets = (
        whole(get(key)) for key in ("Thread(s) per core", "Core(s) per socket", "Socket(s)")
    )
    where = place("Core(s) per socket")
    notes.add("cpu.seen_sockets_filled", sockets, place("Socket(s)"), f"{sockets} sockets", "doubtful")
    if cores and threads:
        listed = (whole(get("CPU(s)")) or 0) // (sockets or 1)
        # cores of two kinds: the figure is the larger kind's, the smaller have one thread each
        unlike = cores < listed < cores * threads
        # both figures count what is switched on
        sure: Certainty = "doubtful" if get("Off-line CPU(s) list") else "sure"
        said = f"{cores} cores per socket, {threads} threads per core, {listed or 'no'} CPUs a socket listed"
        notes.add("cpu.cores", cores, where, said, sure)
        notes.add("cpu.threads", listed if unlike else cores * threads, where, said, sure)
    family = whole(get("CPU family"))
    # before family 23 no other driver serves this maker's processors (from memory)
    old = vendor_letter(get("Vendor ID")) == "a" and family is not None and family < 23
    note_top_clock(notes, place("CPU max MHz"), get("CPU max MHz"), old)


def _note_list(rows: list[dict[str, Any]], where: str, broken_off: bool, notes: Notes) -> None:
    """`lscpu -J -e`: one row a logical processor; cores are distinct (socket, core) pairs of the online
    ones."""
    online = [row for row in rows if row.get("online") in (True, "yes", None)]
    sockets = sorted({str(row["socket"]) for row in online if row.get("socket") is not None})
    pairs = {(str(row.get("socket")), str(row.get("core"))) for row in online if row.get("core") is not None}
    notes.add("cpu.seen_sockets_filled", len(sockets) or None, where, f"{len(sockets)} sockets", "doubtful")
    if len(sockets) == 1 and pairs:
        whole_list = len(online) == len(rows) and not broken_off
        said = f"{len(pairs)} cores, {len(online)} threads listed"
        notes.add("cpu.cores", len(pairs), where, said, "sure" if whole_list else "doubtful")
        notes.add("cpu.threads", len(online), where, said, "sure" if whole_list else "doubtful")
    tops = [row.get("maxmhz") for row in rows if row.get("maxmhz") is not None]
    if tops:
        note_top_clock(notes, where, str(tops[0]))
