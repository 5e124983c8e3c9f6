"""How many of the memory channels are filled. Never refuses: one module on two channels works at half the
bandwidth.

The bandwidth is given in thousandths of a channel (1500: three equal modules on two channels). A DDR5 module
counts as one channel. Not checked: which slots belong to which channel (the board's manual says it).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.memory import channels, milli_channels
from partsolver.assembly.modules import memory_ids, part_question
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "memory.channels"
STATEMENT = "Modules in all channels give the full bandwidth of the memory; fewer give less."
SOURCE = "Intel Xeon C5500/C3500 datasheet vol. 1 (323103-001), section 2.1.3.7.3"
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "memory")
READS: Reads = {
    "board": ("memory_channels", "memory_slots"),
    "cpu": ("memory_channels",),
    "memory": ("module_mib", "modules", "with_kept"),
}
SURVEY: tuple[str, ...] = ()
REFUSES = False


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    board, memory = parts.board, parts.memory
    ids = (*memory_ids(memory), board.id, parts.cpu.id)
    if board.memory_channels is None:
        return (
            unknown(
                ID, part_question(parts.candidate("board"), "memory_channels"), ids, modules=memory.modules
            ),
        )
    count = channels(board, parts.cpu)
    slots = count if board.memory_slots is None else board.memory_slots
    filled = min(count, memory.modules, slots)
    milli = milli_channels(memory.module_mib, memory.modules, count, board.memory_slots)
    facts: dict[str, int | str] = {"milli_channels": milli, "modules": memory.modules}
    if count == 2 and memory.modules == 1:
        facts["half_bandwidth"] = "yes"
    return (
        Finding(ID, "fits", filled, count, unit="channels", parts=ids, facts=tuple(sorted(facts.items()))),
    )


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    """Nothing to refuse: the channels enter the expected time (model/time.py)."""
