"""Fitting shares: NNLS against scipy, recovery of known shares, and refusals."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from measure.samples import sample
from scipy.optimize import nnls as scipy_nnls

from partsolver.base.errors import InputRefused
from partsolver.measure.fit import Pair, fit_shares, nnls, read_pairs
from partsolver.measure.speeds import relative_speeds
from partsolver.report.compare import fit_json, fit_text
from partsolver.report.measure import measurement_json

# Invented PCs: processor, all threads, memory, drive before -> after; each upgrade changes other things.
PCS = [
    ((500, 1000, 9000, 90), (1500, 5500, 22000, 90)),
    ((700, 2500, 12000, 110), (700, 2500, 12000, 520)),
    ((900, 3400, 9500, 500), (900, 3400, 19000, 500)),
    ((600, 1200, 14000, 270), (1400, 9000, 24000, 530)),
    ((800, 1500, 13000, 100), (800, 6000, 13000, 100)),
]
SECONDS = {"serial": 30.0, "parallel": 50.0, "memory": 0.0, "storage": 20.0}


def run(figures: tuple[int, int, int, int]):  # type: ignore[no-untyped-def]
    return sample(**dict(zip(("serial", "parallel", "memory", "storage_sequential"), figures, strict=True)))


def pairs(noise: float = 0.0, count: int = len(PCS)) -> list[Pair]:
    made = []
    for index, (old, new) in enumerate(PCS[:count]):
        runs = run(old), run(new)
        times = [sum(SECONDS[k] / s for k, s in relative_speeds(r).items()) for r in runs]
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
    assert fit.shares_permille == {"serial": 300, "parallel": 500, "memory": 0, "storage": 200}
    assert (
        fit.reference_s == pytest.approx(100)
        and fit.misfit_percent < 1e-6
        and fit.left_out_percent < 1e-4
        and fit.noisy == 0
    )
    assert "shares = { serial = 300, parallel = 500, memory = 0, storage = 200 }" in fit_text(fit)
    assert '"pairs": 5' in fit_json(fit)


def test_noise_shows_in_the_quality() -> None:
    fit = fit_shares(pairs(0.04))
    assert sum(fit.shares_permille.values()) == 1000 and min(fit.shares_permille.values()) >= 0
    assert 1 < fit.misfit_percent < 5 < fit.left_out_percent


def test_refusals() -> None:
    with pytest.raises(InputRefused, match="too few"):
        fit_shares(pairs(count=3))
    with pytest.raises(InputRefused, match="too alike"):
        fit_shares([pairs()[0]] * 6)
    lacking = pairs()
    with pytest.raises(InputRefused, match="storage"):
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
    assert fit_shares(read_pairs(path)).shares_permille["parallel"] == 500
    path.write_text("\n".join([*lines, "nowhere.json,after0.json,-3,1", "a,b"]) + "\n", encoding="utf-8")
    with pytest.raises(InputRefused) as caught:
        read_pairs(path)
    text = str(caught.value)
    assert (
        "nowhere.json: no such file" in text
        and "pairs.csv:7 before_s: not a time (found '-3')" in text
        and ":8: wrong number" in text
    )
