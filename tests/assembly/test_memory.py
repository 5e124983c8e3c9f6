"""Memory as assembled, by hand: rates and channels (sources: the module's docstring)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import BOARD, CPU, KIT

from partsolver.assembly.memory import (
    ONE_CHANNEL_MILLI,
    board_rate_mts,
    channels,
    effective_rate_mts,
    milli_channels,
    modules_per_channel,
    processor_rate_mts,
)
from partsolver.problem.memory_choices import new_memory


def test_the_rate_of_the_processor_is_that_of_the_generation() -> None:
    cpu = replace(CPU, memory_rates=(("ddr3", 1600), ("ddr4", 2400)))
    assert [processor_rate_mts(cpu, name) for name in ("ddr3", "ddr4", "ddr5", None)] == [
        1600,
        2400,
        None,
        None,
    ]
    assert processor_rate_mts(replace(CPU, memory_rates=None), "ddr4") is None


@pytest.mark.parametrize(
    ("channel_count", "modules", "fullest"),
    [(2, 1, 1), (2, 2, 1), (2, 3, 2), (2, 4, 2), (4, 4, 1), (1, 3, 3), (None, 3, 3), (None, 1, 1), (2, 0, 0)],
)
def test_modules_in_the_fullest_channel(channel_count: int | None, modules: int, fullest: int) -> None:
    """Nobody knows the channels: all modules on one (the cautious end)."""
    assert modules_per_channel(replace(BOARD, memory_channels=channel_count), modules) == fullest


@pytest.mark.parametrize(
    ("one", "two", "modules", "rate"),
    [
        (3200, 2666, 2, 3200),
        (3200, 2666, 3, 2666),
        (2400, 2666, 3, 2400),  # never above what one module in a channel may do
        (None, 2666, 3, 2666),
        (3200, None, 3, 3200),
        (None, None, 3, None),
        (None, 2666, 2, None),
        (3200, 2666, 0, 3200),
    ],
)
def test_the_rate_of_the_board(one: int | None, two: int | None, modules: int, rate: int | None) -> None:
    board = replace(BOARD, memory_channels=2, memory_max_rate_mts=one, memory_two_per_channel_rate_mts=two)
    assert board_rate_mts(board, modules) == rate


@pytest.mark.parametrize(
    ("module", "board", "cpu", "rate"),
    [
        (2400, 2666, 2933, 2400),
        (3200, 2666, 2933, 2666),
        (3200, 3000, 2933, 2933),
        (None, 2666, 2933, 2666),
        (None, None, 2933, 2933),
        (None, None, None, None),
        (2400, None, None, 2400),
    ],
)
def test_all_run_at_the_lowest_limit(
    module: int | None, board: int | None, cpu: int | None, rate: int | None
) -> None:
    choice = new_memory(replace(KIT, rate_mts=module), 1)
    rates = None if cpu is None else (("ddr4", cpu),)
    parts = replace(BOARD, memory_max_rate_mts=board), replace(CPU, memory_rates=rates)
    assert effective_rate_mts(*parts, choice) == rate


def test_which_generation_the_processor_is_asked_for() -> None:
    """The board's; that of the modules where nobody stated the board's."""
    cpu = replace(CPU, memory_rates=(("ddr3", 1600), ("ddr4", 2133)))
    board = replace(BOARD, memory_max_rate_mts=None, memory_generation="ddr3")
    choice = new_memory(replace(KIT, rate_mts=None, generation="ddr4"), 1)
    assert effective_rate_mts(board, cpu, choice) == 1600
    assert effective_rate_mts(replace(board, memory_generation=None), cpu, choice) == 2133


@pytest.mark.parametrize(
    ("board", "cpu", "shared"),
    [(2, 2, 2), (4, 2, 2), (2, 4, 2), (2, None, 2), (None, 2, 1), (None, None, 1)],
)
def test_channels_that_both_have(board: int | None, cpu: int | None, shared: int) -> None:
    assert channels(replace(BOARD, memory_channels=board), replace(CPU, memory_channels=cpu)) == shared


@pytest.mark.parametrize(
    ("sizes", "modules", "channel_count", "slots", "milli"),
    [
        ((4096, 4096), 2, 2, 4, 2000),
        ((4096,), 1, 2, 4, 1000),
        ((4096, 4096, 4096), 3, 2, 4, 1500),  # 12 GiB over the 8 of the fuller channel
        ((8192, 4096), 2, 2, 4, 1500),
        (None, 3, 2, 4, 1500),  # unknown sizes count as equal
        (None, 2, 2, None, 2000),  # so many slots as modules
        (None, 1, 2, None, 1000),
        ((4096,) * 5, 5, 2, 4, ONE_CHANNEL_MILLI),  # they do not go in
        ((8192, 4096, 4096), 3, 2, None, 2000),  # 8 against 4 + 4
        ((4096, 4096), 2, 1, 2, 1000),
        ((4096,) * 3, 3, 3, None, 3000),
    ],
)
def test_bandwidth_in_thousandths_of_a_channel(
    sizes: tuple[int, ...] | None, modules: int, channel_count: int, slots: int | None, milli: int
) -> None:
    """The whole capacity over that of the fullest channel (interleaved share of the docstring's source)."""
    assert milli_channels(sizes, modules, channel_count, slots) == milli


def test_one_channel_is_a_thousand() -> None:
    assert ONE_CHANNEL_MILLI == 1000
