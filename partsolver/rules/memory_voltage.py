"""Modules of a voltage that board and processor allow.

A 1.5 V module has the notch of a 1.35 V one: it goes into slots for low-voltage modules only and may damage
the memory controller in time, so it is refused there; a 1.35 V module runs at 1.5 V too. A kit sold above the
standard (1.65 V) starts at its standard profile in ordinary slots and reaches its printed rate only with a
profile that raises the voltage: said. Present modules on the present board work today. Not checked: what
profile the firmware picks.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.modules import memory_ids, memory_question, module_makes
from partsolver.catalog.records import Board
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_most, fits, unknown
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.standards.memory import LOW_VOLTAGE_ONLY_MV, VOLTAGE_MV

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "memory.voltage"
STATEMENT = "Slots for low-voltage modules only take no module of a higher voltage."
SOURCE = (
    "JEDEC JESD79-3 and its addendum 1 (1.35 V); processor maker's limit for LGA1151 with DDR3 (press, 2015)"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "memory")
READS: Reads = {
    "board": ("memory_generation", "memory_voltage_mv", "socket"),
    "memory": (
        "generation",
        "kit.chips",
        "kit.module_mib",
        "kit.ranks",
        "kit.voltage_mv",
        "present",
        "with_kept",
    ),
}
SURVEY: tuple[str, ...] = ()


def limit_mv(board: Board, generation: str | None) -> int | None:
    """Highest voltage of modules on a board, as stated or by socket and generation; None where it is the
    generation's."""
    if board.memory_voltage_mv is not None:
        return board.memory_voltage_mv
    return LOW_VOLTAGE_ONLY_MV.get((str(board.socket), str(board.memory_generation or generation)))


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    board, memory = parts.board, parts.memory
    ids = (*memory_ids(memory), board.id)
    usual = VOLTAGE_MV.get(str(board.memory_generation or memory.generation))
    limit = limit_mv(board, memory.generation)
    makes = [make for make in module_makes(memory) if not (parts.board_kept and make.kept)]
    if usual is None or not makes:
        return ()
    known = [make.voltage_mv for make in makes if make.voltage_mv is not None]
    if limit is not None and limit < usual:
        missing = next((make for make in makes if make.voltage_mv is None), None)
        if missing is not None and all(voltage_mv <= limit for voltage_mv in known):
            return (unknown(ID, memory_question(memory, "voltage_mv", missing.kept), ids, limit_mv=limit),)
        return (at_most(ID, max(known), limit, "mV", ids),)
    if not known:
        return ()
    facts = {"raised": "yes"} if max(known) > usual else {}
    return (fits(ID, ids, max(known), standard_mv=usual, **facts),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    def voltages(candidate: Candidate) -> tuple[str | None, tuple[tuple[bool, int], ...]]:
        """Generation; (whether it is kept, mV) of the modules whose voltage is known."""
        makes = module_makes(candidate.part)  # type: ignore[arg-type]
        generation: Any = candidate.part.generation  # type: ignore[union-attr]
        return generation, tuple((m.kept, m.voltage_mv) for m in makes if m.voltage_mv is not None)

    def given(candidate: Candidate[Board]) -> tuple[str | None, str | None, int | None, bool]:
        board = candidate.part
        return board.socket, board.memory_generation, board.memory_voltage_mv, candidate.kept

    def compatible(memory: Any, board: Any) -> bool:
        (generation, rows), (socket, slots, stated, board_kept) = memory, board
        made = slots or generation
        limit = LOW_VOLTAGE_ONLY_MV.get((socket, made)) if stated is None else stated
        if limit is None or made not in VOLTAGE_MV or limit >= VOLTAGE_MV[made]:
            return True
        return all(mv <= limit for kept, mv in rows if not (kept and board_kept))

    picks.support(("memory", "board"), (f"{ID} modules", f"{ID} slots"), (voltages, given), compatible, on)
