"""Ports and sockets as assembled: SATA ports after M.2 sharing, M.2 sockets for modules, slots for added
cards."""

from __future__ import annotations

from partsolver.catalog.records import Board, DrivePart, M2Socket, Slot
from partsolver.problem.candidates import DriveChoice
from partsolver.problem.problem import Problem
from partsolver.standards.storage import m2_key_fits
from partsolver.survey.model import Drive

_LENGTH = {"x1": 1, "x4": 4, "x8": 8, "x16": 16}


def slot_takes(slot: Slot, kind: str) -> bool:
    """Whether an added card of that connector (x1, x4, x8, x16, pci) goes into the slot."""
    if kind in _LENGTH and slot.kind in _LENGTH:
        return _LENGTH[slot.kind] >= _LENGTH[kind]
    return slot.kind == kind


def drives_of(choice: DriveChoice, problem: Problem) -> tuple[Drive | DrivePart, ...]:
    """All drives of the plan: the system drive chosen and the other kept ones that the owner needs."""
    others: list[Drive | DrivePart] = [d for d in problem.survey.drives if not d.system and d.required]
    system = choice.kept or choice.part
    return (*([system] if system is not None else []), *others)


def sata_drives(choice: DriveChoice, problem: Problem) -> int:
    """How many drives need a SATA port."""
    return sum(1 for drive in drives_of(choice, problem) if drive.interface == "sata")


def m2_takes(socket: M2Socket, drive: Drive | DrivePart) -> bool:
    """Whether an M.2 module goes into a socket and works there: key, length, protocol. Unknown facts do not
    refuse."""
    protocol = "nvme" if drive.interface == "m2-nvme" else "sata"
    if protocol not in socket.protocols:
        return False
    if drive.m2_length_mm is not None and drive.m2_length_mm > socket.longest_mm:
        return False
    return drive.m2_key is None or m2_key_fits(drive.m2_key, socket.key)


def m2_places(
    board: Board, choice: DriveChoice, problem: Problem
) -> tuple[tuple[Drive | DrivePart, int], ...] | None:
    """(drive, socket index) for every M.2 module, losing the fewest SATA ports; None when they do not fit."""
    modules = [d for d in drives_of(choice, problem) if d.interface in ("m2-nvme", "m2-sata")]
    sockets = board.m2_slots or ()
    best: tuple[int, tuple[tuple[Drive | DrivePart, int], ...]] | None = None

    def search(depth: int, used: tuple[int, ...], lost: int) -> None:
        nonlocal best
        if depth == len(modules):
            if best is None or lost < best[0]:
                best = (lost, tuple(zip(modules, used, strict=True)))
            return
        for index, socket in enumerate(sockets):
            if index not in used and m2_takes(socket, modules[depth]):
                search(depth + 1, (*used, index), lost + _sata_lost(socket, modules[depth]))

    search(0, (), 0)
    return None if best is None else best[1]


def _sata_lost(socket: M2Socket, module: Drive | DrivePart) -> int:
    """SATA ports that a module in a socket takes away."""
    return socket.sata_lost_nvme if module.interface == "m2-nvme" else socket.sata_lost_sata


def sata_ports_lost(board: Board, choice: DriveChoice, problem: Problem) -> int:
    """SATA ports that the M.2 modules of a plan take away."""
    places = m2_places(board, choice, problem) or ()
    return sum(_sata_lost((board.m2_slots or ())[index], module) for module, index in places)


def free_sata_ports(board: Board, choice: DriveChoice, problem: Problem) -> int | None:
    """SATA ports left after M.2 sharing, or None when the board's ports are not known."""
    counts = (board.sata_6g_ports, board.sata_3g_ports, board.sata_1g5_ports)
    if all(count is None for count in counts):
        return None
    total = sum(count or 0 for count in counts)
    return max(0, total - sata_ports_lost(board, choice, problem))
