"""The board's regulators supply the processor's continuous power.

Continuous power is what the processor draws for more than a second (its stated limit, else rated heat by
rule). Where the board states no limit, a processor of the 65 W class is taken as served (common practice:
every desktop board of its time takes that class); above it the limit is an open question.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.loads import cpu_power_w
from partsolver.assembly.plugs import all_kept, question
from partsolver.catalog.records import Cpu
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_most, fits, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "platform.power"
STATEMENT = "The processor's continuous power stays within what the board supplies."
SOURCE = "board makers' support lists and data sheets; 65 W class without a stated limit: common practice"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu")
READS: Reads = {"board": ("cpu_power_limit_w",), "cpu": ("power_limit_w", "tdp_w")}
SURVEY: tuple[str, ...] = ()
TAKEN_FOR_GRANTED_W = 65  # rated heat; common practice, low confidence: only decides whether to ask


def _class_w(cpu: Cpu, power: int) -> int:
    """The class a processor is sold in: its rated heat, else its power."""
    return power if cpu.tdp_w is None else cpu.tdp_w


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    limit, power = parts.board.cpu_power_limit_w, cpu_power_w(parts.cpu, problem.settings)
    ids = (parts.cpu.id, parts.board.id)
    if all_kept(parts, ("board", "cpu")):
        return (fits(ID, ids, power or None, today="yes"),)
    if power == 0:
        return (unknown(ID, question(parts.candidate("cpu"), "tdp_w"), ids),)
    if limit is not None:
        return (at_most(ID, power, limit, "W", ids),)
    if _class_w(parts.cpu, power) <= TAKEN_FOR_GRANTED_W:
        return (fits(ID, ids, power, class_w=_class_w(parts.cpu, power)),)
    return (unknown(ID, question(parts.candidate("board"), "cpu_power_limit_w"), ids, power_w=power),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    limits = picks.classes("board", "platform.power", lambda c: (c.part.cpu_power_limit_w, c.kept))
    powers = picks.classes("cpu", "platform.power", lambda c: (cpu_power_w(c.part, problem.settings), c.kept))
    for (limit, board_kept), board in limits.items():
        too_much = [
            cpu
            for (power, cpu_kept), cpu in powers.items()
            if limit is not None and power > limit and not (board_kept and cpu_kept)
        ]
        for cpu in too_much:
            picks.never_together(board, cpu, on)
