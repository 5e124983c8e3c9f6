"""Before against after: the law, the interval, the verdict, and causes named on pairs with a known cause."""

from __future__ import annotations

import math
import random
from typing import Any

import pytest
from measure.samples import QUIET, promise, sample

from partsolver.base.errors import InputRefused
from partsolver.measure import stats
from partsolver.measure.causes import find_causes
from partsolver.measure.compare import compare, judge
from partsolver.measure.speeds import ratio
from partsolver.plan.outcome import Interval
from partsolver.report.compare import comparison_json, comparison_text
from partsolver.report.words.causes import cause_text
from partsolver.wishes.uses import USES

BEFORE: dict[str, Any] = {"serial": 500, "parallel": 1900, "memory": 10000, "storage_sequential": 260}
SHAPES = {"sag": (1.0, 0.99, 0.95, 0.86, 0.85)}


def test_speedup_is_amdahls_law_with_the_plans_shares() -> None:
    """Everything twice as fast but the drive: f = 0.2 unchanged, 0.8 twice -> 1 / (0.2 + 0.4) (H&P section
    1.9)."""
    found = compare(sample(**BEFORE), sample(storage_sequential=260), promise())
    assert found.main.basis == "plan"
    assert found.main.speedup.expected_milli == pytest.approx(1000 / 0.6, abs=3)
    assert found.main.not_measured == ("graphics",)


def test_without_a_plan_the_shares_are_those_of_the_time_before() -> None:
    """Shares of the reference time over the speeds before; other unchanged. By hand for office: 0.6/0.5,
    0.12/0.475, 0.03/(10000/27306.4), 0.015/0.52, and waiting 0.085/(9000/11000)^0.46; after: all halved but
    waiting (the same reads here and there) and the 0.15 of other."""
    found = compare(sample(**BEFORE), sample(), use=USES["office"])
    old = [0.6 / 0.5, 0.12 / 0.475, 0.03 / (10000 / (34133 * 0.8)), 0.015 / 0.52]
    reads = sample().reading("storage_random")
    assert reads is not None
    still = 0.15 + 0.085 / (reads.median / 11000) ** 0.46
    assert [use.use.name for use in found.uses] == ["office"]
    assert found.main.speedup.expected_milli == pytest.approx(
        1000 * (sum(old) + still) / (sum(old) / 2 + still), abs=3
    )


@pytest.mark.parametrize("terms", [{}, {"serial": 400000, "parallel": 400000}])
def test_interval_against_simulation(terms: dict[str, int]) -> None:
    """First-order propagation (GUM 5.1.2) against drawing the ratios from their distributions (GUM supplement
    1); what the processor's two figures err by is drawn once, for both (GUM 5.2.2)."""
    before, after = sample(shape=(0.97, 1.0, 1.04, 0.99, 1.02), **BEFORE), sample()
    found = compare(before, after, promise(terms))
    draw = random.Random(1)
    shares = {name: float(value) for name, value in found.main.before_ppm.items()}
    drawn = []
    for _ in range(20000):
        both = draw.gauss(0, 1)
        errors = {n: both if n in ("serial", "parallel") else draw.gauss(0, 1) for n in found.ratios}
        factors = {
            n: r.expected * math.exp(errors[n] * r.reach.high / stats.NORMAL_95)
            for n, r in found.ratios.items()
            if n in shares
        }
        drawn.append(stats.amdahl(shares, {**factors, "graphics": 2.0}))
    drawn.sort()
    # A hundredth, and of the interval's own width no more than a tenth.
    expected = found.main.speedup.expected_milli
    for bound, value in (
        (found.main.speedup.low_milli, drawn[500]),
        (found.main.speedup.high_milli, drawn[19500]),
    ):
        assert bound == pytest.approx(1000 * value, rel=0.01)
        assert abs(bound - 1000 * value) < 0.1 * abs(expected - bound)


def test_time_that_falls_is_a_gain() -> None:
    found = ratio(sample(launch=2000), sample(launch=500), "launch")
    assert (
        found is not None
        and found.expected == pytest.approx(4.0)
        and found.low < 4 < found.high
        and found.shown
    )


@pytest.mark.parametrize(
    ("measured", "outcome"),
    [
        ((2000, 1950, 2050), "held"),
        ((2300, 2250, 2350), "better"),
        ((1500, 1450, 1550), "worse"),
        ((1750, 1600, 1900), "undecided"),
        ((1800, 1001, 9000), "held"),
        # The runs agree with "no change" as well as with the promise: they show neither.
        ((1800, 1000, 9000), "undecided"),
    ],
)
def test_verdict(measured: tuple[int, int, int], outcome: str) -> None:
    assert judge(Interval(*measured), Interval(2000, 1800, 2200), measured[0]) == outcome


def test_a_promise_that_may_be_no_gain_holds_without_one() -> None:
    assert judge(Interval(1000, 950, 1050), Interval(1050, 990, 1100), 1000) == "held"


@pytest.mark.parametrize(
    ("measured_milli", "outcome"), [(1800, "held"), (1799, "undecided"), (1000, "undecided")]
)
def test_what_was_not_measured_does_not_hold_a_promise(measured_milli: int, outcome: str) -> None:
    assert judge(Interval(2000, 1950, 2050), Interval(2000, 1800, 2200), measured_milli) == outcome


def test_a_graphics_card_cannot_be_shown_to_hold() -> None:
    """Graphics are not measured: of 1.38 s, 1.0 in graphics, 0.7 are promised away and nothing else changes. With
    graphics as promised 1.38 / 0.68 = 2.03 times, without 1.00."""
    terms = {"serial": 200000, "parallel": 100000, "memory": 20000, "waiting": 50000, "streaming": 10000}
    planned = promise({**terms, "graphics": 1000000}, {**terms, "graphics": 300000})
    found = compare(sample(), sample(), planned)
    assert (
        found.main.speedup.expected_milli == pytest.approx(2029, abs=1) and found.main.measured_milli == 1000
    )
    assert found.outcome == "undecided" and comparison_text(found).startswith(
        "UNDECIDED: what was measured fits"
    )
    # Runs that scatter so much that 1.00 lies within them.
    wild = (0.3, 0.6, 1.0, 1.4, 2.2, 0.5, 1.0, 2.0)
    twice = {"serial": 2000.0, "parallel": 7600.0, "memory": 40000.0, "storage_sequential": 1040.0}
    found = compare(sample(shape=wild), sample(shape=wild, **twice), promise({"graphics": 0}))
    assert found.outcome == "undecided" and "to show that the PC became" in comparison_text(found)


CASES: list[tuple[str, dict[str, Any], dict[str, Any], set[str]]] = [
    # name, after (measurement), promise, causes named
    ("as promised", {}, {}, set()),
    # 2 x 8 B x 3200 = 51200 MB/s was planned; the memory reaches half of the promised doubling.
    ("one channel", {"memory": 10200}, {}, {"one_channel"}),
    # Half, but more than one channel at the planned rate can carry (2 x 8 x 1066 = 17066): so not one channel
    # only.
    ("half by rate", {"memory": 10200}, {"memory_mbs": 17066}, {"memory_rate"}),
    (
        "half of a one-channel plan",
        {"memory": 10200},
        {"memory_mbs": 25600, "channels_milli": 1000},
        {"memory_rate"},
    ),
    ("2133 instead of 3200", {"memory": 20000 * 2133 / 3200}, {}, {"memory_rate"}),
    # 3 Gb/s: drives read 275-285 MB/s there, 250-290 in practice
    ("3 Gb/s by figure", {"storage_sequential": 275, "drive": {"rotational": None}}, {}, {"drive_link"}),
    (
        "3 Gb/s as the system says",
        {"storage_sequential": 275, "drive": {"link_gbps10": 30, "port_gbps10": 60}},
        {},
        {"drive_link"},
    ),
    (
        "1.5 Gb/s as the system says",
        {"storage_sequential": 138, "drive": {"link_gbps10": 15}},
        {},
        {"drive_link"},
    ),
    ("275 MB/s at 6 Gb/s", {"storage_sequential": 275, "drive": {"link_gbps10": 60}}, {}, {"drive_slow"}),
    ("275 MB/s was planned", {"storage_sequential": 275}, {"storage_mbs": 276}, set()),
    ("a disk", {"storage_sequential": 140, "drive": {"rotational": True}}, {"storage_mbs": 150}, set()),
    ("an NVMe drive", {"storage_sequential": 280, "drive": {"interface": "nvme"}}, {}, set()),
    # throttling: counted, hot, clock, sagging rounds
    (
        "throttled, counted",
        {"parallel": 2400, "state": {"throttle_events": 12}},
        {},
        {"throttling", "noisy_run"},
    ),
    ("hot", {"parallel": 2400, "state": {"temperature_most_c": 99}}, {}, {"throttling"}),
    ("hot but as fast as promised", {"state": {"temperature_most_c": 99}}, {}, set()),
    ("clock falls", {"parallel": 2400, "state": {"clock_all_threads_mhz": 2000}}, {}, {"throttling"}),
    (
        "later rounds slower",
        {"parallel": tuple(3800 * f for f in SHAPES["sag"])},
        {},
        {"throttling", "noisy_run"},
    ),
    ("no sensor", {"parallel": 2400, "state": {"temperature_most_c": None}}, {}, {"all_thread_low"}),
    ("cores off", {"parallel": 1900, "state": {"threads": 2, "cores": 2}}, {}, {"fewer_threads"}),
    ("powersave", {"serial": 600, "parallel": 2200, "state": {"governor": "powersave"}}, {}, {"governor"}),
    ("a module not seen", {"state": {"memory_mib": 3900}}, {}, {"memory_missing"}),
    ("memory kept for graphics", {"state": {"memory_mib": 7000}}, {}, set()),
    ("noisy", {"shape": (0.8, 1.0, 1.2, 0.9, 1.1)}, {}, {"noisy_run"}),
    # So coarse that it may be as promised: nothing is inferred from it.
    ("coarse memory", {"memory": (8000, 24000, 12000, 30000, 14000)}, {}, {"noisy_run"}),
]


@pytest.mark.parametrize(
    ("after", "planned", "named"), [case[1:] for case in CASES], ids=[case[0] for case in CASES]
)
def test_known_cause_is_named(after: dict[str, Any], planned: dict[str, Any], named: set[str]) -> None:
    found = compare(sample(**BEFORE), sample(**after), promise(**planned))
    assert {cause.code for cause in found.causes} == named
    for cause in found.causes:
        text = cause_text(cause)
        assert "None" not in text and "{" not in text
    assert comparison_text(found) and comparison_json(found)


def test_causes_without_a_plan() -> None:
    """Less bandwidth than before is conspicuous by itself; so is a solid-state drive at 3 Gb/s."""
    found = compare(sample(memory=20000), sample(memory=10000, storage_sequential=280))
    assert [(cause.code, cause.certainty) for cause in found.causes] == [
        ("one_channel", "inferred"),
        ("drive_link", "inferred"),
    ]


def test_a_read_fact_is_not_called_probable() -> None:
    after = sample(storage_sequential=275, drive={"link_gbps10": 30, "port_gbps10": 60})
    [cause] = compare(sample(**BEFORE), after, promise()).causes
    text = cause_text(cause)
    assert (
        cause.certainty == "read"
        and "3.0 Gb/s although the port can do 6.0 Gb/s" in text
        and "robably" not in text
    )


def test_lack_of_memory_counts() -> None:
    """2 GiB against a working set of 5 GiB: cost 0.8 x 0.36 / (0.36 + 0.25) of the reference time (the
    law's knee)."""
    found = compare(sample(state={"memory_mib": 1990}), sample(), use=USES["office"])
    assert (
        found.main.before_ppm["capacity"] == round(1e6 * 0.8 * 0.36 / 0.61)
        and found.main.after_ppm["capacity"] == 0
    )


def test_reads_here_and_there_are_felt_in_part() -> None:
    """100 times as many reads here and there are felt as 100^0.46 = 8.3 times: the readings of disks (79 a
    second against some 8,000) and the starts on them (8 times) agree."""
    found = compare(sample(storage_random=80), sample(storage_random=8000), use=USES["office"])
    assert found.ratios["storage_random"].expected == pytest.approx(100)
    assert found.ratios["waiting"].expected == pytest.approx(100**0.46)
    text = comparison_text(found)
    assert text.index("drive, here and there") < text.index("drive, felt of that")


def test_a_disk_that_reads_its_cache_says_nothing_of_waiting() -> None:
    """265 reads a second within a short span of a disk are possible (speed reference, section 1.1), 5000 are not:
    the file of the measurement lay in its cache."""
    turning = {"rotational": True}
    for reads, told in ((265, True), (5000, False)):
        found = compare(sample(drive=turning, storage_random=reads), sample())
        assert ("waiting" in found.ratios) == told and "storage_random" in found.ratios
        assert ("waiting" in found.main.not_measured) != told
    assert "waiting" in compare(sample(storage_random=5000), sample()).ratios


def test_the_same_run_twice_claims_nothing() -> None:
    """A PC against itself: 1.00 lies within every interval."""
    found = compare(sample(), sample())
    assert all(not ratio.shown for ratio in found.ratios.values())
    assert all(u.speedup.low_milli <= 1000 <= u.speedup.high_milli for u in found.uses)


def test_runs_in_the_wrong_order_of_days_are_told_first() -> None:
    """Else a PC that became faster is called worse, with reasons that look for faults in it."""
    before = sample(serial=2000).model_copy(update={"date": "2026-11-27"})
    found = compare(before, sample(), promise())
    assert found.causes[0].code == "exchanged" and found.causes[0].certainty == "read"
    text = " ".join(comparison_text(found).split())
    assert "is dated 2026-11-20, the one before it 2026-11-27: the two files may be exchanged" in text
    same_day = compare(sample(serial=2000), sample(), promise())
    assert "exchanged" not in {cause.code for cause in same_day.causes}


def test_what_was_not_measured_is_named() -> None:
    found = compare(sample(storage_sequential=None), sample(), use=USES["video"])
    assert found.main.not_measured == ("streaming", "graphics") and "streaming" not in found.ratios
    assert "counted as unchanged" in comparison_text(found)


def test_other_software_and_other_yardsticks() -> None:
    after = sample().model_copy(update={"software": sample().software.model_copy(update={"numpy": "1.26.0"})})
    assert compare(sample(), after).differences == (("numpy", "2.4.6", "1.26.0"),)
    with pytest.raises(InputRefused, match="different work"):
        compare(sample(), sample().model_copy(update={"yardstick": "partsolver-2"}))


def test_same_pc_twice_is_one() -> None:
    found = compare(sample(), sample(shape=tuple(reversed(QUIET))))
    assert not found.causes and all(
        use.speedup.low_milli < 1000 < use.speedup.high_milli for use in found.uses
    )
    assert find_causes(found.before, found.after, found.ratios, None, {}) == ()
