"""Ports and sockets as assembled: SATA ports after M.2 sharing, M.2 sockets for modules, slots for added
cards."""

from __future__ import annotations

from collections.abc import Sequence

from partsolver.base.records import record
from partsolver.catalog.records import Board, DrivePart
from partsolver.catalog.sockets import M2Socket, Slot
from partsolver.problem.candidates import DriveChoice
from partsolver.problem.problem import Problem
from partsolver.standards.storage import M2_LENGTHS_MM, m2_key_fits
from partsolver.survey.model import Drive

_LENGTH = {"x1": 1, "x4": 4, "x8": 8, "x16": 16}


def slot_takes(slot: Slot, kind: str) -> bool:
    """Whether an added card of that connector (x1, x4, x8, x16, pci) goes into the slot."""
    if kind in _LENGTH and slot.kind in _LENGTH:
        return _LENGTH[slot.kind] >= _LENGTH[kind]
    return slot.kind == kind


def drives_of(choice: DriveChoice, problem: Problem) -> tuple[Drive | DrivePart, ...]:
    """All drives of the plan: the system drive chosen and the other kept ones that the owner needs."""
    others: list[Drive | DrivePart] = [d for d in problem.drives if not d.system and d.required]
    system = choice.kept or choice.part
    return (*([system] if system is not None else []), *others)


def carrying_card(drive: Drive | DrivePart | None, problem: Problem) -> str | None:
    """The card of the PC that a drive hangs on and that goes along (one the owner needs: rule fit.cards sees to its
    place); None where its lead goes to the board, or nobody said so."""
    if not isinstance(drive, Drive):
        return None
    needed = [card.name for card in problem.survey.cards if card.required]
    return drive.controller if drive.controller in needed else None


def untold_card(drive: Drive | DrivePart, problem: Problem) -> bool:
    """Whether a drive may hang on a controller card of the PC, and nobody said."""
    if not isinstance(drive, Drive) or drive.controller is not None:
        return False
    return any(card.required and card.kind == "controller" for card in problem.survey.cards)


def board_drives(choice: DriveChoice, problem: Problem) -> tuple[Drive | DrivePart, ...]:
    """The drives of the plan that need a place on the board: all but those on a card that goes along."""
    return tuple(d for d in drives_of(choice, problem) if carrying_card(d, problem) is None)


def sata_drives(choice: DriveChoice, problem: Problem) -> int:
    """How many drives need a SATA port of the board."""
    return sum(1 for drive in board_drives(choice, problem) if drive.interface == "sata")


# Keys of solid-state drives (dictionary drives.m2_key), and the longest one.
DRIVE_KEYS = ("b", "b+m", "m")
LONGEST_MODULE_MM = M2_LENGTHS_MM[-1]


def m2_takes(socket: M2Socket, drive: Drive | DrivePart, certain: bool = False) -> bool:
    """Whether an M.2 module goes into a socket and works there: key, length, protocol. Unknown facts do not
    refuse; ``certain``: whatever they turn out to be."""
    protocol = "nvme" if drive.interface == "m2-nvme" else "sata"
    if protocol not in socket.protocols:
        return False
    if drive.m2_length_mm is not None or certain:
        length = LONGEST_MODULE_MM if drive.m2_length_mm is None else drive.m2_length_mm
        if length > socket.longest_mm:
            return False
    if drive.m2_key is None:
        return not certain or all(m2_key_fits(key, socket.key) for key in DRIVE_KEYS)
    return m2_key_fits(drive.m2_key, socket.key)


@record
class Seating:
    """M.2 modules in sockets: (module, socket index), the modules left over, and the SATA ports lost.

    least and most differ where two sockets that state only how many ports they take may take the same ones;
    names: the lost ports that are known by name.
    """

    placed: tuple[tuple[Drive | DrivePart, int], ...]
    left: tuple[Drive | DrivePart, ...]
    least: int
    most: int
    names: frozenset[str]


def _lost(board: Board, placed: Sequence[tuple[Drive | DrivePart, int]]) -> tuple[int, int, frozenset[str]]:
    """SATA ports lost: (least, most, names). Named ports are a union; unnamed ones may be the same or not."""
    taken = [(board.m2_slots or ())[index].ports_taken(str(module.interface)) for module, index in placed]
    names = frozenset(name for _, listed in taken for name in listed)
    unnamed = [count for count, listed in taken if not listed]
    return max([len(names), *unnamed]), len(names) + sum(unnamed), names


_SATA_COLUMNS = ("sata_6g_ports", "sata_3g_ports", "sata_1g5_ports")


def stated_sata_ports(board: Board) -> int:
    """SATA ports that are stated: all of them, or fewer where the ports of some rate are not known."""
    return sum(getattr(board, column) or 0 for column in _SATA_COLUMNS)


def unknown_sata_column(board: Board) -> str | None:
    """The column of the fastest SATA ports whose number is not known; None where all are."""
    return next((column for column in _SATA_COLUMNS if getattr(board, column) is None), None)


def seat_modules(board: Board, choice: DriveChoice, problem: Problem) -> Seating:
    """The best way to seat the M.2 modules: fewest left over (among equals NVMe ones, which a slot card
    carries), then fewest SATA ports lost (so that the fewest SATA drives lack one); first sockets first."""
    modules = [d for d in board_drives(choice, problem) if d.interface in ("m2-nvme", "m2-sata")]
    sockets = board.m2_slots or ()
    best: tuple[tuple[int, ...], Seating] | None = None

    def settle(used: tuple[int | None, ...]) -> None:
        nonlocal best
        placed = tuple((m, at) for m, at in zip(modules, used, strict=True) if at is not None)
        left = tuple(m for m, at in zip(modules, used, strict=True) if at is None)
        least, most, names = _lost(board, placed)
        rank = (len(left), sum(m.interface != "m2-nvme" for m in left), most, least)
        if best is None or rank < best[0]:
            best = (rank, Seating(placed, left, least, most, names))

    def search(used: tuple[int | None, ...]) -> None:
        if len(used) == len(modules):
            settle(used)
            return
        for index, socket in enumerate(sockets):
            if index not in used and m2_takes(socket, modules[len(used)]):
                search((*used, index))
        search((*used, None))

    search(())
    assert best is not None
    return best[1]


def sata_ports_lost(board: Board, choice: DriveChoice, problem: Problem) -> int:
    """SATA ports that the M.2 modules of a plan take away, at most."""
    return seat_modules(board, choice, problem).most


def free_sata_ports(
    board: Board, choice: DriveChoice, problem: Problem, certain: bool = False, more: int = 0
) -> int | None:
    """SATA ports left after M.2 sharing, at best (``certain``: at worst); None where the ports of some
    rate are not known and those that are may be too few for the drives and ``more`` others."""
    seating = seat_modules(board, choice, problem)
    free = max(0, stated_sata_ports(board) - (seating.most if certain else seating.least))
    enough = free >= sata_drives(choice, problem) + more
    return free if enough or unknown_sata_column(board) is None else None
