"""The trusted platform module the system needs is built in, or the board has a header and a module is bought.

Firmware modules count as built in; they are often switched off when the board is delivered. Modules for a
header are made for a maker's pin layout: compare with the board's manual before ordering. Not checked: that
layout.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.modules import part_question
from partsolver.assembly.system import excused, kept_system, same_system
from partsolver.plan.draft import Draft, Need
from partsolver.plan.findings import Finding, fails, fits, unknown
from partsolver.problem.candidates import Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "os.tpm"
STATEMENT = (
    "The board has the trusted platform module the operating system needs, or a header and a module for it."
)
SOURCE = "requirement page of the 2021 desktop generation; board manuals"
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("board", "cpu")
READS: Reads = {"board": ("tpm",), "cpu": ()}
SURVEY: tuple[str, ...] = ("os",)
_VERSIONS = ("1.2", "2.0")


def _wanted(problem: Problem) -> str | None:
    system = kept_system(problem)
    return None if system is None else system.needs_tpm


def _modules(problem: Problem, version: str) -> tuple[tuple[str, int], ...]:
    """Modules for a header that give the version, by id."""
    return tuple((extra.id, 1) for extra in problem.extras_of("tpm-module") if version in extra.gives)


def needs(parts: Parts, problem: Problem) -> tuple[Need, ...]:
    version = _wanted(problem)
    if version is None or parts.board.tpm != "header" or excused(parts, problem, "board"):
        return ()
    return (Need(ID, "module", "tpm-module", _modules(problem, version), (("version", version),)),)


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    version = _wanted(problem)
    if version is None:
        return ()
    parts = draft.parts
    board = parts.board
    if board.tpm is None:
        return (unknown(ID, part_question(parts.candidate("board"), "tpm"), (board.id,), version=version),)
    if board.tpm in _VERSIONS and _VERSIONS.index(board.tpm) >= _VERSIONS.index(version):
        return (fits(ID, (board.id,), board.tpm, version=version),)
    if excused(parts, problem, "board"):
        return (fits(ID, (board.id,), board.tpm, short="yes", version=version),)
    line = draft.bought_for(ID, "module")
    if board.tpm == "header" and line is not None:
        return (fits(ID, (board.id, line.item), "header", version=version),)
    return (fails(ID, (board.id,), board.tpm, version),)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    version = _wanted(problem)
    if version is None:
        return
    enough = (None, *_VERSIONS[_VERSIONS.index(version) :])
    with_header = []
    for (tpm, kept), literal in picks.classes("board", "tpm", lambda c: (c.part.tpm, c.kept)).items():
        # A board that stays is excused, unless another system is asked for.
        if tpm in enough or (kept and same_system(problem)):
            continue
        if tpm == "header":
            with_header.append(literal)
        else:
            picks.clause([~literal], on)
    if with_header:
        picks.need(ID, "module", _modules(problem, version), with_header, on)
