"""Sources of error of the time terms: keys, terms and sizes, by hand with round settings of this test's own."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from support import BOARD, CPU, SYSTEM_DRIVE, make_problem, make_survey, pick

from partsolver.catalog.records import DrivePart
from partsolver.performance.errors import Source, _cpu_sources, _drive_sources, error_sources
from partsolver.problem.candidates import DriveChoice
from partsolver.problem.problem import Problem
from partsolver.survey.model import Card, Drive

SIZES = {
    "score_error_unknown": 90, "score_error_measured": 3, "score_error_published": 5, "score_error_estimated": 20,
    "parallel_unknown_error": 45, "parallel_measured_error": 2, "parallel_published_error": 6,
    "parallel_estimated_error": 14, "memory_error": 7, "waiting_measured_error": 11, "waiting_disk_error": 35,
    "waiting_ssd_error": 30, "waiting_nvme_error": 25, "streaming_error": 8, "capacity_error": 50,
    "graphics_error": 21, "graphics_unknown_error": 60,
}  # fmt: skip
S = {f"{name}_percent": size for name, size in SIZES.items()}
BOTH = ("serial", "parallel")


@pytest.mark.parametrize(
    ("facts", "both", "beyond"),
    [
        ({"score_origin": "published"}, 0.05, 0.06),
        ({"score_origin": "measured"}, 0.03, 0.02),
        ({"score_origin": "measured", "score_error_percent": 4}, 0.04, 0.02),
        ({"score_origin": "measured", "score_error_percent": 0}, 0.0, 0.02),
        ({"score_origin": "estimated"}, 0.20, 0.14),
        ({"score_origin": "estimated", "score_error_percent": 17}, 0.17, 0.14),
        ({"score_origin": "estimated", "cores": None}, 0.20, 0.45),
        ({"score_origin": "published", "cores": None}, 0.05, 0.06),
        ({"score_origin": None}, 0.20, 0.14),  # nobody said: as if estimated
        ({"serial_score": None}, 0.90, None),
        ({"parallel_score": None, "score_error_percent": 4}, 0.90, None),
    ],
)
def test_processors(facts: dict[str, Any], both: float, beyond: float | None) -> None:
    found = list(_cpu_sources(replace(CPU, **facts), S))
    right = [Source(("cpu", "cpu-a"), BOTH, both)]
    if beyond is not None:
        right.append(Source(("cpu, all threads", "cpu-a"), ("parallel",), beyond))
    assert found == right


def pc(**survey: Any) -> Problem:
    return replace(make_problem(make_survey(**survey)), settings={**make_problem().settings, **S})


@pytest.mark.parametrize(
    ("facts", "waiting", "key", "capacity"),
    [
        ({"kind": "ssd", "interface": "sata"}, 0.30, "ssd", "ssd"),
        ({"kind": "ssd", "interface": "m2-nvme"}, 0.25, "nvme", "ssd"),
        ({"kind": "hdd35", "interface": "sata"}, 0.35, "hdd35", "disk"),
        ({"kind": "hdd25", "interface": "sata"}, 0.35, "hdd25", "disk"),
        ({"kind": None, "interface": "sata"}, 0.30, "unknown", "unknown"),
    ],
)
def test_drives(facts: dict[str, Any], waiting: float, key: str, capacity: str) -> None:
    rest = [
        Source(("streaming", "d"), ("streaming",), 0.08),
        Source(("capacity", capacity), ("capacity",), 0.5),
    ]
    kept = DriveChoice("d", Drive(name="drive", **facts), None)
    bought = DriveChoice("d", None, DrivePart("d", "D", **facts))
    for choice in (kept, bought):
        found = list(_drive_sources(pc(), choice))
        assert found == [Source(("waiting", key), ("waiting",), waiting), *rest]
    measured = DriveChoice("d", Drive(name="drive", random_reads_per_s=300, **facts), None)
    found = list(_drive_sources(pc(), measured))
    assert found == [Source(("waiting", "d"), ("waiting",), 0.11), *rest]
    # Out of a disk's cache: as if nothing were measured.
    cached = DriveChoice("d", Drive(name="drive", random_reads_per_s=301, **facts), None)
    own = key if facts.get("kind") in ("hdd35", "hdd25") else "d"
    assert next(iter(_drive_sources(pc(), cached))).key == ("waiting", own)


def test_all_of_a_pc_in_order() -> None:
    problem = pc()
    found = error_sources(problem, pick(problem))
    assert [source.key for source in found] == [
        ("cpu", "cpu-a"),
        ("cpu, all threads", "cpu-a"),
        ("memory", "kit-a*1", "ddr4", 2, 4, "cpu-a"),
        ("waiting", "ssd"),
        ("streaming", "kept-drive"),
        ("capacity", "ssd"),
        ("graphics", "cpu-a"),
    ]
    assert [source.terms for source in found[2:]] == [
        ("memory",), ("waiting",), ("streaming",), ("capacity",), ("graphics",),
    ]  # fmt: skip
    assert [source.error for source in found] == [0.05, 0.06, 0.07, 0.30, 0.08, 0.5, 0.21]
    assert SYSTEM_DRIVE.random_reads_per_s is None


@pytest.mark.parametrize(
    ("facts", "key", "error"),
    [
        ({"graphics_score": 700}, "card", 0.21),
        ({"graphics_score": None}, "card", 0.60),
        ({"graphics_score": 700, "uefi": False}, "cpu-a", 0.21),  # stays dark: the processor draws
        ({"graphics_score": None, "uefi": False}, "cpu-a", 0.21),
    ],
)
def test_graphics(facts: dict[str, Any], key: str, error: float) -> None:
    card = Card(**{"name": "card", "kind": "graphics", "bus": "pcie", "lanes": 16, **facts})
    survey = make_survey(cards=(card,))
    problem = make_problem(survey, boards=[replace(BOARD, firmware_modes=("uefi",))])
    problem = replace(problem, settings={**problem.settings, **S})
    assert error_sources(problem, pick(problem))[-1] == Source(("graphics", key), ("graphics",), error)


def test_graphics_of_a_processor_that_nobody_scored() -> None:
    problem = make_problem(cpus=[replace(CPU, graphics_score=None)])
    problem = replace(problem, settings={**problem.settings, **S})
    assert error_sources(problem, pick(problem))[-1] == Source(("graphics", "cpu-a"), ("graphics",), 0.21)
