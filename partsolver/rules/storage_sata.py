"""Every kept SATA drive finds a port, after the ports that filled M.2 sockets switch off.

Two sockets may switch off the same ports: where the board states the ports' names they are a union, where
only their numbers, the worst and the best case are both counted, and what lies between is a question. A
controller card from the catalogue cures a shortfall when a slot is free for it. Port sharing is in the
board's manual; each M.2 socket of the catalogue states how many ports an NVMe or SATA module in it costs.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.cards import placement
from partsolver.assembly.plugs import question
from partsolver.assembly.ports import (
    drives_of,
    free_sata_ports,
    sata_drives,
    slot_takes,
    unknown_sata_column,
    untold_card,
)
from partsolver.catalog.records import Board, Case
from partsolver.plan.draft import Draft, Need
from partsolver.plan.findings import Finding, at_least, unknown
from partsolver.problem.candidates import Candidate, DriveChoice, GraphicsChoice, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.survey.model import Drive

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "storage.sata"
STATEMENT = "Every SATA drive that stays has a port, after M.2 modules have taken theirs."
SOURCE = "Serial ATA: one device per port; board manuals on shared ports (storage reference, section 2.3)"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "case", "drive", "graphics")
READS: Reads = {
    "board": ("m2_slots", "sata_1g5_ports", "sata_3g_ports", "sata_6g_ports", "slots"),
    "case": ("max_card_length_mm", "slot_height", "slot_openings"),
    "drive": ("kept", "part.interface", "part.kind", "part.m2_key", "part.m2_length_mm"),
    "graphics": ("card",),
}
SURVEY: tuple[str, ...] = ("cards", "drives")


def _shortfall(board: Board, drive: DriveChoice, problem: Problem) -> int | None:
    """Ports missing (0 = enough), or None when the board's ports are not known."""
    ports = free_sata_ports(board, drive, problem)
    return None if ports is None else max(0, sata_drives(drive, problem) - ports)


def _controllers(
    problem: Problem, board: Board, case: Case, graphics: GraphicsChoice, missing: int
) -> tuple[tuple[str, int], ...]:
    """Controller cards with enough ports that go into a slot the other cards leave free."""
    free = [board.slots[i] for i in placement(problem, board, case, graphics).free] if board.slots else []
    return tuple(
        (extra.id, 1)
        for extra in problem.extras_of("sata-controller")
        if extra.count >= missing
        and (extra.low_profile or case.slot_height != "low")
        and any(slot_takes(slot, kind) for slot in free for kind in extra.takes)
    )


def _waits_for_slots(problem: Problem, board: Board, missing: int) -> bool:
    """Whether a card would cure the shortfall, and nobody knows the board's slots."""
    return board.slots is None and any(
        extra.count >= missing for extra in problem.extras_of("sata-controller")
    )


def needs(parts: Parts, problem: Problem) -> tuple[Need, ...]:
    missing = _shortfall(parts.board, parts.drive, problem)
    if not missing or parts.board_kept or _waits_for_slots(problem, parts.board, missing):
        return ()
    options = _controllers(problem, parts.board, parts.case, parts.graphics, missing)
    return (Need(ID, "ports", "sata-controller", options, (("missing", missing),)),)


def _untold(parts: Parts, problem: Problem) -> tuple[Finding, ...]:
    """Drives whose lead nobody looked at: each may need a port of a kind that the board has not."""
    if parts.board_kept:
        return ()  # connected today
    return tuple(
        unknown(ID, "drive.interface", (parts.board.id,), False, drive=drive.name)
        for drive in drives_of(parts.drive, problem)
        if isinstance(drive, Drive) and drive.interface is None
    )


def _untold_cards(parts: Parts, problem: Problem) -> list[Finding]:
    """Drives that may hang on a controller card of the PC: then they need no port of the board."""
    return [
        unknown(ID, "drive.controller", (parts.board.id,), False, drive=drive.name)
        for drive in drives_of(parts.drive, problem)
        if drive.interface == "sata" and untold_card(drive, problem)
    ]


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    asked = list(_untold(draft.parts, problem))
    if not draft.parts.board_kept and _shortfall(draft.parts.board, draft.parts.drive, problem):
        asked += _untold_cards(draft.parts, problem)
    return (*_counted(draft, problem), *asked)


def _counted(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    """Ports against the drives that are known to need one."""
    parts = draft.parts
    ids = (parts.board.id,)
    ports = free_sata_ports(parts.board, parts.drive, problem)
    wanted = sata_drives(parts.drive, problem)
    if ports is None:
        column = unknown_sata_column(parts.board)
        return (unknown(ID, question(parts.candidate("board"), column or "sata_6g_ports"), ids),)
    if parts.board_kept and parts.candidate("drive").kept:
        return (at_least(ID, max(ports, wanted), wanted, "ports", ids),)  # connected today
    missing = _shortfall(parts.board, parts.drive, problem)
    if missing and not parts.board_kept and _waits_for_slots(problem, parts.board, missing):
        return (unknown(ID, question(parts.candidate("board"), "slots"), ids),)
    line = draft.bought_for(ID, "ports")
    added = problem.extras[line.item].count if line is not None else 0
    found = at_least(ID, ports + added, wanted, "ports", ids, added=added)
    certain = free_sata_ports(parts.board, parts.drive, problem, certain=True)
    if certain is None:
        column = unknown_sata_column(parts.board)
        return (unknown(ID, question(parts.candidate("board"), column or "sata_6g_ports"), ids),)
    if found.admits and certain + added < wanted:
        return (unknown(ID, question(parts.candidate("board"), "m2_slots"), ids, False, least=certain),)
    return (found,)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    for case, graphics, place in picks.cases_and_cards():
        for drive, drive_literal in picks.candidates("drive"):
            here = picks.both(place, drive_literal)

            def shortfall(
                candidate: Candidate[Board],
                case: Case = case.part,
                cards: GraphicsChoice = graphics.part,
                drive: Any = drive,
            ) -> Any:
                """(ports that are missing, what gives so many); None where nothing is needed."""
                missing = _shortfall(candidate.part, drive.part, problem)
                if not missing or (candidate.kept and drive.kept):
                    return None
                if candidate.kept:
                    return missing, ()
                if _waits_for_slots(problem, candidate.part, missing):
                    return None
                return missing, _controllers(problem, candidate.part, case, cards, missing)

            which = f"sata in {case.key} with {drive.key} and {graphics.key}"
            for found, literal in picks.classes("board", which, shortfall).items():
                if found is not None:
                    missing, options = found
                    picks.need(ID, f"ports:{missing}", options, [picks.both(here, literal)], on)
