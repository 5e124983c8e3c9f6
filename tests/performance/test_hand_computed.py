"""Times, speed-ups and intervals against a table that was worked out with a pocket calculator.

Three PCs of `machines.py` against the reference (1000 and 4000 points, 34,133 MB/s, 500 MB/s, 1000 points of 3D).
Figures: shares of the uses and every per cent as typed in ``standards/data`` (settings.csv, uses.csv); the law as
its docstring states it; the variance of a ratio as the docstring of `performance/interval.py` states it (Kotz,
Balakrishnan and Johnson, chapter 49; GUM 5.1.2). The intermediate results stand in `WORKED`, so that each can be
gone through by hand. One row in full (office, the old PC with 4 GiB against the mid one with 8 GiB):

    serial      600 / 0.470                                = 1276.596   600 / 1.0       =  600.000
    parallel    120 / (900 / 4000)                         =  533.333   120 / 1.0       =  120.000
    memory       30 x 34133 / (1067 x 16)                  =   59.981    30 x 34133 / (2133 x 16) = 30.004
    waiting      85 x 1 (SATA solid-state drive)           =   85.000                      85.000
    streaming    15 x 500 / (300 x 85 %)                   =   29.412    15 x 500 / 520 =   14.423
    other                                                     150.000                     150.000
    capacity    lacking 1/5: 80 % x 0.04 / (0.04 + 0.25)   =  110.345                       0
    together                                                 2244.666                     999.427   -> 2.246 times

    shares: sum g^2 / m - (sum g)^2 = 0.187251, over 26                          = 0.007202
    errors: 5 % of the old processor's part of its time, (0.05 x 1809.929 / 2244.666)^2 = 0.001625;
            its threads (0.06 x 533.333 / 2244.666)^2 = 0.000203; the new one's 0.001298 and 0.000052;
            memory and streaming 0.000007; the kind of drive, shared, (0.10 x (85/2244.666 - 85/999.427))^2
            = 0.000022; what lack of memory costs (0.5 x 110.345 / 2244.666)^2 = 0.000604    = 0.003811
    working set 25 % smaller or larger: ln S moves by -0.0504 or +0.0700
    ln S = 0.80913; reach below (1.959964^2 x (0.007202 + 0.003811) + 0.0504^2)^0.5 = 0.21178 -> 1.817
                    reach above (1.959964^2 x (0.007202 + 0.003811) + 0.0700^2)^0.5 = 0.21726 -> 2.791
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from performance.machines import PROBLEM, interval, law, machine, terms
from support import CPU, OLD_CPU, make_problem, make_survey, pick

from partsolver.performance.account import account_of
from partsolver.performance.errors import error_sources
from partsolver.performance.interval import error_variance, is_coin_toss, share_variance
from partsolver.performance.present import as_today, present_parts
from partsolver.performance.time import terms_ppm
from partsolver.survey.model import Card

OLD_4 = machine("old", port_gbps10=30, gib=4)
OLD_8 = machine("old", port_gbps10=30, gib=8)
OLD_DISK = machine("old", port_gbps10=30, drive="hdd35", gib=2)
MID_8 = machine("mid", gib=8)
MID_DISK = machine("mid", drive="hdd35", gib=4)
NEW = machine("new", drive="nvme3")

# use, before, after; thousandths of the reference's time by resource (serial, parallel, memory, waiting, streaming,
# graphics, other, capacity) before and after; variance of ln S by shares and by errors, in millionths; speed-up,
# low and high end in thousandths.
WORKED: list[tuple[Any, ...]] = [
    (
        ("office", OLD_4, MID_8),
        (1276.596, 533.333, 59.981, 85.000, 29.412, 0, 150.000, 110.345),
        (600.000, 120.000, 30.004, 85.000, 14.423, 0, 150.000, 0),
        (7202, 3811),
        (2246, 1817, 2791),
    ),
    (
        ("photo", OLD_DISK, NEW),
        (765.957, 1644.444, 99.968, 640.000, 76.923, 0, 120.000, 2157.303),
        (211.765, 148.000, 33.333, 40.000, 2.988, 0, 120.000, 0),
        (18491, 42491),
        (9899, 6098, 16063),
    ),
    (
        ("video", MID_DISK, NEW),
        (140.000, 660.000, 50.007, 320.000, 76.923, 116.673, 20.000, 1409.396),
        (82.353, 264.000, 33.333, 20.000, 2.988, 38.646, 20.000, 0),
        (10738, 68749),
        (6054, 3476, 10521),
    ),
    (
        ("games", OLD_8, MID_8),
        (510.638, 488.889, 39.987, 30.000, 19.608, 9617.143, 20.000, 0),
        (240.000, 110.000, 20.003, 30.000, 9.615, 950.049, 20.000, 0),
        (8638, 51340),
        (7775, 4800, 12564),
    ),
    (
        ("server", OLD_DISK, MID_8),
        (574.468, 1022.222, 79.974, 840.000, 96.154, 0, 330.000, 1050.000),
        (270.000, 230.000, 40.006, 105.000, 24.038, 0, 330.000, 0),
        (22642, 24286),
        (3997, 2580, 6126),
    ),
    (
        ("programming", MID_8, NEW),
        (285.000, 545.000, 40.006, 75.000, 9.615, 0, 45.000, 72.544),
        (167.647, 218.000, 26.666, 37.500, 1.494, 0, 45.000, 0),
        (2766, 6194),
        (2160, 1772, 2733),
    ),
]
NAMES = ("serial", "parallel", "memory", "waiting", "streaming", "graphics", "other", "capacity")
IDS = [row[0][0] for row in WORKED]


@pytest.mark.parametrize("row", WORKED, ids=IDS)
def test_times_by_resource(row: Any) -> None:
    (use, before, after), old, new, *_ = row
    for found, worked in ((terms(use, before), old), (terms(use, after), new)):
        assert {name: found[name] / 1000 for name in NAMES} == pytest.approx(
            dict(zip(NAMES, worked, strict=True)), abs=0.0006
        )


@pytest.mark.parametrize("row", WORKED, ids=IDS)
def test_variances(row: Any) -> None:
    (use, before, after), _, _, (by_shares, by_errors), _ = row
    old, new = terms(use, before), terms(use, after)
    assert share_variance(law(use).use, old, new) == pytest.approx(by_shares / 1e6, abs=6e-7)
    sources = [error_sources(PROBLEM, which.parts) for which in (before, after)]
    assert error_variance(old, new, *sources) == pytest.approx(by_errors / 1e6, abs=6e-7)


@pytest.mark.parametrize("row", WORKED, ids=IDS)
def test_speedup_and_its_interval(row: Any) -> None:
    named, *_, worked = row
    found = interval(*named)
    assert (found.expected_milli, found.low_milli, found.high_milli) == pytest.approx(worked, abs=1)


def test_a_coin_toss_ends_where_it_must() -> None:
    """Office, the mid PC against one whose processor is faster by a factor f in both scores: T = 999.427 against
    279.427 + 720 / f. Errors that the two do not share: 5 % of the processor's part and 6 % of its threads' part, on
    each side: (2 x (0.05 x 0.7204)^2 + 2 x (0.06 x 0.1201)^2)^0.5 = 0.0520. A coin toss below 0.2533 of it, 0.01317:
    f = 1.018 gives ln(999.427 / 986.696) = 0.01282, f = 1.019 gives ln(999.427 / 986.002) = 0.01352."""
    for factor, tossed in ((1.018, True), (1.019, False)):
        faster = machine("mid", gib=8, serial=round(1000 * factor), parallel=round(4000 * factor))
        assert is_coin_toss(PROBLEM, MID_8.parts, faster.parts) is tossed
        assert is_coin_toss(PROBLEM, faster.parts, MID_8.parts) is tossed


@pytest.mark.parametrize(
    ("gib", "serial", "tossed"),
    [
        # ln of the ratio 0.0356; 0.2533 of the standard error on the side where the order would turn: 0.0396 (other
        # side 0.0346), and so on: a working set of another size moves one side more than the other.
        (3, 730, True),
        (4, 840, True),  # -0.0239; 0.0255 (0.0228)
        (5, 980, True),  # -0.0146; 0.0189 (0.0132)
        (5, 1020, False),  # 0.0142; 0.0131 (0.0189)
    ],
)
def test_the_side_on_which_the_order_would_turn_decides(gib: int, serial: int, tossed: bool) -> None:
    """Little memory against a slower processor: what speaks for the one side is surer than for the other."""
    faster = machine("mid", gib=8, serial=serial, parallel=4 * serial)
    assert is_coin_toss(PROBLEM, machine("mid", gib=gib).parts, faster.parts) is tossed


@pytest.mark.parametrize(
    ("use", "score", "ppm"),
    [
        # share x 1000 / score; a card of unknown score counts as twice as slow; 30 times as slow at most in games, 3 else
        ("games", 1600, 356_250),
        ("games", 1000, 570_000),
        ("games", None, 1_140_000),
        ("games", 10, 17_100_000),
        ("video", 500, 140_000),
        ("video", None, 140_000),
        ("video", 100, 210_000),
    ],
)
def test_a_card_of_its_own(use: str, score: int | None, ppm: int) -> None:
    card = Card(name="card", kind="graphics", bus="pcie", graphics_score=score)
    assert law(use).card_ppm(card) == ppm
    assert law(use).graphics_ppm(card, 600, 34_133_000) == ppm


def test_account_of_a_gain() -> None:
    """Whole per cent of the gain by resource and by what is paid for, from the times before and after."""
    problem = make_problem()
    parts = pick(problem)
    old, new = terms_ppm(as_today(problem), present_parts(problem)), terms_ppm(problem, parts)
    gain, found = sum(old.values()) - sum(new.values()), account_of(problem, parts)
    assert found is not None and gain > 0

    def share(*names: str) -> int:
        return round(100 * sum(old[name] - new[name] for name in names) / gain)

    paid = {"processor": ("serial", "parallel"), "memory_speed": ("memory",), "memory_size": ("capacity",)}
    paid |= {"drive": ("waiting", "streaming"), "graphics": ("graphics",)}
    assert found.gain_by_resource == {name: share(name) for name in NAMES if share(name)}
    assert found.gain_by_part == {part: share(*names) for part, names in paid.items() if share(*names)}
    most = max((name for name in NAMES if name != "other"), key=lambda name: new[name])
    assert found.held_back_by == most
    assert found.held_back_percent == round(100 * new[most] / sum(new.values()))


def test_no_account_where_no_processor_has_a_score() -> None:
    """Nothing is said of a gain over a PC of which nothing is known, in a catalogue that knows no score either."""
    unscored = {"serial_score": None, "parallel_score": None}
    problem = make_problem(
        make_survey(cpu=replace(OLD_CPU, **unscored)), cpus=[replace(CPU, score_origin=None, **unscored)]
    )
    assert account_of(problem, pick(problem)) is None
