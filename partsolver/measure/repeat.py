"""How far another run on the same PC may lie from this one: the interval that `measure` states and `compare`
uses.

Three parts, because repetitions within one run do not show all that differs between runs (T. Kalibera, R.
Jones, "Rigorous benchmarking in reasonable time", ISMM 2013: levels of variation, each needs its own
repetitions; from memory):

1. The scatter of the repetitions, without assuming a distribution: a busy host or a clock that changes gives
two
   clusters, between which a normal standard error of the median is far too small. The median of another n
   repetitions lies between two order statistics of these (M. A. Fligner, D. A. Wolfe, "Nonparametric
   prediction intervals for a future sample median", Journal of the American Statistical Association 74, 1979;
   from memory): the 3rd and the 13th of 15 for 95 % (hypergeometric, checked by the tests). Here the
   quantiles 1/2 +- z sqrt(1 / (2 n)), their large-sample form, which can be used with a fraction of n. Below
   8 repetitions the range itself covers less than 95 % (5: 83 %), so the interval of normal data with
   Student's t for two medians is used where it is wider.
2. Their correlation: neighbours in time are alike when a disturbance lasts longer than a round. n counts as
   n (1 - r) / (1 + r), the effective size of a first-order autoregressive series (textbooks on time series;
   G. S. Fishman, 1978), r being the lag-one correlation of the ranks, corrected for its bias in short series
   (F. H. C. Marriott, J. A. Pope, Biometrika 41, 1954; from memory) and counted only when positive.
3. What differs between runs and never within one: settings ``run_to_run_*`` (start, layout in memory, place
on the
   drive), and for a virtual machine, or storage behind a host's or server's cache, ``run_to_run_virtual_*``.
   Those are judgement of low confidence: one run cannot tell, and clouds were found to change between levels
   with a gap between them (J. Schad, J. Dittrich, J.-A. Quiane-Ruiz, VLDB 2010; from memory).

The parts add in quadrature (JCGM 100:2008 (GUM), 5.1.2). The interval is one for the *other run's* median, so
it holds the scatter of both. By simulation (tests), parts 1 and 2 alone cover another run's median in at
least 90 % of cases with correlations up to 0.7 and clusters that last up to a third of a run, and independent
repetitions get an interval half as wide again as the textbook's. A disturbance as long as the run shows in
none of its repetitions: only part 3 stands for it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise

from partsolver.base.records import record
from partsolver.measure.records import Conditions, DriveFacts, Measurement, Reading
from partsolver.measure.stats import NORMAL_95, median
from partsolver.standards.settings import value_of

# Student's t, quantile 0.975, for 1 to 14 degrees of freedom (any table).
STUDENT_95 = (
    12.706,
    4.303,
    3.182,
    2.776,
    2.571,
    2.447,
    2.365,
    2.306,
    2.262,
    2.228,
    2.201,
    2.179,
    2.160,
    2.145,
)
LEAST_FOR_RANKS = 8  # fewer repetitions: their range covers another median with less than 95 %
MEDIAN_TO_MEAN = math.sqrt(math.pi / 2)  # standard error of a median over that of a mean, normal data
MOST_CORRELATION = 0.9  # a short series cannot show more
ONE_REPETITION = math.log(2)  # a single repetition says nothing of its scatter: a factor of two (judgement)
NETWORK = ("nfs", "nfs4", "cifs", "smb3", "9p", "virtiofs", "fuse.sshfs", "vboxsf", "vmhgfs")
# reading -> end of the names of its settings
_SETTING = {
    "serial": "processor",
    "parallel": "processor",
    "memory": "memory",
    "storage_sequential": "sequential",
    "storage_random": "random",
    "launch": "launch",
}


@record
class Reach:
    """How far below and above its value a figure may lie, with 95 %, as natural logarithms of factors (>=
    0)."""

    low: float
    high: float

    def scaled(self, factor: float) -> Reach:
        """Both reaches times a positive factor."""
        return Reach(self.low * factor, self.high * factor)

    def flipped(self) -> Reach:
        """The reach of the reciprocal."""
        return Reach(self.high, self.low)

    def plus(self, *others: Reach) -> Reach:
        """Of a product of independent figures: squares add on each side (G. Y. Zou, A. Donner, Statistics in
        Medicine 27, 2008, "method of variance estimates recovery": limits that are not symmetric; from
        memory)."""
        every = (self, *others)
        return Reach(math.hypot(*(one.low for one in every)), math.hypot(*(one.high for one in every)))

    def together(self, other: Reach) -> Reach:
        """Of a product of two figures that err together: reaches add (JCGM 100:2008, section 5.2.2, note 1:
        correlation +1)."""
        return Reach(self.low + other.low, self.high + other.high)


def rank_correlation(values: Sequence[float]) -> float:
    """Lag-one correlation of the ranks (ties share theirs), corrected for short series; 0 to
    MOST_CORRELATION, 0 for fewer than LEAST_FOR_RANKS values."""
    count = len(values)
    if count < LEAST_FOR_RANKS:
        return 0.0
    ordered = sorted(values)
    # Twice the rank less its mean: a whole number also with ties.
    ranks = [2 * ordered.index(value) + ordered.count(value) - count for value in values]
    total = sum(rank * rank for rank in ranks)
    if total == 0:
        return 0.0
    raw = sum(a * b for a, b in pairwise(ranks)) / total
    return min(MOST_CORRELATION, max(0.0, (raw + 1 / count) / (1 - 4 / count)))


def scatter_reach(values: Sequence[float]) -> Reach:
    """Parts 1 and 2: where the median of as many other repetitions lies, from these (positive, in order of
    time)."""
    count = len(values)
    if count < 2:
        return Reach(ONE_REPETITION, ONE_REPETITION)
    logs = sorted(math.log(value) for value in values)
    middle = math.log(median(values))
    correlation = rank_correlation(values)
    effective = max(2.0, count * (1 - correlation) / (1 + correlation))
    share = NORMAL_95 * math.sqrt(1 / (2 * effective))
    low, high = middle - _quantile(logs, 0.5 - share), _quantile(logs, 0.5 + share) - middle
    if count < LEAST_FOR_RANKS or share > 0.5 - 0.5 / count:  # the quantile lies beyond the extremes
        mean = math.fsum(logs) / count
        deviation = math.sqrt(math.fsum((value - mean) ** 2 for value in logs) / (count - 1))
        student = STUDENT_95[min(count - 1, len(STUDENT_95)) - 1]
        least = student * MEDIAN_TO_MEAN * math.sqrt(2 / effective) * deviation
        low, high = max(low, least), max(high, least)
    return Reach(max(0.0, low), max(0.0, high))


def _quantile(ordered: Sequence[float], share: float) -> float:
    """Quantile with the i-th of n at (i - 1/2) / n (Hyndman & Fan 1996, type 5); the extremes beyond them."""
    position = min(max(share * len(ordered) - 0.5, 0.0), len(ordered) - 1.0)
    below = math.floor(position)
    above = min(below + 1, len(ordered) - 1)
    return ordered[below] + (ordered[above] - ordered[below]) * (position - below)


def between_percent(
    name: str, conditions: Conditions, drive: DriveFacts, settings: Mapping[str, int] | None = None
) -> float:
    """Part 3: standard deviation between runs of a reading (or of a task of compute), per cent."""
    kind = _SETTING.get(name.partition(".")[0], "processor")
    stored = kind in ("sequential", "random", "launch")
    hosted = conditions.virtual or (stored and (drive.interface == "virtual" or drive.file_system in NETWORK))
    own = value_of(f"run_to_run_{kind}_percent", settings)
    return math.hypot(own, value_of(f"run_to_run_virtual_{kind}_percent", settings)) if hosted else float(own)


def other_run(
    reading: Reading, conditions: Conditions, drive: DriveFacts, settings: Mapping[str, int] | None = None
) -> Reach:
    """Where the median of another run on the same PC lies with 95 %."""
    between = NORMAL_95 * math.sqrt(2) * between_percent(reading.name, conditions, drive, settings) / 100
    return scatter_reach(reading.values).plus(Reach(between, between))


def bounds(
    measured: Measurement, reading: Reading, settings: Mapping[str, int] | None = None
) -> tuple[int, int]:
    """The interval of ``other_run`` in the reading's unit, rounded outwards."""
    reach = other_run(reading, measured.conditions, measured.drive, settings)
    return math.floor(reading.median / math.exp(reach.low)), math.ceil(reading.median * math.exp(reach.high))


def own_reach(reading: Reading, measured: Measurement, settings: Mapping[str, int] | None = None) -> Reach:
    """How far the PC's own level may lie from this run: the other run's share of the variance is left out."""
    return other_run(reading, measured.conditions, measured.drive, settings).scaled(math.sqrt(0.5))


def score_error_percent(measured: Measurement, settings: Mapping[str, int] | None = None) -> int:
    """Standard error of both scores in whole per cent, rounded up: the longer side's 95 % reach over 1.96."""
    reaches = [
        own_reach(reading, measured, settings)
        for reading in measured.readings
        if reading.name in ("serial", "parallel")
    ]
    return max(1, *(math.ceil(100 * max(reach.low, reach.high) / NORMAL_95) for reach in reaches))
