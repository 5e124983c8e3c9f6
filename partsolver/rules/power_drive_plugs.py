"""Every drive that stays gets a power plug.

SATA drives take SATA plugs, older disks and optical drives peripheral plugs. Splitters and leads between the
two kinds cure a lack; peripheral plugs that a processor adapter takes are not counted twice, and a splitter
only serves drives whose start-up it carries. One kind of adapter cures a lack; mixtures are not tried. Not
checked: floppy plugs, and moulded leads from peripheral to SATA plugs, which are known for shorts (use
crimped ones; common practice).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.plugs import (
    Options,
    all_kept,
    drive_plugs,
    question,
    reserved_for_cpu,
    sata_power_options,
    sata_starts,
    spare_peripherals,
)
from partsolver.base.quantities import ceil_div
from partsolver.catalog.records import Psu
from partsolver.plan.draft import Draft, Need
from partsolver.plan.findings import Finding, at_least, fits, unknown
from partsolver.problem.candidates import DriveChoice, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.drive_plugs"
STATEMENT = (
    "Every drive gets a power plug of its kind, directly, through a splitter or through an adapter lead."
)
SOURCE = "SATA plug: three contacts of 1.5 A per rail (standards/plugs); common practice"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "psu", "drive")
READS: Reads = {
    "board": ("cpu_plugs",),
    "psu": ("cpu_plugs", "peripheral_plugs", "sata_plugs"),
    "drive": ("kept", "part.interface", "part.kind", "part.pcie_gen"),
}
SURVEY: tuple[str, ...] = ("drives",)


def _cure(
    problem: Problem, headers: tuple[str, ...] | None, psu: Psu, choice: DriveChoice
) -> tuple[tuple[str, int, Options], ...]:
    """(kind of plug that lacks, how many, what cures it)."""
    sata, peripheral = drive_plugs(choice, problem)
    lacking_sata = 0 if psu.sata_plugs is None else max(0, sata - psu.sata_plugs)
    spare = spare_peripherals(psu, peripheral)
    lacking_peripheral = 0 if spare is None else max(0, -spare)
    result: list[tuple[str, int, Options]] = []
    if lacking_sata:
        left = None if spare is None else spare - reserved_for_cpu(problem, headers, psu, spare)
        result.append(
            ("sata", lacking_sata, sata_power_options(problem, psu, sata_starts(choice, problem), left))
        )
    if lacking_peripheral:
        free = None if psu.sata_plugs is None else psu.sata_plugs - sata
        leads = [
            (e.id, ceil_div(lacking_peripheral, e.count)) for e in problem.extras_of("peripheral-from-sata")
        ]
        result.append(
            ("peripheral", lacking_peripheral, tuple((i, n) for i, n in leads if free is None or n <= free))
        )
    return tuple(result)


def needs(parts: Parts, problem: Problem) -> tuple[Need, ...]:
    if all_kept(parts, SLOTS):
        return ()
    kinds = {"sata": "sata-power-splitter", "peripheral": "peripheral-from-sata"}
    return tuple(
        Need(ID, plug, kinds[plug], options, (("missing", lacking), ("plug", plug)))
        for plug, lacking, options in _cure(problem, parts.board.cpu_plugs, parts.psu, parts.drive)
    )


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    psu = parts.psu
    ids = (psu.id,)
    wanted = dict(zip(("sata", "peripheral"), drive_plugs(parts.drive, problem), strict=True))
    given = {"sata": psu.sata_plugs, "peripheral": psu.peripheral_plugs}
    findings = []
    for plug, number in wanted.items():
        have = given[plug]
        if number == 0:
            continue
        if all_kept(parts, SLOTS):
            findings.append(fits(ID, ids, number, plug=plug, today="yes"))
        elif have is None:
            findings.append(unknown(ID, question(parts.candidate("psu"), f"{plug}_plugs"), ids))
        else:
            line = draft.bought_for(ID, plug)
            added = 0 if line is None else line.quantity * problem.extras[line.item].count
            findings.append(at_least(ID, have + added, number, "plugs", ids, plug=plug, added=added))
    return tuple(findings)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    supplies: dict[Any, Any] = {}
    for candidate, literal in picks.of("psu"):
        key = (
            candidate.part.cpu_plugs,
            candidate.part.sata_plugs,
            candidate.part.peripheral_plugs,
            candidate.kept,
        )
        supplies.setdefault(key, (candidate.part, []))[1].append(literal)
    drives: dict[Any, Any] = {}
    for drive, literal in picks.of("drive"):
        kind = (drive_plugs(drive.part, problem), sata_starts(drive.part, problem), drive.kept)
        drives.setdefault(kind, (drive.part, []))[1].append(literal)
    boards = picks.classes(
        "board", "first processor header", lambda c: (c.part.cpu_plugs and c.part.cpu_plugs[:1], c.kept)
    )
    conditions: dict[Any, Any] = {}
    for (*_, psu_kept), (psu, psu_literals) in supplies.items():
        for (*_, drive_kept), (choice, drive_literals) in drives.items():
            for (headers, board_kept), board in boards.items():
                if psu_kept and drive_kept and board_kept:
                    continue
                for plug, _, options in _cure(problem, headers, psu, choice):
                    where = picks.both(board, picks.any_of(psu_literals), picks.any_of(drive_literals))
                    conditions.setdefault((plug, options), []).append(where)
    for number, ((plug, options), wheres) in enumerate(conditions.items()):
        picks.need(ID, f"{plug}:{number}", options, wheres, on)
