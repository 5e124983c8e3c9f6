"""Before against after: measured speed-up by resource and by use with its interval, against what a plan
promised.

Speed-up of a use = sum of f_k / sum of f_k / r_k with f_k the time the PC spent in resource k before and r_k
the measured ratio (generalised Amdahl's law, ``stats.amdahl``). f_k are the plan's own terms for the PC as it
is, or, without a plan, the use's shares of the reference time divided by the measured speeds before.
Interval: first-order propagation, d ln S = sum of (a_k / sum a) d ln r_k with a_k the time after (JCGM
100:2008 (GUM), section 5.1.2; what one processor's two figures may err by together adds up, section 5.2.2), on each
side by itself (``repeat.Reach``). Against a plan the shares are those
of the promise, on both sides; without a plan how unsure they are is part of the interval
(``performance.interval``). What is not measured (graphics always) counts as the plan promises it, or as
unchanged without a plan, and is named.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import reduce
from typing import Literal

from partsolver.base.errors import refuse
from partsolver.base.records import record
from partsolver.measure.causes import Cause, find_causes
from partsolver.measure.promise import Promise
from partsolver.measure.records import Measurement
from partsolver.measure.repeat import Reach
from partsolver.measure.speeds import READING_OF, Ratio, installed_mib, lacking_share, ratios, relative_speeds
from partsolver.performance.interval import share_reaches
from partsolver.plan.outcome import Interval
from partsolver.wishes.uses import RESOURCES, USES, Use

SCHEMA = "partsolver.comparison/1"
NO_REACH = Reach(0.0, 0.0)
Outcome = Literal["held", "better", "worse", "undecided"]


@record
class UseResult:
    """Measured speed-up of one use.

    before and after: time by resource in millionths of the reference time; not_measured: resources that count
    as promised (``basis`` plan) or as unchanged (``basis`` readings); measured_milli: the speed-up where what was
    not measured counts as unchanged.
    """

    use: Use
    speedup: Interval
    before_ppm: Mapping[str, int]
    after_ppm: Mapping[str, int]
    not_measured: tuple[str, ...]
    measured_milli: int
    basis: Literal["plan", "readings"]


@record
class Comparison:
    """A whole comparison. promised_ratio: by resource, where the plan's terms are known; outcome None without
    a plan;
    differences: software that differs between the runs (name, before, after)."""

    before: Measurement
    after: Measurement
    ratios: Mapping[str, Ratio]
    uses: tuple[UseResult, ...]
    promise: Promise | None
    promised_ratio: Mapping[str, float]
    outcome: Outcome | None
    causes: tuple[Cause, ...]
    differences: tuple[tuple[str, str, str], ...]

    @property
    def main(self) -> UseResult:
        """The use that the plan (or the user) is about."""
        return self.uses[0]


def compare(
    before: Measurement,
    after: Measurement,
    promise: Promise | None = None,
    use: Use | None = None,
    settings: Mapping[str, int] | None = None,
) -> Comparison:
    """Compare two runs. The plan's use comes first, then ``use`` or all uses; settings: of ``repeat`` and
    of the time law. Raises
    InputRefused when the runs were made with different yardsticks."""
    if before.yardstick != after.yardstick:
        raise refuse(
            "yardstick",
            "the two measurements were made with different work and cannot be compared",
            f"{before.yardstick} and {after.yardstick}",
            hint="Measure both with the same version of partsolver",
        )
    found = ratios(before, after, settings)
    results = [] if promise is None else [use_result(promise.use, before, after, found, promise, settings)]
    for other in (use,) if use is not None else USES.values():
        if promise is None or other != promise.use:
            results.append(use_result(other, before, after, found, None, settings))
    outcome = (
        None if promise is None else judge(results[0].speedup, promise.speedup, results[0].measured_milli)
    )
    promised = promised_ratios(promise)
    old, new = before.software.model_dump(), after.software.model_dump()
    return Comparison(
        before,
        after,
        found,
        tuple(results),
        promise,
        promised,
        outcome,
        find_causes(before, after, found, promise, promised),
        tuple((name, old[name], new[name]) for name in old if old[name] != new[name]),
    )


def promised_ratios(promise: Promise | None) -> dict[str, float]:
    """What the plan promises by resource: time before over time after."""
    if promise is None or promise.detail is None:
        return {}
    old, new = promise.detail.before_ppm, promise.detail.after_ppm
    return {name: old[name] / new[name] for name in READING_OF if old.get(name) and new.get(name)}


def use_result(
    use: Use,
    before: Measurement,
    after: Measurement,
    found: Mapping[str, Ratio],
    promise: Promise | None,
    settings: Mapping[str, int] | None = None,
) -> UseResult:
    """Measured speed-up of a use: with the plan's terms where they are given, otherwise from the readings."""
    detail = None if promise is None else promise.detail
    if detail is not None:
        old = {name: float(value) for name, value in detail.before_ppm.items()}
        assumed = {name: float(value) for name, value in detail.after_ppm.items()}
    else:
        speeds = relative_speeds(before, settings)
        old = {name: use.share(name) * 1000 / speeds.get(name, 1.0) for name in RESOURCES}
        assumed = dict(old)
    new, reaches, missing = {}, {}, []
    for name, time in old.items():
        if name in found:
            new[name] = time / found[name].expected
            reaches[name] = found[name].reach.scaled(new[name])
        else:
            new[name] = assumed[name]
            if name not in ("capacity", "other") and (time or new[name]):
                missing.append(name)
    pages = lacking_share(use, before, settings), lacking_share(use, after, settings)
    if detail is None:
        if pages[0] is not None and pages[1] is not None:
            old["capacity"], new["capacity"] = 1e6 * pages[0], 1e6 * pages[1]
    elif pages[1] is not None and detail.memory_mib is not None and installed_mib(after) < detail.memory_mib:
        new["capacity"] = 1e6 * pages[1]  # less memory is there than the plan counts on
    total_old, total_new = math.fsum(old.values()), math.fsum(new.values())
    # Both come from one processor in one run: its temperature and clock move them alike.
    processor = [reaches.pop(name) for name in ("serial", "parallel") if name in reaches]
    reach = reduce(Reach.together, processor, NO_REACH).plus(*reaches.values()).scaled(1 / total_new)
    if detail is None:
        unsure = share_reaches(use, old, new)
        reach = reach.plus(Reach(unsure.low, unsure.high))
    milli = 1000 * total_old / total_new
    return UseResult(
        use,
        Interval(round(milli), round(milli / math.exp(reach.low)), round(milli * math.exp(reach.high))),
        {name: round(value) for name, value in old.items()},
        {name: round(value) for name, value in new.items()},
        tuple(missing),
        round(1000 * total_old / math.fsum(old[name] if name in missing else new[name] for name in old)),
        "readings" if detail is None else "plan",
    )


def judge(measured: Interval, promised: Interval, measured_milli: int) -> Outcome:
    """held: the measured speed-up lies within the promised interval; better, worse: the whole measured
    interval lies outside; undecided: outside, but the measurement is too coarse to be sure; or within, but the
    promise is not reached without what was not measured (``measured_milli``: with that unchanged), or the runs
    do not even show that the PC became faster."""
    if promised.low_milli <= measured.expected_milli <= promised.high_milli:
        shown = measured_milli >= promised.low_milli and not measured.low_milli <= 1000 < promised.low_milli
        return "held" if shown else "undecided"
    if measured.low_milli > promised.high_milli:
        return "better"
    if measured.high_milli < promised.low_milli:
        return "worse"
    return "undecided"
