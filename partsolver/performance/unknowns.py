"""What a fact that is not known may be: every value that is usual, so that a range with the fact unknown
holds the ranges that it could turn out to be.

A score that nobody published is no unknown fact here: it is estimated, and its error stands in ``errors.py``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from partsolver.assembly.storage import PORT_GBPS10, drive_interface, possible_sata_rates
from partsolver.catalog.records import Board, DrivePart
from partsolver.performance.law import waiting_kind
from partsolver.problem.candidates import SLOTS, Candidate, DriveChoice, Parts, SlotName
from partsolver.problem.problem import Problem
from partsolver.standards.memory import RATES
from partsolver.survey.model import Drive
from partsolver.wishes.uses import Use

# Memory of desktop PCs that are looked after today, MiB (common practice).
USUAL_MIB = (1024, 2048, 3072, 4096, 8192, 16384, 32768, 65536)
# 3D scores against the reference, in per cent: none, chipset graphics, processor graphics of 2011 to 2024.
USUAL_3D_PERCENT = (0, 8, 60, 160, 300)
# Slow and fast drives of each kind when they read large files, MB/s (common practice).
USUAL_READ_MBS = {"ssd": (200, 560), "hdd35": (60, 250), "hdd25": (40, 140), "nvme": (1000, 7000)}


def possible_parts(
    problem: Problem, use: Use, parts: tuple[Parts, Parts]
) -> Iterator[tuple[tuple[Parts, Parts], ...]]:
    """For every unknown fact of some sets of parts: the sets with each value that it may have. A candidate
    that stands in several sets has the same value in all."""
    seen: set[tuple[SlotName, str, str]] = set()
    for own in parts:
        for name, slot, changes in _unknown_facts(problem, use, own):
            candidate = own.candidate(slot)
            if (slot, candidate.key, name) in seen:
                continue
            seen.add((slot, candidate.key, name))
            first, second = parts
            yield tuple(
                (_exchanged(first, slot, candidate, change), _exchanged(second, slot, candidate, change))
                for change in changes
            )


# What the time reads of an unknown fact -> the survey's question about it.
QUESTIONS = {
    "rate": "memory.rate_mts",
    "size": "memory.capacity_mib",
    "channels": "board.memory_channels",
    "ports": "board.sata_6g_ports",
    "graphics": "cpu.graphics_score",
    "drive": "drive.kind",
}


def time_questions(problem: Problem, parts: Parts) -> tuple[str, ...]:
    """The survey's facts that are not known and enter the time of what the PC has."""
    return tuple(
        QUESTIONS[name]
        for name, slot, _ in _unknown_facts(problem, problem.use, parts)
        if parts.candidate(slot).kept
    )


def _exchanged(parts: Parts, slot: SlotName, old: Candidate, change: Callable[[Any], Any]) -> Parts:
    if parts.candidate(slot) is not old:
        return parts
    changed = Candidate(old.slot, old.key, change(old.part), old.id, old.quantity, old.offers, old.kept)
    return Parts(tuple(changed if s == slot else c for s, c in zip(SLOTS, parts.picked, strict=True)))


def _unknown_facts(
    problem: Problem, use: Use, parts: Parts
) -> Iterator[tuple[str, SlotName, tuple[Callable[[Any], Any], ...]]]:
    """Name, slot and possible changes of every unknown fact that the time reads."""
    board, cpu, memory = parts.board, parts.cpu, parts.memory
    if memory.rate_mts is None:
        generation = board.memory_generation or memory.generation
        rates = RATES.get(generation or "") or (RATES["ddr2"][0], RATES["ddr5"][-1])
        yield "rate", "memory", tuple(_setting(rate_mts=rate) for rate in (rates[0], rates[-1]))
    if memory.module_mib is None and memory.seen_mib is None:
        count = max(1, memory.modules)
        sizes = ((mib // count,) * count for mib in USUAL_MIB)
        yield "size", "memory", tuple(_setting(module_mib=size) for size in sizes)
    if board.memory_channels is None:
        yield "channels", "board", tuple(_setting(memory_channels=n) for n in (1, 2))
    rates_of_ports = possible_sata_rates(board)
    if len(rates_of_ports) > 1:
        yield "ports", "board", tuple(_ports(rate) for rate in reversed(rates_of_ports))
    if cpu.graphics_score is None and use.share("graphics"):
        points = problem.catalog.reference.graphics_score
        yield "graphics", "cpu", tuple(_setting(graphics_score=points * p // 100) for p in USUAL_3D_PERCENT)
    drives = tuple(_possible_drives(parts.drive, problem.survey.board))
    if len(drives) > 1 or drive_interface(parts.drive) is None:
        yield "drive", "drive", drives


def _setting(**facts: Any) -> Callable[[Any], Any]:
    return lambda part: replace(part, **facts)


def _ports(rate: int) -> Callable[[Any], Any]:
    counts = {r: 4 if r == rate else 0 for r in PORT_GBPS10}
    return _setting(sata_6g_ports=counts[60], sata_3g_ports=counts[30], sata_1g5_ports=counts[15])


def _possible_drives(drive: DriveChoice, present: Board) -> Iterator[Callable[[Any], Any]]:
    """Every kind, read rate and lead that the system drive may have (one where all are known or measured)."""
    source = drive.kept or drive.part
    known = waiting_kind(drive)
    kinds = (known,) if known != "unknown" else ("ssd", "hdd35", "hdd25")
    if source is not None and source.interface in ("m2-nvme", "m2-sata"):
        kinds = ("nvme" if source.interface == "m2-nvme" else "ssd",)
    for kind in kinds:
        stated = None if source is None else source.read_mbs
        for interface in _interfaces(source, kind, present):
            usual = USUAL_READ_MBS["nvme" if interface == "m2-nvme" else kind]
            for read in usual if stated is None else (stated,):
                yield _drive_of("ssd" if kind == "nvme" else kind, read, interface)


def _interfaces(source: Drive | DrivePart | None, kind: str, present: Board) -> tuple[str | None, ...]:
    """The leads that a drive of a kind may have: its own, or those that such drives have where nobody
    looked."""
    if source is None or source.interface is not None:
        return (None,)
    if kind != "ssd":
        return ("sata", "pata")
    return ("sata",) if present.m2_slots == () else ("sata", "m2-nvme")


def _drive_of(kind: str, read_mbs: int, interface: str | None) -> Callable[[Any], Any]:
    changes: dict[str, Any] = {"kind": kind, "read_mbs": read_mbs}
    if interface is not None:
        changes["interface"] = interface

    def changed(part: Any) -> Any:
        if part.part is not None:
            return DriveChoice(part.id, None, replace(part.part, **changes))
        kept = part.kept or Drive(name=part.id, interface="sata")
        return DriveChoice(part.id, kept.model_copy(update=changes), None)

    return changed
