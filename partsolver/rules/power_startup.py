"""The supply stands the moment in which all disks start.

Board and drives together (disks start at once unless a controller staggers them) stay within the short 12 V
peak of the label, or its continuous value where no peak is stated. The processor draws little then. Optical
drives are counted
running: they look for a disc at that moment.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly import loads
from partsolver.assembly.plugs import all_kept, label_12v_ma, question
from partsolver.catalog.records import Psu
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_most, fits, unknown
from partsolver.problem.candidates import Candidate, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.startup"
STATEMENT = "The 12 V start-up current of board and drives is at most the supply's peak."
SOURCE = (
    "disk product manuals of two makers (start-up current); ATX12V design guide 2.0 (peak up to 17 s); power"
    " reference section 10"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "psu", "drive")
READS: Reads = {
    "board": ("load_mw",),
    "psu": ("combined_12v_ma", "peak_12v_ma", "rail_12v_ma"),
    "drive": ("kept", "part.interface", "part.kind", "part.pcie_gen"),
}
SURVEY: tuple[str, ...] = ("drives",)


def _peak_ma(psu: Psu) -> int | None:
    return psu.peak_12v_ma if psu.peak_12v_ma is not None else label_12v_ma(psu)


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    settings = problem.settings
    load = (
        loads.board_load(parts.board, settings)
        + loads.system_drive_load(parts.drive, settings)
        + loads.fixed_load(problem)
    )
    surge = load.ma_12v + load.start_12v_ma
    ids = (parts.psu.id,)
    if all_kept(parts, SLOTS):
        return (fits(ID, ids, surge, today="yes"),)
    peak = _peak_ma(parts.psu)
    if peak is None:
        return (unknown(ID, question(parts.candidate("psu"), "rail_12v_ma"), ids),)
    return (
        at_most(
            ID, surge, peak, "mA", ids, stated="peak" if parts.psu.peak_12v_ma is not None else "continuous"
        ),
    )


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    settings = problem.settings
    # The board's surge is a setting, the same for every board.
    always = settings["startup_board_12v_ma"] + sum(
        load.ma_12v + load.start_12v_ma for load in (loads.fixed_load(problem),)
    )

    def surge(candidate: Candidate[Any]) -> tuple[int, bool]:
        load = loads.system_drive_load(candidate.part, settings)
        return always + load.ma_12v + load.start_12v_ma, candidate.kept

    new_board = picks.classes("board", "kept", lambda c: c.kept).get(False)
    drives = picks.classes("drive", "power.startup", surge)
    for (peak, psu_kept), supply in picks.classes(
        "psu", "power.startup", lambda c: (_peak_ma(c.part), c.kept)
    ).items():
        for (drawn, drive_kept), drive in drives.items():
            if peak is None or drawn <= peak:
                continue
            old = psu_kept and drive_kept
            if not old:
                picks.never_together(supply, drive, on)
            elif new_board is not None:
                picks.clause([~supply, ~drive, ~new_board], on)
