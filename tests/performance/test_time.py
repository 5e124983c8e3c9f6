"""Which part decides which term, by hand on round numbers. The reference machine: 1000 and 4000 points, 34133 MB/s, 1000 in 3D."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import CPU, KIT, make_problem, make_survey, pick

from partsolver.catalog.records import DrivePart
from partsolver.performance import law as laws
from partsolver.performance.law import (
    Law,
    bandwidth_kbs,
    capacity_kind,
    lacking_ppm,
    law_of,
    slowed_ppm,
    usable_mib,
    waiting_kind,
    waiting_percent,
)
from partsolver.performance.time import (
    TERM_NAMES,
    drive_ppm,
    other_ppm,
    shared_bandwidth_kbs,
    terms_ppm,
    time_ppm,
)
from partsolver.problem.candidates import DriveChoice
from partsolver.problem.memory_choices import new_memory
from partsolver.survey.model import Card, Drive
from partsolver.wishes.brief import Brief

ALL = {
    "serial": 200,
    "parallel": 200,
    "memory": 100,
    "waiting": 200,
    "streaming": 100,
    "graphics": 100,
    "other": 100,
}


@pytest.mark.parametrize(
    ("share", "numerator", "denominator", "most", "ppm"),
    [
        (500, 1, 1, 100, 500_000),
        (500, 3, 2, 100, 750_000),
        (1, 1, 3, 100, 333),
        (1, 1, 2000, 100, 1),  # 0.5, half up
        (1, 1, 2001, 100, 0),
        (1, 2, 3, 100, 667),
        (10, 100, 1, 100, 1_000_000),
        (10, 101, 1, 100, 1_000_000),  # no slower than this is told apart
        (10, 9, 1, 8, 80_000),
        (0, 9, 1, 8, 0),
    ],
)
def test_a_share_times_its_slowness(
    share: int, numerator: int, denominator: int, most: int, ppm: int
) -> None:
    assert slowed_ppm(share, numerator, denominator, most) == ppm


@pytest.mark.parametrize(
    ("cost", "usable", "wanted", "ppm"),
    [
        (100, 4096, 4096, 0),
        (100, 5000, 4096, 0),
        (100, 3072, 4096, 500_000),  # a quarter is lacking, the knee at a quarter: half the cost
        (50, 3072, 4096, 250_000),
        (100, 2048, 4096, 800_000),  # 4 / (4 + 1)
        (100, 4095, 4096, 1),  # 0.95, rounded
    ],
)
def test_what_lack_of_memory_costs(cost: int, usable: int, wanted: int, ppm: int) -> None:
    """cost x d^2 / (d^2 + (25 % of the working set)^2)."""
    assert lacking_ppm(cost, 25, usable, wanted) == ppm


@pytest.mark.parametrize(
    ("rate", "milli", "kbs"), [(2400, 2000, 38_400_000), (None, 1000, 6_400_000), (1333, 1500, 15_996_000)]
)
def test_bandwidth(rate: int | None, milli: int, kbs: int) -> None:
    assert bandwidth_kbs(rate, milli) == kbs


@pytest.mark.parametrize(
    ("seen", "limit", "usable"),
    [(None, None, 8192), (None, 4096, 4096), (None, 9000, 8192), (3500, None, 3500), (3500, 3000, 3000)],
)
def test_capacity_that_the_system_uses(seen: int | None, limit: int | None, usable: int) -> None:
    choice = replace(new_memory(KIT, 1), seen_mib=seen)
    assert usable_mib(choice, limit) == usable
    assert usable_mib(replace(choice, module_mib=None, seen_mib=None), limit) is None


@pytest.mark.parametrize(
    ("facts", "kind", "capacity"),
    [
        ({"kind": "ssd", "interface": "sata"}, "ssd", "ssd"),
        ({"kind": "ssd", "interface": "m2-nvme"}, "nvme", "ssd"),
        ({"kind": "hdd35"}, "hdd35", "disk"),
        ({"kind": "hdd25"}, "hdd25", "disk"),
        ({"kind": "optical"}, "unknown", "unknown"),
        ({"kind": None, "interface": "m2-nvme"}, "unknown", "unknown"),
    ],
)
def test_kinds_of_drives(facts: dict[str, Any], kind: str, capacity: str) -> None:
    kept = DriveChoice("d", Drive(name="d", **facts), None)
    bought = DriveChoice("d", None, DrivePart("d", "D", **facts))
    settings = {
        f"waiting_{name}_percent": 7 * n + 50 for n, name in enumerate(("nvme", "hdd35", "hdd25", "unknown"))
    }
    for choice in (kept, bought):
        assert (waiting_kind(choice), capacity_kind(choice)) == (kind, capacity)
        assert waiting_percent(choice, settings) == (
            100 if kind == "ssd" else settings[f"waiting_{kind}_percent"]
        )
    assert waiting_kind(DriveChoice("none", None, None)) == "unknown"


@pytest.mark.parametrize(("reads", "percent"), [(1000, 100), (250, 200), (4000, 50), (10**9, 1), (1, 3162)])
def test_measured_reads_go_before_the_kind(reads: int, percent: int) -> None:
    """The root of how many fewer reads than 1000 a second, of this test's own settings."""
    drive = DriveChoice("d", Drive(name="d", kind="ssd", random_reads_per_s=reads), None)
    assert (
        waiting_percent(drive, {"random_reads_exponent_percent": 50, "random_reads_reference": 1000})
        == percent
    )


def test_terms_of_whole_parts() -> None:
    """1500 of 1000 points: two thirds; 6000 of 4000 likewise; 38400 of 34133 MB/s."""
    problem = make_problem(brief=Brief(shares=ALL, working_set_mib=4096))
    parts = pick(problem)
    found = terms_ppm(problem, parts)
    assert tuple(found) == TERM_NAMES
    assert (found["serial"], found["parallel"], found["other"]) == (133_333, 133_333, 100_000)
    assert (
        found["memory"] == 88_888
        and shared_bandwidth_kbs(problem, parts.board, parts.cpu, parts.memory) == 38_400_000
    )
    assert found["waiting"] == 200_000 and found["capacity"] == 0
    assert time_ppm(problem, parts) == sum(found.values())
    own = drive_ppm(problem, parts.board, parts.memory, parts.drive)
    assert own == found["waiting"] + found["streaming"] + found["capacity"]
    assert other_ppm(problem, parts) == sum(found.values()) - own
    # Another law is not remembered in the place of the problem's own.
    slower = replace(law_of(problem), settings={**problem.settings, "waiting_nvme_percent": 1})
    assert terms_ppm(problem, parts, slower) == found and law_of(problem) is law_of(problem)
    twice = replace(law_of(problem), reference=replace(law_of(problem).reference, serial_score=2000))
    assert terms_ppm(problem, parts, twice)["serial"] == 266_667 and terms_ppm(problem, parts) == found


@pytest.mark.parametrize(
    ("score", "graphics"), [(2000, 50_000), (1000, 100_000), (500, 200_000), (None, 200_000)]
)
def test_graphics_of_a_card(score: int | None, graphics: int) -> None:
    card = Card(name="card", kind="graphics", bus="pcie", lanes=16, graphics_score=score, uefi=True)
    problem = make_problem(make_survey(cards=(card,)), Brief(shares=ALL))
    assert terms_ppm(problem, pick(problem))["graphics"] == graphics


def law(**settings: int) -> Law:
    problem = make_problem(brief=Brief(shares=ALL))
    return replace(law_of(problem), settings={**problem.settings, **settings})


@pytest.mark.parametrize(
    ("score", "bandwidth", "bound", "ppm"),
    [
        (1000, 34_133_000, 40, 100_000),
        (500, 34_133_000, 40, 200_000),
        (1000, 17_066_500, 40, 140_000),  # 0.6 + 0.4 x 2
        (1000, 17_066_500, 0, 100_000),
        (1000, 17_066_500, 100, 200_000),
        (None, 34_133_000, 40, 200_000),
        (10, 34_133_000, 40, 300_000),  # the cap
    ],
)
def test_graphics_of_a_processor(score: int | None, bandwidth: int, bound: int, ppm: int) -> None:
    here = law(
        integrated_graphics_bandwidth_percent=bound, graphics_slowness_cap=3, graphics_3d_slowness_cap=3
    )
    assert here.integrated_ppm(score, bandwidth) == ppm == here.graphics_ppm(None, score, bandwidth)


def test_processors_without_a_score_count_as_twice_as_slow() -> None:
    here = law()
    unknown = replace(CPU, serial_score=None, parallel_score=None)
    assert (here.serial_ppm(unknown), here.parallel_ppm(unknown)) == (400_000, 400_000)
    assert here.compute_ppm(CPU) == 266_666 and here.other_ppm == 100_000
    assert (laws.MOST_SLOWNESS, laws.FALLBACK_RATE_MTS, laws.UNKNOWN_PERCENT) == (100, 800, 200)
