"""The board's support list names the processor's family.

The socket alone never proves a match: the same socket has carried families with other pin use and other
firmware (common practice), so the list decides. A list nobody has read is an open question that lets the plan
stand: a wrong pair does not start and goes back, it destroys nothing. Not checked: single models that a maker
left out of a family.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.plugs import all_kept, question
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fails, fits, unknown
from partsolver.problem.candidates import Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "platform.support"
STATEMENT = "The board's support list names the processor's family."
SOURCE = "makers' processor support lists; socket alone is not enough: common practice"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu")
READS: Reads = {"board": ("cpu_families", "socket"), "cpu": ("family", "socket")}
SURVEY: tuple[str, ...] = ()


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    board, family = parts.board, parts.cpu.family
    ids = (board.id, parts.cpu.id)
    if all_kept(parts, ("board", "cpu")):
        return (fits(ID, ids, family, today="yes"),)
    if board.cpu_families is None:
        return (
            unknown(ID, question(parts.candidate("board"), "cpu_families"), ids, False, **_socket(parts)),
        )
    if family is None:
        return (unknown(ID, question(parts.candidate("cpu"), "family"), ids, False, **_socket(parts)),)
    listed = tuple(dict.fromkeys(name for name, _ in board.cpu_families))
    if family not in listed:
        return (fails(ID, ids, family, " ".join(listed) or "none", **_socket(parts)),)
    return (fits(ID, ids, family),)


def _socket(parts: Parts) -> dict[str, str | int]:
    """The socket, where both share it: it is what misleads buyers."""
    socket = parts.board.socket
    return {} if socket is None or socket != parts.cpu.socket else {"socket": socket}


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    lists = picks.classes(
        "board",
        "platform.support",
        lambda c: (None if c.part.cpu_families is None else frozenset(dict(c.part.cpu_families)), c.kept),
    )
    for (family, kept), literal in picks.classes(
        "cpu", "platform.support", lambda c: (c.part.family, c.kept)
    ).items():
        if family is None:
            continue
        serving = [
            board
            for (families, board_kept), board in lists.items()
            if (kept and board_kept) or families is None or family in families
        ]
        if len(serving) < len(lists):
            picks.clause([~literal, *serving], on)
