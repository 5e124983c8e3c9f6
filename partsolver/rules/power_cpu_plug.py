"""The board's processor header is fed.

The first processor header must be fed; a second one (8+4, 8+8) may stay empty at rated power. An 8-contact
header is fed in full by an 8-contact plug or two loose 4-contact ones and in half by one of these; a
4-contact header by a 4-contact plug or one half of a divisible 4+4 plug (the catalogue counts 4+4 as 8: look
whether it divides). Without any processor plug an adapter from free peripheral plugs is needed that carries
the processor's highest current, and whose lead carries it beside the drives on it. How many leads there are
is taken as one until it is known. A card plug with 8 contacts is not a processor plug: its polarity is
reversed. Unknown plugs block. The length of the lead is a remark, not a refusal.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.leads import cpu_adapters
from partsolver.assembly.loads import CPU_READS, cpu_load
from partsolver.assembly.plugs import Options, all_kept, feeding_plugs, first_header, question
from partsolver.plan.draft import Draft, Need
from partsolver.plan.findings import Finding, fails, fits, unknown
from partsolver.problem.candidates import Parts, SlotName
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
    "cpu": CPU_READS,
    "psu": ("cpu_lead_mm", "cpu_plugs", "peripheral_leads", "peripheral_plugs"),
    "drive": ("kept", "part.interface", "part.kind", "part.pcie_gen"),
}
SURVEY: tuple[str, ...] = ("drives",)


def _options(problem: Problem, parts: Parts, best: bool = False) -> Options:
    """Adapters that feed the first header; ``best``: as if every peripheral plug had a lead of its own."""
    header = first_header(parts.board) or ""
    current = cpu_load(parts.cpu, problem.settings).most_12v
    found = cpu_adapters(problem, header, current, parts.psu, parts.drive, best)
    return tuple((extra.id, 1) for extra in found)


def needs(parts: Parts, problem: Problem) -> tuple[Need, ...]:
    headers = parts.board.cpu_plugs
    if not headers or parts.psu.cpu_plugs != () or all_kept(parts, ("board", "psu")):
        return ()
    return (Need(ID, "plug", "cpu-plug-adapter", _options(problem, parts), (("header", headers[0]),)),)


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
    return _by_plug(draft, headers, plugs, problem) if plugs else _by_adapter(draft, headers, problem)


def _by_adapter(draft: Draft, headers: tuple[str, ...], problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    ids = (parts.board.id, parts.psu.id)
    line = draft.bought_for(ID, "plug")
    if line is None:
        if parts.psu.peripheral_leads is None and _options(problem, parts, best=True):
            # On leads of their own the plugs would carry it.
            return (unknown(ID, question(parts.candidate("psu"), "peripheral_leads"), ids, blocks=True),)
        return (fails(ID, ids, "none", headers[0]),)
    extra = problem.extras[line.item]
    finding = fits(
        ID,
        (*ids, extra.id),
        headers[0],
        adapter=extra.id,
        peripheral_plugs=extra.count,
        header=headers[0],
        plugs="none",
    )
    if parts.psu.peripheral_plugs is None:
        return (finding, unknown(ID, question(parts.candidate("psu"), "peripheral_plugs"), ids))
    return (finding,)


def _by_plug(
    draft: Draft, headers: tuple[str, ...], plugs: tuple[str, ...], problem: Problem
) -> tuple[Finding, ...]:
    parts = draft.parts
    ids = (parts.board.id, parts.psu.id)
    facts: dict[str, str | int] = {"header": headers[0], "plugs": "+".join(plugs)}
    fed = feeding_plugs(headers, plugs)
    if headers[0] == "8" and fed[0] == "4":
        facts["half"] = "yes"
    if headers[0] == "8" and fed[0] == "8" and "8" not in plugs:
        facts["two_loose"] = "yes"
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
    boards = picks.classes("board", "power.cpu_plug", lambda c: (first_header(c.part), c.kept))
    highest = picks.classes("cpu", "highest 12 V", lambda c: cpu_load(c.part, problem.settings).most_12v)
    needed: dict[Any, Any] = {}  # options -> conditions
    for supply, supply_literal in picks.candidates("psu"):
        plugs = supply.part.cpu_plugs
        for (header, board_kept), board in boards.items():
            if header == "" or (supply.kept and board_kept) or (plugs and header is not None):
                continue
            if plugs is None or header is None:
                picks.never_together(supply_literal, board, on)
                continue
            for drive, drive_literal in picks.candidates("drive"):
                for current, cpu in highest.items():
                    fitting = cpu_adapters(problem, header, current, supply.part, drive.part)
                    options = tuple((extra.id, 1) for extra in fitting)
                    needed.setdefault(options, []).append(
                        picks.both(supply_literal, board, drive_literal, cpu)
                    )
    for number, (options, conditions) in enumerate(needed.items()):
        picks.need(ID, f"plug:{number}", options, conditions, on)
