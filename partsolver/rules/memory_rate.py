"""The data rate the modules run at, and what limits it. Never refuses: a faster module runs slower and that
is all.

Order of the limits where several are equal: module (nothing is lost), processor, board, two modules per
channel. Where a limit is not known, the rate is the lowest of the known ones and the finding is an open
question. Not checked: overclocking profiles, timings.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.memory import effective_rate_mts, modules_per_channel, processor_rate_mts
from partsolver.assembly.modules import memory_ids, memory_question, module_sets, part_question
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "memory.rate"
STATEMENT = (
    "All modules run at the lowest rate of module, processor and board (with two modules in a channel)."
)
SOURCE = "Intel Core i7-9700K-era datasheet vol. 1, section 2.1.4; Intel support article 000088926"
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "memory")
READS: Reads = {
    "board": (
        "memory_channels",
        "memory_generation",
        "memory_max_rate_mts",
        "memory_two_per_channel_rate_mts",
    ),
    "cpu": ("memory_channels", "memory_rates"),
    "memory": (
        "generation",
        "kit.ecc",
        "kit.module_mib",
        "kit.modules",
        "kit.rate_mts",
        "kit.registered",
        "kits",
        "modules",
        "rate_mts",
        "present",
        "with_kept",
    ),
}
SURVEY: tuple[str, ...] = ()
REFUSES = False


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    board, cpu, memory = parts.board, parts.cpu, parts.memory
    rate = effective_rate_mts(board, cpu, memory)
    limits: list[tuple[str, int | None]] = [
        ("module", memory.rate_mts),
        ("processor", processor_rate_mts(cpu, board.memory_generation or memory.generation)),
        ("board", board.memory_max_rate_mts),
    ]
    if modules_per_channel(board, memory.modules) > 1:
        limits.append(("two-per-channel", board.memory_two_per_channel_rate_mts))
    facts: dict[str, int | str] = {
        f"{name.replace('-', '_')}_mts": value for name, value in limits if value is not None
    }
    if rate is not None:
        facts["by"] = next(name for name, value in limits if value == rate)
    unrated = next((s for s in module_sets(memory, problem) if s.rate_mts is None), None)
    question = None
    if unrated is not None:
        question = memory_question(memory, "rate_mts", unrated.kept)
    elif cpu.memory_rates is None:
        question = part_question(parts.candidate("cpu"), "memory_rates")
    elif board.memory_max_rate_mts is None:
        question = part_question(parts.candidate("board"), "memory_max_rate_mts")
    elif rate is None:
        question = memory_question(memory, "rate_mts")
    return (
        Finding(
            ID,
            "fits" if question is None else "unknown",
            rate,
            memory.rate_mts,
            unit="MT/s",
            parts=(*memory_ids(memory), board.id, cpu.id),
            facts=tuple(sorted(facts.items())),
            question=question,
        ),
    )


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    """Nothing to refuse: the rate enters the expected time (model/time.py)."""
