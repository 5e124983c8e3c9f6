"""The 5 V and 3.3 V rails carry the board's reserve and the drives, each and together.

Limits as for 12 V: label x age factor x share of a rating that may be used. The board's own currents on these
rails are settings. Not checked: cards (their power is counted at 12 V) and USB devices (inside the board's
reserve).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from partsolver.assembly import loads
from partsolver.assembly.plugs import all_kept, question, usable
from partsolver.catalog.records import Psu
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_most, fits, unknown
from partsolver.problem.candidates import DriveChoice, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.standards.plugs import power_mw

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.rails_low"
STATEMENT = "The currents at 5 V and at 3.3 V and their common power stay within the aged label."
SOURCE = "ATX12V design guide 2.0, tables 3 to 6 (combined limit of 5 V and 3.3 V); ageing: common practice"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "psu", "drive")
READS: Reads = {
    "board": (),
    "psu": (
        "combined_12v_ma",
        "combined_5v_3v3_mw",
        "main_plug",
        "rail_12v_ma",
        "rail_3v3_ma",
        "rail_5v_ma",
        "year",
    ),
    "drive": ("kept", "part.interface", "part.kind", "part.pcie_gen"),
}
SURVEY: tuple[str, ...] = ("drives", "pc")

_FACTS = ("rail_5v_ma", "rail_3v3_ma", "combined_5v_3v3_mw")


def demand(problem: Problem, choice: DriveChoice) -> tuple[int, int, int]:
    """(5 V mA, 3.3 V mA, power of both in mW) of board and drives."""
    drives = loads.fixed_load(problem) + loads.system_drive_load(choice, problem.settings)
    ma_5v = drives.ma_5v + problem.settings["board_5v_ma"]
    ma_3v3 = drives.ma_3v3 + problem.settings["board_3v3_ma"]
    return ma_5v, ma_3v3, power_mw(ma_5v, "5v") + power_mw(ma_3v3, "3v3")


def limits(problem: Problem, psu: Psu) -> tuple[int | None, int | None, int | None]:
    """Usable (5 V mA, 3.3 V mA, power of both in mW); None where the label does not say."""
    return (
        usable(problem, psu, psu.rail_5v_ma),
        usable(problem, psu, psu.rail_3v3_ma),
        usable(problem, psu, psu.combined_5v_3v3_mw),
    )


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    ids = (parts.psu.id,)
    values = demand(problem, parts.drive)
    if all_kept(parts, SLOTS):
        return (fits(ID, ids, values[2], today="yes"),)
    findings = []
    for fact, value, limit in zip(_FACTS, values, limits(problem, parts.psu), strict=True):
        if limit is None:
            findings.append(unknown(ID, question(parts.candidate("psu"), fact), ids))
        else:
            findings.append(at_most(ID, value, limit, "mW" if fact.endswith("mw") else "mA", ids, rail=fact))
    return tuple(findings)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    new_board = picks.classes("board", "kept", lambda c: c.kept).get(False)
    supplies = picks.classes("psu", "power.rails_low", lambda c: (limits(problem, c.part), c.kept))
    drives = picks.classes("drive", "power.rails_low", lambda c: (demand(problem, c.part), c.kept))
    for (most, psu_kept), supply in supplies.items():
        for (drawn, drive_kept), drive in drives.items():
            if all(limit is None or value <= limit for value, limit in zip(drawn, most, strict=True)):
                continue
            if not (psu_kept and drive_kept):
                picks.never_together(supply, drive, on)
            elif new_board is not None:
                picks.clause([~supply, ~drive, ~new_board], on)
