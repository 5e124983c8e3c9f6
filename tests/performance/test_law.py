"""The time law against textbook values, and that nothing better is slower."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from performance.machines import CLASSES, PROBLEM, Machine, law, machine, ratio, terms

from partsolver.performance.law import lacking_ppm, law_of, slowed_ppm, waiting_percent
from partsolver.performance.time import terms_ppm
from partsolver.problem.candidates import DriveChoice
from partsolver.standards.settings import defaults
from partsolver.survey.model import Drive
from partsolver.wishes.uses import RESOURCES, USES, Use


@pytest.mark.parametrize(
    ("fraction", "speedup", "overall"),
    [
        # Amdahl (1967): 95 % parallel on 8 and on 4096 processors (worked example of any text): 5.93 and 19.9
        (Fraction(95, 100), 8, 5.926),
        (Fraction(95, 100), 4096, 19.91),
        # Hennessy & Patterson, 5th ed., section 1.9: 40 % of the time ten times as fast: 1.56
        (Fraction(40, 100), 10, 1.5625),
        # the same section: floating-point root 20 % ten times as fast 1.22; all floating point 50 % at 1.6:
        # 1.23
        (Fraction(20, 100), 10, 1.22),
        (Fraction(50, 100), Fraction(16, 10), 1.23),
    ],
)
def test_amdahl(fraction: Fraction, speedup: Fraction, overall: float) -> None:
    part = int(1000 * fraction)
    before = slowed_ppm(part, 1, 1) + slowed_ppm(1000 - part, 1, 1)
    after = slowed_ppm(part, 1000, int(1000 * speedup)) + slowed_ppm(1000 - part, 1, 1)
    assert before / after == pytest.approx(overall, rel=0.005)


@pytest.mark.parametrize("use", list(USES))
def test_shares_are_whole(use: str) -> None:
    """On the reference machine every term is its share, and the whole time 1 (definition)."""
    assert sum(USES[use].shares_permille) == 1000 and len(USES[use].shares_permille) == len(RESOURCES)
    found = terms(use, machine("mid", rate_mts=2133, graphics=None))
    del found["graphics"]
    expected = {name: USES[use].share(name) * 1000 for name in RESOURCES if name != "graphics"}
    assert all(found[name] == pytest.approx(expected[name], rel=0.04) for name in expected)
    assert found["capacity"] == 0


def test_shortage_has_a_knee_and_a_limit() -> None:
    """cost x^2 / (x^2 + knee^2): by hand 0.8 x 0.04 / 0.29 at a fifth, half the cost at the knee, nothing
    above; at most cost / (1 + knee^2)."""
    cost = [lacking_ppm(80, 50, mib, 10000) for mib in range(0, 12001, 500)]
    assert lacking_ppm(80, 50, 8000, 10000) == round(800_000 * 0.04 / 0.29)
    assert lacking_ppm(80, 50, 5000, 10000) == 400_000
    assert lacking_ppm(80, 50, 10000, 10000) == lacking_ppm(80, 50, 30000, 10000) == 0
    assert cost == sorted(cost, reverse=True) and cost[0] == 640_000
    # convex near the working set, concave far below it: the steps grow, then shrink
    steps = [a - b for a, b in itertools.pairwise(cost)]
    peak = steps.index(max(steps))
    assert 0 < peak < len(steps) - 5
    assert steps[: peak + 1] == sorted(steps[: peak + 1]) and steps[peak:] == sorted(
        steps[peak:], reverse=True
    )


def test_shortage_is_rounded_half_up() -> None:
    """Against exact fractions, for shortages of every size."""
    for usable in range(1, 10000, 37):
        lacking = 10000 - usable
        exact = Fraction(800_000 * lacking**2, lacking**2 + 5000**2)
        assert lacking_ppm(80, 50, usable, 10000) == math.floor(exact + Fraction(1, 2))


def test_waiting_by_kind_and_by_measured_reads() -> None:
    """The kinds' ratios; a drive read like a SATA solid-state drive counts as one, one read like a disk
    (79 reads a second: 8.5 ms seek + 4.17 ms latency, data sheets of 2010) within the disks' 5 to 14."""
    settings = defaults()

    def waits(**facts: Any) -> int:
        return waiting_percent(DriveChoice("d", Drive(name="d", **facts), None), settings)

    assert waits(kind="ssd") == 100 and waits(kind="hdd35") == 800 and waits(kind="hdd25") == 1100
    assert waits(kind="ssd", interface="m2-nvme") == 50
    assert 100 < waits() < 800
    assert waits(random_reads_per_s=11000) == 100  # measured beats unknown
    # 265 reads a second within a short span of a disk were measured (speed reference, section 1.1); what is far
    # more came out of the disk's cache, where the measured file lay, and its kind counts.
    assert 500 <= waits(kind="hdd35", random_reads_per_s=265) < 800
    assert waits(kind="hdd35", random_reads_per_s=11000) == 800
    assert waits(kind="hdd25", random_reads_per_s=301) == 1100
    assert 500 <= waits(kind="hdd35", random_reads_per_s=79) <= 1400
    assert 35 <= waits(kind="ssd", random_reads_per_s=20000) < 100


def test_graphics_is_3d_and_video_only() -> None:
    """No use but games and video has a graphics term; its slowness ends at the named caps."""
    for use in USES:
        found = terms(use, machine("old", graphics=0))["graphics"]
        cap = 30 if use == "games" else 3
        assert found == USES[use].share("graphics") * 1000 * cap
    assert {use for use in USES if USES[use].share("graphics")} == {"games", "video"}


STEPS: dict[str, list[Any]] = {
    "serial": [100, 470, 1000, 5000],
    "parallel": [100, 900, 4000, 90000],
    "rate_mts": [400, 800, 2133, 6000],
    "graphics": [0, 1, 80, 600, 9000],
    "channels": [1, 2],
    "gib": [1, 2, 4, 6, 8, 16, 64],
    "drive": ["hdd25", "hdd35", "ssd", "nvme3", "nvme4"],
    "port_gbps10": [15, 30, 60],
}


@pytest.mark.parametrize("use", [*USES, "launch"])
@pytest.mark.parametrize("kind", list(CLASSES))
@pytest.mark.parametrize("fact", list(STEPS))
def test_nothing_better_is_slower(use: str, kind: str, fact: str) -> None:
    found = []
    for value in STEPS[fact]:
        other = {"drive": "hdd35"} if fact == "gib" else {}
        found.append(sum(terms(use, machine(kind, **other, **{fact: value})).values()))
    assert found == sorted(found, reverse=True)


def test_a_use_of_ones_own_is_the_weighted_sum() -> None:
    """T is linear in the shares: half of one use and half of another takes the mean of both times."""
    a, b = USES["office"], USES["programming"]
    mixed = tuple((x + y) // 2 for x, y in zip(a.shares_permille, b.shares_permille, strict=True))
    rest = 1000 - sum(mixed)
    use = Use("own", "own", (*mixed[:-1], mixed[-1] + rest), 0)
    of = machine("old")

    def total(which: Use) -> int:
        return sum(
            terms_ppm(
                PROBLEM, of.parts, replace(law("office"), use=replace(which, working_set_mib=0))
            ).values()
        )

    assert total(use) == pytest.approx((total(a) + total(b)) / 2, rel=0.002)


def test_link_alone_doubles_large_files_and_hardly_moves_the_day() -> None:
    """3 -> 6 Gb/s: sequential reads double (readings 250-285 against 520-560 MB/s), daily work gains a few
    per cent."""
    old, new = machine("old", port_gbps10=30), machine("old")
    assert terms("office", old)["streaming"] / terms("office", new)["streaming"] == pytest.approx(2, abs=0.1)
    assert 1 < ratio("office", old, new) < 1.04


def test_law_is_made_once_per_problem() -> None:
    assert law_of(PROBLEM) is law_of(PROBLEM)
    assert isinstance(machine("mid"), Machine)
