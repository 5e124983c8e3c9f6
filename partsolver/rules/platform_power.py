"""The board's regulators take the processor's class.

Boards and support lists speak of classes of rated heat: a 95 W board takes a processor rated at 95 W,
whatever that draws for half a minute. The figure compared is therefore the rated heat. Where the short-term
limit is above the board's class, the plan stands and it is said that the board may hold the processor back
(it throttles; nothing breaks). Where the board states no limit, a processor of the 65 W class is taken as
served (common practice: every desktop board of its time takes that class); above it the limit is an open
question.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.loads import CPU_READS, power_of_cpu
from partsolver.assembly.plugs import all_kept, question
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_most, fits, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "platform.power"
STATEMENT = "The processor's rated heat is at most the power class that the board takes."
SOURCE = "board makers' support lists and data sheets; 65 W class without a stated limit: common practice"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu")
READS: Reads = {"board": ("cpu_power_limit_w",), "cpu": CPU_READS}
SURVEY: tuple[str, ...] = ()
TAKEN_FOR_GRANTED_W = 65  # rated heat; common practice, low confidence: only decides whether to ask


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    limit, power = parts.board.cpu_power_limit_w, power_of_cpu(parts.cpu)
    ids = (parts.cpu.id, parts.board.id)
    if all_kept(parts, ("board", "cpu")):
        return (fits(ID, ids, None if power is None else power.rated_w, today="yes"),)
    if power is None:
        return (unknown(ID, question(parts.candidate("cpu"), "tdp_w"), ids),)
    if limit is not None:
        if power.rated_w <= limit < power.short_most_w:
            return (at_most(ID, power.rated_w, limit, "W", ids, short_w=power.short_most_w, throttles="yes"),)
        if parts.cpu.tdp_w is None and power.rated_w > limit:
            # The rated heat is at most the stated power, and may be in the board's class.
            return (unknown(ID, question(parts.candidate("cpu"), "tdp_w"), ids),)
        return (at_most(ID, power.rated_w, limit, "W", ids),)
    if power.rated_w <= TAKEN_FOR_GRANTED_W:
        return (fits(ID, ids, power.rated_w, class_w=power.rated_w),)
    return (unknown(ID, question(parts.candidate("board"), "cpu_power_limit_w"), ids, power_w=power.rated_w),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    limits = picks.classes("board", "platform.power", lambda c: (c.part.cpu_power_limit_w, c.kept))
    heats = picks.classes(
        "cpu",
        "rated heat, kept",
        lambda c: (c.part.tdp_w, c.kept),
    )
    for (limit, board_kept), board in limits.items():
        for (heat, cpu_kept), cpu in heats.items():
            if None not in (limit, heat) and heat > limit and not (board_kept and cpu_kept):
                picks.never_together(board, cpu, on)
