"""Facts of real machines: how many the import accepts, leaves open, and states against better knowledge.

    python -m benchmarks.survey_facts [DUMPS] [--each]

DUMPS is a folder of tool outputs (default ../shared/dumps, or dumps in the folder that PARTSOLVER_SHARED
names; without it nothing is counted). Every file is read on its own. *Accepted*: values of the survey.
*Open*: keys left as questions. *Contradicted*: accepted values that something outside the program says
otherwise: the table of processor signatures beside the dumps (reference/processor-signatures.tsv, looked up
here without the program's own reader), the file's own text (a firmware version that is not whole, a name that
is no model), or what firmware cannot know (four or more memory slots of which at most half hold a module;
check bits where it is canned). Two states of the project are compared with (a3689b8: before blank cells were
unknown):

    git worktree add /tmp/before a3689b8
    for tree in /tmp/before .; do PYTHONPATH=$tree python benchmarks/survey_facts.py ../shared/dumps; done
"""

from __future__ import annotations

import csv
import os
import re
import sys
from collections import Counter
from pathlib import Path
from typing import Any

try:
    from partsolver.base.errors import InputRefused
except ModuleNotFoundError:  # an older tree, to compare with
    from partsolver.errors import InputRefused  # type: ignore[import-not-found, no-redef]
from partsolver.survey.merge import merge
from partsolver.survey.readers import read_source

ROOT = Path(__file__).resolve().parents[1]
DUMPS = Path(os.environ.get("PARTSOLVER_SHARED") or ROOT.parent / "shared") / "dumps"


def reference(dumps: Path) -> list[dict[str, str]]:
    """Rows of the table beside the dumps."""
    path = dumps.parent / "reference" / "processor-signatures.tsv"
    if not path.exists():
        return []
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, delimiter="\t", quoting=csv.QUOTE_NONE))


def signature_of(text: str) -> tuple[str, int, int, int] | None:
    """(vendor, family, model, stepping) of the first populated processor, cut out of the text."""
    for block in re.split(r"\n\s*\n", text):
        raw = re.search(r"\tID: ((?:[0-9A-F]{2} ){7}[0-9A-F]{2})", block)
        if raw is None or "Central Processor" not in block or "Unpopulated" in block:
            continue
        data = bytes.fromhex(raw[1])
        eax = int.from_bytes(data[:4], "little")
        if eax in (0xBFEBFBFF, 0x178BFBFF):
            eax = int.from_bytes(data[4:], "little")
        if not eax or "QEMU" in block or "VMware" in text or "innotek" in text:
            return None
        vendor = "amd" if re.search(r"AMD|Advanced Micro", block) else "intel" if "Intel" in block else None
        family, model = eax >> 8 & 15, eax >> 4 & 15
        if family in (6, 15):
            model |= (eax >> 16 & 15) << 4
        if family == 15:
            family += eax >> 20 & 255
        return (vendor, family, model, eax & 15) if vendor else None
    block = re.search(r"^CPU family:\s*(\d+)", text, re.MULTILINE)
    model_line = re.search(r"^Model:\s*(\d+)", text, re.MULTILINE)
    step = re.search(r"^Stepping:\s*(\d+)", text, re.MULTILINE)
    if block and model_line and step and "Hypervisor vendor" not in text:
        vendor = "intel" if "GenuineIntel" in text else "amd" if "AuthenticAMD" in text else ""
        return vendor, int(block[1]), int(model_line[1]), int(step[1])
    return None


def row_of(rows: list[dict[str, str]], signature: tuple[str, int, int, int] | None) -> dict[str, str] | None:
    """The reference's row of a signature."""
    for row in rows if signature else ():
        assert signature is not None
        steps = [part.partition("-") for part in row["steppings"].split(",")]
        if (row["vendor"], int(row["family"]), int(row["model"])) == signature[:3] and any(
            int(low) <= signature[3] <= int(high or low) for low, _, high in steps
        ):
            return row
    return None


def contradictions(survey: dict[str, Any], text: str, row: dict[str, str] | None) -> list[str]:
    """Accepted values that something outside says otherwise."""
    found: list[str] = []
    board, cpu, memory = (survey.get(key) or {} for key in ("board", "cpu", "memory"))
    if row is not None:
        sockets = {"LGA3647-1" if s == "LGA3647" else s for s in row["sockets"].split("|")}
        # boards that take the package of an older one (common practice)
        wider = sockets | {f"{s}+" for s in sockets} | ({"AM3+"} if "AM3" in sockets else set())
        if cpu.get("socket") and cpu["socket"] not in sockets:
            found.append(f"cpu.socket {cpu['socket']}")
        if board.get("socket") and board["socket"] not in wider:
            found.append(f"board.socket {board['socket']}")
        drives = {m.partition(":")[0].replace("ddr3l", "ddr3") for m in row["memory_rates"].split()}
        generations = {m.get("generation") for m in memory} | {board.get("memory_generation")}
        found += [f"generation {g}" for g in sorted(generations - drives - {None})]
        if row["registered"] == "never" and any(m.get("registered") for m in memory):
            found.append("registered")
        if row["ecc"] == "none" and any(m.get("ecc") for m in memory):
            found.append("ecc")
    if any(m.get("ecc") for m in memory) and not re.search(
        r"Error Correction Type: (?:Multi|Single)-bit", text
    ):
        found.append("ecc without an array that corrects")
    slots, modules = board.get("memory_slots") or 0, sum(m["count"] for m in memory)
    if slots > 2 and modules * 2 <= slots:
        found.append(f"slots {slots} for {modules} modules")
    version = board.get("firmware_shipped")
    if version and re.search(rf'(?:"version"\s*:\s*"|\tVersion: ){re.escape(version)} +[A-Za-z0-9]', text):
        found.append(f"firmware {version} is cut")
    if cpu.get("name") and not re.search(r"\d", cpu["name"]):
        found.append(f"name {cpu['name']}")
    return found


def text_of(data: bytes) -> str:
    """Text of a file for the checks."""
    return data.decode("utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8", "replace")


def main(arguments: list[str]) -> int:
    """Count and print."""
    each = "--each" in arguments
    given = [Path(a) for a in arguments if not a.startswith("--")]
    dumps = given[0] if given else DUMPS
    if not dumps.exists():
        print("no folder of dumps: nothing to count")
        return 0
    rows = reference(dumps)
    sums: Counter[str] = Counter()
    kinds: dict[str, Counter[str]] = {}
    for path in sorted(p for p in dumps.glob("*/*") if p.is_file() and p.parent.name != "offers"):
        data = path.read_bytes()
        try:
            merged = merge(read_source(data, path.name))
        except InputRefused:
            sums["refused"] += 1
            continue
        listed = [r for v in merged.survey.values() for r in (v if isinstance(v, list) else [v])]
        against = contradictions(merged.survey, text_of(data), row_of(rows, signature_of(text_of(data))))
        count = Counter(
            accepted=sum(len(r) for r in listed), open=len(merged.questions), contradicted=len(against)
        )
        sums.update({"files": 1, **count})
        kinds.setdefault(path.parent.name, Counter()).update({"files": 1, **count})
        if each:
            print(f"{path.name}: {dict(count)} {'; '.join(against)}")
    for kind, count in sorted(kinds.items()):
        print(f"{kind:<10} " + "  ".join(f"{key} {count[key]}" for key in ("files", *_KEYS)))
    print(f"{'all':<10} " + "  ".join(f"{key} {sums[key]}" for key in ("files", "refused", *_KEYS)))
    return 0


_KEYS = ("accepted", "open", "contradicted")

if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
