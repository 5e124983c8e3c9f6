"""Facts of several sources made into one survey: what they agree on stands, the rest becomes open
questions."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any

from partsolver.survey import crosscheck, processor
from partsolver.survey.draft import Draft, plain_name, quoted, settle, unique
from partsolver.survey.facts import RANK, Fact, Facts, Merged, without_private
from partsolver.survey.merge_drives import drive_rows
from partsolver.survey.merge_memory import judge_slots, memory_rows

# Which source is quoted first where several say the same.
KINDS = (
    "measurement",
    "smbios",
    "dmidecode",
    "lscpu",
    "cpuinfo",
    "sysfs",
    "smartctl",
    "lsblk",
    "wmi",
    "lshw",
    "hwinfo",
    "edid",
)
_SCALAR = re.compile(r"(pc|case|psu|board|cpu|os)\.([a-z0-9_]+)")


def merge(sources: Sequence[Facts]) -> Merged:
    """One survey from all sources of one PC. The order of the sources does not matter."""
    ordered = sorted(
        processor.with_cores_of_modules(without_private(sources)),
        key=lambda s: (KINDS.index(s.kind) if s.kind in KINDS else 99, _places(s)),
    )
    draft = Draft()
    for source in ordered:
        for remark in source.remarks:
            draft.remark(remark)
    facts = [fact for source in ordered for fact in source.facts]
    if any(fact.path == "pc.seen_virtual" or _emulated(fact) for fact in facts):
        draft.remark("This is a virtual machine: its parts are not those of a PC, and none was taken over")
        return draft.done()
    _scalars(facts, draft)
    rows = memory_rows(ordered, facts, draft)
    judge_slots(sum(row["count"] for row in rows), draft)
    drive_rows(facts, draft)
    _displays(ordered, draft)
    _processor(facts, draft)
    _witnesses(facts, rows, draft)
    return draft.done()


# Names that emulated systems, boards and drives begin with (reference/survey-formats.md, section 1.10; those of
# drives from memory and from the public dumps beside the project).
_EMULATED = re.compile(r"(?:qemu|bochs|vmware|innotek|virtualbox|vbox)\b", re.IGNORECASE)


def _emulated(fact: Fact) -> bool:
    named = fact.path in ("pc.maker_model", "board.maker") or fact.key == "seen_model"
    return named and _EMULATED.match(str(fact.value)) is not None


def _places(source: Facts) -> str:
    return min((fact.where for fact in source.facts), default="")


def _scalars(facts: Sequence[Fact], draft: Draft) -> None:
    paths = dict.fromkeys(
        f.path for f in facts if _SCALAR.fullmatch(f.path) and not f.key.startswith("seen_")
    )
    for path in paths:
        fact = settle(path, [f for f in facts if f.path == path], draft)
        if fact is not None:
            draft.put(path, fact.value, fact.where)
    board, system = draft.survey["board"].get("name"), draft.survey["pc"].get("maker_model")
    if board and system and plain_name(system).endswith(plain_name(board)):
        # makers of loose boards write the board's name there
        del draft.survey["pc"]["maker_model"]
        del draft.origin["pc.maker_model"]


_OF_PROCESSOR = ("cpu.seen_upgrade", "cpu.seen_designation", "cpu.seen_signature")


def _processor(facts: Sequence[Fact], draft: Draft) -> None:
    """Sockets, and what else the processor's number decides where no source said it."""
    seen = [fact for fact in facts if fact.path in _OF_PROCESSOR]
    if not seen:
        return
    evidence = [quoted(fact) for fact in seen]
    ids = [fact for fact in seen if fact.path == "cpu.seen_signature"]
    where = (ids or seen)[0].where
    witnesses = [*seen, *(fact for fact in facts if fact.path == "case.seen_chassis")]
    cpu = processor.cpu_socket(witnesses)
    draft.judge("cpu.socket", cpu, where, evidence)
    generation = draft.survey["board"].get("memory_generation")
    draft.judge("board.socket", processor.board_socket(cpu, witnesses, generation), where, evidence)
    made = processor.made_of(facts)
    for path, judged in processor.from_signature(made).items() if made is not None else ():
        table, _, key = path.partition(".")
        if key not in draft.survey[table] and (judged.value, judged.suggested) != (None, None):
            if judged.value is not None:
                draft.questions.pop(path, None)  # another source was not sure of it
            draft.judge(path, judged, where)


def _witnesses(facts: Sequence[Fact], rows: Sequence[dict[str, Any]], draft: Draft) -> None:
    """Witnesses that never become a value: each leaves its key open, with what was seen."""
    installed = sum(row.get("capacity_mib", 0) * row.get("count", 1) for row in rows)
    year = next((f.value for f in facts if f.path == "board.seen_firmware_year"), None)
    for fact in facts:
        if fact.path in _ASKED:
            keys, *more = _ASKED[fact.path]
            for key in keys.split():
                draft.ask(key, [quoted(fact), *more])
        elif fact.path == "board.seen_memory_max_mib":
            board = draft.survey["board"]
            judged = crosscheck.memory_maximum(
                fact.value, installed, board.get("memory_slots"), board.get("memory_generation")
            )
            draft.ask("board.memory_max_mib", [quoted(fact), judged.why], judged.suggested)
        elif fact.path in ("board.seen_uefi", "os.seen_start_mode"):
            draft.ask("board.firmware_modes", [quoted(fact)], _modes(fact, year))
        elif fact.path in _WITNESSED:
            _WITNESSED[fact.path](fact, draft)


# What is asked with what was seen, and with a word more where it deceives.
_ASKED: dict[str, tuple[str, ...]] = {
    "cpu.seen_max_mhz": ("cpu.boost_mhz",),
    "board.seen_slots": ("board.slots", "such lists are often incomplete; look at the board"),
    "board.seen_sata_ports": ("board.sata_6g_ports board.sata_3g_ports",),
    "card.seen_graphics": ("card",),
}


def _rated(fact: Fact, draft: Draft) -> None:
    draft.ask("psu.rated_w", [quoted(fact), crosscheck.supply(fact.value).why])


def _chassis(fact: Fact, draft: Draft) -> None:
    evidence, remark = crosscheck.chassis(fact.value)
    draft.ask("case.form_factor", [f"{evidence} ({fact.where})"])
    if remark:
        draft.remark(remark)


def _brand_cores(fact: Fact, draft: Draft) -> None:
    """The name tells where no source counts them, or confirms a doubtful count; it never overrules one."""
    if "cores" in draft.survey["cpu"]:
        return
    if (asked := draft.questions.get("cpu.cores")) is None or asked.suggested == fact.value:
        draft.questions.pop("cpu.cores", None)
        draft.put("cpu.cores", fact.value, fact.where)


def _firmware_version(fact: Fact, draft: Draft) -> None:
    if "firmware_shipped" not in draft.survey["board"]:
        draft.ask("board.firmware_shipped", [quoted(fact)])


def _sockets_filled(fact: Fact, draft: Draft) -> None:
    if fact.value > 1:
        draft.remark(f"{fact.value} processors are installed ({fact.where}); a survey describes one")


def _firmware_year(fact: Fact, draft: Draft) -> None:
    draft.ask("board.year", [f"{quoted(fact)}: the board is not younger"])


_WITNESSED: dict[str, Callable[[Fact, Draft], None]] = {
    "psu.seen_rated_w": _rated,
    "case.seen_chassis": _chassis,
    "cpu.seen_brand_cores": _brand_cores,
    "board.seen_firmware_version": _firmware_version,
    "cpu.seen_sockets_filled": _sockets_filled,
    "board.seen_firmware_year": _firmware_year,
}


def _modes(fact: Fact, year: int | None) -> list[str] | None:
    if fact.value in (True, "uefi"):
        return ["uefi", "legacy"]
    # no desktop firmware up to 2010 announced UEFI in 3,797 dumps ([D-dmi])
    return ["legacy"] if fact.value is False and year is not None and year <= 2010 else None


def _monitors(source: Facts) -> list[str]:
    return [str(fact.value) for fact in source.facts if fact.path == "display[0].name"]


def _displays(sources: Sequence[Facts], draft: Draft) -> None:
    rows: list[dict[str, Any]] = []
    named = {
        plain_name(name) for source in sources if source.kind == "edid" for name in _monitors(source)
    } - {""}
    for source in sources:
        own = [fact for fact in source.facts if fact.path.startswith("display[")]
        # a tool that lists monitors, maker before name, read the same data as the monitor's own file
        again = source.kind != "edid" and any(
            plain_name(name).endswith(tuple(named)) for name in _monitors(source)
        )
        if not own or again:
            continue
        index, row = len(rows), {}
        for fact in own:
            path = f"display[{index}].{fact.key}"
            if RANK[fact.certainty]:
                row[fact.key] = fact.value
                draft.origin[path] = fact.where
            else:
                draft.ask(path, [quoted(fact)], fact.value)
        row["name"] = unique(str(row.get("name", "monitor")), [str(other["name"]) for other in rows])
        rows.append(row)
    if rows:
        draft.survey["display"] = rows
