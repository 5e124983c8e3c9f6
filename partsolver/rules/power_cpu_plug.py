"""The board's processor header is fed.

The first processor header must be fed; a second one (8+4, 8+8) may stay empty at rated power. An 8-contact
header is fed in full by an 8-contact plug and in half by a 4-contact one; a 4-contact header by a 4-contact
plug or one half of a divisible 4+4 plug (the catalogue counts 4+4 as 8: look whether it divides). Without any
processor plug an adapter from free peripheral plugs is needed that carries the processor's current. A card
plug with 8 contacts is not a processor
plug: its polarity is reversed. Unknown plugs block. The length of the lead is a remark, not a refusal.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.loads import cpu_12v_ma
from partsolver.assembly.plugs import (
    Options,
    adapter_limit_ma,
    all_kept,
    cpu_adapters,
    drive_plugs,
    feeding_plugs,
    question,
    spare_peripherals,
)
from partsolver.catalog.records import Cpu, Psu
from partsolver.plan.draft import Draft, Need
from partsolver.plan.findings import Finding, fails, fits, unknown
from partsolver.problem.candidates import DriveChoice, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.cpu_plug"
STATEMENT = "The board's first processor power header is fed by a plug of the supply or by an adapter."
SOURCE = (
    "Intel 336521 (ATX 3.0), table 5-8; Upgrading and Repairing PCs, pp. 925, 935; 4 in 8 contacts: common"
    " practice, the board's manual decides"
)
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "psu", "drive")
READS: Reads = {
    "board": ("cpu_plugs",),
    "cpu": ("power_limit_w", "tdp_w"),
    "psu": ("cpu_lead_mm", "cpu_plugs", "peripheral_plugs"),
    "drive": ("kept", "part.interface"),
}
SURVEY: tuple[str, ...] = ("drives",)


def _adapters(problem: Problem, header: str, cpu: Cpu, psu: Psu, choice: DriveChoice) -> Options:
    spare = spare_peripherals(psu, drive_plugs(choice, problem)[1])
    current = cpu_12v_ma(cpu, problem.settings)
    fitting = cpu_adapters(problem, header, spare)
    return tuple((extra.id, 1) for extra in fitting if adapter_limit_ma(extra, problem.settings) >= current)


def needs(parts: Parts, problem: Problem) -> tuple[Need, ...]:
    headers = parts.board.cpu_plugs
    if not headers or parts.psu.cpu_plugs != () or all_kept(parts, ("board", "psu")):
        return ()
    options = _adapters(problem, headers[0], parts.cpu, parts.psu, parts.drive)
    return (Need(ID, "plug", "cpu-plug-adapter", options, (("header", headers[0]),)),)


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    headers, plugs = parts.board.cpu_plugs, parts.psu.cpu_plugs
    ids = (parts.board.id, parts.psu.id)
    if all_kept(parts, ("board", "psu")):
        return (fits(ID, ids, "+".join(plugs or ()) or None, today="yes"),)
    if headers == ():
        return (fits(ID, ids, "none"),)
    if headers is None:
        return (unknown(ID, question(parts.candidate("board"), "cpu_plugs"), ids, blocks=True),)
    if plugs is None:
        return (unknown(ID, question(parts.candidate("psu"), "cpu_plugs"), ids, blocks=True),)
    facts: dict[str, str | int] = {"header": headers[0], "plugs": "+".join(plugs) or "none"}
    if not plugs:
        line = draft.bought_for(ID, "plug")
        if line is None:
            return (fails(ID, ids, "none", headers[0]),)
        extra = problem.extras[line.item]
        finding = fits(
            ID, (*ids, extra.id), headers[0], adapter=extra.id, peripheral_plugs=extra.count, **facts
        )
        if parts.psu.peripheral_plugs is None:
            return (finding, unknown(ID, question(parts.candidate("psu"), "peripheral_plugs"), ids))
        return (finding,)
    fed = feeding_plugs(headers, plugs)
    if headers[0] == "8" and fed[0] == "4":
        facts["half"] = "yes"
    if headers[0] == "4" and "4" not in plugs:
        facts["divisible"] = "yes"
    if len(fed) < len(headers):
        facts["empty_headers"] = len(headers) - len(fed)
    lead, needed = parts.psu.cpu_lead_mm, problem.settings["cpu_lead_needed_mm"]
    if lead is not None and lead < needed:
        facts.update(lead_mm=lead, lead_needed_mm=needed)
    finding = fits(ID, ids, fed[0], **facts)
    if lead is None:
        return (finding, unknown(ID, question(parts.candidate("psu"), "cpu_lead_mm"), ids))
    return (finding,)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    supplies = picks.classes(
        "psu", "power.cpu_plug", lambda c: (c.part.cpu_plugs, c.part.peripheral_plugs, c.kept)
    )
    boards = picks.classes(
        "board", "power.cpu_plug", lambda c: (c.part.cpu_plugs and c.part.cpu_plugs[0], c.kept)
    )
    currents = picks.classes("cpu", "12 V current", lambda c: cpu_12v_ma(c.part, problem.settings))
    drives = picks.classes("drive", "peripheral plugs", lambda c: drive_plugs(c.part, problem)[1])
    needed: dict[Any, Any] = {}  # options -> conditions
    for (plugs, peripherals, psu_kept), supply in supplies.items():
        for (header, board_kept), board in boards.items():
            if header == () or (psu_kept and board_kept) or (plugs and header is not None):
                continue
            if plugs is None or header is None:
                picks.never_together(supply, board, on)
                continue
            for taken, drive in drives.items():
                left = None if peripherals is None else peripherals - taken
                fitting = cpu_adapters(problem, header, left)
                for current, cpu in currents.items():
                    options = tuple(
                        (e.id, 1) for e in fitting if adapter_limit_ma(e, problem.settings) >= current
                    )
                    needed.setdefault(options, []).append(picks.both(supply, board, drive, cpu))
    for number, (options, conditions) in enumerate(needed.items()):
        picks.need(ID, f"plug:{number}", options, conditions, on)
