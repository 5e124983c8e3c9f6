"""Labels of the trade-off's picture cover neither a point nor one another, and stay inside."""

from __future__ import annotations

import itertools

import matplotlib.pyplot as plt
import pytest

from partsolver.report.charts import DPI, SIZE_IN, _label

# Cost and speed-up of points as they come: few, crowded at the cheap end, two dear ones side by side.
CROWDS = [
    [(0.0, 1.0), (229.1, 2.65)],
    [(0.0, 1.0), (9.0, 1.04), (11.0, 1.06), (35.8, 1.22), (40.8, 1.29), (139.2, 2.1), (187.9, 2.57), (203.0, 2.63)],
    [(0.0, 1.0), (66.4, 1.58), (72.9, 1.6), (195.2, 2.61), (205.0, 2.62), (229.1, 2.65)],
]  # fmt: skip


@pytest.mark.parametrize("points", CROWDS)
def test_labels_stand_free(points: list[tuple[float, float]]) -> None:
    figure, axes = plt.subplots(figsize=SIZE_IN, dpi=DPI)
    axes.plot(*zip(*points, strict=True), "o")
    axes.margins(x=0.1, y=0.12)
    figure.tight_layout()
    named = [points[0], *points[-3:]] if len(points) > 3 else points
    _label(axes, [(f"{number}: {place[0]:.2f}", place) for number, place in enumerate(named)], points)
    drawn = figure.canvas.get_renderer()
    boxes = [text.get_window_extent(drawn) for text in axes.texts]
    inside = axes.get_window_extent(drawn)
    plt.close(figure)
    assert [text.get_text() for text in axes.texts] == [f"{n}: {p[0]:.2f}" for n, p in enumerate(named)]
    assert not any(a.overlaps(b) for a, b in itertools.combinations(boxes, 2))
    assert not any(box.contains(*axes.transData.transform(point)) for box in boxes for point in points)
    assert all(inside.contains(box.x0, box.y0) and inside.contains(box.x1, box.y1) for box in boxes)
