"""The interval of an expected speed-up, and when two plans are equals.

S = T(before) / T(after). What is not sure, each as its own reach of ln S with 95 %:

* the shares of the use. They are drawn around the stated ones: a Dirichlet distribution with means m_k (the
  shares) and concentration c (Kotz, Balakrishnan & Johnson, Continuous Multivariate Distributions, vol. 1,
  2nd ed., Wiley 2000, chapter 49, from memory; the formulas are checked by simulation in the tests): Var p_k
  = m_k (1 - m_k) / (c + 1), Cov(p_j, p_k) = -m_j m_k / (c + 1). The PCs of a speed-up do the same work, so
  their shares are the same and the covariance of their times counts: with slownesses a_k and b_k, to first
  order, Var ln(T_a / T_b) = (sum m_k g_k^2 - (sum m_k g_k)^2) / (c + 1) with g_k = a_k / T_a - b_k / T_b (the
  second sum is not 0 where lack of memory adds a term outside the shares). Whatever the shares are, S lies
  between the least and the greatest ratio of two terms (mediant inequality): the reach ends there.
* the errors of scores, rates and kinds of drive (``errors.py``), by first-order propagation.
* the working set, by the times with a smaller and a larger one.

They are independent: reaches add in quadrature, on each side by itself. ln S is used because it keeps bounds
positive.

* facts that are not known (``unknowns.py``): by how much the intervals for every value that one may have go
  beyond. These reaches are added to the others, not in quadrature, so that the range holds what it may turn
  out to be, and no fact narrows it by being unknown.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from partsolver.base.records import record
from partsolver.performance.errors import Source, error_sources
from partsolver.performance.law import Law, law_of
from partsolver.performance.present import as_today, present_parts, present_time_ppm
from partsolver.performance.time import terms_ppm
from partsolver.performance.unknowns import possible_parts
from partsolver.plan.outcome import Interval
from partsolver.problem.candidates import Parts
from partsolver.problem.problem import Problem
from partsolver.wishes.uses import RESOURCES, Use

NORMAL_95 = 1.959964  # standard normal quantile 0.975 (any table)
# The order of two neighbours is a coin toss when the chance that it is the other way round exceeds 40 %
# (judgement): |difference of ln T| < 0.2533 standard errors (standard normal quantile 0.6).
COIN_TOSS_Z = 0.2533

Terms = Mapping[str, float]


@record
class Reaches:
    """How far ln S reaches below and above its expected value with 95 %."""

    low: float
    high: float

    def plus(self, *others: Reaches) -> Reaches:
        """Both, if they are independent: in quadrature on each side."""
        every = (self, *others)
        return Reaches(math.hypot(*(r.low for r in every)), math.hypot(*(r.high for r in every)))


def share_variance(use: Use, before: Terms, after: Terms) -> float:
    """Variance of ln(T(before) / T(after)) from the uncertainty of the shares alone."""
    old, new = math.fsum(before.values()), math.fsum(after.values())
    squares, mean = [], []
    for resource in RESOURCES:
        share = use.share(resource) / 1000
        if share:
            weight = before[resource] / old - after[resource] / new  # m_k g_k
            squares.append(weight * weight / share)
            mean.append(weight)
    return max(0.0, math.fsum(squares) - math.fsum(mean) ** 2) / (use.concentration + 1)


def share_reaches(use: Use, before: Terms, after: Terms) -> Reaches:
    """Reaches from the uncertainty of the shares, within the least and greatest ratio of two terms."""
    spread = NORMAL_95 * math.sqrt(share_variance(use, before, after))
    ratio = math.log(math.fsum(before.values()) / math.fsum(after.values()))
    single = [math.log(before[k] / after[k]) for k in before if before[k] > 0 and after[k] > 0]
    endless = any(after[k] <= 0 < before[k] for k in before), any(before[k] <= 0 < after[k] for k in before)
    low = -math.inf if endless[1] else min(single, default=0.0)
    high = math.inf if endless[0] else max(single, default=0.0)
    return Reaches(min(spread, max(0.0, ratio - low)), min(spread, max(0.0, high - ratio)))


def error_variance(
    before: Terms, after: Terms, of_before: tuple[Source, ...], of_after: tuple[Source, ...]
) -> float:
    """Variance of ln(T(before) / T(after)) from the errors of scores, rates and kinds."""
    old, new = math.fsum(before.values()), math.fsum(after.values())
    moved: dict[object, float] = {}
    for sign, terms, total, sources in ((1, before, old, of_before), (-1, after, new, of_after)):
        for source in sources:
            part = math.fsum(terms[name] for name in source.terms) / total
            moved[source.key] = moved.get(source.key, 0.0) + sign * part * source.error
    return math.fsum(value * value for value in moved.values())


def _working_set_reaches(problem: Problem, law: Law, before: Parts, after: Parts, ln_ratio: float) -> Reaches:
    """Reaches from the working set: the ratio with a smaller and with a larger one."""
    needed = law.use.working_set_mib
    reach = problem.settings["working_set_reach_percent"]
    found = [0.0]
    for percent in (100 - reach, 100 + reach) if needed else ():
        other = replace(law, use=replace(law.use, working_set_mib=needed * percent // 100))
        old, new = (sum(terms_ppm(problem, parts, other).values()) for parts in (before, after))
        found.append(math.log(old / new) - ln_ratio)
    return Reaches(-min(found), max(found))


def _known_ends(problem: Problem, before: Parts, after: Parts, law: Law) -> tuple[float, float, float]:
    """ln of the ratio and of the ends of its interval, facts that are not known left at what is assumed."""
    old, new = (terms_ppm(problem, parts, law) for parts in (before, after))
    ln_ratio = math.log(sum(old.values()) / sum(new.values()))
    errors = error_variance(old, new, error_sources(problem, before), error_sources(problem, after))
    spread = NORMAL_95 * math.sqrt(errors)
    reach = share_reaches(law.use, old, new).plus(
        Reaches(spread, spread), _working_set_reaches(problem, law, before, after, ln_ratio)
    )
    return ln_ratio, ln_ratio - reach.low, ln_ratio + reach.high


def reaches(problem: Problem, before: Parts, after: Parts, law: Law | None = None) -> Reaches:
    """How far ln(T(before) / T(after)) reaches with 95 %. ``law``: another than the problem's own."""
    law = law or law_of(problem)
    ln_ratio, low, high = _known_ends(problem, before, after, law)
    first, last = low, high
    for sets in possible_parts(problem, law.use, (before, after)):
        ends = [_known_ends(problem, *each, law) for each in sets]
        low -= max(0.0, first - min(end[1] for end in ends))
        high += max(0.0, max(end[2] for end in ends) - last)
    return Reaches(ln_ratio - low, high - ln_ratio)


def interval_of(ratio: float, reach: Reaches) -> Interval:
    """The interval around a ratio, in thousandths (rounded)."""
    return Interval(
        round(1000 * ratio),
        round(1000 * ratio * math.exp(-reach.low)),
        round(1000 * ratio * math.exp(reach.high)),
    )


def speedup(problem: Problem, parts: Parts, law: Law | None = None) -> Interval | None:
    """Expected speed-up against the PC as it is with its 95 % interval; None where no processor has a score.
    ``law``: that of other work, such as starting programs."""
    if present_time_ppm(problem) is None:
        return None
    before = present_parts(problem)
    old = sum(terms_ppm(as_today(problem), before, law).values())
    new = sum(terms_ppm(problem, parts, law).values())
    return interval_of(old / new, reaches(problem, before, parts, law))


def is_coin_toss(problem: Problem, first: Parts, second: Parts) -> bool:
    """Whether the order of two plans by time is a coin toss."""
    a, b = sum(terms_ppm(problem, first).values()), sum(terms_ppm(problem, second).values())
    reach = reaches(problem, first, second)
    # The side on which the order would be the other way round.
    error = (reach.low if a > b else reach.high) / NORMAL_95
    return a != b and abs(math.log(a / b)) < COIN_TOSS_Z * error
