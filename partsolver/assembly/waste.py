"""Masses of what is in the PC, and what a plan throws away, in grams."""

from __future__ import annotations

from typing import Any

from partsolver.base.records import record
from partsolver.problem.candidates import Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.standards.settings import SETTINGS
from partsolver.survey.model import Drive

STATED = "stated"


@record
class Mass:
    """Grams, and what they rest on: ``stated`` (survey, catalogue or the brief's settings), else the basis of
    the setting."""

    grams: int
    basis: str

    @property
    def stated(self) -> bool:
        return self.basis == STATED


def typical(problem: Problem, kind: str, stated_g: int | None = None) -> Mass:
    """The stated mass, else the typical one of a kind: board, cpu, module, cooler, psu, case or a kind of
    drive."""
    if stated_g is not None:
        return Mass(stated_g, STATED)
    name = f"typical_{kind}_g"
    grams = problem.settings[name]
    return Mass(grams, SETTINGS[name].basis if grams == SETTINGS[name].value else STATED)


def drive_mass(problem: Problem, drive: Drive) -> Mass:
    """Mass of a drive of the survey (a 3.5-inch disk where its kind is not known)."""
    if drive.kind == "ssd" and drive.interface in ("m2-sata", "m2-nvme"):
        return typical(problem, "m2")
    return typical(problem, drive.kind or "hdd35")


def discarded_g(parts: Parts, problem: Problem) -> tuple[int, bool]:
    """(grams, whether every mass was stated) of the present parts that do not stay."""
    survey = problem.survey
    masses: list[Mass] = []
    records: dict[SlotName, Any] = {
        "board": survey.board,
        "cpu": survey.cpu,
        "cooler": survey.cooler,
        "psu": survey.psu,
        "case": survey.case,
    }
    for slot, part in records.items():
        if not parts.candidate(slot).kept and part is not None:
            masses.append(typical(problem, slot, part.mass_g))
    modules = parts.memory.left_out if parts.memory.with_kept else sum(row.count for row in survey.memory)
    masses += [typical(problem, "module")] * modules
    if not parts.candidate("graphics").kept:
        masses += [typical(problem, "card") for card in survey.cards if card.kind == "graphics"]
    if not parts.candidate("drive").kept and survey.system_drive is not None:
        masses.append(drive_mass(problem, survey.system_drive))
    return sum(mass.grams for mass in masses), all(mass.stated for mass in masses)
