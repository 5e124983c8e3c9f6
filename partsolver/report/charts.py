"""The trade-off as a picture (matplotlib): readable without the table, same bytes for the same points."""

from __future__ import annotations

import io
import textwrap
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from partsolver.base.textfile import write_bytes
from partsolver.problem.problem import Problem
from partsolver.report.tradeoff import change_words
from partsolver.solve.tradeoff import Point, Tradeoff


def draw_tradeoff(path: Path, found: Tradeoff, problem: Problem) -> None:
    """Write the picture (SVG or PNG by the name's ending). Raises InputRefused when it cannot be written."""
    import matplotlib

    matplotlib.use("Agg")
    matplotlib.rcParams["svg.hashsalt"] = "partsolver"
    import matplotlib.pyplot as plt

    scale = 10**problem.catalog.digits
    points = [p for p in found.points if p.plan.speedup is not None]
    costs = [p.plan.draft.cost / scale for p in points]
    speeds = [p.plan.speedup.expected_milli / 1000 for p in points]  # type: ignore[union-attr]
    low = [s - p.plan.speedup.low_milli / 1000 for s, p in zip(speeds, points, strict=True)]  # type: ignore[union-attr]
    high = [p.plan.speedup.high_milli / 1000 - s for s, p in zip(speeds, points, strict=True)]  # type: ignore[union-attr]
    figure, (axes, key) = plt.subplots(
        1, 2, figsize=(13.5, max(6.4, 0.2 * len(points) + 1.2)), dpi=110, width_ratios=[5, 4]
    )
    axes.step(costs, speeds, where="post", color="#5b7083", linewidth=1.2, zorder=1)
    axes.errorbar(
        costs, speeds, yerr=[low, high], fmt="o", color="#1f4e79", ecolor="#c3d0dc", capsize=2, zorder=2
    )
    knees = [i for i, p in enumerate(points) if p.knee]
    axes.plot(
        [costs[i] for i in knees],
        [speeds[i] for i in knees],
        "o",
        markersize=12,
        markerfacecolor="none",
        markeredgecolor="#b3541e",
        zorder=3,
    )
    axes.axhline(1.0, color="#888888", linewidth=0.8, linestyle="--")
    for i in range(len(points)):
        # Numbers alternate above and below, so that close points stay readable; the words stand beside.
        axes.annotate(
            str(i + 1),
            (costs[i], speeds[i]),
            xytext=(-4, 9) if i % 2 else (2, -15),
            textcoords="offset points",
            fontsize=8,
            color="#222222",
        )
    _draw_key(key, points, costs, problem)
    axes.set_xlabel(f"total cost with extras and delivery ({problem.catalog.currency})")
    axes.set_ylabel(f"expected speed-up for {problem.use.title.lower()} (times; bars: 95 % interval)")
    axes.set_title(f"{problem.survey.pc.name}: what a little more money buys")
    axes.grid(True, color="#e4e8ec", linewidth=0.7)
    axes.set_axisbelow(True)
    axes.margins(x=0.05, y=0.08)
    if knees:
        axes.plot(
            [],
            [],
            "o",
            markersize=11,
            markerfacecolor="none",
            markeredgecolor="#b3541e",
            label="knee: the next percent costs at least twice as much",
        )
        axes.legend(loc="lower right", fontsize=8, frameon=False)
    figure.tight_layout()
    kind = path.suffix.lower()[1:]
    buffer = io.BytesIO()
    figure.savefig(buffer, format=kind, metadata={"Date": None} if kind == "svg" else {"Software": None})
    plt.close(figure)
    write_bytes(path, buffer.getvalue())


def _draw_key(key: Any, points: Sequence[Point], costs: Sequence[float], problem: Problem) -> None:
    """The list beside the picture: number, cost, what changes."""
    key.axis("off")
    step = 1 / (len(points) + 1)
    for i, point in enumerate(points):
        words = textwrap.shorten(change_words(point.plan, problem), 74, placeholder=" ...")
        weight = "bold" if point.knee else "normal"
        amount = f"{costs[i]:.{problem.catalog.digits}f}"
        y = 1 - (i + 0.5) * step
        key.text(
            0.0,
            y,
            f"{i + 1}",
            fontsize=8,
            ha="right",
            color="#222222",
            weight=weight,
            transform=key.transAxes,
        )
        key.text(
            0.13, y, amount, fontsize=8, ha="right", color="#222222", weight=weight, transform=key.transAxes
        )
        key.text(0.15, y, words, fontsize=7.5, color="#222222", weight=weight, transform=key.transAxes)
