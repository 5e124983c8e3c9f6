"""Drives by the name their system gives them; one row each, named by model."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from partsolver.survey.draft import Draft, quoted, settle, unique
from partsolver.survey.facts import (
    BEHIND,
    MEASURED_DRIVE,
    MEASURED_KEYS,
    MEASURED_NAME,
    OUTSIDE,
    PERHAPS_SET,
    Fact,
)

_DRIVE = re.compile(r"drive\[([a-z0-9]+)\]\.([a-z0-9_]+)")
# Names of sets of drives that a controller shows as one (from memory; a blank may be a line or a hyphen).
_SET_NAME = re.compile(
    r"raid|(?<![a-z])(?:logical (?:volume|drive|disk)|volume ?\d*|virtual (?:disk|drive)|vd ?\d*"
    r"|vol ?#\d*|array|stripe|mirror|jbod)(?![a-z])",
    re.IGNORECASE,
)
# What the system says of a set holds for the set; kind, size and lead are those of its drives.
_OF_SETS = frozenset({"system", "partition_table", "start_mode", "storage_mode", "encrypted"})
_ONE_EACH = (
    "a set of several drives that their controller shows as one: enter each of them, all with its level"
)


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
    sets = _sets(drives)
    rows: list[dict[str, Any]] = []
    for name in names:
        if not sets.get(name):  # the drives of the others are listed themselves
            rows.append(_row(name, drives, sets, rows, draft))
    for fact in facts:
        if fact.path == "drive.seen_pool":
            draft.ask("drive", [quoted(fact)])
    _system(rows, facts, draft)
    _measured(rows, measured, draft)
    if rows:
        draft.survey["drive"] = rows


_Drives = dict[str, dict[str, list[Fact]]]


def _sets(drives: _Drives) -> dict[str, list[str]]:
    """The system's names of sets of drives, each with the names of its drives where a tool lists them."""
    found: dict[str, list[str]] = {}
    for name, said in drives.items():
        for fact in said.get(BEHIND, []):
            found.setdefault(fact.value, []).append(name)
        models = [re.sub(r"[_-]", " ", fact.value) for fact in said.get("seen_model", [])]
        if BEHIND not in said and any(_SET_NAME.search(model) for model in models):
            found.setdefault(name, [])
    # disks that a tool reaches past the set's name ("/dev/bus/0") are those of the sets without any
    loose = [name for controller, listed in found.items() if controller not in drives for name in listed]
    return {name: found[name] or loose for name in found if name in drives}


def _row(
    name: str, drives: _Drives, sets: dict[str, list[str]], before: Sequence[dict[str, Any]], draft: Draft
) -> dict[str, Any]:
    """The entry of one name of the system."""
    found, at = drives[name], f"drive[{len(before)}]"
    models = sorted((f.value for f in found.get("seen_model", [])), key=lambda model: (-len(model), model))
    called = (models[0] if models else name) + (" (a set of drives)" if name in sets else "")
    row: dict[str, Any] = {"name": unique(called, [other["name"] for other in before])}
    draft.origin[f"{at}.name"] = next(iter(found.values()))[0].where
    _ask_set(at, name, drives, sets, draft)
    for key, said in found.items():
        path = f"{at}.{key}"
        if key.startswith("seen_"):
            continue
        if key not in _OF_SETS and (name in sets or PERHAPS_SET in found):
            draft.ask(path, [quoted(fact) for fact in said])
            continue
        stands = settle(path, said, draft)
        if stands is not None:
            row[key] = stands.value
            draft.origin[path] = stands.where
    for link in found.get("seen_link_gbps10", []):
        if link.value < row.get("sata_gbps10", 0):
            said_so = (
                f"{row['name']} could do {row['sata_gbps10'] / 10} Gb/s, but {quoted(link)}: its port or"
                " lead is slower"
            )
            draft.ask("board.sata_6g_ports", [said_so])
            draft.ask("board.sata_3g_ports", [said_so])
    return row


def _ask_set(at: str, name: str, drives: _Drives, sets: dict[str, list[str]], draft: Draft) -> None:
    """A drive that is a set, perhaps is one, or belongs to one: its level is asked, and whether the system lies
    on it where it lies on the set."""
    found = drives[name]
    if name in sets:
        seen = [quoted(fact) for fact in found.get("seen_model", [])]
        draft.ask(f"{at}.raid", [_ONE_EACH, *seen])
        draft.remark(f"{seen[0] if seen else name}: {_ONE_EACH}")
    for fact in (*found.get(PERHAPS_SET, []), *found.get(BEHIND, [])):
        draft.ask(f"{at}.raid", [quoted(fact)])
    for whole in (whole for whole, listed in sets.items() if name in listed):
        for system in drives[whole].get("system", []):
            draft.ask(f"{at}.system", [f"of the set {whole}: {quoted(system)}"])


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
