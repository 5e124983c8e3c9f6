"""Expected time of whole parts: which part decides which term of the law (``law.py``), summed.

The search (``search/bounds.py``, ``search/rows.py``) and the CP-SAT model (``model/time.py``) combine the
same terms for parts that are not chosen yet; tests compare all three for every plan.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from partsolver.assembly.memory import channels, effective_rate_mts, milli_channels
from partsolver.assembly.pictures import drawing_card, own_graphics_score
from partsolver.catalog.records import Board, Cpu
from partsolver.performance.law import Law, bandwidth_facts, bandwidth_kbs, law_of, streaming_facts
from partsolver.problem.candidates import DriveChoice, MemoryChoice, Parts
from partsolver.problem.problem import Problem
from partsolver.wishes.uses import RESOURCES

# The resources and the time that lack of memory costs, in the order of every report.
TERM_NAMES = (*RESOURCES, "capacity")


def terms_ppm(problem: Problem, parts: Parts, law: Law | None = None) -> dict[str, int]:
    """Time by resource for whole parts, millionths of the reference time. ``law``: another than the
    problem's own, such as that of another use. What few facts decide is remembered by them."""
    found = _drive_terms(problem, parts.board, parts.memory, parts.drive, law) | _other_terms(
        problem, parts, law
    )
    return {name: found[name] for name in TERM_NAMES}


def _drive_terms(
    problem: Problem, board: Board, memory: MemoryChoice, drive: DriveChoice, law: Law | None
) -> dict[str, int]:
    """The terms that the drive decides."""
    remembered = law is None
    law = law or law_of(problem)

    def once(key: tuple[Any, ...], value: Callable[[], int]) -> int:
        return _once(problem, key, value) if remembered else value()

    return {
        "waiting": once(("waiting", drive.id), lambda: law.waiting_ppm(drive)),
        "streaming": once(
            ("streaming", streaming_facts(board), drive.id), lambda: law.streaming_ppm(board, drive)
        ),
        "capacity": once(
            ("capacity", memory.module_mib, memory.seen_mib, drive.id),
            lambda: law.capacity_ppm(memory, drive),
        ),
    }


def _other_terms(problem: Problem, parts: Parts, law: Law | None) -> dict[str, int]:
    """The terms that no drive changes."""
    law = law or law_of(problem)
    board, cpu = parts.board, parts.cpu
    bandwidth = shared_bandwidth_kbs(problem, board, cpu, parts.memory)
    card = drawing_card(problem, board, parts.case, parts.graphics)
    own = own_graphics_score(problem, board, parts.board_kept, cpu.graphics_score)
    return {
        "serial": law.serial_ppm(cpu),
        "parallel": law.parallel_ppm(cpu),
        "memory": law.memory_ppm(bandwidth),
        "graphics": law.graphics_ppm(card, own, bandwidth),
        "other": law.other_ppm,
    }


def drive_ppm(problem: Problem, board: Board, memory: MemoryChoice, drive: DriveChoice) -> int:
    """The part of the expected time that a drive decides beside a board and memory, ppm as `time_ppm`."""
    return sum(_drive_terms(problem, board, memory, drive, None).values())


def other_ppm(problem: Problem, parts: Parts) -> int:
    """The part of the expected time of parts that is the same with every drive, ppm as `time_ppm`."""
    return sum(_other_terms(problem, parts, None).values())


def shared_bandwidth_kbs(problem: Problem, board: Board, cpu: Cpu, memory: MemoryChoice) -> int:
    """Memory bandwidth of a board with a processor and modules, kB/s."""
    key = (
        "bandwidth",
        *bandwidth_facts("board", board),
        *bandwidth_facts("cpu", cpu),
        *bandwidth_facts("memory", memory),
    )
    return _once(
        problem,
        key,
        lambda: bandwidth_kbs(
            effective_rate_mts(board, cpu, memory),
            milli_channels(memory.module_mib, memory.modules, channels(board, cpu), board.memory_slots),
        ),
    )


def _once(problem: Problem, key: tuple[Any, ...], value: Callable[[], int]) -> int:
    terms = problem.store.term_of_facts
    found = terms.get(key)
    if found is None:
        found = terms[key] = value()
    return found


def time_ppm(problem: Problem, parts: Parts) -> int:
    """Expected time for the use, millionths of the reference machine's."""
    return sum(terms_ppm(problem, parts).values())
