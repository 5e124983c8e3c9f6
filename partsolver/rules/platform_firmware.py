"""The board starts with the processor: its firmware is new enough, or there is a way to make it so.

Needed is the first firmware that knows the family; where a list names a family twice, each must be reached.
A firmware newer than the last that knows the family refuses it (later versions dropped old families). Two
versions whose numbering is not understood are an open question, never a guess
(standards/firmware_versions.py).
The ways, in this order: the present board is updated with the processor that runs in it; a board with a flash
function is updated without a processor; a service from the catalogue; the present processor, when it goes
into the new board and the shipped firmware knows it. A shipped firmware that is not stated is an open
question that lets the plan stand, with the way that would cure it. Whether the family is listed at all is
another rule.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.firmware import firmware_state, first_firmware, stepping_stones
from partsolver.assembly.plugs import all_kept, question
from partsolver.catalog.records import Board
from partsolver.plan.draft import Draft, Need
from partsolver.plan.findings import Finding, Verdict, unknown
from partsolver.plan.services import sent_in
from partsolver.problem.candidates import Candidate, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.standards.firmware_versions import firmware_order, names_a_file

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "platform.firmware"
STATEMENT = "The board's firmware knows the processor, or can be updated before the processor starts."
SOURCE = (
    "makers' processor support lists (first firmware per family, families dropped later: firmware reference,"
    " section 3.3); order of versions: common practice of the makers; ways to update: common practice, the"
    " board's manual decides"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu")
READS: Reads = {
    "board": (
        "cpu_families",
        "cpu_families_until",
        "firmware_shipped",
        "firmware_steps",
        "flash_without_cpu",
        "named",
        "socket",
    ),
    "cpu": ("family",),
}
SURVEY: tuple[str, ...] = ("cpu", "pc")


def _present_can_flash(board: Board, kept: bool, problem: Problem) -> bool:
    """Whether the present processor starts the board as it is, so that the firmware can be updated with
    it."""
    present = problem.survey.cpu
    if not problem.survey.pc.cpu_works:
        return False
    return kept or (
        present.socket is not None
        and present.socket == board.socket
        and firmware_state(board, present.family) == "knows"
    )


def _services(problem: Problem, board: Board) -> tuple[tuple[str, int], ...]:
    """Update services on sale: for any board, or for those they name."""
    return tuple(
        (e.id, 1) for e in problem.extras_of("firmware-update") if not e.takes or board.id in e.takes
    )


def _way(board: Board, kept: bool, problem: Problem) -> str:
    """How the firmware can be updated: ``present processor``, ``needed`` (flash function), ``service`` or
    ``none``."""
    present = _present_can_flash(board, kept, problem)
    if kept and present:
        return "present processor"
    if board.flash_without_cpu:
        return "needed"
    if _services(problem, board):
        return "service"
    return "present processor" if present else "none"


def needs(parts: Parts, problem: Problem) -> tuple[Need, ...]:
    board, family = parts.board, parts.cpu.family
    if all_kept(parts, ("board", "cpu")) or firmware_state(board, family) != "old":
        return ()
    way = _way(board, parts.board_kept, problem)
    if way in ("present processor", "needed") or (way == "none" and board.flash_without_cpu is None):
        return ()  # it costs nothing, or is an open question
    facts = (("needed", first_firmware(board, family) or ""), ("shipped", board.firmware_shipped or ""))
    return (Need(ID, "update", "firmware-update", _services(problem, board), facts),)


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    board, shipped = parts.board, parts.board.firmware_shipped
    ids: tuple[str, ...] = (board.id, parts.cpu.id)
    if all_kept(parts, ("board", "cpu")):
        return (Finding(ID, "fits", shipped, parts=ids, facts=(("today", "yes"),)),)
    state, needed = firmware_state(board, parts.cpu.family), first_firmware(board, parts.cpu.family)
    if needed is None:
        return ()  # platform.support speaks about the list
    if state == "knows":
        return (Finding(ID, "fits", shipped, needed, parts=ids),)
    if state == "dropped":
        return (Finding(ID, "fails", shipped, needed, parts=ids, facts=(("dropped", "yes"),)),)
    way = _way(board, parts.board_kept, problem)
    if state in ("unstated", "unsure"):
        asked = question(parts.candidate("board"), "firmware_shipped")
        given: dict[str, str | int] = {} if shipped is None else {"unordered": shipped}
        return (unknown(ID, asked, ids, False, needed=needed, flash=way, **given),)
    if way == "none" and board.flash_without_cpu is None:
        asked = question(parts.candidate("board"), "flash_without_cpu")
        return (unknown(ID, asked, ids, needed=needed, shipped=shipped or ""),)
    line = draft.bought_for(ID, "update")
    done = way in ("present processor", "needed") or line is not None
    verdict: Verdict = "fits" if done else "fails"
    if line is not None:
        ids = (*ids, line.item)
    steps = stepping_stones(board, parts.cpu.family) if done else ()
    facts: tuple[tuple[str, str | int], ...] = (
        ("flash", way),
        *((("steps", " ".join(steps)),) if steps else ()),
    )
    trip = sent_in(draft, problem)
    if trip is not None:
        back = ("send_back", trip.back.isoformat())
        facts = (*facts, back, ("send_days", trip.days), ("send_to", trip.seller))
    found = Finding(ID, verdict, shipped, needed, parts=ids, facts=facts)
    if line is not None and board.flash_without_cpu is None:
        # The service is bought for certain; the board may be able to do without.
        asked = question(parts.candidate("board"), "flash_without_cpu")
        return (found, unknown(ID, asked, ids, needed=needed, shipped=shipped or "", service=line.item))
    return (found,)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    wanted: dict[Any, list[Any]] = {}  # services -> conditions
    for (family, cpu_kept), cpu in picks.classes(
        "cpu", "platform.firmware", lambda c: (c.part.family, c.kept)
    ).items():

        def state(candidate: Candidate[Board], family: Any = family, cpu_kept: bool = cpu_kept) -> Any:
            """True: starts or can be made to; False: never; a tuple: one of these services is needed."""
            board = candidate.part
            entries = [first for name, first in board.cpu_families or () if name == family]
            if (candidate.kept and cpu_kept) or not entries or board.firmware_shipped is None:
                return True
            ends = [last for name, last in board.cpu_families_until or () if name == family]
            against = [firmware_order(board.firmware_shipped, first) for first in entries]
            past = [firmware_order(board.firmware_shipped, last) for last in ends]
            if 1 in past:
                return False
            if None in past or None in against or -1 not in against or names_a_file(board.firmware_shipped):
                return True
            if board.flash_without_cpu:
                return True
            present = _present_can_flash(board, candidate.kept, problem)
            if candidate.kept and present:
                return True
            return _services(problem, board) or present or board.flash_without_cpu is None

        name = f"platform.firmware {family} {cpu_kept}"
        for outcome, board in picks.classes("board", name, state).items():
            if outcome is False:
                picks.never_together(cpu, board, on)
            elif outcome is not True:
                wanted.setdefault(outcome, []).append(picks.both(cpu, board))
    for number, (options, conditions) in enumerate(wanted.items()):
        picks.need(ID, f"update:{number}", options, conditions, on)
