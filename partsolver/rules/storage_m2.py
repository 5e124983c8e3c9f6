"""Every M.2 module finds a socket that takes it: key, length and protocol.

A board without a fitting socket cannot take an NVMe module directly; one such module goes on a slot card
where a slot with four wired lanes stays free. SATA modules need a socket that carries SATA. Cooling of
modules is not checked.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.plugs import all_kept, m2_cards, m2_leftover, question
from partsolver.assembly.ports import board_drives, m2_takes, seat_modules
from partsolver.catalog.records import Board, Case
from partsolver.plan.draft import Draft, Need
from partsolver.plan.findings import Finding, at_least, fits, unknown
from partsolver.problem.candidates import Candidate, DriveChoice, GraphicsChoice, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "storage.m2"
STATEMENT = "Every M.2 module has a socket of its key, length and protocol, or goes on a card in a free slot."
SOURCE = "M.2 keys and protocols; a slot card for one NVMe module is passive (common practice)"
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


def _modules(choice: DriveChoice, problem: Problem) -> int:
    return sum(drive.interface in ("m2-nvme", "m2-sata") for drive in board_drives(choice, problem))


def needs(parts: Parts, problem: Problem) -> tuple[Need, ...]:
    if (
        not _modules(parts.drive, problem)
        or parts.board.m2_slots is None
        or all_kept(parts, ("board", "drive"))
    ):
        return ()
    left = m2_leftover(parts.board, parts.drive, problem)
    if not left:
        return ()
    cards = m2_cards(problem, parts.board, parts.case, parts.drive, parts.graphics)
    return (Need(ID, "card", "m2-card", tuple((card.id, 1) for card in cards), (("missing", len(left)),)),)


def _untold(parts: Parts, problem: Problem) -> tuple[Finding, ...]:
    """Modules whose key or length nobody stated, where some value of it would not go into the socket they
    take."""
    found = []
    sockets = parts.board.m2_slots or ()
    for module, index in seat_modules(parts.board, parts.drive, problem).placed:
        missing = next((fact for fact in ("m2_length_mm", "m2_key") if getattr(module, fact) is None), None)
        if missing is not None and not m2_takes(sockets[index], module, certain=True):
            bought = module is parts.drive.part
            asked = question(parts.candidate("drive"), missing) if bought else f"drive.{missing}"
            found.append(unknown(ID, asked, (parts.board.id,), False, module=module.name))
    return tuple(found)


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    modules = _modules(parts.drive, problem)
    ids = (parts.board.id,)
    if not modules:
        return ()
    if all_kept(parts, ("board", "drive")):
        return (fits(ID, ids, modules, today="yes"),)
    if parts.board.m2_slots is None:
        return (unknown(ID, question(parts.candidate("board"), "m2_slots"), ids),)
    added = 0 if draft.bought_for(ID, "card") is None else 1
    placed = modules - len(m2_leftover(parts.board, parts.drive, problem)) + added
    found = at_least(ID, placed, modules, "modules", ids, added=added)
    return (found, *_untold(parts, problem))


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    conditions: dict[Any, Any] = {}
    for drive, drive_literal in picks.candidates("drive"):
        if not _modules(drive.part, problem):
            continue
        for case, graphics, place in picks.cases_and_cards():

            def lack(
                candidate: Candidate[Board],
                case: Case = case.part,
                cards: GraphicsChoice = graphics.part,
                drive: Any = drive,
            ) -> Any:
                board = candidate.part
                if (
                    board.m2_slots is None
                    or (candidate.kept and drive.kept)
                    or not m2_leftover(board, drive.part, problem)
                ):
                    return None
                return tuple((card.id, 1) for card in m2_cards(problem, board, case, drive.part, cards))

            which = f"{ID} of {drive.key} in {case.key} with {graphics.key}"
            for options, board in picks.classes("board", which, lack).items():
                if options is not None:
                    conditions.setdefault(options, []).append(picks.both(drive_literal, place, board))
    for number, (options, wheres) in enumerate(conditions.items()):
        picks.need(ID, f"card:{number}", options, wheres, on)
