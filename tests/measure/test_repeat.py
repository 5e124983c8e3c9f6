"""How far another run may lie: against exact order statistics, textbook intervals, and simulated series."""

from __future__ import annotations

import itertools
import math
from typing import Any

import numpy as np
import pytest
from measure.samples import sample
from scipy import stats as reference

from partsolver.cli import run as command
from partsolver.measure import stats
from partsolver.measure.compare import compare
from partsolver.measure.judge import judge
from partsolver.measure.repeat import (
    LEAST_FOR_RANKS,
    STUDENT_95,
    Reach,
    between_percent,
    bounds,
    rank_correlation,
    scatter_reach,
)
from partsolver.measure.speeds import ratio
from partsolver.report.compare import comparison_text
from partsolver.report.measure import measurement_text
from partsolver.standards.settings import SETTINGS

# Invented readings with the pattern of three runs in a row on one virtual machine of a shared host:
# one-thread scores in two clusters that last some rounds, a drive whose whole level moves between the runs.
SHARED: tuple[dict[str, tuple[int, ...]], ...] = (
    {
        "serial": (1090, 705, 1005, 1075, 1130, 1095, 1050, 1095, 960, 1115, 1000, 1090, 730, 1035, 975),
        "parallel": (
            1840,
            2060,
            1515,
            1800,
            2260,
            2220,
            1900,
            2020,
            1980,
            1920,
            1630,
            1880,
            1520,
            1510,
            1740,
        ),
        "memory": (
            18200,
            17660,
            14320,
            15420,
            17260,
            16680,
            14800,
            15360,
            15780,
            16980,
            15240,
            15480,
            15900,
            15680,
            16200,
        ),
        "storage_sequential": (615, 645, 585, 620, 845, 850, 780, 790, 655, 710, 645, 625, 675, 665, 755),
        "storage_random": (
            16800,
            20180,
            17480,
            17000,
            24660,
            21140,
            22900,
            21900,
            20340,
            19500,
            17040,
            15800,
            17920,
            17260,
            19740,
        ),
        "launch": (1255, 1010, 910, 915, 805, 900, 1130, 870, 1085, 990, 1195, 1295, 1070, 975, 990),
    },
    {
        "serial": (740, 735, 745, 775, 925, 935, 730, 975, 945, 735, 1015, 1100, 1105, 1060, 1030),
        "parallel": (
            1740,
            1615,
            1475,
            1535,
            1720,
            1630,
            1645,
            1525,
            1685,
            1705,
            1860,
            2060,
            1940,
            1860,
            1675,
        ),
        "memory": (
            14660,
            13560,
            16420,
            15360,
            13000,
            17620,
            17340,
            13500,
            16000,
            16580,
            17540,
            17820,
            15800,
            16700,
            13700,
        ),
        "storage_sequential": (415, 365, 435, 380, 370, 320, 395, 400, 510, 390, 405, 425, 415, 355, 395),
        "storage_random": (
            17720,
            15760,
            17600,
            14940,
            18200,
            21320,
            15860,
            14520,
            21100,
            16380,
            16620,
            20840,
            21160,
            20960,
            22080,
        ),
        "launch": (1355, 1340, 1145, 1170, 1170, 1085, 1135, 1380, 1020, 1200, 1005, 975, 1010, 1110, 1095),
    },
    {
        "serial": (755, 1005, 820, 1120, 995, 1085, 835, 1015, 980, 1015, 875, 975, 740, 1115, 885),
        "parallel": (
            1780,
            1780,
            1840,
            2220,
            1720,
            1430,
            1660,
            1960,
            1960,
            2080,
            1840,
            1880,
            1465,
            2280,
            1685,
        ),
        "memory": (
            15700,
            16940,
            18860,
            19560,
            14400,
            11700,
            14920,
            16960,
            14740,
            15360,
            15980,
            15440,
            14240,
            17580,
            14820,
        ),
        "storage_sequential": (415, 430, 560, 500, 510, 435, 510, 560, 400, 490, 505, 400, 365, 445, 490),
        "storage_random": (
            19480,
            16320,
            25880,
            18840,
            20900,
            16540,
            17160,
            23600,
            15700,
            21140,
            24020,
            18520,
            20880,
            18260,
            22720,
        ),
        "launch": (1220, 1210, 885, 1120, 1025, 1325, 1400, 980, 995, 1275, 1000, 1190, 1100, 1205, 950),
    },
)
VIRTUAL: dict[str, Any] = {"state": {"virtual": True}, "drive": {"interface": "virtual", "rotational": None}}
NAMES = tuple(SHARED[0])


@pytest.mark.parametrize(("first", "second"), list(itertools.permutations(range(3), 2)))
def test_runs_on_a_shared_host_lie_within_what_they_state(first: int, second: int) -> None:
    one, other = (sample(**VIRTUAL, **SHARED[index]) for index in (first, second))
    for name in NAMES:
        reading, seen = one.reading(name), other.reading(name)
        assert reading and seen
        low, high = bounds(one, reading)
        assert low <= seen.median <= high, name
        change = ratio(one, other, name)
        assert change is not None and not change.shown, name
    assert one.verdict == "noisy" and "NOISY" in measurement_text(one)
    found = compare(one, other)
    assert all(use.speedup.low_milli < 1000 < use.speedup.high_milli for use in found.uses)
    assert {cause.code for cause in found.causes} == {"noisy_run"}
    # every resource and every use is marked as unchanged
    text = comparison_text(found)
    assert text.count("x (") == text.count(") =") == len(found.ratios) + len(found.uses)


def test_the_same_figures_of_a_pc_of_its_own_are_a_change() -> None:
    """Without a host no cache explains a drive that reads 665 and then 395 MB/s and repeats within 10 %."""
    change = ratio(*(sample(**SHARED[index]) for index in (0, 1)), "storage_sequential")
    assert change is not None and change.shown and change.high < 0.9
    same = ratio(
        *(sample(**VIRTUAL, **SHARED[index]) for index in (0, 1)),
        "storage_sequential",
        {"run_to_run_virtual_sequential_percent": 0},
    )
    assert same is not None and same.shown


def test_order_statistics_of_another_median() -> None:
    """P(X(i) <= other median <= X(16 - i)) of 15 and 15 values, any distribution: i values fall below the 8th
    of the others with the negative hypergeometric distribution (Fligner & Wolfe 1979); the 3rd and 13th give
    95.0 %."""
    covered = [1 - 2 * reference.nhypergeom(30, 15, 8).cdf(i - 1) for i in (1, 2, 3, 4)]
    assert covered == pytest.approx([0.998, 0.986, 0.950, 0.872], abs=0.001)
    assert 1 - 2 * reference.nhypergeom(10, 5, 3).cdf(0) == pytest.approx(
        1 - 2 * 21 / 252
    )  # 5: the range, 83 %
    assert (
        1
        - 2 * reference.nhypergeom(2 * LEAST_FOR_RANKS - 2, LEAST_FOR_RANKS - 1, LEAST_FOR_RANKS // 2).cdf(0)
        < 0.95
    )
    # The limits used lie between those with 95.0 and with 98.6 %; the order here has no correlation.
    order = [8, 3, 14, 6, 11, 1, 10, 15, 4, 9, 2, 13, 7, 12, 5]
    values = [1000 * 1.01 ** (place - 8) for place in order]
    assert rank_correlation(values) == 0
    reach = scatter_reach(values)
    assert 5 * math.log(1.01) <= reach.low <= 6 * math.log(1.01) and reach.low == pytest.approx(reach.high)


def test_tables_and_rank_correlation() -> None:
    for freedom, value in enumerate(STUDENT_95, start=1):
        assert value == pytest.approx(reference.t.ppf(0.975, freedom), abs=0.0006)
    draw = np.random.default_rng(1)
    for _ in range(20):
        values = list(np.round(draw.normal(50, 3, 15)))
        ranks = reference.rankdata(values) - 8
        raw = float((ranks[1:] * ranks[:-1]).sum() / (ranks**2).sum())
        assert rank_correlation(values) == pytest.approx(min(0.9, max(0.0, (raw + 1 / 15) / (1 - 4 / 15))))
    assert rank_correlation([5.0] * 15) == 0 and rank_correlation([1.0, 2.0, 3.0, 4.0]) == 0


def normal(draw: Any, size: int) -> Any:
    return draw.normal(size=size)


def alike(correlation: float) -> Any:
    """First-order autoregressive series of variance 1."""

    def series(draw: Any, size: int) -> Any:
        values = [draw.normal()]
        for step in draw.normal(size=size - 1):
            values.append(correlation * values[-1] + math.sqrt(1 - correlation**2) * step)
        return np.array(values)

    return series


def clusters(stay_fast: float, stay_slow: float) -> Any:
    """Two levels ten standard deviations apart, each kept from one repetition to the next with its own
    chance."""

    def series(draw: Any, size: int) -> Any:
        fast = draw.random() < (1 - stay_slow) / (2 - stay_slow - stay_fast)
        values = []
        for _ in range(size):
            values.append((0.0 if fast else -10.0) + draw.normal())
            fast = fast if draw.random() < (stay_fast if fast else stay_slow) else not fast
        return np.array(values)

    return series


SERIES = {
    "independent": (normal, 15),
    "independent, 10": (normal, 10),
    "independent, 5": (normal, 5),
    "alike 0.3": (alike(0.3), 15),
    "alike 0.5": (alike(0.5), 15),
    "alike 0.7": (alike(0.7), 15),
    "alike 0.5, 12": (alike(0.5), 12),
    "clusters at random": (clusters(0.5, 0.5), 15),
    "seldom slow": (clusters(0.87, 0.13), 15),
    "clusters of 3": (clusters(2 / 3, 2 / 3), 15),
    "clusters of 5 and 2": (clusters(0.8, 0.5), 15),
    "clusters of 5": (clusters(0.8, 0.8), 15),
}


@pytest.mark.parametrize("name", SERIES)
def test_coverage_by_simulation(name: str) -> None:
    """The median of another run of the same process lies inside in at least 90 % of 1500 pairs (less 1.3 %,
    which is
    1.7 standard errors of such a share), before anything is added for differences between runs."""
    series, size = SERIES[name]
    draw = np.random.default_rng(5)
    inside, pairs, width = 0, 1500, 0.0
    for _ in range(pairs):
        here, there = np.exp(0.02 * series(draw, size)), np.exp(0.02 * series(draw, size))
        reach = scatter_reach(list(here))
        inside += -reach.low <= math.log(np.median(there) / np.median(here)) <= reach.high
        width += (reach.low + reach.high) / 2
    assert inside / pairs >= 0.90 - 0.013
    if name.startswith("independent"):
        # Textbook: 1.96 sd x sqrt(pi / 2) x sqrt(2 / n), standard deviation known; not twice as wide on
        # average.
        assert inside / pairs >= 0.95 - 0.01
        assert width / pairs < 2 * 1.96 * 0.02 * math.sqrt(math.pi / 2 * 2 / size)


def test_a_normal_standard_error_would_be_too_small() -> None:
    """The check above can fail: the former interval, 1.96 x 1.2533 x 1.4826 MAD / sqrt(n), covers half of
    such pairs."""
    draw = np.random.default_rng(5)
    series, inside = clusters(0.8, 0.8), 0
    for _ in range(500):
        here, there = np.exp(0.02 * series(draw, 15)), np.exp(0.02 * series(draw, 15))
        reach = 1.96 * math.sqrt(math.pi / 2) * stats.spread(list(here)) / math.sqrt(15)
        inside += abs(math.log(np.median(there) / np.median(here))) <= reach
    assert inside < 350


def test_a_quiet_pc_of_its_own_stays_tight() -> None:
    """15 repetitions within 0.5 %: little more than the 2 % between runs, 1.96 x sqrt(2) x 2 % = 5.5 %."""
    run = sample(shape=(0.995, 1.0, 1.005, 0.998, 1.002) * 3)
    reading = run.reading("serial")
    assert reading is not None and bounds(run, reading) == (945, 1058)  # 1000 / e^0.0557 and 1000 x e^0.0557
    one_bad = sample(
        serial=(*[1000.0, 1002.0, 998.0, 1001.0, 999.0] * 2, 1000.0, 999.0, 1001.0, 1000.0, 600.0)
    )
    reading = one_bad.reading("serial")
    assert reading is not None and bounds(one_bad, reading)[0] >= 940


def test_between_runs() -> None:
    """Own and virtual part in quadrature; network storage counts as storage behind a cache, its processor
    does not."""

    def of(name: str, **change: Any) -> float:
        run = sample(**change)
        return between_percent(name, run.conditions, run.drive)

    value = {name: setting.value for name, setting in SETTINGS.items()}
    own, extra = value["run_to_run_sequential_percent"], value["run_to_run_virtual_sequential_percent"]
    assert of("storage_sequential") == own and of("storage_sequential", **VIRTUAL) == pytest.approx(
        math.hypot(own, extra)
    )
    assert of("storage_sequential", drive={"file_system": "nfs4"}) == pytest.approx(math.hypot(own, extra))
    assert (
        of("serial.zlib", drive={"file_system": "nfs4"})
        == of("parallel")
        == value["run_to_run_processor_percent"]
    )


def test_two_like_runs_have_the_interval_that_one_states() -> None:
    run = sample(shape=(0.97, 1.0, 1.04, 0.99, 1.02, 1.0, 0.98, 1.01, 1.03))
    for name in ("serial", "launch"):
        reading, change = run.reading(name), ratio(run, run, name)
        assert reading is not None and change is not None
        low, high = bounds(run, reading)
        inner = math.sqrt(math.log(reading.median / low) ** 2 / 2 + math.log(high / reading.median) ** 2 / 2)
        assert math.log(change.high) == pytest.approx(inner, abs=0.002) and change.low == pytest.approx(
            1 / change.high
        )


def test_sides_add_by_themselves() -> None:
    """Limits that are not symmetric: 3-4-5 below, 5-12-13 above; the reciprocal swaps them."""
    assert Reach(3, 5).plus(Reach(4, 12)) == Reach(5, 13) and Reach(1, 2).flipped() == Reach(2, 1)


@pytest.mark.parametrize(
    "values", [(5, 4, 3, 2, 1), (5, 3, 4, 1, 2, 0), (1, 2, 3), (9, 8, 7, 6, 5, 4, 3, 2, 1, 0, 11, 10)]
)
def test_falling_chance_is_kendalls(values: tuple[int, ...]) -> None:
    expected = reference.kendalltau(range(len(values)), values, alternative="less", method="exact").pvalue
    assert stats.falling_chance(values) == pytest.approx(expected)


def test_noise_is_not_called_a_fall() -> None:
    """The first run's all-thread scores end 12 % below their start, as noise of that size does; a steady fall
    of 12 % is one."""
    for values, falls in (
        (SHARED[0]["parallel"], False),
        (tuple(2000 - 18 * place for place in range(15)), True),
    ):
        run = sample(parallel=values)
        assert stats.sag(values) < 0.93
        assert ("sag" in {reason.code for reason in judge(run.readings, run.conditions, 15)}) is falls


def test_a_setting_widens_what_is_stated(tmp_path: Any, capsys: pytest.CaptureFixture[str]) -> None:
    from partsolver.report.measure import measurement_json

    path = tmp_path / "m.json"
    path.write_text(measurement_json(sample()), encoding="utf-8")
    shown = []
    for percent in (2, 10):
        assert (
            command(["measure", "--from", str(path), "--setting", f"run_to_run_processor_percent={percent}"])
            == 0
        )
        line = next(line for line in capsys.readouterr().out.splitlines() if "processor, one thread" in line)
        shown.append(line.split("points")[1].split("to")[0].strip())
    assert int(shown[1]) < int(shown[0])
    for bad in (
        "run_to_run_processor_percent",
        "run_to_run_processor_percent=2.5",
        "run_to_run_procesor_percent=3",
        "run_to_run_processor_percent=-1",
    ):
        assert command(["compare", str(path), str(path), "--setting", bad]) == 2
        printed = capsys.readouterr()
        assert "--setting" in printed.err and printed.out == ""
