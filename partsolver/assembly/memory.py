"""Memory as assembled: the data rate all modules run at, and how many channels' worth of bandwidth they give.

Sources: effective rate = lowest of module, board, processor and the limit for that many modules in a channel
(Intel Core i7-9700K-era datasheet vol. 1, section 2.1.4; Intel support article 000088926 for two modules in a
channel); unequal channels by the interleaved share (Intel Xeon C5500/C3500 datasheet vol. 1, 323103-001,
section 2.1.3.7.3).
"""

from __future__ import annotations

from partsolver.base.quantities import ceil_div
from partsolver.catalog.records import Board, Cpu
from partsolver.problem.candidates import MemoryChoice
from partsolver.standards.memory import best_layout, interleave_milli_channels

# One channel, when nothing is known of board or modules: the cautious end.
ONE_CHANNEL_MILLI = 1000


def processor_rate_mts(cpu: Cpu, generation: str | None) -> int | None:
    """Highest data rate of the processor for a generation, or None when it states none."""
    return next((rate for name, rate in cpu.memory_rates or () if name == generation), None)


def modules_per_channel(board: Board, modules: int) -> int:
    """Modules in the fullest channel."""
    return ceil_div(modules, board.memory_channels or 1)


def board_rate_mts(board: Board, modules: int) -> int | None:
    """Highest rate of the board with that many modules."""
    if modules_per_channel(board, modules) > 1 and board.memory_two_per_channel_rate_mts is not None:
        two, one = board.memory_two_per_channel_rate_mts, board.memory_max_rate_mts
        return two if one is None else min(one, two)
    return board.memory_max_rate_mts


def effective_rate_mts(board: Board, cpu: Cpu, memory: MemoryChoice) -> int | None:
    """Data rate the modules run at; None when no limit is known."""
    limits = (
        memory.rate_mts,
        board_rate_mts(board, memory.modules),
        processor_rate_mts(cpu, board.memory_generation or memory.generation),
    )
    known = [limit for limit in limits if limit is not None]
    return min(known) if known else None


def channels(board: Board, cpu: Cpu) -> int:
    """Channels that board and processor share; one when unknown."""
    own = board.memory_channels or 1
    return min(own, cpu.memory_channels or own)


def milli_channels(
    module_mib: tuple[int, ...] | None, modules: int, channel_count: int, slots: int | None
) -> int:
    """Bandwidth in thousandths of a channel: 2000 for two equal channels, 1500 for three equal modules on
    two.

    Unknown module sizes count as equal. Modules that do not go into the slots count as one channel (a rule
    refuses such plans; the number only has to be defined).
    """
    sizes = module_mib or (1,) * modules
    layout = best_layout(sizes, channel_count, slots or max(len(sizes), channel_count))
    if layout is None:
        return ONE_CHANNEL_MILLI
    return interleave_milli_channels([sum(channel) for channel in layout], channel_count)
