"""Small drawings of the desk as SVG: how sure a speed is, and the trade-off with its knees."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup, escape

from partsolver.base.records import record
from partsolver.plan.outcome import Interval
from partsolver.report.words.speed import seconds_of

INK, ACCENT, SOFT, PALE, FREE = "#1a1a1a", "#1f3f6e", "#5a5a5a", "#c3d0dc", "#ffffff"


def interval_svg(interval: Interval, label: str) -> Markup:
    """What took ten seconds: the whole line is ten, the pale part the 95 % interval, the stroke what is
    expected."""
    expected, least, most = (min(seconds, 11.0) * 40 for seconds in seconds_of(interval))
    marks = "".join(
        f'<line x1="{10 + 40 * s}" y1="24" x2="{10 + 40 * s}" y2="30" stroke="{SOFT}"/>'
        f'<text x="{10 + 40 * s}" y="44" font-size="12" text-anchor="middle" fill="{INK}">{s}</text>'
        for s in (0, 5, 10)
    )
    return Markup(
        f'<svg class="interval" viewBox="0 0 470 48" role="img" aria-label="{escape(label)}">'
        f'<line x1="10" y1="24" x2="410" y2="24" stroke="{SOFT}" stroke-width="1.5"/>{marks}'
        f'<rect x="{10 + least:g}" y="9" width="{max(3.0, most - least):g}" height="14" fill="{PALE}"/>'
        f'<rect x="{8 + expected:g}" y="4" width="4" height="22" fill="{ACCENT}"/></svg>'
    )


@record
class MoneyPoint:
    """A point of the trade-off as drawn and told: cost in minor units and in words, thousandths of the
    speed-up."""

    cost: int
    amount: str
    milli: int
    low_milli: int
    high_milli: int
    knee: bool


def money_svg(points: Sequence[MoneyPoint], label: str) -> Markup:
    """Cost to the right, speed upwards; knees have a ring. Each point carries its number for the slider's
    script."""
    most = max((p.cost for p in points), default=1) or 1
    top = max((p.high_milli for p in points), default=1000)
    width, height, left, low = 460, 300, 46, 264

    def x(cost: int) -> float:
        return left + (width - left - 24) * cost / most

    def y(milli: int) -> float:
        return low - (low - 16) * max(0, milli - 800) / max(1, top - 800)

    parts = [
        f'<svg class="money" viewBox="0 0 {width} {height}" role="img" aria-label="{escape(label)}">'
        f'<rect width="{width}" height="{height}" fill="{FREE}"/>'
        f'<line x1="{left}" y1="{low}" x2="{width - 10}" y2="{low}" stroke="{INK}"/>'
        f'<line x1="{left}" y1="10" x2="{left}" y2="{low}" stroke="{INK}"/>'
    ]
    for times in range(1, top // 1000 + 1):
        parts.append(
            f'<text x="{left - 8}" y="{y(1000 * times) + 4:g}" font-size="13" text-anchor="end" fill="{INK}">'
            f"{times}x</text>"
            f'<line x1="{left}" y1="{y(1000 * times):g}" x2="{width - 10}" y2="{y(1000 * times):g}" stroke="#e2e2e2"/>'
        )
    path = ""
    for i, p in enumerate(points):
        path += f"{'M' if i == 0 else 'H'}{x(p.cost):g}" + (
            f" {y(p.milli):g}" if i == 0 else f" V{y(p.milli):g}"
        )
    parts.append(f'<path d="{path}" fill="none" stroke="{SOFT}" stroke-width="1.5"/>')
    for i, p in enumerate(points):
        parts.append(
            f'<g class="point" data-point="{i}"><line x1="{x(p.cost):g}" y1="{y(p.low_milli):g}" x2="{x(p.cost):g}"'
            f' y2="{y(p.high_milli):g}" stroke="{PALE}" stroke-width="3"/>'
            f'<circle cx="{x(p.cost):g}" cy="{y(p.milli):g}" r="4.5" fill="{ACCENT}"/>'
            + (
                f'<circle cx="{x(p.cost):g}" cy="{y(p.milli):g}" r="9" fill="none" stroke="{INK}" stroke-width="2"/>'
                if p.knee
                else ""
            )
            + "</g>"
        )
    for p in (points[0], points[-1]) if points else ():
        parts.append(
            f'<text x="{x(p.cost):g}" y="{low + 20}" font-size="13" text-anchor="middle" fill="{INK}">'
            f"{escape(p.amount)}</text>"
        )
    return Markup("".join(parts) + "</svg>")
