"""Every drive that stays gets a power plug.

SATA drives take SATA plugs, older disks and optical drives peripheral plugs. Splitters and leads between the
two kinds cure a lack; peripheral plugs and amperes that a processor adapter takes are not counted twice, and
splitters and leads only serve drives whose start-up they carry. Behind a splitter all SATA drives hang on the
SATA leads; with leads from peripheral plugs the lightest that both kinds of leads carry hang on those. One kind of
adapter cures a lack; mixtures are not tried. On the board and the supply that stay a drive takes the plug of the one it replaces, whatever
feeds that today (makers' boards and splitters do too), if it draws no more. A new supply without the small plug of a floppy drive is said: a short lead from a peripheral
plug makes one. Not checked: moulded leads from peripheral to SATA plugs, which are known for shorts (use
crimped ones; common practice).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from partsolver.assembly.leads import (
    claimed_by_cpu,
    drive_pieces,
    hang_on_sata,
    no_more_than,
    peripheral_limit_ma,
    peripheral_power_options,
    sata_places,
    sata_power_options,
    starting,
    starting_today,
)
from partsolver.assembly.loads import CPU_READS, highest_where_adapted
from partsolver.assembly.plugs import (
    Options,
    all_kept,
    drive_plugs,
    first_header,
    power_plug,
    question,
    spare_peripherals,
)
from partsolver.assembly.ports import drives_of
from partsolver.catalog.records import Board, Cpu, Psu
from partsolver.plan.draft import Draft, Need
from partsolver.plan.findings import Finding, at_least, fits, unknown
from partsolver.problem.candidates import DriveChoice, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.rules.base import Kind, Nature, Reads

if TYPE_CHECKING:
    from partsolver.model.cpsat import cp_model
    from partsolver.model.picks import BoolVar, Picks

ID = "power.drive_plugs"
STATEMENT = (
    "Every drive gets a power plug of its kind, directly, through a splitter or through an adapter lead."
)
SOURCE = "SATA plug: three contacts of 1.5 A per rail; common practice"
KIND: Kind = "parts"
NATURE: Nature = "physics"
SLOTS: tuple[SlotName, ...] = ("board", "cpu", "psu", "drive")
READS: Reads = {
    "board": ("cpu_plugs",),
    "cpu": CPU_READS,
    "psu": ("cpu_plugs", "floppy_plugs", "peripheral_leads", "peripheral_plugs", "sata_leads", "sata_plugs"),
    "drive": ("kept", "part.interface", "part.kind", "part.pcie_gen"),
}
SURVEY: tuple[str, ...] = ("drives",)


TODAY: tuple[SlotName, ...] = ("board", "psu", "drive")


def _cure(
    problem: Problem, board: Board, cpu: Cpu, psu: Psu, choice: DriveChoice, best: bool = False
) -> tuple[tuple[str, int, Options], ...]:
    """(kind of plug that lacks, how many, what cures it). ``best``: as if every peripheral plug had a lead
    of its own."""
    sata, peripheral = drive_plugs(choice, problem)
    lacking_sata = 0 if psu.sata_plugs is None else max(0, sata - psu.sata_plugs)
    spare = spare_peripherals(psu, peripheral)
    lacking_peripheral = 0 if spare is None else max(0, -spare)
    result: list[tuple[str, int, Options]] = []
    if lacking_sata:
        claimed = claimed_by_cpu(problem, board, cpu, psu, choice)
        result.append(("sata", lacking_sata, sata_power_options(problem, psu, choice, claimed, best)))
    if lacking_peripheral:
        result.append(("peripheral", lacking_peripheral, peripheral_power_options(problem, psu, choice)))
    return tuple(result)


def _plugs_stay(parts: Parts, problem: Problem, plug: str) -> bool:
    """Whether the drives take plugs of this kind that feed drives like them today."""
    return all_kept(parts, ("board", "psu")) and no_more_than(
        starting(parts.drive, problem, plug), starting_today(problem, plug)
    )


def needs(parts: Parts, problem: Problem) -> tuple[Need, ...]:
    if all_kept(parts, TODAY):
        return ()
    kinds = {"sata": "sata-power-splitter", "peripheral": "peripheral-from-sata"}
    return tuple(
        Need(ID, plug, kinds[plug], options, (("missing", lacking), ("plug", plug)))
        for plug, lacking, options in _cure(problem, parts.board, parts.cpu, parts.psu, parts.drive)
        if not _plugs_stay(parts, problem, plug)
    )


def admits(draft: Draft, problem: Problem) -> tuple[Finding, ...]:
    parts = draft.parts
    psu = parts.psu
    ids = (psu.id,)
    wanted = dict(zip(("sata", "peripheral"), drive_plugs(parts.drive, problem), strict=True))
    given = {"sata": psu.sata_plugs, "peripheral": psu.peripheral_plugs}
    findings = []
    for plug, number in wanted.items():
        have = given[plug]
        if number == 0:
            continue
        if all_kept(parts, TODAY):
            findings.append(fits(ID, ids, number, plug=plug, today="yes"))
        elif _plugs_stay(parts, problem, plug):
            findings.append(fits(ID, ids, number, plug=plug, today="no more"))
        elif have is None:
            findings.append(unknown(ID, question(parts.candidate("psu"), f"{plug}_plugs"), ids))
        else:
            line = draft.bought_for(ID, plug)
            added = 0 if line is None else line.quantity * problem.extras[line.item].count
            if have + added < number and _more_leads_would_do(problem, parts, plug):
                asked = question(parts.candidate("psu"), "peripheral_leads")
                findings.append(unknown(ID, asked, ids, blocks=True, plug=plug))
            elif plug == "sata" and line is not None:
                findings.extend(_shared_out(draft, problem, line.item, have + added, number))
            else:
                findings.append(at_least(ID, have + added, number, "plugs", ids, plug=plug, added=added))
    return (*findings, *_floppy(parts, problem))


def _shared_out(draft: Draft, problem: Problem, item: str, plugs: int, number: int) -> tuple[Finding, ...]:
    """SATA drives on the supply's plugs and on what was bought for the others: which of them hang where, and how
    many SATA leads there are where that decides."""
    parts, ids = draft.parts, (draft.parts.psu.id,)
    claimed = claimed_by_cpu(problem, parts.board, parts.cpu, parts.psu, parts.drive)
    stay, moved = sata_places(problem, parts.psu, parts.drive, claimed, problem.extras[item])
    facts: dict[str, str | int] = {"plug": "sata", "added": plugs - (parts.psu.sata_plugs or 0)}
    if moved and moved != drive_pieces(parts.drive, problem, "sata")[: len(moved)]:
        facts["disks"] = len(moved)  # not the lightest
    finding = at_least(ID, plugs, number, "plugs", ids, **facts)
    starts = [piece.start for piece in stay]
    if hang_on_sata(problem, parts.psu, starts, best=False):
        return (finding,)
    asked = question(parts.candidate("psu"), "sata_leads")
    limit = peripheral_limit_ma(problem)
    return (finding, unknown(ID, asked, ids, plug="sata", total=sum(starts), limit=limit))


def _floppy(parts: Parts, problem: Problem) -> tuple[Finding, ...]:
    """Floppy drives on a new supply: their small plug, which a lead from a peripheral plug stands in for."""
    number = sum(power_plug(drive) == "floppy" for drive in drives_of(parts.drive, problem))
    if not number or parts.candidate("psu").kept:
        return ()
    have, ids = parts.psu.floppy_plugs, (parts.psu.id,)
    if have is None:
        return (unknown(ID, question(parts.candidate("psu"), "floppy_plugs"), ids),)
    lacking = max(0, number - have)
    return (fits(ID, ids, min(have, number), plug="floppy", **({"lacking": lacking} if lacking else {})),)


def _more_leads_would_do(problem: Problem, parts: Parts, plug: str) -> bool:
    """Whether a lack could be cured if the supply's peripheral plugs hung on leads of their own."""
    if parts.psu.peripheral_leads is not None:
        return False
    cures = _cure(problem, parts.board, parts.cpu, parts.psu, parts.drive, best=True)
    return any(kind == plug and options for kind, _, options in cures)


def post(model: cp_model.CpModel, picks: Picks, problem: Problem, on: BoolVar) -> None:
    supplies: dict[Any, Any] = {}
    for candidate, literal in picks.candidates("psu"):
        psu: Any = candidate.part
        key = (
            psu.cpu_plugs, psu.sata_plugs, psu.sata_leads, psu.peripheral_plugs, psu.peripheral_leads, candidate.kept
        )  # fmt: skip
        supplies.setdefault(key, (psu, []))[1].append(literal)
    boards = picks.samples("board", lambda c: (first_header(c.part), c.kept))
    # Drives that take the places of today's, of those on plugs of a kind, by candidate.
    as_today = {
        drive.key: {
            plug: no_more_than(starting(drive.part, problem, plug), starting_today(problem, plug))
            for plug in ("sata", "peripheral")
        }
        for drive, _ in picks.candidates("drive")
    }
    conditions: dict[Any, Any] = {}
    for (cpu_plugs, *_, psu_kept), (psu, psu_literals) in supplies.items():
        # The processor matters only where an adapter shares the leads with the drives.
        processors = picks.samples("cpu", highest_where_adapted(cpu_plugs == (), problem.settings))
        for drive, drive_literal in picks.candidates("drive"):
            for (_, board_kept), (board, board_literal) in boards.items():
                if psu_kept and drive.kept and board_kept:
                    continue
                for cpu, cpu_literal in processors.values():
                    for plug, _, options in _cure(problem, board, cpu, psu, drive.part):
                        if psu_kept and board_kept and as_today[drive.key][plug]:
                            continue
                        where = picks.both(
                            picks.any_of(psu_literals), board_literal, cpu_literal, drive_literal
                        )
                        conditions.setdefault((plug, options), []).append(where)
    for number, ((plug, options), wheres) in enumerate(conditions.items()):
        picks.need(ID, f"{plug}:{number}", options, wheres, on)
