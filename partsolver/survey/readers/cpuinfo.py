"""/proc/cpuinfo of x86: one block a logical processor."""

from __future__ import annotations

import re

from partsolver.survey.facts import Facts, Notes
from partsolver.survey.readers.processor_text import note_processor
from partsolver.survey.readers.text import lines_of, whole

KIND = "cpuinfo"
_PAIR = re.compile(r"([a-z][a-z0-9_ ]{1,30}?)\s*:\s?(.*)$")


def reads(data: bytes) -> bool:
    """Whether it has blocks that begin with ``processor`` and name a vendor."""
    lines = lines_of(data)
    return any(re.match(r"processor\s*:\s*\d+", line) for line in lines) and any(
        line.startswith("vendor_id") for line in lines
    )


def read(data: bytes, where: str) -> Facts:
    """Facts of all blocks together. Never fails."""
    notes = Notes(KIND)
    blocks: list[dict[str, tuple[str, int]]] = []
    for number, line in enumerate(lines_of(data), 1):
        match = _PAIR.match(line)
        if match is None:
            continue
        if match[1] == "processor":
            if any(block["processor"][0] == match[2].strip() for block in blocks):
                break  # a second copy, perhaps of another PC
            blocks.append({})
        if blocks:
            blocks[-1].setdefault(match[1], (match[2].strip(), number))
    if not blocks:
        return notes.done()
    first = blocks[0]

    def get(key: str) -> str:
        return first.get(key, ("", 0))[0]

    at = f"{where}:{first.get('model name', ('', 1))[1]}"
    note_processor(
        notes,
        at,
        get("model name"),
        get("vendor_id"),
        whole(get("cpu family")),
        whole(get("model")),
        whole(get("stepping")),
        get("flags"),
        "model name",
    )
    _counts(blocks, where, notes)
    return notes.done()


def _counts(blocks: list[dict[str, tuple[str, int]]], where: str, notes: Notes) -> None:
    """Cores and threads, only when every thread of the one processor is listed."""
    sockets = {block["physical id"][0] for block in blocks if "physical id" in block}
    siblings, cores = (whole(blocks[0].get(key, ("", 0))[0]) for key in ("siblings", "cpu cores"))
    line = blocks[0].get("cpu cores", ("", 1))[1]
    if sockets:
        notes.add(
            "cpu.seen_sockets_filled",
            len(sockets),
            f"{where}:{line}",
            f"{len(sockets)} physical ids",
            "doubtful",
        )
    if cores and siblings and cores <= siblings:
        sure = len(blocks) == siblings * max(1, len(sockets))
        said = f"cpu cores {cores}, siblings {siblings}, {len(blocks)} blocks"
        notes.add("cpu.cores", cores, f"{where}:{line}", said, "sure" if sure else "doubtful")
        notes.add("cpu.threads", siblings, f"{where}:{line}", said, "sure" if sure else "doubtful")
