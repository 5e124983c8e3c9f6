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
from partsolver.problem.candidates import MemoryChoice, Parts
from partsolver.problem.problem import Problem
from partsolver.wishes.uses import RESOURCES

# The resources and the time that lack of memory costs, in the order of every report.
TERM_NAMES = (*RESOURCES, "capacity")


def terms_ppm(problem: Problem, parts: Parts, law: Law | None = None) -> dict[str, int]:
    """Time by resource for whole parts, millionths of the reference time. ``law``: another than the
    problem's own, such as that of another use. What few facts decide is remembered by them."""
    remembered = law is None
    law = law or law_of(problem)
    board, cpu, memory, drive = parts.board, parts.cpu, parts.memory, parts.drive
    bandwidth = shared_bandwidth_kbs(problem, board, cpu, memory)
    card = drawing_card(problem, board, parts.case, parts.graphics)
    own = own_graphics_score(problem, board, parts.board_kept, cpu.graphics_score)

    def once(key: tuple[Any, ...], value: Callable[[], int]) -> int:
        return _once(problem, key, value) if remembered else value()

    return {
        "serial": law.serial_ppm(cpu),
        "parallel": law.parallel_ppm(cpu),
        "memory": law.memory_ppm(bandwidth),
        "waiting": once(("waiting", drive.id), lambda: law.waiting_ppm(drive)),
        "streaming": once(
            ("streaming", streaming_facts(board), drive.id), lambda: law.streaming_ppm(board, drive)
        ),
        "graphics": law.graphics_ppm(card, own, bandwidth),
        "other": law.other_ppm,
        "capacity": once(
            ("capacity", memory.module_mib, memory.seen_mib, drive.id),
            lambda: law.capacity_ppm(memory, drive),
        ),
    }


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
