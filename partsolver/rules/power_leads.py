"""The leads with the drives' plugs carry them while the disks start.

All plugs of one lead share one wire: 9 A at 12 V (18 AWG). Drives hang on as few leads as the supply may have
in the worst case (one), at best on one lead for each plug. Refused where even the best case is too much;
where only the best case fits, how many leads there are is asked. Drives that find no peripheral plug hang on
the SATA leads. What hangs there today and stays there works. More SATA drives than SATA plugs, and other adapters
on peripheral leads: power.drive_plugs, power.cpu_plug, power.card_plugs.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.leads import (
    hangs,
    lead_counts,
    no_more_than,
    peripheral_limit_ma,
    starting,
    starting_today,
)
from partsolver.assembly.plugs import all_kept, question
from partsolver.catalog.records import Psu
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_most, fits, unknown
from partsolver.problem.candidates import SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.leads"
STATEMENT = "The leads that feed the drives carry their 12 V current while all of them start."
SOURCE = "AMP catalogue 82181 (18 AWG, all circuits loaded: 9 A); disk product manuals (start-up current)"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("psu", "drive")
READS: Reads = {
    "psu": ("peripheral_leads", "peripheral_plugs", "sata_leads", "sata_plugs"),
    "drive": ("kept", "part.interface", "part.kind", "part.pcie_gen"),
}
SURVEY: tuple[str, ...] = ("drives",)


def hanging(psu: Psu, sata: tuple[int, ...], peripheral: tuple[int, ...]) -> dict[str, tuple[int, ...]]:
    """What hangs on the leads of each kind of plug: the lightest drives that find no peripheral plug are fed
    from SATA plugs (power.drive_plugs)."""
    lacking = 0 if psu.peripheral_plugs is None else max(0, len(peripheral) - psu.peripheral_plugs)
    return {"sata": (*sata, *peripheral[:lacking]), "peripheral": peripheral[lacking:]}


def hang_elsewhere(sata: int, sata_plugs: int | None, moved: int) -> bool:
    """Whether there are more SATA drives than SATA plugs: what hangs where then, power.drive_plugs has; unless drives
    made for peripheral plugs (``moved``) hang on the SATA leads besides."""
    return sata_plugs is not None and sata > sata_plugs and not moved


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    ids = (parts.psu.id,)
    limit = peripheral_limit_ma(problem)
    found = []
    plugs = ("sata", "peripheral")
    now = hanging(parts.psu, *(starting_today(problem, plug) for plug in plugs))
    sata, peripheral = (starting(parts.drive, problem, plug) for plug in plugs)
    for plug, starts in hanging(parts.psu, sata, peripheral).items():
        if len(starts) < 2:
            continue
        total, (worst, best) = sum(starts), lead_counts(parts.psu, plug)
        if all_kept(parts, SLOTS):
            found.append(fits(ID, ids, total, today="yes", plug=plug))
        elif parts.candidate("psu").kept and no_more_than(starts, now[plug]):
            found.append(fits(ID, ids, total, today="no more", plug=plug))
        elif plug == "sata" and hang_elsewhere(len(sata), parts.psu.sata_plugs, len(starts) - len(sata)):
            continue
        elif hangs(starts, worst, limit):
            found.append(at_most(ID, total, worst * limit, "mA", ids, plug=plug, leads=worst))
        elif hangs(starts, best, limit):
            fact = f"{plug}_leads"
            found.append(
                unknown(ID, question(parts.candidate("psu"), fact), ids, plug=plug, total=total, limit=limit)
            )
        else:
            found.append(
                Finding(
                    ID,
                    "fails",
                    total,
                    best * limit,
                    min(-1, best * limit - total),
                    "mA",
                    ids,
                    (("leads", best), ("plug", plug)),
                )
            )
    return tuple(found)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    limit = peripheral_limit_ma(problem)
    supplies = picks.classes(
        "psu",
        "leads of drives",
        lambda c: (
            lead_counts(c.part, "sata")[1],
            lead_counts(c.part, "peripheral")[1],
            c.part.peripheral_plugs,
            c.part.sata_plugs,
            c.kept,
        ),
    )

    def on_plugs(candidate: Any) -> Any:
        return *(starting(candidate.part, problem, plug) for plug in ("sata", "peripheral")), candidate.kept

    drives = picks.classes("drive", "power.leads", on_plugs)
    sata_now, other_now = starting_today(problem, "sata"), starting_today(problem, "peripheral")
    for (sata_leads, other_leads, other_plugs, sata_plugs, psu_kept), supply in supplies.items():
        for (sata, other, drive_kept), drive in drives.items():
            if psu_kept and drive_kept:
                continue
            # So many of the drives made for peripheral plugs find none and hang on SATA leads.
            moved, moved_now = (
                0 if other_plugs is None else max(0, len(starts) - other_plugs)
                for starts in (other, other_now)
            )
            wires: tuple[tuple[Any, Any, int], ...] = (
                (sata + other[:moved], sata_now + other_now[:moved_now], sata_leads),
                (other[moved:], other_now[moved_now:], other_leads),
            )
            if hang_elsewhere(len(sata), sata_plugs, moved):
                wires = wires[1:]
            if not all(
                len(starts) < 2 or hangs(starts, leads, limit) or (psu_kept and no_more_than(starts, now))
                for starts, now, leads in wires
            ):
                picks.never_together(supply, drive, on)
