"""Modules of the best source, judged one by one and grouped; other sources must agree on their sizes."""

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
MOST = 16


def memory_rows(sources: Sequence[Facts], facts: Sequence[Fact], draft: Draft) -> list[dict[str, Any]]:
    """Put ``[[memory]]`` into the draft and return its rows."""
    listed = [(source, found) for source in sources if (found := _modules(source))]
    if not listed:
        return []
    best, modules = listed[0]
    for other, found in listed[1:]:
        if _sizes(found) != _sizes(modules):
            places = _place(modules), _place(found)
            sizes = ["+".join(str(size) for size in _sizes(item)) or "none" for item in (modules, found)]
            draft.clashes.append(Clash("memory", tuple(zip(sizes, places, strict=True))))
            draft.ask(
                "memory",
                [
                    f"{best.kind} lists modules of {sizes[0]} MiB ({places[0]})",
                    f"{other.kind} lists {sizes[1]} MiB ({places[1]})",
                ],
            )
    for fact in best.facts:
        if fact.path == "memory.seen_missing":
            draft.ask("memory", [f"{fact.evidence} ({fact.where})"])
    made = made_of(facts)
    groups: dict[tuple[Any, ...], list[tuple[dict[str, Any], Module, dict[str, Judged]]]] = {}
    for module in modules:
        judged = _judge(module, made)
        row = {key: said.value for key, said in judged.items() if said.value is not None}
        groups.setdefault(tuple(row.get(key) for key in _KEYS), []).append((row, module, judged))
    rows = []
    # one row of a survey holds at most 16 modules
    parts = [group[at : at + MOST] for group in groups.values() for at in range(0, len(group), MOST)]
    for index, members in enumerate(parts):
        row, module, first = members[0]
        row["count"] = len(members)
        rows.append(row)
        for key in row:
            at = _origin(module, key)
            draft.origin[f"memory[{index}].{key}"] = origin(first[key], at) if key in first else at
        for _, member, judged in members:
            _ask_open(index, member, judged, draft)
    draft.survey["memory"] = rows
    _board(rows, modules, draft)
    return rows


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
