"""How sure the time terms are: independent sources of error with what each moves, and the uncertainty of the
shares.

A source of error (a processor's score, a kind of drive ...) moves one or more terms by a relative amount; it
has a key, and two PCs that share the key share the error, so that only the difference of its shares of their
times counts (JCGM 100:2008 (GUM), sections 5.1.2 and 5.2: first-order propagation with correlation 1). Facts
that are not known are no errors: ``unknowns.py`` tries every value that they may have. Of unknown figures
only those stand here that are estimated, and the score of a kept graphics card.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping

from partsolver.assembly.pictures import own_graphics_score, picture_card
from partsolver.base.records import record
from partsolver.catalog.records import Cpu
from partsolver.performance.law import capacity_kind, measured_reads, waiting_kind
from partsolver.problem.candidates import DriveChoice, Parts
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
        *_drive_sources(problem, parts.drive),
        _graphics_source(problem, parts),
    )


def _percent(settings: Mapping[str, int], name: str) -> float:
    return settings[f"{name}_percent"] / 100


def _cpu_sources(cpu: Cpu, settings: Mapping[str, int]) -> Iterator[Source]:
    origin = cpu.score_origin or "estimated"
    if cpu.serial_score is None or cpu.parallel_score is None:
        yield Source(("cpu", cpu.id), ("serial", "parallel"), _percent(settings, "score_error_unknown"))
        return
    stated = cpu.score_error_percent
    own = _percent(settings, f"score_error_{origin}") if stated is None else stated / 100
    yield Source(("cpu", cpu.id), ("serial", "parallel"), own)
    if origin == "estimated" and cpu.cores is None:
        origin = "unknown"
    beyond = _percent(settings, f"parallel_{origin}_error")
    yield Source(("cpu, all threads", cpu.id), ("parallel",), beyond)


def _memory_source(problem: Problem, parts: Parts) -> Source:
    board, memory = parts.board, parts.memory
    key = (
        "memory",
        memory.id,
        board.memory_generation,
        board.memory_channels,
        board.memory_slots,
        parts.cpu.id,
    )
    return Source(key, ("memory",), _percent(problem.settings, "memory_error"))


def _drive_sources(problem: Problem, drive: DriveChoice) -> Iterator[Source]:
    settings = problem.settings
    kind = waiting_kind(drive)
    if measured_reads(drive) is not None:
        yield Source(("waiting", drive.id), ("waiting",), _percent(settings, "waiting_measured_error"))
    else:
        name = {"hdd35": "disk", "hdd25": "disk", "unknown": "ssd"}.get(kind, kind)
        yield Source(("waiting", kind), ("waiting",), _percent(settings, f"waiting_{name}_error"))
    yield Source(("streaming", drive.id), ("streaming",), _percent(settings, "streaming_error"))
    yield Source(("capacity", capacity_kind(drive)), ("capacity",), _percent(settings, "capacity_error"))


def _graphics_source(problem: Problem, parts: Parts) -> Source:
    card = picture_card(problem, parts.board, parts.case, parts.graphics)
    own = own_graphics_score(problem, parts.board, parts.board_kept, parts.cpu.graphics_score)
    score = own if card is None else card.graphics_score
    name = "graphics_unknown_error" if score is None and card is not None else "graphics_error"
    return Source(
        ("graphics", parts.cpu.id if card is None else card.name),
        ("graphics",),
        _percent(problem.settings, name),
    )
