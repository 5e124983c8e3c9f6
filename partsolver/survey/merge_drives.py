"""Drives by the name their system gives them; one row each, named by model."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from partsolver.survey.draft import Draft, quoted, settle, unique
from partsolver.survey.facts import MEASURED_DRIVE, MEASURED_KEYS, MEASURED_NAME, OUTSIDE, Fact

_DRIVE = re.compile(r"drive\[([a-z0-9]+)\]\.([a-z0-9_]+)")


def drive_rows(facts: Sequence[Fact], draft: Draft) -> None:
    """Put ``[[drive]]`` into the draft."""
    drives: dict[str, dict[str, list[Fact]]] = {}
    for fact in facts:
        match = _DRIVE.fullmatch(fact.path)
        if match:
            drives.setdefault(match[1], {}).setdefault(match[2], []).append(fact)
    measured = drives.pop(MEASURED_DRIVE, {})
    drives = {name: found for name, found in drives.items() if OUTSIDE not in found}
    names = sorted(drives, key=lambda name: [int(p) if p.isdigit() else p for p in re.split(r"(\d+)", name)])
    if any(name.startswith("disk") for name in names) and not all(name.startswith("disk") for name in names):
        draft.remark("Drives are listed by two systems; those named by Linux were taken")
        names = [name for name in names if not name.startswith("disk")]
    rows: list[dict[str, Any]] = []
    for name in names:
        index, found = len(rows), drives[name]
        models = sorted(
            (f.value for f in found.get("seen_model", [])), key=lambda model: (-len(model), model)
        )
        row: dict[str, Any] = {
            "name": unique(models[0] if models else name, [other["name"] for other in rows])
        }
        draft.origin[f"drive[{index}].name"] = next(iter(found.values()))[0].where
        for key, said in found.items():
            if key.startswith("seen_"):
                continue
            stands = settle(f"drive[{index}].{key}", said, draft)
            if stands is not None:
                row[key] = stands.value
                draft.origin[f"drive[{index}].{key}"] = stands.where
        rows.append(row)
        for link in found.get("seen_link_gbps10", []):
            if link.value < row.get("sata_gbps10", 0):
                said_so = (
                    f"{row['name']} could do {row['sata_gbps10'] / 10} Gb/s, but {quoted(link)}: its port or"
                    " lead is slower"
                )
                draft.ask("board.sata_6g_ports", [said_so])
                draft.ask("board.sata_3g_ports", [said_so])
    _system(rows, facts, draft)
    _measured(rows, measured, draft)
    if rows:
        draft.survey["drive"] = rows


def _measured(rows: list[dict[str, Any]], found: dict[str, list[Fact]], draft: Draft) -> None:
    """What was measured belongs to the system drive; without one that is named it is a row of its own."""
    if not found:
        return
    index = next((i for i, row in enumerate(rows) if row.get("system")), len(rows))
    if index == len(rows):
        rows.append({"name": MEASURED_NAME, "system": True})
        where = next(iter(found.values()))[0].where
        draft.origin[f"drive[{index}].name"] = draft.origin[f"drive[{index}].system"] = where
    for key, said in found.items():
        if key in rows[index] and key not in MEASURED_KEYS:
            continue
        stands = settle(f"drive[{index}].{key}", said, draft)
        if stands is not None:
            rows[index][key] = stands.value
            draft.origin[f"drive[{index}].{key}"] = stands.where


def _system(rows: list[dict[str, Any]], facts: Sequence[Fact], draft: Draft) -> None:
    """At most one system drive; it takes the start mode that the running system shows."""
    system = [index for index, row in enumerate(rows) if row.get("system")]
    if len(system) > 1:
        for index in system:
            del rows[index]["system"]
            draft.ask(
                f"drive[{index}].system",
                [f"several drives hold a system ({draft.origin.pop(f'drive[{index}].system')})"],
            )
        return
    modes = [fact for fact in facts if fact.path == "os.seen_start_mode"]
    if len(system) == 1 and modes:
        path, row = f"drive[{system[0]}].start_mode", rows[system[0]]
        wanted = sorted({str(fact.value) for fact in modes} | {row.get("start_mode", modes[0].value)})
        if len(wanted) == 1:
            row["start_mode"] = wanted[0]
            draft.origin.setdefault(path, modes[0].where)
        else:
            row.pop("start_mode", None)
            draft.ask(path, [f"{fact.evidence} ({fact.where})" for fact in modes])
