"""Registered and error-correcting modules only where the board takes them, and never registered with
unbuffered ones.

Registered modules go into the slots of an ordinary board of their generation and do not work. Unbuffered ECC
modules work as plain ones where the board tolerates them and may keep a board without ECC support from
starting (reference case B19). Present modules on the present board work today. Not checked: whether a board
for registered modules takes unbuffered ones as well; whether the processor supports ECC (without it the
correction is idle).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.modules import (
    ModuleSet,
    memory_ids,
    memory_question,
    module_sets,
    part_question,
    together_today,
)
from partsolver.catalog.records import Board
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fails, fits, unknown
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "memory.buffering"
STATEMENT = (
    "Registered and ECC modules are used only where the board takes them, and registered ones not with"
    " others."
)
SOURCE = (
    "server manuals (mixing not allowed), label suffixes U/E/R; case B19; common practice (memory reference,"
    " 1.4)"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "memory")
READS: Reads = {
    "board": ("memory_ecc", "memory_registered"),
    "memory": (
        "kit.ecc",
        "kit.module_mib",
        "kit.modules",
        "kit.rate_mts",
        "kit.registered",
        "kits",
        "present",
        "with_kept",
    ),
}
SURVEY: tuple[str, ...] = ()


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    board, memory = parts.board, parts.memory
    ids = (*memory_ids(memory), board.id)
    if together_today(parts, "board", "memory"):
        return (fits(ID, ids, today="yes"),)
    sets = module_sets(memory, problem)
    kinds = [s.registered for s in sets]
    if True in kinds and False in kinds:
        return (fails(ID, ids, "mixed", "one kind"),)
    open_facts: list[tuple[str, bool]] = []
    if True in kinds and None in kinds:
        open_facts.append(("registered", next(s.kept for s in sets if s.registered is None)))
    idle = False
    # Modules that sit on this board today need no proof.
    for modules in (s for s in sets if not (parts.board_kept and s.kept)):
        verdict = _judge(modules, board)
        if verdict in ("registered", "ecc"):
            return (fails(ID, ids, verdict, "unbuffered" if verdict == "registered" else "no ecc"),)
        if verdict.startswith("?"):
            open_facts.append((verdict[1:], modules.kept))
        idle = idle or verdict == "idle"
    for fact, kept in open_facts[:1]:
        if fact.startswith("memory_"):
            return (unknown(ID, part_question(parts.candidate("board"), fact), ids),)
        return (unknown(ID, memory_question(memory, fact, kept), ids),)
    facts = {"ecc": "idle"} if idle else {}
    return (fits(ID, ids, "registered" if True in kinds else "unbuffered", **facts),)


def _judge(modules: ModuleSet, board: Board) -> str:
    """ "ok", "idle" (ECC without use), "registered" or "ecc" (refused), or "?" + the fact that is missing."""
    if modules.registered:
        return {True: "ok", False: "registered", None: "?memory_registered"}[board.memory_registered]
    if modules.registered is None:
        takes_all = board.memory_registered and board.memory_ecc in ("yes", "tolerated")
        return "ok" if takes_all else "?registered"
    if modules.ecc is False:
        return "ok"
    if board.memory_ecc == "yes":
        return "ok"
    if modules.ecc is None:
        return "ok" if board.memory_ecc == "tolerated" else "?ecc"
    return {"tolerated": "idle", "no": "ecc", None: "?memory_ecc"}[board.memory_ecc]


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    def demanded(candidate: Candidate) -> tuple[bool, bool, frozenset[str], frozenset[str]]:
        """Kept; mixed; what the new modules demand for certain; what the present ones demand for certain."""
        sets = module_sets(candidate.part, problem)  # type: ignore[arg-type]
        mixed = {True, False} <= {s.registered for s in sets}
        wishes = {
            kept: frozenset(w for s in sets if s.kept is kept for w in _wish(s)) for kept in (False, True)
        }
        return candidate.kept, mixed, wishes[False], wishes[True]

    def compatible(memory: Any, board: Any) -> bool:
        kept, mixed, new, present = memory
        board_kept, given = board
        if kept and board_kept:
            return True
        return not mixed and (new if board_kept else new | present) <= given

    picks.support(("memory", "board"), (f"{ID} demanded", f"{ID} given"), (demanded, _given), compatible, on)


def _wish(modules: ModuleSet) -> tuple[str, ...]:
    if modules.registered:
        return ("registered",)
    return ("ecc",) if modules.registered is False and modules.ecc else ()


def _given(candidate: Candidate) -> tuple[bool, frozenset[str]]:
    board: Board = candidate.part  # type: ignore[assignment]
    registered = ("registered",) if board.memory_registered is not False else ()
    ecc = ("ecc",) if board.memory_ecc != "no" else ()
    return candidate.kept, frozenset((*registered, *ecc))
