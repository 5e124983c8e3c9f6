"""Measured figures of this PC in its survey: they replace stated ones, on the right scale, and never
narrow a range."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from measure.samples import sample
from support import CPU, KIT, MEMORY, OLD_CPU, make_catalog, make_survey, pick

from partsolver.catalog.dictionary import data_folder
from partsolver.cli import run
from partsolver.performance.interval import speedup
from partsolver.performance.law import usable_mib
from partsolver.performance.present import present_parts
from partsolver.performance.scale import REFERENCE_ERROR_PERCENT, is_on_scale, on_scale_of
from partsolver.problem.join import join
from partsolver.problem.memory_choices import kept_memory
from partsolver.report.measure import measurement_json
from partsolver.survey.load import load_survey
from partsolver.wishes.brief import Brief


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "pc.toml").write_text((data_folder() / "demo-survey.toml").read_text(encoding="utf-8"))
    return tmp_path


def measured(folder: Path, **changes: Any) -> str:
    (folder / "before.json").write_text(measurement_json(sample(**changes)), encoding="utf-8")
    return "before.json"


def test_measured_figures_replace_stated_ones(bench: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["survey", "import", measured(bench, storage_random=300), "--out", "pc.toml"]) == 0
    survey, _ = load_survey(bench / "pc.toml")
    cpu, drive = survey.cpu, survey.system_drive
    assert (cpu.cores, cpu.threads, cpu.serial_score, cpu.parallel_score) == (4, 4, 1000, 3800)
    assert (cpu.score_origin, cpu.score_scale) == ("measured", "partsolver-1") and cpu.score_error_percent
    assert drive is not None and (drive.name, drive.read_mbs, drive.random_reads_per_s) == (
        "solid-state drive",
        520,
        300,
    )
    assert cpu.name == "present dual-core, 2.7 GHz" and len(survey.drives) == 3  # what a person named stays
    assert "measured figures stand now in place of stated ones: cpu.cores" in capsys.readouterr().err


@pytest.mark.parametrize(("reads", "taken"), [(265, 265), (5000, None)])
def test_reads_out_of_a_disks_cache_are_left_out(
    reads: int, taken: int | None, bench: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A first look reads a file of 32 MiB, which many disks hold in their cache (common practice)."""
    made = measured(bench, storage_random=reads, drive={"rotational": True})
    assert run(["survey", "import", made, "--out", "new.toml"]) == 0
    survey, _ = load_survey(bench / "new.toml")
    assert survey.system_drive is not None and survey.system_drive.random_reads_per_s == taken
    assert ("out of its own cache" in capsys.readouterr().err.replace("\n", " ")) == (taken is None)


def test_a_new_survey_from_a_measurement_alone(bench: Path) -> None:
    assert run(["survey", "import", measured(bench), "--out", "new.toml"]) == 0
    survey, _ = load_survey(bench / "new.toml")
    assert survey.system_drive is not None and survey.system_drive.kind == "ssd"
    assert survey.cpu.serial_score == 1000 and not survey.memory  # capacity says nothing of the modules


def test_a_stated_factor_puts_the_scores_on_the_catalogues_scale(bench: Path) -> None:
    name = measured(bench)
    assert run(["survey", "import", name, "--out", "pc.toml", "--scale-by", "0.6"]) == 0
    cpu = load_survey(bench / "pc.toml")[0].cpu
    assert (cpu.serial_score, cpu.parallel_score, cpu.score_scale) == (600, 2280, None)
    assert run(["survey", "import", name, "--out", "pc.toml", "--scale-by", "much"]) == 2
    assert run(["survey", "import", "pc.toml", "--out", "x.toml", "--scale-by", "2"]) == 2


def test_a_noisy_run_gives_no_figure(bench: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = load_survey(bench / "pc.toml")[0]
    name = measured(bench, state={"busy_permille": 400})
    assert run(["survey", "import", name, "--out", "pc.toml"]) == 0
    after = load_survey(bench / "pc.toml")[0]
    assert "noisy (busy)" in capsys.readouterr().err
    assert after.cpu.serial_score == before.cpu.serial_score and after.cpu.cores == 4
    assert after.system_drive == before.system_drive


def test_a_broken_measurement_is_said(bench: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (bench / "before.json").write_text('{"schema": "partsolver.measurement/1"}')
    assert run(["survey", "import", "before.json", "--out", "new.toml"]) == 0
    assert "cannot be read" in capsys.readouterr().err


def test_scores_of_another_scale_count_by_the_reference_machines() -> None:
    """500 of the yardstick's 1000 points are half of the catalogue's reference, with the error of equating
    the two; a catalogue on the yardstick takes them as they are."""
    info = make_catalog().info
    own = replace(
        CPU, serial_score=500, parallel_score=2000, score_scale="partsolver-1", score_error_percent=3
    )
    other = replace(info, reference=replace(info.reference, serial_score=2600, parallel_score=9000))
    found = on_scale_of(other, own)
    assert (found.serial_score, found.parallel_score) == (1300, 4500)
    assert found.score_error_percent == 21 and REFERENCE_ERROR_PERCENT == 20  # hypot(3, 20), up
    same = replace(info, origin="yardstick partsolver-1, twelve PCs")
    assert is_on_scale(same.origin, "partsolver-1") and on_scale_of(same, own).serial_score == 500
    assert on_scale_of(same, own).score_error_percent == 3
    assert not is_on_scale("yardstick partsolver-10", "partsolver-1")
    assert Fraction(found.serial_score or 0, 2600) == Fraction(1, 2)


def test_the_promise_starts_from_the_measured_before() -> None:
    """A slower measured present means a larger speed-up, and the other scale a wider range."""

    def promise(**facts: Any) -> Any:
        problem = join(make_survey(cpu=replace(OLD_CPU, **facts)), make_catalog(), Brief(budget="1000.00"))
        parts = present_parts(problem)
        better = tuple(next((c for c in problem.slot(s.slot) if not c.kept), s) for s in parts.picked[:3])
        return speedup(problem, replace(parts, picked=(*better, *parts.picked[3:])))

    stated = promise(score_origin="measured", score_error_percent=3)
    slower = promise(serial_score=400, parallel_score=750, score_origin="measured", score_error_percent=3)
    scaled = promise(score_origin="measured", score_error_percent=3, score_scale="partsolver-1")
    assert slower.expected_milli > stated.expected_milli == scaled.expected_milli
    assert scaled.high_milli / scaled.low_milli > stated.high_milli / stated.low_milli


def test_the_memory_that_the_system_sees_replaces_what_the_modules_say(bench: Path) -> None:
    """Stated 2 x 2 GiB; the system sees 7900 MiB: the time counts that, what fits goes by the modules."""
    assert run(["survey", "import", measured(bench), "--out", "pc.toml"]) == 0
    survey, _ = load_survey(bench / "pc.toml")
    assert survey.pc.memory_seen_mib == 7900
    kept = kept_memory(survey)
    assert kept is not None and (kept.total_mib, kept.seen_mib) == (4096, 7900)
    assert usable_mib(kept, None) == 7900


@pytest.mark.parametrize(
    ("stated", "seen", "counts"),
    [
        (4096, 3900, 4096),  # firmware holds some back
        (4096, 3072, 4096),  # graphics in the processor up to 1 GiB
        (4096, 3071, 3071),  # a module that is not seen, or a 32-bit system
        (16384, 14336, 16384),
        (16384, 8000, 8000),
        (4096, 7900, 7900),  # more than anybody stated
        (None, 7900, 7900),
    ],
)
def test_what_counts_of_the_memory(stated: int | None, seen: int, counts: int) -> None:
    size = None if stated is None else stated // 2
    survey = make_survey(memory=(MEMORY.model_copy(update={"capacity_mib": size, "count": 2}),))
    survey = survey.model_copy(update={"pc": survey.pc.model_copy(update={"memory_seen_mib": seen})})
    kept = kept_memory(survey)
    assert kept is not None and usable_mib(kept, None) == counts
    problem = join(survey, make_catalog(memory=[replace(KIT, generation="ddr3")]), Brief(budget="10000.00"))
    mixed = next(c.part for c in problem.slot("memory") if c.part.mixed)
    total = None if mixed.total_mib is None else mixed.total_mib - (stated or 0)
    assert usable_mib(mixed, None) == (None if total is None and stated else counts + 8192)


def test_a_measured_size_narrows_and_an_unknown_one_does_not(bench: Path) -> None:
    """Modules that nobody read: with what the system sees the range is no wider than without."""
    silent = (MEMORY.model_copy(update={"capacity_mib": None}),)
    ranges = []
    for seen in (None, 3900):
        survey = make_survey(memory=silent)
        survey = survey.model_copy(update={"pc": survey.pc.model_copy(update={"memory_seen_mib": seen})})
        problem = join(survey, make_catalog(), Brief(budget="10000.00"))
        found = speedup(problem, pick(problem))
        assert found is not None
        ranges.append((found.low_milli, found.high_milli))
    assert ranges[0][0] <= ranges[1][0] and ranges[1][1] <= ranges[0][1] and ranges[0] != ranges[1]
