"""Shares of a use fitted from PCs that were measured, together with how long the owner's whole task took on
each.

Model (``performance.law``): T = sum over resources k of c_k / s_k, with s_k the measured speeds relative to
the reference machine and c_k >= 0 the seconds the task spends in k there; the shares are c_k / sum c. Waiting
and streaming change together from drive to drive and cannot be told apart in a few PCs: they are fitted as
one (*drive*) and divided as in office work. *Other* is the part that no PC changes. Each row is divided by
its time, so relative misfits count alike for fast and slow PCs. Non-negative least squares by the active-set
algorithm NNLS of C. L. Lawson and R. J. Hanson, Solving Least Squares Problems (1974; SIAM Classics 1995),
chapter
23. How well: relative misfit of all rows, and the worst prediction of a pair that was left out of the fit.

How sure: the shares' variances by the jackknife over the pairs (B. Efron, The Jackknife, the Bootstrap and
Other Resampling Plans, SIAM 1982, chapter 3: (n - 1) / n times the sum of squares around the mean of the n
fits), and the concentration of the Dirichlet distribution with the same sum of variances: sum m_k (1 - m_k) /
(c + 1).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any

from partsolver.base.documents import csv_rows
from partsolver.base.errors import Fault, InputRefused, refuse
from partsolver.base.records import record
from partsolver.base.textfile import read_text
from partsolver.measure.judge import read_run
from partsolver.measure.records import Measurement
from partsolver.measure.speeds import READING_OF, relative_speeds
from partsolver.wishes.uses import USES

RESOURCES = (*READING_OF, "other")
# What is fitted; "drive" is waiting and streaming in the proportion of office work.
FITTED = ("serial", "parallel", "memory", "drive", "other")
_OFFICE_WAITING = USES["office"].share("waiting") / (
    USES["office"].share("waiting") + USES["office"].share("streaming")
)
# The surest that shares are called, whatever the pairs say (judgement: other days, other work).
MOST_CONCENTRATION = 200
# Two rows a pair: four unknown shares need four rows, and as many again to show a misfit (judgement).
LEAST_PAIRS = 4
# Columns of the scaled matrix that are more alike than this cannot be told apart with readings of a few per
# cent.
MOST_CONDITION = 100.0
# Four months: a task that takes longer is a slip.
MOST_SECONDS = 10_000_000
COLUMNS = ("before", "after", "before_s", "after_s")


@record
class Pair:
    """One PC before and after, and the seconds its owner's task took on each."""

    before: Measurement
    after: Measurement
    before_s: float
    after_s: float


@record
class Fit:
    """Fitted shares in permille by resource (sum 1000), the seconds on the reference machine, and the
    quality.

    concentration: how sure the shares are (of a Dirichlet distribution); error_permille: standard error of
    each; misfit_percent: root mean square relative misfit; left_out_percent: largest relative error in
    predicting a pair from the others; noisy: how many of the runs were not good.
    """

    shares_permille: dict[str, int]
    concentration: int
    error_permille: dict[str, int]
    reference_s: float
    pairs: int
    misfit_percent: float
    left_out_percent: float
    noisy: int


def nnls(matrix: Any, target: Any) -> Any:
    """x >= 0 that minimises |matrix x - target| (Lawson & Hanson, algorithm NNLS). Raises ArithmeticError
    when it does not end (it ends in finite steps in exact arithmetic)."""
    import numpy as np

    a, b = np.asarray(matrix, float), np.asarray(target, float)
    count = a.shape[1]
    x, active = np.zeros(count), np.zeros(count, bool)
    tolerance = (
        10
        * np.finfo(float).eps
        * max(1.0, float(np.abs(a).sum(axis=0).max()))
        * max(1.0, float(np.abs(b).max()))
    )
    gradient = a.T @ (b - a @ x)
    for _ in range(3 * count * count + 10):
        free = ~active & (gradient > tolerance)
        if not free.any():
            return x
        active[int(np.argmax(np.where(free, gradient, -np.inf)))] = True
        while True:
            trial = np.zeros(count)
            trial[active] = np.linalg.lstsq(a[:, active], b, rcond=None)[0]
            if not (trial[active] <= 0).any():
                break
            # Go towards the trial until the first variable becomes zero, and take that out.
            falling = active & (trial <= 0)
            step = float(np.min(x[falling] / (x[falling] - trial[falling])))
            x = x + step * (trial - x)
            active &= x > tolerance
            x[~active] = 0.0
        x = trial
        gradient = a.T @ (b - a @ x)
    raise ArithmeticError("non-negative least squares did not end")


def fit_shares(pairs: Sequence[Pair]) -> Fit:
    """Fit the shares. Raises InputRefused with too few pairs, missing readings, or PCs too alike."""
    import numpy as np

    if len(pairs) < LEAST_PAIRS:
        raise refuse(
            "pairs",
            "too few to fit shares to",
            len(pairs),
            f"at least {LEAST_PAIRS} PCs measured before and after",
            "Keep the shares of the built-in uses until more PCs are measured",
        )
    rows = np.array([row for pair in pairs for row in _rows(pair)])
    condition = float(np.linalg.cond(rows / np.linalg.norm(rows, axis=0)))
    if not condition <= MOST_CONDITION:
        raise refuse(
            "pairs",
            "the PCs are too alike to tell the resources apart",
            f"condition number {condition:.0f}",
            f"at most {MOST_CONDITION:.0f}",
            "Add PCs whose upgrade changed only the drive, only the memory or only the processor",
        )
    ones = np.ones(len(rows))
    seconds = nnls(rows, ones)
    if not seconds.sum() > 0:
        raise refuse("pairs", "no shares fit these times", hint="Check the seconds of each pair")
    misfit = 100 * math.sqrt(float(np.mean((rows @ seconds - 1) ** 2)))
    left_out, without_one = 0.0, []
    for index in range(len(pairs)):
        keep = [row for row in range(len(rows)) if row // 2 != index]
        without = nnls(rows[keep], ones[keep])
        without_one.append(_shares(without))
        left_out = max(
            left_out, *(100 * abs(float(rows[row] @ without) - 1) for row in (2 * index, 2 * index + 1))
        )
    shares = _shares(seconds)
    spread = np.array([[each[name] for name in RESOURCES] for each in without_one])
    count = len(without_one)
    variances = (count - 1) / count * ((spread - spread.mean(axis=0)) ** 2).sum(axis=0)
    return Fit(
        _permille(shares),
        _concentration(shares, float(variances.sum())),
        {name: round(1000 * math.sqrt(v)) for name, v in zip(RESOURCES, variances.tolist(), strict=True)},
        float(seconds.sum()),
        len(pairs),
        misfit,
        left_out,
        sum(run.verdict == "noisy" for pair in pairs for run in (pair.before, pair.after)),
    )


def _shares(seconds: Any) -> dict[str, float]:
    """Shares of all resources, from the fitted seconds."""
    total = float(seconds.sum()) or 1.0
    fitted = {name: float(value) / total for name, value in zip(FITTED, seconds, strict=True)}
    drive = fitted.pop("drive")
    found = fitted | {"waiting": drive * _OFFICE_WAITING, "streaming": drive * (1 - _OFFICE_WAITING)}
    return {name: found[name] for name in RESOURCES}


def _concentration(shares: dict[str, float], variance: float) -> int:
    """Concentration of the Dirichlet distribution with these means and this sum of variances, 1 at least."""
    whole = math.fsum(share * (1 - share) for share in shares.values())
    sure = MOST_CONCENTRATION if variance <= 0 else whole / variance - 1
    return int(min(MOST_CONCENTRATION, max(1, math.floor(sure))))


def _rows(pair: Pair) -> list[list[float]]:
    made = []
    for run, seconds in ((pair.before, pair.before_s), (pair.after, pair.after_s)):
        speeds = relative_speeds(run)
        missing = [name for name in READING_OF if name not in speeds]
        if missing:
            raise refuse(
                "pairs",
                "a measurement lacks a reading",
                ", ".join(missing),
                hint="Measure that PC again where it can be read",
            )
        slow = {name: 1 / speed for name, speed in speeds.items()}
        slow["drive"] = _OFFICE_WAITING * slow["waiting"] + (1 - _OFFICE_WAITING) * slow["streaming"]
        slow["other"] = 1.0
        made.append([slow[name] / seconds for name in FITTED])
    return made


def _permille(seconds: dict[str, float]) -> dict[str, int]:
    """Whole shares that sum to 1000: rounded down, the rest to the largest remainders (ties: order of
    resources)."""
    total = sum(seconds.values())
    exact = {name: 1000 * value / total for name, value in seconds.items()}
    whole = {name: math.floor(value) for name, value in exact.items()}
    order = sorted(exact, key=lambda name: (-(exact[name] - whole[name]), RESOURCES.index(name)))
    for name in order[: 1000 - sum(whole.values())]:
        whole[name] += 1
    return whole


def read_pairs(path: Path) -> tuple[Pair, ...]:
    """Pairs from a CSV file: two measurement files (paths from the file's folder) and two times in seconds.
    Raises InputRefused with every fault."""
    rows = [row for _, row in csv_rows(read_text(path), str(path)) if any(cell.strip() for cell in row)]
    if not rows or tuple(cell.strip() for cell in rows[0]) != COLUMNS:
        raise refuse(
            f"{path}:1", "not the right columns", ",".join(rows[0]) if rows else None, ",".join(COLUMNS)
        )
    faults: list[Fault] = []
    pairs = []
    lines: dict[tuple[str, str], int] = {}
    for line, row in enumerate(rows[1:], start=2):
        if len(row) != len(COLUMNS):
            faults.append(Fault(f"{path}:{line}", "wrong number of cells", str(len(row)), str(len(COLUMNS))))
            continue
        runs, times = [], []
        for name, cell in zip(COLUMNS, row, strict=True):
            try:
                if name.endswith("_s"):
                    times.append(_seconds(cell))
                else:
                    runs.append(read_run(path.parent / cell.strip()))
            except InputRefused as error:
                faults += error.faults
            except ValueError:
                faults.append(
                    Fault(
                        f"{path}:{line} {name}",
                        "not a time",
                        cell,
                        f"seconds above 0 and below {MOST_SECONDS}, such as 83.5",
                    )
                )
        if len(runs) == len(times) == 2:
            known = lines.setdefault((runs[0].model_dump_json(), runs[1].model_dump_json()), line)
            if runs[0] == runs[1]:
                problem, files = "both files hold the same run", f"{row[0].strip()}, {row[1].strip()}"
                faults.append(Fault(f"{path}:{line}", problem, files, "a run before and one after"))
            elif known != line:
                # A PC that counts twice would also vouch for itself where it is left out.
                problem = f"the same two runs stand in line {known}"
                faults.append(Fault(f"{path}:{line}", problem, row[0].strip(), "each PC once"))
            pairs.append(Pair(runs[0], runs[1], times[0], times[1]))
    if faults:
        raise InputRefused(faults)
    return tuple(pairs)


def _seconds(cell: str) -> float:
    try:
        value = Decimal(cell.strip())
    except InvalidOperation:
        raise ValueError from None
    if not value.is_finite() or not 0 < value < MOST_SECONDS:
        raise ValueError
    return float(value)
