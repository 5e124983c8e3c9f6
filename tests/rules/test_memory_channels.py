"""memory.channels. Outside: flex mode, Intel Xeon C5500/C3500 datasheet vol. 1 (323103-001), 2.1.3.7.3: 2 x
min(A, B) interleaved. Three equal modules on two channels: (1 + 2) / 2 = 1.5 channels (harmonic mix, by
hand)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from support import BOARD, CPU, KIT, OLD_BOARD, agree, findings, make_problem, make_survey

from partsolver.rules import memory_channels as rule


@pytest.mark.parametrize(
    ("modules", "channels", "slots", "filled", "milli", "half"),
    [
        (1, 2, 4, 1, 1000, "yes"),
        (2, 2, 4, 2, 2000, None),
        (3, 2, 4, 2, 1500, None),
        (4, 2, 4, 2, 2000, None),
        (1, 1, 2, 1, 1000, None),
        (3, 4, 4, 3, 3000, None),
        (1, 4, 4, 1, 1000, None),
    ],
)
def test_table(modules, channels, slots, filled, milli, half):
    problem = make_problem(
        boards=[replace(BOARD, memory_channels=channels, memory_slots=slots)],
        cpus=[replace(CPU, memory_channels=channels)],
        memory=[replace(KIT, modules=modules)],
    )
    (found,) = findings(rule, problem)
    assert (found.verdict, found.value, found.limit, found.unit, found.margin) == (
        "fits",
        filled,
        channels,
        "channels",
        None,
    )
    assert (found.fact("milli_channels"), found.fact("half_bandwidth"), found.fact("modules")) == (
        milli,
        half,
        modules,
    )


def test_facts_exactly():
    (found,) = findings(rule, make_problem(memory=[replace(KIT, modules=1)]))
    assert found.facts == (("half_bandwidth", "yes"), ("milli_channels", 1000), ("modules", 1))
    assert found.parts == ("kit-a", "board-a", "cpu-a")


def test_processor_with_one_channel_limits():
    (found,) = findings(rule, make_problem(cpus=[replace(CPU, memory_channels=1)]))
    assert (found.value, found.limit, found.fact("half_bandwidth")) == (1, 1, None)


def test_unknown_channels():
    (found,) = findings(rule, make_problem(boards=[replace(BOARD, memory_channels=None)]))
    assert (found.verdict, found.question) == ("unknown", "board:board-a.memory_channels")
    problem = make_problem(make_survey(board=replace(OLD_BOARD, memory_channels=None)))
    assert findings(rule, problem, problem.present())[0].question == "board.memory_channels"


def test_never_refuses():
    admitted, refused = agree(rule, make_problem(memory=[replace(KIT, modules=1)], coolers=()))
    assert admitted > 0 and refused == 0
