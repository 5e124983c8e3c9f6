"""The cooler can be mounted on the board's socket.

The cooler in the processor's box is made for its socket. A present cooler whose sockets nobody listed fits a
new board of the same socket; on another socket it is an open question that lets the plan stand (a wrong guess
costs a cooler, it destroys nothing), and the finding says so. A cooler held by the case or by a bracket that
stays behind (``pc.cooler_brackets``) needs that part at the new board too, and a cooler with a plate of its
own behind a board that stays means that the board comes out: both are stated with the finding. So is a new
case for board and cooler that stay, where the old one may hold the cooler. Where nobody knows what holds it, that
is asked. Not checked: parts of the board under the cooler's foot; the force of a clip.
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

ID = "fit.cooler_mount"
STATEMENT = "The cooler's mounting suits the board's socket."
SOURCE = "cooler makers' lists of sockets; same socket, same mounting: common practice"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cooler", "case")
READS: Reads = {
    "board": ("socket",),
    "cooler": ("boxed", "cooler.back_plate", "cooler.sockets"),
    "case": (),
}
SURVEY: tuple[str, ...] = ("board", "pc")


def _holder(parts: Parts, problem: Problem) -> tuple[Finding, ...]:
    """What holds a cooler of the PC that goes on another board or into another case, where nobody knows it."""
    if problem.survey.pc.cooler_brackets is not None:
        return ()
    return (unknown(ID, "pc.cooler_brackets", (parts.cooler.id, parts.board.id)),)


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    choice, socket = parts.cooler, parts.board.socket
    ids = (choice.id, parts.board.id)
    if all_kept(parts, ("board", "cooler")):
        if parts.candidate("case").kept:
            return (fits(ID, ids, socket, today="yes"),)
        if problem.survey.pc.cooler_brackets:
            return (fits(ID, ids, socket, bracket="case"),)  # a frame on the board comes along
        return (fits(ID, ids, socket, today="yes"), *_holder(parts, problem))
    if choice.boxed:
        return (fits(ID, ids, socket, boxed="yes"),)
    moved = parts.candidate("cooler").kept
    sockets = None if choice.cooler is None else choice.cooler.sockets
    if socket is None:
        return (unknown(ID, question(parts.candidate("board"), "socket"), ids, blocks=not moved),)
    facts = {"bracket": "stays"} if moved and problem.survey.pc.cooler_brackets else {}
    if parts.board_kept and not moved and choice.cooler is not None and choice.cooler.back_plate is not False:
        # With a new board the plate goes on before the board is fitted; a board that stays has to come out
        # for it.
        facts["board_out"] = "yes" if choice.cooler.back_plate else "perhaps"
    if sockets is None:
        if moved and socket == problem.survey.board.socket:
            return (fits(ID, ids, socket, same_socket="yes", **facts), *_holder(parts, problem))
        return (unknown(ID, question(parts.candidate("cooler"), "sockets"), ids, not moved, socket=socket),)
    if socket not in sockets:
        return (fails(ID, ids, socket, " ".join(sockets) or "none"),)
    return (fits(ID, ids, socket, **facts), *(_holder(parts, problem) if moved else ()))


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    picks.support(
        ("board", "cooler"),
        ("fit.cooler_mount", "fit.cooler_mount"),
        (
            lambda c: (c.part.socket, c.kept),
            # None: made for any socket (boxed) or not known.
            lambda c: (
                c.part.cooler.sockets if c.part.cooler is not None else None,
                c.kept,
                c.part.boxed or c.kept,
            ),
        ),
        # One that is bought must be known to go on, or it may be useless.
        lambda board, cooler: (
            (board[1] and cooler[1])
            or (None in (board[0], cooler[0]) and cooler[2])
            or (cooler[0] is not None and board[0] in cooler[0])
        ),
        on,
    )
