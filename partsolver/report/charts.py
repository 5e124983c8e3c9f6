"""The trade-off as a picture (matplotlib): readable on a phone, with its own description; the same bytes
for the same points. Colours are those of the bench sheet."""

from __future__ import annotations

import html
import io
import re
import textwrap
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from partsolver.base.textfile import write_bytes
from partsolver.plan.outcome import Plan
from partsolver.problem.problem import Problem
from partsolver.report.page import amount_text, decimals_text
from partsolver.report.tradeoff import change_words
from partsolver.report.words.counts import count_of
from partsolver.solve.tradeoff import Point, Tradeoff

INK, SOFT, LINE, ACCENT, WARN, PALE = "#1a1a1a", "#4a4a4a", "#8a8a8a", "#1f3f6e", "#8a1c1c", "#c3d0dc"
# Inches and points: a phone shows 4.6 inches on 390 pixels, so 9 points are about 11 pixels there.
SIZE_IN, DPI, LABEL_PT = (4.6, 5.6), 200, 9
# More labels than this cover one another.
MOST_LABELS = 5


def draw_tradeoff(
    path: Path, found: Tradeoff, problem: Problem, marked: Sequence[tuple[int, Plan]] = ()
) -> None:
    """Write the picture (SVG or PNG by the name's ending); ``marked``: plans of the short answer with
    their place. Raises InputRefused when it cannot be written."""
    import matplotlib

    matplotlib.use("Agg")
    matplotlib.rcParams["svg.hashsalt"] = "partsolver"
    matplotlib.rcParams["font.family"] = "DejaVu Sans"
    # A name may hold a dollar sign; two of them are no formula.
    matplotlib.rcParams["text.parse_math"] = False
    import matplotlib.pyplot as plt

    figure, axes = plt.subplots(figsize=SIZE_IN, dpi=DPI)
    points = [p for p in found.points if p.plan.speedup is not None]
    _draw_points(axes, points, problem)
    shown = _marked_plans(marked) if marked else [("", point.plan) for point in _main_points(points)]
    scale = 10**problem.catalog.digits
    axes.plot(
        *zip(*(_place(plan, scale) for _, plan in shown), strict=True),
        "s",
        markersize=6,
        color=WARN,
        zorder=4,
    )
    axes.axhline(1.0, color=LINE, linewidth=0.8, linestyle="--")
    axes.set_xlabel(f"cost with everything, {problem.catalog.currency}", fontsize=LABEL_PT)
    axes.set_ylabel("times as fast (bars: 95 % interval)", fontsize=LABEL_PT)
    axes.set_title(
        textwrap.fill(f"{problem.survey.pc.name}: what a little more money buys", 38),
        fontsize=11,
        color=INK,
        loc="left",
    )
    axes.tick_params(labelsize=LABEL_PT)
    axes.grid(True, color="#e4e8ec", linewidth=0.7)
    axes.set_axisbelow(True)
    axes.margins(x=0.1, y=0.12)
    figure.tight_layout()
    places = [_place(plan, scale) for plan in [*(p.plan for p in points), *(plan for _, plan in shown)]]
    _label(axes, [(f"{number}{_cost(problem, plan)}", _place(plan, scale)) for number, plan in shown], places)
    kind = path.suffix.lower()[1:]
    words = description(found, problem)
    buffer = io.BytesIO()
    metadata = {"Date": None} if kind == "svg" else {"Software": None, "Description": words}
    figure.savefig(buffer, format=kind, metadata=metadata)
    plt.close(figure)
    data = buffer.getvalue()
    write_bytes(path, _described(data, words) if kind == "svg" else data)


def description(found: Tradeoff, problem: Problem) -> str:
    """The picture in words, for who cannot see it: first, knees and last of the trade-off."""
    said = []
    for point in _main_points([p for p in found.points if p.plan.speedup is not None]):
        speed = point.plan.speedup
        assert speed is not None
        cost = _cost(problem, point.plan)
        said.append(
            f"{cost} {problem.catalog.currency}: {decimals_text(speed.expected_milli / 1000, 2)} times as fast"
            f" ({change_words(point.plan, problem)})"
        )
    return (
        f"{problem.survey.pc.name}: cost against expected speed-up for {problem.use.title.lower()},"
        f" {count_of(len(found.points), 'point')}. " + "; ".join(said) + "."
    )


def _draw_points(axes: Any, points: Sequence[Point], problem: Problem) -> None:
    scale = 10**problem.catalog.digits
    costs = [p.plan.draft.cost / scale for p in points]
    speeds = [p.plan.speedup.expected_milli / 1000 for p in points]  # type: ignore[union-attr]
    low = [s - p.plan.speedup.low_milli / 1000 for s, p in zip(speeds, points, strict=True)]  # type: ignore[union-attr]
    high = [p.plan.speedup.high_milli / 1000 - s for s, p in zip(speeds, points, strict=True)]  # type: ignore[union-attr]
    axes.step(costs, speeds, where="post", color=LINE, linewidth=1.2, zorder=1)
    axes.errorbar(costs, speeds, yerr=[low, high], fmt="o", color=ACCENT, ecolor=PALE, capsize=2, zorder=2)
    knees = [i for i, p in enumerate(points) if p.knee]
    axes.plot(
        [costs[i] for i in knees],
        [speeds[i] for i in knees],
        "o",
        markersize=11,
        markerfacecolor="none",
        markeredgecolor=WARN,
        label="from here a percent costs twice as much",
        zorder=3,
    )
    if knees:
        axes.legend(loc="upper left", fontsize=LABEL_PT, frameon=False)


def _main_points(points: Sequence[Point]) -> list[Point]:
    """The first, the last, and the fastest knees between them, in order of cost."""
    if len(points) <= 2:
        return list(points)
    kept = [points[0], points[-1]]
    apart = points[-1].plan.draft.cost // 8  # nearer than this their labels would cover one another
    for point in sorted((p for p in points[1:-1] if p.knee), key=lambda p: p.plan.draft.time_ppm):
        near = any(abs(point.plan.draft.cost - other.plan.draft.cost) < apart for other in kept)
        if not near and len(kept) < MOST_LABELS:
            kept.append(point)
    return sorted(kept, key=lambda p: p.plan.draft.cost)


def _marked_plans(marked: Sequence[tuple[int, Plan]]) -> list[tuple[str, Plan]]:
    """The plans of the short answer, each with its number, in order of cost."""
    found = sorted((m for m in marked if m[1].speedup is not None), key=lambda m: m[1].draft.cost)
    return [(f"{rank}: ", plan) for rank, plan in found]


def _place(plan: Plan, scale: int) -> tuple[float, float]:
    assert plan.speedup is not None
    return plan.draft.cost / scale, plan.speedup.expected_milli / 1000


# Where a label may stand beside its point (points of type; which side of it is at the place), the best first.
_BESIDE = (
    (-8, 5, "right"), (6, -14, "left"), (2, 12, "left"), (-6, -16, "right"), (8, 4, "left"), (-8, 20, "right"),
    (8, -28, "left"), (-8, -32, "right"), (2, 28, "left"),
)  # fmt: skip


def _label(
    axes: Any, labels: Sequence[tuple[str, tuple[float, float]]], points: Sequence[tuple[float, float]]
) -> None:
    """The labels, each at the first side of its point where it stays inside and covers neither a point nor
    another label; where there is none, where it covers the fewest."""
    figure = axes.figure
    drawn = figure.canvas.get_renderer()
    inside = axes.get_window_extent(drawn)
    dots = [axes.transData.transform(point) for point in points]
    taken: list[Any] = [] if axes.get_legend() is None else [axes.get_legend().get_window_extent(drawn)]
    for text, place in labels:
        found = []
        for number, (right, up, side) in enumerate(_BESIDE):
            label = axes.annotate(
                text,
                place,
                xytext=(right, up),
                ha=side,
                textcoords="offset points",
                fontsize=LABEL_PT,
                color=INK,
                weight="bold",
                bbox={"boxstyle": "square,pad=0.1", "facecolor": "white", "edgecolor": "none", "alpha": 0.85},
                zorder=5,
            )
            box = label.get_window_extent(drawn)
            covered = sum(box.padded(6).contains(*dot) for dot in dots) + sum(map(box.overlaps, taken))
            outside = not (inside.contains(box.x0, box.y0) and inside.contains(box.x1, box.y1))
            found.append((covered + 10 * outside, number, label, box))
        best = min(found, key=lambda item: item[:2])
        for item in found:
            if item is not best:
                item[2].remove()
        taken.append(best[3])


def _cost(problem: Problem, plan: Plan) -> str:
    digits = problem.catalog.digits
    return amount_text(plan.draft.cost, digits)


def _described(data: bytes, words: str) -> bytes:
    """An SVG with a title for screen readers (SVG 2, section 5.7; WAI-ARIA Graphics Module: role img)."""
    text = data.decode("utf-8")
    title = f'<title id="title">{html.escape(words)}</title>'
    # A function, because a backslash in a name would be read as an escape of a template.
    return re.sub(
        r"<svg ([^>]*>)",
        lambda found: f'<svg role="img" aria-labelledby="title" {found[1]}\n {title}',
        text,
        count=1,
    ).encode("utf-8")
