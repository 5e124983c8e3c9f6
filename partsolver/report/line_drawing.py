"""The interview's drawings, which are made of characters, as SVG: runs of - and = become lines, | strokes, o holes;
everything else stays text in its column."""

from __future__ import annotations

import re

from markupsafe import Markup, escape

CELL_W, CELL_H = 9, 18
INK = "#1a1a1a"
_LINES = re.compile(r"[-+=_]{2,}")
_MARKS = re.compile(r"[|o]")


def line_drawing_svg(text: str, label: str) -> Markup:
    """A drawing of characters as lines. ``label``: what it shows, for who cannot see it."""
    rows = text.rstrip("\n").split("\n")
    width, height = (max(map(len, rows)) + 2) * CELL_W, (len(rows) + 1) * CELL_H
    parts = [
        f'<svg class="drawing" viewBox="0 0 {width} {height}" role="img" aria-label="{escape(label)}">'
        f'<rect width="{width}" height="{height}" fill="#ffffff"/>'
    ]
    for number, row in enumerate(rows):
        parts += _row(rows, number, row)
    return Markup("".join(parts) + "</svg>")


def _row(rows: list[str], number: int, row: str) -> list[str]:
    middle = (number + 0.75) * CELL_H
    found = []
    left = list(row)
    for match in _LINES.finditer(row):
        x1, x2 = (match.start() + 1.5) * CELL_W, (match.end() + 0.5) * CELL_W
        thick = 3 if set(match[0]) == {"="} else 1.5
        found.append(_line(x1, middle, x2, middle, thick))
        left[match.start() : match.end()] = " " * len(match[0])
    for match in _MARKS.finditer(row):
        column = match.start()
        if left[column] != match[0] or (match[0] == "o" and _in_word(row, column)):
            continue
        x = (column + 1.5) * CELL_W
        if match[0] == "|":
            found.append(_line(x, middle - CELL_H / 2, x, middle + CELL_H / 2, 1.5))
        else:
            found.append(
                f'<circle cx="{x:g}" cy="{middle:g}" r="4" fill="none" stroke="{INK}" stroke-width="1.5"/>'
            )
        left[column] = " "
    for match in re.finditer(r"\S+(?: \S+)*", "".join(left)):
        x = (match.start() + 1) * CELL_W
        found.append(
            f'<text x="{x:g}" y="{middle + 4:g}" font-size="13" textLength="{len(match[0]) * CELL_W - 2}"'
            f' lengthAdjust="spacingAndGlyphs" font-family="DejaVu Sans Mono, Liberation Mono, monospace"'
            f' fill="{INK}">{escape(match[0])}</text>'
        )
    return found


def _in_word(row: str, column: int) -> bool:
    """Whether an o is a letter of a word."""
    around = row[max(0, column - 1) : column] + row[column + 1 : column + 2]
    return any(ch.isalpha() and ch != "o" for ch in around)


def _line(x1: float, y1: float, x2: float, y2: float, thick: float) -> str:
    return f'<line x1="{x1:g}" y1="{y1:g}" x2="{x2:g}" y2="{y2:g}" stroke="{INK}" stroke-width="{thick:g}"/>'
