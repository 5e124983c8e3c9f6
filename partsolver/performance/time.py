"""Expected time for a use: generalised Amdahl's law in exact integers.

T(m) = sum over resources k of F_k / s_k(m), with F_k the shares of the reference machine's time and s_k the
speed relative to the reference (Hennessy & Patterson, Computer Architecture, 5th ed., section 1.9,
generalised). A term is an integer in millionths of the reference time, rounded half up once, so that terms
add exactly and every statement of the time (model, plain sum, oracle) agrees to the last digit.

Integrated graphics: ``integrated_graphics_bandwidth_percent`` of their time is bound by memory bandwidth
(engineering judgement after single- against dual-channel tests). Paging: share x (working set - capacity) /
working set x latency ratio of the system drive (form: Silberschatz, effective access time; the ratios are
judgement).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from functools import lru_cache
from typing import Any

from partsolver.assembly.cards import graphics_card
from partsolver.assembly.memory import channels, effective_rate_mts, milli_channels
from partsolver.assembly.storage import storage_mbs
from partsolver.base.quantities import PPM, round_half_up
from partsolver.catalog.records import Board, Cpu, Reference
from partsolver.problem.candidates import DriveChoice, MemoryChoice, Parts
from partsolver.problem.problem import Problem
from partsolver.survey.model import Card
from partsolver.wishes.uses import Use

# Greatest slowness that is told apart, times the reference: without any graphics, or with an absurd score.
MOST_SLOWNESS = 100
FALLBACK_RATE_MTS = 800


@lru_cache(maxsize=1 << 16)
def _term(share_permille: int, amount: int | None, reference: int) -> int:
    """A share at the speed amount / reference; without a score half the reference (and an open question). Few
    values recur in thousands of plans."""
    return _slowed(share_permille, *((2, 1) if amount is None else (reference, amount)))


def _slowed(share_permille: int, numerator: int, denominator: int) -> int:
    """A share times the slowness numerator / denominator (at most MOST_SLOWNESS), in millionths, rounded half
    up; whole numbers all the way."""
    if numerator > MOST_SLOWNESS * denominator:
        numerator, denominator = MOST_SLOWNESS, 1
    return (2 * share_permille * (PPM // 1000) * numerator + denominator) // (2 * denominator)


def serial_ppm(cpu: Cpu, use: Use, reference: Reference) -> int:
    """Serial compute: the one-thread score against the reference."""
    return _term(use.share("serial"), cpu.serial_score, reference.serial_score)


def parallel_ppm(cpu: Cpu, use: Use, reference: Reference) -> int:
    """Parallel compute: the all-thread score against the reference."""
    return _term(use.share("parallel"), cpu.parallel_score, reference.parallel_score)


def bandwidth_kbs(rate_mts: int | None, milli: int) -> int:
    """MT/s x 8 bytes x channels, in kB/s (JESD79-3: transfers per second x eight)."""
    return (rate_mts or FALLBACK_RATE_MTS) * 8 * milli


def memory_ppm(bandwidth: int, use: Use, reference: Reference) -> int:
    """Memory: bandwidth in kB/s against the reference."""
    return _term(use.share("memory"), bandwidth, reference.memory_mbs * 1000)


def storage_ppm(
    board: Board, drive: DriveChoice, use: Use, reference: Reference, settings: Mapping[str, int]
) -> int:
    """Storage: what the system drive reads through its port."""
    return _term(use.share("storage"), storage_mbs(board, drive, settings), reference.storage_mbs)


def card_graphics_ppm(card: Card, use: Use, reference: Reference) -> int:
    """Graphics made by a kept card, which has memory of its own."""
    return _term(use.share("graphics"), card.graphics_score, reference.graphics_score)


def integrated_graphics_ppm(
    score: int | None, bandwidth: int, use: Use, reference: Reference, settings: Mapping[str, int]
) -> int:
    """Graphics made by the processor, partly bound by memory bandwidth (kB/s)."""
    percent = settings["integrated_graphics_bandwidth_percent"]
    return _integrated(
        use.share("graphics"),
        score,
        reference.graphics_score,
        bandwidth,
        reference.memory_mbs * 1000,
        percent,
    )


@lru_cache(maxsize=1 << 16)
def _integrated(
    share_permille: int, score: int | None, reference: int, bandwidth: int, reference_kbs: int, percent: int
) -> int:
    """1 / speed = ((1 - b) + b / m) / s with s the score, m the bandwidth against the reference and b the
    bound share."""
    score, reference = (1, 2) if score is None else (score, reference)
    numerator = reference * ((100 - percent) * bandwidth + percent * reference_kbs)
    return _slowed(share_permille, numerator, 100 * bandwidth * score)


def usable_mib(memory: MemoryChoice, limit_mib: int | None) -> int | None:
    """Capacity that the operating system uses."""
    total = memory.total_mib
    return total if total is None or limit_mib is None else min(total, limit_mib)


def capacity_ppm(
    memory: MemoryChoice, drive: DriveChoice, use: Use, limit_mib: int | None, settings: Mapping[str, int]
) -> int:
    """Time added when the memory is below the working set. Unknown capacity adds none (it is an open
    question)."""
    usable = usable_mib(memory, limit_mib)
    missing = 0 if usable is None else use.working_set_mib - usable
    if missing <= 0:
        return 0
    source = drive.kept or drive.part
    slow = source is not None and source.kind in ("hdd35", "hdd25")
    ratio = settings["paging_ratio_disk"] if slow else settings["paging_ratio_ssd"]
    return round_half_up(Fraction(use.paging_permille * PPM * missing * ratio, 1000 * use.working_set_mib))


def terms_ppm(problem: Problem, parts: Parts) -> dict[str, int]:
    """Time by resource for whole parts, millionths of the reference time. What few facts decide is remembered
    by them."""
    use, reference, settings = problem.use, problem.catalog.reference, problem.settings
    board, cpu, memory, drive = parts.board, parts.cpu, parts.memory, parts.drive
    bandwidth = shared_bandwidth_kbs(problem, board, cpu, memory)
    card = graphics_card(problem, board, parts.case)
    return {
        "serial": serial_ppm(cpu, use, reference),
        "parallel": parallel_ppm(cpu, use, reference),
        "memory": memory_ppm(bandwidth, use, reference),
        "storage": _once(
            problem,
            (
                "storage",
                board.sata_6g_ports,
                board.sata_3g_ports,
                board.sata_1g5_ports,
                board.m2_slots,
                drive.id,
            ),
            lambda: storage_ppm(board, drive, use, reference, settings),
        ),
        "graphics": (
            card_graphics_ppm(card, use, reference)
            if card is not None
            else integrated_graphics_ppm(cpu.graphics_score, bandwidth, use, reference, settings)
        ),
        "capacity": _once(
            problem,
            ("capacity", memory.module_mib, drive.id),
            lambda: capacity_ppm(memory, drive, use, problem.memory_limit_mib, settings),
        ),
    }


def shared_bandwidth_kbs(problem: Problem, board: Board, cpu: Cpu, memory: MemoryChoice) -> int:
    """Memory bandwidth of a board with a processor and modules, kB/s."""
    return _once(
        problem,
        (
            "bandwidth",
            board.memory_channels,
            board.memory_slots,
            board.memory_generation,
            board.memory_max_rate_mts,
            board.memory_two_per_channel_rate_mts,
            cpu.memory_channels,
            cpu.memory_rates,
            memory.module_mib,
            memory.modules,
            memory.rate_mts,
            memory.generation,
        ),
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
