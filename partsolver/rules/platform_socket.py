"""The processor's socket is the board's.

A matching socket name is necessary, never sufficient (common practice: the same socket has carried processors
of different generations with different pin use); the support list is a rule of its own.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.plugs import question
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fails, fits, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "platform.socket"
STATEMENT = "The processor's socket is the board's socket."
SOURCE = "common practice; makers' data sheets of board and processor"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu")
READS: Reads = {"board": ("socket",), "cpu": ("socket",)}
SURVEY: tuple[str, ...] = ()


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    board, cpu = parts.board, parts.cpu
    ids = (board.id, cpu.id)
    if parts.board_kept and parts.candidate("cpu").kept:
        return (fits(ID, ids, board.socket),)  # they sit together today
    for candidate in (parts.candidate("board"), parts.candidate("cpu")):
        if candidate.part.socket is None:
            # A processor in the wrong socket can be destroyed.
            return (unknown(ID, question(candidate, "socket"), ids, blocks=True),)
    if board.socket != cpu.socket:
        return (fails(ID, ids, cpu.socket, board.socket),)
    return (fits(ID, ids, board.socket),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    # The kept pair is a value of its own: it fits itself even when its socket is not known.
    picks.support(
        ("board", "cpu"),
        ("socket", "socket"),
        (lambda c: (c.part.socket, c.kept), lambda c: (c.part.socket, c.kept)),
        lambda board, cpu: (board[1] and cpu[1]) or (board[0] is not None and board[0] == cpu[0]),
        on,
    )
