"""How sure the time terms are: independent sources of error with what each moves, and the uncertainty of the shares.

A source of error (a processor's score, a kind of drive ...) moves one or more terms by a relative amount; it has a key,
and two PCs that share the key share the error, so that only the difference of its shares of their times counts (JCGM
100:2008 (GUM), sections 5.1.2 and 5.2: first-order propagation with correlation 1).
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping

from partsolver.assembly.cards import graphics_card
from partsolver.assembly.memory import effective_rate_mts
from partsolver.base.records import record
from partsolver.catalog.records import Board, Cpu
from partsolver.performance.law import capacity_kind, waiting_kind
from partsolver.problem.candidates import DriveChoice, MemoryChoice, Parts
from partsolver.problem.problem import Problem


@record
class Source:
    """A source of error: its key, the terms it moves, and its relative standard error."""

    key: Hashable
    terms: tuple[str, ...]
    error: float


def error_sources(problem: Problem, parts: Parts) -> tuple[Source, ...]:
    """Every source of error of the time terms of some parts."""
    settings = problem.settings
    return (
        *_cpu_sources(parts.cpu, settings),
        _memory_source(problem, parts),
        *_drive_sources(problem, parts.board, parts.drive),
        _graphics_source(problem, parts),
    )


def _percent(settings: Mapping[str, int], name: str) -> float:
    return settings[f"{name}_error_percent"] / 100


def _cpu_sources(cpu: Cpu, settings: Mapping[str, int]) -> Iterator[Source]:
    origin = cpu.score_origin or "estimated"
    if cpu.serial_score is None or cpu.parallel_score is None:
        yield Source(("cpu", cpu.id), ("serial", "parallel"), _percent(settings, "score_unknown"))
        return
    stated = cpu.score_error_percent
    own = _percent(settings, f"score_{origin}") if stated is None else stated / 100
    yield Source(("cpu", cpu.id), ("serial", "parallel"), own)
    if origin == "estimated" and cpu.cores is None:
        origin = "unknown"
    beyond = _percent(settings, f"parallel_{origin}")
    yield Source(("cpu, all threads", cpu.id), ("parallel",), beyond)


def _memory_source(problem: Problem, parts: Parts) -> Source:
    board, cpu, memory = parts.board, parts.cpu, parts.memory
    key = ("memory", memory.id, board.memory_generation, board.memory_channels, board.memory_slots, cpu.id)
    name = "memory" if _memory_known(board, cpu, memory) else "memory_unknown"
    return Source(key, ("memory",), _percent(problem.settings, name))


def _memory_known(board: Board, cpu: Cpu, memory: MemoryChoice) -> bool:
    """Whether rate and channels are known: then the bandwidth is."""
    rate = effective_rate_mts(board, cpu, memory)
    return (
        rate is not None
        and memory.rate_mts is not None
        and memory.module_mib is not None
        and board.memory_channels is not None
        and board.memory_slots is not None
    )


def _drive_sources(problem: Problem, board: Board, drive: DriveChoice) -> Iterator[Source]:
    settings = problem.settings
    source = drive.kept or drive.part
    kind = waiting_kind(drive)
    if drive.kept is not None and drive.kept.random_reads_per_s is not None:
        yield Source(("waiting", drive.id), ("waiting",), _percent(settings, "waiting_measured"))
    else:
        name = "disk" if kind in ("hdd35", "hdd25") else kind
        yield Source(("waiting", kind), ("waiting",), _percent(settings, f"waiting_{name}"))
    known = source is not None and source.read_mbs is not None and source.interface is not None
    ports = (board.sata_6g_ports, board.sata_3g_ports, board.sata_1g5_ports)
    known = known and (
        any(p is not None for p in ports) or (source is not None and source.interface == "m2-nvme")
    )
    yield Source(
        ("streaming", drive.id),
        ("streaming",),
        _percent(settings, "streaming" if known else "streaming_unknown"),
    )
    disk = capacity_kind(drive)
    yield Source(
        ("capacity", disk),
        ("capacity",),
        _percent(settings, "capacity_unknown" if disk == "unknown" else "capacity"),
    )


def _graphics_source(problem: Problem, parts: Parts) -> Source:
    card = graphics_card(problem, parts.board, parts.case)
    score = parts.cpu.graphics_score if card is None else card.graphics_score
    name = "graphics_unknown" if score is None else "graphics"
    return Source(
        ("graphics", parts.cpu.id if card is None else card.name),
        ("graphics",),
        _percent(problem.settings, name),
    )
