"""The interval: Dirichlet moments against a text's formulas and scipy, 95 % by simulation, and what never
narrows it."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from performance.machines import PROBLEM, Machine, interval, machine, ratio, terms
from scipy.stats import dirichlet, norm
from support import OLD_BOARD, SYSTEM_DRIVE, make_problem, make_survey, pick

from partsolver.performance.errors import error_sources
from partsolver.performance.interval import (
    COIN_TOSS_Z,
    NORMAL_95,
    _working_set_reaches,
    is_coin_toss,
    reaches,
    share_reaches,
    share_variance,
    speedup,
)
from partsolver.performance.law import law_of
from partsolver.performance.time import terms_ppm
from partsolver.problem.candidates import Parts
from partsolver.wishes.uses import RESOURCES, USES, Use

# Means and slownesses of the check values; resources named as ours so that `share` finds them.
MEANS = (600, 150, 50, 100, 100, 0, 0)
CHECKS = [
    # slownesses before (after: all 1), concentration, speed-up, sd of ln by the formula, simulated, 95 %
    # simulated
    ((2.1, 4.4, 2.0, 8, 2.0), 10, 3.0200, 0.1849, 0.1750, (2.25, 4.39)),
    ((2.1, 4.4, 2.0, 8, 2.0), 20, 3.0200, 0.1338, 0.1298, (2.40, 3.96)),
    ((2.1, 4.4, 2.0, 8, 2.0), 40, 3.0200, 0.0958, 0.0945, (2.54, 3.67)),
    ((2.1, 4.4, 2.0, 1.24, 2.0), 20, 2.3440, 0.0838, 0.0824, (2.03, 2.79)),
    ((1, 1, 1, 8, 1), 20, 1.7000, 0.2696, 0.2528, (1.09, 2.82)),
]


def own_use(concentration: int) -> Use:
    return Use("own", "own", MEANS, 0, concentration=concentration)


def weighted(slowness: tuple[float, ...]) -> dict[str, float]:
    full = (*slowness, 1.0, 1.0)
    return {name: m / 1000 * s for name, m, s in zip(RESOURCES, MEANS, full, strict=True)}


def test_moments_of_the_dirichlet_distribution() -> None:
    """alpha = (12, 3, 1, 2, 2): variances .0114286 .0060714 .0022619 .0042857 .0042857, covariance of the
    first two -.0042857 (formulas of Kotz, Balakrishnan & Johnson, ch. 49, from memory; values by
    scipy.stats.dirichlet)."""
    alpha = np.array((12, 3, 1, 2, 2))
    mean, c = alpha / alpha.sum(), alpha.sum()
    assert mean * (1 - mean) / (c + 1) == pytest.approx(dirichlet(alpha).var())
    assert dirichlet(alpha).var() == pytest.approx(
        [0.0114286, 0.0060714, 0.0022619, 0.0042857, 0.0042857], abs=1e-7
    )
    assert (
        dirichlet(alpha).cov()[0, 1]
        == pytest.approx(-mean[0] * mean[1] / (c + 1))
        == pytest.approx(-0.0042857, abs=1e-7)
    )


@pytest.mark.parametrize(("slow", "concentration", "speedup", "formula", "simulated", "span"), CHECKS)
def test_share_variance_against_check_values_and_simulation(
    slow: tuple[float, ...], concentration: int, speedup: float, formula: float, simulated: float, span: Any
) -> None:
    use, before, after = own_use(concentration), weighted(slow), weighted((1,) * 5)
    assert sum(before.values()) / sum(after.values()) == pytest.approx(speedup)
    spread = math.sqrt(share_variance(use, before, after))
    assert spread == pytest.approx(formula, abs=6e-5)
    drawn = dirichlet(concentration * np.array(MEANS[:5]) / 1000).rvs(400_000, random_state=1) @ np.array(
        slow
    )
    assert np.log(drawn).std() == pytest.approx(simulated, abs=1.5e-3)
    assert tuple(np.quantile(drawn, (0.025, 0.975))) == pytest.approx(span, abs=0.02)
    found = share_reaches(use, before, after)
    low, high = speedup * math.exp(-found.low), speedup * math.exp(found.high)
    assert 0.93 <= np.mean((low <= drawn) & (drawn <= high)) <= 0.98
    # Whatever the shares: between the least and the greatest ratio of two terms (mediant inequality).
    assert min(slow) - 1e-9 <= low and high <= max(slow) + 1e-9


PAIRS = {
    "processor": (machine("old", port_gbps10=30), machine("mid")),
    "everything": (machine("old", port_gbps10=30, drive="hdd35", gib=4), machine("mid", gib=8)),
    "new": (machine("mid", gib=8), machine("new", drive="nvme3")),
    "drive": (machine("mid", drive="hdd35"), machine("mid")),
}


@pytest.mark.parametrize("pair", list(PAIRS))
@pytest.mark.parametrize("use", ["office", "photo", "video", "programming", "server"])
def test_95_percent_by_simulation(use: str, pair: str) -> None:
    """Shares drawn from the Dirichlet distribution (independent gammas over their sum), every source of
    error from a lognormal one, the working set from a normal one of a 95 % reach of 25 %: the interval
    holds 91 to 99 % of the speed-ups of 4,000 PCs (GUM supplement 1: propagation of distributions by
    simulation)."""
    before, after = PAIRS[pair]
    named = USES[use]
    draw = np.random.default_rng(7)
    means = np.array(named.shares_permille) / 1000
    gammas = draw.gamma(np.where(means > 0, named.concentration * means, 1), size=(4000, len(means)))
    gammas[:, means == 0] = 0
    shares = gammas / gammas.sum(axis=1, keepdims=True)
    sources = [error_sources(PROBLEM, m.parts) for m in (before, after)]
    keys = {s.key: draw.standard_normal(4000) for which in sources for s in which}
    sets = named.working_set_mib * (1 + 0.25 / NORMAL_95 * draw.standard_normal(4000))
    times = []
    for m, which in zip((before, after), sources, strict=True):
        plain = terms(use, m)
        factor = {name: np.ones(4000) for name in plain}
        for source in which:
            for name in source.terms:
                factor[name] = factor[name] * np.exp(source.error * keys[source.key])
        total = np.zeros(4000)
        for i, name in enumerate(RESOURCES):
            if means[i]:
                total += shares[:, i] * plain[name] / means[i] * factor[name]
        cost = {"hdd35": 3.0}.get(m.drive, 0.8) * named.capacity_percent / 100
        lack = np.maximum(0, 1 - m.gib * 1024 / sets) if m.gib else np.zeros(4000)
        times.append(total + 1e6 * cost * lack**2 / (lack**2 + 0.25) * factor["capacity"])
    drawn = 1000 * times[0] / times[1]
    found = interval(use, before, after)
    assert 0.91 <= np.mean((found.low_milli <= drawn) & (drawn <= found.high_milli)) <= 0.99


def test_interval_of_the_processor_pair() -> None:
    """Old to mid, office: 1.6-1.9 to 2.5-3.1 (shares and scores)."""
    found = interval("office", *PAIRS["processor"])
    assert 1600 <= found.low_milli <= 1900 and 2500 <= found.high_milli <= 3100


def test_the_same_pc_gains_nothing_and_surely() -> None:
    same = machine("old")
    assert interval("office", same, same) == type(interval("office", same, same))(1000, 1000, 1000)


UNKNOWN: list[dict[str, Any]] = [
    {"rate_mts": None},
    {"gib": None},
    {"port_gbps10": None},
    {"drive": "unknown"},
    {"graphics": None},
    {"serial": None, "parallel": None},
    {"facts": (("score_origin", "estimated"), ("score_error_percent", 20))},
    {"facts": (("score_origin", "estimated"), ("score_error_percent", 20), ("cores", None))},
]


@pytest.mark.parametrize("facts", UNKNOWN, ids=[" ".join(f) for f in UNKNOWN])
@pytest.mark.parametrize("use", list(USES))
@pytest.mark.parametrize("kind", ["old", "mid"])
@pytest.mark.parametrize("drive", ["ssd", "hdd35"])
def test_no_unknown_narrows_a_range(facts: dict[str, Any], use: str, kind: str, drive: str) -> None:
    before = machine(kind, drive=drive, gib=8)
    after = machine("new", gib=16)
    known, unknown = (interval(use, m, after) for m in (before, replace(before, **facts)))
    assert unknown.high_milli / unknown.low_milli >= 0.999 * known.high_milli / known.low_milli


@pytest.mark.parametrize(
    ("fact", "values"),
    [("interface", ("sata", "m2-nvme")), ("kind", ("ssd", "hdd35", "hdd25")), ("read_mbs", (250, 540))],
)
def test_an_unknown_fact_of_the_drive_holds_every_range_that_it_may_be(
    fact: str, values: tuple[Any, ...]
) -> None:
    """The drive stays: with what it may be, the range of the upgrade is never outside that of the unknown
    one."""

    def range_of(value: Any) -> tuple[int, int]:
        drive = SYSTEM_DRIVE.model_copy(update={fact: value})
        problem = make_problem(make_survey(drives=(drive,), board=replace(OLD_BOARD, m2_slots=None)))
        found = speedup(problem, pick(problem))
        assert found is not None
        return found.low_milli, found.high_milli

    low, high = range_of(None)
    for value in values:
        known = range_of(value)
        assert low <= known[0] and known[1] <= high, (value, known, (low, high))


def test_equals_follow_from_the_errors() -> None:
    """A processor 1 % faster on paper is a coin toss; one twice as fast is none; and errors that both PCs
    share do not blur their order."""
    base = machine("mid")
    near = replace(base, serial=1010, parallel=4040)
    assert is_coin_toss(PROBLEM, base.parts, near.parts)
    assert not is_coin_toss(PROBLEM, base.parts, machine("new").parts)
    assert not is_coin_toss(PROBLEM, base.parts, base.parts)
    slow = replace(base, port_gbps10=30).parts
    link = Parts((slow.picked[0], *base.parts.picked[1:]))
    assert reaches(PROBLEM, base.parts, link).high < 0.03


def test_more_memory_reaches_both_ways_with_the_working_set() -> None:
    """From 4 to 16 GiB: with a smaller working set less is gained, with a larger one more; both are told as
    distances, none below 0."""
    small, large = replace(machine("mid"), gib=4), replace(machine("mid"), gib=16)
    law = law_of(PROBLEM)
    old, new = (sum(terms_ppm(PROBLEM, one.parts, law).values()) for one in (small, large))
    up = _working_set_reaches(PROBLEM, law, small.parts, large.parts, math.log(old / new))
    down = _working_set_reaches(PROBLEM, law, large.parts, small.parts, math.log(new / old))
    assert up.low >= 0 and up.high >= 0 and up.low + up.high > 0
    assert (down.low, down.high) == pytest.approx((up.high, up.low))


def test_the_pair_of_five_share_sets() -> None:
    """Five defensible office share sets gave 2.42, 2.75, 3.10, 3.94, 5.35 for one pair under the law
    before, whose graphics term had no cap; with graphics out of it the interval holds what is left of
    them."""
    found = interval("office", *PAIRS["processor"])
    assert found.high_milli / found.low_milli > 1.35
    assert ratio("office", *PAIRS["processor"]) > 1.7
    assert isinstance(PAIRS["drive"][0], Machine)


def test_quantiles_of_the_standard_normal_distribution() -> None:
    """Against scipy.stats.norm: 95 % between the two ends; a coin toss is an order that is wrong in 40 %
    of cases."""
    assert pytest.approx(norm.ppf(0.975), abs=1e-6) == NORMAL_95
    assert pytest.approx(norm.ppf(0.6), abs=1e-4) == COIN_TOSS_Z


def test_a_term_that_comes_or_goes_sets_no_end() -> None:
    """A ratio of two terms bounds the speed-up, whatever the shares; where one of them is 0, nothing does on that
    side."""
    use, before, after = own_use(20), weighted((1, 1, 1, 8, 1)), weighted((1,) * 5)
    before, after = before | {"capacity": 0.0}, after | {"capacity": 0.9}
    worse, better = share_reaches(use, before, after), share_reaches(use, after, before)
    spread = NORMAL_95 * math.sqrt(share_variance(use, before, after))
    assert spread > 0.2
    assert (worse.low, better.high) == (spread, spread)
