"""What a plan throws away, in grams."""

from __future__ import annotations

from typing import Any

from partsolver.problem import Parts, Problem

# Typical masses where nothing is stated (common practice): a module, and by slot.
MODULE_G = 40
TYPICAL_G = {"board": 700, "cpu": 30, "cooler": 400, "psu": 1600, "case": 6000, "drive": 60}


def discarded_g(parts: Parts, problem: Problem) -> tuple[int, bool]:
    """(grams, whether every mass was stated) of the present parts that do not stay."""
    survey = problem.survey
    total, complete = 0, True
    records: dict[str, Any] = {"board": survey.board, "cpu": survey.cpu, "cooler": survey.cooler, "psu": survey.psu, "case": survey.case}
    for slot, record in records.items():
        if parts.candidate(slot).kept or record is None:  # type: ignore[arg-type]
            continue
        if record.mass_g is None:
            total, complete = total + TYPICAL_G[slot], False
        else:
            total += record.mass_g
    if not parts.memory.with_kept:
        total += MODULE_G * sum(module.count for module in survey.memory)
        complete = False
    if not parts.candidate("drive").kept and survey.system_drive is not None:
        total, complete = total + TYPICAL_G["drive"], False
    return total, complete
