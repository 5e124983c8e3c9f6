"""The board's firmware starts in UEFI mode and can do Secure Boot where the system or the owner wants that.

A system drive with an MBR partition table starts in legacy mode only; with Secure Boot it has to be converted
to GPT first (backup before it): a fact of the finding. Reference case A39: such a drive needs legacy mode, so
no Secure Boot. Not checked: whether the keys in the firmware are current; cards without a UEFI part (the
picture rules look at those).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly.modules import part_question
from partsolver.assembly.start import legacy_by_system
from partsolver.assembly.system import excused, kept_system, other_system, same_system
from partsolver.catalog.records import Board
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, fails, fits, unknown
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "os.firmware"
STATEMENT = "The firmware offers the start mode and Secure Boot that the operating system or the owner wants."
SOURCE = "UEFI specification 2.x, secure boot; requirement pages; case A39"
KIND: Kind = "parts"
NATURE: Nature = "system"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "drive")
READS: Reads = {"board": ("firmware_modes", "secure_boot"), "cpu": (), "drive": ("kept",)}
SURVEY: tuple[str, ...] = ("os",)


def _wanted(problem: Problem) -> tuple[bool, bool]:
    """Whether UEFI mode and whether Secure Boot are wanted. Secure Boot works in UEFI mode only."""
    system = kept_system(problem)
    secure = problem.brief.secure_boot or (system is not None and system.needs_secure_boot_capable)
    return secure or (system is not None and system.needs_uefi), secure


def _system_cannot(problem: Problem) -> bool:
    """Whether Secure Boot is wanted with a system that does not start in UEFI mode alone, so not with it."""
    return problem.brief.secure_boot and legacy_by_system(problem)


def _drive_facts(draft: Draft, problem: Problem) -> dict[str, str]:
    """What a kept system drive needs before it starts with Secure Boot."""
    drive = draft.parts.drive.kept
    if drive is None or not problem.brief.secure_boot:
        return {}
    if drive.partition_table == "mbr":
        return {"convert": "yes"}
    return {"convert": "maybe"} if drive.partition_table is None else {}


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    system = kept_system(problem)
    uefi, secure = _wanted(problem)
    if not uefi:
        return ()
    board = parts.board
    modes = board.firmware_modes
    free = excused(parts, problem, "board")
    if _system_cannot(problem) and system is not None:
        facts = {"family": system.id, "system": "no"}
        if free:
            return (fits(ID, (board.id,), "none", short="yes", wanted="secure-boot", **facts),)
        return (fails(ID, (board.id,), "no", "secure-boot", **facts),)
    checks: list[tuple[str, str, bool | None]] = [
        ("uefi", "firmware_modes", None if modes is None else "uefi" in modes)
    ]
    if secure:
        checks.append(("secure-boot", "secure_boot", board.secure_boot))
    found: list[Finding] = []
    for name, column, able in checks:
        facts = {"family": "none" if system is None else system.id} | (
            _drive_facts(draft, problem) if name == "secure-boot" else {}
        )
        if able:
            found.append(fits(ID, (board.id,), name, **facts))
        elif able is None:
            found.append(
                unknown(
                    ID,
                    part_question(parts.candidate("board"), column),
                    (board.id,),
                    False,
                    wanted=name,
                    **facts,
                )
            )
        elif free:
            found.append(fits(ID, (board.id,), "none", short="yes", wanted=name, **facts))
        else:
            found.append(
                fails(ID, (board.id,), " ".join(modes or ()) if name == "uefi" else "no", name, **facts)
            )
    return tuple(found)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    uefi, secure = _wanted(problem)
    if not uefi:
        return
    never = _system_cannot(problem)

    def unable(candidate: Candidate) -> tuple[bool, bool]:
        board: Board = candidate.part  # type: ignore[assignment]
        legacy_only = board.firmware_modes is not None and "uefi" not in board.firmware_modes
        refused = legacy_only or never or (secure and board.secure_boot is False)
        return refused, candidate.kept

    cpus = picks.classes("cpu", "kept", lambda c: c.kept)
    for (refused, kept), literal in picks.classes("board", f"{ID} unable", unable).items():
        if refused and not (kept and same_system(problem)):
            stays = kept and True in cpus and not other_system(problem)
            picks.clause([~literal, *([cpus[True]] if stays else [])], on)
