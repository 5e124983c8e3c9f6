"""There is thermal paste between processor and cooler.

Paste serves once: the present cooler on another board or another processor needs new paste, and so does a
bought cooler that comes without. It is bought where the catalogue sells some; else its lack is stated. Never
a refusal.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.plugs import all_kept, question
from partsolver.plan.draft import Draft, Need
from partsolver.plan.findings import Finding, fits, unknown
from partsolver.problem.candidates import Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "fit.paste"
STATEMENT = "Fresh thermal paste is at hand wherever the cooler is set on again."
SOURCE = "common practice"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "cooler")
READS: Reads = {"board": (), "cpu": (), "cooler": ("cooler.paste_included",)}
SURVEY: tuple[str, ...] = ()


def _pastes(problem: Problem) -> tuple[tuple[str, int], ...]:
    found = problem.store.paste_options
    if found is None:
        # A shop lists dozens, and this is asked for every cooler.
        found = tuple((extra.id, 1) for extra in problem.obtainable("thermal-paste"))
        problem.store.paste_options = found
    return found


def _without_paste(parts: Parts) -> bool:
    """Whether this cooler has to be set on and no paste comes with it."""
    cooler = parts.candidate("cooler")
    if cooler.kept:
        return not all_kept(parts, ("board", "cpu"))
    return parts.cooler.cooler is not None and parts.cooler.cooler.paste_included is False


def needs(parts: Parts, problem: Problem) -> tuple[Need, ...]:
    options = _pastes(problem)
    if not options or not _without_paste(parts):
        return ()
    why = "moved" if parts.candidate("cooler").kept else "not included"
    return (Need(ID, "paste", "thermal-paste", options, (("cooler", parts.cooler.id), ("why", why))),)


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    choice = parts.cooler
    ids = (choice.id,)
    if all_kept(parts, ("board", "cpu", "cooler")):
        return (fits(ID, ids, today="yes"),)
    if _without_paste(parts):
        return (fits(ID, ids, paste="bought" if _pastes(problem) else "missing"),)
    if choice.cooler is not None and choice.cooler.paste_included is None:
        return (unknown(ID, question(parts.candidate("cooler"), "paste_included"), ids),)
    return (fits(ID, ids, paste="included"),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    bare = [
        literal
        for candidate, literal in picks.candidates("cooler")
        if not candidate.kept
        and candidate.part.cooler is not None
        and candidate.part.cooler.paste_included is False
    ]
    conditions = [picks.any_of(bare)] if bare else []
    board = picks.classes("board", "kept", lambda c: c.kept)
    cpu = picks.classes("cpu", "kept", lambda c: c.kept)
    present = next((literal for candidate, literal in picks.candidates("cooler") if candidate.kept), None)
    # Exclusive ways: the board changes; the board stays and the processor changes.
    if present is not None and False in board:
        conditions.append(picks.both(present, board[False]))
    if present is not None and True in board and False in cpu:
        conditions.append(picks.both(present, board[True], cpu[False]))
    options = _pastes(problem)
    if options and conditions:
        picks.need(ID, "paste", options, conditions, on)
