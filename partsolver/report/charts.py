"""The trade-off as a picture (matplotlib): readable without the table, same bytes for the same points."""

from __future__ import annotations

import io
import os
import tempfile
from pathlib import Path

from partsolver.errors import refuse
from partsolver.model.tradeoff import Tradeoff
from partsolver.problem import Problem
from partsolver.report.tradeoff import change_words

# More labels than this overlap; the others are in the table.
MOST_LABELS = 9


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
    figure, axes = plt.subplots(figsize=(10, 6.2), dpi=110)
    axes.step(costs, speeds, where="post", color="#5b7083", linewidth=1.2, zorder=1)
    axes.errorbar(costs, speeds, yerr=[low, high], fmt="o", color="#1f4e79", ecolor="#a9bccd", capsize=3, zorder=2)
    knees = [i for i, p in enumerate(points) if p.knee]
    axes.plot([costs[i] for i in knees], [speeds[i] for i in knees], "o", markersize=13, markerfacecolor="none", markeredgecolor="#b3541e", zorder=3)
    axes.axhline(1.0, color="#888888", linewidth=0.8, linestyle="--")
    axes.annotate("the PC as it is", (axes.get_xlim()[1], 1.0), xytext=(-4, 4), textcoords="offset points", ha="right", fontsize=8, color="#555555")
    for i in _labelled(points):
        above = i % 2 == 0
        axes.annotate(
            _label(change_words(points[i].plan, problem)), (costs[i], speeds[i]), xytext=(6, 14 if above else -30),
            textcoords="offset points", fontsize=7.5, color="#222222",
            arrowprops={"arrowstyle": "-", "color": "#999999", "linewidth": 0.6},
        )  # fmt: skip
    axes.set_xlabel(f"total cost with extras and delivery ({problem.catalog.currency})")
    axes.set_ylabel(f"expected speed-up for {problem.use.title.lower()} (times; bars: 95 % interval)")
    axes.set_title(f"{problem.survey.pc.name}: what a little more money buys")
    axes.grid(True, color="#e4e8ec", linewidth=0.7)
    axes.set_axisbelow(True)
    axes.margins(x=0.12, y=0.15)
    if knees:
        axes.plot([], [], "o", markersize=11, markerfacecolor="none", markeredgecolor="#b3541e", label="knee: the next percent costs at least twice as much")
        axes.legend(loc="lower right", fontsize=8, frameon=False)
    figure.tight_layout()
    kind = path.suffix.lower()[1:]
    buffer = io.BytesIO()
    figure.savefig(buffer, format=kind, metadata={"Date": None} if kind == "svg" else {"Software": None})
    plt.close(figure)
    _write(path, buffer.getvalue())


def _labelled(points: list) -> list[int]:  # type: ignore[type-arg]
    """Which points get a label: first, last, knees, then evenly spread ones."""
    if len(points) <= MOST_LABELS:
        return list(range(len(points)))
    chosen = {0, len(points) - 1, *[i for i, p in enumerate(points) if p.knee]}
    spread = [round(k * (len(points) - 1) / (MOST_LABELS - 1)) for k in range(MOST_LABELS)]
    for index in spread:
        if len(chosen) >= MOST_LABELS:
            break
        if all(abs(index - other) > 1 for other in chosen):
            chosen.add(index)
    return sorted(chosen)[: 2 * MOST_LABELS]


def _label(words: str) -> str:
    import textwrap

    return "\n".join(textwrap.wrap(words, 30)[:3])


def _write(path: Path, data: bytes) -> None:
    try:
        handle, temporary = tempfile.mkstemp(dir=path.parent or Path("."), prefix=f".{path.name}.")
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        os.chmod(temporary, 0o644)
        os.replace(temporary, path)
    except OSError as error:
        raise refuse(str(path), f"cannot be written: {error.strerror}") from None
