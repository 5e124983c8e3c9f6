"""Median, quantiles, spread, means and trend of a handful of repetitions. How far another run may lie:
``repeat``.

Spread: median absolute deviation x 1.4826, which estimates the standard deviation of normal data and does not
move with one bad repetition (F. R. Hampel 1974; Rousseeuw & Croux 1993). Quantiles: linear interpolation of
order statistics (Hyndman & Fan 1996, type 7: the default of numpy and of most statistics programs).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

MAD_TO_SD = 1.4826
NORMAL_95 = 1.959964  # standard normal quantile 0.975 (any table)


def quantile(values: Sequence[float], share: float) -> float:
    """Quantile of type 7. Raises ValueError of nothing."""
    if not values:
        raise ValueError("no values")
    ordered = sorted(values)
    position = (len(ordered) - 1) * share
    low = math.floor(position)
    high = min(low + 1, len(ordered) - 1)
    return ordered[low] + (ordered[high] - ordered[low]) * (position - low)


def median(values: Sequence[float]) -> float:
    """Median; the mean of the middle two of an even number."""
    return quantile(values, 0.5)


def spread(values: Sequence[float]) -> float:
    """Robust relative standard deviation: 1.4826 x median absolute deviation / median."""
    middle = median(values)
    return MAD_TO_SD * median([abs(value - middle) for value in values]) / middle


def geometric_mean(values: Sequence[float]) -> float:
    """Geometric mean: the mean of normalised rates that does not depend on the reference (Fleming & Wallace,
    Communications of the ACM 29(3), 1986, pp. 218-221)."""
    return math.exp(math.fsum(math.log(value) for value in values) / len(values))


def harmonic_mean(values: Sequence[float], weights: Sequence[float] | None = None) -> float:
    """Weighted harmonic mean: the mean of speeds that goes with total time (J. E. Smith, Communications of
    the ACM 31(10), 1988)."""
    given = [1.0] * len(values) if weights is None else list(weights)
    return math.fsum(given) / math.fsum(w / v for w, v in zip(given, values, strict=True))


def amdahl(shares: Mapping[str, float], speeds: Mapping[str, float]) -> float:
    """Generalised Amdahl's law: speed-up = sum of F_k / sum of F_k / s_k, with F_k the shares of the *old*
    time.

    A resource without a speed is unaffected (s = 1). Hennessy & Patterson, Computer Architecture, 5th ed.,
    section
    1.9, for one enhancement; the sum is its direct generalisation.
    """
    return math.fsum(shares.values()) / math.fsum(
        share / speeds.get(name, 1.0) for name, share in shares.items()
    )


def sag(values: Sequence[float]) -> float:
    """Median of the last third of the repetitions over that of the first third: below 1 when the PC slows
    down under load. Noise alone gives that as well: see ``falling_chance``."""
    third = max(1, len(values) // 3)
    return median(values[-third:]) / median(values[:third])


def falling_chance(values: Sequence[float]) -> float:
    """Chance that values in random order fall at least as steadily as these: Kendall's S, pairs that rise
    less pairs that fall, with its exact distribution (H. B. Mann, Econometrica 13, 1945). Ties count as
    neither, which makes the chance rather too large."""
    count = len(values)
    pairs = [(values[i], values[j]) for i in range(count) for j in range(i + 1, count)]
    fallen = sum(later < earlier for earlier, later in pairs)
    level = sum(later == earlier for earlier, later in pairs)
    # Orders of n values by their number of falling pairs: the coefficients of (1)(1 + q)(1 + q + q^2)...
    ways = [1]
    for size in range(2, count + 1):
        ways = [sum(ways[max(0, k - size + 1) : k + 1]) for k in range(len(ways) + size - 1)]
    return sum(ways[fallen + level // 2 :]) / math.factorial(count)
