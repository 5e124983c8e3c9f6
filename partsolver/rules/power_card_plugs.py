"""Every kept card that has a place gets its power plugs.

A 6-contact socket takes a 6-contact plug or a divisible 6+2 (an 8), an 8-contact socket an 8, a 16-contact
socket a 16. Adapters from peripheral plugs cure a lack while such plugs are left over from the drives and a
processor adapter. A processor plug is never a card plug: its polarity is reversed. Not checked: which lead
the plugs hang on.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.plugs import (
    all_kept,
    card_adapter_options,
    card_sockets,
    drive_plugs,
    missing_card_plugs,
    question,
    reserved_for_cpu,
    reserved_for_sata,
    sata_starts,
    spare_peripherals,
)
from partsolver.catalog.records import Case, Psu
from partsolver.plan.draft import Draft, Need
from partsolver.plan.findings import Finding, at_least, fits, unknown
from partsolver.problem.candidates import Candidate, DriveChoice, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.card_plugs"
STATEMENT = "Every power socket of the kept cards is fed by a card plug of the supply or an adapter."
SOURCE = "Intel 336521 (ATX 3.0), table 3-5; Upgrading and Repairing PCs, pp. 933-935"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "psu", "case", "drive")
READS: Reads = {
    "board": ("cpu_plugs", "slots"),
    "psu": ("card_plugs", "cpu_plugs", "peripheral_plugs", "sata_plugs"),
    "case": ("max_card_length_mm", "slot_height", "slot_openings"),
    "drive": ("kept", "part.interface", "part.kind", "part.pcie_gen"),
}
SURVEY: tuple[str, ...] = ("cards", "drives")


def _spare(problem: Problem, headers: tuple[str, ...] | None, psu: Psu, choice: DriveChoice) -> int | None:
    """Peripheral plugs left for cards after drives, processor adapter and leads to SATA drives; None: not
    known."""
    after_drives = spare_peripherals(psu, drive_plugs(choice, problem)[1])
    if after_drives is None:
        return None
    after_cpu = after_drives - reserved_for_cpu(problem, headers, psu, after_drives)
    return after_cpu - reserved_for_sata(problem, psu, sata_starts(choice, problem), after_cpu)


def needs(parts: Parts, problem: Problem) -> tuple[Need, ...]:
    plugs = parts.psu.card_plugs
    if plugs is None or all_kept(parts, ("board", "psu", "case")):
        return ()
    missing = missing_card_plugs(card_sockets(problem, parts.board, parts.case), plugs)
    if not missing:
        return ()
    options = card_adapter_options(
        problem, missing, _spare(problem, parts.board.cpu_plugs, parts.psu, parts.drive)
    )
    return tuple(
        Need(
            ID,
            f"plug-{kind}",
            "card-plug-adapter",
            options[kind],
            (("missing", missing.count(kind)), ("socket", kind)),
        )
        for kind in sorted(options)
    )


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    sockets = card_sockets(problem, parts.board, parts.case)
    if not sockets:
        return ()
    plugs = parts.psu.card_plugs
    ids = (parts.psu.id,)
    if all_kept(parts, ("board", "psu", "case")):
        return (fits(ID, ids, len(sockets), today="yes"),)
    if plugs is None:
        return (unknown(ID, question(parts.candidate("psu"), "card_plugs"), ids),)
    missing = missing_card_plugs(sockets, plugs)
    lines = [draft.bought_for(ID, f"plug-{kind}") for kind in sorted(set(missing))]
    added = sum(line.quantity for line in lines if line is not None)
    fed = len(sockets) - len(missing) + added
    finding = at_least(
        ID,
        fed,
        len(sockets),
        "plugs",
        ids,
        added=added,
        sockets="+".join(sockets),
        plugs="+".join(plugs) or "none",
    )
    if added and parts.psu.peripheral_plugs is None:
        return (finding, unknown(ID, question(parts.candidate("psu"), "peripheral_plugs"), ids))
    return (finding,)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    if not any(card.power_plugs for card in problem.survey.cards):
        return
    supplies: dict[Any, Any] = {}
    for candidate, literal in picks.of("psu"):
        psu = candidate.part
        if psu.card_plugs is not None:
            key = (psu.card_plugs, psu.cpu_plugs, psu.sata_plugs, psu.peripheral_plugs, candidate.kept)
            supplies.setdefault(key, (psu, []))[1].append(literal)
    drives: dict[Any, Any] = {}
    for drive, literal in picks.of("drive"):
        kind = (drive_plugs(drive.part, problem), sata_starts(drive.part, problem))
        drives.setdefault(kind, (drive.part, []))[1].append(literal)
    conditions: dict[Any, Any] = {}  # (kind of plug, options) -> conditions
    for case, case_literal in picks.of("case"):

        def board_key(candidate: Candidate[Any], case: Case = case.part) -> Any:
            first = candidate.part.cpu_plugs and candidate.part.cpu_plugs[:1]
            return card_sockets(problem, candidate.part, case), first, candidate.kept

        for (sockets, headers, board_kept), board in picks.classes(
            "board", f"{ID} in {case.key}", board_key
        ).items():
            for (plugs, _, _, _, psu_kept), (psu, psu_literals) in supplies.items():
                missing = missing_card_plugs(sockets, plugs)
                if not missing or (board_kept and psu_kept and case.kept):
                    continue
                for choice, drive_literals in drives.values():
                    where = picks.both(
                        case_literal, board, picks.any_of(psu_literals), picks.any_of(drive_literals)
                    )
                    cures = card_adapter_options(problem, missing, _spare(problem, headers, psu, choice))
                    for socket in sorted(cures):
                        conditions.setdefault((socket, cures[socket]), []).append(where)
    for number, ((socket, options), wheres) in enumerate(conditions.items()):
        picks.need(ID, f"{socket}:{number}", options, wheres, on)
