"""The interval of an expected speed-up by error propagation, and when two plans are equals.

Speed-up S = T0 / T with T = sum of terms t_k, each with a relative standard error e_k of the score or rate it
comes
from: d ln T = sum (t_k / T) d_k (first-order propagation: JCGM 100:2008 (GUM), section 5.1.2, relative form).
A resource that the same part provides before and after carries one and the same error, so only the difference
of its shares counts. The interval is the 95 % interval of ln S under a normal approximation (factor 1.96),
which keeps bounds positive.
"""

from __future__ import annotations

import math

from partsolver.catalog.records import Cpu
from partsolver.performance.present import present_parts, present_time_ppm
from partsolver.performance.time import terms_ppm
from partsolver.plan.outcome import Interval
from partsolver.problem.candidates import Parts
from partsolver.problem.problem import Problem

NORMAL_95 = 1.959964  # standard normal quantile 0.975 (any table)
# The order of two neighbours is a coin toss when the chance that it is the other way round exceeds 40 %
# (judgement): |difference of ln T| < 0.2533 standard errors (standard normal quantile 0.6).
COIN_TOSS_Z = 0.2533


def _cpu_error(cpu: Cpu, problem: Problem) -> float:
    if cpu.score_error_percent is not None:
        return cpu.score_error_percent / 100
    return problem.settings[f"score_error_{cpu.score_origin or 'estimated'}_percent"] / 100


def _errors(problem: Problem, parts: Parts) -> dict[str, tuple[float, object]]:
    """Relative standard error of each resource and the part it comes from."""
    cpu_error = _cpu_error(parts.cpu, problem)
    memory = (parts.memory.id, parts.board.memory_generation)
    card = (parts.board.slots, parts.cpu.id)
    setting = problem.settings
    return {
        "serial": (cpu_error, parts.cpu.id),
        "parallel": (cpu_error, parts.cpu.id),
        "memory": (setting["memory_error_percent"] / 100, memory),
        "storage": (setting["storage_error_percent"] / 100, parts.drive.id),
        "graphics": (setting["graphics_error_percent"] / 100, card),
        "capacity": (0.5, parts.memory.id),  # judgement: the paging model is the weakest term
    }


def ln_ratio_error(problem: Problem, before: Parts, after: Parts) -> float:
    """Standard error of ln(T(before) / T(after))."""
    old, new = terms_ppm(problem, before), terms_ppm(problem, after)
    old_sum, new_sum = sum(old.values()), sum(new.values())
    old_errors, new_errors = _errors(problem, before), _errors(problem, after)
    variance = 0.0
    for resource in old:
        share_old, share_new = old[resource] / old_sum, new[resource] / new_sum
        (error_old, part_old), (error_new, part_new) = old_errors[resource], new_errors[resource]
        if part_old == part_new:
            variance += ((share_old - share_new) * error_old) ** 2
        else:
            variance += (share_old * error_old) ** 2 + (share_new * error_new) ** 2
    return math.sqrt(variance)


def speedup(problem: Problem, parts: Parts) -> Interval | None:
    """Expected speed-up against the PC as it is with its 95 % interval, in thousandths (rounded)."""
    now = present_time_ppm(problem)
    if now is None:
        return None
    before = present_parts(problem)
    after = sum(terms_ppm(problem, parts).values())
    ratio = now / after
    spread = NORMAL_95 * ln_ratio_error(problem, before, parts)
    return Interval(
        round(1000 * now / after),
        round(1000 * ratio * math.exp(-spread)),
        round(1000 * ratio * math.exp(spread)),
    )


def is_coin_toss(problem: Problem, first: Parts, second: Parts) -> bool:
    """Whether the order of two plans by time is a coin toss."""
    a, b = sum(terms_ppm(problem, first).values()), sum(terms_ppm(problem, second).values())
    error = ln_ratio_error(problem, first, second)
    return error > 0 and a != b and abs(math.log(a / b)) < COIN_TOSS_Z * error
