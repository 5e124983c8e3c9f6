"""Modules of the best source, judged one by one and grouped, where all sources agree on their sizes."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from partsolver.standards.cpu_signatures import Made
from partsolver.survey import crosscheck
from partsolver.survey.draft import Draft, origin
from partsolver.survey.facts import RANK, Clash, Fact, Facts
from partsolver.survey.processor import Judged, made_of

_MODULE = re.compile(r"memory\[(\d+)\]\.([a-z0-9_]+)")
_KEYS = ("generation", "module", "capacity_mib", "rate_mts", "registered", "ecc")
Module = dict[str, Fact]
_Member = tuple[dict[str, Any], Module, dict[str, Judged]]
MOST = 16


def memory_rows(sources: Sequence[Facts], facts: Sequence[Fact], draft: Draft) -> list[dict[str, Any]]:
    """Put ``[[memory]]`` into the draft and return its rows; those of the first source where the sources
    list different ones, and the list stays open."""
    listed = [(source, found) for source in sources if (found := _modules(source))]
    if not listed:
        return []
    made = made_of(facts)
    best, modules = listed[0]
    groups = _grouped(modules, made)
    others = [item for item in listed[1:] if _sizes(item[1]) != _sizes(modules)]
    if others:
        _leave_open([listed[0], *others], made, draft)
        return [group[0][0] for group in groups]
    for fact in best.facts:
        if fact.path == "memory.seen_missing":
            draft.ask("memory", [f"{fact.evidence} ({fact.where})"])
    rows = []
    for index, members in enumerate(groups):
        row, module, first = members[0]
        rows.append(row)
        for key in row:
            at = _origin(module, key)
            draft.origin[f"memory[{index}].{key}"] = origin(first[key], at) if key in first else at
        for _, member, judged in members:
            _ask_open(index, member, judged, draft)
    draft.survey["memory"] = rows
    _board(rows, modules, draft)
    return rows


def _grouped(modules: Sequence[Module], made: Made | None) -> list[list[_Member]]:
    """Modules alike, in groups of at most so many as a row of a survey holds; the first row counts them."""
    groups: dict[tuple[Any, ...], list[_Member]] = {}
    for module in modules:
        judged = _judge(module, made)
        row = {key: said.value for key, said in judged.items() if said.value is not None}
        groups.setdefault(tuple(row.get(key) for key in _KEYS), []).append((row, module, judged))
    parts = [group[at : at + MOST] for group in groups.values() for at in range(0, len(group), MOST)]
    for members in parts:
        members[0][0]["count"] = len(members)
    return parts


def _leave_open(listed: Sequence[tuple[Facts, list[Module]]], made: Made | None, draft: Draft) -> None:
    """Sources that list different modules: none of the lists stands (a plan would count on modules that may
    not be there, or buy what is), both are asked with all they say. What every module of them is alike in
    holds for the board's slots."""
    rows = []
    for source, modules in listed:
        own = [group[0][0] for group in _grouped(modules, made)]
        rows += own
        told = ", ".join(_told(row) for row in own) or "no module"
        draft.ask("memory", [f"{source.kind} lists {told} ({_place(modules)})"])
    first, *others = [
        ("+".join(str(size) for size in _sizes(modules)) or "none", _place(modules)) for _, modules in listed
    ]
    draft.clashes += [Clash("memory", (first, other)) for other in others]
    _board(rows, [module for _, modules in listed for module in modules], draft)


def _told(row: dict[str, Any]) -> str:
    """One row of modules in words: "2 x 4096 MiB ddr3 dimm 1333 MT/s"."""
    size, rate = row.get("capacity_mib"), row.get("rate_mts")
    words = [f"{size} MiB" if size else "unknown size", row.get("generation"), row.get("module")]
    return " ".join([f"{row['count']} x", *filter(None, words), *([f"{rate} MT/s"] if rate else [])])


def _ask_open(index: int, member: Module, judged: dict[str, Judged], draft: Draft) -> None:
    """What a module's witnesses leave open is asked, with what was seen; what they settle overrules a
    doubt."""
    for key, said in judged.items():
        path, seen = f"memory[{index}].{key}", _witness(member, key)
        if said.value is not None:
            draft.overrule(path, said, _origin(member, key))
        elif said.why or seen:
            lines = [f"{fact.evidence} ({fact.where})" for fact in seen]
            draft.ask(path, [*([said.why] if said.why else []), *lines], said.suggested)


def _modules(source: Facts) -> list[Module]:
    by_index: dict[int, Module] = {}
    for fact in source.facts:
        match = _MODULE.fullmatch(fact.path)
        if match:
            by_index.setdefault(int(match[1]), {}).setdefault(match[2], fact)
    return [by_index[index] for index in sorted(by_index)]


def _sizes(modules: Sequence[Module]) -> list[int]:
    return sorted(module["capacity_mib"].value for module in modules if "capacity_mib" in module)


def _place(modules: Sequence[Module]) -> str:
    return next((fact.where for module in modules for fact in module.values()), "")


def _value(module: Module, key: str) -> Any:
    return module[key].value if key in module else None


def _judge(module: Module, made: Made | None) -> dict[str, Judged]:
    """Each key of one module: a value that stands, or why it does not."""
    speed, running = _value(module, "seen_speed_mts"), _value(module, "seen_running_mts")
    generation = crosscheck.memory_generation(
        _value(module, "seen_type") or "", speed, _value(module, "seen_mv"), made, running
    )
    registered = crosscheck.registered_modules(_value(module, "registered"), made)
    corrects = "ecc" in module and RANK[module["ecc"].certainty] > 0
    return {
        "generation": generation,
        "module": crosscheck.module_kind(_value(module, "seen_form")),
        "capacity_mib": _capacity(module.get("capacity_mib")),
        "rate_mts": crosscheck.memory_rate(generation.value, speed, running),
        "registered": registered,
        "ecc": crosscheck.error_correction(_value(module, "ecc"), corrects, registered.value, made),
    }


def _capacity(said: Fact | None) -> Judged:
    if said is None:
        return Judged(None, None, "size not given")
    if RANK[said.certainty]:
        return Judged(said.value)
    return Judged(None, said.value, "not a usual size of a module")


_WITNESSES = {
    "generation": ("seen_type", "seen_speed_mts", "seen_mv"),
    "module": ("seen_form",),
    "rate_mts": ("seen_speed_mts", "seen_running_mts"),
}


def _witness(module: Module, key: str) -> list[Fact]:
    return [module[name] for name in (*_WITNESSES.get(key, ()), key) if name in module]


def _origin(module: Module, key: str) -> str:
    found = _witness(module, key)
    return found[0].where if found else next(iter(module.values())).where


def _board(rows: Sequence[dict[str, Any]], modules: Sequence[Module], draft: Draft) -> None:
    """What the modules say of the board: its slots take their generation and kind."""
    for key, target in (("generation", "memory_generation"), ("module", "memory_module")):
        values = [row.get(key) for row in rows]
        path = f"board.{target}"
        if path in draft.origin:
            continue
        if values and values[0] is not None and all(value == values[0] for value in values):
            draft.put(path, values[0], _origin(modules[0], key))
        elif f"memory[0].{key}" in draft.questions:
            question = draft.questions[f"memory[0].{key}"]
            draft.ask(path, ["as the modules", *question.evidence[:1]], question.suggested)


def judge_slots(modules: int, draft: Draft) -> None:
    """Number of slots: not fewer than modules, and not more than firmware can know."""
    listed, path = draft.survey["board"].get("memory_slots"), "board.memory_slots"
    if listed is None:
        return
    at = draft.origin[path]
    judged = crosscheck.memory_slots(listed, modules)
    if listed < modules:
        judged = Judged(None, None, f"{modules} modules are listed, but {listed} slots")
    elif "memory" in draft.questions:
        # a slot that looks free may be used
        judged = Judged(None, listed, "perhaps not all modules are listed: count both")
    if judged.value is None:
        draft.ask(path, [f"{judged.why} ({at})"], judged.suggested)
        del draft.survey["board"]["memory_slots"], draft.origin[path]
