"""lsblk's plain table as rows, each with its line.

Columns stand under their heads: text begins below the first letter, numbers end below the last one, and one
blank separates them over all lines. Where text with blanks meets a number, the last such blank before it
separates.
"""

from __future__ import annotations

import itertools
import re
from typing import Any

from partsolver.survey.readers.text import lines_of

# Columns of numbers, which are set to the right (util-linux, lsblk.c: SCOLS_FL_RIGHT).
_RIGHT = frozenset(
    [
        "MAJ:MIN",
        "RM",
        "RO",
        "RA",
        "SIZE",
        "FSSIZE",
        "FSAVAIL",
        "FSUSED",
        "FSUSE%",
        "ALIGNMENT",
        "MIN-IO",
        "OPT-IO",
        "PHY-SEC",
        "LOG-SEC",
        "ROTA",
        "RAND",
        "RQ-SIZE",
        "DISC-ALN",
        "DISC-GRAN",
        "DISC-MAX",
        "DISC-ZERO",
        "WSAME",
        "HOTPLUG",
        "DAX",
        "START",
    ]
)
_KIND = re.compile(r"\s(disk|part|rom|loop|crypt|lvm|raid\d+|mpath|md|dm|linear|zram)(\s|$)")
_TREE = re.compile(r"^[\s│├└─|`-]*")


def table_of(data: bytes) -> list[tuple[dict[str, Any], int]]:
    """(row by lower-case column name, line number) of the first table; empty where there is none.
    ``depth`` is how far a row's name is indented, ``mountpoints`` every place where it is mounted."""
    lines = lines_of(data)
    for at, line in enumerate(lines):
        heads = line.split()
        if heads[:1] == ["NAME"] and {"SIZE", "TYPE"} <= set(heads) and len(set(heads)) == len(heads):
            body: list[str] = []
            for text in lines[at + 1 :]:
                further = _TREE.sub("", text).startswith(("/", "[")) and len(text) > line.index("TYPE")
                if not _KIND.search(text) and not further:
                    break  # another tool's output may follow
                body.append(text)
            return _rows(line, body, at + 2)
    return []


def _rows(head: str, body: list[str], first: int) -> list[tuple[dict[str, Any], int]]:
    heads = [(match[0], match.start(), match.end()) for match in re.finditer(r"\S+", head)]
    width = max(map(len, (head, *body)))
    padded = [line.ljust(width) for line in (head, *body)]
    blank = [all(line[at] == " " for line in padded[1:]) for at in range(width)]
    cuts = [0]
    for (name, _, end), (following, start, _) in itertools.pairwise(heads):
        cut = _cut(name in _RIGHT, following in _RIGHT, end, start, blank)
        if cut is None:
            return []
        cuts.append(cut)
    found: list[tuple[dict[str, Any], int]] = []
    for number, line in enumerate(padded[1:]):
        cells = [line[a:b].strip() for a, b in zip(cuts, [*cuts[1:], width], strict=True)]
        row: dict[str, Any] = {
            name.lower(): cell for (name, _, _), cell in zip(heads, cells, strict=True) if cell
        }
        tree = _TREE.match(line[: cuts[1] if len(cuts) > 1 else width])
        row["name"] = _TREE.sub("", str(row.get("name", "")))
        if not row["name"]:
            _more_mounts(row, found)
            continue
        depth = len(tree[0]) if tree else 0
        row["depth"] = depth
        row["mountpoints"] = [
            row[key] for key in ("mountpoint", "mountpoints") if isinstance(row.get(key), str)
        ]
        found.append((row, first + number))
    return found


def _cut(left_is_number: bool, right_is_number: bool, end: int, start: int, blank: list[bool]) -> int | None:
    """Where a column ends and the next begins; None where no blank separates them over all lines."""
    if left_is_number:
        return end
    if not right_is_number:
        return start
    gaps = [at for at in range(end, start) if blank[at]]
    return gaps[-1] + 1 if gaps else None


def _more_mounts(row: dict[str, Any], found: list[tuple[dict[str, Any], int]]) -> None:
    """A line with nothing but a further place where the drive above is mounted."""
    if found and isinstance(row.get("mountpoints"), str):
        found[-1][0]["mountpoints"].append(row["mountpoints"])
