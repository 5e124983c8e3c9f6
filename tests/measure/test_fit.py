"""Fitting shares: NNLS against scipy, recovery of known shares, and refusals."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest
from measure.samples import sample
from scipy.optimize import nnls as scipy_nnls

from partsolver.base.errors import InputRefused
from partsolver.measure.fit import Pair, fit_shares, nnls, read_pairs
from partsolver.measure.speeds import relative_speeds
from partsolver.problem.join import use_of
from partsolver.report.compare import fit_json, fit_text
from partsolver.report.measure import measurement_json
from partsolver.standards.settings import defaults
from partsolver.wishes.brief import Brief

# Invented PCs: processor, all threads, memory, drive before -> after; each upgrade changes other things.
PCS = [
    ((500, 1000, 9000, 90), (1500, 5500, 22000, 90)),
    ((700, 2500, 12000, 110), (700, 2500, 12000, 520)),
    ((900, 3400, 9500, 500), (900, 3400, 19000, 500)),
    ((600, 1200, 14000, 270), (1400, 9000, 24000, 530)),
    ((800, 1500, 13000, 100), (800, 6000, 13000, 100)),
]
# Waiting and streaming in the proportion of office work (85 : 15), as they are fitted together.
SECONDS = {"serial": 30.0, "parallel": 45.0, "memory": 0.0, "waiting": 17.0, "streaming": 3.0, "other": 5.0}


def run(figures: tuple[int, int, int, int]):  # type: ignore[no-untyped-def]
    names = ("serial", "parallel", "memory", "storage_sequential")
    # A disk reads some 100 times a second here and there, a solid-state drive some 10,000 times.
    reads = figures[3] if figures[3] < 200 else figures[3] * 20
    return sample(storage_random=reads, **dict(zip(names, figures, strict=True)))


def pairs(noise: float = 0.0, count: int = len(PCS)) -> list[Pair]:
    made = []
    for index, (old, new) in enumerate(PCS[:count]):
        runs = run(old), run(new)
        times = [SECONDS["other"] + sum(SECONDS[k] / s for k, s in relative_speeds(r).items()) for r in runs]
        made.append(Pair(*runs, times[0] * (1 + noise * (-1) ** index), times[1] * (1 - noise)))
    return made


@pytest.mark.parametrize("seed", range(40))
def test_nnls_against_scipy(seed: int) -> None:
    draw = np.random.default_rng(seed)
    rows, columns = int(draw.integers(1, 12)), int(draw.integers(1, 7))
    a, b = draw.normal(size=(rows, columns)), draw.normal(size=rows)
    if seed % 4 == 0 and columns > 1:
        a[:, 1] = 2 * a[:, 0]  # dependent columns: the minimum is not unique, its distance is
    expected, distance = scipy_nnls(a, b)
    found = nnls(a, b)
    assert (found >= 0).all() and np.linalg.norm(a @ found - b) == pytest.approx(distance, abs=1e-9)
    if rows >= columns and seed % 4:
        assert found == pytest.approx(expected, abs=1e-8)


def test_known_shares_come_back() -> None:
    fit = fit_shares(pairs())
    shares = {"serial": 300, "parallel": 450, "memory": 0, "waiting": 170, "streaming": 30, "other": 50}
    assert fit.shares_permille == shares
    assert (
        fit.reference_s == pytest.approx(100)
        and fit.misfit_percent < 1e-6
        and fit.left_out_percent < 1e-4
        and fit.noisy == 0
    )
    assert fit.concentration == 200 and max(fit.error_permille.values()) == 0  # nothing scatters
    found = tomllib.loads(fit_text(fit).partition("[brief]")[2])
    assert found == {"shares": shares, "shares_concentration": 200}
    brief = Brief(use="own", **found)
    assert use_of(brief, defaults()).concentration == 200
    assert '"pairs": 5' in fit_json(fit)


def test_noise_shows_in_the_quality() -> None:
    fit = fit_shares(pairs(0.04))
    assert sum(fit.shares_permille.values()) == 1000 and min(fit.shares_permille.values()) >= 0
    assert 0.5 < fit.misfit_percent < fit.left_out_percent
    # The concentration reproduces the jackknife's sum of variances, as the Dirichlet distribution has it.
    shares = [value / 1000 for value in fit.shares_permille.values()]
    variance = sum((value / 1000) ** 2 for value in fit.error_permille.values())
    whole = sum(share * (1 - share) for share in shares)
    assert fit.concentration < 200 and fit.concentration + 1 == pytest.approx(
        whole / variance, rel=0.1, abs=1
    )


def test_refusals() -> None:
    with pytest.raises(InputRefused, match="too few"):
        fit_shares(pairs(count=3))
    with pytest.raises(InputRefused, match="too alike"):
        fit_shares([pairs()[0]] * 6)
    lacking = pairs()
    with pytest.raises(InputRefused, match="streaming"):
        fit_shares([*lacking[:4], Pair(sample(storage_sequential=None), sample(), 1.0, 1.0)])


def test_pairs_file(tmp_path: Path) -> None:
    lines = ["before,after,before_s,after_s"]
    for index, pair in enumerate(pairs()):
        for name in ("before", "after"):
            (tmp_path / f"{name}{index}.json").write_text(
                measurement_json(getattr(pair, name)), encoding="utf-8"
            )
        lines.append(f"before{index}.json,after{index}.json,{pair.before_s},{pair.after_s}")
    path = tmp_path / "pairs.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    assert fit_shares(read_pairs(path)).shares_permille["parallel"] == 450
    path.write_text("\n".join([*lines, lines[2], "after0.json,after0.json,9,9"]) + "\n", encoding="utf-8")
    with pytest.raises(InputRefused) as caught:
        read_pairs(path)
    text = str(caught.value)
    assert "pairs.csv:7: the same two runs stand in line 3 (found 'before1.json')" in text
    assert "pairs.csv:8: both files hold the same run (found 'after0.json, after0.json')" in text
    path.write_text("\n".join([*lines, "nowhere.json,after0.json,-3,1", "a,b"]) + "\n", encoding="utf-8")
    with pytest.raises(InputRefused) as caught:
        read_pairs(path)
    text = str(caught.value)
    assert (
        "nowhere.json: no such file" in text
        and "pairs.csv:7 before_s: not a time (found '-3')" in text
        and ":8: wrong number" in text
    )
