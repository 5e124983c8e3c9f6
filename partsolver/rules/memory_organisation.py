"""The chips of the modules are such that the memory controller takes them.

First boards of a generation take chips up to a size: a module of 4 GiB has 16 chips of 2 Gbit there, one of 8
chips of 4 Gbit is not seen, or only half of it. Where the board says what it takes it decides, by socket and
generation it is asked. Without the number of chips the module may have 8 or 16: what neither could be is
refused, what one could is a look. Modules of one rank of 16 chips have chips of 4 bits: desktop chipsets of
Intel do not take them unbuffered; two ranks of 16-bit chips not on the boards of LGA775 and AM2. Present
modules on the present board work today. Not checked: addressing that only one maker's controllers know.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.modules import (
    ModuleMake,
    memory_ids,
    memory_question,
    module_makes,
    part_question,
)
from partsolver.catalog.records import Board
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_most, fails, unknown
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.standards.memory import (
    LARGEST_CHIP_MBIT,
    NO_TWO_SIDED_X16_SOCKETS,
    SURE_CHIP_LIMIT_SOCKETS,
    USUAL_CHIPS,
    chip_width_bits,
)

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "memory.organisation"
STATEMENT = "The memory controller takes the size and the width of the modules' chips."
SOURCE = (
    "Intel DG43GT technical product specification p. 16, DZ77BH-55K table 4 (chip sizes, two-sided 16-bit modules);"
    " common practice (4-bit chips unbuffered)"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "memory")
READS: Reads = {
    "board": ("memory_generation", "memory_max_chip_mbit", "socket"),
    "memory": ("generation", "kit.chips", "kit.module_mib", "kit.ranks", "kit.voltage_mv", "present", "registered", "with_kept"),
}  # fmt: skip
SURVEY: tuple[str, ...] = ()


def wrong_width(make: ModuleMake, socket: str | None, registered: bool | None) -> int | None:
    """Width in bits of the chips that a board of this socket does not take, or None."""
    if make.chips is None or make.ranks is None:
        return None
    width = chip_width_bits(make.ranks, make.chips)
    intel = str(socket).startswith("lga")
    if width == 4 and intel and not registered:
        return width
    return width if width == 16 and make.ranks > 1 and socket in NO_TWO_SIDED_X16_SOCKETS else None


def _largest_mbit(board: Board, generation: str | None) -> tuple[int | None, bool]:
    """(largest chip, whether that is certain: stated by the board, or known of all boards with its socket)."""
    if board.memory_max_chip_mbit is not None:
        return board.memory_max_chip_mbit, True
    known = LARGEST_CHIP_MBIT.get((str(board.socket), str(board.memory_generation or generation)))
    return known, board.socket in SURE_CHIP_LIMIT_SOCKETS


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    board, memory = parts.board, parts.memory
    ids = (*memory_ids(memory), board.id)
    makes = [make for make in module_makes(memory) if not (parts.board_kept and make.kept)]
    for make in makes:
        width = wrong_width(make, board.socket, memory.registered)
        if width is not None:
            return (fails(ID, ids, width, "another width", ask="width"),)
    limit, stated = _largest_mbit(board, memory.generation)
    if limit is None:
        return ()
    refused, asked, most = False, None, 0
    for make in makes:
        if make.capacity_mib is None:
            continue
        least, worst = sizes_mbit(make.capacity_mib, make.chips)
        most = max(most, least)
        if least > limit:
            refused = refused or stated
            asked = asked or part_question(parts.candidate("board"), "memory_max_chip_mbit")
        elif worst > limit:
            asked = asked or memory_question(memory, "chips", make.kept)
    if refused:
        return (at_most(ID, most, limit, "Mbit", ids),)
    if asked is not None:
        return (unknown(ID, asked, ids, limit_mbit=limit, chip_mbit=most),)
    return (at_most(ID, most, limit, "Mbit", ids),) if most else ()


def sizes_mbit(capacity_mib: int, chips: int | None) -> tuple[int, int]:
    """(smallest, largest) size that a module's chips may have, Mbit, rounded down: 16 or 8 of them where
    nobody counted."""
    fewest, most = USUAL_CHIPS if chips is None else (chips, chips)
    return capacity_mib * 8 // most, capacity_mib * 8 // fewest


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    def made(candidate: Candidate) -> Any:
        choice: Any = candidate.part
        rows = tuple(
            (m.kept, m.capacity_mib, m.chips, m.ranks)
            for m in module_makes(candidate.part)  # type: ignore[arg-type]
        )
        return rows, bool(choice.registered), choice.generation

    def taken(candidate: Candidate[Board]) -> Any:
        board = candidate.part
        return board.socket, board.memory_max_chip_mbit, board.memory_generation, candidate.kept

    def compatible(memory: Any, board: Any) -> bool:
        (rows, registered, generation), (socket, limit, of_slots, board_kept) = memory, board
        if limit is None and socket in SURE_CHIP_LIMIT_SOCKETS:
            limit = LARGEST_CHIP_MBIT.get((socket, str(of_slots or generation)))

        def served(mib: int | None, chips: int | None, ranks: int | None) -> bool:
            if limit is not None and mib is not None and mib * 8 // (chips or max(USUAL_CHIPS)) > limit:
                return False
            if not chips or not ranks:
                return True
            narrow = ranks * 16 == chips and not registered and str(socket).startswith("lga")
            return not (narrow or (ranks > 1 and ranks * 4 == chips and socket in NO_TWO_SIDED_X16_SOCKETS))

        return all(served(*made) for kept, *made in rows if not (kept and board_kept))

    picks.support(("memory", "board"), (f"{ID} modules", f"{ID} slots"), (made, taken), compatible, on)
