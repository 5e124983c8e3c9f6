"""The processor's 12 V current stays within what its plugs carry.

Current = processor power / (regulator efficiency x lowest permitted 12 V). Limits: contacts x current per
contact, a usual one and one never to exceed; between the two the plan stands with a warning. A 4-contact plug
in an 8-contact header counts as 4 contacts. An adapter carries the lower of its own limit and one peripheral
lead's. Not checked: wires thinner than 18 AWG, worn contacts.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.loads import cpu_12v_ma
from partsolver.assembly.plugs import (
    adapter_limit_ma,
    all_kept,
    cpu_adapters,
    drive_plugs,
    feeding_plugs,
    question,
    spare_peripherals,
)
from partsolver.catalog.records import Psu
from partsolver.plan.draft import Draft
from partsolver.plan.findings import Finding, at_most, fits, unknown
from partsolver.problem.candidates import DriveChoice, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads
from partsolver.standards.plugs import cpu_plugs_limit_ma

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.cpu_current"
STATEMENT = "The 12 V current of the processor stays within what its power plugs carry."
SOURCE = (
    "Intel 336521 (ATX 3.0), section 2.2.1; Upgrading and Repairing PCs, p. 925; AMP catalogue 82181"
    " (adapters)"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "psu", "drive")
READS: Reads = {
    "board": ("cpu_plugs",),
    "cpu": ("power_limit_w", "tdp_w"),
    "psu": ("cpu_plugs", "peripheral_plugs"),
    "drive": ("kept", "part.interface"),
}
SURVEY: tuple[str, ...] = ("drives",)


def _adapter_limits_ma(problem: Problem, header: str, psu: Psu, choice: DriveChoice) -> tuple[int, ...]:
    spare = spare_peripherals(psu, drive_plugs(choice, problem)[1])
    return tuple(adapter_limit_ma(extra, problem.settings) for extra in cpu_adapters(problem, header, spare))


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    settings = problem.settings
    headers, plugs = parts.board.cpu_plugs, parts.psu.cpu_plugs
    ids = (parts.cpu.id, parts.board.id, parts.psu.id)
    current = cpu_12v_ma(parts.cpu, settings)
    if all_kept(parts, ("board", "cpu", "psu")):
        return (fits(ID, ids, current, today="yes"),)
    if current == 0:
        return (unknown(ID, question(parts.candidate("cpu"), "tdp_w"), ids),)
    if headers == ():
        return (fits(ID, ids, current, header="none"),)
    if headers is None or plugs is None:
        slot: SlotName = "board" if headers is None else "psu"
        return (unknown(ID, question(parts.candidate(slot), "cpu_plugs"), ids),)
    if not plugs:
        if all_kept(parts, ("board", "psu")):
            return (unknown(ID, "psu.cpu_plugs", ids),)  # fed in a way the survey does not describe
        line = draft.bought_for("power.cpu_plug", "plug")
        limits = _adapter_limits_ma(problem, headers[0], parts.psu, parts.drive)
        limit = (
            max(limits, default=0) if line is None else adapter_limit_ma(problem.extras[line.item], settings)
        )
        return (at_most(ID, current, limit, "mA", ids, plugs="adapter"),)
    fed = feeding_plugs(headers, plugs)
    usual, hard = cpu_plugs_limit_ma(fed, settings), cpu_plugs_limit_ma(fed, settings, hard=True)
    if usual < current <= hard:
        return (
            at_most(ID, current, hard, "mA", ids, plugs="+".join(fed), usual_ma=usual, warning="over usual"),
        )
    return (
        at_most(ID, current, max(usual, hard) if current > usual else usual, "mA", ids, plugs="+".join(fed)),
    )


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    settings = problem.settings
    currents = picks.classes("cpu", "12 V current, kept", lambda c: (cpu_12v_ma(c.part, settings), c.kept))
    supplies = picks.classes(
        "psu", "power.cpu_plug", lambda c: (c.part.cpu_plugs, c.part.peripheral_plugs, c.kept)
    )
    boards = picks.classes("board", "power.cpu_current", lambda c: (c.part.cpu_plugs, c.kept))
    drives = picks.classes("drive", "peripheral plugs", lambda c: drive_plugs(c.part, problem)[1])

    def refuse(limit: int, pair_kept: bool, *where: Any) -> None:
        for (current, cpu_kept), cpu in currents.items():
            if current > limit and not (pair_kept and cpu_kept):
                picks.clause([~cpu, *(~literal for literal in where)], on)

    for (plugs, peripherals, psu_kept), supply in supplies.items():
        for (headers, board_kept), board in boards.items():
            pair_kept = psu_kept and board_kept
            if not headers or plugs is None:
                continue
            if plugs:
                fed = feeding_plugs(headers, plugs)
                most = max(
                    sum(settings[f"cpu_plug_{size}pin{kind}"] for size in fed) for kind in ("_ma", "_hard_ma")
                )
                refuse(most, pair_kept, supply, board)
            elif not pair_kept:
                for taken, drive in drives.items():
                    spare = None if peripherals is None else peripherals - taken
                    most = max(
                        (adapter_limit_ma(e, settings) for e in cpu_adapters(problem, headers[0], spare)),
                        default=0,
                    )
                    refuse(most, False, supply, board, drive)
